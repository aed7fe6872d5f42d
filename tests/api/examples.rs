//! The examples of the published document: each is sent, and each answer is the one that is published.

use reqwest::header::{CONTENT_TYPE, IF_MATCH};
use reqwest::{Method, Response};
use serde_json::Value;
use tundish::http::openapi_document;

use super::helpers::{TestService, fixture, shared_service, spawn_service};

/// Operations whose answer is no example of itself, with the reason.
const WITHOUT: [(&str, &str); 7] = [
    ("openapi", "its answer is the document that an example would stand in"),
    ("delete_quote", "it answers nothing"),
    ("issue_quote", "it hangs on the day that it is asked"),
    ("accept_quote", "it follows what hangs on the day"),
    ("decline_quote", "it follows what hangs on the day"),
    ("vary_quote", "it follows what hangs on the day"),
    ("prove_quote", "it follows what hangs on the day"),
];

/// What a reference within the document stands for, or the value itself.
fn resolved<'d>(document: &'d Value, value: &'d Value) -> &'d Value {
    match value["$ref"].as_str() {
        Some(place) => document.pointer(place.trim_start_matches('#')).unwrap(),
        None => value,
    }
}

/// The only example of a body of JSON.
fn example<'d>(document: &'d Value, content: &'d Value, what: &str) -> &'d Value {
    only(document, &content["application/json"], what)
}

/// The only example of a body of some type.
fn only<'d>(document: &'d Value, content: &'d Value, what: &str) -> &'d Value {
    let examples = content["examples"].as_object().unwrap_or_else(|| panic!("{what} has none"));
    assert_eq!(examples.len(), 1, "{what}");
    let example = resolved(document, examples.values().next().unwrap());
    assert!(!example["summary"].as_str().unwrap().is_empty(), "{what}");
    &example["value"]
}

/// Puts the members of an answer that are new each time into the place of those of an example.
fn renew(published: &mut Value, answer: &Value) {
    const NEW: [&str; 6] = ["id", "program", "created_at", "changed_at", "from_program", "to_program"];
    for member in NEW {
        if let Some(stands) = published.get_mut(member) {
            assert!(stands.is_string() && answer[member].is_string(), "{member}");
            *stands = answer[member].clone();
        }
    }
}

/// Sends what an operation's example asks: of a quote, of one of its own, so that none of them comes before another.
async fn asked(service: &TestService, (method, path): (&str, &str), body: Option<(&str, &Value)>) -> Response {
    let mut path = path.to_owned();
    if path.contains("{id}") {
        let document = openapi_document();
        let job =
            example(&document, &document["paths"]["/v1/quotes"]["post"]["requestBody"]["content"], "the job").clone();
        let quote: Value = service.post("/v1/quotes", &job).await.json().await.unwrap();
        let id = quote["id"].as_str().unwrap();
        if path.ends_with("/changes") {
            let (kind, patch) = document["paths"]["/v1/quotes/{id}"]["patch"]["requestBody"]["content"]
                .as_object()
                .unwrap()
                .iter()
                .next()
                .unwrap();
            let patch = service
                .client
                .patch(service.url(&format!("/v1/quotes/{id}")))
                .header(IF_MATCH, "\"1\"")
                .header(CONTENT_TYPE, kind)
                .body(only(&document, patch, "the patch").to_string());
            assert_eq!(patch.send().await.unwrap().status(), 200);
            path += "?from=1&to=2";
        }
        path = path.replace("{id}", id).replace("{revision}", "1");
    }
    let method: Method = method.to_uppercase().parse().unwrap();
    let request = service.client.request(method, service.url(&path)).header(IF_MATCH, "\"1\"");
    let request = match body {
        Some((kind, body)) => request.header(CONTENT_TYPE, kind).body(body.to_string()),
        None => request,
    };
    request.send().await.unwrap()
}

#[tokio::test]
async fn every_example_is_answered_as_the_document_says() {
    let document = openapi_document();
    let mut sent = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let id = operation["operationId"].as_str().unwrap();
            if WITHOUT.iter().any(|(without, _)| *without == id) {
                continue;
            }
            let (status, response) =
                operation["responses"].as_object().unwrap().iter().find(|(status, _)| status.starts_with('2')).unwrap();
            let content = operation["requestBody"]["content"].as_object();
            let body = content.and_then(|content| content.iter().next());
            let body = body.map(|(kind, content)| (kind.as_str(), only(&document, content, id)));
            let service = spawn_service();
            if id == "list_quotes" {
                asked(&service, ("get", "/v1/quotes/{id}"), None).await;
            }
            let answer = asked(&service, (method, path), body).await;
            assert_eq!(answer.status().as_str(), status, "{id}");
            let answer: Value = answer.json().await.unwrap();
            let mut published = example(&document, &response["content"], id).clone();
            if id == "list_quotes" {
                renew(&mut published["quotes"][0], &answer["quotes"][0]);
            } else {
                renew(&mut published, &answer);
            }
            assert_eq!(answer, published, "{id}");
            sent += 1;
        }
    }
    assert_eq!(sent, 19);
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
