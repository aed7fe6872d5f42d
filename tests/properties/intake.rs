//! The gate against a general schema validator: on mutated documents both accept or refuse alike.
//!
//! Left out, because the two mean different things by design: keys that stand twice (a general validator sees a
//! document in which the first is gone), and rules that no schema can say (those of `validator` and of the survey),
//! whose codes are told apart below. `format: date` is an assertion here, not a remark, so the validator is told to
//! check formats. `multipleOf: 0.01` divides doubles in the validator; the gate reads the shortest decimal text:
//! amounts with more than two decimals are far from a penny here (half of one), where the two cannot differ.

use jsonschema::Validator;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Map, Value, json};
use std::path::Path;
use std::sync::LazyLock;
use tundish::intake::{Gate, read, schema};
use tundish::job::Job;

static GATE: LazyLock<Gate> = LazyLock::new(|| Gate::for_type::<Job>().unwrap());

static VALIDATOR: LazyLock<Validator> = LazyLock::new(|| {
    let schema = schema::of_type::<Job>();
    let document = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$ref": format!("{}{}", schema::PREFIX, schema.name),
        "components": {"schemas": schema.named},
    });
    jsonschema::options().should_validate_formats(true).build(&document).unwrap()
});

static DOCUMENTS: LazyLock<Vec<Value>> = LazyLock::new(|| {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    ["jobs/chapel.json", "jobs/terrace.json", "jobs/bungalow.json", "published/hand_house.json"]
        .iter()
        .map(|name| serde_json::from_str(&std::fs::read_to_string(fixtures.join(name)).unwrap()).unwrap())
        .collect()
});

/// Codes of what a schema says; rules that it cannot say have codes of their own. The last must never appear: it
/// would be a document that passes the schema and cannot be read.
const OF_A_SCHEMA: [&str; 16] = [
    "control_character",
    "other_schema",
    "wrong_type",
    "missing_field",
    "unknown_field",
    "unknown_choice",
    "bad_id",
    "not_whole",
    "too_small",
    "too_large",
    "too_fine",
    "not_a_date",
    "wrong_form",
    "too_few",
    "too_many",
    "unreadable_value",
];

/// Whether the gate takes a text, as far as a schema goes, and what it says if not.
fn gate_takes(text: &str) -> Result<(), String> {
    let reading = read::<Job>(&GATE, text.as_bytes());
    let faults: Vec<_> = reading.faults.iter().filter(|fault| OF_A_SCHEMA.contains(&&*fault.code)).collect();
    if faults.is_empty() {
        assert!(reading.document.is_some(), "{:?}", reading.faults);
        Ok(())
    } else {
        Err(format!("{faults:?}"))
    }
}

/// A change of one place of a document.
#[derive(Debug, Clone)]
enum Mutation {
    Replace(Value),
    Scale(f64),
    Shift(f64),
    Drop,
    Rename(String),
    Add(String, Value),
    Repeat(usize),
}

fn strange() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        Just(json!(true)),
        Just(json!([])),
        Just(json!({})),
        Just(json!("")),
        Just(json!([null])),
        Just(json!({"kind": "given"})),
        Just(json!({"kind": "none"})),
        Just(json!({"kind": null})),
        Just(json!({"kind": []})),
        any::<i32>().prop_map(|x| json!(x)),
        any::<i64>().prop_map(|x| json!(x)),
        (-1000_i32..1000).prop_map(|x| json!(f64::from(x) / 8.0)),
        (-400_i32..400).prop_map(|x| json!(f64::from(x) * 0.005)),
        any::<f64>().prop_filter("finite", |x| x.is_finite()).prop_map(|x| json!(x)),
        (0_u32..400_000_000).prop_map(|pennies| json!(f64::from(pennies) / 100.0)),
        "[a-z0-9_-]{0,70}".prop_map(|text| json!(text)),
        ".{0,8}".prop_map(|text| json!(text)),
        "[A-Z]{2,4}".prop_map(|text| json!(text)),
        "é{195,205}".prop_map(|text| json!(text)),
        "(19|20)[0-9]{2}-[01][0-9]-[0-3][0-9]".prop_map(|text| json!(text)),
        "20[0-9]{2}[01][0-9][0-3][0-9]".prop_map(|text| json!(text)),
        Just(json!("2026-03-31T10:00:00")),
        Just(json!("2026-3-31")),
        Just(json!("-002026-03-31")),
        Just(json!("+002026-03-31")),
        Just(json!("2026-03-31 ")),
        Just(json!("2024-02-29")),
        Just(json!("2026-02-29")),
        Just(json!("2026-03-31[Europe/London]")),
    ]
}

fn mutation() -> impl Strategy<Value = Mutation> {
    let name = prop_oneof![
        Just("kind".to_owned()),
        Just("area_m2".to_owned()),
        Just("name".to_owned()),
        Just("until".to_owned()),
        Just("A".to_owned()),
        Just(String::new()),
        "[a-z0-9_-]{1,3}",
        "[a-z]{60,70}",
        ".{1,3}",
    ];
    prop_oneof![
        4 => strange().prop_map(Mutation::Replace),
        2 => prop_oneof![Just(-1.0), Just(0.0), Just(10.0), Just(1e4), Just(0.01), Just(1e12)].prop_map(Mutation::Scale),
        1 => prop_oneof![Just(0.5), Just(-0.004), Just(1e-9), Just(-1.0)].prop_map(Mutation::Shift),
        2 => Just(Mutation::Drop),
        1 => name.clone().prop_map(Mutation::Rename),
        2 => (name, strange()).prop_map(|(name, value)| Mutation::Add(name, value)),
        1 => (2_usize..70).prop_map(Mutation::Repeat),
    ]
}

/// Pointers of every place below the root.
fn places(value: &Value, at: &str, found: &mut Vec<String>) {
    let mut below = |name: &str, inner: &Value| {
        let at = format!("{at}/{}", tundish::intake::fault::escaped(name));
        found.push(at.clone());
        places(inner, &at, found);
    };
    match value {
        Value::Object(members) => members.iter().for_each(|(name, inner)| below(name, inner)),
        Value::Array(items) => items.iter().enumerate().for_each(|(i, inner)| below(&i.to_string(), inner)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// A place of a document, its name drawn before its position: dates and money stand in few places, areas in many.
fn place(document: &Value, name: Index, position: Index) -> Option<String> {
    let mut all = Vec::new();
    places(document, "", &mut all);
    let last = |pointer: &str| pointer.rsplit('/').next().unwrap_or_default().to_owned();
    let mut names: Vec<String> = all.iter().map(|pointer| last(pointer)).collect();
    names.sort();
    names.dedup();
    let name = names.get(name.index(names.len().max(1)))?;
    all.retain(|pointer| last(pointer) == *name);
    Some(all.swap_remove(position.index(all.len())))
}

/// The object that holds a place, and the place's name in it.
fn holder<'v>(document: &'v mut Value, pointer: &str) -> Option<(&'v mut Map<String, Value>, String)> {
    let (parent, name) = pointer.rsplit_once('/')?;
    let name = name.replace("~1", "/").replace("~0", "~");
    document.pointer_mut(parent)?.as_object_mut().map(|members| (members, name))
}

fn apply(document: &mut Value, pointer: &str, mutation: &Mutation) {
    match mutation {
        Mutation::Replace(value) => *document.pointer_mut(pointer).unwrap() = value.clone(),
        Mutation::Scale(by) => number(document, pointer, |x| x * by),
        Mutation::Shift(by) => number(document, pointer, |x| x + by),
        Mutation::Drop => {
            if let Some((members, name)) = holder(document, pointer) {
                members.shift_remove(&name);
            } else if let Some((parent, item)) = pointer.rsplit_once('/') {
                document.pointer_mut(parent).unwrap().as_array_mut().unwrap().remove(item.parse().unwrap());
            }
        }
        Mutation::Rename(new) => {
            if let Some((members, name)) = holder(document, pointer) {
                let value = members.shift_remove(&name).unwrap();
                members.insert(new.clone(), value);
            }
        }
        Mutation::Add(name, value) => match document.pointer_mut(pointer).unwrap() {
            Value::Object(members) => _ = members.insert(name.clone(), value.clone()),
            Value::Array(items) => items.push(value.clone()),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        },
        Mutation::Repeat(times) => match document.pointer_mut(pointer).unwrap() {
            Value::Array(items) => *items = items.iter().cycle().take(items.len() * times).cloned().collect(),
            Value::Object(members) => {
                let copies: Vec<_> = members.values().next().cloned().into_iter().cycle().take(*times).collect();
                members.extend(copies.into_iter().enumerate().map(|(i, value)| (format!("copy{i}"), value)));
            }
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        },
    }
}

fn number(document: &mut Value, pointer: &str, change: impl Fn(f64) -> f64) {
    let place = document.pointer_mut(pointer).unwrap();
    if let Some(x) = place.as_f64() {
        *place = json!(change(x));
    }
}

/// Whether a document reads alike in both readers.
fn agree(document: &Value) -> Result<(), TestCaseError> {
    let text = document.to_string();
    let gate = gate_takes(&text);
    let general = VALIDATOR.is_valid(document);
    if gate.is_ok() != general {
        let why: Vec<String> =
            VALIDATOR.iter_errors(document).map(|error| format!("{} at {}", error, error.instance_path())).collect();
        let why: Vec<&str> = why.iter().map(|text| &text[..text.floor_char_boundary(300)]).collect();
        return Err(TestCaseError::fail(format!("gate {gate:?}, general validator {general}: {why:?}")));
    }
    Ok(())
}

#[test]
fn both_readers_take_every_fixture() {
    for document in DOCUMENTS.iter() {
        assert_eq!(gate_takes(&document.to_string()), Ok(()));
        assert!(VALIDATOR.is_valid(document));
    }
}

#[test]
fn dates_and_amounts_are_read_alike_in_every_spelling() {
    let house = &DOCUMENTS[3];
    let dates = [
        "2026-03-31",
        "2024-02-29",
        "0001-01-01",
        "0000-01-01",
        "9999-12-31",
        "2026-02-29",
        "2026-13-01",
        "2026-00-10",
        "2026-01-00",
        "2026-3-31",
        "20260331",
        "2026-090",
        "2026-W14-2",
        "2026-03-31T10:00:00",
        "2026-03-31T10:00:00Z",
        "2026-03-31 10:00",
        "2026-03-31[Europe/London]",
        "+002026-03-31",
        "-002026-03-31",
        "2026-03-31 ",
        " 2026-03-31",
        "31.03.2026",
        "",
        "２０２６-03-31",
    ];
    for date in dates {
        let mut job = house.clone();
        job["commercial"]["quote_date"] = json!(date);
        agree(&job).unwrap_or_else(|error| panic!("{date}: {error}"));
    }
    let mut amounts: Vec<f64> = (-250_i32..=250).map(|pennies| f64::from(pennies) / 100.0).collect();
    amounts.extend((1..=400_u32).map(|i| f64::from(i) * 2_499_999.97));
    amounts.extend([0.005, 0.015, 1.005, 123.456, 1e9, 1e9 + 0.01, -1e9, -1e9 - 1.0, 1e300, 999_999_999.99]);
    let cost = house["commercial"]["price_book"]["products"].as_object().unwrap();
    let (product, _) = cost.iter().find(|(_, product)| product.get("unit_cost").is_some()).unwrap();
    for amount in amounts {
        let rounded: f64 = format!("{amount:.3}").parse().unwrap();
        let mut job = house.clone();
        job["commercial"]["price_book"]["products"][product]["unit_cost"] = json!(rounded);
        agree(&job).unwrap_or_else(|error| panic!("{rounded}: {error}"));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is said of a text that is no JSON comes from a reader of our own: it refuses what the parser refuses.
    #[test]
    fn a_text_is_told_why_it_is_no_json_exactly_when_it_is_none(
        changes in prop::collection::vec((any::<Index>(), prop_oneof![
            Just(""), Just("\""), Just("\\"), Just("{"), Just("}"), Just("["), Just("]"), Just(","), Just(":"), Just("0"), Just("-"),
            Just("."), Just("e"), Just("1e999"), Just("\\ud800"), Just("\\udc00"), Just("\\u00e"), Just("\n"), Just("\u{1}"),
            Just("\u{a0}"), Just("é"), Just("null"), Just("nul"), Just(" "), Just("/"),
        ]), 0..4),
    ) {
        let mut text: Vec<char> =
            r#"{"a": [1, -2.5e+3, 0, "x\u00e9\ud83d\ude00\n", true, null], "b": {"c": {}, "": []}} "#.chars().collect();
        for (place, put) in changes {
            let at = place.index(text.len());
            text.splice(at..=at, put.chars());
        }
        let text: String = text.into_iter().collect();
        let read = tundish::intake::Node::parse(text.as_bytes());
        let why = tundish::intake::not_json::why(&text);
        prop_assert_eq!(read.is_ok(), why.is_none(), "{:?}: {:?}, {:?}", text, read, why);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 700, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_gate_and_a_general_validator_take_and_refuse_alike(
        which in any::<Index>(),
        changes in prop::collection::vec((any::<Index>(), any::<Index>(), mutation()), 1..4),
    ) {
        let mut document = which.get(&DOCUMENTS).clone();
        for (name, position, mutation) in &changes {
            if let Some(pointer) = place(&document, *name, *position) {
                apply(&mut document, &pointer, mutation);
            }
        }
        agree(&document)?;
    }
}
