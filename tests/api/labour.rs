//! Hours of what is hung, and work that a price book counts no hours for.

use serde_json::{Value, json};

use super::helpers::{assumed, fixture, published, shared_service, warned};

/// Towel rails and fan convectors have hours of their own, and a fan convector its electricity; a book that counts nothing
/// per these counts them as radiators, and says so.
#[tokio::test]
async fn towel_rails_and_fan_convectors_are_hung_in_hours_of_their_own() {
    let service = shared_service();
    let mut job = fixture("terrace");
    job["rooms"]["kitchen"]["emitters"]["rad"] = json!({"kind": "fan_convector"});
    job["rooms"]["bath"]["emitters"]["rad"] = json!({"kind": "radiator", "towel_rail": true});
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 55});
    let counted = |answer: &Value| -> Vec<(String, f64)> {
        let tasks = answer["bill"]["labour"].as_array().unwrap();
        let hung = tasks.iter().filter(|task| task["visit"] == "second_fix");
        hung.map(|task| (task["per"].as_str().unwrap().to_owned(), task["quantity"].as_f64().unwrap())).collect()
    };
    let answer = service.answer("/v1/bill", &job).await;
    let one = |per: &str| (per.to_owned(), 1.0);
    let own = counted(&answer);
    assert_eq!(own[1..], [one("towel_rail"), one("fan_convector"), one("fan_convector")]);
    let bought = |answer: &Value, code: &str| {
        let lines = answer["bill"]["lines"].as_array().unwrap();
        lines.iter().find(|line| line["code"] == code).map(|line| line["quantity"].as_f64().unwrap())
    };
    assert_eq!(bought(&answer, "fused_spur"), Some(1.0));
    // what stays open has no thermostatic head
    let sets = ["radiator_valves", "manual_valves"].map(|code| bought(&answer, code).unwrap_or(0.0));
    assert_eq!(sets.iter().sum::<f64>().to_string(), (own[0].1 + 2.0).to_string());
    let cautions = answer["notes"]["cautions"].as_array().unwrap();
    assert!(cautions.iter().any(|caution| caution["code"] == "fan_convector_electricity"));
    assert_eq!(assumed(&answer, "labour_norm"), 0);
    let plain = service.answer("/v1/bill", &fixture("terrace")).await;
    assert_eq!((bought(&plain, "fused_spur"), counted(&plain).len()), (None, 1));
}

/// Work that a price book counts no hours for is not silently cheap.
#[tokio::test]
async fn a_price_book_without_a_norm_is_told_what_it_does_not_count() {
    let service = shared_service();
    let mut job = published("hand_house");
    let told = async |job: &Value| {
        let answer = service.answer("/v1/bill", job).await;
        warned(&answer, "labour_not_counted").into_iter().map(|note| note["detail"].clone()).collect::<Vec<_>>()
    };
    assert!(told(&job).await.is_empty());
    let tasks = job["commercial"]["price_book"]["labour"]["tasks"].as_object_mut().unwrap();
    tasks.retain(|_, task| task["per"] != "radiator" && task["per"] != "system_l");
    let details = told(&job).await;
    let detail = details[0].as_str().unwrap();
    assert!(detail.contains("per radiator hung (4), per litre of system water (65.04 l)"), "{detail}");
    // a norm of no hours says that it is meant
    let tasks = job["commercial"]["price_book"]["labour"]["tasks"].as_object_mut().unwrap();
    for per in ["radiator", "system_l"] {
        let none = json!({"visit": "second_fix", "labour_h": 0, "per": per, "supply": "heating"});
        tasks.insert(format!("no_{per}"), none);
    }
    assert!(told(&job).await.is_empty());
}

/// A book that counts hours by radiators alone counts a fan convector as one of them: three radiators and one of these are four.
#[tokio::test]
async fn a_fan_convector_counts_as_a_radiator_where_it_has_no_hours_of_its_own() {
    let mut job = published("hand_house");
    let output = |difference_k: f64| json!({"speed": 1, "difference_k": difference_k, "output_w": 80.0 * difference_k});
    job["commercial"]["price_book"]["products"]["fan"] = json!({"kind": "fan_convector", "description": "one speed",
        "height_mm": 600, "length_mm": 700, "depth_mm": 130, "water_l": 0.9, "unit": "each", "unit_cost": 300,
        "speeds": [{"fan_w": 15, "air_m3_h": 250, "sound_db": 30}], "outputs": [output(5.0), output(30.0)]});
    job["rooms"]["bath"]["emitters"]["rad"] = json!({"kind": "fan_convector"});
    let answer = shared_service().answer("/v1/bill", &job).await;
    let tasks = answer["bill"]["labour"].as_array().unwrap();
    let hung: Vec<&Value> =
        tasks.iter().filter(|task| task["per"] == "radiator").map(|task| &task["quantity"]).collect();
    assert_eq!(hung, [&json!(4.0)]);
    assert!(answer["bill"]["lines"].as_array().unwrap().iter().any(|line| line["code"] == "fan"));
}
