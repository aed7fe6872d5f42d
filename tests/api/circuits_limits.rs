//! What circuits must not do: flows below the heat source's least, tubes that break their limits while hot water is made or
//! floors cool, parts without a price.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{fixture, problem, published, rooms_of, shared_service, unit_of};

fn codes(answer: &Value, stage: &str) -> Vec<String> {
    let unmet = answer[stage]["unmet"].as_array().unwrap();
    unmet.iter().map(|row| row["code"].as_str().unwrap().to_owned()).collect()
}

fn warned(answer: &Value, code: &str) -> bool {
    answer["notes"]["warnings"].as_array().unwrap().iter().any(|note| note["code"] == code)
}

/// Rooms of 1.4 kW each with a fan convector on the largest heat source: so many times 244 l/h.
fn fans(count: usize) -> Value {
    let emitters = json!({"fan": {"kind": "fan_convector"}});
    let mut job = rooms_of(&vec![(1400.0, 20.0, emitters); count]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 52.5}, "drop_k": 5});
    job["plant"] = json!({"heat_source": {"kind": "catalogue", "code": "hs_12"}, "cylinder": {"kind": "choose"}});
    job
}

/// A tube that wears while hot water is made is refused, in the circuit to the cylinder as in the primary, whichever flow it
/// is that wears it.
#[tokio::test]
async fn tubes_are_judged_at_the_flow_of_hot_water_too() {
    let service = shared_service();
    let mut job = fans(5);
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 2, "existing_tube": "cu_22"});
    let answer = service.answer("/v1/pipework", &job).await;
    assert_eq!(codes(&answer, "pipework"), ["existing_tube_refused"]);
    assert_eq!(answer["pipework"]["unmet"][0]["pointer"], "/pipework/hot_water_circuit");
    // new tube too small for it is told as well
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 2});
    job["pipework"]["tubes"] = json!(["cu_15", "cu_22"]);
    let small = service.answer("/v1/pipework", &job).await;
    assert!(codes(&small, "pipework").contains(&"no_tube".to_owned()), "{}", small["pipework"]["unmet"]);
    // a primary that is quiet at the flow of heating
    let mut job = fans(4);
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 2, "drop_k": 4});
    job["pipework"]["primary"] = json!({"length_m": 4, "place": "plant_room", "existing_tube": "cu_22"});
    let answer = service.answer("/v1/pipework", &job).await;
    let row = &answer["pipework"]["primary"]["existing_tube"];
    assert_eq!((&row["verdict"], &row["breaks"]), (&json!("refused"), &json!("erosion")), "{row}");
    assert!(row["reason"].as_str().unwrap().ends_with("while hot water is made"), "{row}");
}

/// The heat source runs with its least flow in every season: behind a separation its own pump moves that, and hot water and
/// cooling below it are told.
#[tokio::test]
async fn the_least_flow_holds_in_every_season() {
    let service = shared_service();
    let point = |outside: f64, flow: f64| json!({"outside_c": outside, "flow_c": flow, "capacity_w": 9000, "cop": 2});
    let given = |least: f64, pump: Value| {
        json!({"kind": "given", "description": "unit", "water_l": 3, "defrost_included": true, "minimum_flow_l_h": least,
            "minimum_water_l": 20, "pump": pump,
            "points": [point(-15.0, 35.0), point(-15.0, 55.0), point(7.0, 35.0), point(7.0, 55.0)]})
    };
    let mut job = fixture("bungalow");
    job["pipework"]["primary"] = json!({"length_m": 12, "outdoor_m": 3, "bends": 6});
    let pump =
        json!([{"flow_l_h": 0, "head_kpa": 40}, {"flow_l_h": 600, "head_kpa": 30}, {"flow_l_h": 1300, "head_kpa": 3}]);
    job["plant"]["heat_source"] = given(1250.0, pump);
    let answer = service.answer("/v1/pipework", &job).await;
    let arrangement = &answer["pipework"]["arrangement"];
    assert_eq!(arrangement["kind"], "separated");
    assert!((number(&arrangement["unit_flow_l_h"]) - 1250.0).abs() < 1e-6);
    assert!((number(&answer["pipework"]["primary"]["flow_l_h"]) - 1250.0).abs() < 1e-3);
    // 4.93 kPa are left at 1250 l/h, between 30 and 3
    assert!(codes(&answer, "pipework").contains(&"pump_too_weak".to_owned()), "{}", answer["pipework"]["unmet"]);
    assert!((number(&answer["pipework"]["pump"]["own_head_kpa"]) - (30.0 - 27.0 * 650.0 / 700.0)).abs() < 1e-4);
    // the system behind it takes no more than before
    assert!(number(&answer["pipework"]["pump"]["head_kpa"]) < 20.0);
    let strong = json!([{"flow_l_h": 0, "head_kpa": 90}, {"flow_l_h": 2000, "head_kpa": 60}]);
    job["plant"]["heat_source"] = given(420.0, strong);
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 3, "drop_k": 25});
    job["cooling"] = json!({"flow_temperature_c": 18, "rise_k": 7});
    let slow = service.answer("/v1/pipework", &job).await;
    let codes = codes(&slow, "pipework");
    let both = ["hot_water_flow_too_small", "cooling_flow_too_small"];
    assert!(both.iter().all(|code| codes.iter().any(|found| found == code)), "{codes:?}");
    // a small rise takes much water through the same tubes
    job["cooling"]["rise_k"] = json!(1);
    assert!(warned(&service.answer("/v1/pipework", &job).await, "fast_while_cooling"));
}

/// What bears too little is refused: by its temperature while hot water is made, and by its pressure.
#[tokio::test]
async fn tubes_are_held_to_what_they_bear() {
    let service = shared_service();
    let mut job = published("hand_house");
    job["pipework"]["primary"] = json!({"length_m": 3, "existing_tube": "cu_22"});
    let fine = service.answer("/v1/pipework", &job).await;
    assert_eq!(fine["pipework"]["primary"]["existing_tube"]["verdict"], "kept");
    for (member, value, breaks) in [("temperature_max_c", 45.0, "temperature"), ("pressure_max_bar", 2.5, "pressure")] {
        let mut job = job.clone();
        job["commercial"]["price_book"]["products"]["cu_22"][member] = json!(value);
        let answer = service.answer("/v1/pipework", &job).await;
        let row = &answer["pipework"]["primary"]["existing_tube"];
        assert_eq!((&row["verdict"], &row["breaks"]), (&json!("refused"), &json!(breaks)), "{row}");
        assert!(codes(&answer, "pipework").contains(&"existing_tube_refused".to_owned()));
        // what stands under too much pressure is not chosen where it would be new either
        let new = answer["pipework"]["sections"].as_array().unwrap();
        assert!(breaks == "temperature" || new.iter().all(|section| section["tube"] != "cu_22"), "{new:?}");
    }
}

/// Parts that are given with the job and are no products are told as without a price; a narrower choice under the handbook's
/// rule is told by that rule; a tube that is too slow is replaced for that.
#[tokio::test]
async fn what_is_said_of_parts_and_tubes_is_true() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"]["insulation"] = json!({"kind": "given", "thickness_mm": 30, "conductivity_w_mk": 0.035});
    let answer = service.answer("/v1/proposal", &job).await;
    assert!(codes(&answer, "bill").contains(&"no_price".to_owned()) && answer["bill"]["complete"] == false);
    let chapel = service.answer("/v1/pipework", &fixture("chapel")).await;
    let told = chapel["pipework"]["sections"].as_array().unwrap().iter().filter_map(|section| section.get("narrower"));
    let breaks: Vec<&str> = told.map(|narrower| narrower["breaks"].as_str().unwrap()).collect();
    assert!(!breaks.is_empty() && !breaks.contains(&"head"), "{breaks:?}");
    let mut job = fans(1);
    job["pipework"]["sizing"] = json!({"kind": "least_cost", "velocity_min_m_s": 0.3});
    job["pipework"]["runs"] = json!({"all": {"from": "plant", "length_m": 6, "existing_tube": "cu_28", "keep": "if_enough",
        "serves": [{"room": "r0", "emitter": "fan"}]}});
    let answer = service.answer("/v1/pipework", &job).await;
    let row = &answer["pipework"]["sections"][0]["existing_tube"];
    assert_eq!((&row["verdict"], &row["breaks"]), (&json!("replaced"), &json!("too_slow")), "{row}");
    job["pipework"]["runs"]["all"]["keep"] = json!("always");
    assert!(warned(&service.answer("/v1/pipework", &job).await, "kept_tube"));
}

/// A run that leads nowhere is warned of, one with readings among them; a job in which nothing flows is answered plainly.
#[tokio::test]
async fn what_does_not_flow_is_told() {
    let service = shared_service();
    let mut job = fans(2);
    job["pipework"]["runs"] = json!({"dead": {"from": "plant", "length_m": 10,
        "readings": {"points": [{"flow_l_h": 300, "pressure_difference_kpa": 9.6}]}}});
    assert!(warned(&service.answer("/v1/pipework", &job).await, "run_serves_nothing"));
    let mut job = fixture("terrace");
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 20});
    let answer = service.answer("/v1/pipework", &job).await;
    let arrangement = &answer["pipework"]["arrangement"];
    assert_eq!((&arrangement["kind"], arrangement.get("second_pump")), (&json!("direct"), None));
    for figure in [&arrangement["open_flow_l_h"], &answer["pipework"]["pump"]["flow_l_h"]] {
        assert!(number(figure) == 0.0 && number(figure).is_sign_positive(), "{arrangement}");
    }
}

/// Names of circuits are not given to runs beside them, a least velocity lies below the greatest, and a tariff is not below
/// nothing.
#[tokio::test]
async fn contradictions_are_refused() {
    let service = shared_service();
    let mut job = fixture("terrace");
    job["pipework"]["primary"] = json!({"length_m": 5});
    let told = problem(service.post("/v1/pipework", &job).await, 422).await;
    let fault = &told["errors"][0];
    assert_eq!((&fault["code"], &fault["pointer"]), (&json!("reserved_id"), &json!("/pipework/runs/primary")));
    let mut job = fans(2);
    for (sizing, code) in [
        (json!({"kind": "least_cost", "velocity_min_m_s": 1, "velocity_max_m_s": 0.5}), "bounds_upside_down"),
        (json!({"kind": "least_cost", "electricity_per_kwh": -1}), "too_small"),
    ] {
        job["pipework"]["sizing"] = sizing;
        let told = problem(service.post("/v1/pipework", &job).await, 422).await;
        assert_eq!(told["errors"][0]["code"], code, "{told}");
    }
    // a tariff to the hundredth of a penny is one
    job["pipework"]["sizing"] = json!({"kind": "least_cost", "electricity_per_kwh": 0.2486});
    service.answer("/v1/pipework", &job).await;
    // more of the primary in the open than there is of it
    job["pipework"]["primary"] = json!({"length_m": 5, "outdoor_m": 6});
    let told = problem(service.post("/v1/pipework", &job).await, 422).await;
    assert_eq!(told["errors"][0]["code"], "longer_than_its_whole");
}

/// Under the handbook's rule the hot-water circuit is chosen by it as the runs are, and nothing is wanting that a wider tube
/// would mend.
#[tokio::test]
async fn the_handbooks_rule_holds_for_hot_water_too() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 3, "coil_kv_m3_h": 3});
    let answer = service.answer("/v1/pipework", &job).await;
    assert!(number(&answer["pipework"]["hot_water_circuit"]["section"]["gradient_pa_m"]) <= 200.0);
    assert_eq!(codes(&answer, "pipework"), [""; 0]);
}

/// Behind a separation the runs keep within the strongest circulator on sale, the own pump's electricity is counted with the
/// primary, and while floors cool either pump is held against what it carries.
#[tokio::test]
async fn either_pump_is_held_to_its_own_part() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"]["sizing"] = json!({"kind": "least_cost", "electricity_per_kwh": 0, "velocity_max_m_s": 3});
    job["plant"] = unit_of(9.0, &json!({"maximum_flow_l_h": 300}));
    for run in job["pipework"]["runs"].as_object_mut().unwrap().values_mut() {
        run["length_m"] = json!(25);
    }
    let answer = service.answer("/v1/pipework", &job).await;
    assert_eq!(codes(&answer, "pipework"), [""; 0], "a circulator on sale carries wider tube");
    assert!(answer["pipework"]["arrangement"]["second_pump"].is_string());
    job["pipework"]["primary"] = json!({"length_m": 9, "place": "plant_room", "bends": 6});
    job["pipework"]["sizing"] = json!({"kind": "least_cost"});
    let cost = |answer: &Value| number(&answer["pipework"]["choice"]["least_cost"]["electricity_cost"]);
    let short = service.answer("/v1/pipework", &job).await;
    job["pipework"]["primary"]["length_m"] = json!(60);
    let long = service.answer("/v1/pipework", &job).await;
    assert!(cost(&long) > cost(&short) + 1.0, "{} and {}", cost(&short), cost(&long));
    assert!(number(&long["pipework"]["choice"]["gradient_costs_more"]) > -0.01, "least is least");
    job["cooling"] = json!({"flow_temperature_c": 18, "rise_k": 3});
    let cooled = service.answer("/v1/pipework", &job).await;
    let circuit = &cooled["pipework"]["cooling_circuit"];
    assert!(number(&circuit["head_kpa"]) <= number(&circuit["pump_head_kpa"]), "{circuit}");
    assert!(warned(&cooled, "bare_chilled_pipe") && warned(&cooled, "cooling_not_told"));
}

/// Where nothing keeps within its limits, what lies there stays before anything narrower is bought in its place.
#[tokio::test]
async fn nothing_narrower_is_bought_in_place_of_what_lies_there() {
    let service = shared_service();
    let mut job = fixture("terrace");
    job["pipework"]["sizing"] = json!({"kind": "gradient", "gradient_max_pa_m": 20, "velocity_max_m_s": 1});
    job["pipework"]["tubes"] = json!(["cu_15", "cu_22"]);
    job["pipework"]["runs"]["ground"]["keep"] = json!("if_enough");
    let answer = service.answer("/v1/pipework", &job).await;
    let sections = answer["pipework"]["sections"].as_array().unwrap();
    let row = &sections.iter().find(|section| section["id"] == "ground").unwrap()["existing_tube"];
    assert_eq!((&row["verdict"], &row["breaks"]), (&json!("kept"), &json!("gradient")), "{row}");
    assert!(row["reason"].as_str().unwrap().starts_with("nothing on offer does better"), "{row}");
}

/// What goes through the joists is taken before what is wider and does not, and the limit that it breaks is told.
#[tokio::test]
async fn a_tube_that_goes_through_the_joists_is_taken_first() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"]["sizing"] = json!({"kind": "least_cost", "velocity_max_m_s": 0.2});
    job["pipework"]["tubes"] = json!(["cu_10", "cu_12", "cu_15", "cu_22", "cu_28", "cu_35", "cu_42"]);
    job["pipework"]["runs"]["to_day"]["crosses_joists"] = json!({"depth_mm": 100});
    let answer = service.answer("/v1/pipework", &job).await;
    let sections = answer["pipework"]["sections"].as_array().unwrap();
    let section = sections.iter().find(|section| section["id"] == "to_day").unwrap();
    assert_eq!((&section["tube"], &section["joists"]["crosses_by"]), (&json!("cu_22"), &json!("hole")), "{section}");
    let unmet = answer["pipework"]["unmet"].as_array().unwrap();
    let told = unmet.iter().find(|row| row["pointer"] == "/pipework/runs/to_day").unwrap();
    assert_eq!((&told["code"], &told["unit"]), (&json!("no_tube"), &json!("m/s")), "{told}");
}

/// A second pump that carries heating and not cooling is taken for heating, and what cooling lacks is told with its own
/// figures; a separation without any vessel on sale lacks a product and not litres.
#[tokio::test]
async fn a_second_pump_is_told_for_what_it_lacks() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["cooling"] = json!({"flow_temperature_c": 16, "rise_k": 2, "inside_c": 26, "relative_humidity": 0.5});
    job["plant"] = unit_of(9.0, &json!({"maximum_flow_l_h": 300}));
    job["pipework"]["sizing"] = json!({"kind": "least_cost", "electricity_per_kwh": 0});
    job["pipework"]["tubes"] = json!(["cu_10", "cu_15", "cu_22"]);
    // new tubes to manifolds are wider than that
    for id in ["header", "to_day", "to_night"] {
        job["pipework"]["runs"][id]["existing_tube"] = json!("cu_15");
    }
    let answer = service.answer("/v1/pipework", &job).await;
    assert!(answer["pipework"]["arrangement"]["second_pump"].is_string());
    let circuit = &answer["pipework"]["cooling_circuit"];
    let unmet = answer["pipework"]["unmet"].as_array().unwrap();
    let told: Vec<&Value> = unmet.iter().filter(|row| row["code"] == "pump_too_weak_for_cooling").collect();
    assert_eq!(told.len(), 1, "{unmet:?}");
    assert!((number(&told[0]["need"]) - number(&circuit["head_kpa"])).abs() < 1e-3, "{told:?} {circuit}");
    assert!(number(&told[0]["reached"]) < number(&told[0]["need"]));
    let mut job = published("hand_house");
    let point = |outside: f64, flow: f64| json!({"outside_c": outside, "flow_c": flow, "capacity_w": 9000, "cop": 2});
    job["plant"]["heat_source"] = json!({"kind": "given", "description": "unit", "water_l": 3, "defrost_included": true,
        "minimum_flow_l_h": 1500, "points": [point(-15.0, 35.0), point(-15.0, 55.0), point(7.0, 35.0), point(7.0, 55.0)],
        "pump": [{"flow_l_h": 0, "head_kpa": 90}, {"flow_l_h": 2000, "head_kpa": 60}]});
    let answer = service.answer("/v1/pipework", &job).await;
    assert_eq!(codes(&answer, "pipework"), ["no_second_pump", "no_product"]);
}

/// A tube that is too slow is not replaced by one that is as slow; a narrower one that the pump cannot serve is told by the
/// pump; a single bore that explains readings is told as that.
#[tokio::test]
async fn reasons_are_the_true_ones() {
    let service = shared_service();
    let mut job = fixture("terrace");
    job["pipework"]["sizing"] = json!({"kind": "least_cost", "velocity_min_m_s": 0.2});
    job["pipework"]["runs"]["to_landing"]["keep"] = json!("if_enough");
    let answer = service.answer("/v1/pipework", &job).await;
    let sections = answer["pipework"]["sections"].as_array().unwrap();
    let row = &sections.iter().find(|section| section["id"] == "to_landing").unwrap()["existing_tube"];
    assert_eq!((&row["verdict"], &row["breaks"]), (&json!("kept"), &json!("too_slow")), "{row}");
    job["pipework"]["sizing"] = json!({"kind": "least_cost", "electricity_per_kwh": 0});
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 40, "drop_k": 10});
    let dining = job["pipework"]["runs"]["to_dining"].as_object_mut().unwrap();
    dining.remove("existing_tube");
    dining.insert("readings".to_owned(), json!({"points": [{"flow_l_h": 160, "pressure_difference_kpa": 32}], "flow_spread": 0.01, "pressure_spread": 0.01}));
    let answer = service.answer("/v1/pipework", &job).await;
    let narrower = &answer["pipework"]["hot_water_circuit"]["section"]["narrower"];
    assert_eq!((&narrower["tube"], &narrower["breaks"]), (&json!("cu_15"), &json!("pump")), "{narrower}");
    let hidden = &answer["pipework"]["hidden_tubes"][0];
    assert_eq!(hidden["pairs"].as_array().unwrap().len(), 1, "{hidden}");
    assert!(hidden["detail"].as_str().unwrap().starts_with("of the bores on offer one alone"), "{hidden}");
}
