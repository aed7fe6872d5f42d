//! What every request passes, whatever it asks. Statuses and headers: RFC 9110, problems: RFC 9457.

use std::time::{Duration, Instant};

use reqwest::Method;
use reqwest::header::{ALLOW, CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE, RETRY_AFTER};

use super::helpers::{fixture, problem, spawn_service, spawn_service_with, study};

/// The limits that the README states: a body of 2 MiB, a target of 8 KiB.
const BODY_LIMIT: usize = 2 * 1024 * 1024;
const TARGET_LIMIT: usize = 8 * 1024;

#[tokio::test]
async fn head_answers_as_get_with_its_length_and_without_its_body() {
    let service = spawn_service();
    for path in ["/health/live", "/health/ready", "/openapi.json", "/nothing", "/v1/heat-loss"] {
        let get = service.get(path).await;
        let head = service.client.head(service.url(path)).send().await.unwrap();
        assert_eq!(head.status(), get.status(), "{path}");
        assert_eq!(head.headers()[CONTENT_TYPE], get.headers()[CONTENT_TYPE], "{path}");
        assert_eq!(head.headers()[CONTENT_LENGTH], get.headers()[CONTENT_LENGTH], "{path}");
        assert_eq!(head.headers().get(ALLOW), get.headers().get(ALLOW), "{path}");
        assert!(!get.bytes().await.unwrap().is_empty());
        assert!(head.bytes().await.unwrap().is_empty(), "{path}");
    }
    let request = "HEAD /health/live HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n";
    assert!(service.raw(request.as_bytes()).ends_with("\r\n\r\n"), "bytes after the head");
}

#[tokio::test]
async fn options_tells_the_methods_of_every_published_path() {
    let service = spawn_service_with(|settings| settings.key = Some("k".repeat(32)));
    let document: serde_json::Value = service.get("/openapi.json").await.json().await.unwrap();
    for (path, item) in document["paths"].as_object().unwrap() {
        let response = service.client.request(Method::OPTIONS, service.url(path)).send().await.unwrap();
        assert_eq!(response.status(), 204, "{path}");
        let allow = response.headers()[ALLOW].to_str().unwrap().to_owned();
        let mut wanted: Vec<String> = item.as_object().unwrap().keys().map(|method| method.to_uppercase()).collect();
        if wanted.iter().any(|method| method == "GET") {
            wanted.push("HEAD".to_owned());
        }
        wanted.push("OPTIONS".to_owned());
        let mut told: Vec<String> = allow.split(", ").map(str::to_owned).collect();
        wanted.sort();
        told.sort();
        assert_eq!(told, wanted, "{path}");
    }
    let page = service.client.request(Method::OPTIONS, service.url("/docs/")).send().await.unwrap();
    assert_eq!((page.status().as_u16(), page.headers()[ALLOW].to_str().unwrap()), (204, "GET, HEAD, OPTIONS"));
    let nowhere = service.client.request(Method::OPTIONS, service.url("/nothing")).send().await.unwrap();
    problem(nowhere, 404).await;
}

#[tokio::test]
async fn a_path_that_is_not_there_is_404_and_a_method_that_is_not_there_405() {
    let service = spawn_service();
    for path in ["/nothing", "/v1", "/v1/", "/v1/nothing", "/v1/heat-loss/", "/V1/heat-loss", "/docs/nothing"] {
        assert_eq!(problem(service.get(path).await, 404).await["code"], "not_found", "{path}");
    }
    for (method, path, allow) in [
        (Method::GET, "/v1/heat-loss", "POST, OPTIONS"),
        (Method::PUT, "/v1/heat-loss", "POST, OPTIONS"),
        (Method::DELETE, "/health/live", "GET, HEAD, OPTIONS"),
        (Method::POST, "/openapi.json", "GET, HEAD, OPTIONS"),
        (Method::POST, "/docs/", "GET, HEAD, OPTIONS"),
        (Method::POST, "/", "GET, HEAD, OPTIONS"),
        (Method::TRACE, "/v1/heat-loss", "POST, OPTIONS"),
    ] {
        let response = service.client.request(method.clone(), service.url(path)).send().await.unwrap();
        assert_eq!(response.headers()[ALLOW], allow, "{method} {path}");
        assert_eq!(problem(response, 405).await["code"], "method_not_allowed");
    }
}

#[tokio::test]
async fn a_body_beyond_the_limit_is_413_whether_its_length_is_announced_or_not() {
    let service = spawn_service();
    let announced = service.post_text("/v1/heat-loss", " ".repeat(BODY_LIMIT + 1)).await;
    assert_eq!(problem(announced, 413).await["code"], "too_large");
    assert_eq!(
        problem(service.post_text("/v1/heat-loss", " ".repeat(5_000_000)).await, 413).await["code"],
        "too_large"
    );

    let mut chunked =
        b"POST /v1/heat-loss HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
            .to_vec();
    chunked.extend_from_slice(format!("{:x}\r\n", BODY_LIMIT + 1).as_bytes());
    chunked.extend(std::iter::repeat_n(b' ', BODY_LIMIT + 1));
    let answer = service.raw(&chunked);
    assert!(answer.starts_with("HTTP/1.1 413 "), "{answer}");
    assert!(answer.contains("application/problem+json") && answer.contains("\"code\":\"too_large\""), "{answer}");

    let largest = study().to_string() + &" ".repeat(BODY_LIMIT);
    let response = service.post_text("/v1/heat-loss", largest[..BODY_LIMIT].to_owned()).await;
    assert_eq!(response.status(), 200);
}

#[tokio::test]
async fn a_target_beyond_the_limit_is_414() {
    let service = spawn_service();
    let target = |length: usize| format!("/nothing?{}", "a".repeat(length - "/nothing?".len()));
    problem(service.get(&target(TARGET_LIMIT)).await, 404).await;
    for length in [TARGET_LIMIT + 1, 60_000] {
        assert_eq!(problem(service.get(&target(length)).await, 414).await["code"], "target_too_long");
    }
}

#[tokio::test]
async fn a_body_that_does_not_say_that_it_is_plain_json_is_415() {
    let service = spawn_service();
    let send = |headers: &[(&'static str, &'static str)]| {
        let request = service.client.post(service.url("/v1/heat-loss")).body(study().to_string());
        headers.iter().fold(request, |request, (name, value)| request.header(*name, *value)).send()
    };
    let (kind, coding) = (CONTENT_TYPE.as_str(), CONTENT_ENCODING.as_str());
    for refused in [
        &[][..],
        &[(kind, "application/x-www-form-urlencoded")],
        &[(kind, "text/plain")],
        &[(kind, "application/jsonx")],
        &[(kind, "application/json; charset=iso-8859-1")],
        &[(kind, "application/json"), (coding, "gzip")],
    ] {
        assert_eq!(problem(send(refused).await.unwrap(), 415).await["code"], "media_type", "{refused:?}");
    }
    for taken in [
        &[(kind, "application/json")][..],
        &[(kind, "Application/JSON; charset=UTF-8")],
        &[(kind, "application/json;charset=\"utf-8\"")],
        &[(kind, "application/json"), (coding, "identity")],
    ] {
        assert_eq!(send(taken).await.unwrap().status(), 200, "{taken:?}");
    }
}

#[tokio::test]
async fn a_byte_order_mark_is_taken_and_text_that_is_not_utf_8_refused() {
    let service = spawn_service();
    let marked = format!("\u{feff}{}", study());
    assert_eq!(service.post_text("/v1/heat-loss", marked).await.status(), 200);
    let mut latin_1 = study();
    latin_1["title"] = "caf_".into();
    let latin_1 = latin_1.to_string().into_bytes().into_iter().map(|b| if b == b'_' { 0xe9 } else { b });
    let refused = problem(service.post_text("/v1/heat-loss", latin_1.collect::<Vec<u8>>()).await, 400).await;
    assert_eq!(
        (refused["errors"][0]["code"].as_str(), refused["errors"][0]["pointer"].as_str()),
        (Some("not_utf8"), Some(""))
    );
}

#[tokio::test]
async fn a_sender_that_falls_silent_is_told_408() {
    let service = spawn_service_with(|settings| settings.patience = Duration::from_millis(200));
    let begun = Instant::now();
    let answer = service.raw(
        b"POST /v1/heat-loss HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{\"schema\"",
    );
    assert!(answer.starts_with("HTTP/1.1 408 "), "{answer}");
    assert!(answer.contains("application/problem+json") && answer.contains("\"code\":\"stalled\""), "{answer}");
    assert!(answer.to_lowercase().contains("connection: close"), "{answer}");
    let waited = begun.elapsed();
    assert!(waited >= Duration::from_millis(200) && waited < Duration::from_secs(5), "{waited:?}");
}

#[tokio::test]
async fn questions_beyond_the_queue_are_turned_away_with_503_and_a_time_to_ask_again() {
    let service = spawn_service_with(|settings| settings.queue = 1);
    let job = fixture("chapel").to_string();
    let mut turned_away = 0;
    for _ in 0..20 {
        let asked = (0..24).map(|_| service.post_text("/v1/heat-loss?workings=true", job.clone()));
        for response in futures_util::future::join_all(asked).await {
            if response.status() == 200 {
                continue;
            }
            let seconds: u32 = response.headers()[RETRY_AFTER].to_str().unwrap().parse().unwrap();
            assert!((1..=120).contains(&seconds));
            assert_eq!(problem(response, 503).await["code"], "busy");
            turned_away += 1;
        }
        if turned_away > 0 {
            break;
        }
    }
    assert!(turned_away > 0, "a queue of one took 24 questions at once, twenty times");
    assert_eq!(service.post_text("/v1/heat-loss", job).await.status(), 200, "the queue is free again");
}
