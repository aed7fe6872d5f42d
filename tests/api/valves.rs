//! What valves are set to, reckoned by hand.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{faults, fixture, problem, published, shared_service};

fn valves<'a>(answer: &'a Value, kind: &str) -> Vec<&'a Value> {
    // of an emitter the body throttles in the place of the lockshield, where it has positions
    let is_of = |row: &Value| row["valve"] == kind || kind == "lockshield" && row["valve"] == "valve_body";
    answer["pipework"]["balancing"].as_array().unwrap().iter().filter(|row| is_of(row)).collect()
}

/// Loops hang on one manifold and share its head: the worst of each stays open, and no other takes more than what that one does.
#[tokio::test]
async fn loops_are_balanced_against_those_of_their_own_manifold() {
    let job = fixture("bungalow");
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let loops = valves(&answer, "loop");
    let mut worst = Vec::new();
    for manifold in ["day", "night"] {
        let on_this = |row: &&&Value| {
            let (room, emitter) = row["at"].as_str().unwrap().split_once('/').unwrap();
            job["rooms"][room]["emitters"][emitter]["manifold"] == manifold
        };
        let circuits = answer["pipework"]["circuits"].as_array().unwrap();
        let end_pa = circuits.iter().find(|row| row["serves"] == manifold).unwrap()["end_pressure_drop_pa"].clone();
        let excess_pa: Vec<f64> = loops.iter().filter(on_this).map(|row| number(&row["excess_pressure_pa"])).collect();
        assert!(excess_pa.len() > 2 && excess_pa.iter().all(|excess| *excess < number(&end_pa)), "{manifold}");
        assert!(excess_pa.iter().any(|excess| *excess < 1e-9), "{manifold}: {excess_pa:?}");
        worst.push(number(&end_pa));
    }
    assert!((worst[0] / worst[1] - 1.0).abs() > 0.05, "manifolds that are alike would tell nothing: {worst:?}");
}

/// Source: the hand-worked house: its index circuit takes 13,468.9 Pa, those of the radiators 6755.63, 11,313.6 and 8741.52 Pa;
/// each valve takes the difference. Tolerance: 1 % of the circuits, as the page is held.
#[tokio::test]
async fn valves_take_what_the_index_circuit_takes_more() {
    let answer = shared_service().answer("/v1/pipework", &published("hand_house")).await;
    let settings = answer["pipework"]["balancing"].as_array().unwrap();
    for (at, own_pa) in [("m1", 13_468.9), ("utility/rad", 6755.63), ("bed1/rad", 11_313.6), ("bed2/rad", 8741.52)] {
        let setting = settings.iter().find(|row| row["at"] == at && row["valve"] != "loop").unwrap();
        let off_pa = number(&setting["excess_pressure_pa"]) - (13_468.9 - own_pa);
        assert!(off_pa.abs() < 0.01 * 13_468.9, "{setting}");
        assert_eq!(setting.get("kv_m3_h").is_some(), at != "m1", "the index circuit stays open: {setting}");
    }
}

/// A radiator's valve when it is open (m³/h), as the shipped one of eight positions.
const OPEN: f64 = 0.7;

/// A valve that hardly counts when it is open (m³/h).
const WIDE: f64 = 9.0;

/// Kv of ways in series: 1/Kv² add.
fn in_series(kv: &[f64]) -> f64 {
    1.0 / kv.iter().map(|kv| 1.0 / (kv * kv)).sum::<f64>().sqrt()
}

/// A lockshield is set to the position nearest by ratio to what it must have with its open resistance: of 1.9 times or a half the
/// first is nearer, of twice or 1/1.9 the latter. 1 bar drives 1 m³/h of 1000 kg/m³; the page's water has 993.9093 kg/m³.
#[tokio::test]
async fn a_valve_is_set_to_the_position_nearest_by_ratio() {
    let service = shared_service();
    let mut job = published("hand_house");
    let plain = service.answer("/v1/pipework", &job).await;
    let lockshields = valves(&plain, "lockshield");
    let wanting: Vec<&&Value> = lockshields.iter().filter(|row| row.get("kv_m3_h").is_some()).collect();
    assert!(wanting.len() >= 3);
    for row in wanting {
        let (flow_m3_h, excess_pa) = (number(&row["flow_l_h"]) / 1000.0, number(&row["excess_pressure_pa"]));
        let kv = flow_m3_h * (0.993_909_3 * 1e5 / excess_pa).sqrt();
        assert!((number(&row["kv_m3_h"]) / kv - 1.0).abs() < 1e-4, "{row}");
        // a book without positions knows no open valve
        assert!(row.get("valve_kv_m3_h").is_none() && row.get("position").is_none(), "{row}");
        let wanted = in_series(&[kv, WIDE]);
        for (shut, open, nearest) in [(wanted / 2.0, 1.9 * wanted, "open"), (wanted / 1.9, 2.0 * wanted, "shut")] {
            job["commercial"]["price_book"]["products"]["radiator_valves"]["presets"] = json!([
                {"position": "shut", "kv_m3_h": shut}, {"position": "open", "kv_m3_h": open},
                {"position": "wide", "kv_m3_h": WIDE}
            ]);
            let answer = service.answer("/v1/pipework", &job).await;
            let found = valves(&answer, "lockshield").into_iter().find(|found| found["at"] == row["at"]).unwrap();
            assert_eq!(found["position"], nearest, "{found}");
            assert!((number(&found["valve_kv_m3_h"]) / wanted - 1.0).abs() < 1e-4, "{found}");
        }
    }
}

/// The Kv of a radiator with its valves holds the open valve: a position leaves 1/Kv² = 1/0.5² - 1/0.7² + 1/Kv² of its own. So the
/// flow at the position is what the same head drives through the whole, by hand; and no valve would have to be opened further
/// than open.
#[tokio::test]
async fn the_open_valve_is_counted_once() {
    let mut job = published("hand_house");
    let presets: Vec<Value> = [0.05, 0.1, 0.17, 0.25, 0.34, 0.44, 0.56, OPEN]
        .iter()
        .zip(1..)
        .map(|(kv, position)| json!({"position": position.to_string(), "kv_m3_h": kv}))
        .collect();
    job["commercial"]["price_book"]["products"]["radiator_valves"]["presets"] = json!(presets);
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let circuits = answer["pipework"]["circuits"].as_array().unwrap();
    let mut set = 0;
    for row in valves(&answer, "lockshield").into_iter().filter(|row| row.get("position").is_some()) {
        let circuit = circuits.iter().find(|circuit| circuit["serves"] == row["at"]).unwrap();
        let (own_pa, excess_pa) = (number(&circuit["end_pressure_drop_pa"]), number(&row["excess_pressure_pa"]));
        let of = |kv: f64| 1.0 / (kv * kv);
        let whole = 1.0 / (of(0.5) - of(OPEN) + of(number(&row["position_kv_m3_h"]))).sqrt();
        let head_bar = (own_pa + excess_pa) / 1e5;
        let flow_l_h = 1000.0 * whole * (head_bar / 0.993_909_3).sqrt();
        assert!((number(&row["position_flow_l_h"]) / flow_l_h - 1.0).abs() < 1e-4, "{row}");
        assert!(number(&row["valve_kv_m3_h"]) < OPEN && row["beyond_positions"] != "more_open", "{row}");
        set += 1;
    }
    assert!(set >= 3, "{set}");
}

/// The valves of a radiator that stays are not known: the Kv that takes the pressure is told, and no position.
#[tokio::test]
async fn valves_that_stay_have_no_position() {
    let mut job = fixture("terrace");
    for room in job["rooms"].as_object_mut().unwrap().values_mut() {
        if let Some(existing) = room["emitters"]["rad"].get_mut("existing") {
            existing["keep"] = json!("always");
        }
    }
    let answer = shared_service().answer("/v1/proposal", &job).await;
    let (mut kept, mut hung) = (0, 0);
    for row in valves(&answer, "lockshield").into_iter().filter(|row| row.get("kv_m3_h").is_some()) {
        let (room, emitter) = row["at"].as_str().unwrap().split_once('/').unwrap();
        let rooms = answer["emitters"]["rooms"].as_array().unwrap();
        let emitters = &rooms.iter().find(|found| found["room"] == room).unwrap()["emitters"];
        let stands =
            &emitters.as_array().unwrap().iter().find(|found| found["emitter"] == emitter).unwrap()["standing"];
        let has_setting = row.get("position").is_some() || row.get("turns").is_some();
        assert_eq!(!has_setting, stands == "kept", "{row}");
        if stands == "kept" { kept += 1 } else { hung += 1 }
    }
    assert!(kept > 2 && hung > 0, "{kept} {hung}");
}

/// A valve that opens no wider than the way that it is part of cannot be part of it.
#[tokio::test]
async fn an_open_valve_is_wider_than_its_way() {
    let mut job = fixture("bungalow");
    job["rooms"]["bath"]["emitters"]["rail"] = json!({"kind": "radiator", "towel_rail": true});
    job["pipework"]["radiator_kv_m3_h"] = json!(0.7);
    job["pipework"]["manifolds"]["day"]["loop_kv_m3_h"] = json!(2);
    let refused = problem(shared_service().post("/v1/pipework", &job).await, 422).await;
    assert_eq!(
        faults(&refused),
        [
            ("/pipework/radiator_kv_m3_h", "open_valve_too_narrow"),
            ("/pipework/manifolds/day/loop_kv_m3_h", "open_valve_too_narrow")
        ]
    );
    assert_eq!(refused["errors"][0]["limit"], 0.7);
}
