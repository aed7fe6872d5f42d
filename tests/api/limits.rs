//! What an answer may cost: counted work, which is the same on every machine, and a clock that can only end a question.

use std::sync::Arc;
use std::time::Duration;

use reqwest::Response;
use reqwest::header::RETRY_AFTER;
use serde_json::{Value, json};
use tundish::catalogue::Catalogue;
use tundish::intake::{Fault, Gate};
use tundish::job::Job;
use tundish::proposal::{self, Limits, Needs, Prepared};

use super::helpers::{fixture, lowest, problem, shared_service, spawn_service_with, study};

/// That there was no time is told as such, with a time to ask again that a spreadsheet takes (whole seconds, 1 to 120).
async fn is_out_of_time(response: Response) {
    let seconds: u32 = response.headers()[RETRY_AFTER].to_str().unwrap().parse().unwrap();
    assert!((1..=120).contains(&seconds));
    let problem = problem(response, 503).await;
    assert_eq!(problem["code"], "out_of_time");
    // it is no fault of the job
    assert_eq!(problem.get("errors").and_then(Value::as_array).map_or(0, Vec::len), 0, "{problem}");
}

#[tokio::test]
async fn a_question_whose_time_is_over_is_told_503_and_nothing_is_kept_of_it() {
    let service = spawn_service_with(|settings| settings.times.work = Duration::ZERO);
    let job = fixture("farmhouse");
    let searching =
        ["emitters", "flow-temperatures", "plant", "pipework", "bill", "programme", "price", "proposal", "quotes"];
    for path in searching {
        is_out_of_time(service.post(&format!("/v1/{path}"), &job).await).await;
    }
    is_out_of_time(service.post("/v1/pipework?workings=true", &job).await).await;
    // what searches nothing is answered as ever, and a fault of the job is still its fault
    let (here, there) =
        (service.answer("/v1/heat-loss", &job).await, shared_service().answer("/v1/heat-loss", &job).await);
    assert_eq!(here, there);
    problem(service.post("/v1/pipework", &Value::Null).await, 422).await;
}

/// However late the clock strikes, what is answered is what is answered without one.
#[tokio::test]
async fn a_clock_ends_a_question_and_never_turns_it() {
    let job = lowest(fixture("farmhouse"), 30.0, 55.0);
    let asked = async |longest: Duration| {
        let service = spawn_service_with(|settings| settings.times.work = longest);
        service.post("/v1/pipework", &job).await
    };
    let answer = shared_service().post("/v1/pipework", &job).await.text().await.unwrap();
    let mut longest = Duration::from_millis(1);
    let mut late = 0;
    loop {
        let response = asked(longest).await;
        if response.status() == 200 {
            assert_eq!(response.text().await.unwrap(), answer);
            break;
        }
        is_out_of_time(response).await;
        late += 1;
        longest *= 2;
    }
    assert!(late > 0, "a lowest flow temperature was found within {longest:?}");
}

/// A job made ready, with no more work than this for its answer.
fn prepared(job: &Value, work: u64) -> Prepared {
    let (gate, catalogue) = (Gate::for_type::<Job>().unwrap(), Catalogue::try_built_in().unwrap());
    let mut prepared = proposal::read(&gate, &catalogue, job.to_string().as_bytes(), Needs::Money).unwrap();
    prepared.limits.work = work;
    prepared
}

/// An answer of a stage as text, or its faults.
type Answer = Result<String, Vec<Fault>>;

/// The answer with so much work.
type Stage = fn(&Prepared) -> Answer;

const STAGES: [(&str, Stage); 3] = [
    ("pipework", |job| written(proposal::pipework(job, false))),
    ("flow temperatures", |job| written(proposal::flow_temperatures(job, true))),
    ("proposal", |job| written(proposal::proposal(job, false))),
];

fn written<R: serde::Serialize>(report: Result<R, proposal::ProposalError>) -> Answer {
    report.map(|report| serde_json::to_string(&report).unwrap()).map_err(|error| error.into_faults().unwrap())
}

/// One unit too little is refused as a fault of the job, at a place that the job has; just enough gives the answer that
/// plenty gives. Where that lies is the same whoever asks, and however many at once.
#[test]
fn work_that_does_not_reach_is_a_fault_and_what_reaches_changes_nothing() {
    let job = Arc::new(fixture("farmhouse"));
    for (name, stage) in STAGES {
        let answer = stage(&prepared(&job, u64::MAX)).unwrap();
        let is_enough = |units: u64| match stage(&prepared(&job, units)) {
            Ok(found) => {
                assert_eq!(found, answer, "{name} with {units} units");
                true
            }
            Err(faults) => {
                let [fault] = faults.as_slice() else { panic!("{name}: {faults:?}") };
                assert_eq!(fault.code, "too_much_work", "{name}: {fault:?}");
                assert!(job.pointer(&fault.pointer).is_some(), "{name}: {fault:?}");
                // and with what there is most of: it is a small house with many runs
                assert!(fault.detail.contains("; the job has ") && fault.detail.ends_with(": fewer of them take less"));
                assert!(!fault.others().is_empty() && fault.others().iter().all(|place| job.pointer(place).is_some()));
                false
            }
        };
        let (mut too_little, mut enough) = (0, 8_000_000);
        while enough - too_little > 1 {
            let units = u64::midpoint(too_little, enough);
            if is_enough(units) { enough = units } else { too_little = units }
        }
        std::thread::scope(|scope| {
            let edge = || assert!(is_enough(enough) && !is_enough(enough - 1), "{name} at {enough} units");
            let (one, other) = (scope.spawn(edge), scope.spawn(edge));
            assert!(one.join().is_ok() && other.join().is_ok(), "{name}");
        });
        // far below what is granted when nothing is said
        assert!((100..2_000_000).contains(&enough), "{name} takes {enough} units");
    }
}

/// What there is most of is told by its place: draws of a study, rooms of a large house.
#[test]
fn too_much_work_names_what_to_have_less_of() {
    let mut study = study();
    study["uncertainty"] = json!({"draws": 20_000});
    let mut large = fixture("farmhouse");
    let room = large["rooms"].as_object().unwrap().values().next().unwrap().clone();
    for copy in 0..150 {
        large["rooms"][format!("copy_{copy}")] = room.clone();
    }
    for (job, place, words) in [(study, "/uncertainty/draws", "20000 draws"), (large, "/rooms", " rooms")] {
        let (gate, catalogue) = (Gate::for_type::<Job>().unwrap(), Catalogue::try_built_in().unwrap());
        let mut prepared = proposal::read(&gate, &catalogue, job.to_string().as_bytes(), Needs::Design).unwrap();
        prepared.limits.work = 10;
        let report = if place == "/rooms" {
            written(proposal::emitters(&prepared, false))
        } else {
            written(proposal::heat_loss(&prepared, false))
        };
        let faults = report.unwrap_err();
        assert_eq!(faults[0].others()[0], place, "{faults:?}");
        assert!(faults[0].detail.contains(words), "{faults:?}");
    }
}

/// Equations that are shown are kept and written, which is work too: where only that does not reach, that is told.
#[test]
fn workings_are_work() {
    let job = fixture("chapel");
    let plain = |work: u64| proposal::proposal(&prepared(&job, work), false).is_ok();
    let mut enough = 1000;
    while !plain(enough) {
        enough += enough / 20;
    }
    let shown = proposal::proposal(&prepared(&job, u64::MAX), true).unwrap();
    let steps = shown.workings.unwrap().len() as u64;
    let of = |work: u64| proposal::proposal(&prepared(&job, work), true).map_err(|error| error.into_faults().unwrap());
    let faults = of(enough).unwrap_err();
    assert_eq!(faults[0].code, "too_much_work");
    assert!(faults[0].detail.contains("; without `workings` it takes less; the job has "), "{faults:?}");
    // twenty units each, some seven microseconds, beside what it takes without; and nothing that was computed for another figure
    // stands in for one that is shown
    let without = enough * 20 / 21;
    assert!(
        of(without + 20 * steps - 1).is_err() && of(2 * enough + 20 * steps).is_ok(),
        "{enough} units, {steps} steps"
    );
}

/// Counted by hand: a trial of one wall and one room's air is a unit, so the draws take one each; what each unsure input gives
/// is tried besides, up and down.
#[test]
fn what_each_unsure_input_gives_is_work_beside_the_draws() {
    let mut job = study();
    job["uncertainty"] = json!({"draws": 200});
    job["commercial"] = json!({"quote_date": "2026-11-02"});
    let answers = |work| proposal::heat_loss(&prepared(&job, work), false).is_ok();
    assert!(!answers(200), "the draws alone take 200 units");
    assert!(answers(2 * 200), "a study has not 200 unsure inputs");
}

/// A house that is large, and no larger than a firm may meet: 200 rooms of eight radiators each, every stage. It is answered
/// with what is granted when nothing is said, and with half of it.
#[test]
fn a_large_house_takes_less_than_half_of_the_work_that_is_granted() {
    let mut job = study();
    let mut room = job["rooms"]["study"].clone();
    room["emitters"] = (0..8).map(|number| (format!("radiator_{number}"), json!({"kind": "radiator"}))).collect();
    job["rooms"] = (0..200).map(|number| (format!("room_{number}"), room.clone())).collect();
    job["heating"] = json!({"flow_temperature": {"kind": "lowest"}, "drop_k": 5});
    job["commercial"] = json!({"quote_date": "2026-11-02"});
    let answer = proposal::proposal(&prepared(&job, Limits::default().work / 2), false).unwrap();
    assert_eq!(answer.heat_loss.rooms.len(), 200);
}
