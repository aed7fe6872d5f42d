//! Fluid and frost, the circuits of the plant, what joins heat source and system, hidden tubes and coils, over HTTP.

use serde_json::{Value, json};
use tundish::methods::math::pow;

use super::figures::number;
use super::helpers::{close, fixture, problem, published, rooms_of, shared_service, warned};

fn warnings(answer: &Value) -> Vec<&str> {
    let notes = answer["notes"]["warnings"].as_array().unwrap();
    notes.iter().map(|note| note["code"].as_str().unwrap()).collect()
}

/// Water of 25 % propylene glycol by mass carries less and takes more; it guards to −9.8 °C and no further.
#[tokio::test]
async fn glycol_flows_through_every_stage() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    let plain = service.answer("/v1/proposal", &job).await;
    job["heating"]["fluid"] = json!({"kind": "glycol", "substance": "propylene", "fraction": 0.25});
    job["pipework"]["freeze_protection"] = json!({"coldest_c": -9});
    let mixed = service.answer("/v1/proposal", &job).await;
    let flow = |answer: &Value| number(&answer["pipework"]["pump"]["flow_l_h"]);
    // floors take more of it besides, for its film is thicker
    assert!((1.038..1.12).contains(&(flow(&mixed) / flow(&plain))), "{} and {}", flow(&plain), flow(&mixed));
    assert!(number(&mixed["pipework"]["pump"]["head_kpa"]) > number(&plain["pipework"]["pump"]["head_kpa"]));
    let expansion = |answer: &Value| number(&answer["plant"]["expansion_vessel"]["expansion"]);
    assert!(expansion(&mixed) > 1.3 * expansion(&plain));
    let line = |answer: &Value, code: &str| {
        answer["bill"]["lines"].as_array().unwrap().iter().find(|line| line["code"] == code).cloned()
    };
    assert!(line(&plain, "inhibitor").is_some() && line(&mixed, "inhibitor").is_none());
    let antifreeze = line(&mixed, "antifreeze_pg").unwrap();
    // a quarter of the mass: litres · 1019.3 · 0.25 / 1036, in cans of 10 l
    let litres = number(&mixed["plant"]["water_content"]["total_l"]) * 1019.28 * 0.25 / 1036.0;
    assert!((number(&antifreeze["quantity"]) - (litres / 10.0).ceil()).abs() < 1e-9, "{antifreeze} for {litres} l");
    assert!(!warnings(&mixed).contains(&"mixture_can_freeze"));
    job["pipework"]["freeze_protection"] = json!({"coldest_c": -10});
    assert!(warnings(&service.answer("/v1/pipework", &job).await).contains(&"mixture_can_freeze"));
    let keys: Vec<&str> =
        mixed["sources"].as_array().unwrap().iter().map(|source| source["key"].as_str().unwrap()).collect();
    assert!(keys.contains(&"melinder"), "{keys:?}");
    job["heating"]["fluid"]["fraction"] = json!(0.05);
    problem(service.post("/v1/pipework", &job).await, 422).await;
}

/// Source: `CoolProp` 8.0.0 at 50 °C: water 988.0904 kg/m³ and 4179.326 J/(kgK), 25 % propylene glycol 1004.378 and 3992.38:
/// the same heat at the same drop takes 1.0298 of the volume. Tolerance: 0.1 %.
#[tokio::test]
async fn a_mixture_carries_less_by_the_litre() {
    let service = shared_service();
    let mut job = rooms_of(&[(1400.0, 20.0, json!({"fan": {"kind": "fan_convector"}}))]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 52.5}, "drop_k": 5});
    let plain = service.answer("/v1/pipework", &job).await;
    job["heating"]["fluid"] = json!({"kind": "glycol", "substance": "propylene", "fraction": 0.25});
    let mixed = service.answer("/v1/pipework", &job).await;
    let [plain, mixed] = [&plain, &mixed].map(|answer| number(&answer["pipework"]["pump"]["flow_l_h"]));
    let expected = 988.0904 * 4179.326 / (1004.378 * 3992.38);
    assert!((mixed / plain / expected - 1.0).abs() < 0.001, "{mixed} and {plain}");
}

/// Plain water outdoors is warned of until valves guard it, two of which are in the bill; valves and antifreeze together are
/// refused.
#[tokio::test]
async fn frost_is_kept_off_in_one_way_or_the_other() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    let bare = service.answer("/v1/pipework", &job).await;
    assert!(warnings(&bare).contains(&"water_can_freeze"));
    job["pipework"]["freeze_protection"] = json!({"valves": true});
    let guarded = service.answer("/v1/proposal", &job).await;
    assert!(!warnings(&guarded).contains(&"water_can_freeze"));
    let lines = guarded["bill"]["lines"].as_array().unwrap();
    let valves = lines.iter().find(|line| line["code"] == "freeze_valve").unwrap();
    assert!((number(&valves["quantity"]) - 2.0).abs() < 1e-9);
    let cautions = guarded["notes"]["cautions"].as_array().unwrap();
    assert!(cautions.iter().any(|note| note["code"] == "freeze_valves"), "what comes out of them is told");
    job["heating"]["fluid"] = json!({"kind": "glycol", "substance": "ethylene", "fraction": 0.3});
    let both = problem(service.post("/v1/pipework", &job).await, 422).await;
    assert_eq!(both["errors"][0]["code"], "both_freeze_protections");
    job["pipework"]["freeze_protection"] = json!({});
    let poison = service.answer("/v1/pipework", &job).await;
    let cautions = poison["notes"]["cautions"].as_array().unwrap();
    assert!(cautions.iter().any(|note| note["code"] == "antifreeze"), "it is poisonous");
}

/// The way to the cylinder is held against the pump at the flow of hot water, through the primary.
#[tokio::test]
async fn hot_water_has_a_circuit_of_its_own() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"]["primary"] = json!({"length_m": 5, "outdoor_m": 1, "bends": 6, "insulation": {"kind": "by_place"},
        "hoses": {"kv_m3_h": 8, "length_m": 0.6}});
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 3, "bends": 4, "coil_kv_m3_h": 3});
    let answer = service.answer("/v1/proposal", &job).await;
    let circuit = &answer["pipework"]["hot_water_circuit"];
    let source = answer["plant"]["heat_source"]["candidates"].as_array().unwrap();
    let chosen = source.iter().find(|candidate| candidate["chosen"] == true).unwrap();
    // output at 5 K: litres of water at 51.5 °C, 987.4 kg/m³ and 4180 J/(kgK)
    let expected = number(&chosen["hot_water_capacity_w"]) / (4180.0 * 5.0) / 987.4 * 3.6e6;
    assert!((number(&circuit["section"]["flow_l_h"]) / expected - 1.0).abs() < 0.002, "{circuit}");
    let parts = ["coil_pressure_drop_pa", "primary_pressure_drop_pa", "plant_pressure_drop_pa"];
    let sum: f64 =
        parts.iter().map(|part| number(&circuit[part])).sum::<f64>() + number(&circuit["section"]["pressure_drop_pa"]);
    assert!((number(&circuit["head_kpa"]) - sum / 1000.0).abs() < 1e-4);
    // 1 bar at 3 m³/h
    let coil = 1e5 * pow(number(&circuit["section"]["flow_l_h"]) / 3000.0, 2.0) * 0.9874;
    assert!((number(&circuit["coil_pressure_drop_pa"]) / coil - 1.0).abs() < 0.001);
    assert!(number(&circuit["head_kpa"]) < number(&circuit["own_head_kpa"]));
    // what lies in the open is insulated for the open and the rest for a room, and both are in the bill; so are two hoses
    let primary = &answer["pipework"]["primary"];
    assert!((number(&primary["outdoor_insulation_mm"]) - 40.0).abs() < 1e-9, "{primary}");
    assert!((number(&primary["insulation_mm"]) - 13.0).abs() < 1e-9, "{primary}");
    let line = |code: &Value| answer["bill"]["lines"].as_array().unwrap().iter().find(|line| line["code"] == *code);
    // 8 m inside and 2 m outside with a tenth of waste, in lengths of 2 m
    assert!((number(&line(&primary["insulation"]).unwrap()["quantity"]) - 5.0).abs() < 1e-9);
    assert!((number(&line(&primary["outdoor_insulation"]).unwrap()["quantity"]) - 2.0).abs() < 1e-9);
    assert!((number(&line(&json!("hose_600")).unwrap()["quantity"]) - 2.0).abs() < 1e-9);
    // a coil that lets little through is more than the pump has
    job["pipework"]["hot_water_circuit"]["coil_kv_m3_h"] = json!(0.3);
    let tight = service.answer("/v1/pipework", &job).await;
    assert_eq!(tight["pipework"]["unmet"][0]["code"], "pump_too_weak_for_hot_water");
}

/// Insulation: a bare run loses what a governments's law says, an insulated one a fraction of it.
#[tokio::test]
async fn insulated_runs_lose_less() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    let loss = |answer: &Value| number(&answer["pipework"]["sections"][0]["heat_loss_w"]);
    let bare = loss(&service.answer("/v1/pipework", &job).await);
    job["pipework"]["insulation"] = json!({"kind": "by_place"});
    let usual = service.answer("/v1/pipework", &job).await;
    job["pipework"]["runs"]["header"]["insulation"] =
        json!({"kind": "given", "thickness_mm": 60, "conductivity_w_mk": 0.03});
    let thick = loss(&service.answer("/v1/pipework", &job).await);
    assert!(thick < loss(&usual) && loss(&usual) < 0.5 * bare, "{bare}, {}, {thick}", loss(&usual));
    assert!((number(&usual["pipework"]["sections"][0]["insulation_mm"]) - 19.0).abs() < 1e-9, "in the plant room");
}

/// Own pump, added water, separation: each for its reason.
#[tokio::test]
async fn heat_source_and_system_are_joined_for_a_reason() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["commercial"]["quote_date"] = json!("2026-11-02");
    let kind = |answer: &Value| answer["pipework"]["arrangement"]["kind"].as_str().unwrap().to_owned();
    let reasons = |answer: &Value| answer["pipework"]["arrangement"]["reasons"].clone();
    let direct = service.answer("/v1/proposal", &job).await;
    assert_eq!((kind(&direct).as_str(), reasons(&direct)), ("direct", json!([])));
    // with one manifold open, the larger of the two, there is flow enough for a smaller unit, and too little water
    let given = |minimum_flow: f64, defrost_kwh: f64, head: f64| {
        let point = |outside: f64, flow: f64, w: f64, cop: f64| json!({"outside_c": outside, "flow_c": flow, "capacity_w": w, "cop": cop});
        json!({"heat_source": {"kind": "given", "description": "unit", "water_l": 2.4, "defrost_included": true,
            "minimum_flow_l_h": minimum_flow, "defrost_kwh": defrost_kwh,
            "points": [point(-15.0, 35.0, 6000.0, 2.4), point(-15.0, 55.0, 5500.0, 1.5), point(7.0, 35.0, 8000.0, 4.5), point(7.0, 55.0, 7400.0, 2.9)],
            "pump": [{"flow_l_h": 0, "head_kpa": head}, {"flow_l_h": 2000, "head_kpa": 0.5 * head}]},
            "cylinder": {"kind": "choose"}})
    };
    job["pipework"]["stays_open"] = json!([{"manifold": "day"}]);
    job["plant"] = given(200.0, 0.9, 70.0);
    let added = service.answer("/v1/proposal", &job).await;
    assert_eq!((kind(&added).as_str(), reasons(&added)), ("added_water", json!(["water"])));
    // 0.9 kWh over 10 K
    assert!((number(&added["pipework"]["arrangement"]["needed_water_l"]) - 77.39).abs() < 0.01);
    let vessel = added["pipework"]["arrangement"]["vessel"].clone();
    assert!(added["bill"]["lines"].as_array().unwrap().iter().any(|line| line["code"] == vessel));
    assert!(number(&added["plant"]["water_content"]["buffer_vessel_l"]) > 0.0);
    job["pipework"]["stays_open"] = json!([]);
    job["plant"] = given(420.0, 0.2, 70.0);
    let shut = service.answer("/v1/proposal", &job).await;
    assert_eq!((kind(&shut).as_str(), reasons(&shut)), ("bypass_added_water", json!(["minimum_flow", "water"])));
    for part in ["bypass", "vessel"] {
        let code = &shut["pipework"]["arrangement"][part];
        assert!(code.is_string() && shut["bill"]["lines"].as_array().unwrap().iter().any(|line| line["code"] == *code));
    }
    // a unit that bears less than the system takes is parted from it
    job["plant"]["heat_source"]["minimum_flow_l_h"] = json!(100);
    job["plant"]["heat_source"]["maximum_flow_l_h"] = json!(200);
    let parted = service.answer("/v1/proposal", &job).await;
    assert_eq!(kind(&parted), "separated");
    assert_eq!(reasons(&parted), json!(["greatest_flow", "minimum_flow", "water"]));
    assert!((number(&parted["pipework"]["arrangement"]["unit_flow_l_h"]) - 200.0).abs() < 1e-6);
    let second = parted["pipework"]["arrangement"]["second_pump"].clone();
    assert!(parted["bill"]["lines"].as_array().unwrap().iter().any(|line| line["code"] == second));
    job["pipework"]["stays_open"].take();
    job["plant"] = given(200.0, 0.2, 7.0);
    let weak = service.answer("/v1/pipework", &job).await;
    assert_eq!((kind(&weak).as_str(), reasons(&weak)), ("separated", json!(["head"])));
    assert_eq!(weak["pipework"]["choice"]["beyond_pump"], true);
    assert_eq!(weak["pipework"]["complete"], true, "{}", weak["pipework"]["unmet"]);
}

/// While floors cool the same tubes carry the flow that they take, at the rise that the job wants.
#[tokio::test]
async fn cooling_has_a_flow_and_a_head() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["cooling"] = json!({"flow_temperature_c": 18, "rise_k": 3});
    let answer = service.answer("/v1/pipework", &job).await;
    let circuit = &answer["pipework"]["cooling_circuit"];
    // water of 19.5 °C: 998.35 kg/m³, 4184.6 J/(kgK)
    let expected = number(&circuit["output_w"]) / (4184.6 * 3.0) / 998.35 * 3.6e6;
    assert!((number(&circuit["flow_l_h"]) / expected - 1.0).abs() < 0.002, "{circuit}");
    assert!(number(&circuit["head_kpa"]) > 0.0 && circuit["index_circuit"].is_string());
}

/// A tube behind plaster: readings forward of a known tube come back as that tube among others, and the design bears it.
#[tokio::test]
async fn a_hidden_tube_is_read() {
    let service = shared_service();
    let mut job = rooms_of(&[(900.0, 14.0, json!({"rad": {"kind": "radiator"}}))]);
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 50});
    // 15 x 0.7 copper, 24 m straight both ways, water of 20 °C; worked apart from this program with exact Colebrook-White:
    // 300 l/h, 0.5737 m/s, Re 7776, f 0.03320, 401.0 Pa/m; 420 l/h, 0.8031 m/s, Re 10887, f 0.03039, 719.3 Pa/m
    let reading = |flow: f64, kpa: f64| json!({"flow_l_h": flow, "pressure_difference_kpa": kpa, "temperature_c": 20});
    job["pipework"]["runs"] = json!({"hidden": {"from": "plant", "length_m": 10, "serves": [{"room": "r0", "emitter": "rad"}],
        "readings": {"points": [reading(300.0, 9.624), reading(420.0, 17.263)], "flow_spread": 0.03, "pressure_spread": 0.03}}});
    let answer = service.answer("/v1/pipework", &job).await;
    let row = &answer["pipework"]["hidden_tubes"][0];
    let pairs = row["pairs"].as_array().unwrap();
    let own = pairs.iter().find(|pair| (number(&pair["bore_mm"]) - 13.6).abs() < 1e-9).unwrap();
    assert!((number(&own["length_m"]) / 24.0 - 1.0).abs() < 0.005, "{own}");
    assert!(pairs.len() > 1 && row["detail"].as_str().unwrap().contains("cannot tell bore and length apart"), "{row}");
    let [least, likely, greatest] =
        ["pressure_drop_least_pa", "pressure_drop_pa", "pressure_drop_greatest_pa"].map(|name| number(&row[name]));
    assert!(least < likely && likely < greatest);
    let section = &answer["pipework"]["sections"][0];
    assert!((number(&section["pressure_drop_pa"]) - greatest).abs() < 1e-3 && section.get("tube").is_none());
    assert_eq!(section["existing_tube"]["verdict"], "kept");
    // the pump has head enough: all of the room's 900 W come through
    for heat in [&row["heat_w"], &row["heat_least_w"]] {
        assert!((number(heat) / 900.0 - 1.0).abs() < 1e-6, "{row}");
    }
    // what it holds is what the best of the pairs does, and no pair is shorter than the route both ways
    assert!(number(&section["water_content_l"]) > 0.0 && number(&section["velocity_m_s"]) > 0.0, "{section}");
    assert!(pairs.iter().all(|pair| number(&pair["length_m"]) >= 19.0), "{row}");
    // behind a pump with little head, and no other on sale, it lets less through; the least is no more than the likely
    let point = |outside: f64, flow: f64| json!({"outside_c": outside, "flow_c": flow, "capacity_w": 4000, "cop": 2});
    let pump = json!([{"flow_l_h": 0, "head_kpa": 1.2}, {"flow_l_h": 2000, "head_kpa": 1.1}]);
    let mut weak = job.clone();
    weak["pipework"]["runs"]["hidden"]["readings"]["points"] = json!([reading(60.0, 3.0), reading(120.0, 10.2)]);
    weak["plant"] = json!({"heat_source": {"kind": "given", "description": "unit", "water_l": 2, "defrost_included": true,
        "points": [point(-15.0, 35.0), point(-15.0, 55.0), point(7.0, 35.0), point(7.0, 55.0)], "pump": pump}});
    let choked = service.answer("/v1/pipework", &weak).await;
    let row = &choked["pipework"]["hidden_tubes"][0];
    assert!(number(&row["heat_least_w"]) <= number(&row["heat_w"]), "{row}");
    // a second pump carries it then, and every pair runs faster than an occupied place allows or not: the row says which
    assert_eq!(choked["pipework"]["arrangement"]["kind"], "separated");
    // readings that no bore explains are told as that, and the tube is not counted
    job["pipework"]["runs"]["hidden"]["readings"]["points"] = json!([reading(1.0, 500.0)]);
    let odd = service.answer("/v1/pipework", &job).await;
    let unmet = odd["pipework"]["unmet"].as_array().unwrap();
    let codes: Vec<&str> = unmet.iter().map(|row| row["code"].as_str().unwrap()).collect();
    assert!(codes.contains(&"readings_unexplained") && !codes.contains(&"no_tube"), "{codes:?}");
}

/// Source: a house worked by hand with coils of 200 m. With coils of 60 m no loop can be longer: it is laid in more loops, and
/// none is joined.
#[tokio::test]
async fn loops_are_no_longer_than_a_coil() {
    let service = shared_service();
    let mut job = published("hand_house");
    let whole = service.answer("/v1/pipework", &job).await;
    let coils = whole["pipework"]["coils"].as_array().unwrap();
    assert_eq!((coils.len(), coils[0]["loops"].as_array().unwrap().len()), (1, 2));
    assert!((number(&coils[0]["left_m"]) - 73.6).abs() < 1e-6);
    assert_eq!(coils[0]["detail"], "coil 1 of 200 m: loop 1 of living 63.2 m, loop 2 of living 63.2 m, left 73.6 m");
    job["commercial"]["price_book"]["products"]["floor_tube_16"]["pack_m"] = json!(60);
    let answer = service.answer("/v1/proposal", &job).await;
    let coils = answer["pipework"]["coils"].as_array().unwrap();
    assert!(coils.len() == 3 && coils.iter().all(|coil| number(&coil["loops"][0]["length_m"]) <= 60.0), "{coils:?}");
    let line = answer["bill"]["lines"].as_array().unwrap().iter().find(|line| line["code"] == "floor_tube_16").unwrap();
    assert!((number(&line["quantity"]) - 3.0).abs() < 1e-9);
    assert_eq!(answer["bill"]["complete"], true, "{}", answer["bill"]["unmet"]);
}

/// A job with everything that pipes can have: every figure that a working is told of stands in the answer, and every source
/// that one names is listed.
#[tokio::test]
async fn workings_of_every_circuit_point_into_the_answer() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"]["sizing"] = json!({"kind": "least_cost"});
    job["pipework"]["primary"] = json!({"length_m": 5, "outdoor_m": 1, "bends": 4, "fittings": [
        {"kind": "named", "name": "ball_valve", "count": 4}, {"kind": "kv", "kv_m3_h": 9, "count": 1},
        {"kind": "zeta", "zeta": 0.5, "count": 2}], "insulation": {"kind": "by_place"}, "hoses": {"kv_m3_h": 8, "length_m": 0.6}});
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 3, "bends": 4});
    job["pipework"]["runs"]["to_day"]["readings"] =
        json!({"points": [{"flow_l_h": 300, "pressure_difference_kpa": 1.4}]});
    job["pipework"]["runs"]["to_night"]["crosses_joists"] = json!({"depth_mm": 195});
    job["cooling"] = json!({"flow_temperature_c": 18, "rise_k": 3});
    for fluid in [json!({"kind": "water"}), json!({"kind": "glycol", "substance": "propylene", "fraction": 0.3})] {
        job["heating"]["fluid"] = fluid;
        let answer = service.answer("/v1/pipework?workings=true", &job).await;
        let listed: Vec<&str> =
            answer["sources"].as_array().unwrap().iter().map(|one| one["key"].as_str().unwrap()).collect();
        let workings = answer["workings"].as_array().unwrap();
        for working in workings {
            let figure = working["figure"].as_str().unwrap();
            assert!(answer.pointer(figure).is_some(), "{figure} of {working}");
            assert!(listed.contains(&working["source"].as_str().unwrap()), "{working}");
        }
        for figure in [
            "/pipework/primary/pressure_drop_pa",
            "/pipework/hot_water_circuit/section/pressure_drop_pa",
            "/pipework/pump/speed",
            "/pipework/balancing/1/kv_m3_h",
        ] {
            assert!(workings.iter().any(|working| working["figure"] == figure), "{figure}");
        }
    }
}

/// Valves empty what they can reach: a long way outdoors keeps its water, and that is said with what stays in it.
#[tokio::test]
async fn freeze_protection_valves_do_not_keep_a_long_way_outdoors_from_freezing() {
    let service = shared_service();
    let mut job = fixture("farmhouse");
    let told = |answer: &Value| warned(answer, "valves_leave_water").into_iter().cloned().collect::<Vec<Value>>();
    job["pipework"]["primary"]["length_m"] = json!(25);
    for (outdoor_m, is_told) in [(4.0, false), (22.0, true)] {
        job["pipework"]["primary"]["outdoor_m"] = json!(outdoor_m);
        let answer = service.answer("/v1/pipework", &job).await;
        let found = told(&answer);
        assert_eq!(found.len(), usize::from(is_told), "{outdoor_m} m: {found:?}");
        let Some(note) = found.first() else { continue };
        assert_eq!(note["pointer"], "/pipework/primary");
        close(&note["values"]["outdoor_m"], 22.0, 1e-9);
        // of both legs and hoses what lies beyond the reach
        let content_l = number(&answer["pipework"]["primary"]["water_content_l"]);
        close(&note["values"]["left_l"], content_l * 17.0 / 25.0, 1e-6);
    }
    job["pipework"]["freeze_protection"] = json!({});
    assert!(told(&service.answer("/v1/pipework", &job).await).is_empty());
}
