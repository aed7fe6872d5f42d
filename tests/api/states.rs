//! Emitters as they are set and at their loads: two states whose figures are never mixed.

use serde_json::{Value, json};
use tundish::methods::math::pow;

use super::figures::number;
use super::floor_job::{self, losing, near};
use super::helpers::{close, fixture, problem, published, rooms_of, row, shared_service, unit_of};

/// A room of 21 °C that loses so much, with one emitter of 12 m² of floor, at a flow temperature and a drop of 5 K.
fn one(loss_w: f64, flow_c: f64, emitter: &Value) -> Value {
    let mut job = rooms_of(&[(loss_w, 12.0, json!({"e": emitter}))]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": flow_c}, "drop_k": 5});
    job
}

fn hanging(output_w: f64) -> Value {
    json!({"kind": "radiator", "existing":
        {"kind": "rated", "output_w": output_w, "exponent": 1.3, "water_l": 5, "keep": "always"}})
}

async fn first(job: &Value) -> Value {
    shared_service().answer("/v1/emitters", job).await["emitters"]["rooms"][0]["emitters"][0].clone()
}

/// Litres an hour of so many kilograms, water of 37.5 and of 42.5 °C (tables of water).
fn litres(kg_h: f64, flow_c: f64) -> f64 {
    kg_h / if flow_c > 42.0 { 0.991_24 } else { 0.993_16 }
}

/// Source: EN 442 and conservation of energy. A panel of 2,000 W, n 1.3, that must give 420 W at 21 °C from 40 °C: mean 15.00 K, return
/// 32.61 °C, 48.9 kg/h. At a drop of 5 K its load alone takes 84 W/K of water; so set it gives 460.53 W and comes back at 34.517 °C
/// (solved by `SciPy`, the first row of `radiator_flow.csv`). Half of the last digit for the first, 1e-5 for the second.
#[tokio::test]
async fn a_radiator_is_set_by_the_nominal_drop_and_throttled_to_its_load() {
    let row = first(&one(420.0, 40.0, &hanging(2000.0))).await;
    close(&row["output_w"], 460.527_451, 1e-5);
    close(&row["return_temperature_c"], 34.517_493, 1e-5);
    close(&row["flow_l_h"], litres(84.0 * 3600.0 / 4178.6, 40.0), 1e-3);
    let at_load = &row["at_load"];
    close(&at_load["output_w"], 420.0, 1e-6);
    near("return", &at_load["return_temperature_c"], 32.61, 0.006);
    close(&at_load["flow_l_h"], litres(48.9, 40.0), 2e-3);
    // by load it is set to just that
    let mut job = one(420.0, 40.0, &hanging(2000.0));
    job["heating"]["flow_rule"] = json!("by_load");
    let by_load = first(&job).await;
    for figure in ["output_w", "return_temperature_c", "flow_l_h"] {
        assert_eq!((&by_load[figure], &by_load["at_load"][figure]), (&at_load[figure], &at_load[figure]));
    }
}

/// Source: EN 442: at 45/40/21 °C a radiator 38 % too large takes 0.39 of the nominal flow for its load. Half of the last digit. Common
/// practice: no radiator is set to less than 30 l/h.
#[tokio::test]
async fn an_exact_flow_is_no_design_flow_and_none_is_below_the_least() {
    // 21.405 K at the nominal drop: rated so that it gives 1.38 times its load
    let rated_w = |load_w: f64| 1.38 * load_w * pow(49.833 / 21.405, 1.3);
    let row = first(&one(900.0, 45.0, &hanging(rated_w(900.0)))).await;
    close(&row["capacity_w"], 1.38 * 900.0, 2e-4);
    near("exact to set", &json!(number(&row["at_load"]["flow_l_h"]) / number(&row["flow_l_h"])), 0.39, 0.005);
    let mut small = one(120.0, 45.0, &hanging(rated_w(120.0)));
    let row = first(&small).await;
    close(&row["flow_l_h"], 30.0, 1e-6);
    assert!(number(&row["at_load"]["flow_l_h"]) < 10.0, "{row}");
    small["heating"]["least_flow"] = json!({"radiator_l_h": 45});
    close(&first(&small).await["flow_l_h"], 45.0, 1e-6);
    small["heating"]["least_flow"] = json!({"radiator_l_h": 0});
    close(&first(&small).await["flow_l_h"], litres(120.0 / 5.0 / 4179.5 * 3600.0, 45.0), 1e-3);
}

/// Source: common practice: a loop's meter begins at 30 l/h; beyond that a floor without a thermostat takes what its load does.
#[tokio::test]
async fn a_floor_is_set_to_its_load_and_each_loop_to_thirty_litres_at_least() {
    for (w_m2, is_least) in [(10.0, true), (75.0, false)] {
        let mut job = losing(w_m2, 40.0, &json!({}));
        job["heating"].as_object_mut().unwrap().remove("flow_rule");
        let row = floor_job::row(shared_service(), &job).await;
        let loops = row["loops"].as_array().unwrap();
        if is_least {
            for one in loops {
                near("loop", &one["flow_l_min"], 0.5, 1e-6);
            }
            assert!(number(&row["output_w"]) > number(&row["load_w"]));
        } else {
            assert_eq!(row["output_w"], row["at_load"]["output_w"]);
            assert!(loops.iter().all(|one| number(&one["flow_l_min"]) > 0.5));
        }
        near("load", &row["at_load"]["output_w"], w_m2 * 14.0, 1e-3);
    }
}

/// With a thermostat of its own a floor is set to the nominal drop, but no warmer than its surface bears: at 55 °C 5 K would take it
/// far beyond 29 °C (EN 1264: 8.92·8^1.1 = 87.9 W/m² in a room of 21 °C).
#[tokio::test]
async fn a_thermostat_lets_a_floor_have_more_up_to_its_surface_limit() {
    let thermostat = json!({"room_thermostat": true, "design_on": {"kind": "standard"}});
    let set = async |w_m2: f64, flow_c: f64, floor: &Value| {
        let mut job = losing(w_m2, flow_c, floor);
        job["heating"].as_object_mut().unwrap().remove("flow_rule");
        floor_job::row(shared_service(), &job).await
    };
    let mild = set(40.0, 36.0, &thermostat).await;
    let plain = set(40.0, 36.0, &json!({"design_on": {"kind": "standard"}})).await;
    assert!(number(&mild["flow_l_h"]) > 1.2 * number(&plain["flow_l_h"]), "{mild} {plain}");
    // what it carries at its load, at 5 K
    let (up_w, down_w) = (number(&mild["at_load"]["output_w"]), number(&mild["at_load"]["downward_w"]));
    close(&mild["flow_l_h"], litres((up_w + down_w) / 5.0 / 4178.5 * 3600.0, 36.0), 2e-3);
    let hot = set(60.0, 55.0, &thermostat).await;
    assert!(number(&hot["floor_surface_c"]) <= 29.0 + 1e-4, "{hot}");
    close(&hot["output_w_m2"], number(&hot["limit_w_m2"]), 1e-6);
    assert!(number(&hot["output_w"]) > number(&hot["load_w"]));
}

/// A bedroom's floor that needs 0.1 l/min at 55 °C cannot be set to that: at 30 l/h its surface is beyond its limit, which is told with
/// what mends it and asks for no warmer water.
#[tokio::test]
async fn a_floor_that_its_least_flow_warms_too_far_is_told() {
    let service = shared_service();
    let mut job = losing(20.0, 55.0, &json!({"surface_limit_c": 27, "unheated_area_m2": 8}));
    job["heating"].as_object_mut().unwrap().remove("flow_rule");
    let answer = service.answer("/v1/emitters", &job).await;
    let unmet = answer["emitters"]["unmet"].as_array().unwrap();
    let [told] = unmet.as_slice() else { panic!("{unmet:?}") };
    let row = &answer["emitters"]["rooms"][0]["emitters"][0];
    assert_eq!((&told["code"], &told["pointer"]), (&json!("floor_too_warm"), &json!("/rooms/room/emitters/floor")));
    assert_eq!((&told["need"], &told["reached"]), (&row["limit_w_m2"], &row["output_w_m2"]));
    assert!(told["detail"].as_str().unwrap().contains("mixing set"));
    assert!(number(&told["reached"]) > number(&told["need"]) && answer["emitters"]["complete"] == false);
    // exactly its load would be within its limit
    job["heating"]["flow_rule"] = json!("by_load");
    assert_eq!(service.answer("/v1/emitters", &job).await["emitters"]["complete"], true);
}

/// Common practice: what its least flow makes too warm at 100 mm, in two loops, is laid at 150 mm in one, where a fan convector
/// makes up for the difference or the room is short of heat in any case. Of no floor that is told too warm another spacing would do.
#[tokio::test]
async fn no_spacing_that_runs_too_warm_is_laid_where_another_would_do() {
    let service = shared_service();
    let floor = json!({"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}});
    let codes = |answer: &Value| -> Vec<String> {
        let unmet = answer["emitters"]["unmet"].as_array().unwrap();
        unmet.iter().map(|told| told["code"].as_str().unwrap().to_owned()).collect()
    };
    for (others, expected) in [
        (json!({"floor": floor, "fan": {"kind": "fan_convector"}}), vec![]),
        (json!({"floor": floor}), vec!["floor_too_weak"]),
    ] {
        let mut job = rooms_of(&[(1300.0, 11.5, others)]);
        job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 48}, "drop_k": 5});
        let answer = service.answer("/v1/emitters", &job).await;
        assert_eq!(codes(&answer), expected);
        let laid = &answer["emitters"]["rooms"][0]["emitters"][0];
        assert_eq!((&laid["spacing_mm"], laid["loops"].as_array().unwrap().len()), (&json!(150.0), 1));
        // the closest by itself is too warm, and gives more
        job["rooms"]["r0"]["emitters"]["floor"]["spacings_mm"] = json!([100]);
        let closest = service.answer("/v1/emitters", &job).await;
        assert!(codes(&closest).iter().any(|code| code == "floor_too_warm"));
        let capacity_w = number(&closest["emitters"]["rooms"][0]["emitters"][0]["capacity_w"]);
        assert!(capacity_w > number(&laid["capacity_w"]));
    }
    let mut too_warm = 0;
    for flow_c in [36, 41, 45, 50, 54] {
        let mut job = fixture("bungalow");
        job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": flow_c});
        let answer = service.answer("/v1/emitters", &job).await;
        for told in answer["emitters"]["unmet"].as_array().unwrap() {
            if told["code"] != "floor_too_warm" {
                continue;
            }
            too_warm += 1;
            let place = told["pointer"].as_str().unwrap();
            for spacing_mm in [100, 150, 200, 250, 300] {
                let mut other = job.clone();
                other.pointer_mut(place).unwrap()["spacings_mm"] = json!([spacing_mm]);
                let answer = service.answer("/v1/emitters", &other).await;
                let mut unmet = answer["emitters"]["unmet"].as_array().unwrap().iter();
                assert!(unmet.any(|told| told["pointer"] == place), "{flow_c} °C, {place} at {spacing_mm} mm");
            }
        }
    }
    assert!(too_warm > 0);
}

/// Source: tables of water: 1.0016, 0.7972 and 0.6527 mPa s at 20, 30 and 40 °C, between them by the logarithm; Hagen-Poiseuille. A loop
/// of 12 mm bore that is laminar takes 128 µ L q / (π d⁴) by its own mean temperature, with its valves of Kv 1.1 beside. Tolerance 1 %:
/// the logarithm between ten kelvins is off by as much.
#[tokio::test]
async fn the_friction_of_a_loop_goes_by_its_own_mean_temperature() {
    let job = losing(35.0, 45.0, &json!({"loop_bends": 0}));
    let row = floor_job::row(shared_service(), &job).await;
    let mean_c = 0.5 * (45.0 + number(&row["return_temperature_c"]));
    assert!(mean_c < 37.5 && mean_c > 30.0, "{mean_c}: 5 K below the flow would be 42.5");
    let viscosity = 0.7972e-3 * pow(0.6527 / 0.7972, (mean_c - 30.0) / 10.0);
    let one = &row["loops"][0];
    let flow_m3_s = number(&one["flow_l_min"]) / 60_000.0;
    let straight = 128.0 * viscosity * number(&one["length_m"]) * flow_m3_s / (std::f64::consts::PI * pow(0.012, 4.0));
    let valves = 1e5 * pow(3600.0 * flow_m3_s / 1.1, 2.0);
    close(&one["pressure_drop_kpa"], (straight + valves) / 1000.0, 0.01);
}

/// Sums close in each state, pipes carry what is set, and the heat source what is lost: the loads with what goes downward.
#[tokio::test]
async fn each_state_adds_up_and_the_source_carries_the_loads() {
    let service = shared_service();
    for name in ["chapel", "farmhouse", "terrace", "bungalow"] {
        let mut job = fixture(name);
        let mut chosen = Vec::new();
        for rule in ["by_drop", "by_load"] {
            job["heating"]["flow_rule"] = json!(rule);
            let answer = service.answer("/v1/proposal", &job).await;
            let emitters = &answer["emitters"];
            let rooms = emitters["rooms"].as_array().unwrap();
            let rows: Vec<&Value> = rooms.iter().flat_map(|room| room["emitters"].as_array().unwrap()).collect();
            for (state, of_row) in [("as_set", ""), ("at_load", "/at_load")] {
                for figure in ["flow_l_h", "output_w"] {
                    let sum: f64 =
                        rows.iter().map(|row| number(row.pointer(&format!("{of_row}/{figure}")).unwrap())).sum();
                    close(&emitters[state][figure], sum, 1e-6);
                }
            }
            close(&answer["pipework"]["pump"]["flow_l_h"], number(&emitters["as_set"]["flow_l_h"]), 1e-6);
            let source = &answer["plant"]["heat_source"];
            let loss_w = number(&answer["heat_loss"]["dwelling"]["design_heat_loss_w"]);
            let load_w = loss_w + number(&emitters["downward_w"]) + number(&source["pipe_loss_w"]);
            close(&source["load_w"], load_w, 1e-6);
            let products: Vec<&Value> = rows.iter().map(|row| &row["product"]).collect();
            chosen.push(json!([products, emitters["flow_temperature_c"], source["product"], source["load_w"]]));
        }
        assert_eq!(chosen[0], chosen[1], "{name}");
    }
}

/// What cannot go together is told all at once, whatever part of the job it is in.
#[tokio::test]
async fn what_contradicts_itself_is_refused_all_at_once() {
    let service = shared_service();
    let mut job = published("hand_house");
    job["heating"]["least_flow"] = json!({"radiator_l_h": 30, "loop_l_h": 40});
    job["plant"] = unit_of(8.0, &json!({"minimum_flow_l_h": 4100}));
    job["pipework"]["existing"] = json!({"kind": "kept", "outside_diameters_mm": [15, 14.3]});
    let rooms: Vec<String> = job["rooms"].as_object().unwrap().keys().cloned().collect();
    let heated = |room: usize| format!("/rooms/{}/heated_from", rooms[room]);
    job["rooms"][&rooms[0]]["heated_from"] = json!(rooms[0]);
    job["rooms"][&rooms[1]]["heated_from"] = json!(rooms[2]);
    job["rooms"][&rooms[2]]["heated_from"] = json!(rooms[1]);
    let faults = problem(service.post("/v1/emitters", &job).await, 422).await;
    for (pointer, code) in [
        ("/heating/least_flow/radiator_l_h", "least_flow_by_load"),
        ("/heating/least_flow/loop_l_h", "least_flow_by_load"),
        ("/plant/heat_source/minimum_flow_l_h", "least_flow_above_pump"),
        ("/pipework/existing/outside_diameters_mm/1", "unknown_tube_size"),
        (&heated(0), "heated_from_itself"),
    ] {
        assert_eq!(row(&faults["errors"], "pointer", pointer)["code"], code, "{faults}");
    }
    let circle = faults["errors"].as_array().unwrap().iter().filter(|fault| fault["code"] == "heated_in_a_circle");
    assert!(circle.count() >= 1, "{faults}");
    // nor does a heat source run with more at least than at most
    job["plant"] = unit_of(8.0, &json!({"minimum_flow_l_h": 900, "maximum_flow_l_h": 800}));
    let faults = problem(service.post("/v1/emitters", &job).await, 422).await;
    let at = "/plant/heat_source/minimum_flow_l_h";
    assert_eq!(row(&faults["errors"], "pointer", at)["code"], "bounds_upside_down");
}
