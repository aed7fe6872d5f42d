//! Heated floors that cannot be: every fault named at its place.

use serde_json::{Value, json};

use super::helpers::{TestService, fixture, shared_service};

/// The bungalow with its living room's floor changed.
fn with(floor: &Value) -> Value {
    let mut job = fixture("bungalow");
    for (name, value) in floor.as_object().unwrap() {
        job["rooms"]["living"]["emitters"]["floor"][name] = value.clone();
    }
    job
}

async fn faults(service: &TestService, job: &Value) -> Vec<(String, String)> {
    let response = service.post("/v1/emitters", job).await;
    assert_eq!(response.status(), 422);
    let body: Value = response.json().await.unwrap();
    let faults = body["errors"].as_array().unwrap().iter();
    faults
        .map(|fault| {
            let pointer = fault["pointer"].as_str().unwrap();
            assert!(job.pointer(pointer).is_some(), "{fault}");
            (fault["code"].as_str().unwrap().to_owned(), pointer.to_owned())
        })
        .collect()
}

const FLOOR: &str = "/rooms/living/emitters/floor";

#[tokio::test]
async fn what_a_floor_cannot_be_is_named_at_its_place() {
    let service = shared_service();
    let boards = json!({"kind": "tested_boards", "board": "floor_board_dry_125"});
    let plates = json!({"kind": "under_plates", "plate": "plate_steel_035"});
    let screed = json!({"conductivity_w_mk": 1.2, "cover_mm": 40});
    let cases = [
        // a pipe of 16 mm in 20 mm of screed leaves no 10 mm over it
        (json!({"screed": {"thickness_mm": 20}}), "pipe_thicker_than_screed", "/screed/thickness_mm"),
        (
            json!({"screed": {"thickness_mm": 45}, "pipe_height_mm": 20}),
            "pipe_thicker_than_screed",
            "/screed/thickness_mm",
        ),
        (json!({"screed": {"thickness_mm": 65, "cover_mm": 45}}), "two_thicknesses", "/screed"),
        (json!({"screed": {"cover_mm": -5}}), "too_small", "/screed/cover_mm"),
        (json!({"screed": null}), "screed_missing", ""),
        (json!({"spacings_mm": [0]}), "too_small", "/spacings_mm/0"),
        (json!({"spacings_mm": [150, -100]}), "too_small", "/spacings_mm/1"),
        (json!({"edge_area_m2": 31.5}), "edge_zone_too_large", "/edge_area_m2"),
        (json!({"edge_area_m2": 23}), "edge_zone_too_wide", "/edge_area_m2"),
        (
            json!({"worst_covering": {"thickness_mm": 1, "conductivity_w_mk": 1}}),
            "worst_is_not_worse",
            "/worst_covering",
        ),
        (json!({"edge_area_m2": 3, "edge_surface_limit_c": 20}), "surface_limit_below_room", "/edge_surface_limit_c"),
        (json!({"system": boards}), "screed_on_dry_boards", "/screed"),
        (json!({"system": {"kind": "tested_boards", "board": "nothing"}}), "unknown_product", "/system/board"),
        (json!({"system": {"kind": "under_plates", "plate": "floor_tube_16"}}), "unknown_product", "/system/plate"),
        (
            json!({"system": plates, "screed": screed, "design_on": {"kind": "conduction"}}),
            "conduction_not_solved",
            "/design_on",
        ),
        (json!({"system": plates, "screed": screed, "pipe_height_mm": 10}), "no_screed_under_pipe", "/pipe_height_mm"),
        (json!({"tail_m": 45}), "tails_too_long", ""),
        (json!({"passes_through": {"hall": {"length_m": 6}}}), "tail_shorter_than_its_way", "/tail_m"),
        (json!({"passes_through": {"nowhere": {"length_m": 1}}}), "unknown_room", "/passes_through/nowhere"),
        (json!({"passes_through": {"living": {"length_m": 1}}}), "passes_through_itself", "/passes_through/living"),
        (json!({"manifold": "nowhere"}), "unknown_manifold", "/manifold"),
    ];
    for (floor, code, member) in cases {
        let found = faults(service, &with(&floor)).await;
        assert_eq!(found, [(code.to_owned(), format!("{FLOOR}{member}"))], "{floor}");
    }
}

#[tokio::test]
async fn insulation_missing_over_outside_air_is_named() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    let bare =
        json!({"kind": "layered", "layers": [{"kind": "conductivity", "thickness_mm": 150, "conductivity_w_mk": 2.0}]});
    job["constructions"]["deck"] = bare;
    job["rooms"]["living"]["surfaces"]["floor"]["construction"] = json!("deck");
    job["rooms"]["living"]["surfaces"]["floor"]["faces"] = json!({"kind": "outside"});
    let found = faults(service, &job).await;
    assert_eq!(found, [("insulation_missing".to_owned(), FLOOR.to_owned())]);
    // with 50 mm of 0.022 W/(mK), 2.27 m²K/W, there is some
    job["constructions"]["deck"]["layers"] =
        json!([{"kind": "conductivity", "thickness_mm": 50, "conductivity_w_mk": 0.022}]);
    assert_eq!(service.post("/v1/emitters", &job).await.status(), 200);
}

#[tokio::test]
async fn cooling_that_cannot_be_is_named() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["rooms"]["hall"]["emitters"] = json!({"rad": {"kind": "radiator"}});
    job["cooling"] = json!({"flow_temperature_c": 24, "rise_k": 3, "rooms": ["nowhere", "hall", "living"]});
    let expected = [
        ("cooling_too_warm", "/cooling"),
        ("unknown_room", "/cooling/rooms/0"),
        ("no_floor_to_cool", "/cooling/rooms/1"),
    ];
    let mut found = faults(service, &job).await;
    found.sort();
    let mut expected = expected.map(|(code, pointer)| (code.to_owned(), pointer.to_owned()));
    expected.sort();
    assert_eq!(found, expected);
}

/// Each fault is told, whatever else is wrong beside it.
#[tokio::test]
async fn a_date_that_is_missing_hides_no_unknown_product() {
    let mut job = with(&json!({"tube": "floor_tube_17"}));
    job["commercial"].as_object_mut().unwrap().remove("quote_date");
    let body: Value = shared_service().post("/v1/price", &job).await.json().await.unwrap();
    let found: Vec<(&str, &str)> = body["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|fault| (fault["pointer"].as_str().unwrap(), fault["code"].as_str().unwrap()))
        .collect();
    assert_eq!(found, [("/commercial", "missing_field"), (&format!("{FLOOR}/tube"), "unknown_product")]);
}

/// A code that the price book lacks is answered with those that it has.
#[tokio::test]
async fn an_unknown_product_is_told_with_what_there_is() {
    let service = shared_service();
    let job = with(&json!({"system": {"kind": "tested_boards", "board": "nothing"}}));
    let body: Value = service.post("/v1/emitters", &job).await.json().await.unwrap();
    let detail = body["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.ends_with("it has floor_board_dry_125, floor_board_dry_250"), "{detail}");
}

#[tokio::test]
async fn a_floor_without_any_manifold_and_a_manifold_in_no_room_are_named() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"]["manifolds"]["day"]["room"] = json!("nowhere");
    assert_eq!(faults(service, &job).await, [("unknown_room".to_owned(), "/pipework/manifolds/day/room".to_owned())]);
    let mut job = fixture("bungalow");
    job["pipework"] = json!({});
    for room in job["rooms"].as_object_mut().unwrap().values_mut() {
        for emitter in room["emitters"].as_object_mut().unwrap().values_mut() {
            emitter.as_object_mut().unwrap().remove("manifold");
        }
    }
    let found = faults(service, &job).await;
    assert!(found.iter().all(|(code, _)| code == "no_manifold") && found.len() == 9, "{found:?}");
}
