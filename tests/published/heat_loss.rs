//! Heat loss through the real endpoint against values that others published or worked by hand.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a helper of a test has nobody to hand an error to")]

#[path = "../api/helpers.rs"]
#[expect(dead_code, reason = "the tests of the endpoints use what is not used here")]
mod helpers;

#[path = "heat_loss/asked.rs"]
mod asked;
mod fixture;
#[path = "heat_loss/ground.rs"]
mod ground;
#[path = "heat_loss/houses.rs"]
mod houses;
mod layer_rows;
#[path = "heat_loss/layers.rs"]
mod layers;
#[path = "heat_loss/rooms.rs"]
mod rooms;
#[path = "heat_loss/windows.rs"]
mod windows;

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::{Map, Value, json};

use helpers::spawn_service;

/// The rows of a table in `fixtures/published`, by the names of its columns; its source, clause and tolerance
/// stand in its first lines.
fn rows(name: &str) -> Vec<BTreeMap<String, String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published").join(name);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    reader.deserialize().map(|row| row.unwrap()).collect()
}

fn figure(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|error| panic!("{column} of {row:?}: {error}"))
}

/// Holds a figure against an outside value, and answers its relative deviation.
fn within(place: &str, found: &Value, expected: f64, tolerance: f64) -> f64 {
    let found = found.as_f64().unwrap_or_else(|| panic!("{place}: no figure"));
    let deviation = (found - expected).abs() / expected.abs().max(1e-9);
    assert!(deviation <= tolerance, "{place}: {found} instead of {expected}, {:.4} % off", 100.0 * deviation);
    deviation
}

/// One building of the typology as a job of one room. The data set multiplies its bridging allowance by the full area
/// whatever the adjustment factor, so the product goes in as a coefficient; elements with a factor of their own
/// go in as elements to an unheated space, floors among them, because their U-value holds the ground already.
fn typology_job(elements: &[BTreeMap<String, String>]) -> Value {
    let first = &elements[0];
    let (mut constructions, mut surfaces, mut area_m2) = (Map::new(), Map::new(), 0.0);
    for element in elements {
        let id = element["element"].clone();
        let (part, factor) = (id.split('_').next().unwrap(), figure(element, "adjustment_factor"));
        let part = if part == "roof" || part == "floor" { part } else { "wall" };
        let faces =
            if factor < 1.0 { json!({"kind": "unheated", "factor": factor}) } else { json!({"kind": "outside"}) };
        constructions.insert(id.clone(), json!({"kind": "known", "u_value_w_m2k": figure(element, "u_value_w_m2k")}));
        let surface = json!({"part": part, "construction": id, "area_m2": figure(element, "area_m2"), "faces": faces});
        surfaces.insert(id, surface);
        area_m2 += figure(element, "area_m2");
    }
    let coefficient_w_k = figure(first, "thermal_bridge_allowance_w_m2k") * area_m2;
    let air_changes = figure(first, "air_changes_use_per_h") + figure(first, "air_changes_infiltration_per_h");
    json!({
        "schema": 1,
        "title": first["building"],
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -3.0}},
        "dwelling": {
            "thermal_bridging": {"kind": "coefficient", "coefficient_w_k": coefficient_w_k},
            "air_heat_wh_m3k": 0.34
        },
        "constructions": constructions,
        "rooms": {"whole": {
            "use": "living",
            "floor_area_m2": figure(first, "reference_floor_area_m2"),
            "height_m": figure(first, "room_height_m"),
            "inside_design_c": 20.0,
            "air_changes_per_h": air_changes,
            "surfaces": surfaces
        }}
    })
}

/// `typology_gb.csv`: IEE projects TABULA/EPISCOPE. Tolerance 0.1 %: its figures are rounded.
#[tokio::test]
async fn thirty_six_british_dwellings_lose_what_the_typology_publishes() {
    let service = spawn_service();
    let mut buildings: BTreeMap<String, Vec<BTreeMap<String, String>>> = BTreeMap::new();
    for row in rows("typology_gb.csv") {
        buildings.entry(row["building"].clone()).or_default().push(row);
    }
    assert_eq!(buildings.len(), 36);
    let mut worst = (0.0_f64, 0.0_f64);
    for (name, elements) in &buildings {
        let answer = service.answer("/v1/heat-loss", &typology_job(elements)).await;
        let dwelling = &answer["heat_loss"]["dwelling"];
        let floor_m2 = figure(&elements[0], "reference_floor_area_m2");
        let per_area = |figure: &str| json!(dwelling[figure].as_f64().unwrap() / floor_m2);
        let transmission = figure(&elements[0], "published_transmission_w_m2k");
        let ventilation = figure(&elements[0], "published_ventilation_w_m2k");
        worst.0 = worst.0.max(within(name, &per_area("transmission_coefficient_w_k"), transmission, 0.001));
        worst.1 = worst.1.max(within(name, &per_area("ventilation_coefficient_w_k"), ventilation, 0.001));
    }
    println!("largest deviation: transmission {:.5} %, ventilation {:.5} %", 100.0 * worst.0, 100.0 * worst.1);
}

/// Worked example 3.6 of a textbook on the heating of buildings (p. 68 and 69), whose factor F2 = 1.10 goes in as an
/// air constant of 0.33 × 1.10 = 0.363. Exact: the printed figures are whole in their last digit, and so are ours.
#[tokio::test]
async fn the_textbook_building_loses_15_835_watts() {
    let service = spawn_service();
    let openings: Map<String, Value> = (0..10)
        .map(|i| (format!("window_{i}"), json!({"construction": "window", "area_m2": 2.0})))
        .chain((0..2).map(|i| (format!("door_{i}"), json!({"construction": "door", "area_m2": 4.0}))))
        .collect();
    let known = |u: f64| json!({"kind": "known", "u_value_w_m2k": u});
    let faces = json!({"kind": "outside"});
    let job = json!({
        "schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -4.0}},
        "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0.0}, "air_heat_wh_m3k": 0.363},
        "constructions":
            {"wall": known(0.5), "window": known(5.7), "door": known(5.7), "roof": known(0.3), "floor": known(0.6)},
        "rooms": {"hall": {
            "use": "living", "floor_area_m2": 200.0, "height_m": 3.0, "perimeter_m": 60.0,
            "inside_design_c": 21.0, "air_changes_per_h": 1.0,
            "surfaces": {
                "walls": {"part": "wall", "construction": "wall", "area_m2": 180.0, "openings": openings, "faces": faces},
                "roof": {"part": "roof", "construction": "roof", "area_m2": 200.0, "faces": faces},
                "floor": {"part": "floor", "construction": "floor", "area_m2": 200.0, "faces": faces}
            }
        }}
    });
    let answer = service.answer("/v1/heat-loss", &job).await;
    let dwelling = &answer["heat_loss"]["dwelling"];
    assert_eq!(dwelling["transmission_coefficient_w_k"], 415.6);
    assert_eq!(dwelling["design_heat_loss_w"], 15_835.0);
    assert_eq!(answer["heat_loss"]["rooms"][0]["design_heat_loss_w"], 15_835.0);
}
