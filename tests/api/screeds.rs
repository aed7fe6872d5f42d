//! What a screed brings with it: its own product, the layer under it, the days before it is heated; and boards that
//! carry none.

use jiff::civil::Date;
use serde_json::{Value, json};

use super::helpers::{fixture, published, shared_service};

/// The bungalow, whose every room has a heated floor, with binders by room. Its crew is large enough for the screed to
/// hold up the commissioning, whatever binds it.
fn bound(binder: impl Fn(&str) -> &'static str) -> Value {
    let mut job = fixture("bungalow");
    job["commercial"]["crew"]["people"] = json!(6);
    for (id, room) in job["rooms"].as_object_mut().unwrap() {
        room["emitters"]["floor"]["screed"]["binder"] = json!(binder(id));
    }
    job
}

/// The bungalow on dry boards.
fn dry() -> Value {
    let mut job = fixture("bungalow");
    for room in job["rooms"].as_object_mut().unwrap().values_mut() {
        let floor = room["emitters"]["floor"].as_object_mut().unwrap();
        floor.retain(|name, _| !["screed", "pipe_height_mm", "spacings_mm"].contains(&name.as_str()));
        floor.insert("system".to_owned(), json!({"kind": "tested_boards", "board": "floor_board_dry_125"}));
    }
    job
}

fn line<'a>(answer: &'a Value, code: &str) -> Option<&'a Value> {
    answer["bill"]["lines"].as_array().unwrap().iter().find(|line| line["code"] == code)
}

fn visit<'a>(answer: &'a Value, name: &str) -> Option<&'a Value> {
    answer["programme"]["visits"].as_array().unwrap().iter().find(|visit| visit["visit"] == name)
}

fn day(answer: &Value, name: &str, member: &str) -> Date {
    visit(answer, name).unwrap()[member].as_str().unwrap().parse().unwrap()
}

/// Details of the assumptions of a code.
fn assumed<'a>(answer: &'a Value, code: &str) -> Vec<&'a str> {
    let notes = answer["notes"]["assumptions"].as_array().unwrap().iter();
    notes.filter(|note| note["code"] == code).map(|note| note["detail"].as_str().unwrap()).collect()
}

fn unmet(answer: &Value) -> Vec<(&str, &str)> {
    let unmet = answer["bill"]["unmet"].as_array().unwrap().iter();
    unmet.map(|unmet| (unmet["code"].as_str().unwrap(), unmet["detail"].as_str().unwrap())).collect()
}

/// Source: EN 1264-4, as a trade encyclopaedia gives it: 21 days for cement, 7 for calcium sulphate. The layer by hand: 124.20 m² of floors;
/// 133.2 m of perimeters, and a screed of 16 mm of pipe and 35 mm of cover, are 6.79 m² of upstands; with a tenth for
/// laps 144.09 m², 1.92 rolls of 75 m².
#[tokio::test]
async fn a_calcium_sulphate_screed_lies_on_a_layer_and_is_heated_a_fortnight_earlier() {
    let service = shared_service();
    let cement = service.answer("/v1/proposal", &bound(|_| "cement")).await;
    let liquid = service.answer("/v1/proposal", &bound(|_| "calcium_sulphate")).await;
    assert_eq!((&cement["emitters"], &cement["plant"]), (&liquid["emitters"], &liquid["plant"]));
    // each is billed as what it is, though both are designed with 1.4 W/(mK)
    assert!(line(&cement, "screed_cement").is_some() && line(&cement, "screed_liquid").is_none());
    assert!(line(&liquid, "screed_liquid").is_some() && line(&liquid, "screed_cement").is_none());
    assert!(line(&cement, "separating_layer").is_none());
    let layer = line(&liquid, "separating_layer").unwrap();
    assert_eq!((&layer["quantity"], &layer["supply"]), (&json!(2.0), &json!("floor_build")));
    let from = "(124.2 m2 of floor + 6.8 m2 of upstands) x 1.1 for laps (common practice, without a source) / 75";
    assert_eq!(layer["quantity_from"], from);

    // laid on Wednesday 3 February: three weeks later, and one week later
    let start = |answer: &Value| day(answer, "commissioning", "earliest_start");
    assert_eq!([start(&cement), start(&liquid)].map(|day| day.to_string()), ["2027-02-24", "2027-02-10"]);
    assert_eq!((start(&cement) - start(&liquid)).get_days(), 14);
    for (answer, days, binder) in [(&cement, 21, "cement"), (&liquid, 7, "calcium sulphate")] {
        let laid = day(answer, "screed", "earliest_finish");
        assert_eq!(laid, day(&cement, "screed", "earliest_finish"));
        assert!((start(answer) - laid).get_days() >= days);
        // it rests for three days whatever binds it
        assert_eq!(day(answer, "plant", "earliest_start"), day(&cement, "plant", "earliest_start"));
        assert!((day(answer, "plant", "earliest_start") - laid).get_days() > 3);
        let told = visit(answer, "screed").unwrap()["hands_over"].as_str().unwrap();
        assert_eq!(told, format!("screed laid; not walked on for three days, not heated for {days}"));
        let said = format!(
            "a screed is first heated {days} days after it is laid, as a {binder} one (EN 1264-4, as a trade encyclopaedia gives it, or as the maker of the screed says)"
        );
        assert_eq!(assumed(answer, "screed_age"), [said]);
    }
}

/// One cement screed holds up the first heating of the whole house. The layer by hand, where it makes the roll:
/// 31.00 + 23.00 + 8.32 + 5.76 = 68.08 m² of floors, with a tenth 74.89; (22.4 + 19.2 + 11.6 + 10.0) m x 51 mm =
/// 3.22 m² of upstands besides, with a tenth 78.43 m²: two rolls of 75 m².
#[tokio::test]
async fn the_slowest_screed_is_waited_for_and_the_layer_lies_under_liquid_ones_alone() {
    let service = shared_service();
    let liquid = ["living", "kitchen", "bed2", "utility"];
    let mixed = bound(|room| if liquid.contains(&room) { "calcium_sulphate" } else { "cement" });
    let answer = service.answer("/v1/proposal", &mixed).await;
    assert_eq!(line(&answer, "separating_layer").unwrap()["quantity"], 2.0);
    // 124.20 - 68.08 = 56.12 m² of 51 mm are 2.86 m³ of cement screed; 68.08 m² are 3.47 m³ of the liquid one
    for (code, quantity) in [("screed_cement", 2.9), ("screed_liquid", 3.5)] {
        assert_eq!(line(&answer, code).unwrap()["quantity"], quantity, "{code}");
    }
    let cement = service.answer("/v1/programme", &bound(|_| "cement")).await;
    assert_eq!(answer["programme"], cement["programme"]);
    assert_eq!(assumed(&answer, "screed_age"), assumed(&cement, "screed_age"));
}

#[tokio::test]
async fn a_binder_that_the_job_leaves_out_is_cement_and_told() {
    let service = shared_service();
    let mut silent = bound(|_| "cement");
    for room in silent["rooms"].as_object_mut().unwrap().values_mut() {
        room["emitters"]["floor"]["screed"].as_object_mut().unwrap().remove("binder");
    }
    let silent = service.answer("/v1/proposal", &silent).await;
    let cement = service.answer("/v1/proposal", &bound(|_| "cement")).await;
    for stage in ["bill", "programme", "price"] {
        assert_eq!(silent[stage], cement[stage], "{stage}");
    }
    let told = |answer: &Value| {
        assumed(answer, "heated_floor").iter().filter(|detail| detail.contains("a screed bound with cement")).count()
    };
    assert_eq!((told(&silent), told(&cement)), (9, 0));
}

/// Floors whose construction names no thickness: boards under a screed are billed by guess, tested ones are not.
#[tokio::test]
async fn dry_boards_bring_no_screed_and_nothing_that_belongs_to_one() {
    let service = shared_service();
    let vague = |mut job: Value| {
        job["constructions"]["slab"]["layers"] = json!([{"kind": "resistance", "resistance_m2k_w": 6.8}]);
        job
    };
    let answer = service.answer("/v1/proposal", &vague(dry())).await;
    let lines: Vec<&Value> = answer["bill"]["lines"].as_array().unwrap().iter().map(|line| &line["code"]).collect();
    for code in ["screed_cement", "screed_liquid", "separating_layer", "edge_strip", "board_50", "board_150"] {
        assert!(line(&answer, code).is_none(), "{code} in {lines:?}");
    }
    // 124.20 m² x 1.05 / 5.40 m² = 24.15 packs
    assert_eq!(line(&answer, "floor_board_dry_125").unwrap()["quantity"], 25.0);
    assert!(visit(&answer, "screed").is_none() && visit(&answer, "floor").is_some());
    assert!(!visit(&answer, "commissioning").unwrap()["needs"].as_str().unwrap().contains("screed"));
    assert!(assumed(&answer, "screed_age").is_empty() && assumed(&answer, "board_thickness").is_empty());
    let screeded = service.answer("/v1/proposal", &vague(fixture("bungalow"))).await;
    assert_eq!(assumed(&screeded, "board_thickness").len(), 9);
    assert!(line(&screeded, "board_50").is_some());
}

/// A price book of the firm's own: without a layer that is unmet, a screed that names no binder fits every floor, and
/// one of the other binder is billed and told.
#[tokio::test]
async fn what_a_price_book_lacks_for_a_liquid_screed_is_unmet() {
    let service = shared_service();
    let mut job = published("hand_house");
    job["rooms"]["living"]["emitters"]["floor"]["screed"]["binder"] = json!("calcium_sulphate");
    let no_layer = ("no_product", "the price book has no separating layer; it is not in the bill");
    let answer = service.answer("/v1/bill", &job).await;
    assert_eq!(unmet(&answer), [no_layer]);
    let screed = line(&answer, "screed").unwrap().clone();

    job["commercial"]["price_book"]["products"]["screed"]["binder"] = json!("cement");
    let answer = service.answer("/v1/bill", &job).await;
    let other = "the price book has no calcium sulphate screed; the one nearest in conductivity is in the bill";
    assert_eq!(unmet(&answer), [("no_screed_of_binder", other), no_layer]);
    assert_eq!(line(&answer, "screed"), Some(&screed));
    assert_eq!(answer["bill"]["complete"], false);

    job["commercial"]["price_book"]["products"]["screed"]["binder"] = json!("calcium_sulphate");
    job["commercial"]["price_book"]["products"]["film"] = json!({
        "kind": "separating_layer", "description": "coated paper", "pack_m2": 1, "unit": "m2", "unit_cost": 1
    });
    let answer = service.answer("/v1/bill", &job).await;
    assert_eq!((unmet(&answer), &answer["bill"]["complete"]), (Vec::new(), &json!(true)));
    // (33.6 m² + 23.2 m x 61 mm) x 1.1 = 38.52 m²
    assert_eq!(line(&answer, "film").unwrap()["quantity"], 39.0);
}
