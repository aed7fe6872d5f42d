//! `POST /v1/heat-loss`

use serde_json::{Value, json};
use tundish::catalogue::Catalogue;
use tundish::design;
use tundish::intake::Gate;
use tundish::job::Job;
use tundish::methods::{Book, Off, Step};
use tundish::proposal;

use super::formulas::{context, evaluated, holds};
use super::helpers::{faults, fixture, problem, published, shared_service, study};

/// Jobs that use every formula of the stage: ground, station, mechanical ventilation, neighbours, and, in the last
/// two, thermal bridges by junctions and by the coefficient of a room beside a mean for the adjoining dwelling.
fn jobs() -> Vec<(&'static str, Value)> {
    let mut junctions = fixture("terrace");
    junctions["dwelling"]["thermal_bridging"] = json!({"kind": "junctions", "junctions": {"jambs": {"length_m": 41.5, "psi_w_mk": 0.05}, "eaves": {"length_m": 11, "psi_w_mk": -0.02}}});
    let mut coefficient = fixture("terrace");
    coefficient["dwelling"]["adjoining"] = json!({"kind": "mean"});
    coefficient["rooms"]["bath"]["thermal_bridging"] = json!({"kind": "coefficient", "coefficient_w_k": 1.7});
    vec![
        ("chapel", fixture("chapel")),
        ("terrace", fixture("terrace")),
        ("bungalow", fixture("bungalow")),
        ("hand house", published("hand_house")),
        ("terrace with junctions", junctions),
        ("terrace with a coefficient", coefficient),
    ]
}

/// The two rooms worked by hand: outside -3 °C, no bridges, 0.34 Wh/(m³K). Room A 21 °C: wall 10 m² × 0.3,
/// window 2 m² × 1.4, partition 12 m² × 1.7 to B, 40 m³ × 0.5/h. Room B 18 °C: wall 15 m² × 0.3, 30 m³ × 1/h.
/// A = 72 + 67.2 + 61.2 + 163.2, B = 94.5 − 61.2 + 214.2 (the 72 is wall; 15 × 0.3 × 21 = 94.5).
fn two_rooms() -> Value {
    json!({
        "schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -3.0, "annual_mean_outside_c": 10.0}},
        "dwelling": {"air_heat_wh_m3k": 0.34, "thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0.0}},
        "constructions": {
            "wall": {"kind": "known", "u_value_w_m2k": 0.3},
            "window": {"kind": "known", "u_value_w_m2k": 1.4},
            "partition": {"kind": "known", "u_value_w_m2k": 1.7}
        },
        "rooms": {
            "a": {
                "use": "living", "floor_area_m2": 16.0, "height_m": 2.5, "inside_design_c": 21.0, "air_changes_per_h": 0.5,
                "surfaces": {
                    "wall": {"part": "wall", "construction": "wall", "area_m2": 12.0, "faces": {"kind": "outside"},
                        "openings": {"window": {"construction": "window", "area_m2": 2.0}}},
                    "partition": {"part": "wall", "construction": "partition", "area_m2": 12.0, "faces": {"kind": "room", "room": "b"}}
                }
            },
            "b": {
                "use": "bedroom", "floor_area_m2": 12.0, "height_m": 2.5, "inside_design_c": 18.0, "air_changes_per_h": 1.0,
                "surfaces": {"wall": {"part": "wall", "construction": "wall", "area_m2": 15.0, "faces": {"kind": "outside"}}}
            }
        }
    })
}

/// Holds a figure of an answer against an outside value.
fn close(answer: &Value, pointer: &str, expected: f64, tolerance: f64) {
    let found = answer.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("no figure at {pointer}"));
    assert!((found - expected).abs() <= tolerance, "{pointer}: {found} instead of {expected} ± {tolerance}");
}

#[tokio::test]
async fn two_rooms_lose_what_the_hand_calculation_says() {
    let service = shared_service();
    let answer = service.answer("/v1/heat-loss", &two_rooms()).await;
    // hand calculation, exact in decimals; 0.1 W is the digit it prints, and the answer keeps seven
    close(&answer, "/heat_loss/rooms/0/design_heat_loss_w", 363.6, 0.1);
    close(&answer, "/heat_loss/rooms/1/design_heat_loss_w", 247.5, 0.1);
    close(&answer, "/heat_loss/dwelling/design_heat_loss_w", 611.1, 0.1);
    close(&answer, "/heat_loss/rooms/0/ventilation_w", 163.2, 0.1);
    close(&answer, "/heat_loss/rooms/1/ventilation_w", 214.2, 0.1);
    close(&answer, "/heat_loss/rooms/0/to_rooms_w", 61.2, 0.1);
    close(&answer, "/heat_loss/rooms/1/to_rooms_w", -61.2, 0.1);
    let elements: Vec<f64> = answer["heat_loss"]["rooms"][0]["elements"]
        .as_array()
        .unwrap()
        .iter()
        .map(|element| element["transmission_w"].as_f64().unwrap())
        .collect();
    for expected in [72.0, 67.2, 61.2] {
        assert!(elements.iter().any(|found| (found - expected).abs() < 0.1), "{expected} W in {elements:?}");
    }
    let mirrored = &answer["heat_loss"]["rooms"][1]["elements"][0];
    assert_eq!((mirrored["declared_in"].as_str(), mirrored["to_room"].as_str()), (Some("a"), Some("a")), "{mirrored}");
}

#[tokio::test]
async fn the_same_job_gives_the_same_answer_byte_for_byte() {
    let (one, other) = (shared_service(), shared_service());
    for (name, job) in jobs() {
        for target in ["/v1/heat-loss", "/v1/heat-loss?workings=true"] {
            let first = one.post(target, &job).await.text().await.unwrap();
            for service in [&one, &other] {
                assert_eq!(service.post(target, &job).await.text().await.unwrap(), first, "{name}");
            }
        }
    }
}

#[tokio::test]
async fn answers_name_the_rooms_in_the_order_of_the_job_and_add_up() {
    let service = shared_service();
    for (name, job) in jobs() {
        let answer = service.answer("/v1/heat-loss", &job).await;
        let rooms = answer["heat_loss"]["rooms"].as_array().unwrap();
        let ids: Vec<&str> = rooms.iter().map(|room| room["room"].as_str().unwrap()).collect();
        assert_eq!(ids, job["rooms"].as_object().unwrap().keys().map(String::as_str).collect::<Vec<_>>(), "{name}");
        let sum = |figure: &str| rooms.iter().map(|room| room[figure].as_f64().unwrap()).sum::<f64>();
        let (rooms_w, to_rooms_w) = (sum("design_heat_loss_w"), sum("to_rooms_w"));
        // conservation: flows between rooms cancel; seven printed digits a room leave 1e-6 of the sum
        assert!(to_rooms_w.abs() < 1e-6 * rooms_w, "{name}: {to_rooms_w} W are lost between rooms");
        close(&answer, "/heat_loss/dwelling/design_heat_loss_w", rooms_w, 1e-6 * rooms_w);
        assert!(rooms_w > 1000.0 && rooms_w < 30_000.0, "{name}: {rooms_w} W is no house");
    }
}

#[tokio::test]
async fn every_note_points_at_a_place_of_the_job() {
    let service = shared_service();
    for (name, job) in jobs().into_iter().chain([("study", study())]) {
        let answer = service.answer("/v1/heat-loss", &job).await;
        for kind in ["assumptions", "warnings", "cautions"] {
            for note in answer["notes"][kind].as_array().unwrap() {
                let pointer = note["pointer"].as_str().unwrap();
                assert!(job.pointer(pointer).is_some(), "{name}: {note}");
            }
        }
    }
    // what the least job leaves out is told
    let answer = service.answer("/v1/heat-loss", &study()).await;
    let told: Vec<&str> =
        answer["notes"]["assumptions"].as_array().unwrap().iter().map(|note| note["code"].as_str().unwrap()).collect();
    for code in ["annual_mean_outside", "inside_design", "air_changes", "thermal_bridging", "air_heat", "faces_outside"]
    {
        assert!(told.contains(&code), "{code} in {told:?}");
    }
}

#[tokio::test]
async fn every_shown_formula_gives_its_result_and_belongs_to_a_figure_of_the_answer() {
    let service = shared_service();
    let mut context = context();
    let mut seen = std::collections::BTreeSet::new();
    for (name, job) in jobs() {
        let answer = service.answer("/v1/heat-loss?workings=true", &job).await;
        let workings = answer["workings"].as_array().unwrap();
        assert!(workings.len() > 50, "{name}");
        for working in workings {
            holds(working, &mut context).unwrap_or_else(|wrong| panic!("{name}: {wrong}"));
            let figure = working["figure"].as_str().unwrap();
            assert!(answer.pointer(figure).is_some_and(Value::is_number), "{name}: no figure at {figure}: {working}");
            let source = working["source"].as_str().unwrap();
            let cited = answer["sources"].as_array().unwrap().iter().any(|cited| cited["key"] == source);
            assert!(cited, "{name}: {source} is used and not cited");
            seen.insert(working["name"].as_str().unwrap().to_owned());
        }
    }
    // every method of the stage has been shown at least once
    for name in [
        "transmission_w",
        "thermal_bridging_w",
        "junction_w_k",
        "share_w_k",
        "difference_k",
        "adjoining_c",
        "volume_m3",
        "air_flow_m3_h",
        "ventilation_w",
        "supply_c",
        "outside_design_c",
        "u_value_w_m2k",
    ] {
        assert!(seen.contains(name), "{name} in {seen:?}");
    }
}

/// The steps of a job, unrounded.
fn steps(job: &Value) -> (Vec<Step>, design::heat_loss::HeatLoss, design::heat_loss::HeatLoss) {
    let gate = Gate::for_type::<Job>().unwrap();
    let prepared =
        proposal::read(&gate, &Catalogue::try_built_in().unwrap(), job.to_string().as_bytes(), proposal::Needs::Design)
            .unwrap();
    let mut steps = Vec::new();
    let shown = design::heat_loss::compute(&prepared.survey, &mut Book::new(&mut steps)).unwrap();
    let hidden = design::heat_loss::compute(&prepared.survey, &mut Off).unwrap();
    (steps, shown, hidden)
}

#[test]
fn a_formula_evaluated_from_its_text_gives_the_very_bits_that_were_computed() {
    let mut context = context();
    for (name, job) in jobs() {
        let (steps, shown, hidden) = steps(&job);
        assert_eq!(shown, hidden, "{name}: showing the workings changes the result");
        for step in steps {
            let found = evaluated(step.formula, &step.values, &mut context);
            assert_eq!(found.to_bits(), step.result.to_bits(), "{name}: {step:?}");
        }
    }
}

#[tokio::test]
async fn workings_are_asked_for_by_true_and_refused_in_any_other_spelling() {
    let service = shared_service();
    for (query, shown) in
        [("", false), ("?", false), ("?workings=false", false), ("?workings=true", true), ("?&workings=%74rue", true)]
    {
        let answer = service.answer(&format!("/v1/heat-loss{query}"), &study()).await;
        assert_eq!(answer.get("workings").is_some(), shown, "{query}");
    }
    for (query, parameter, code) in [
        ("workings=1", "workings", "wrong_type"),
        ("workings=yes", "workings", "wrong_type"),
        ("workings=True", "workings", "wrong_type"),
        ("workings=", "workings", "wrong_type"),
        ("workings", "workings", "wrong_type"),
        ("workings=true%20", "workings", "wrong_type"),
        ("workings=null", "workings", "wrong_type"),
        ("workings=%FF", "workings", "wrong_type"),
        ("workings=true&workings=true", "workings", "duplicate_key"),
        ("Workings=true", "Workings", "unknown_field"),
        ("v=3", "v", "unknown_field"),
    ] {
        let refused = problem(service.post(&format!("/v1/heat-loss?{query}"), &study()).await, 400).await;
        let error = &refused["errors"][0];
        assert_eq!(
            (error["parameter"].as_str(), error["code"].as_str()),
            (Some(parameter), Some(code)),
            "{query}: {refused}"
        );
    }
    let mut both = study();
    both["rooms"]["study"]["height_m"] = json!(-1);
    let refused = problem(service.post("/v1/heat-loss?workings=1", &both).await, 400).await;
    assert_eq!(refused["errors"].as_array().unwrap().len(), 2, "query and document are told together: {refused}");
    assert_eq!(refused["errors"][1]["pointer"], "/rooms/study/height_m");
    let alone = problem(service.post("/v1/heat-loss", &both).await, 422).await;
    assert_eq!(faults(&alone), [("/rooms/study/height_m", "too_small")]);
}

#[tokio::test]
async fn a_null_counts_as_absent() {
    let service = shared_service();
    let mut job = study();
    job["title"] = Value::Null;
    job["rooms"]["study"]["inside_design_c"] = Value::Null;
    job["rooms"]["study"]["surfaces"]["north"]["faces"] = Value::Null;
    job["heating"] = Value::Null;
    let answer = |job: Value| {
        let service = &service;
        async move { service.post("/v1/heat-loss", &job).await.text().await.unwrap() }
    };
    assert_eq!(answer(job).await, answer(study()).await);
}
