//! The ways in which heat source and system are joined, and which of them is taken.

use serde_json::json;

use super::figures::number;
use super::helpers::{close, rooms_of, row, shared_service, unit_of};
use super::open_water::{SEMI, arrangement, house, open, way};

/// Where what may stay open is not enough, the cheapest way that holds: a bypass where unit and primary hold the water, one with a vessel
/// where they do not, a separation where the book sells no bypass. Costs are those of the shipped book: 36.90 for a bypass of 3/4 inch,
/// 218.75 for a vessel of 50 l, 164.20 for one of 25 l, 32.75 an hour, 0.75 h for a bypass and 3.5 h for a vessel.
#[tokio::test]
async fn the_cheapest_way_that_holds_is_taken() {
    let service = shared_service();
    let needs = |water_l: f64| json!({"minimum_flow_l_h": 1400, "minimum_water_l": water_l});
    let mut job = house(&SEMI, &needs(20.0));
    job["pipework"]["primary"] = json!({"length_m": 20, "place": "plant_room", "existing_tube": "cu_28"});
    let bypassed = arrangement(&job).await;
    assert_eq!((bypassed["kind"].as_str(), bypassed["bypass"].as_str()), (Some("bypass"), Some("bypass_20")));
    assert_eq!(bypassed["reasons"], json!(["minimum_flow"]));
    let direct = number(&way(&bypassed, "direct")["flow_l_h"]);
    assert!(direct < 1400.0 && way(&bypassed, "direct")["holds"] == false);
    // what may stay open does beside a bypass, too: each head that is not bought is cheaper than none
    assert_eq!(open(&bypassed), ["r1", "r2", "r3", "r4", "r6"]);
    close(&way(&bypassed, "bypass")["cost"], 36.90 + 24.56, 1e-6);
    close(&way(&bypassed, "bypass")["labour_h"], 0.75, 1e-9);
    // what lies up to it, and of what stays open behind it so much as its share of the flow: 40 m of 26.2 mm bore and 2.4 l in the unit
    let before_l = 23.965;
    let through_l_h = number(&bypassed["open_flow_l_h"]);
    let behind_l = number(&bypassed["open_water_l"]) - before_l;
    close(&way(&bypassed, "bypass")["water_l"], before_l + through_l_h / 1400.0 * behind_l, 1e-3);
    // the bypass takes what is wanting at 20 kPa, at which no head that is about to shut is heard, and what stays open takes less of it
    let kv = number(&bypassed["bypass_kv_m3_h"]);
    let passes_l_h = 1000.0 * kv * (0.2_f64 / 0.9907).sqrt();
    assert!((passes_l_h + through_l_h - 1400.0).abs() < 1.0, "{passes_l_h} and {through_l_h}");
    assert!(through_l_h < direct, "the pump is held down for it");
    job["plant"] = unit_of(9.0, &needs(60.0));
    let both = arrangement(&job).await;
    assert_eq!((both["kind"].as_str(), both["vessel"].as_str()), (Some("bypass_added_water"), Some("buffer_25")));
    close(&way(&both, "bypass_added_water")["cost"], 36.90 + 24.56 + 164.20 + 114.63, 1e-6);
    close(&way(&both, "bypass_added_water")["labour_h"], 4.25, 1e-9);
    assert_eq!((&way(&both, "bypass")["holds"], &way(&both, "separated")["holds"]), (&json!(false), &json!(true)));
    assert!(number(&way(&both, "separated")["cost"]) > number(&way(&both, "bypass_added_water")["cost"]));
    let answer = service.answer("/v1/bill", &job).await;
    let bill = &answer["bill"];
    for code in ["bypass_20", "buffer_25"] {
        assert!((number(&row(&bill["lines"], "code", code)["quantity"]) - 1.0).abs() < 1e-9);
    }
    for (task, hours) in [("set_bypass_valve", 0.75), ("set_buffer_vessel", 3.5)] {
        let of_task = row(&bill["labour"], "task", task);
        close(&of_task["quantity"], 1.0, 1e-9);
        close(&of_task["labour_h"], hours, 1e-9);
    }
    // no bypass passes so much at 20 kPa that nothing may be heard: Kv 5.5 and what stays open come to less than 3,200 l/h
    job["plant"] = unit_of(9.0, &json!({"minimum_flow_l_h": 3200, "minimum_water_l": 20.0}));
    let parted = arrangement(&job).await;
    assert_eq!((parted["kind"].as_str(), &way(&parted, "bypass")["holds"]), (Some("separated"), &json!(false)));
    // flow enough and water too little: a vessel alone
    job["plant"] = unit_of(9.0, &json!({"minimum_flow_l_h": 300, "minimum_water_l": 90.0}));
    let added = arrangement(&job).await;
    assert_eq!((added["kind"].as_str(), &added["reasons"]), (Some("added_water"), &json!(["water"])));
}

/// Twelve litres an hour that one more open valve gives buy nothing: a unit whose least flow is a little above what bathrooms and halls
/// leave has the living room left open, and neither vessel nor second pump.
#[tokio::test]
async fn nothing_is_bought_for_what_an_open_valve_gives() {
    let service = shared_service();
    let first = arrangement(&house(&SEMI, &json!({"minimum_flow_l_h": 10}))).await;
    let least_l_h = number(&first["open_flow_l_h"]) + 12.0;
    let job = house(&SEMI, &json!({"minimum_flow_l_h": least_l_h}));
    let answer = service.answer("/v1/proposal", &job).await;
    let arrangement = &answer["pipework"]["arrangement"];
    assert_eq!((&arrangement["kind"], arrangement["ways"].as_array().unwrap().len()), (&json!("direct"), 1));
    let lines = answer["bill"]["lines"].as_array().unwrap();
    let bought = ["bypass_", "buffer_", "pump_"]
        .map(|start| lines.iter().any(|line| line["code"].as_str().unwrap().starts_with(start)));
    assert_eq!(bought, [false; 3]);
}

/// More that is open is not always more flow: a valve near the plant that would be heard turns the pump down. Each way is judged with
/// what suits it: here floors alone give the flow, and a vessel the water.
#[tokio::test]
async fn each_way_is_judged_with_what_suits_it() {
    let floor =
        json!({"e": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}, "tail_m": 12, "loop_max_m": 120}});
    let rad = json!({"e": {"kind": "radiator"}});
    let mut job = rooms_of(&[(1600.0, 40.0, floor), (300.0, 6.0, rad)]);
    job["rooms"]["r1"]["use"] = json!("bathroom");
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 40}, "drop_k": 5});
    job["pipework"]["runs"] = json!({
        "near": {"from": "plant", "length_m": 1, "serves": [{"room": "r1", "emitter": "e"}]},
        "far": {"from": "plant", "length_m": 25, "existing_tube": "cu_15", "serves": [{"manifold": "m"}]}});
    job["plant"] = unit_of(9.0, &json!({}));
    let alone = arrangement(&job).await;
    assert_eq!(open(&alone), ["r0"]);
    let (flow_l_h, water_l) = (number(&alone["open_flow_l_h"]), number(&alone["open_water_l"]));
    job["plant"] = unit_of(9.0, &json!({"minimum_flow_l_h": flow_l_h - 5.0, "minimum_water_l": water_l + 20.0}));
    let found = arrangement(&job).await;
    assert!(number(&way(&found, "direct")["flow_l_h"]) < flow_l_h - 5.0, "{found}");
    assert_eq!((&found["kind"], open(&found)), (&json!("added_water"), vec!["r0".to_owned()]), "{found}");
    close(&found["open_flow_l_h"], flow_l_h, 1e-6);
    assert!(found["detail"].as_str().unwrap().contains("20 kPa across a radiator's valves would be heard"), "{found}");
}

/// A unit that tells no greatest flow bears what its pump gives with nothing before it: the end of its curve.
#[tokio::test]
async fn no_more_goes_through_a_unit_than_its_pump_can_give() {
    let pump = |last_l_h: f64| json!({"pump": [{"flow_l_h": 0, "head_kpa": 75}, {"flow_l_h": last_l_h, "head_kpa": 60, "power_w": 60}]});
    // 4,050 W at a drop of 5 K are some 700 l/h
    for (last_l_h, kind, reasons) in [(900.0, "direct", json!([])), (500.0, "separated", json!(["greatest_flow"]))] {
        let found = arrangement(&house(&SEMI, &pump(last_l_h))).await;
        assert_eq!((&found["kind"], &found["reasons"]), (&json!(kind), &reasons), "{found}");
        close(&found["maximum_flow_l_h"], last_l_h, 1e-9);
    }
    // what it tells holds where that is less
    let mut told = pump(900.0);
    told["maximum_flow_l_h"] = json!(600);
    let found = arrangement(&house(&SEMI, &told)).await;
    assert_eq!(found["kind"], "separated");
    close(&found["unit_flow_l_h"], 600.0, 1e-6);
}
