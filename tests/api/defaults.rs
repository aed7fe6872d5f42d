//! The table of defaults: every row is used, and the published schema takes its figures from it.

use std::path::{Path, PathBuf};

use regex::Regex;
use serde_json::{Map, Value, json};
use tundish::catalogue::Defaults;
use tundish::http::openapi_document;
use tundish::intake::schema;
use tundish::job::Job;
use tundish::outline::Facts;

use super::helpers::{close, rooms_of, row, same, shared_service, study};

/// A place of a doc comment that a default is put into.
const NAMED: &str = r"`default:([a-z0-9_]+)`";

fn look(schema: &Value, see: &mut impl FnMut(&Map<String, Value>, &str)) {
    match schema {
        Value::Object(members) => {
            if let Some(description) = members.get("description").and_then(Value::as_str) {
                see(members, description);
            }
            members.values().for_each(|inner| look(inner, see));
        }
        Value::Array(items) => items.iter().for_each(|item| look(item, see)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// Every description of what requests are read by, as the doc comments have it, with the schema that it stands in.
fn descriptions(mut see: impl FnMut(&Map<String, Value>, &str)) {
    for request in [schema::of_type::<Job>(), schema::of_type::<Facts>()] {
        request.named.values().for_each(|schema| look(schema, &mut see));
    }
}

/// What is said of leaving something out, clause by clause, without the names of defaults in it.
fn left_out(description: &str) -> Vec<String> {
    let plain = Regex::new(NAMED).unwrap().replace_all(description, "").replace('\n', " ");
    let clauses = plain.split(';').flat_map(|part| part.split(". "));
    clauses.filter(|clause| clause.contains("left out")).map(str::to_owned).collect()
}

fn spells_a_figure(description: &str) -> bool {
    left_out(description).iter().any(|clause| clause.contains(|mark: char| mark.is_ascii_digit()))
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

#[test]
fn every_default_is_used() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    rust_files(&source, &mut files);
    files.retain(|path| !path.ends_with("catalogue/defaults.rs"));
    let mut used = std::collections::BTreeSet::new();
    let reads = Regex::new(r"defaults\s*\.\s*([a-z0-9_]+)").unwrap();
    for path in &files {
        let text = std::fs::read_to_string(path).unwrap();
        // what tests read counts for nothing
        let text = text.split("#[cfg(test)]").next().unwrap();
        used.extend(reads.captures_iter(text).map(|found| found[1].to_owned()));
    }
    let unused: Vec<_> = Defaults::NAMES.iter().filter(|name| !used.contains(**name)).collect();
    assert!(unused.is_empty(), "nothing reads `defaults.NAME` of {unused:?}: take the rows out, or read them");
}

#[test]
fn every_default_that_a_description_names_has_a_row() {
    let names = Regex::new(NAMED).unwrap();
    let mut count = 0;
    descriptions(|_, description| {
        for name in names.captures_iter(description) {
            assert!(Defaults::NAMES.contains(&&name[1]), "no default is called {}: {description}", &name[1]);
            count += 1;
        }
        assert_eq!(description.matches("default:").count(), names.find_iter(description).count(), "{description}");
    });
    assert!(count > 40, "{count} defaults are named");
    let document = openapi_document().to_string();
    assert!(!document.contains("default:"), "a default was not put in its place");
}

#[test]
fn no_description_spells_the_figure_of_a_default_by_hand() {
    assert!(spells_a_figure("Exponent over excess temperature; 1.3 when left out."));
    assert!(spells_a_figure("Length (m); by the plan when left out, and 3\nwhere it is not known."));
    assert!(!spells_a_figure(
        "Exponent (0–1); `default:existing_radiator_exponent` when left out. From 500 on it counts."
    ));
    let mut count = 0;
    descriptions(|_, description| {
        assert!(!spells_a_figure(description), "name the default, `default:NAME`: {description}");
        count += left_out(description).len();
    });
    assert!(count > 60, "{count} clauses say what holds when something is left out");
}

#[test]
fn defaults_lie_within_the_bounds_of_what_they_fill() {
    let defaults = Defaults::try_built_in().unwrap();
    let fills = Regex::new(&format!("{NAMED} when left out")).unwrap();
    let mut count = 0;
    descriptions(|members, description| {
        let Some(name) = fills.captures(description) else { return };
        let Ok(value) = defaults.written(&name[1]).unwrap().parse::<f64>() else { return };
        let bound = |key: &str| members.get(key).and_then(Value::as_f64);
        for (low, high) in [("minimum", "maximum"), ("exclusiveMinimum", "exclusiveMaximum")] {
            assert!(bound(low).is_none_or(|least| value >= least), "{} is {value}: {description}", &name[1]);
            assert!(bound(high).is_none_or(|most| value <= most), "{} is {value}: {description}", &name[1]);
            count += u32::from(bound(low).is_some());
        }
    });
    assert!(count > 20, "{count} defaults fill a member with bounds");
}

/// What stands in for three figures of standards is what they print, as the answer shows by what it makes of it. By hand: a
/// radiator of 1000 W (EN 442, 49.833 K) and the exponent 1.3 of EN 15316-1 gives 1000 x (21.402 / 49.833)^1.3 = 333.3 W at
/// 45/40 °C in 21 °C; 43.2 m³/h of EN 12831's 0.34 Wh/(m³K) take 352.512 W over 24 K; a window of 30 % of frame has in the
/// 1.23 x 1.48 m of ISO 10077-1 a frame of 0.10963 m, so 4.54296 m of edge at 0.08 W/(mK): 0.7 x 1.1 + 0.3 x 1.4 + 0.19965.
#[tokio::test]
async fn what_is_left_out_is_what_the_standards_print() {
    let service = shared_service();
    let old = json!({"old": {"kind": "radiator", "existing": {"kind": "rated", "output_w": 1000, "water_l": 5, "keep": "always"}}});
    let mut job = rooms_of(&[(300.0, 14.0, old)]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 45}, "drop_k": 5});
    let emitters = service.answer("/v1/emitters", &job).await["emitters"].clone();
    close(&emitters["rooms"][0]["emitters"][0]["capacity_w"], 333.3, 2e-4);
    let mut job = study();
    job["constructions"]["window"] = json!({"kind": "window", "measures": {"kind": "share", "frame_share": 0.3},
        "glazing_u_value_w_m2k": 1.1, "frame_u_value_w_m2k": 1.4});
    let heat_loss = service.answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    same(&heat_loss["rooms"][0]["ventilation_w"], 352.512);
    close(&row(&heat_loss["constructions"], "construction", "window")["u_value_w_m2k"], 1.38965, 1e-5);
}
