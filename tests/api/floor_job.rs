//! One room with one heated floor, whose figures can be reckoned by hand.

use serde_json::{Value, json};
use tundish::methods::water::water;

use super::figures::number;
use super::helpers::TestService;

/// A room of 14 m² at 21 °C that loses 630 W (21 m² of 1 W/(m²K) against 30 K), 45 W/m², over 1.25 m²K/W from the pipes
/// down to 10 °C, with one floor of 16 x 2 tube at 150 mm under bare screed.
pub fn job(floor: &Value) -> Value {
    let mut emitter = json!({"kind": "heated_floor", "manifold": "m", "tube": "floor_tube_16", "tail_m": 3,
        "screed": {"conductivity_w_mk": 1.2, "cover_mm": 45}, "spacings_mm": [150], "surface_limit_c": 29});
    merge(&mut emitter, floor);
    json!({
        "schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -9, "annual_mean_outside_c": 10}},
        "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0}, "air_heat_wh_m3k": 0.34},
        "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 1},
            "floor": {"kind": "known", "u_value_w_m2k": 1.0 / 1.42}},
        "rooms": {"room": {"use": "living", "floor_area_m2": 14, "height_m": 2.4, "perimeter_m": 15,
            "inside_design_c": 21, "air_changes_per_h": 0,
            "surfaces": {"wall": {"part": "wall", "construction": "wall", "area_m2": 21, "faces": {"kind": "outside"}},
                "floor": {"part": "floor", "construction": "floor", "area_m2": 14,
                    "faces": {"kind": "temperature", "temperature_c": 10}}},
            "emitters": {"floor": emitter}}},
        "heating": {"flow_temperature": {"kind": "fixed", "flow_temperature_c": 38}, "drop_k": 5, "flow_rule": "by_load"},
        "pipework": {"manifolds": {"m": {}}}
    })
}

/// Members of one object over those of another; null takes one out.
pub fn merge(into: &mut Value, from: &Value) {
    for (name, value) in from.as_object().unwrap() {
        if value.is_null() {
            into.as_object_mut().unwrap().remove(name);
        } else {
            into[name] = value.clone();
        }
    }
}

pub async fn row(service: &TestService, job: &Value) -> Value {
    let answer = service.answer("/v1/emitters", job).await;
    answer["emitters"]["rooms"][0]["emitters"][0].clone()
}

pub fn near(what: &str, found: &Value, expected: f64, tolerance: f64) {
    let found = number(found);
    assert!((found - expected).abs() <= tolerance, "{what}: {found} where {expected} was expected");
}

/// What the water of a floor carries, against all that it gives (W).
pub fn balance(row: &Value, flow_c: f64) -> (f64, f64) {
    let water = water(flow_c - 2.5).unwrap();
    let heat_wh_lk = water.specific_heat_j_kgk * water.density_kg_m3 / 3_600_000.0;
    let water_w = number(&row["flow_l_h"]) * heat_wh_lk * (flow_c - number(&row["return_temperature_c"]));
    let lines =
        row["floor"]["lines"].as_array().into_iter().flatten().map(|line| number(&line["output_w"])).sum::<f64>();
    (water_w, number(&row["output_w"]) + number(&row["downward_w"]) + lines)
}

/// A room that loses so much by floor area (W/m²).
pub fn losing(w_m2: f64, flow_c: f64, floor: &Value) -> Value {
    let mut job = job(floor);
    job["rooms"]["room"]["surfaces"]["wall"]["area_m2"] = json!(w_m2 * 14.0 / 30.0);
    job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(flow_c);
    job
}
