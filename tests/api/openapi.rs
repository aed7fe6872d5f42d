//! The published document and the interactive page.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::{Map, Value};
use tundish::http::openapi_document;

use super::helpers::shared_service;

/// How many operations the service has: a new one is a change of the contract, and says so here.
const OPERATIONS: usize = 26;

/// Units that the name of a number may end in.
pub const UNITS: [&str; 43] = [
    "_c", "_k", "_w", "_kw", "_wh", "_kwh", "_w_k", "_w_m2k", "_w_mk", "_w_m2", "_m", "_m2", "_m3", "_mm", "_l",
    "_l_h", "_l_min", "_m3_h", "_per_h", "_h", "_s", "_pa", "_kpa", "_bar", "_pa_m", "_m_s", "_kg", "_kg_s", "_kg_m3",
    "_deg", "_m2k_w", "_wh_m3k", "_db", "_j_kgk", "_m2_s", "_l_kw", "_kwh_m2", "_hz", "_v", "_a", "_mm2", "_per_m2",
    "_mm2_m",
];

/// Numbers without a unit in their names, each with the reason.
pub const UNITLESS: &[(&str, &str)] = &[
    ("turns", "turns of a lockshield from shut"),
    ("need", "in the unit that stands beside it"),
    ("reached", "in the unit that stands beside it"),
    ("quantity", "in the unit that stands beside it"),
    ("from_quantity", "in the unit that stands beside it"),
    ("to_quantity", "in the unit that stands beside it"),
    ("reynolds", "a number without dimension"),
    ("zeta", "a loss coefficient, without dimension"),
    ("expansion", "a ratio"),
    ("rate", "a rate of tax, a ratio"),
    ("exponent", "of a power law"),
    ("share", "a ratio, 0 to 1"),
    ("to_share", "a ratio, 0 to 1"),
    ("factor", "a ratio, 0 to 1"),
    ("enclosure_factor", "a ratio, 0.5 to 1"),
    ("oversize_max", "a ratio"),
    ("run", "a ratio, 0 to 1"),
    ("fraction", "a ratio, 0 to 1"),
    ("frame_share", "a ratio, 0 to 1"),
    ("grid_error", "a ratio, 0 to 1"),
    ("relative_humidity", "a ratio, 0 to 1"),
    ("tog", "a unit of its own, that floor coverings are sold by"),
    ("solar_factor", "a ratio, 0 to 1"),
    ("spread", "a relative standard deviation"),
    ("flow_spread", "a relative standard deviation"),
    ("pressure_spread", "a relative standard deviation"),
    ("pump_efficiency", "a ratio, 0 to 1"),
    ("speed", "a share of full speed, 0 to 1"),
    ("unit_speed", "a share of full speed, 0 to 1"),
    ("heat_recovery_efficiency", "a ratio, 0 to 1"),
    ("loss_factor", "a ratio"),
    ("cop", "a ratio of heat to electricity"),
    ("bend_zeta", "a loss coefficient, without dimension"),
    ("tee_zeta", "a loss coefficient, without dimension"),
    ("fittings_share_of_tube_cost", "a ratio"),
    ("materials", "a mark-up, a ratio"),
    ("labour", "a mark-up, a ratio"),
    ("tube", "waste, a ratio"),
    ("boards", "waste, a ratio"),
    ("limit", "in the unit of the field that a problem points at"),
    ("result", "in the unit that the working's name ends in"),
    ("value", "of a dated rule: a ratio or an amount, as its key says"),
];

fn committed() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/openapi.json")
}

#[test]
fn the_committed_document_is_the_generated_one() {
    let generated = format!("{:#}\n", openapi_document());
    if std::env::var_os("TUNDISH_WRITE_OPENAPI").is_some_and(|value| value == "1") {
        std::fs::create_dir_all(committed().parent().unwrap()).unwrap();
        std::fs::write(committed(), &generated).unwrap();
    }
    let committed = std::fs::read_to_string(committed()).unwrap_or_default();
    assert!(
        committed == generated,
        "openapi/openapi.json is stale: run the tests once with TUNDISH_WRITE_OPENAPI=1, and tell openapi/CHANGES.md"
    );
}

#[tokio::test]
async fn the_service_serves_the_document() {
    let service = shared_service();
    let served: Value = service.get("/openapi.json").await.json().await.unwrap();
    assert_eq!(served, openapi_document());
    assert!(served["openapi"].as_str().unwrap().starts_with("3.1"));
    assert!(!served["info"]["license"]["name"].as_str().unwrap().is_empty());
    assert_eq!(served["info"]["version"], env!("CARGO_PKG_VERSION"));
}

#[test]
fn every_operation_has_an_id_of_its_own_and_says_what_it_answers() {
    let document = openapi_document();
    let mut ids = BTreeSet::new();
    let mut count = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            count += 1;
            let id = operation["operationId"].as_str().unwrap();
            assert!(ids.insert(id.to_owned()), "{id} stands twice");
            assert!(!operation["summary"].as_str().unwrap().is_empty(), "{method} {path}");
            let responses = operation["responses"].as_object().unwrap();
            assert!(responses.keys().any(|status| status.starts_with('2')), "{method} {path}");
            assert!(!responses.contains_key("default"), "generators of clients stumble over a default answer");
            for (status, response) in responses {
                let response = match response["$ref"].as_str() {
                    Some(place) => document.pointer(place.trim_start_matches('#')).unwrap(),
                    None => response,
                };
                assert!(!response["description"].as_str().unwrap().is_empty(), "{method} {path} {status}");
                if status == "304" || status == "204" {
                    assert!(response.get("content").is_none(), "{method} {path}: nothing is sent");
                    continue;
                }
                let content = response["content"].as_object().unwrap();
                let problem = status.starts_with(['4', '5']);
                assert_eq!(content.contains_key("application/problem+json"), problem, "{method} {path} {status}");
            }
            for parameter in operation["parameters"].as_array().into_iter().flatten() {
                assert!(!parameter["description"].as_str().unwrap().is_empty(), "{method} {path} {parameter}");
            }
        }
    }
    assert_eq!(count, OPERATIONS);
}

/// Every schema that can be reached from a place, by references, with the name it is reached by.
fn reachable<'d>(document: &'d Value, place: &'d Value, found: &mut Map<String, Value>) {
    match place {
        Value::Object(members) => {
            if let Some(name) =
                members.get("$ref").and_then(Value::as_str).and_then(|path| path.strip_prefix("#/components/schemas/"))
            {
                let schema = &document["components"]["schemas"][name];
                assert!(schema.is_object(), "{name} is referred to and not there");
                if !found.contains_key(name) {
                    found.insert(name.to_owned(), schema.clone());
                    reachable(document, schema, found);
                }
            }
            members.values().for_each(|inner| reachable(document, inner, found));
        }
        Value::Array(items) => items.iter().for_each(|inner| reachable(document, inner, found)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

fn all_schemas(schema: &Value, look: &mut impl FnMut(&Map<String, Value>)) {
    match schema {
        Value::Object(members) => {
            look(members);
            members.values().for_each(|inner| all_schemas(inner, look));
        }
        Value::Array(items) => items.iter().for_each(|inner| all_schemas(inner, look)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

#[test]
fn every_object_that_a_request_brings_is_closed_and_everything_in_it_has_bounds() {
    let document = openapi_document();
    let mut used = Map::new();
    for item in document["paths"].as_object().unwrap().values() {
        for operation in item.as_object().unwrap().values() {
            reachable(&document, &operation["requestBody"], &mut used);
        }
    }
    assert!(used.len() > 50, "the job alone has more schemas than {}", used.len());
    let says = |schema: &Map<String, Value>, kind: &str| match schema.get("type") {
        Some(Value::String(one)) => one == kind,
        Some(Value::Array(several)) => several.iter().any(|one| one == kind),
        _ => false,
    };
    // patches are of any members, as their standards have it
    for (name, schema) in used.iter().filter(|(name, _)| !["MergePatch", "PatchOperation"].contains(&name.as_str())) {
        all_schemas(schema, &mut |schema| {
            let text = Value::Object(schema.clone());
            if schema.get("properties").is_some_and(|properties| !properties.get("type").is_some_and(Value::is_string))
            {
                assert_eq!(schema.get("additionalProperties"), Some(&Value::Bool(false)), "{name} is open: {text}");
            } else if says(schema, "object") {
                assert!(schema.contains_key("maxProperties"), "{name} has no limit: {text}");
                assert!(schema["propertyNames"]["pattern"].is_string(), "{name} takes any name: {text}");
            }
            if says(schema, "array") {
                assert!(schema.contains_key("maxItems"), "{name} has a list without a limit: {text}");
            }
            if says(schema, "number") || says(schema, "integer") {
                let bound = |names: [&str; 2]| names.iter().any(|name| schema.contains_key(*name));
                assert!(bound(["minimum", "exclusiveMinimum"]), "{name} has a number without a least value: {text}");
                assert!(bound(["maximum", "exclusiveMaximum"]), "{name} has a number without a greatest value: {text}");
            }
            if says(schema, "string") {
                let bounded =
                    ["maxLength", "pattern", "enum", "const", "format"].iter().any(|word| schema.contains_key(*word));
                assert!(bounded, "{name} has a text without a limit: {text}");
            }
        });
    }
    let (mebibytes, levels) = (tundish::http::BODY_LIMIT >> 20, tundish::intake::node::MAX_DEPTH);
    for (path, item) in document["paths"].as_object().unwrap() {
        let Some(said) = item.pointer("/post/requestBody/description") else { continue };
        let expected = format!("at most {mebibytes} MiB of JSON, nested at most {levels} levels deep");
        assert!(said.as_str().unwrap().contains(&expected), "{path} does not say {expected}");
    }
    assert_eq!(used["RoomById"]["maxProperties"], 200);
    assert_eq!(used["RoomById"]["minProperties"], 1);
    assert_eq!(used["SurfaceById"]["maxProperties"], 64);
}

/// Names of properties that are numbers and carry no unit, in a schema.
fn without_unit(schema: &Value, unitless: &mut BTreeSet<String>) {
    all_schemas(schema, &mut |schema| {
        let Some(Value::Object(properties)) = schema.get("properties") else { return };
        for (name, property) in properties {
            let items = [property, &property["items"], &property["additionalProperties"]];
            let is_number = items.iter().any(|place| match &place["type"] {
                Value::String(kind) => kind == "number",
                Value::Array(kinds) => kinds.iter().any(|kind| kind == "number"),
                Value::Null | Value::Bool(_) | Value::Number(_) | Value::Object(_) => false,
            });
            if is_number && !UNITS.iter().any(|unit| name.ends_with(unit)) {
                unitless.insert(name.clone());
            }
        }
    });
}

#[test]
fn every_number_carries_its_unit_in_its_name_or_stands_on_the_list() {
    let document = openapi_document();
    let mut unitless = BTreeSet::new();
    without_unit(&document["components"]["schemas"], &mut unitless);
    // each value of a working carries its unit in its own name, which is a key of this map
    unitless.remove("values");
    let listed: BTreeSet<String> = UNITLESS.iter().map(|(name, _)| (*name).to_owned()).collect();
    let unknown: Vec<_> = unitless.difference(&listed).collect();
    assert!(unknown.is_empty(), "numbers without a unit: {unknown:?}");
    let idle: Vec<_> = listed.difference(&unitless).collect();
    assert!(idle.is_empty(), "listed as unitless and not there: {idle:?}");
}

#[test]
fn the_walk_over_numbers_finds_one_without_a_unit() {
    let schema = serde_json::json!({"A": {"oneOf": [{"type": "object", "properties": {
        "power": {"type": ["number", "null"]}, "sizes": {"type": "array", "items": {"type": "number"}},
        "power_w": {"type": "number"}, "count": {"type": "integer"}, "name": {"type": "string"}
    }}]}});
    let mut unitless = BTreeSet::new();
    without_unit(&schema, &mut unitless);
    assert_eq!(unitless.into_iter().collect::<Vec<_>>(), ["power", "sizes"]);
}

/// The files that a page names in `src` and `href`.
fn named_files(page: &str) -> Vec<String> {
    let mut files = Vec::new();
    for attribute in ["src=\"", "href=\""] {
        files.extend(page.split(attribute).skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned));
    }
    files
}

/// Places where a script or style sheet would fetch from another host.
fn fetches(text: &str) -> Vec<String> {
    let calls = regex::Regex::new(
        r#"(?:fetch|open|import|importScripts|sendBeacon|EventSource|WebSocket|url)\(\s*["'`]?(?:GET["'`],\s*["'`])?(?:https?:)?//[^"'`)]*|(?:\.src|\.href)\s*=\s*["'`](?:https?:)?//[^"'`]*|@import\s+["'][^"']*"#,
    );
    calls.unwrap().find_iter(text).map(|found| found.as_str().to_owned()).collect()
}

#[tokio::test]
async fn the_interactive_page_is_served_from_within_and_fetches_from_no_other_host() {
    let service = shared_service();
    for path in ["/", "/docs"] {
        let sent_on = service.get(path).await;
        let location = sent_on.headers()["location"].to_str().unwrap();
        assert_eq!((sent_on.status().as_u16(), location), (302, "/docs/"), "{path}");
    }
    let page = service.get("/docs/").await;
    assert_eq!(page.status(), 200);
    assert!(page.headers()["content-type"].to_str().unwrap().starts_with("text/html"));
    let page = page.text().await.unwrap();
    assert!(!page.contains("://"), "{page}");
    assert!(page.contains("<title>tundish</title>") && page.matches("<title>").count() == 1, "{page}");
    let files = named_files(&page);
    assert!(
        files.iter().any(|file| Path::new(file).extension().is_some_and(|extension| extension == "js")),
        "{files:?}"
    );
    let mut settings = None;
    for file in &files {
        assert!(!file.starts_with('/'), "{file}");
        let response = service.get(&format!("/docs/{}", file.trim_start_matches("./"))).await;
        assert_eq!(response.status(), 200, "{file}");
        let text = String::from_utf8_lossy(&response.bytes().await.unwrap()).into_owned();
        assert_eq!(fetches(&text), Vec::<String>::new(), "{file}");
        if text.contains("/openapi.json") {
            settings = Some(text);
        }
    }
    // what checks the document on a foreign host by default is switched off, and the document is our own
    let settings = settings.unwrap();
    assert!(settings.contains("\"validatorUrl\": \"none\"") && !settings.contains("://"), "{settings}");
}

#[test]
fn the_search_for_foreign_hosts_finds_them() {
    for text in [
        "fetch('https://a.example/x')",
        "x.open(\"GET\",\"http://a.example\")",
        "s.src = \"//a.example/b.js\"",
        "body{background:url(https://a.example/i.png)}",
        "@import \"https://a.example/c.css\"",
    ] {
        assert_eq!(fetches(text).len(), 1, "{text}");
    }
}

/// The links of the page that opens the project lead somewhere.
#[test]
fn every_link_of_the_readme_into_the_contract_resolves() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let document = openapi_document();
    let links: Vec<&str> =
        readme.split("](openapi/openapi.json#").skip(1).map(|rest| rest.split(')').next().unwrap()).collect();
    assert!(links.len() > 10, "{links:?}");
    for link in links {
        assert!(document.pointer(link).is_some(), "{link}");
    }
}
