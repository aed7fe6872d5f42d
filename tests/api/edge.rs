//! What every request passes, whatever it asks. Statuses and headers: RFC 9110, problems: RFC 9457.

use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use reqwest::Method;
use reqwest::header::{ALLOW, CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE, HOST, LOCATION, RETRY_AFTER};
use serde_json::{Value, json};

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
    let request = "HEAD /health/live HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";
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
        b"POST /v1/heat-loss HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
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
    let service = spawn_service_with(|settings| settings.times.silence = Duration::from_millis(200));
    let begun = Instant::now();
    let answer = service.raw(
        b"POST /v1/heat-loss HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{\"schema\"",
    );
    assert!(answer.starts_with("HTTP/1.1 408 "), "{answer}");
    assert!(answer.contains("application/problem+json") && answer.contains("\"code\":\"stalled\""), "{answer}");
    assert!(answer.to_lowercase().contains("connection: close"), "{answer}");
    let waited = begun.elapsed();
    assert!(waited >= Duration::from_millis(200) && waited < Duration::from_secs(5), "{waited:?}");
}

/// A sender that never falls silent, and never ends: its body has a time as a whole.
#[tokio::test]
async fn a_body_that_drips_is_told_408() {
    let service = spawn_service_with(|settings| settings.times.body = Duration::from_millis(300));
    let mut stream = TcpStream::connect(service.address).unwrap();
    stream
        .write_all(
            b"POST /v1/heat-loss HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 100000\r\n\r\n",
        )
        .unwrap();
    let (begun, mut sent) = (Instant::now(), 0);
    while stream.write_all(b" ").is_ok() && begun.elapsed() < Duration::from_secs(2) {
        sent += 1;
        std::thread::sleep(Duration::from_millis(20));
        stream.set_nonblocking(true).unwrap();
        if stream.peek(&mut [0]).is_ok() {
            break;
        }
        stream.set_nonblocking(false).unwrap();
    }
    stream.set_nonblocking(false).unwrap();
    let mut answer = String::new();
    let _ = stream.read_to_string(&mut answer);
    assert!(answer.starts_with("HTTP/1.1 408 ") && answer.contains("\"code\":\"stalled\""), "{answer}");
    assert!(sent >= 5, "it was let drip for a while: {sent}");
}

/// What HTTP's parser refuses is a problem as well, and behind it the connection ends.
#[tokio::test]
async fn what_is_no_http_is_a_problem_too() {
    let service = spawn_service();
    let long = format!("GET /health/live HTTP/1.1\r\nHost: localhost\r\nX-Long: {}\r\n\r\n", "a".repeat(300_000));
    let behind = "GET /health/live HTTP/1.1\r\nHost: localhost\r\n\r\nGET / HTTP/9.9\r\n\r\n";
    for (sent, status, code) in [
        ("nonsense\r\n\r\n", 400, "not_http"),
        ("GET / HTTP/1.1\r\nContent-Length: two\r\n\r\n", 400, "not_http"),
        ("GET / HTTP/1.1\r\nNo colon\r\n\r\n", 400, "not_http"),
        (long.as_str(), 431, "head_too_large"),
        (behind, 400, "not_http"),
    ] {
        let answer = service.raw(sent.as_bytes());
        let last = &answer[answer.rfind("HTTP/1.1 ").unwrap()..];
        let (head, body) = last.split_once("\r\n\r\n").unwrap();
        assert!(head.starts_with(&format!("HTTP/1.1 {status} ")), "{answer}");
        assert!(head.contains("\r\ncontent-type: application/problem+json") && head.contains("\r\ndate: "), "{answer}");
        assert!(head.contains(&format!("\r\ncontent-length: {}\r\n", body.len())), "{answer}");
        let problem: Value = serde_json::from_str(body).unwrap();
        assert_eq!((&problem["status"], problem["code"].as_str()), (&status.into(), Some(code)));
        assert_eq!(answer.contains("\"health\":\"live\""), sent == behind);
    }
}

/// A head that is never ended is told, and its connection ends.
#[tokio::test]
async fn a_head_that_falls_silent_is_told_408() {
    let service = spawn_service();
    let answer = service.raw(b"GET /health/live HTTP/1.1\r\nHost: localhost\r\nX-");
    let (head, body) = answer.split_once("\r\n\r\n").unwrap();
    assert!(head.starts_with("HTTP/1.1 408 "), "{answer}");
    let problem: Value = serde_json::from_str(body).unwrap();
    assert_eq!((&problem["status"], &problem["code"]), (&408.into(), &"stalled".into()));
}

/// A page of a stranger whose name leads to this machine is told nothing, whatever it asks.
#[tokio::test]
async fn an_open_service_is_asked_by_its_own_names_only() {
    let service = spawn_service_with(|settings| settings.hosts = vec!["office.example".to_owned()]);
    let kept = service.post("/v1/quotes", &fixture("chapel")).await;
    let kept = kept.headers()[LOCATION].to_str().unwrap().to_owned();
    for (host, status) in [("evil.example", 421), ("office.example", 200), ("localhost:1", 200), ("127.0.0.1", 200)] {
        for path in [kept.as_str(), "/health/live", "/openapi.json", "/docs/"] {
            let response = service.client.get(service.url(path)).header(HOST, host).send().await.unwrap();
            assert_eq!(response.status(), status, "{host} {path}");
            if status == 421 {
                assert_eq!(problem(response, 421).await["code"], "misdirected");
            }
        }
    }
}

/// Bodies that come in share their room; those for which there is none are turned away, and it is there again once the
/// others are read.
#[tokio::test]
async fn bodies_that_come_in_have_room_together_and_no_more() {
    let service = spawn_service();
    let head = format!(
        "POST /v1/heat-loss HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: {BODY_LIMIT}\r\n\r\n"
    );
    let most = " ".repeat(BODY_LIMIT - 1);
    let hold = || {
        let mut stream = TcpStream::connect(service.address).unwrap();
        // those for whom there is no room are cut off as they send
        let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(most.as_bytes()));
        stream
    };
    let mut held: Vec<TcpStream> = (0..48).map(|_| hold()).collect();
    let whole = [head.as_bytes(), study().to_string().as_bytes()].concat();
    let whole = [whole.as_slice(), " ".repeat(BODY_LIMIT + head.len() - whole.len()).as_bytes()].concat();
    // those that were cut off may have left room for more of them
    let turned_away = (0..100).find_map(|_| {
        held.push(hold());
        Some(service.raw(&whole)).filter(|answer| !answer.starts_with("HTTP/1.1 200 "))
    });
    let turned_away = turned_away.unwrap().to_lowercase();
    // whoever brings little is answered all the same
    let small =
        [head.replace(&BODY_LIMIT.to_string(), &study().to_string().len().to_string()), study().to_string()].concat();
    assert!(service.raw(small.as_bytes()).starts_with("HTTP/1.1 200 "));
    for part in ["http/1.1 503 ", "\r\nretry-after: 1\r\n", "\r\nconnection: close\r\n", "\"code\":\"busy\""] {
        assert!(turned_away.contains(part), "{turned_away}");
    }
    drop(held);
    for _ in 0..500 {
        if service.raw(&whole).starts_with("HTTP/1.1 200 ") {
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("the room of those who have left is still taken");
}

#[tokio::test]
async fn questions_that_would_wait_too_long_are_turned_away_with_503_and_a_time_to_ask_again() {
    let service = spawn_service_with(|settings| settings.times.wait = Duration::ZERO);
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
    assert!(turned_away > 0, "nothing had to wait where 24 questions were asked at once, twenty times");
    assert_eq!(service.post_text("/v1/heat-loss", job).await.status(), 200, "there is a turn again");
}

/// Nobody works on for clients who have left: their places are free long before their answers would have been there.
#[tokio::test]
async fn work_for_clients_who_have_left_ends() {
    let service = spawn_service_with(|settings| {
        settings.times.wait = Duration::ZERO;
        settings.times.quick = Duration::from_mins(1);
    });
    let mut job = study();
    let mut room = job["rooms"]["study"].clone();
    room["emitters"] = (0..8).map(|number| (format!("radiator_{number}"), json!({"kind": "radiator"}))).collect();
    job["rooms"] = (0..200).map(|number| (format!("room_{number}"), room.clone())).collect();
    job["commercial"] = json!({"quote_date": "2026-11-02"});
    let body = job.to_string();
    let request = format!(
        "POST /v1/proposal HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    let places = std::thread::available_parallelism().map_or(2, usize::from);
    let connected = || {
        let mut stream = TcpStream::connect(service.address).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        stream
    };
    let status = async || service.post("/v1/heat-loss", &study()).await.status().as_u16();
    // whoever comes while the question that looks has a place is turned away, and comes again
    let mut clients = Vec::new();
    for _ in 0..50 {
        clients = (0..places).map(|_| connected()).collect();
        tokio::time::sleep(Duration::from_millis(100)).await;
        if status().await == 503 {
            break;
        }
    }
    assert_eq!(status().await, 503, "every place is taken");
    let begun = Instant::now();
    drop(clients);
    while status().await != 200 {
        assert!(begun.elapsed() < Duration::from_secs(20), "they are worked for still");
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    println!("free after {:?}", begun.elapsed());
}
