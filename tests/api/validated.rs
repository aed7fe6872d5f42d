//! A general validator takes every answer, by the published document alone.

use std::collections::BTreeMap;

use jsonschema::Validator;
use serde_json::{Value, json};
use tundish::http::openapi_document;

use super::helpers::{fixture, problem, published, shared_service, spawn_service, study};

/// A validator of what an operation answers, formats too.
fn validator(document: &Value, content: &Value) -> Validator {
    let schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$ref": content["schema"]["$ref"],
        "components": {"schemas": document["components"]["schemas"]},
    });
    jsonschema::options().should_validate_formats(true).build(&schema).unwrap()
}

/// What a reference within the document stands for, or the value itself.
fn followed<'d>(document: &'d Value, value: &'d Value) -> &'d Value {
    value["$ref"].as_str().map_or(value, |place| document.pointer(&place[1..]).unwrap())
}

/// Jobs that are answered: every fixture, the hand-worked house and the least job.
fn jobs() -> Vec<(&'static str, Value)> {
    let fixtures = ["bungalow", "chapel", "farmhouse", "terrace"].map(|name| (name, fixture(name)));
    let mut least = study();
    least["commercial"] = json!({"quote_date": "2026-11-02"});
    fixtures.into_iter().chain([("hand_house", published("hand_house")), ("study", least)]).collect()
}

/// What a validator says against an answer.
fn faults(validator: &Validator, answer: &Value) -> Vec<String> {
    validator.iter_errors(answer).map(|error| format!("{}: {error}", error.instance_path())).take(3).collect()
}

#[tokio::test]
async fn a_general_validator_takes_every_answer_to_every_job() {
    let (document, service) = (openapi_document(), spawn_service());
    let (mut taken, mut refused) = (0, Vec::new());
    for (path, item) in document["paths"].as_object().unwrap() {
        let Some(operation) = item.get("post").filter(|_| path != "/v1/outline" && !path.contains('{')) else {
            continue;
        };
        let responses = operation["responses"].as_object().unwrap();
        let (_, response) = responses.iter().find(|(status, _)| status.starts_with('2')).unwrap();
        let validator = validator(&document, &response["content"]["application/json"]);
        let parameters = operation["parameters"].as_array().into_iter().flatten();
        let has_workings = parameters.into_iter().any(|parameter| parameter["name"] == "workings");
        let questions = if has_workings { ["", "?workings=true"].as_slice() } else { &[""] };
        for (name, job) in jobs() {
            for question in questions {
                let answer = service.post(&format!("{path}{question}"), &job).await;
                assert!(answer.status().is_success(), "{path} {name}: {}", answer.text().await.unwrap());
                match faults(&validator, &answer.json().await.unwrap()) {
                    none if none.is_empty() => taken += 1,
                    faults => refused.push(format!("{path}{question} {name}: {faults:?}")),
                }
            }
        }
    }
    assert!(refused.is_empty(), "{} of {} refused: {refused:#?}", refused.len(), refused.len() + taken);
    assert_eq!(taken, 9 * 6 * 2 + 6);
}

#[tokio::test]
async fn a_general_validator_takes_outlines_health_and_every_example() {
    let document = openapi_document();
    let facts = json!({"dwelling_kind": "mid_terrace", "construction_year": 1905, "floor_area_m2": 90,
        "nation": "wales", "station": "cardiff"});
    let outline = shared_service().answer("/v1/outline", &facts).await;
    let content = &document["paths"]["/v1/outline"]["post"]["responses"]["200"]["content"]["application/json"];
    assert_eq!(faults(&validator(&document, content), &outline), Vec::<String>::new());
    // a validator for each schema, with the examples of all operations
    let mut examples: BTreeMap<&str, (&Value, Vec<&Value>)> = BTreeMap::new();
    for operation in document["paths"].as_object().unwrap().values().flat_map(|item| item.as_object().unwrap().values())
    {
        for body in operation["responses"].as_object().unwrap().values().chain([&operation["requestBody"]]) {
            for content in
                followed(&document, body)["content"].as_object().into_iter().flat_map(|content| content.values())
            {
                let found = content["examples"].as_object().into_iter().flat_map(|examples| examples.values());
                let Some(schema) = content["schema"]["$ref"].as_str() else { continue };
                let (_, all) = examples.entry(schema).or_insert((content, Vec::new()));
                all.extend(found.map(|example| &followed(&document, example)["value"]));
            }
        }
    }
    let mut checked = 0;
    for (schema, (content, examples)) in examples {
        let validator = validator(&document, content);
        for example in examples {
            assert_eq!(faults(&validator, example), Vec::<String>::new(), "{schema}");
            checked += 1;
        }
    }
    assert!(checked > 120, "{checked}");
}

#[tokio::test]
async fn the_validator_refuses_an_answer_that_is_not_as_published() {
    let document = openapi_document();
    let content = &document["paths"]["/v1/price"]["post"]["responses"]["200"]["content"]["application/json"];
    let validator = validator(&document, content);
    let answer = shared_service().answer("/v1/price", &fixture("terrace")).await;
    assert_eq!(faults(&validator, &answer), Vec::<String>::new());
    for (place, wrong) in [("/price", Value::Null), ("/price/gross", "12.34".into()), ("/notes/warnings", 1.into())] {
        let mut other = answer.clone();
        *other.pointer_mut(place).unwrap() = wrong;
        assert!(!faults(&validator, &other).is_empty(), "{place}");
    }
}

/// What the published document says of amounts in words, the gate still holds.
#[tokio::test]
async fn an_amount_with_three_decimals_is_refused_and_one_with_two_taken() {
    let document = openapi_document();
    let money = &document["components"]["schemas"]["Money"];
    assert!(money.get("multipleOf").is_none() && money["description"].as_str().unwrap().contains("two decimals"));
    let mut job = published("hand_house");
    let product = "/commercial/price_book/products/hs_5/unit_cost";
    for (cost, taken) in [(1234.56, true), (0.07, true), (1234.567, false), (0.005, false)] {
        *job.pointer_mut(product).unwrap() = json!(cost);
        let answer = shared_service().post("/v1/price", &job).await;
        if taken {
            assert_eq!(answer.status(), 200, "{cost}");
        } else {
            let refused = problem(answer, 422).await;
            assert_eq!(super::helpers::faults(&refused), [(product, "too_fine")], "{cost}");
        }
    }
}
