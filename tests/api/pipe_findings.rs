//! What is found in pipes and valves: what freezes, what is bare, what is laid at all, what the pump has left for hot water.

use std::f64::consts::PI;

use serde_json::{Value, json};
use tundish::methods::math::ln;

use super::figures::number;
use super::helpers::{close, fixture, published, rooms_of, row, shared_service, warned};

/// Two rooms of 1.4 kW with a fan convector each at 52.5 °C, on one run and on a unit of 4 kW whose pump has so much head at any flow.
fn fans(head_kpa: f64) -> Value {
    let mut job = rooms_of(&vec![(1400.0, 20.0, json!({"fan": {"kind": "fan_convector"}})); 2]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 52.5}, "drop_k": 5});
    let point = |outside: i32, flow: i32| json!({"outside_c": outside, "flow_c": flow, "capacity_w": 4000, "cop": 2});
    job["plant"] = json!({"heat_source": {"kind": "given", "description": "unit", "water_l": 0, "defrost_included": true,
        "points": [point(-15, 35), point(-15, 55), point(7, 35), point(7, 55)],
        "pump": [{"flow_l_h": 0, "head_kpa": head_kpa}, {"flow_l_h": 3000, "head_kpa": head_kpa}]}});
    job["pipework"]["runs"] = json!({"all": {"from": "plant", "length_m": 2, "existing_tube": "cu_22",
        "serves": [{"room": "r0", "emitter": "fan"}, {"room": "r1", "emitter": "fan"}]}});
    job
}

async fn pipework(job: &Value) -> Value {
    shared_service().answer("/v1/pipework", job).await["pipework"].clone()
}

/// Water stands outdoors where the unit holds some or a pipe leads there, and nowhere else: a unit without water and a primary indoors
/// cannot freeze.
#[tokio::test]
async fn water_freezes_where_a_pipe_leads_outdoors() {
    for (outdoor_m, freezes) in [(0.0, 0), (2.0, 1)] {
        let mut job = fans(60.0);
        job["pipework"]["primary"] = json!({"length_m": 4, "outdoor_m": outdoor_m});
        let answer = shared_service().answer("/v1/pipework", &job).await;
        assert_eq!(warned(&answer, "water_can_freeze").len(), freezes, "{outdoor_m} m");
    }
}

/// A bare run is warned of in a loft and in unheated places; in rooms it warms the house, and insulated it is well anywhere.
#[tokio::test]
async fn bare_runs_are_told_where_it_is_cold() {
    for (place, is_cold) in [("occupied", false), ("plant_room", false), ("loft", true), ("unheated", true)] {
        for kind in ["bare", "by_place"] {
            let mut job = fans(60.0);
            job["pipework"]["runs"]["all"]["place"] = json!(place);
            job["pipework"]["runs"]["all"]["insulation"] = json!({"kind": kind});
            let answer = shared_service().answer("/v1/pipework", &job).await;
            let expected = usize::from(is_cold && kind == "bare");
            assert_eq!(warned(&answer, "bare_pipe").len(), expected, "{kind} in {place}");
        }
    }
}

/// Dew falls on what is cold and bare: a run and a primary while floors cool, and never the way to the cylinder, which stays warm.
#[tokio::test]
async fn what_is_bare_and_chilled_is_told() {
    let insulated = json!({"kind": "given", "thickness_mm": 19, "conductivity_w_mk": 0.036});
    for (bare, at) in [
        ("", None),
        ("/pipework/hot_water_circuit", None),
        ("/pipework/runs/to_day", Some("/pipework/runs/to_day")),
        ("/pipework/primary", Some("/pipework/primary")),
    ] {
        let mut job = fixture("bungalow");
        job["cooling"] = json!({"flow_temperature_c": 18, "rise_k": 3});
        job["pipework"]["primary"] = json!({"length_m": 4});
        job["pipework"]["hot_water_circuit"] = json!({"length_m": 2});
        job["pipework"]["insulation"] = insulated.clone();
        if let Some(pipe) = job.pointer_mut(bare).filter(|_| !bare.is_empty()) {
            pipe["insulation"] = json!({"kind": "bare"});
        }
        let answer = shared_service().answer("/v1/pipework", &job).await;
        let told: Vec<&Value> = warned(&answer, "bare_chilled_pipe").iter().map(|note| &note["pointer"]).collect();
        assert_eq!(told, at.into_iter().collect::<Vec<_>>(), "{bare}");
    }
}

/// A run is laid as long as anything on it is wanted: a fan convector that is left out beside a manifold, or on the way to one, takes
/// nothing away.
#[tokio::test]
async fn a_run_is_laid_for_whatever_is_left_on_it() {
    let fan = json!({"room": "living", "emitter": "fan"});
    for run in ["to_day", "header"] {
        let mut job = fixture("bungalow");
        job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 35});
        let before = pipework(&job).await;
        job["rooms"]["living"]["emitters"]["fan"] = json!({"kind": "fan_convector"});
        job["pipework"]["runs"][run]["serves"].as_array_mut().unwrap().push(fan.clone());
        let with = pipework(&job).await;
        assert_eq!(with["sections"], before["sections"], "{run}");
    }
}

/// A book without tubes lets no run be laid, and says that: no readings are asked to be taken again that nobody took.
#[tokio::test]
async fn a_book_without_tubes_is_told_of_every_run() {
    let mut job = published("hand_house");
    let products = job["commercial"]["price_book"]["products"].as_object_mut().unwrap();
    products.retain(|code, _| !code.starts_with("cu_"));
    let unmet = pipework(&job).await["unmet"].clone();
    let codes: Vec<&Value> = unmet.as_array().unwrap().iter().map(|row| &row["code"]).collect();
    assert_eq!(codes, ["no_tube"; 8]);
}

/// Source: a printed heating handbook, a ball valve has 0.03 from 20 mm on: four in two legs are 0.06 in one, beside nothing else.
#[tokio::test]
async fn named_fittings_count_as_often_as_there_are() {
    let mut job = fans(60.0);
    job["pipework"]["runs"]["all"]["fittings"] = json!([{"kind": "named", "name": "ball_valve", "count": 4}]);
    close(&pipework(&job).await["sections"][0]["zeta"], 0.06, 1e-9);
}

/// Source: `valve_position_beyond`, a tenth: a valve whose first position has twice the flow coefficient that it must have would have
/// to be shut further; within a tenth it does. None would have to be opened further than open, for its way holds it open already.
#[tokio::test]
async fn valves_without_a_position_that_does_are_told() {
    let mut job = published("hand_house");
    let plain = pipework(&job).await;
    let setting = row(&plain["balancing"], "at", "utility/rad").clone();
    let (kv, open) = (number(&setting["kv_m3_h"]), 5.0);
    let wanted = 1.0 / (1.0 / (kv * kv) + 1.0 / (open * open)).sqrt();
    for (shut, beyond) in [(2.0, Some("more_shut")), (1.15, Some("more_shut")), (1.05, None), (0.25, None)] {
        job["commercial"]["price_book"]["products"]["radiator_valves"]["presets"] =
            json!([{"position": "shut", "kv_m3_h": shut * wanted}, {"position": "open", "kv_m3_h": open}]);
        let answer = pipework(&job).await;
        let found = row(&answer["balancing"], "at", "utility/rad");
        assert_eq!(found.get("beyond_positions").and_then(Value::as_str), beyond, "{shut}");
    }
}

/// Heat that a metre of copper 22 x 0.9 loses in 19 mm of 0.038 W/(mK), by hand (W/(mK)). Source: ISO 12241.
fn insulated_w_mk() -> f64 {
    let layers = [1000.0 / (PI * 20.2 * 1500.0), ln(60.0 / 22.0) / (2.0 * PI * 0.038), 1000.0 / (PI * 60.0 * 10.0)];
    1.0 / layers.iter().sum::<f64>()
}

/// By hand: 4 kW at 5 K flow at 4000 / (4180 x 5) / 986.9 m³/s, at 1.335 m/s through 13.6 mm. What coil, primary and plant room leave of
/// the pump's head is for the tube: with a quarter of a kilopascal more than all of them take in 15 mm that is laid, with as much less the
/// next. It is as warm as water for the cylinder: 55 and 50 °C in a room of 20 °C.
#[tokio::test]
async fn the_way_to_the_cylinder_has_what_coil_primary_and_plant_room_leave() {
    let job = |head_kpa: f64| {
        let mut job = fans(head_kpa);
        job["plant"]["cylinder"] = json!({"kind": "choose"});
        job["pipework"]["tubes"] = json!(["cu_15", "cu_22"]);
        job["pipework"]["sizing"] = json!({"kind": "least_cost", "velocity_max_m_s": 1.5});
        job["pipework"]["primary"] = json!({"length_m": 3, "existing_tube": "cu_22", "place": "plant_room"});
        job["pipework"]["hot_water_circuit"] =
            json!({"length_m": 5, "coil_kv_m3_h": 3, "place": "plant_room", "insulation": {"kind": "by_place"}});
        job
    };
    let ample = pipework(&job(60.0)).await["hot_water_circuit"].clone();
    assert_eq!(ample["section"]["tube"], "cu_15");
    close(&ample["section"]["velocity_m_s"], 4000.0 / (4180.0 * 5.0) / 986.9 / (PI / 4.0 * 0.0136 * 0.0136), 1e-3);
    let parts = ["coil_pressure_drop_pa", "primary_pressure_drop_pa", "plant_pressure_drop_pa"];
    let others_pa: f64 = parts.iter().map(|part| number(&ample[part])).sum();
    let all_kpa = (others_pa + number(&ample["section"]["pressure_drop_pa"])) / 1000.0;
    assert!(parts.iter().all(|part| number(&ample[part]) > 1000.0), "each counts: {ample}");
    for (more_kpa, tube) in [(0.25, "cu_15"), (-0.25, "cu_22")] {
        let circuit = pipework(&job(all_kpa + more_kpa)).await["hot_water_circuit"].clone();
        assert_eq!(circuit["section"]["tube"], tube, "{more_kpa}");
        if tube == "cu_22" {
            close(&circuit["section"]["heat_loss_w"], 5.0 * insulated_w_mk() * (55.0 - 20.0 + 50.0 - 20.0), 1e-3);
        }
    }
}

/// By hand: a primary of 13.6 mm that is quiet enough for heating runs at 1.335 m/s while hot water is made of 4 kW at 5 K, which an
/// occupied place does not bear: kept, and told as of that.
#[tokio::test]
async fn a_primary_that_is_loud_while_hot_water_is_made_is_told_as_that() {
    let mut job = fans(60.0);
    job["plant"]["cylinder"] = json!({"kind": "choose"});
    job["pipework"]["hot_water_circuit"] = json!({"length_m": 2});
    job["pipework"]["primary"] = json!({"length_m": 4, "existing_tube": "cu_15"});
    job["rooms"].as_object_mut().unwrap().remove("r1");
    job["pipework"]["runs"]["all"]["serves"].as_array_mut().unwrap().pop();
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let told = warned(&answer, "kept_tube");
    assert_eq!((told.len(), &told[0]["pointer"]), (1, &json!("/pipework/primary/existing_tube")));
    assert_eq!(told[0]["values"]["while_hot_water_is_made"], true);
    close(&told[0]["values"]["found"], 4000.0 / (4180.0 * 5.0) / 986.9 / (PI / 4.0 * 0.0136 * 0.0136), 1e-3);
}

/// Nothing is laid round a tube that nobody can reach: insulated by its place it stays bare, and a book without insulation lacks nothing
/// for it; what is told to be round it is, and counts in what it loses.
#[tokio::test]
async fn a_hidden_tube_has_the_insulation_that_it_is_told_to_have() {
    let service = shared_service();
    let mut job = published("hand_house");
    job["pipework"]["runs"]["riser"] = json!({"from": "trunk", "length_m": 8, "place": "occupied", "readings":
        {"points": [{"flow_l_h": 300, "pressure_difference_kpa": 9.624, "temperature_c": 20}]}});
    let mut riser = async |insulation: Value| {
        job["pipework"]["runs"]["riser"]["insulation"] = insulation;
        assert_eq!(service.answer("/v1/bill", &job).await["bill"]["unmet"], json!([]));
        row(&pipework(&job).await["sections"], "id", "riser").clone()
    };
    let bare = riser(json!({"kind": "bare"})).await;
    let by_place = riser(json!({"kind": "by_place"})).await;
    assert_eq!((&by_place["insulation_mm"], &by_place["heat_loss_w"]), (&json!(0.0), &bare["heat_loss_w"]));
    let given = riser(json!({"kind": "given", "thickness_mm": 13, "conductivity_w_mk": 0.04})).await;
    assert_eq!(given["insulation_mm"], 13.0);
    assert!(number(&given["heat_loss_w"]) < 0.6 * number(&bare["heat_loss_w"]), "{given}");
}
