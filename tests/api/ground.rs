//! Basements, bridged floors and edge insulation over `POST /v1/heat-loss`.

use std::f64::consts::PI;

use serde_json::{Value, json};
use tundish::methods::math::ln;

use super::helpers::{close, row, shared_service, study};

/// The study with a floor of a construction, and a wall of it where it has walls, that face the ground.
fn below(construction: &Value, parts: &[&str]) -> Value {
    let mut job = study();
    job["constructions"]["below"] = construction.clone();
    for part in parts {
        job["rooms"]["study"]["surfaces"][*part] =
            json!({"part": part, "construction": "below", "area_m2": 12, "faces": {"kind": "ground"}});
    }
    job
}

/// Insulation of 1.5 m²K/W, a tenth of it bridged by 0.5, over 0.3 m²K/W.
fn bridged() -> Value {
    json!([
        {"kind": "resistance", "resistance_m2k_w": 0.3},
        {"kind": "resistance", "resistance_m2k_w": 1.5,
            "bridged_by": {"kind": "resistance", "fraction": 0.1, "resistance_m2k_w": 0.5}}
    ])
}

/// Resistance of these layers between the surfaces, by hand. Source: ISO 6946: the mean of the upper limit, path by path, and of
/// the lower, layer by layer, both with their surfaces, which are taken off again.
fn bridged_m2k_w(inside: f64, outside: f64) -> f64 {
    let surfaces = inside + outside;
    let upper = 1.0 / (0.9 / (surfaces + 1.8) + 0.1 / (surfaces + 0.8));
    let lower = surfaces + 0.3 + 1.0 / (0.9 / 1.5 + 0.1 / 0.5);
    0.5 * (upper + lower) - surfaces
}

async fn u_value(job: &Value, flow: &str) -> Value {
    let rows = shared_service().answer("/v1/heat-loss", job).await["heat_loss"]["constructions"].clone();
    let rows = rows.as_array().unwrap().iter();
    let own: Vec<&Value> = rows.filter(|row| row["construction"] == "below").collect();
    own.iter().find(|row| row["heat_flow"] == flow).unwrap_or(&own[0])["u_value_w_m2k"].clone()
}

/// Source: ISO 13370, as open programs carry it, worked by hand: 48 m² with 28 m of edge, 2.2 m deep, walls of 0.3 m, clay. 1.0 m²K/W in the floor:
/// dt 0.3 + 1.5 · 1.21 = 2.115, B' 48/14, U = 3/(π · B' + dt + 1.1) · ln(π · B'/(dt + 1.1) + 1) = 0.315363; 2.0 in the walls: dw 3.255,
/// 3/(π · 2.2) · (1 + 0.5 · dt/(dt + 2.2)) · ln(2.2/3.255 + 1) = 0.279049.
#[tokio::test]
async fn a_basement_has_one_u_value_for_its_floor_and_one_for_its_walls() {
    let layer = |m2k_w: f64| json!([{"kind": "resistance", "resistance_m2k_w": m2k_w}]);
    let basement = json!({"kind": "basement", "area_m2": 48, "exposed_perimeter_m": 28, "depth_m": 2.2,
        "wall_thickness_mm": 300, "soil": "clay", "floor_layers": layer(1.0), "wall_layers": layer(2.0)});
    let job = below(&basement, &["floor", "wall"]);
    let loss = shared_service().answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    let elements = &loss["rooms"][0]["elements"];
    close(&row(elements, "surface", "floor")["u_value_w_m2k"], 0.315_363, 2e-6);
    close(&row(elements, "surface", "wall")["u_value_w_m2k"], 0.279_049, 2e-6);
    // 1.45 · 12 m² · U · (21 - 10) K
    close(&row(elements, "surface", "wall")["transmission_w"], 1.45 * 12.0 * 0.279_049 * 11.0, 2e-6);
}

/// Source: ISO 6946 and ISO 13370, worked by hand: joists and studs in a slab, in a floor over a ventilated space and in a basement
/// count with the surfaces of that part, 0.17 + 0.04, 0.17 + 0.17 and, for the walls, 0.13 + 0.04 m²K/W, and these are taken off.
#[tokio::test]
async fn bridges_in_what_lies_in_the_ground_count_between_its_surfaces() {
    let with_layers = |kind: &str| {
        json!({"kind": kind, "area_m2": 48, "exposed_perimeter_m": 28, "wall_thickness_mm": 300, "soil": "clay",
            "layers": bridged()})
    };
    let pi_b = PI * 48.0 / 14.0;
    // U of ground under B' at an equivalent thickness that is less than B'
    let on_ground = |dt: f64| 3.0 / (pi_b + dt) * ln(pi_b / dt + 1.0);
    let slab = below(&with_layers("ground_floor"), &["floor"]);
    let dt = 0.3 + 1.5 * (0.21 + bridged_m2k_w(0.17, 0.04));
    assert!(dt < 48.0 / 14.0);
    close(&u_value(&slab, "down").await, on_ground(dt), 1e-6);
    // RdSAP 2012, S5.5: 0.3 m high, walls of 1.5 W/(m²K), 0.003 m²/m of vents, wind of 5 m/s shielded to 0.05
    let suspended = below(&with_layers("suspended_floor"), &["floor"]);
    let space = (2.0 * 0.3 * 1.5 + 1450.0 * 0.003 * 5.0 * 0.05) / (48.0 / 14.0);
    let whole = 2.0 * 0.17 + bridged_m2k_w(0.17, 0.17) + 1.0 / (on_ground(0.3 + 1.5 * 0.21) + space);
    close(&u_value(&suspended, "down").await, 1.0 / whole, 1e-6);
    let basement = json!({"kind": "basement", "area_m2": 48, "exposed_perimeter_m": 28, "depth_m": 2.2,
        "wall_thickness_mm": 300, "soil": "clay", "wall_layers": bridged()});
    let (floor_m, wall_m) = (0.3 + 1.5 * 0.21, 1.5 * (0.17 + bridged_m2k_w(0.13, 0.04)));
    let walls = 3.0 / (PI * 2.2) * (1.0 + 0.5 * floor_m / (floor_m + 2.2)) * ln(2.2 / wall_m + 1.0);
    close(&u_value(&below(&basement, &["wall"]), "horizontal").await, walls, 1e-6);
}

/// Source: ISO 13370, as open programs carry it, worked by hand in `tests/published/fabric_ground.rs`: 1.0 m along and 0.6 m down the edge of a slab
/// with dt 1.365 leave 0.457798 and 0.447411 W/(m²K) of 0.540130.
#[tokio::test]
async fn edge_insulation_lies_along_the_slab_or_down_its_foundation() {
    let edged = |lies: &str, reach_m: f64| {
        json!({"kind": "ground_floor", "area_m2": 48, "exposed_perimeter_m": 28, "wall_thickness_mm": 300, "soil": "clay",
            "layers": [{"kind": "resistance", "resistance_m2k_w": 0.5}],
            "edge_insulation": {"lies": lies, "reach_m": reach_m, "thickness_mm": 50, "conductivity_w_mk": 0.035}})
    };
    close(&u_value(&below(&edged("horizontal", 1.0), &["floor"]), "down").await, 0.457_798, 2e-6);
    close(&u_value(&below(&edged("vertical", 0.6), &["floor"]), "down").await, 0.447_411, 2e-6);
}
