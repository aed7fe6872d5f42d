//! Every fault at once, and none that only follows: over every place of every fixture, and over pairs of places.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};
use tundish::catalogue::Catalogue;
use tundish::intake::fault::escaped;
use tundish::intake::{Gate, schema};
use tundish::job::Job;
use tundish::proposal::{self, Needs};

static GATE: LazyLock<Gate> = LazyLock::new(|| Gate::for_type::<Job>().unwrap());
static CATALOGUE: LazyLock<Arc<Catalogue>> = LazyLock::new(|| Catalogue::try_built_in().unwrap());

const FIXTURES: [&str; 2] = ["jobs/farmhouse", "published/hand_house"];

fn fixture(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(format!("{name}.json"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// Pointers of every place below the root.
fn places(value: &Value, at: &str, found: &mut Vec<String>) {
    let mut below = |name: &str, inner: &Value| {
        let at = format!("{at}/{}", escaped(name));
        found.push(at.clone());
        places(inner, &at, found);
    };
    match value {
        Value::Object(members) => members.iter().for_each(|(name, inner)| below(name, inner)),
        Value::Array(items) => items.iter().enumerate().for_each(|(i, inner)| below(&i.to_string(), inner)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

fn all_places(document: &Value) -> Vec<String> {
    let mut found = Vec::new();
    places(document, "", &mut found);
    found
}

/// Names of members that the schema of a job knows; other names on the way to a place are ids.
static NAMES: LazyLock<BTreeSet<String>> = LazyLock::new(|| {
    fn names(schema: &Value, found: &mut BTreeSet<String>) {
        match schema {
            Value::Object(members) => {
                let properties = members.get("properties").and_then(Value::as_object);
                found.extend(properties.into_iter().flat_map(|properties| properties.keys().cloned()));
                members.values().for_each(|inner| names(inner, found));
            }
            Value::Array(items) => items.iter().for_each(|inner| names(inner, found)),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }
    let mut found = BTreeSet::new();
    schema::of_type::<Job>().named.values().for_each(|schema| names(schema, &mut found));
    found
});

/// One place of each kind: that of the first room, the first surface and so on.
fn places_of_each_kind(document: &Value) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let kind = |pointer: &str| -> String {
        let steps = pointer.split('/').map(|step| if NAMES.contains(step) { step } else { "*" });
        let parent = pointer.rsplit_once('/').map_or("", |(parent, _)| parent);
        let union = document.pointer(parent).and_then(|holder| holder["kind"].as_str()).unwrap_or_default();
        steps.collect::<Vec<_>>().join("/") + union
    };
    all_places(document).into_iter().filter(|pointer| seen.insert(kind(pointer))).collect()
}

/// What is told of a job: pointer and code of each fault.
fn told(job: &Value) -> BTreeSet<(String, String)> {
    match proposal::read(&GATE, &CATALOGUE, job.to_string().as_bytes(), Needs::Money) {
        Ok(_) => BTreeSet::new(),
        Err(error) => {
            let faults = error.into_faults().unwrap().into_iter();
            faults.map(|fault| (fault.pointer, fault.code.into_owned())).collect()
        }
    }
}

/// Puts a value of a type that no place of a job takes beside its own.
fn spoil(job: &mut Value, pointer: &str) {
    let place = job.pointer_mut(pointer).unwrap();
    *place = if place.is_boolean() { json!([[]]) } else { json!(true) };
}

fn spoilt(job: &Value, pointer: &str) -> Value {
    let mut job = job.clone();
    spoil(&mut job, pointer);
    job
}

fn one(pointer: &str, code: &str) -> BTreeSet<(String, String)> {
    [(pointer.to_owned(), code.to_owned())].into_iter().collect()
}

#[test]
fn of_one_place_of_a_wrong_type_one_fault_is_told() {
    let mut tried = 0;
    for name in FIXTURES {
        let job = fixture(name);
        assert_eq!(told(&job), BTreeSet::new(), "{name}");
        for pointer in places_of_each_kind(&job) {
            assert_eq!(told(&spoilt(&job, &pointer)), one(&pointer, "wrong_type"), "{name}: {pointer}");
            tried += 1;
        }
    }
    assert!(tried > 300, "{tried}");
}

#[test]
fn of_one_number_out_of_bounds_one_fault_is_told() {
    for name in FIXTURES {
        let job = fixture(name);
        for pointer in places_of_each_kind(&job).into_iter().filter(|pointer| job.pointer(pointer).unwrap().is_number())
        {
            for value in [-1e12, 1e12] {
                let mut job = job.clone();
                *job.pointer_mut(&pointer).unwrap() = json!(value);
                let told: Vec<_> = told(&job).into_iter().collect();
                let [(at, code)] = &told[..] else { panic!("{name}: {pointer} = {value}: {told:?}") };
                let codes: &[&str] = if pointer == "/schema" { &["other_schema"] } else { &["too_small", "too_large"] };
                assert!(*at == pointer && codes.contains(&code.as_str()), "{name}: {told:?}");
            }
        }
    }
}

#[test]
fn of_one_missing_member_one_fault_is_told() {
    let mut missing = 0;
    for name in FIXTURES {
        let job = fixture(name);
        for pointer in places_of_each_kind(&job) {
            let (parent, member) = pointer.rsplit_once('/').unwrap();
            let mut job = job.clone();
            let Some(members) = job.pointer_mut(parent).unwrap().as_object_mut() else { continue };
            members.remove(member).unwrap();
            let told = told(&job);
            // what may be left out may leave something behind that names it; what may not is told, and that alone
            if told.iter().any(|(at, code)| code == "missing_field" && at == parent) {
                assert_eq!(told.len(), 1, "{name}: {pointer}: {told:?}");
                missing += 1;
            }
        }
    }
    assert!(missing > 100, "{missing}");
}

/// Faults of the survey and of rules, each with the places whose own fault may silence it: those that it hangs on.
struct Planted {
    pointer: &'static str,
    code: &'static str,
    hangs_on: &'static [&'static str],
}

/// The terrace with faults that need the whole document to be seen.
fn planted() -> (Value, Vec<Planted>) {
    let mut job = fixture("jobs/terrace");
    job["rooms"]["bed3"]["surfaces"]["loft"]["construction"] = json!("straw");
    job["rooms"]["landing"]["surfaces"]["to_bath"]["faces"] = json!({"kind": "room", "room": "attic"});
    job["rooms"]["bath"]["surfaces"]["north"]["openings"]["window"]["area_m2"] = json!(40.0);
    job["rooms"]["hall"]["perimeter_m"] = json!(0.5);
    let planted = vec![
        Planted {
            pointer: "/rooms/bed3/surfaces/loft/construction",
            code: "unknown_construction",
            hangs_on: &["/rooms/bed3/surfaces/loft/construction", "/constructions/straw"],
        },
        Planted {
            pointer: "/rooms/landing/surfaces/to_bath/faces/room",
            code: "unknown_room",
            // only one kind has a room: what is at fault with the kind hides nothing of it
            hangs_on: &["/rooms/landing/surfaces/to_bath/faces/room", "/rooms/attic"],
        },
        Planted {
            pointer: "/rooms/bath/surfaces/north/openings",
            code: "openings_too_large",
            hangs_on: &["/rooms/bath/surfaces/north/area_m2", "/rooms/bath/surfaces/north/openings/window/area_m2"],
        },
        Planted {
            pointer: "/rooms/hall/perimeter_m",
            code: "perimeter_too_short",
            hangs_on: &["/rooms/hall/perimeter_m", "/rooms/hall/floor_area_m2"],
        },
    ];
    (job, planted)
}

fn within(inner: &str, outer: &str) -> bool {
    inner.strip_prefix(outer).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

#[test]
fn a_fault_hides_no_other_that_does_not_hang_on_its_place() {
    let (job, planted) = planted();
    let all: BTreeSet<_> = planted.iter().map(|fault| (fault.pointer.to_owned(), fault.code.to_owned())).collect();
    assert_eq!(told(&job), all);
    let about = ["/rooms/bed3/surfaces", "/rooms/landing/surfaces", "/rooms/bath/surfaces"];
    let near = all_places(&job).into_iter().filter(|place| about.iter().any(|part| within(place, part)));
    for pointer in near.chain(places_of_each_kind(&job)) {
        let stays = planted.iter().filter(|fault| !fault.hangs_on.iter().any(|place| within(place, &pointer)));
        let mut expected: BTreeSet<_> = stays.map(|fault| (fault.pointer.to_owned(), fault.code.to_owned())).collect();
        expected.insert((pointer.clone(), "wrong_type".to_owned()));
        assert_eq!(told(&spoilt(&job, &pointer)), expected, "{pointer}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn of_several_places_of_a_wrong_type_each_is_told_and_nothing_else(
        which in any::<Index>(),
        places in prop::collection::vec(any::<Index>(), 2..12),
    ) {
        let whole = fixture(FIXTURES[which.index(FIXTURES.len())]);
        let all = all_places(&whole);
        let mut job = whole.clone();
        let mut spoiled: Vec<&String> = Vec::new();
        for place in places {
            let pointer = place.get(&all);
            if spoiled.iter().any(|other| within(pointer, other) || within(other, pointer)) {
                continue;
            }
            spoil(&mut job, pointer);
            spoiled.push(pointer);
        }
        // of a thing whose kind is at fault it is known what else it may have only where one kind can be meant
        let hidden = |pointer: &str| spoiled.iter().any(|other| {
            other.strip_suffix("/kind").is_some_and(|at| *other != pointer && within(pointer, at))
        });
        let faults = |pointers: &[&String]| -> BTreeSet<_> {
            pointers.iter().map(|pointer| ((*pointer).clone(), "wrong_type".to_owned())).collect()
        };
        let seen: Vec<&String> = spoiled.iter().copied().filter(|pointer| !hidden(pointer)).collect();
        let told = told(&job);
        prop_assert!(told.is_superset(&faults(&seen)) && told.is_subset(&faults(&spoiled)), "{:?}", told);
    }
}
