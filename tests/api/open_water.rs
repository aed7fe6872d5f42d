//! What stays open whatever thermostats shut, what that leaves to the heat source, and what is bought where it is not enough.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{close, problem, published, rooms_of, row, shared_service, unit_of};

/// A house of radiators by the uses of its rooms, each losing so much at 21 °C (W), at 45 °C and a drop of 5 K.
pub fn house(rooms: &[(&str, f64)], unit: &Value) -> Value {
    let emitters = |_: &f64| json!({"rad": {"kind": "radiator"}});
    let each: Vec<_> = rooms.iter().map(|(_, loss_w)| (*loss_w, 14.0, emitters(loss_w))).collect();
    let mut job = rooms_of(&each);
    for (index, (room_use, _)) in rooms.iter().enumerate() {
        job["rooms"][format!("r{index}")]["use"] = json!(room_use);
    }
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 45}, "drop_k": 5});
    job["plant"] = unit_of(9.0, unit);
    job["commercial"] = json!({"quote_date": "2026-11-02"});
    job
}

/// A semi by the uses of its rooms.
pub const SEMI: [(&str, f64); 7] = [
    ("bedroom", 700.0),
    ("bathroom", 500.0),
    ("living", 900.0),
    ("hall", 400.0),
    ("kitchen", 600.0),
    ("bedroom", 650.0),
    ("landing", 300.0),
];

/// A whole number.
pub fn whole(value: &Value) -> usize {
    format!("{}", number(value)).parse().unwrap()
}

/// How heat source and system are joined.
pub async fn arrangement(job: &Value) -> Value {
    shared_service().answer("/v1/pipework", job).await["pipework"]["arrangement"].clone()
}

/// The rooms of what stays open.
pub fn open(arrangement: &Value) -> Vec<String> {
    let rows = arrangement["stays_open"].as_array().unwrap().iter();
    rows.map(|row| row["room"].as_str().unwrap().to_owned()).collect()
}

/// One of the ways.
pub fn way<'a>(arrangement: &'a Value, kind: &str) -> &'a Value {
    row(&arrangement["ways"], "kind", kind)
}

/// Common practice: a unit that needs no flow lets every radiator have its head; one that does gets bathrooms and halls first, then
/// living rooms and kitchens by falling flow until that is enough, and no bedroom.
#[tokio::test]
async fn what_stays_open_is_chosen_by_the_order_of_the_trade() {
    let service = shared_service();
    let none = house(&SEMI, &json!({}));
    let found = arrangement(&none).await;
    assert_eq!((found["kind"].as_str(), open(&found).len()), (Some("direct"), 0));
    let first = arrangement(&house(&SEMI, &json!({"minimum_flow_l_h": 250}))).await;
    assert_eq!(
        (first["kind"].as_str(), open(&first)),
        (Some("direct"), ["r1", "r3", "r6"].map(str::to_owned).to_vec())
    );
    assert!(first["stays_open"].as_array().unwrap().iter().all(|row| row["reason"] == "bathroom_or_hall"));
    assert_eq!(first["room_sensor"], "r3", "the hall, and not the bathroom, which takes more");
    let leaves = number(&first["open_flow_l_h"]);
    // the living room is the next, and the kitchen after that
    for (least_l_h, more) in [(leaves + 20.0, vec!["r2"]), (leaves + 230.0, vec!["r2", "r4"])] {
        let job = house(&SEMI, &json!({"minimum_flow_l_h": least_l_h}));
        let next = arrangement(&job).await;
        assert_eq!(next["kind"], "direct", "{next}");
        let mut expected = vec!["r1", "r3", "r6"];
        expected.extend(more);
        expected.sort_unstable();
        assert_eq!(open(&next), expected);
        assert!(number(&next["open_flow_l_h"]) >= least_l_h);
        assert_eq!(next["room_sensor"], "r2");
        assert_eq!(row(&next["stays_open"], "room", "r2")["reason"], "living_room_or_kitchen");
        // what stays open has no head in the bill, and all have a lockshield
        let bill = service.answer("/v1/bill", &job).await["bill"].clone();
        let sets = |code: &str| whole(&row(&bill["lines"], "code", code)["quantity"]);
        assert_eq!((sets("manual_valves"), sets("radiator_valves")), (expected.len(), 7 - expected.len()));
    }
    // a bedroom only where the job says so
    let mut asked = house(&SEMI, &json!({"minimum_flow_l_h": 150}));
    asked["pipework"]["stays_open"] = json!([{"room": "r0", "emitter": "rad"}]);
    let found = arrangement(&asked).await;
    assert_eq!((open(&found), &found["stays_open"][0]["reason"]), (vec!["r0".to_owned()], &json!("asked_for")));
}

/// Common practice: a control that hears the room which never gets warm asks for heat for ever. The living room is left open with the
/// greatest flow; once its radiator, which is kept, carries less than its loss the sensor goes to the next.
#[tokio::test]
async fn the_sensor_of_the_control_goes_to_no_room_that_stays_cold() {
    let hung =
        |output_w: f64| json!({"kind": "rated", "output_w": output_w, "exponent": 1.3, "water_l": 5, "keep": "always"});
    let mut job =
        house(&[("living", 900.0), ("kitchen", 600.0), ("bedroom", 600.0)], &json!({"minimum_flow_l_h": 200}));
    job["pipework"]["stays_open"] = json!([{"room": "r0", "emitter": "rad"}, {"room": "r1", "emitter": "rad"}]);
    for (output_w, expected) in [(2800.0, "r0"), (2500.0, "r1")] {
        job["rooms"]["r0"]["emitters"]["rad"]["existing"] = hung(output_w);
        let answer = shared_service().answer("/v1/pipework", &job).await;
        let found = &answer["pipework"]["arrangement"];
        assert_eq!(open(found), ["r0", "r1"]);
        let emitters = shared_service().answer("/v1/emitters", &job).await["emitters"].clone();
        let flow_l_h = |room: usize| number(&emitters["rooms"][room]["emitters"][0]["flow_l_h"]);
        assert!(flow_l_h(0) > flow_l_h(1), "{} {}", flow_l_h(0), flow_l_h(1));
        assert_eq!(found["room_sensor"], expected, "{output_w} W at 75/65/20: {}", emitters["unmet"]);
    }
}

/// Source: `warmed_room.csv`, second row: a radiator of 2,000 W, n 1.3, set to 84 W/K of water of 40 °C, in a room that loses 420 W at
/// 21 and −3 °C: 21.8549 °C where nothing throttles it (the same
/// equations at just 84 W/K: 0.854925 K). Common practice: no room that gets more than 2 K too warm is left open, a
/// bathroom 4.
#[tokio::test]
async fn a_room_that_gets_too_warm_is_not_left_open() {
    let hung = |output_w: f64| {
        json!({"rad": {"kind": "radiator", "existing":
            {"kind": "rated", "output_w": output_w, "exponent": 1.3, "water_l": 5, "keep": "always"}}})
    };
    let mut job = rooms_of(&[(420.0, 12.0, hung(2000.0)), (420.0, 12.0, hung(3000.0)), (420.0, 12.0, hung(3000.0))]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 40}, "drop_k": 5});
    job["plant"] = unit_of(9.0, &json!({"minimum_flow_l_h": 150}));
    for (room, room_use) in [("r0", "hall"), ("r1", "hall"), ("r2", "bathroom")] {
        job["rooms"][room]["use"] = json!(room_use);
    }
    let found = arrangement(&job).await;
    assert_eq!((found["kind"].as_str(), open(&found)), (Some("direct"), vec!["r0".to_owned(), "r2".to_owned()]));
    close(&found["stays_open"][0]["above_set_k"], 0.854_924_5, 1e-6);
    let bathroom_k = number(&found["stays_open"][1]["above_set_k"]);
    // by the same equations 3,000 W come to 3.6493 K
    close(&found["stays_open"][1]["above_set_k"], 3.649_33, 1e-4);
    // where the job leaves it open it is warned of
    job["pipework"]["stays_open"] = json!([{"room": "r1", "emitter": "rad"}]);
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let warnings = answer["notes"]["warnings"].as_array().unwrap();
    let told = warnings.iter().find(|note| note["code"] == "open_warms_too_far").unwrap();
    assert_eq!(told["pointer"], "/rooms/r1/emitters/rad");
    close(&told["values"]["warms_k"], bathroom_k, 1e-6);
}

/// Common practice: no more than 20 kPa across the valves of a radiator: through Kv 0.5 that lets 0.5·(0.2/0.9912)^½ m³/h, 224.6 l/h,
/// through, whatever more the pump has.
#[tokio::test]
async fn no_more_is_pushed_through_a_valve_than_is_not_heard() {
    let mut job = house(&[("hall", 900.0)], &json!({"minimum_flow_l_h": 2000}));
    job["pipework"]["runs"] =
        json!({"all": {"from": "plant", "length_m": 3, "serves": [{"room": "r0", "emitter": "rad"}]}});
    let found = arrangement(&job).await;
    close(&way(&found, "direct")["flow_l_h"], 224.6, 2e-3);
}

/// A loop that nothing shuts counts, one behind a room thermostat does not; a fan convector goes on whatever its fan does. A floor may be
/// named by itself. A thermostat and an actuator for each loop are bought.
#[tokio::test]
async fn what_nothing_shuts_counts_as_open() {
    let service = shared_service();
    let floor = |thermostat: bool| json!({"e": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}, "room_thermostat": thermostat}});
    let mut job = rooms_of(&[
        (900.0, 18.0, floor(false)),
        (900.0, 18.0, floor(true)),
        (700.0, 12.0, json!({"e": {"kind": "fan_convector"}})),
    ]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 45}, "drop_k": 5});
    job["rooms"]["r0"]["use"] = json!("bedroom");
    job["rooms"]["r2"]["use"] = json!("bedroom");
    job["plant"] = unit_of(9.0, &json!({}));
    job["commercial"] = json!({"quote_date": "2026-11-02"});
    let answer = service.answer("/v1/proposal", &job).await;
    let found = &answer["pipework"]["arrangement"];
    let reasons: Vec<_> =
        found["stays_open"].as_array().unwrap().iter().map(|row| (&row["room"], &row["reason"])).collect();
    assert_eq!(reasons, [(&json!("r0"), &json!("no_thermostat")), (&json!("r2"), &json!("fan_follows_the_room"))]);
    assert!(found.get("room_sensor").is_none(), "no sensor in a bedroom");
    let loops = answer["emitters"]["rooms"][1]["emitters"][0]["loops"].as_array().unwrap().len();
    let lines = &answer["bill"]["lines"];
    let quantity = |code: &str| whole(&row(lines, "code", code)["quantity"]);
    assert_eq!((quantity("room_thermostat"), quantity("loop_actuator")), (1, loops));
    assert_eq!(whole(&row(&answer["bill"]["labour"], "task", "fit_room_thermostat")["quantity"]), 1);
    // by its emitter, and by its manifold with all that hangs on it
    job["pipework"]["stays_open"] = json!([{"room": "r1", "emitter": "e"}]);
    assert_eq!(open(&arrangement(&job).await), ["r1"]);
    job["pipework"]["stays_open"] = json!([{"manifold": "m"}]);
    assert_eq!(open(&arrangement(&job).await), ["r0", "r1"]);
    job["pipework"]["stays_open"] = json!([{"manifold": "m"}, {"room": "r1", "emitter": "e"}]);
    let faults: Value = service.post("/v1/pipework", &job).await.json().await.unwrap();
    assert_eq!(
        (&faults["errors"][0]["code"], &faults["errors"][0]["pointer"]),
        (&json!("named_twice"), &json!("/pipework/stays_open/1"))
    );
}

/// A lockshield is set by quarter turns, a valve's body by its numbers: those of the shipped book whose Kv is nearest by ratio, with the
/// open valve counted once: 1/Kv² of the valve is that of what it takes beside the way and that of the valve when open, 0.7 m³/h.
#[tokio::test]
async fn valves_are_set_as_they_are_made() {
    let job = house(&SEMI, &json!({"minimum_flow_l_h": 250}));
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let still_open = open(&answer["pipework"]["arrangement"]);
    let text = include_str!("../../src/reading/catalogue/data/valve_presets.csv");
    let presets = |code: &str, column: usize| -> Vec<(String, f64)> {
        let rows = text.lines().map(|line| line.split(',').collect::<Vec<_>>()).filter(|cells| cells[0] == code);
        rows.map(|cells| (cells[column].to_owned(), cells[3].parse().unwrap())).collect()
    };
    let mut seen = [0, 0];
    for setting in answer["pipework"]["balancing"].as_array().unwrap() {
        let Some(kv) = setting.get("kv_m3_h").map(number) else { continue };
        let room = setting["at"].as_str().unwrap().split_once('/').unwrap().0.to_owned();
        let is_open = still_open.contains(&room);
        let (name, all) =
            if is_open { ("turns", presets("manual_valves", 2)) } else { ("position", presets("radiator_valves", 1)) };
        let wanted = 1.0 / (1.0 / (kv * kv) + 1.0 / (0.7 * 0.7)).sqrt();
        close(&setting["valve_kv_m3_h"], wanted, 1e-5);
        let nearest = all.iter().min_by(|a, b| {
            let far = |kv: f64| (kv / wanted).max(wanted / kv);
            far(a.1).total_cmp(&far(b.1))
        });
        let (mark, nearest_kv) = nearest.unwrap();
        let told = if is_open {
            number(&setting["turns"]).to_string()
        } else {
            setting["position"].as_str().unwrap().to_owned()
        };
        assert_eq!((&told, setting.get(if is_open { "position" } else { "turns" })), (mark, None), "{setting}");
        close(&setting["position_kv_m3_h"], *nearest_kv, 1e-6);
        assert!(setting.get(name).is_some());
        assert_eq!(setting["valve"], if is_open { "lockshield" } else { "valve_body" });
        seen[usize::from(is_open)] += 1;
    }
    assert!(seen[0] >= 2 && seen[1] >= 2, "{seen:?}");
}

/// A valve of a book is set by positions or by turns, not by both, and its turns open it.
#[tokio::test]
async fn a_valve_of_two_makes_is_refused() {
    for wrong in [
        json!([{"position": "1", "kv_m3_h": 0.6}, {"turns": 2, "kv_m3_h": 0.8}]),
        json!([{"turns": 2, "kv_m3_h": 0.6}, {"turns": 1, "kv_m3_h": 0.8}]),
        json!([{"kv_m3_h": 0.6}]),
    ] {
        let mut job = published("hand_house");
        job["commercial"]["price_book"]["products"]["radiator_valves"]["presets"] = wrong;
        let faults = problem(shared_service().post("/v1/pipework", &job).await, 422).await;
        let at = "/commercial/price_book/products/radiator_valves/presets";
        assert_eq!(row(&faults["errors"], "pointer", at)["code"], "price_book_inconsistent", "{faults}");
    }
}

/// Common practice: valves that take more than 20 kPa with their radiator are heard: told with how many do and the worst, by the sums of
/// what the end takes and what its valve does.
#[tokio::test]
async fn valves_that_would_be_heard_are_told() {
    let service = shared_service();
    let mut job = house(&SEMI, &json!({}));
    // a long way to one of them puts its pressure on all the others
    job["pipework"]["runs"] = json!({"far": {"from": "plant", "length_m": 110, "existing_tube": "cu_15", "serves": [{"room": "r2", "emitter": "rad"}]}});
    let answer = service.answer("/v1/pipework", &job).await;
    let pipework = &answer["pipework"];
    let mut takes: Vec<(f64, String)> = Vec::new();
    for setting in pipework["balancing"].as_array().unwrap() {
        let circuit = row(&pipework["circuits"], "serves", setting["at"].as_str().unwrap());
        let kpa = (number(&circuit["end_pressure_drop_pa"]) + number(&setting["excess_pressure_pa"])) / 1000.0;
        takes.push((kpa, setting["at"].as_str().unwrap().split_once('/').unwrap().0.to_owned()));
    }
    takes.sort_by(|a, b| b.0.total_cmp(&a.0));
    let warnings = answer["notes"]["warnings"].as_array().unwrap();
    let told = warnings.iter().find(|note| note["code"] == "loud_valves").unwrap();
    close(&told["values"]["takes_kpa"], takes[0].0, 1e-6);
    assert_eq!(
        (&told["values"]["room"], whole(&told["values"]["valves"])),
        (&json!(takes[0].1), takes.iter().filter(|one| one.0 > 20.0).count())
    );
    assert!(takes.iter().any(|one| one.0 < 20.0));
    let quiet = service.answer("/v1/pipework", &house(&SEMI[..3], &json!({}))).await;
    assert!(!quiet["notes"]["warnings"].to_string().contains("loud_valves"));
}

/// What the price does not hold is told: tube to the outdoor unit where the job tells no primary, cleaning where something stays.
#[tokio::test]
async fn what_is_not_in_the_price_is_told() {
    let service = shared_service();
    let lacking = async |job: &Value| {
        let answer = service.answer("/v1/bill", job).await;
        let notes = answer["notes"]["assumptions"].as_array().unwrap();
        notes.iter().find(|note| note["code"] == "not_in_the_bill").unwrap()["values"]["lacking"].to_string()
    };
    let mut job = house(&SEMI[..2], &json!({}));
    let plain = lacking(&job).await;
    assert!(plain.contains("tube_to_the_outdoor_unit") && !plain.contains("valves_of_what_stays"), "{plain}");
    job["pipework"]["primary"] = json!({"length_m": 8});
    job["rooms"]["r0"]["emitters"]["rad"]["existing"] =
        json!({"kind": "rated", "output_w": 3000, "exponent": 1.3, "water_l": 5, "keep": "if_enough"});
    let kept = lacking(&job).await;
    assert!(!kept.contains("tube_to_the_outdoor_unit") && kept.contains("valves_of_what_stays"), "{kept}");
}
