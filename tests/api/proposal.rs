//! The whole way over HTTP: every stage of the fixture dwellings, and what jobs are refused for or told of.

use serde_json::{Value, json};
use tundish::catalogue::Catalogue;
use tundish::intake::Gate;
use tundish::job::Job;
use tundish::proposal::{self, ANSWERS, Answered, Figure, Needs};

use super::helpers::{close, row, shared_service};

/// Relative tolerance of arithmetic in binary floating point, seven digits printed.
const EXACT: f64 = 1e-5;

async fn ask(path: &str, job: &str) -> (u16, Value) {
    let service = shared_service();
    let folder = env!("CARGO_MANIFEST_DIR");
    let text = std::fs::read_to_string(format!("{folder}/fixtures/{job}")).unwrap();
    let answer = service.post_text(path, text).await;
    (answer.status().as_u16(), answer.json().await.unwrap())
}

/// Every house that is told whole.
const HOUSES: [&str; 6] = [
    "jobs/chapel.json",
    "jobs/terrace.json",
    "jobs/bungalow.json",
    "jobs/farmhouse.json",
    "published/hand_house.json",
    "published/six_rooms.json",
];

#[actix_web::test]
async fn every_stage_answers_every_fixture_dwelling_with_its_part_of_the_proposal() {
    // the last one tells no commercial side
    for job in &HOUSES[..5] {
        let (status, whole) = ask("/v1/proposal", job).await;
        assert_eq!(status, 200, "{job}: {whole}");
        for Answered { name, path, figures } in ANSWERS {
            let (status, answer) = ask(&format!("/v1{path}"), job).await;
            assert_eq!(status, 200, "{job} {name}");
            assert_eq!(answer[name], whole[name], "{job} {name}");
            for Figure::As(pointer, _) | Figure::Money(pointer, _) in *figures {
                assert!(answer[name].pointer(pointer).is_some(), "{job} {name}: the demo tells {pointer}");
            }
        }
        assert_eq!(whole["price"]["complete"], true, "{job}");
    }
}

/// Conservation and bookkeeping, stage by stage: what is shared out adds up, what flows in flows out, money comes to the penny.
#[test]
fn every_result_of_every_fixture_dwelling_is_as_it_must_be() {
    let (gate, catalogue) = (Gate::for_type::<Job>().unwrap(), Catalogue::try_built_in().unwrap());
    let changes: [fn(&mut Value); 7] = [
        |_| {},
        |job| job["heating"]["flow_temperature"] = json!({"kind": "lowest"}),
        |job| job["heating"]["drop_k"] = json!(9),
        |job| job["site"]["climate"] = json!({"kind": "given", "outside_design_c": -14}),
        |job| job["pipework"]["stays_open"] = json!([]),
        |job| job["pipework"]["hot_water_circuit"] = json!({"length_m": 4, "bends": 5}),
        |job| {
            job["heating"]["fluid"] = json!({"kind": "glycol", "substance": "propylene", "fraction": 0.3});
            job["pipework"].as_object_mut().unwrap().remove("freeze_protection");
        },
    ];
    for name in HOUSES {
        let text = std::fs::read_to_string(format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
        for (number, change) in changes.iter().enumerate() {
            let mut job: Value = serde_json::from_str(&text).unwrap();
            if number > 0 && name == "published/six_rooms.json" {
                continue; // it has no pipes to change
            }
            change(&mut job);
            let prepared = proposal::read(&gate, &catalogue, job.to_string().as_bytes(), Needs::Design).unwrap();
            assert_eq!(proposal::check(&prepared), Ok(Ok(())), "{name}, change {number}");
        }
    }
}

/// The page that opens the project names every question, and so does the demo.
#[test]
fn every_stage_that_answers_stands_in_the_readme() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    for Answered { path, .. } in ANSWERS {
        assert!(readme.contains(&format!("| `POST /v1{path}` |")), "{path}");
    }
}

#[actix_web::test]
async fn money_needs_a_date_and_says_so() {
    let service = shared_service();
    let folder = env!("CARGO_MANIFEST_DIR");
    let text = std::fs::read_to_string(format!("{folder}/fixtures/published/hand_house.json")).unwrap();
    let mut job: Value = serde_json::from_str(&text).unwrap();
    job["commercial"].as_object_mut().unwrap().remove("quote_date");
    let answer = service.post("/v1/price", &job).await;
    assert_eq!(answer.status().as_u16(), 422);
    let problem: Value = answer.json().await.unwrap();
    assert_eq!(problem["errors"][0]["pointer"], "/commercial");
    let design = service.post("/v1/plant", &job).await;
    assert_eq!(design.status().as_u16(), 200);
}

/// A shown equation gives its result, names a source that the answer cites, and points at a number of the answer.
#[actix_web::test]
async fn every_working_of_every_stage_holds_is_cited_and_points_at_a_figure() {
    let mut context = super::formulas::context();
    // money has no equation of a published method
    let shown =
        ANSWERS.iter().map(|answered| answered.path).filter(|path| !["/bill", "/programme", "/price"].contains(path));
    let shown: Vec<&str> = shown.chain(["/proposal"]).collect();
    for job in &HOUSES[..5] {
        for stage in &shown {
            let (status, answer) = ask(&format!("/v1{stage}?workings=true"), job).await;
            assert_eq!(status, 200, "{job} {stage}");
            let cited: Vec<&Value> =
                answer["sources"].as_array().unwrap().iter().map(|source| &source["key"]).collect();
            let workings = answer["workings"].as_array().unwrap();
            assert!(!workings.is_empty(), "{job} {stage}");
            for working in workings {
                assert!(cited.contains(&&working["source"]), "{job} {stage}: {working}");
                let figure = answer.pointer(working["figure"].as_str().unwrap());
                assert!(figure.is_some_and(Value::is_number), "{job} {stage}: {working}");
                super::formulas::holds(working, &mut context).unwrap_or_else(|wrong| panic!("{job} {stage}: {wrong}"));
            }
        }
    }
}

/// A heat source whose points do not span a grid cannot be read between them, and is refused where it stands.
#[actix_web::test]
async fn a_heat_source_with_one_flow_temperature_is_refused() {
    let service = shared_service();
    let text =
        std::fs::read_to_string(format!("{}/fixtures/published/hand_house.json", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let mut job: Value = serde_json::from_str(&text).unwrap();
    let points = job.pointer_mut("/commercial/price_book/products/hs_5/points").unwrap().as_array_mut().unwrap();
    points.retain(|point| point["flow_c"] == 35);
    let answer = service.post("/v1/plant", &job).await;
    assert_eq!(answer.status().as_u16(), 422);
    let problem: Value = answer.json().await.unwrap();
    assert_eq!(problem["errors"][0]["pointer"], "/commercial/price_book/products/hs_5/points");
}

fn hand_house() -> Value {
    let text =
        std::fs::read_to_string(format!("{}/fixtures/published/hand_house.json", env!("CARGO_MANIFEST_DIR"))).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// The problem that a job is refused with; every pointer of it resolves in that job.
async fn refused(path: &str, job: &Value) -> Vec<(String, String)> {
    let answer = shared_service().post(path, job).await;
    assert_eq!(answer.status().as_u16(), 422);
    let problem: Value = answer.json().await.unwrap();
    let told =
        |error: &Value| (error["pointer"].as_str().unwrap().to_owned(), error["code"].as_str().unwrap().to_owned());
    let mut told: Vec<_> = problem["errors"].as_array().unwrap().iter().map(told).collect();
    for (pointer, _) in &told {
        assert!(job.pointer(pointer).is_some(), "{pointer}");
    }
    told.sort();
    told
}

fn pairs(expected: &[(&str, &str)]) -> Vec<(String, String)> {
    expected.iter().map(|(pointer, code)| ((*pointer).to_owned(), (*code).to_owned())).collect()
}

#[actix_web::test]
async fn what_money_lacks_is_told_at_a_place_that_is_there() {
    let mut job = hand_house();
    job.as_object_mut().unwrap().remove("commercial");
    assert_eq!(refused("/v1/price", &job).await, pairs(&[("", "missing_field")]));
    let mut job = hand_house();
    job["commercial"].as_object_mut().unwrap().retain(|name, _| name != "supplies" && name != "stage_payments");
    job["commercial"]["quote_date"] = "1990-01-01".into();
    assert_eq!(refused("/v1/bill", &job).await, pairs(&[("/commercial/quote_date", "no_rule"); 2]));
}

#[actix_web::test]
async fn notes_and_unmet_needs_of_the_least_job_point_at_places_that_are_there() {
    let mut job = hand_house();
    job.as_object_mut()
        .unwrap()
        .retain(|name, _| !["heating", "pipework", "plant", "hot_water"].contains(&name.as_str()));
    job["rooms"]["living"].as_object_mut().unwrap().remove("emitters");
    let answer = shared_service().answer("/v1/proposal", &job).await;
    let notes = answer["notes"].as_object().unwrap().values().flat_map(|notes| notes.as_array().unwrap());
    let unmet =
        ["emitters", "pipework", "plant", "bill"].iter().flat_map(|stage| answer[stage]["unmet"].as_array().unwrap());
    let all: Vec<&Value> = notes.chain(unmet).collect();
    assert!(all.iter().any(|said| said["code"] == "no_emitter") && all.iter().any(|said| said["code"] == "scald"));
    for said in all {
        assert!(job.pointer(said["pointer"].as_str().unwrap()).is_some(), "{said}");
    }
}

#[actix_web::test]
async fn money_shows_no_workings_that_point_beyond_its_answer() {
    for stage in ["bill", "programme", "price"] {
        let (status, answer) = ask(&format!("/v1/{stage}?workings=true"), "published/hand_house.json").await;
        assert_eq!((status, &answer["workings"]), (200, &serde_json::json!([])), "{stage}");
    }
}

#[actix_web::test]
async fn runs_that_go_in_a_circle_are_told_and_those_behind_them_are_not() {
    let mut job = hand_house();
    job["pipework"]["runs"]["riser"]["from"] = "upper".into();
    let expected = [("/pipework/runs/riser/from", "circular_run"), ("/pipework/runs/upper/from", "circular_run")];
    assert_eq!(refused("/v1/pipework", &job).await, pairs(&expected));
}

#[actix_web::test]
async fn every_fault_of_bad_runs_is_told_also_behind_one_that_hangs_on_nothing() {
    let mut job = hand_house();
    let runs = &mut job["pipework"]["runs"];
    runs["upper"]["from"] = "nowhere".into();
    runs["to_bed2"]["serves"] = serde_json::json!([{"room": "utility", "emitter": "rad"}]);
    runs["to_bed1"]["serves"] = serde_json::json!([{"room": "attic", "emitter": "rad"}]);
    runs["to_bath"]["serves"] =
        serde_json::json!([{"room": "bath", "emitter": "stove"}, {"room": "living", "emitter": "floor"}]);
    runs["to_manifold"]["serves"] = serde_json::json!([{"manifold": "m9"}]);
    runs["trunk"]["existing_tube"] = "lead_20".into();
    let expected = [
        ("/pipework/runs/to_bath/serves/0/emitter", "unknown_emitter"),
        ("/pipework/runs/to_bath/serves/1/emitter", "floor_without_manifold"),
        ("/pipework/runs/to_bed1/serves/0/room", "unknown_room"),
        ("/pipework/runs/to_bed2/serves/0", "served_twice"),
        ("/pipework/runs/to_manifold/serves/0/manifold", "unknown_manifold"),
        ("/pipework/runs/trunk/existing_tube", "unknown_product"),
        ("/pipework/runs/upper/from", "unknown_run"),
    ];
    assert_eq!(refused("/v1/pipework", &job).await, pairs(&expected));
}

/// 100 people of 500 l at 60 °C: by 0.001163 kWh/(l·K) over 50 K and a loss factor of 1.2 that is 3489 kWh a day, or
/// 145,375 W on average, on top of the hand-worked load of 3337.905 W.
#[actix_web::test]
async fn hot_water_that_takes_the_whole_day_is_unmet_by_a_figure_that_can_be_read() {
    let mut job = hand_house();
    job["dwelling"]["occupants"] = 100.into();
    job["hot_water"]["litres_per_person_at_60_c"] = 500.into();
    let answer = shared_service().answer("/v1/plant", &job).await;
    let unmet = row(&answer["plant"]["unmet"], "code", "no_heat_source");
    close(&unmet["need"], 145_375.0 + 3337.905, EXACT);
    assert_eq!(answer["plant"]["complete"], false);
}
