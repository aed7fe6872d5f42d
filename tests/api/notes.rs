//! What an answer says beside its figures.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};
use tundish::notes::Sort;
use tundish::proposal::ANSWERS;
use tundish::register::{self, Of};

use super::helpers::{fixture, published, shared_service, study, warned};
use super::openapi::{UNITLESS, UNITS};

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

/// Notes and needs of an answer, each with its sort.
fn findings(answer: &Value) -> Vec<(Sort, &Value)> {
    let mut found = Vec::new();
    for (member, sort) in [("assumptions", Sort::Assumption), ("warnings", Sort::Warning), ("cautions", Sort::Caution)]
    {
        found.extend(answer["notes"][member].as_array().unwrap().iter().map(|note| (sort, note)));
    }
    for part in ["emitters", "pipework", "plant", "bill"] {
        found.extend(answer[part]["unmet"].as_array().unwrap().iter().map(|row| (Sort::Unmet, row)));
    }
    found
}

/// Jobs in which much is assumed, much looks wrong and much is unmet.
fn troubled() -> Vec<Value> {
    let mut jobs = Vec::from(["bungalow", "chapel", "farmhouse", "terrace"].map(fixture));
    jobs.push(published("hand_house"));
    let mut starved = fixture("farmhouse");
    starved["site"]["climate"] = serde_json::json!({"kind": "given", "outside_design_c": -25});
    starved["heating"] = serde_json::json!({
        "flow_temperature": {"kind": "fixed", "flow_temperature_c": 33}, "radiator_mean": "arithmetic",
        "fluid": {"kind": "glycol", "substance": "ethylene", "fraction": 0.2}});
    starved["pipework"]["stays_open"] = serde_json::json!([]);
    starved["pipework"].as_object_mut().unwrap().remove("freeze_protection");
    let mut hot = fixture("farmhouse");
    hot["heating"]["flow_temperature"] = serde_json::json!({"kind": "fixed", "flow_temperature_c": 60});
    let mut bare = fixture("terrace");
    bare.as_object_mut()
        .unwrap()
        .retain(|part, _| !["heating", "plant", "hot_water", "pipework"].contains(&part.as_str()));
    let mut narrow = fixture("terrace");
    narrow["rooms"]["bath"]["emitters"]["narrow"] = json!({"kind": "radiator", "fit": {"length_max_mm": 100}});
    jobs.extend([starved, hot, bare, narrow]);
    jobs
}

/// Counts, ratios, percentages, years and amounts of money among the values, and figures whose unit is a value beside them.
const COUNTS_AND_RATIOS: [&str; 36] = [
    "asked",
    "bedrooms",
    "construction_year",
    "days",
    "emitters",
    "enough_fraction",
    "found",
    "grant",
    "layer",
    "least_percent",
    "least_ratio",
    "life_years",
    "loops",
    "manifolds",
    "more",
    "more_tax",
    "most_percent",
    "needs",
    "number",
    "occupants",
    "outlets",
    "owed",
    "paid",
    "people",
    "pipes",
    "plant_kv_times_flow",
    "price",
    "ratio",
    "spread_percent",
    "storey",
    "storeys",
    "surfaces",
    "tax_rate",
    "times",
    "times_max",
    "valves",
];

/// A value, or what stands in it where it is a list.
fn plain(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().map_or(std::slice::from_ref(value), Vec::as_slice).iter()
}

fn is_unitless(name: &str) -> bool {
    COUNTS_AND_RATIOS.contains(&name) || UNITLESS.iter().any(|(listed, _)| *listed == name)
}

/// Every note and every need has its code in the register, with no value that the register does not name there, and each
/// figure of its values stands in the sentence or carries its unit.
#[tokio::test]
async fn every_finding_is_registered_with_its_values() {
    let register: BTreeMap<(Sort, &'static str), register::Code> = register::codes()
        .into_iter()
        .filter_map(|code| match code.of {
            Of::Finding(sort) => Some(((sort, code.code), code)),
            Of::Fault | Of::Problem => None,
        })
        .collect();
    let (mut seen, mut without_unit, mut terms) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    for job in troubled() {
        let answer = shared_service().answer("/v1/proposal", &job).await;
        for (sort, finding) in findings(&answer) {
            let told = finding["code"].as_str().unwrap();
            let known = register.iter().find(|((of, code), _)| *of == sort && *code == told);
            let (&(_, code), registered) = known.unwrap_or_else(|| panic!("{sort:?} {told} is not registered"));
            let values = finding["values"].as_object().unwrap();
            for (name, value) in values {
                assert!(registered.values.contains(&name.as_str()), "{code} has a value {name} that is not registered");
                assert!(
                    plain(value).all(|value| value.is_number() || value.is_string() || value.is_boolean()),
                    "{value}"
                );
                // where the words are a closed set, the register has them all
                let set: Vec<&str> =
                    registered.terms.iter().filter(|(of, _)| of == name).flat_map(|(_, terms)| terms.clone()).collect();
                for word in plain(value).filter_map(Value::as_str).filter(|_| !set.is_empty()) {
                    assert!(set.contains(&word), "{code}: {name} is {word}, which is none of {set:?}");
                    terms.insert(word.to_owned());
                }
                let has_unit = !value.is_number() || UNITS.iter().any(|unit| name.ends_with(unit));
                if !has_unit && !is_unitless(name) {
                    without_unit.insert(format!("{code}: {name}"));
                }
            }
            for id in ["room", "manifold", "pipe"].iter().filter_map(|name| values.get(*name)?.as_str()) {
                assert!(!id.is_empty(), "{finding}");
            }
            seen.insert((sort, code));
        }
    }
    assert!(without_unit.is_empty(), "figures without a unit: {without_unit:?}");
    let sorts: BTreeSet<Sort> = seen.iter().map(|(sort, _)| *sort).collect();
    assert!(sorts.len() == 4 && seen.len() > 60, "{} codes seen", seen.len());
    for word in ["calcium_sulphate", "controls", "none_fits"] {
        assert!(terms.contains(word), "{word} is not among {terms:?}");
    }
}

/// Pipes that lie bare where it is cold are told by the first of them, by the name that the job has for it.
#[tokio::test]
async fn bare_pipes_are_told_by_their_names() {
    let mut job = fixture("farmhouse");
    job["pipework"]["primary"]["outdoor_m"] = json!(0);
    let bare = async |job: &Value| {
        let answer = shared_service().answer("/v1/pipework", job).await;
        let told =
            warned(&answer, "bare_pipe").into_iter().map(|note| (note["pointer"].clone(), note["values"].clone()));
        told.collect::<Vec<_>>()
    };
    assert_eq!(bare(&job).await, []);
    job["pipework"]["hot_water_circuit"]["place"] = json!("unheated");
    job["pipework"]["hot_water_circuit"]["insulation"] = json!({"kind": "bare"});
    let circuit = (json!("/pipework/hot_water_circuit"), json!({"pipe": "hot_water_circuit", "pipes": 1}));
    assert_eq!(bare(&job).await, [circuit]);
    job["pipework"]["runs"]["riser"]["place"] = json!("loft");
    job["pipework"]["runs"]["riser"]["insulation"] = json!({"kind": "bare"});
    let run = (json!("/pipework/runs/riser"), json!({"pipe": "riser", "pipes": 2}));
    assert_eq!(bare(&job).await, [run]);
}

/// The table that the contract shows has a row for each code, of four cells, each of them with a meaning.
#[test]
fn the_table_of_codes_has_a_row_for_each() {
    let document = tundish::http::openapi_document();
    let tags = document["tags"].as_array().unwrap();
    let table = tags.iter().find(|tag| tag["name"] == "codes").unwrap()["description"].as_str().unwrap();
    let rows: Vec<Vec<&str>> = table
        .lines()
        .filter(|line| line.starts_with('|'))
        .skip(2)
        .map(|line| line.trim_matches('|').split(" | ").map(str::trim).collect())
        .collect();
    let after_head = table.lines().skip_while(|line| !line.starts_with('|'));
    assert!(after_head.into_iter().all(|line| line.starts_with('|')), "a row is broken");
    let poor: Vec<_> = rows.iter().filter(|row| row.len() != 4 || row[2].len() <= 10).collect();
    assert!(poor.is_empty(), "{poor:#?}");
    let told: BTreeSet<(&str, &str)> = rows.iter().map(|row| (row[0], row[1].trim_matches('`'))).collect();
    for (what, code) in [
        ("assumption", "inside_design"),
        ("warning", "emitter_idle"),
        ("caution", "scald"),
        ("unmet", "no_radiator"),
        ("fault", "partition_disagrees"),
        ("problem", "out_of_time"),
    ] {
        assert!(told.contains(&(what, code)), "{what} {code}");
    }
    let problems = rows.iter().filter(|row| row[0] == "problem").count();
    assert_eq!((told.len(), rows.len()), (rows.len(), register::codes().len() + problems));
}

/// Figures that stand in sentences whatever the job is, by code: limits of rules and of methods, and names of tables.
const FIXED: [(&str, &str); 6] = [
    ("ground_water", "1"),
    ("hot_water", "60"),
    ("legionella", "20"),
    ("legionella", "45"),
    ("legionella", "60"),
    ("tightness", "2000"),
];

/// Whether a figure of a sentence is a value of the finding, as it is or as a percentage, with as many decimals.
fn is_value(figure: &str, values: &serde_json::Map<String, Value>) -> bool {
    let decimals = figure.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let written = |value: f64| format!("{:.decimals$}", value.abs()) == figure;
    values
        .values()
        .flat_map(plain)
        .filter_map(Value::as_f64)
        .any(|value| written(value) || written(100.0 * value) || written(value - 1.0))
}

/// Every figure of every sentence is among its values, or in a word among them; but for those of rules and methods, which are
/// the same whatever the job is.
#[tokio::test]
async fn the_figures_of_a_sentence_are_values() {
    // documents, sections and products by their names
    let names = regex::Regex::new(
        r"(EN ISO|EN|ISO|SAP|BS|MIS|Notice) [0-9][0-9:./-]*|table [A-Z]?[0-9]+|[a-z]+_[a-z0-9_]+|CO2",
    )
    .unwrap();
    let figures = regex::Regex::new(r"[0-9]+(\.[0-9]+)?").unwrap();
    let (mut missing, mut found) = (BTreeSet::new(), 0);
    for job in troubled() {
        let answer = shared_service().answer("/v1/proposal", &job).await;
        for (_, finding) in findings(&answer) {
            let (code, values) = (finding["code"].as_str().unwrap(), finding["values"].as_object().unwrap());
            let mut sentence = names.replace_all(finding["detail"].as_str().unwrap(), "").into_owned();
            for word in values.values().flat_map(plain).filter_map(Value::as_str) {
                let word = names.replace_all(word, "").into_owned();
                sentence = if word.is_empty() { sentence } else { sentence.replace(&word, "") };
            }
            for figure in figures.find_iter(&sentence) {
                found += 1;
                if !is_value(figure.as_str(), values) && !FIXED.contains(&(code, figure.as_str())) {
                    missing.insert(format!("{code}: {} in {}", figure.as_str(), finding["detail"]));
                }
            }
        }
    }
    assert!(missing.is_empty() && found > 150, "{found} figures; {missing:#?}");
}

/// What a sentence says in figures its values say too: an example of each sort, with values reckoned from the job.
#[tokio::test]
async fn values_are_the_figures_of_the_sentence() {
    let mut job = study();
    job["rooms"]["study"]["emitters"] = serde_json::json!({"rad": {"kind": "radiator", "fit": {"length_max_mm": 400}}});
    job["heating"] = serde_json::json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 30}});
    job["commercial"] = serde_json::json!({"quote_date": "2026-11-02"});
    let answer = shared_service().answer("/v1/proposal", &job).await;
    let drop = answer["notes"]["assumptions"].as_array().unwrap().iter().find(|note| note["code"] == "drop").unwrap();
    assert_eq!(drop["values"], serde_json::json!({"drop_k": 5.0}));
    let lost_w = &answer["heat_loss"]["rooms"][0]["design_heat_loss_w"];
    let short = &answer["emitters"]["unmet"][0];
    assert_eq!(short["values"]["need_w"], *lost_w, "{short}");
    assert_eq!((&short["values"]["room"], &short["values"]["emitter"]), (&"study".into(), &"rad".into()), "{short}");
    assert_eq!(short["values"]["need_w"], short["need"]);
    assert_eq!(short["values"]["reached_w"], short["reached"]);
}
