//! The examples of the published document: each is sent, and each answer is the one that is published.

use serde_json::Value;
use tundish::http::openapi_document;

use super::helpers::{fixture, shared_service, spawn_service};

/// Operations whose answer is no example of itself, with the reason.
const WITHOUT: [(&str, &str); 1] = [("openapi", "its answer is the document that an example would stand in")];

/// What a reference within the document stands for, or the value itself.
fn resolved<'d>(document: &'d Value, value: &'d Value) -> &'d Value {
    match value["$ref"].as_str() {
        Some(place) => document.pointer(place.trim_start_matches('#')).unwrap(),
        None => value,
    }
}

/// The only example of a body.
fn example<'d>(document: &'d Value, content: &'d Value, what: &str) -> &'d Value {
    let examples = content["application/json"]["examples"].as_object().unwrap_or_else(|| panic!("{what} has none"));
    assert_eq!(examples.len(), 1, "{what}");
    let example = resolved(document, examples.values().next().unwrap());
    assert!(!example["summary"].as_str().unwrap().is_empty(), "{what}");
    &example["value"]
}

#[tokio::test]
async fn every_example_is_answered_as_the_document_says() {
    let (document, service) = (openapi_document(), spawn_service());
    let (mut sent, mut quote) = (0, String::new());
    let paths = document["paths"].as_object().unwrap();
    for (path, item) in paths {
        for (method, operation) in item.as_object().unwrap() {
            let id = operation["operationId"].as_str().unwrap();
            if WITHOUT.iter().any(|(without, _)| *without == id) {
                continue;
            }
            let (status, response) =
                operation["responses"].as_object().unwrap().iter().find(|(status, _)| status.starts_with('2')).unwrap();
            let answer = match method.as_str() {
                "post" => {
                    let body = example(&document, &operation["requestBody"]["content"], id);
                    service.post(path, body).await
                }
                "get" => service.get(&path.replace("{id}", &quote)).await,
                other => panic!("{other}"),
            };
            assert_eq!(answer.status().as_str(), status, "{id}");
            let answer: Value = answer.json().await.unwrap();
            let mut published = example(&document, &response["content"], id).clone();
            if path.starts_with("/v1/quotes") {
                // ids are new each time, and the program that keeps it names its commit
                answer["id"].as_str().unwrap().clone_into(&mut quote);
                for member in ["id", "program"] {
                    assert!(published[member].is_string() && answer[member].is_string());
                    published[member] = answer[member].clone();
                }
            }
            assert_eq!(answer, published, "{id}");
            sent += 1;
        }
    }
    assert_eq!(sent, 14);
}

#[tokio::test]
async fn every_report_names_the_job_as_the_firm_does_and_nothing_where_it_does_not() {
    let mut job = fixture("terrace");
    (job["title"], job["reference"]) = ("Terrace, two storeys".into(), "H-7".into());
    let mut nameless = job.clone();
    nameless["title"] = Value::Null;
    nameless.as_object_mut().unwrap().remove("reference");
    let mut reports = 0;
    for path in openapi_document()["paths"].as_object().unwrap().keys() {
        if !path.starts_with("/v1/") || path.contains("quotes") || path.contains("outline") {
            continue;
        }
        let answer = shared_service().answer(path, &job).await;
        assert_eq!((&answer["title"], &answer["reference"]), (&job["title"], &job["reference"]), "{path}");
        let answer = shared_service().answer(path, &nameless).await;
        assert!(answer.get("title").is_none() && answer.get("reference").is_none(), "{path}");
        reports += 1;
    }
    assert_eq!(reports, 9);
}
