//! `POST /v1/emitters`: radiators that hang there already, judged room by room.

use serde_json::{Value, json};

use super::helpers::{fixture, spawn_service};

fn of<'a>(answer: &'a Value, room: &str) -> &'a Value {
    let rooms = answer["emitters"]["rooms"].as_array().unwrap();
    &rooms.iter().find(|found| found["room"] == room).unwrap()["emitters"][0]
}

fn close(found: &Value, expected: f64) {
    let found = found.as_f64().unwrap();
    assert!((found / expected - 1.0).abs() < 1e-4, "{found} where {expected} was expected");
}

/// Source: EN 442, output with the logarithmic mean excess temperature over 49.833 K (75/65/20). At 50/43 °C in a room
/// of 18 °C that mean is 7/ln(32/25) = 28.356 K: 1450 W with an exponent of 1.30 give 1450·(28.356/49.833)^1.30 =
/// 696.69 W, 1260 W with 1.29 give 608.82 W, 980 W with 1.28 give 476.20 W. At 21 °C it is 7/ln(29/22) = 25.339 K:
/// 1597 W with 1.31 give 1597·(25.339/49.833)^1.31 = 658.45 W, 2779 W with 1.33 give 1130.40 W.
#[tokio::test]
async fn radiators_that_hang_there_are_kept_where_they_carry_their_room_and_replaced_where_they_do_not() {
    let service = spawn_service();
    let answer = service.answer("/v1/emitters", &fixture("terrace")).await;
    for (room, capacity_w) in [("hall", 696.69), ("bed1", 608.82), ("bed3", 476.20), ("dining", 1130.40)] {
        let kept = of(&answer, room);
        assert_eq!(kept["standing"], "kept", "{room}");
        close(&kept["capacity_w"], capacity_w);
        assert!(kept["load_w"].as_f64().unwrap() <= capacity_w, "{room}");
    }
    assert_eq!(of(&answer, "dining")["product"], "p22_600x1600");
    // known by its rating alone, it has no code
    assert!(of(&answer, "hall").get("product").is_none());
    let replaced = of(&answer, "living");
    assert!(replaced["load_w"].as_f64().unwrap() > 658.45, "{replaced}");
    assert_eq!(replaced["standing"], "replaced");
    assert_ne!(replaced["product"], "p21_600x1200");
    assert!(replaced["capacity_w"].as_f64().unwrap() >= replaced["load_w"].as_f64().unwrap());
    for new in ["kitchen", "landing", "bath"] {
        assert_eq!(of(&answer, new)["standing"], "new", "{new}");
    }
    assert_eq!(answer["emitters"]["complete"], true);
}

#[tokio::test]
async fn a_radiator_that_stays_in_any_case_and_is_too_small_is_unmet_by_name() {
    let service = spawn_service();
    let mut job = fixture("terrace");
    job["rooms"]["living"]["emitters"]["rad"]["existing"]["keep"] = json!("always");
    let answer = service.answer("/v1/emitters", &job).await;
    let kept = of(&answer, "living");
    assert_eq!((&kept["standing"], &kept["product"]), (&json!("kept"), &json!("p21_600x1200")));
    close(&kept["capacity_w"], 658.45);
    assert_eq!(kept["output_w"], kept["capacity_w"]);
    let unmet = &answer["emitters"]["unmet"][0];
    assert_eq!(unmet["code"], "kept_radiator_too_small");
    assert_eq!(unmet["pointer"], "/rooms/living/emitters/rad");
    assert_eq!((&unmet["need"], &unmet["reached"]), (&kept["load_w"], &kept["capacity_w"]));
    assert_eq!(answer["emitters"]["complete"], false);
}

#[tokio::test]
async fn what_hung_there_and_goes_is_taken_down_and_what_stays_is_not_bought() {
    let service = spawn_service();
    let bill = service.answer("/v1/bill", &fixture("terrace")).await;
    let bill = &bill["bill"];
    let count = |task: &str| {
        let tasks = bill["labour"].as_array().unwrap().iter();
        tasks.filter(|row| row["task"] == task).map(|row| row["quantity"].as_f64().unwrap()).sum::<f64>()
    };
    // living and bed2 are replaced; kitchen, landing and bath are new: five are hung, two come down
    assert_eq!([count("remove_radiator"), count("hang_radiators")].map(|count| count.to_string()), ["2", "5"]);
    let codes: Vec<&str> =
        bill["lines"].as_array().unwrap().iter().map(|line| line["code"].as_str().unwrap()).collect();
    assert!(!codes.contains(&"p22_600x1600"), "{codes:?}");
}

#[tokio::test]
async fn a_room_where_nothing_that_fits_is_enough_is_unmet_by_name() {
    let service = spawn_service();
    let mut job = fixture("terrace");
    // the largest that fits is taken, and what it gives is told
    job["rooms"]["kitchen"]["emitters"]["rad"]["fit"] = json!({"length_max_mm": 600});
    let answer = service.answer("/v1/emitters", &job).await;
    let (unmet, largest) = (&answer["emitters"]["unmet"][0], of(&answer, "kitchen"));
    assert_eq!((&unmet["code"], &unmet["pointer"]), (&json!("no_radiator"), &json!("/rooms/kitchen/emitters/rad")));
    assert_eq!((&unmet["reached"], &largest["output_w"]), (&largest["capacity_w"], &largest["capacity_w"]));
    assert!(largest["capacity_w"].as_f64().unwrap() > 300.0 && largest["product"].is_string(), "{largest}");
    // none fits at all
    job["rooms"]["kitchen"]["emitters"]["rad"]["fit"] = json!({"length_max_mm": 10});
    let answer = service.answer("/v1/emitters", &job).await;
    assert_eq!(answer["emitters"]["unmet"][0]["reached"], 0.0);
    assert!(of(&answer, "kitchen").get("product").is_none());
}

/// A screed is fed at 55 °C at most (common practice): hotter is unmet by name, and the price is not complete.
#[tokio::test]
async fn a_flow_too_hot_for_a_screed_is_unmet() {
    let service = spawn_service();
    for (flow_c, hot) in [(55.0, false), (56.0, true)] {
        let mut job = fixture("bungalow");
        job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(flow_c);
        let answer = service.answer("/v1/emitters", &job).await;
        let unmet = answer["emitters"]["unmet"].as_array().unwrap();
        assert_eq!(unmet.iter().any(|unmet| unmet["code"] == "screed_too_hot"), hot, "{flow_c}: {unmet:?}");
    }
}

/// Below the flow temperatures of its data a heat source is taken at its lowest, and that is told.
#[tokio::test]
async fn a_flow_below_the_data_of_the_heat_sources_is_on_the_safe_side_and_told() {
    let service = spawn_service();
    let at = async |flow_c: f64| {
        let mut job = fixture("bungalow");
        job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(flow_c);
        service.answer("/v1/plant", &job).await
    };
    let (lowest, below) = (at(35.0).await, at(32.0).await);
    let capacity = |answer: &Value| answer["plant"]["heat_source"]["candidates"][0]["capacity_w"].clone();
    assert_eq!(capacity(&lowest), capacity(&below));
    let told = |answer: &Value| {
        answer["notes"]["warnings"].as_array().unwrap().iter().any(|warning| warning["code"] == "below_its_data")
    };
    assert!(told(&below) && !told(&lowest));
}
