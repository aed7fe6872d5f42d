//! What a run asks of its tube by what it leads to: a bore for a manifold, tails of thin tube, and what merchants have.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{fixture, published, row, shared_service, warned};

fn section<'a>(answer: &'a Value, id: &str) -> &'a Value {
    row(&answer["pipework"]["sections"], "id", id)
}

/// Inside diameters of shipped tubes by code (mm).
fn bore_mm(code: &str) -> f64 {
    let book = tundish::catalogue::price_book::try_built_in().unwrap();
    let (_, product) = book.find(code).unwrap();
    let tundish::catalogue::products::Product::Tube { bore_mm, .. } = product else { panic!("{code}") };
    *bore_mm
}

#[tokio::test]
async fn a_manifold_is_fed_by_its_loops_and_its_flow() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["pipework"].as_object_mut().unwrap().remove("tubes");
    job["pipework"]["sizing"] = json!({"kind": "least_cost"});
    let answer = service.answer("/v1/proposal", &job).await;
    let loops = |manifold: &str| -> usize {
        let floors = answer["emitters"]["rooms"].as_array().unwrap().iter().filter(|room| {
            let at = room["room"].as_str().unwrap();
            job["rooms"][at]["emitters"]["floor"]["manifold"] == manifold
        });
        floors
            .flat_map(|room| room["emitters"].as_array().unwrap())
            .filter_map(|one| one["loops"].as_array())
            .map(Vec::len)
            .sum()
    };
    for (id, manifold) in [("to_day", "day"), ("to_night", "night")] {
        let (found, loops) = (section(&answer, id), loops(manifold));
        assert!(loops >= 3, "{manifold} {loops}");
        let least_mm = if loops > 8 || number(&found["flow_l_h"]) > 900.0 { 25.0 } else { 18.0 };
        let tube = found["tube"].as_str().unwrap();
        assert!(bore_mm(tube) >= least_mm, "{id}: {loops} loops, {found}");
        // the next narrower is told with the limit that it breaks
        assert_eq!(found["narrower"]["breaks"], "manifold_feed", "{found}");
    }
}

#[tokio::test]
async fn a_kept_tube_to_a_manifold_is_judged_by_its_bore() {
    let mut job = fixture("bungalow");
    job["pipework"]["runs"]["to_day"]["existing_tube"] = json!("ml_20");
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let told = &section(&answer, "to_day")["existing_tube"];
    assert_eq!((&told["verdict"], &told["breaks"]), (&json!("kept"), &json!("manifold_feed")), "{told}");
    let warnings = warned(&answer, "kept_tube");
    let [warning] = warnings[..] else { panic!("{warnings:?}") };
    assert_eq!(warning["pointer"], "/pipework/runs/to_day/existing_tube");
    assert_eq!((&warning["values"]["found"], &warning["values"]["limit"]), (&json!(16.0), &json!(18.0)));
    assert!(warning["detail"].as_str().unwrap().contains("manifold"), "{warning}");
}

/// A book of the job's own asks for nothing that it does not tell.
#[tokio::test]
async fn a_book_without_feeds_asks_for_no_bore() {
    let service = shared_service();
    let mut job = published("hand_house");
    let fed = |answer: &Value| section(answer, "to_manifold")["tube"].as_str().unwrap().to_owned();
    let without = service.answer("/v1/pipework", &job).await;
    job["commercial"]["price_book"]["manifold_feeds"] = json!([{"bore_mm": 25}]);
    let with = service.answer("/v1/pipework", &job).await;
    assert_ne!(fed(&without), "cu_28");
    assert_eq!(fed(&with), "cu_28");
    // what also leads to radiators is no feed
    assert_eq!(section(&with, "trunk")["tube"], section(&without, "trunk")["tube"]);
}

#[tokio::test]
async fn thin_copper_comes_as_tails_and_what_is_seldom_stocked_only_where_it_is_named() {
    let service = shared_service();
    let mut job = fixture("terrace");
    job["pipework"].as_object_mut().unwrap().remove("tubes");
    job["pipework"]["sizing"] = json!({"kind": "least_cost"});
    for (_, run) in job["pipework"]["runs"].as_object_mut().unwrap() {
        run.as_object_mut().unwrap().remove("existing_tube");
    }
    let tubes = |answer: &Value| -> Vec<(String, String, f64)> {
        let sections = answer["pipework"]["sections"].as_array().unwrap();
        let text = |value: &Value| value.as_str().unwrap().to_owned();
        sections.iter().map(|one| (text(&one["id"]), text(&one["tube"]), number(&one["length_m"]))).collect()
    };
    let answer = service.answer("/v1/pipework", &job).await;
    let found = tubes(&answer);
    let thin: Vec<&(String, String, f64)> = found.iter().filter(|(_, tube, _)| tube == "cu_10_coil").collect();
    assert!(!thin.is_empty(), "{found:?}");
    assert!(
        thin.iter().all(|(id, _, length_m)| (id.starts_with("to_") || id == "kitchen_branch") && *length_m <= 7.0),
        "{thin:?}"
    );
    assert!(found.iter().all(|(_, tube, _)| tube != "cu_10" && tube != "cu_12"), "{found:?}");
    // a leg of more than 7 m is no tail of it
    job["pipework"]["runs"]["to_landing"]["length_m"] = json!(9.0);
    let long = service.answer("/v1/pipework", &job).await;
    assert_ne!(section(&long, "to_landing")["tube"], "cu_10_coil");
    // named, 12 mm is taken
    job["pipework"]["tubes"] = json!(["cu_12", "cu_22"]);
    let named = service.answer("/v1/pipework", &job).await;
    assert!(tubes(&named).iter().any(|(_, tube, _)| tube == "cu_12"));
    // a trunk of it that lies there is told
    job["pipework"]["runs"]["upper"]["existing_tube"] = json!("cu_10_coil");
    let kept = service.answer("/v1/pipework", &job).await;
    let told = &section(&kept, "upper")["existing_tube"];
    assert!(["tail", "velocity", "erosion"].contains(&told["breaks"].as_str().unwrap()), "{told}");
}
