//! `POST /v1/flow-temperatures`, and a job that asks for the lowest flow temperature.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{TestService, fixture, lowest, rooms_of, shared_service};

fn fixed(mut job: Value, flow_c: f64) -> Value {
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": flow_c});
    job
}

/// Bathrooms of the fixtures, which do not set the flow temperature (EN 1264-3).
fn is_of_a_bathroom(unmet: &Value) -> bool {
    ["/rooms/bath/", "/rooms/en_suite/"].iter().any(|at| unmet["pointer"].as_str().unwrap().starts_with(at))
}

/// Whether every room that sets the flow temperature is carried.
fn is_met(emitters: &Value) -> bool {
    emitters["unmet"].as_array().unwrap().iter().all(is_of_a_bathroom)
}

async fn is_met_at(service: &TestService, job: &Value, flow_c: f64) -> bool {
    is_met(&service.answer("/v1/emitters", &fixed(job.clone(), flow_c)).await["emitters"])
}

#[tokio::test]
async fn the_lowest_flow_carries_every_room_and_half_a_kelvin_less_does_not() {
    let service = shared_service();
    for name in ["chapel", "terrace", "bungalow"] {
        let job = fixture(name);
        let answer = service.answer("/v1/emitters", &lowest(job.clone(), 25.0, 70.0)).await;
        let emitters = &answer["emitters"];
        let flow_c = number(&emitters["flow_temperature_c"]);
        assert!(is_met(emitters), "{name} {flow_c}: {}", emitters["unmet"]);
        assert!((flow_c * 2.0).fract().abs() < 1e-9, "{name}: {flow_c}");
        assert!(is_met_at(service, &job, flow_c).await, "{name} at {flow_c}");
        assert!(!is_met_at(service, &job, flow_c - 0.5).await, "{name} at {}", flow_c - 0.5);
        // what holds it there is what is furthest from its need half a kelvin below
        let held_by = &emitters["held_by"];
        let below =
            service.answer("/v1/emitters", &fixed(job.clone(), flow_c - 0.5)).await["emitters"]["unmet"].clone();
        let part = |unmet: &Value| number(&unmet["reached"]) / number(&unmet["need"]);
        let least = below.as_array().unwrap().iter().filter(|row| !is_of_a_bathroom(row)).map(part).fold(1.0, f64::min);
        assert!((part(held_by) - least).abs() < 1e-6, "{held_by}");
        assert!(job.pointer(held_by["pointer"].as_str().unwrap()).is_some());
        // later stages run on it
        let mut priced = lowest(job, 25.0, 70.0);
        priced["commercial"]["quote_date"] = json!("2026-03-02");
        let whole = service.answer("/v1/proposal", &priced).await;
        assert_eq!(whole["emitters"]["flow_temperature_c"], emitters["flow_temperature_c"]);
    }
}

/// Source: EN 442, by hand: a radiator of 1042 W at 75/65/20 °C, 10/ln(55/45) = 49.833 K, with exponent 1.33 gives 895 W at 68/63 °C in
/// 21 °C (44.453 K) and 909 W at 68.5 (44.954 K): 900 W want that, and without a screed nothing forbids it.
#[tokio::test]
async fn radiators_alone_may_want_hotter_water_than_a_screed_bears() {
    let fit = json!({"height_max_mm": 600, "length_max_mm": 600, "depth_max_mm": 110});
    let job = rooms_of(&[(900.0, 14.0, json!({"rad": {"kind": "radiator", "fit": fit}}))]);
    let answer = shared_service().answer("/v1/emitters", &lowest(job, 25.0, 70.0)).await;
    let emitters = &answer["emitters"];
    assert_eq!((&emitters["flow_temperature_c"], &emitters["complete"]), (&json!(68.5), &json!(true)));
    assert_eq!(emitters["rooms"][0]["emitters"][0]["product"], "p22_600x600");
}

#[tokio::test]
async fn where_no_flow_within_bounds_will_do_the_highest_is_taken_and_told() {
    let service = shared_service();
    let answer = service.answer("/v1/emitters", &lowest(fixture("terrace"), 25.0, 30.0)).await;
    let emitters = &answer["emitters"];
    assert_eq!((number(&emitters["flow_temperature_c"]), &emitters["complete"]), (30.0, &json!(false)));
    assert!(emitters["held_by"]["code"].is_string());
    // where the lowest bound does, nothing holds it
    let warm = service.answer("/v1/emitters", &lowest(fixture("bungalow"), 45.0, 55.0)).await;
    assert_eq!(warm["emitters"]["flow_temperature_c"], 45.0);
    assert!(warm["emitters"].get("held_by").is_none());
    // floors on screed are not looked at above what it bears
    let mut cold = fixture("bungalow");
    cold["site"]["climate"] = json!({"kind": "given", "outside_design_c": -35, "annual_mean_outside_c": 0});
    let limited = service.answer("/v1/emitters", &lowest(cold, 25.0, 70.0)).await["emitters"].clone();
    // floors ask for no more than takes them to the limit of their surface
    assert!(number(&limited["flow_temperature_c"]) < 45.0, "{}", limited["flow_temperature_c"]);
    let rows = limited["unmet"].as_array().unwrap().iter().filter(|row| row["code"] == "floor_too_weak");
    assert!(rows.clone().count() > 0, "{limited}");
    for row in rows.filter(|row| !is_of_a_bathroom(row)) {
        assert_eq!(row["values"]["at_surface_limit"], true, "{row}");
    }
    // a radiator that wants hotter water than screed bears: with a floor in the house, and with none
    let rad = || json!({"rad": {"kind": "radiator", "fit": {"length_max_mm": 1200, "height_max_mm": 600}}});
    let floor = json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}}});
    let asked = [(2000.0, 20.0, rad()), (300.0, 14.0, floor)];
    let capped = service.answer("/v1/emitters", &lowest(rooms_of(&asked), 25.0, 70.0)).await;
    assert_eq!(capped["emitters"]["flow_temperature_c"], 55.0);
    let free = service.answer("/v1/emitters", &lowest(rooms_of(&asked[..1]), 25.0, 70.0)).await;
    assert!(number(&free["emitters"]["flow_temperature_c"]) > 55.0 && free["emitters"]["complete"] == true, "{free}");
    let upside_down: Value =
        service.post("/v1/emitters", &lowest(fixture("terrace"), 50.0, 40.0)).await.json().await.unwrap();
    assert_eq!(upside_down["errors"][0]["code"], "bounds_upside_down");
}

#[tokio::test]
async fn every_candidate_is_the_chain_at_its_flow_temperature() {
    let service = shared_service();
    let job = fixture("chapel");
    let answer = service.answer("/v1/flow-temperatures", &job).await;
    let found = &answer["flow_temperatures"];
    let candidates = found["candidates"].as_array().unwrap();
    let flows: Vec<f64> = candidates.iter().map(|row| number(&row["flow_temperature_c"])).collect();
    assert_eq!((flows.len(), flows[0], flows[25]), (26, 30.0, 55.0));
    for row in [&candidates[4], &candidates[15], &candidates[25]] {
        let flow_c = number(&row["flow_temperature_c"]);
        let job = fixed(job.clone(), flow_c);
        let emitters = service.answer("/v1/emitters", &job).await["emitters"].clone();
        assert_eq!(row["complete"], emitters["complete"], "{flow_c}");
        let told = |rows: &Value, code: &dyn Fn(&Value) -> Value| -> BTreeSet<String> {
            rows.as_array().unwrap().iter().map(|one| code(one).as_str().unwrap().to_owned()).collect()
        };
        assert_eq!(
            told(&row["unmet"], &Value::clone),
            told(&emitters["unmet"], &|one| one["code"].clone()),
            "{flow_c}"
        );
        let rooms = emitters["rooms"].as_array().unwrap();
        let rows: Vec<&Value> = rooms.iter().flat_map(|room| room["emitters"].as_array().unwrap()).collect();
        let told = row["emitters"].as_array().unwrap();
        assert_eq!(rows.len(), told.len());
        for (one, other) in rows.into_iter().zip(told) {
            assert_eq!((&one["emitter"], &one["at_load"]["output_w"]), (&other["emitter"], &other["output_w"]));
            assert_eq!(one.get("spacing_mm"), other.get("spacing_mm"));
        }
        let plant = service.answer("/v1/plant", &job).await["plant"]["heat_source"].clone();
        assert_eq!(plant.get("product"), row["heat_source"].get("product"));
        assert_eq!(plant.get("strongest"), row["heat_source"].get("strongest"));
        let reckoned = plant.get("product").or(plant.get("strongest")).unwrap();
        let chosen = plant["candidates"].as_array().unwrap().iter().find(|one| one["product"] == *reckoned).unwrap();
        assert_eq!(chosen["chosen"], plant.get("product").is_some());
        assert_eq!((&chosen["cop"], &chosen["enough"]), (&row["heat_source"]["cop"], &row["heat_source"]["enough"]));
    }
    // a heat pump does better with cooler water and on milder days
    let cop = |row: &Value| number(&row["heat_source"]["cop"]);
    assert!(
        candidates.windows(2).all(|pair| cop(&pair[0]) >= cop(&pair[1])
            || pair[0]["heat_source"]["product"] != pair[1]["heat_source"]["product"])
    );
    for row in candidates {
        let milder = row["part_load"].as_array().unwrap();
        assert_eq!(milder.len(), 2);
        assert!(cop(row) < number(&milder[0]["cop"]) && number(&milder[0]["cop"]) < number(&milder[1]["cop"]), "{row}");
        assert!(number(&milder[1]["flow_temperature_c"]) < number(&milder[0]["flow_temperature_c"]));
    }
    // below the lowest flow of its data, 35 °C, it is read there, and that is told
    let read_at = |row: &Value| number(&row["heat_source"]["read_at_c"]);
    assert!((read_at(&candidates[0]) - 35.0).abs() < 1e-9 && (read_at(&candidates[25]) - 55.0).abs() < 1e-9);
    // the rooms that fail are those that the emitters tell
    let cold = &candidates[0];
    assert_eq!(cold["complete"], false);
    assert!(!cold["not_carried"].as_array().unwrap().is_empty());
    assert!(candidates[25]["not_carried"].as_array().unwrap().is_empty());
    let flow_c = number(&found["lowest"]["flow_temperature_c"]);
    assert!(candidates.iter().all(|row| row["complete"] == false || number(&row["flow_temperature_c"]) >= flow_c));
}

/// Of radiators that fit and are enough the cheapest is taken, so that a hotter flow never costs more; `least_output` takes
/// the smallest, which then never grows.
#[tokio::test]
async fn a_hotter_flow_costs_no_more_and_needs_no_larger_radiator() {
    let service = shared_service();
    let mut job = fixture("terrace");
    let candidates = async |job: &Value| {
        let answer = service.answer("/v1/flow-temperatures", job).await;
        answer["flow_temperatures"]["candidates"].as_array().unwrap().clone()
    };
    let cheap = candidates(&job).await;
    assert!(cheap.windows(2).all(|pair| number(&pair[0]["emitter_cost"]) >= number(&pair[1]["emitter_cost"])));
    job["heating"]["emitter_choice"] = json!("least_output");
    let small = candidates(&job).await;
    for (cheap, small) in cheap.iter().zip(&small) {
        assert!(number(&cheap["emitter_cost"]) <= number(&small["emitter_cost"]), "{}", cheap["flow_temperature_c"]);
    }
    assert!(cheap.iter().zip(&small).any(|(a, b)| number(&a["emitter_cost"]) < number(&b["emitter_cost"])));
}

/// Common practice: pipes 150 mm apart under tile carry a renewed, well insulated house below 35 °C. The bungalow's living room has 39.6 W/m².
#[tokio::test]
async fn tile_at_150_mm_carries_a_well_insulated_house_below_35_degrees() {
    let service = shared_service();
    let mut job = lowest(fixture("bungalow"), 25.0, 55.0);
    for room in job["rooms"].as_object_mut().unwrap().values_mut() {
        for emitter in room["emitters"].as_object_mut().unwrap().values_mut() {
            emitter["spacings_mm"] = json!([150]);
            emitter["covering"] = json!({"thickness_mm": 10, "conductivity_w_mk": 1.3, "material": "tile"});
        }
    }
    let emitters = service.answer("/v1/emitters", &job).await["emitters"].clone();
    assert!(is_met(&emitters), "{}", emitters["unmet"]);
    assert!(number(&emitters["flow_temperature_c"]) < 35.0, "{}", emitters["flow_temperature_c"]);
}
