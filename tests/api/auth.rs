//! The key: who may ask, and when the service refuses to start.

use reqwest::Method;
use reqwest::header::{AUTHORIZATION, CONTENT_TYPE, WWW_AUTHENTICATE};
use tundish::http;
use tundish::settings::Settings;

use super::helpers::{TestService, problem, spawn_service, spawn_service_with, study};

const KEY: &str = "0123456789abcdef0123456789abcdef";

fn spawn_locked() -> TestService {
    spawn_service_with(|settings| settings.key = Some(KEY.to_owned()))
}

#[tokio::test]
async fn on_loopback_without_a_key_the_service_is_open() {
    let service = spawn_service();
    assert_eq!(service.post("/v1/heat-loss", &study()).await.status(), 200);
}

#[tokio::test]
async fn with_a_key_every_request_to_v1_must_bring_it() {
    let service = spawn_locked();
    let post = |authorization: Option<&str>| {
        let request = service.client.post(service.url("/v1/heat-loss")).header(CONTENT_TYPE, "application/json");
        let request = request.body(study().to_string());
        match authorization {
            Some(value) => request.header(AUTHORIZATION, value).send(),
            None => request.send(),
        }
    };
    for right in [format!("Bearer {KEY}"), format!("bearer {KEY}")] {
        assert_eq!(post(Some(&right)).await.unwrap().status(), 200, "{right}");
    }
    let wrong = [
        String::new(),
        "Bearer".to_owned(),
        "Bearer ".to_owned(),
        KEY.to_owned(),
        format!("Basic {KEY}"),
        format!("Bearer {}", KEY.to_uppercase()),
        format!("Bearer {}", &KEY[1..]),
        format!("Bearer {KEY}0"),
        format!("Bearer  {KEY}"),
    ];
    for authorization in wrong.iter().map(|value| Some(value.as_str())).chain([None]) {
        let response = post(authorization).await.unwrap();
        assert_eq!(response.headers()[WWW_AUTHENTICATE], "Bearer", "{authorization:?}");
        let refused = problem(response, 401).await;
        assert_eq!(refused["code"], "unauthorized", "{authorization:?}");
        assert!(!refused.to_string().contains(KEY));
    }
}

#[tokio::test]
async fn no_spelling_of_a_path_gets_past_the_key() {
    let service = spawn_locked();
    let spellings = [
        "/v1/heat-loss",
        "/v1",
        "/v1/",
        "/v1/unknown",
        "/v1/heat-loss?workings=true",
        "/%76%31/heat-loss",
        "/v%31/heat-loss",
        "/v1/heat%2dloss",
    ];
    for method in [Method::GET, Method::POST, Method::HEAD, Method::PUT] {
        for target in spellings {
            let request = format!(
                "{method} {target} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nContent-Length: 0\r\n\r\n"
            );
            let answer = service.raw(request.as_bytes());
            assert!(answer.starts_with("HTTP/1.1 401 "), "{method} {target}: {answer}");
        }
    }
    // what is no path of the service at all is not there for anybody: neither found nor computed
    let body = study().to_string();
    for target in [
        "/v1%2fheat-loss",
        "//v1/heat-loss",
        "/v1//heat-loss",
        "/./v1/heat-loss",
        "/x/../v1/heat-loss",
        "/V1/heat-loss",
    ] {
        let request = format!(
            "POST {target} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        );
        let answer = service.raw(request.as_bytes());
        let refused =
            ["HTTP/1.1 401 ", "HTTP/1.1 404 ", "HTTP/1.1 400 "].iter().any(|status| answer.starts_with(status));
        assert!(refused && !answer.contains("heat_loss"), "{target}: {answer}");
    }
}

#[tokio::test]
async fn options_health_and_the_document_need_no_key() {
    let service = spawn_locked();
    let options = service.client.request(Method::OPTIONS, service.url("/v1/heat-loss")).send().await.unwrap();
    assert_eq!(options.status(), 204);
    for path in ["/health/live", "/health/ready", "/openapi.json", "/docs/"] {
        assert_eq!(service.get(path).await.status(), 200, "{path}");
    }
}

#[test]
fn the_service_refuses_to_start_where_strangers_could_ask_without_a_long_key() {
    let data = tempfile::tempdir().unwrap();
    let refused = |listen: &str, key: Option<&str>| {
        let settings = Settings::new(listen.parse().unwrap(), data.path().join("store"), key.map(str::to_owned));
        http::start(&settings).err().map(|error| error.to_string())
    };
    for listen in ["0.0.0.0:0", "[::]:0", "192.0.2.1:80"] {
        let reason = refused(listen, None).unwrap();
        assert!(reason.contains("TUNDISH_KEY") && reason.contains(listen), "{reason}");
    }
    for listen in ["0.0.0.0:0", "127.0.0.1:0"] {
        let reason = refused(listen, Some(&KEY[1..])).unwrap();
        assert!(reason.contains("TUNDISH_KEY") && reason.contains("32") && !reason.contains(&KEY[1..]), "{reason}");
    }
    assert!(!data.path().join("store").exists(), "a service that refuses to start leaves nothing behind");
}
