//! The water of a system, what of it is open to the heat source, and what that needs, reckoned by hand.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{close, fixture, rooms_of, row, shared_service, unit_of};

/// Rooms of 1.4 kW each with a fan convector at 5 K, on the largest heat source.
fn fans(count: usize) -> Value {
    let mut job = rooms_of(&vec![(1400.0, 20.0, json!({"fan": {"kind": "fan_convector"}})); count]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 52.5}, "drop_k": 5});
    job["plant"] = json!({"heat_source": {"kind": "catalogue", "code": "hs_12"}, "cylinder": {"kind": "choose"}});
    job
}

/// By hand: 10 m of 26.2 mm bore hold 5.3913 l, 6 m of 20.2 mm 1.9228 l: 7.3141 l in the circuits of the plant, the former
/// open to the heat source.
#[tokio::test]
async fn primary_and_hot_water_circuit_hold_water() {
    let service = shared_service();
    let mut job = fans(4);
    job["plant"] = unit_of(12.0, &json!({}));
    let without = service.answer("/v1/plant", &job).await["plant"]["water_content"].clone();
    job["pipework"]["primary"] = json!({"length_m": 5, "existing_tube": "cu_28"});
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 3, "existing_tube": "cu_22"});
    let with = service.answer("/v1/plant", &job).await["plant"]["water_content"].clone();
    let open = service.answer("/v1/pipework", &job).await["pipework"]["arrangement"]["open_water_l"].clone();
    close(&with["circuits_l"], 7.3141, 1e-4);
    assert!(without["circuits_l"] == 0.0 && without["buffer_vessel_l"] == with["buffer_vessel_l"]);
    // two hoses of 0.6 m as wide as the primary hold 0.6470 l more
    let mut hosed = job.clone();
    hosed["pipework"]["primary"]["hoses"] = json!({"kv_m3_h": 9, "length_m": 0.6});
    let hosed = service.answer("/v1/plant", &hosed).await["plant"]["water_content"].clone();
    close(&hosed["circuits_l"], 7.3141 + 0.6470, 1e-4);
    let parts = ["radiators_l", "loops_l", "runs_l", "circuits_l", "buffer_vessel_l", "manifolds_l", "heat_source_l"];
    for water in [&with, &without] {
        let sum: f64 = parts.iter().map(|part| number(&water[part])).sum::<f64>() + number(&water["cylinder_coil_l"]);
        close(&water["total_l"], sum, 1e-6);
    }
    // with nothing shut the heat source has its own, the primary, runs and emitters about it, and not the way to the cylinder
    let about: f64 = ["heat_source_l", "runs_l", "radiators_l"].iter().map(|part| number(&with[part])).sum();
    close(&open, about + 5.3913, 1e-4);
    let runs_l = number(&with["runs_l"]) - number(&without["runs_l"]);
    assert!((number(&with["total_l"]) - number(&without["total_l"]) - runs_l - 7.3141).abs() < 1e-3);
}

/// By hand: a defrost of 0.9 kWh cools 77.39 l by 10 K. A heat source whose data want 100 l besides needs 100, one whose data
/// want 50 needs 77.39.
#[tokio::test]
async fn of_two_needed_waters_the_greater_counts() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    let point = |outside: i32, flow: i32| json!({"outside_c": outside, "flow_c": flow, "capacity_w": 7000, "cop": 3});
    for (by_data, needed) in [(100.0, 100.0), (50.0, 77.39)] {
        job["plant"]["heat_source"] = json!({"kind": "given", "description": "unit", "water_l": 3, "defrost_included": true,
            "minimum_flow_l_h": 200, "defrost_kwh": 0.9, "minimum_water_l": by_data,
            "points": [point(-15, 35), point(-15, 55), point(7, 35), point(7, 55)],
            "pump": [{"flow_l_h": 0, "head_kpa": 90}, {"flow_l_h": 2000, "head_kpa": 60}]});
        let answer = service.answer("/v1/pipework", &job).await;
        close(&answer["pipework"]["arrangement"]["needed_water_l"], needed, 1e-4);
    }
}

/// A fan convector that the floor leaves nothing to carry is not hung: 20 m of tube to it neither flow nor stand open, and what is
/// open is what is open without it.
#[tokio::test]
async fn what_is_left_out_is_not_open() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"]["stays_open"] = json!([{"manifold": "day"}]);
    let open = |answer: &Value| {
        let arrangement = &answer["pipework"]["arrangement"];
        ["open_flow_l_h", "open_water_l"].map(|name| number(&arrangement[name]))
    };
    let without = open(&service.answer("/v1/pipework", &job).await);
    job["rooms"]["living"]["emitters"]["fan"] = json!({"kind": "fan_convector"});
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 35});
    job["pipework"]["runs"]["to_fan"] =
        json!({"from": "header", "length_m": 20, "serves": [{"room": "living", "emitter": "fan"}]});
    job["pipework"]["stays_open"] = json!([{"manifold": "day"}, {"room": "living", "emitter": "fan"}]);
    let answer = service.answer("/v1/pipework", &job).await;
    assert!(row(&answer["pipework"]["sections"], "id", "to_fan").get("tube").is_none());
    let with = open(&answer);
    assert!(with.iter().zip(without).all(|(with, without)| (with - without).abs() < 1e-6), "{with:?} and {without:?}");
}
