//! The problems that each operation is said to answer with: exactly those that it is seen to send, with their headers.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use reqwest::header::{AUTHORIZATION, CONTENT_TYPE, HOST};
use reqwest::{Method, Response};
use serde_json::Value;
use tokio::task::JoinSet;
use tundish::http::openapi_document;

use super::helpers::{TestService, fixture, spawn_service, spawn_service_with};

const KEY: &str = "0123456789abcdef0123456789abcdef";

/// Statuses that no request can bring about: they are held where they arise.
const FROM_WITHIN: [(u16, &str); 1] = [(500, "a panic, in the tests of `src/http/edge.rs`")];

/// One operation.
struct Operation {
    id: String,
    path: String,
    body: Option<Value>,
    problems: BTreeMap<u16, Value>,
}

fn operations(document: &Value) -> Vec<Operation> {
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for operation in item.as_object().unwrap().values() {
            let examples = operation.pointer("/requestBody/content/application~1json/examples");
            let body = examples.map(|examples| examples.as_object().unwrap().values().next().unwrap()["value"].clone());
            let problems = operation["responses"].as_object().unwrap().iter().filter_map(|(status, response)| {
                let place = response["$ref"].as_str()?.trim_start_matches('#');
                Some((status.parse().unwrap(), document.pointer(place).unwrap().clone()))
            });
            let id = operation["operationId"].as_str().unwrap().to_owned();
            found.push(Operation { id, path: path.clone(), body, problems: problems.collect() });
        }
    }
    found
}

/// Holds an answer against what is said of it, and takes its status down.
async fn seen(operation: &Operation, response: Response, seen: &mut BTreeSet<u16>) {
    let status = response.status().as_u16();
    let said = operation.problems.get(&status);
    let said = said.unwrap_or_else(|| panic!("{} answers {status}, which it is not said to", operation.id));
    let sent = ["retry-after", "www-authenticate", "allow"].map(|name| response.headers().contains_key(name));
    let told = ["Retry-After", "WWW-Authenticate", "Allow"].map(|name| said["headers"].get(name).is_some());
    assert_eq!(sent, told, "{} {status}", operation.id);
    assert_eq!(response.headers()[CONTENT_TYPE], "application/problem+json");
    let problem: Value = response.json().await.unwrap();
    let examples = said["content"]["application/problem+json"]["examples"].as_object().unwrap();
    // what faults there are hangs on what was sent; all else is as it stands there
    let alike = |example: &&Value| match status {
        400 | 422 => example["value"]["code"] == problem["code"],
        _ => example["value"] == problem,
    };
    assert!(examples.values().any(|example| alike(&example)), "{} {status}: {problem}", operation.id);
    seen.insert(status);
}

fn locked(wait: Duration) -> TestService {
    spawn_service_with(|settings| {
        settings.key = Some(KEY.to_owned());
        settings.times.wait = wait;
        settings.times.silence = Duration::from_millis(100);
    })
}

/// Keeps every place of a service at work until it is dropped.
fn keep_busy(service: &TestService) -> JoinSet<()> {
    let mut clients = JoinSet::new();
    for _ in 0..2 * std::thread::available_parallelism().map_or(2, usize::from) {
        let (client, url) = (service.client.clone(), service.url("/v1/flow-temperatures"));
        let job = fixture("chapel").to_string();
        clients.spawn(async move {
            loop {
                let request = client.post(&url).header(AUTHORIZATION, format!("Bearer {KEY}"));
                request.header(CONTENT_TYPE, "application/json").body(job.clone()).send().await.unwrap();
            }
        });
    }
    clients
}

/// Asks a busy service until it turns the question away.
async fn turned_away(service: &TestService, target: &str, body: Option<&Value>) -> Response {
    for _ in 0..1000 {
        let body = body.map(|body| ("application/json", body.to_string()));
        let response = send(service, target, Some(KEY), body).await;
        if response.status() == 503 {
            return response;
        }
    }
    panic!("{target} was answered a thousand times by a service with no time to wait and other work to do");
}

async fn send(service: &TestService, target: &str, key: Option<&str>, body: Option<(&str, String)>) -> Response {
    let request = match body {
        Some((kind, body)) => service.client.post(service.url(target)).header(CONTENT_TYPE, kind).body(body),
        None => service.client.get(service.url(target)),
    };
    let request = key.into_iter().fold(request, |request, key| request.header(AUTHORIZATION, format!("Bearer {key}")));
    request.send().await.unwrap()
}

/// The statuses of answers to senders that all fall silent at once, by path: each connection takes a second to end.
fn of_silence(service: &TestService, operations: &[Operation]) -> BTreeMap<String, u16> {
    std::thread::scope(|scope| {
        let asked = operations.iter().filter(|operation| operation.body.is_some()).map(|Operation { path, .. }| {
            let head = format!(
                "POST {path} HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer {KEY}\r\nContent-Type: application/json\r\nContent-Length: 9\r\n\r\n{{"
            );
            (path.clone(), scope.spawn(move || service.raw(head.as_bytes())))
        });
        let asked: Vec<_> = asked.collect();
        let answers = asked.into_iter().map(|(path, answer)| {
            let answer = answer.join().unwrap();
            assert!(answer.contains("application/problem+json") && answer.contains("\"code\":\"stalled\""), "{answer}");
            (path, answer.split(' ').nth(1).unwrap().parse().unwrap())
        });
        answers.collect()
    })
}

#[tokio::test]
async fn every_operation_sends_exactly_the_problems_that_it_is_said_to() {
    let document = openapi_document();
    let (service, busy) = (locked(Duration::from_mins(1)), locked(Duration::ZERO));
    let (open, json) = (spawn_service(), "application/json");
    let other_work = keep_busy(&busy);
    let mut listed = 0;
    let operations = operations(&document);
    let silent = of_silence(&service, &operations);
    for operation in &operations {
        let id = "01890a5d-ac96-774b-bcce-b302099a8057";
        let path = operation.path.replace("{id}", id);
        let mut found = BTreeSet::new();
        let body = |text: &str| operation.body.is_some().then(|| (json, text.to_owned()));
        let long = format!("{path}?{}", "a".repeat(8 * 1024));
        seen(operation, send(&service, &long, Some(KEY), body("{}")).await, &mut found).await;
        let method = if operation.body.is_some() { Method::POST } else { Method::GET };
        let misled = open.client.request(method, open.url(&path)).header(HOST, "evil.example");
        seen(operation, misled.send().await.unwrap(), &mut found).await;
        if path.starts_with("/v1/") {
            seen(operation, send(&service, &path, None, body("{}")).await, &mut found).await;
            let target = format!("{path}?no_such_parameter=1");
            let text = operation.body.as_ref().map_or_else(String::new, Value::to_string);
            seen(operation, send(&service, &target, Some(KEY), body(&text)).await, &mut found).await;
        }
        if let Some(example) = &operation.body {
            let answers = [
                send(&service, &path, Some(KEY), body("{\"schema\": 1,")).await,
                send(&service, &path, Some(KEY), body("{\"schema\": 1}")).await,
                send(&service, &path, Some(KEY), Some(("text/plain", "{}".to_owned()))).await,
                send(&service, &path, Some(KEY), body(&" ".repeat(2 * 1024 * 1024 + 1))).await,
                turned_away(&busy, &path, Some(example)).await,
            ];
            for answer in answers {
                seen(operation, answer, &mut found).await;
            }
            found.insert(silent[&path]);
        }
        if operation.id == "read_quote" {
            seen(operation, send(&service, &path, Some(KEY), None).await, &mut found).await;
        }
        if ["read_quote", "health_ready"].contains(&operation.id.as_str()) {
            // a store that has failed, in `damaged.rs`
            found.insert(503);
        }
        if ["create_quote", "health_ready"].contains(&operation.id.as_str()) {
            // a full disk, in `quotes.rs`
            found.insert(507);
        }
        found.extend(FROM_WITHIN.map(|(status, _)| status));
        let said: BTreeSet<u16> = operation.problems.keys().copied().collect();
        assert_eq!(found, said, "{}", operation.id);
        listed += said.len();
    }
    drop(other_work);
    assert!(listed > 100, "{listed}");
}
