//! `Idempotency-Key`: what is asked twice is done once.

use reqwest::header::{CONTENT_TYPE, IF_MATCH};
use reqwest::{Client, Response};
use serde_json::{Value, json};

use super::helpers::{fixture, problem, spawn_service};
use super::process::{Process, program};

const QUOTES: &str = "/v1/quotes";

async fn create(client: &Client, url: String, key: &str, job: &Value) -> Response {
    let request = client.post(url).header(CONTENT_TYPE, "application/json").header("Idempotency-Key", key);
    request.body(job.to_string()).send().await.unwrap()
}

async fn count(client: &Client, url: String) -> usize {
    let page: Value = client.get(url).send().await.unwrap().json().await.unwrap();
    page["quotes"].as_array().unwrap().len()
}

#[tokio::test]
async fn the_same_key_and_body_is_the_same_quote() {
    let service = spawn_service();
    let (client, url) = (&service.client, service.url(QUOTES));
    let job = fixture("bungalow");
    let first = create(client, url.clone(), "\"8e03978e-40d5-43dd-bc93-6894a57f9324\"", &job).await;
    assert_eq!(first.status(), 201);
    let location = first.headers()["location"].clone();
    let body = first.text().await.unwrap();
    // the draft moves on; the answer to the question stays what it was
    let patched = client.patch(service.url(location.to_str().unwrap())).header(IF_MATCH, "\"1\"");
    let patched = patched
        .header(CONTENT_TYPE, "application/merge-patch+json")
        .body("{\"title\": \"moved on\"}")
        .send()
        .await
        .unwrap();
    assert_eq!(patched.status(), 200);
    // in quotes or not, it is one key
    for key in ["\"8e03978e-40d5-43dd-bc93-6894a57f9324\"", "8e03978e-40d5-43dd-bc93-6894a57f9324"] {
        let again = create(client, url.clone(), key, &job).await;
        assert_eq!((again.status().as_u16(), &again.headers()["location"]), (201, &location));
        assert_eq!(again.headers()["etag"], "\"1\"");
        assert_eq!(again.text().await.unwrap(), body);
    }
    assert_eq!(count(client, url.clone()).await, 1);
    let mut other = job.clone();
    other["title"] = json!("Another");
    let reused = create(client, url.clone(), "8e03978e-40d5-43dd-bc93-6894a57f9324", &other).await;
    assert_eq!(problem(reused, 422).await["code"], "key_reused");
    assert_eq!(create(client, url.clone(), "another", &other).await.status(), 201);
    // a job that is refused leaves its key free
    let refused = create(client, url.clone(), "third", &json!({"schema": 1})).await;
    problem(refused, 422).await;
    assert_eq!(create(client, url.clone(), "third", &job).await.status(), 201);
    assert_eq!(count(client, url).await, 3);
}

#[tokio::test]
async fn keys_that_are_none_are_refused() {
    let service = spawn_service();
    for key in ["", "\"\"", "\"", "\"open", &"k".repeat(300), "two words"] {
        let refused = create(&service.client, service.url(QUOTES), key, &fixture("bungalow")).await;
        assert_eq!(problem(refused, 400).await["code"], "bad_key", "{key}");
    }
    let twice = service.client.post(service.url(QUOTES)).header(CONTENT_TYPE, "application/json");
    let twice =
        twice.header("Idempotency-Key", "a").header("Idempotency-Key", "b").body(fixture("bungalow").to_string());
    assert_eq!(problem(twice.send().await.unwrap(), 400).await["code"], "bad_key");
    assert_eq!(
        create(&service.client, service.url(QUOTES), &"k".repeat(255), &fixture("bungalow")).await.status(),
        201
    );
}

#[tokio::test]
async fn of_many_at_once_one_is_done_and_the_others_are_told() {
    let service = spawn_service();
    let job = fixture("terrace");
    let asked = (0..8).map(|_| create(&service.client, service.url(QUOTES), "one", &job));
    let mut created = 0;
    for response in futures_util::future::join_all(asked).await {
        if response.status() == 201 {
            created += 1;
        } else {
            assert_eq!(response.headers()["retry-after"], "1");
            assert_eq!(problem(response, 409).await["code"], "key_running");
        }
    }
    assert!(created >= 1);
    assert_eq!(count(&service.client, service.url(QUOTES)).await, 1);
    assert_eq!(create(&service.client, service.url(QUOTES), "one", &job).await.status(), 201);
}

#[tokio::test]
async fn issuing_twice_is_issuing_once() {
    let service = spawn_service();
    let mut job = fixture("bungalow");
    job["commercial"]["valid_until"] = json!("2999-12-31");
    let created = create(&service.client, service.url(QUOTES), "create", &job).await;
    let at = created.headers()["location"].to_str().unwrap().to_owned();
    let issue = |key: &'static str, tag: &'static str| {
        let request = service.client.post(service.url(&format!("{at}/issue"))).header(IF_MATCH, tag);
        request.header("Idempotency-Key", key).send()
    };
    let first = issue("issue", "\"1\"").await.unwrap();
    assert_eq!((first.status().as_u16(), first.headers()["etag"].to_str().unwrap()), (200, "\"2\""));
    let body = first.text().await.unwrap();
    let again = issue("issue", "\"1\"").await.unwrap();
    assert_eq!((again.status().as_u16(), again.headers()["etag"].to_str().unwrap()), (200, "\"2\""));
    assert_eq!(again.text().await.unwrap(), body);
    assert_eq!(problem(issue("issue", "\"2\"").await.unwrap(), 422).await["code"], "key_reused");
    assert_eq!(problem(issue("create", "\"1\"").await.unwrap(), 422).await["code"], "key_reused");
    assert_eq!(problem(issue("other", "\"1\"").await.unwrap(), 412).await["code"], "stale");
}

#[tokio::test]
async fn a_key_is_known_after_a_kill() {
    let data = tempfile::tempdir().unwrap();
    let job = fixture("bungalow");
    let mut process = Process::serve(program(), data.path());
    let first = create(&process.client, process.url(QUOTES), "survives", &job).await.text().await.unwrap();
    process.kill();
    // with the working copy, and made anew from the journal
    for _ in 0..2 {
        let mut process = Process::serve(program(), data.path());
        let again = create(&process.client, process.url(QUOTES), "survives", &job).await;
        assert_eq!((again.status().as_u16(), again.text().await.unwrap()), (201, first.clone()));
        assert_eq!(count(&process.client, process.url(QUOTES)).await, 1);
        process.kill();
        std::fs::remove_dir_all(data.path().join("copy")).unwrap();
    }
}
