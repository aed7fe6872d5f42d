//! What an answer says beside its figures.

use std::collections::BTreeSet;

use serde_json::Value;
use tundish::proposal::ANSWERS;

use super::helpers::{fixture, published, shared_service, study};

fn assumed(answer: &Value) -> BTreeSet<String> {
    let assumptions = answer["notes"]["assumptions"].as_array().unwrap().iter();
    assumptions.map(|note| format!("{} {} {}", note["code"], note["pointer"], note["detail"])).collect()
}

/// An answer names what was assumed for its stage and for those before it, and nothing of later ones.
#[tokio::test]
async fn assumptions_belong_to_the_stage_that_is_asked_and_those_before_it() {
    let service = shared_service();
    let mut least = published("hand_house");
    least.as_object_mut().unwrap().retain(|part, _| !["heating", "plant", "hot_water"].contains(&part.as_str()));
    least["commercial"] = serde_json::json!({"quote_date": "2026-11-02"});
    for job in [least, fixture("terrace"), fixture("chapel"), fixture("bungalow")] {
        let mut before = BTreeSet::new();
        for path in ANSWERS.iter().map(|answered| answered.path).chain(["/proposal"]) {
            let answer = service.answer(&format!("/v1{path}"), &job).await;
            let found = assumed(&answer);
            assert!(found.is_superset(&before), "{path}: {:?}", before.difference(&found));
            before = found;
        }
    }
    let told = assumed(&service.answer("/v1/heat-loss", &study()).await);
    let of = |code: &str| told.iter().any(|note| note.starts_with(&format!("\"{code}\"")));
    assert!(of("inside_design") && of("air_changes") && of("thermal_bridging"), "{told:?}");
    for later in ["price_book", "flow_temperature", "pipework", "hot_water", "tax_rule"] {
        assert!(!of(later), "{later}: {told:?}");
    }
}
