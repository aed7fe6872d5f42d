//! Air by leakage, flues, warming up, high rooms, ground water: over `POST /v1/heat-loss`.

use serde_json::{Value, json};

use super::helpers::{same, shared_service, study};

/// Two rooms of 12 m² x 2.4 m at 21 °C, -3 °C outside; the study has a window, the hall has none.
fn two_rooms() -> Value {
    let mut job = study();
    job["dwelling"]["thermal_bridging"] = json!({"kind": "coefficient", "coefficient_w_k": 0});
    job["rooms"]["study"]["surfaces"]["north"]["openings"] = json!({"window": {"construction": "wall", "area_m2": 1}});
    job["rooms"]["hall"] = job["rooms"]["study"].clone();
    job["rooms"]["hall"]["surfaces"]["north"].as_object_mut().unwrap().remove("openings");
    job
}

/// Source: EN 12831:2003. n50 = 10·80/57.6 = 13.889 /h; the study's infiltration 2·28.8·13.889·0.02·1 = 16 m³/h with one
/// exposed opening in moderate shielding, the hall's 0; least air 0.5·28.8 = 14.4 m³/h each. 0.34·16·24 = 130.56 W and
/// 0.34·14.4·24 = 117.504 W by rooms; the dwelling takes the greater of half of 130.56 and of 2·117.504 W.
#[tokio::test]
async fn air_leaks_by_permeability_shielding_and_openings_and_half_of_it_at_one_time() {
    let service = shared_service();
    let mut job = two_rooms();
    job["dwelling"]["ventilation"] =
        json!({"kind": "air_permeability", "q50_m3_h_m2": 10, "envelope_area_m2": 80, "shielding": "moderate"});
    let loss = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&loss["rooms"][0]["ventilation_w"], 130.56);
    same(&loss["rooms"][1]["ventilation_w"], 117.504);
    same(&loss["dwelling"]["ventilation_w"], 235.008);
    assert_eq!(loss["dwelling"]["ventilation_is"], "least_air");
    same(&loss["dwelling"]["ventilation_coefficient_w_k"], 235.008 / 24.0);
    // a leakier house: 2·28.8·(40·80/57.6)·0.02 = 64 m³/h in the study; half of it is above what hygiene asks for
    job["dwelling"]["ventilation"]["q50_m3_h_m2"] = json!(40);
    let loss = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&loss["rooms"][0]["ventilation_w"], 0.34 * 64.0 * 24.0);
    same(&loss["dwelling"]["ventilation_w"], (0.5_f64 * 0.34 * 64.0 * 24.0).max(235.008));
    assert_eq!(loss["dwelling"]["ventilation_is"], "simultaneous_infiltration");
    // in the open, twenty metres up: 0.03 and 1.2
    job["dwelling"]["ventilation"]["shielding"] = json!("none");
    job["dwelling"]["ventilation"]["height_m"] = json!(20);
    let loss = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&loss["rooms"][0]["ventilation_w"], 0.34 * 64.0 * 1.5 * 1.2 * 24.0);
    assert_eq!(loss["rooms"][1]["ventilation_w"], 117.504);
}

/// Source: EN 12831:2003, shielding, as an open Modelica library carries the German edition: the coefficient goes by façades with
/// openings, and windows of one wall count once. n50 = 40·80/57.6 = 55.556 /h; moderate: 2·28.8·55.556·0.02 = 64 m³/h for one façade,
/// 96 for more.
#[tokio::test]
async fn windows_of_one_facade_count_once() {
    let service = shared_service();
    let mut job = two_rooms();
    job["dwelling"]["ventilation"] =
        json!({"kind": "air_permeability", "q50_m3_h_m2": 40, "envelope_area_m2": 80, "shielding": "moderate"});
    job["constructions"]["glass"] = json!({"kind": "typical", "element": "double_glazed_window"});
    job["dwelling"]["construction_year"] = json!(1990);
    let window = json!({"construction": "wall", "area_m2": 1});
    let glass = json!({"part": "wall", "construction": "glass", "area_m2": 1});
    let wall = |orientation_deg: Option<i32>, has_window: bool| {
        let mut wall = json!({"part": "wall", "construction": "wall", "area_m2": 5});
        if let Some(degrees) = orientation_deg {
            wall["orientation_deg"] = json!(degrees);
        }
        if has_window {
            wall["openings"] = json!({"a": window, "b": window});
        }
        wall
    };
    for (surfaces, flow_m3_h, what) in [
        (json!({"a": wall(None, true)}), 64.0, "two windows in one wall"),
        (json!({"a": wall(None, true), "b": wall(None, false)}), 64.0, "a wall without"),
        (json!({"a": wall(None, true), "b": wall(None, true)}), 96.0, "two walls"),
        (json!({"a": wall(Some(90), true), "b": wall(Some(90), true)}), 64.0, "two parts of one wall"),
        (json!({"a": wall(Some(90), true), "b": wall(Some(91), true)}), 64.0, "one wall, a degree apart"),
        (json!({"a": wall(Some(1), true), "b": wall(Some(359), true)}), 64.0, "one wall, about north"),
        (json!({"a": wall(Some(90), true), "b": wall(Some(136), true)}), 96.0, "more than an octant apart"),
        (json!({"a": wall(Some(90), true), "b": wall(Some(180), true)}), 96.0, "east and south"),
        (json!({"a": wall(Some(90), false), "b": glass, "c": glass}), 64.0, "windows as surfaces, in the east wall"),
        (
            json!({"a": wall(Some(90), false), "b": wall(Some(0), false), "c": glass, "d": glass}),
            96.0,
            "in two, at worst",
        ),
        (json!({"a": wall(None, false), "b": glass, "c": glass}), 96.0, "nobody knows where, at worst in two"),
        (json!({"a": wall(None, false)}), 14.4, "none: the least air"),
    ] {
        job["rooms"]["study"]["surfaces"] = surfaces;
        let loss = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
        assert_eq!(loss["rooms"][0]["air_flow_m3_h"].as_f64(), Some(flow_m3_h), "{what}");
    }
}

/// Source: SAP 2012: 40 m³/h through a chimney, 20 through an open flue. 0.34·80·24 = 652.8 W beside the air changes.
#[tokio::test]
async fn chimneys_and_flues_draw_air() {
    let service = shared_service();
    let mut job = two_rooms();
    let plain = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    job["rooms"]["study"]["flues"] = json!({"chimneys": 1, "open_flues": 2});
    let drawn = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    let of = |loss: &Value| loss["rooms"][0]["ventilation_w"].as_f64().unwrap();
    same(&drawn["rooms"][0]["ventilation_w"], of(&plain) + 652.8);
    same(&drawn["rooms"][0]["air_flow_m3_h"], plain["rooms"][0]["air_flow_m3_h"].as_f64().unwrap() + 80.0);
    same(&drawn["dwelling"]["ventilation_w"], plain["dwelling"]["ventilation_w"].as_f64().unwrap() + 652.8);
}

/// Source: EN 12831:2003: by leakage the dwelling takes the greater of half its infiltration and of the least air, 235.008 W here, and
/// flues beside it. 32 m³/h that leak into the study are 261.12 W, half of which is less than that, though all of it is more.
#[tokio::test]
async fn flues_draw_beside_leakage_of_which_half_strikes_at_one_time() {
    let mut job = two_rooms();
    job["dwelling"]["ventilation"] =
        json!({"kind": "air_permeability", "q50_m3_h_m2": 20, "envelope_area_m2": 80, "shielding": "moderate"});
    let loss = shared_service().answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&loss["rooms"][0]["ventilation_w"], 261.12);
    same(&loss["dwelling"]["ventilation_w"], 235.008);
    assert_eq!(loss["dwelling"]["ventilation_is"], "least_air");
    job["rooms"]["study"]["flues"] = json!({"chimneys": 1, "open_flues": 2});
    let loss = shared_service().answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&loss["rooms"][0]["ventilation_w"], 261.12 + 652.8);
    same(&loss["dwelling"]["ventilation_w"], 235.008 + 652.8);
}

/// Source: EN 12831:2003, reheat: 12 m² at 11 W/m² (2 h, 2 K) is 132 W, in the room and in the dwelling.
#[tokio::test]
async fn warming_up_after_a_setback_adds_to_room_and_dwelling() {
    let service = shared_service();
    let mut job = two_rooms();
    let plain = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    job["rooms"]["study"]["reheat"] = json!({"within_h": 2, "drop_k": 2});
    let warmed = service.answer("/v1/heat-loss?workings=true", &job).await;
    let loss = &warmed["heat_loss"];
    same(&loss["rooms"][0]["reheat_w"], 132.0);
    same(&loss["rooms"][0]["design_heat_loss_w"], plain["rooms"][0]["design_heat_loss_w"].as_f64().unwrap() + 132.0);
    same(&loss["dwelling"]["design_heat_loss_w"], plain["dwelling"]["design_heat_loss_w"].as_f64().unwrap() + 132.0);
    assert!(warmed["workings"].as_array().unwrap().iter().any(|row| row["figure"] == "/heat_loss/rooms/0/reheat_w"));
}

/// Source: EN 12831:2003: a room of 5 to 10 m that is warmed by convection takes 15 % more; its dwelling does not.
#[tokio::test]
async fn a_high_room_takes_more_by_convection_and_none_by_its_floor() {
    let service = shared_service();
    let mut job = two_rooms();
    job["rooms"]["study"]["height_m"] = json!(6);
    let high = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    let figure = |name: &str| high["rooms"][0][name].as_f64().unwrap();
    same(&high["rooms"][0]["height_w"], 0.15 * (figure("transmission_w") + figure("ventilation_w")));
    same(&high["rooms"][0]["design_heat_loss_w"], 1.15 * (figure("transmission_w") + figure("ventilation_w")));
    let rooms: f64 = (0..2)
        .map(|room| {
            high["rooms"][room]["transmission_w"].as_f64().unwrap()
                + high["rooms"][room]["ventilation_w"].as_f64().unwrap()
        })
        .sum();
    same(&high["dwelling"]["design_heat_loss_w"], rooms);
    // without air it takes 15 % of what passes its walls
    job["rooms"]["study"]["air_changes_per_h"] = json!(0);
    let still = service.answer("/v1/heat-loss", &job).await["heat_loss"]["rooms"][0].clone();
    same(&still["ventilation_w"], 0.0);
    same(&still["height_w"], 0.15 * 9.6 * 0.3 * 24.0);
    job["rooms"]["study"]["height_m"] = json!(11);
    let answer = service.answer("/v1/heat-loss", &job).await;
    assert!(answer["notes"]["warnings"].as_array().unwrap().iter().any(|note| note["code"] == "high_room"));
    job["rooms"]["study"]["height_m"] = json!(5);
    let low = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    assert!(low["rooms"][0].get("height_w").is_none());
}

/// Source: EN 12831:2003: ground water less than a metre below the floor adds 15 % to what goes into the ground.
#[tokio::test]
async fn near_ground_water_takes_more() {
    let service = shared_service();
    let mut job = two_rooms();
    job["rooms"]["study"]["surfaces"]["floor"] =
        json!({"part": "floor", "construction": "wall", "area_m2": 12, "faces": {"kind": "ground"}});
    let of = |loss: &Value| {
        let elements = loss["rooms"][0]["elements"].as_array().unwrap();
        elements.iter().find(|row| row["surface"] == "floor").unwrap()["transmission_w"].clone()
    };
    let deep = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    // 1.45 x 12 m² x 0.3 x (21 - 10)
    same(&of(&deep), 57.42);
    job["dwelling"]["ground_water_near"] = json!(true);
    let near = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&of(&near), 57.42 * 1.15);
}

/// Air from a named room comes at that room's temperature, and nothing is shared out beside it: 30 m³/h from 18 °C into
/// 21 °C is 0.34·30·3 = 30.6 W; what is still wanted comes from outside, 0.34·10·24 = 81.6 W.
#[tokio::test]
async fn air_from_another_room_comes_at_its_temperature() {
    let mut job = two_rooms();
    job["dwelling"]["ventilation"] =
        json!({"kind": "mechanical", "heat_recovery_efficiency": 0.8, "infiltration_air_changes_per_h": 0});
    job["rooms"]["hall"]["inside_design_c"] = json!(18);
    job["rooms"]["hall"]["supply_m3_h"] = json!(40);
    job["rooms"]["study"]["extract_m3_h"] = json!(40);
    job["rooms"]["study"]["transfer_from"] = json!({"hall": {"flow_m3_h": 30}});
    let loss = shared_service().answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&loss["rooms"][0]["ventilation_w"], 30.6 + 81.6);
    // blown in at -3 + 0.8·24 = 16.2 °C
    same(&loss["rooms"][1]["ventilation_w"], 0.34 * 40.0 * (18.0 - 16.2));
    assert_eq!(loss["dwelling"]["ventilation_is"], "sum_of_rooms");
}

/// The extract holds no more heat than it carries: 60 m³/h blown in, 30 taken out and 5.1 m³/h of infiltration from -3 into
/// 22 °C take 0.34·65.1·25 = 553.35 W, of which 0.8·0.34·30·25 = 204 W are recovered (energy balance). Where more is taken out
/// than is blown in, the smaller flow is what is blown in.
#[tokio::test]
async fn no_more_is_recovered_than_the_smaller_flow_gives() {
    let mut job = study();
    job["dwelling"]["ventilation"] = json!({"kind": "mechanical", "heat_recovery_efficiency": 0.8,
        "infiltration_air_changes_per_h": 5.1 / (12.0 * 2.4)});
    job["rooms"]["study"]["inside_design_c"] = json!(22);
    let lost = async |supply_m3_h: f64, extract_m3_h: f64| {
        let mut job = job.clone();
        job["rooms"]["study"]["supply_m3_h"] = json!(supply_m3_h);
        job["rooms"]["study"]["extract_m3_h"] = json!(extract_m3_h);
        shared_service().answer("/v1/heat-loss", &job).await["heat_loss"]["rooms"][0]["ventilation_w"].clone()
    };
    same(&lost(60.0, 30.0).await, 553.35 - 204.0);
    same(&lost(30.0, 30.0).await, 0.34 * 35.1 * 25.0 - 204.0);
    // what is taken out beyond that comes in from outside
    same(&lost(30.0, 60.0).await, 553.35 - 204.0);
    // nothing is taken out: nothing is recovered
    same(&lost(60.0, 0.0).await, 553.35);
}

/// Air that flows over from rooms with more supply than extract is as warm as their mean, weighed by what each has to spare: 10 m³/h
/// from 21 °C and 30 from 17 °C are 40 at 18 °C, so that 40 m³/h into 22 °C take 0.34·40·4 = 54.4 W; that a room takes out itself
/// counts for nothing there (mixing).
#[tokio::test]
async fn air_that_flows_over_is_as_warm_as_what_is_spared() {
    let mut job = two_rooms();
    job["dwelling"]["ventilation"] =
        json!({"kind": "mechanical", "heat_recovery_efficiency": 0.8, "infiltration_air_changes_per_h": 0});
    job["rooms"]["bath"] = job["rooms"]["hall"].clone();
    for (room, inside_c, supply_m3_h, extract_m3_h) in [("study", 21, 50, 40), ("hall", 17, 30, 0), ("bath", 22, 0, 40)]
    {
        job["rooms"][room]["inside_design_c"] = json!(inside_c);
        job["rooms"][room]["supply_m3_h"] = json!(supply_m3_h);
        job["rooms"][room]["extract_m3_h"] = json!(extract_m3_h);
    }
    let loss = shared_service().answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&super::helpers::row(&loss["rooms"], "room", "bath")["ventilation_w"], 54.4);
}
