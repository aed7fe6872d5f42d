//! Answers that are read back into the types they were written from, and written again.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::LazyLock;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};
use tundish::outline::Outline;
use tundish::proposal::{FlowTemperaturesReport, ProposalReport};
use tundish::render::json::to_string;

use super::helpers::{fixture, published, shared_service};

/// The published contract.
static CONTRACT: LazyLock<Value> = LazyLock::new(|| {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/openapi.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
});

/// Every fixture job, and the hand-worked house.
fn jobs() -> Vec<(&'static str, Value)> {
    let fixtures = ["bungalow", "chapel", "farmhouse", "terrace"].map(|name| (name, fixture(name)));
    fixtures.into_iter().chain([("hand_house", published("hand_house"))]).collect()
}

/// The text of an answer that must be there.
async fn text(target: &str, document: &Value) -> String {
    let response = shared_service().post(target, document).await;
    let status = response.status();
    let text = response.text().await.unwrap();
    assert_eq!(status, 200, "{target}: {text}");
    text
}

/// Reads a text, and holds that what was read is written as the same text and reads as the same value again.
fn read_back<T: DeserializeOwned + Serialize + PartialEq>(text: &str, what: &str) -> T {
    let read: T = serde_json::from_str(text).unwrap_or_else(|error| panic!("{what}: {error}"));
    let written = to_string(&read).unwrap();
    let differs = written.bytes().zip(text.bytes()).position(|(one, other)| one != other);
    if let Some(at) = differs {
        let around = |text: &str| text.chars().skip(at.saturating_sub(60)).take(120).collect::<String>();
        panic!("{what}: …{}… was written again as …{}…", around(text), around(&written));
    }
    assert_eq!(written.len(), text.len(), "{what}");
    assert!(serde_json::from_str::<T>(&written).unwrap() == read, "{what}");
    read
}

#[tokio::test]
async fn every_answer_is_read_back_and_written_as_the_same_text() {
    for (name, job) in jobs() {
        let answer = text("/v1/proposal?workings=true", &job).await;
        let proposal: ProposalReport = read_back(&answer, name);
        assert!(!proposal.workings.unwrap().is_empty(), "{name}");
        let answer = text("/v1/flow-temperatures", &job).await;
        read_back::<FlowTemperaturesReport>(&answer, name);
    }
}

#[tokio::test]
async fn an_outline_is_read_back_and_written_as_the_same_text() {
    let facts = json!({"dwelling_kind": "mid_terrace", "construction_year": 1905, "floor_area_m2": 90,
        "nation": "wales", "station": "cardiff"});
    read_back::<Outline>(&text("/v1/outline", &facts).await, "outline");
}

/// Where the published contract says that a member stands: the kind of row, the member, the row's pointer and whether the
/// member is always written. One place for each kind and member.
type Members = BTreeMap<(String, String), (String, bool)>;

/// Members that quotes which were kept before do not have: they are always written, and need not be there.
const SINCE_QUOTES_WERE_KEPT: [(&str, &str); 15] = [
    ("ArrangementRow", "stays_open"),
    ("ArrangementRow", "ways"),
    ("EmitterRow", "at_load"),
    ("EmittersAnswer", "as_set"),
    ("EmittersAnswer", "at_load"),
    ("FlowCandidate", "unmet"),
    ("HeatSourceAnswer", "hot_water_pipe_loss_w"),
    ("LowestRow", "set_aside"),
    ("LowestRow", "worst_rooms"),
    ("NextChange", "cost_lacks"),
    ("Note", "values"),
    ("PriceAnswer", "valid_until"),
    ("UnmetRow", "values"),
    ("HeatSourceAnswer", "pipe_loss_w"),
    ("PipeworkAnswer", "pipe_loss_w"),
];

/// Finds the members of a value by its schema.
fn walk(value: &Value, schema: &Value, kind: &str, pointer: &str, found: &mut Members) {
    if let Some(kind) = schema["$ref"].as_str().and_then(|place| place.strip_prefix("#/components/schemas/")) {
        walk(value, &CONTRACT["components"]["schemas"][kind], kind, pointer, found);
    } else if let Some(either) = schema["oneOf"].as_array() {
        // a row that may be left out: itself or null
        for schema in either {
            walk(value, schema, kind, pointer, found);
        }
    } else if let (Some(properties), Some(row)) = (schema["properties"].as_object(), value.as_object()) {
        for (name, member) in row {
            let required = schema["required"].as_array().is_some_and(|names| names.contains(&json!(name)));
            found.entry((kind.to_owned(), name.clone())).or_insert((pointer.to_owned(), required));
            walk(member, &properties[name], kind, &format!("{pointer}/{name}"), found);
        }
    } else if let Some(rows) = value.as_array() {
        let rows = rows.iter().enumerate();
        rows.for_each(|(number, row)| walk(row, &schema["items"], kind, &format!("{pointer}/{number}"), found));
    }
}

/// An answer in which one row is changed, read.
fn changed<T: DeserializeOwned>(
    answer: &Value,
    pointer: &str,
    change: impl FnOnce(&mut Map<String, Value>),
) -> Result<T, serde_json::Error> {
    let mut answer = answer.clone();
    change(answer.pointer_mut(pointer).unwrap().as_object_mut().unwrap());
    serde_json::from_value(answer)
}

/// Leaves out every member, one at a time, and adds one that is not known to every kind of row. What was tried in another
/// answer is not tried again.
fn strict_and_lenient<T: DeserializeOwned>(answer: &Value, report: &str, tried: &mut BTreeSet<(String, String)>) {
    let mut members = Members::new();
    walk(answer, &json!({"$ref": format!("#/components/schemas/{report}")}), report, "", &mut members);
    for ((kind, member), (pointer, required)) in members {
        if tried.insert((kind.clone(), String::new())) {
            let read =
                changed::<T>(answer, &pointer, |row| drop(row.insert("of_a_newer_program".to_owned(), json!([1]))));
            assert!(read.is_ok(), "{kind} with an unknown member: {:?}", read.err());
        }
        if tried.insert((kind.clone(), member.clone())) {
            let read = changed::<T>(answer, &pointer, |row| drop(row.remove(&member)));
            let must_be_there = required && !SINCE_QUOTES_WERE_KEPT.contains(&(kind.as_str(), member.as_str()));
            assert_eq!(read.is_err(), must_be_there, "{kind} without {member}: {:?}", read.err());
        }
    }
}

#[tokio::test]
async fn unknown_members_are_let_through_and_what_is_always_written_must_be_there() {
    let mut tried = BTreeSet::new();
    for (_, job) in jobs() {
        let mut answer: Value = serde_json::from_str(&text("/v1/proposal?workings=true", &job).await).unwrap();
        answer["workings"].as_array_mut().unwrap().truncate(20);
        strict_and_lenient::<ProposalReport>(&answer, "ProposalReport", &mut tried);
        let answer = serde_json::from_str(&text("/v1/flow-temperatures", &job).await).unwrap();
        strict_and_lenient::<FlowTemperaturesReport>(&answer, "FlowTemperaturesReport", &mut tried);
    }
    for kind in
        ["ZoneRow", "LoopRow", "SectionRow", "FrontRow", "UnmetRow", "Note", "CitedSource", "Working", "ChangeStep"]
    {
        assert!(tried.contains(&(kind.to_owned(), String::new())), "no {kind} was met");
    }
}
