//! The problems that each operation is said to answer with: exactly those that it is seen to send, with their headers.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use reqwest::header::{AUTHORIZATION, CONTENT_TYPE, HOST, IF_MATCH};
use reqwest::{Method, Response};
use serde_json::Value;
use tokio::task::JoinSet;
use tundish::http::openapi_document;

use super::helpers::{TestService, fixture, spawn_service, spawn_service_with};

const KEY: &str = "0123456789abcdef0123456789abcdef";

/// Statuses that no request can bring about: they are held where they arise.
const FROM_WITHIN: [(u16, &str); 1] = [(500, "a panic, in the tests of `src/http/edge.rs`")];

/// Operations that answer with a status which is brought about elsewhere.
const ELSEWHERE: [(&[&str], u16, &str); 3] = [
    (
        &[
            "read_quote",
            "read_quote_revision",
            "list_quotes",
            "delete_quote",
            "compare_quote_revisions",
            "health_ready",
        ],
        503,
        "a service that stops, in `work/tests.rs`",
    ),
    (
        &[
            "create_quote",
            "replace_quote",
            "patch_quote",
            "delete_quote",
            "issue_quote",
            "accept_quote",
            "decline_quote",
            "vary_quote",
            "health_ready",
        ],
        507,
        "a full disk, in `quotes.rs`",
    ),
    (&["create_quote"], 409, "a key that is in hand, in `asked_twice.rs`"),
];

/// One operation.
struct Operation {
    id: String,
    method: Method,
    path: String,
    /// Type and text of a body that it takes.
    body: Option<(String, String)>,
    /// Whether it needs the tag of what was read.
    is_conditional: bool,
    problems: BTreeMap<u16, Value>,
}

fn operations(document: &Value) -> Vec<Operation> {
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let content = operation.pointer("/requestBody/content").and_then(Value::as_object);
            let body = content.and_then(|content| content.iter().next()).map(|(kind, content)| {
                let example = content["examples"].as_object().and_then(|examples| examples.values().next());
                (kind.clone(), example.map_or_else(|| "{}".to_owned(), |example| example["value"].to_string()))
            });
            let parameters = operation["parameters"].as_array().into_iter().flatten();
            let is_conditional = parameters.into_iter().any(|parameter| parameter["name"] == "If-Match");
            let method = method.to_uppercase().parse().unwrap();
            let problems = operation["responses"].as_object().unwrap().iter().filter_map(|(status, response)| {
                let place = response["$ref"].as_str()?.trim_start_matches('#');
                Some((status.parse().unwrap(), document.pointer(place).unwrap().clone()))
            });
            let id = operation["operationId"].as_str().unwrap().to_owned();
            let problems = problems.collect();
            found.push(Operation { id, method, path: path.clone(), body, is_conditional, problems });
        }
    }
    found
}

/// Holds an answer against what is said of it, and takes its status down.
async fn seen(operation: &Operation, response: Response, seen: &mut BTreeSet<u16>) {
    let status = response.status().as_u16();
    let said = operation.problems.get(&status);
    let said = said.unwrap_or_else(|| panic!("{} answers {status}, which it is not said to", operation.id));
    let sent =
        ["retry-after", "www-authenticate", "allow", "accept-patch"].map(|name| response.headers().contains_key(name));
    let told =
        ["Retry-After", "WWW-Authenticate", "Allow", "Accept-Patch"].map(|name| said["headers"].get(name).is_some());
    assert_eq!(sent, told, "{} {status}", operation.id);
    assert_eq!(response.headers()[CONTENT_TYPE], "application/problem+json");
    let problem: Value = response.json().await.unwrap();
    let examples = said["content"]["application/problem+json"]["examples"].as_object().unwrap();
    // what faults there are hangs on what was sent; all else is as it stands there
    let alike = |example: &&Value| match status {
        400 | 409 | 422 => example["value"]["code"] == problem["code"],
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
async fn turned_away(service: &TestService, operation: &Operation, target: &str) -> Response {
    for _ in 0..1000 {
        let response = operation.ask(service, target, &Brought::default()).await;
        if response.status() == 503 {
            return response;
        }
    }
    panic!("{target} was answered a thousand times by a service with no time to wait and other work to do");
}

/// What a question brings, where that is not what it should.
#[derive(Clone, Default)]
struct Brought {
    without_key: bool,
    tag: Option<&'static str>,
    kind: Option<&'static str>,
    text: Option<String>,
    host: Option<&'static str>,
}

impl Operation {
    async fn ask(&self, service: &TestService, target: &str, brought: &Brought) -> Response {
        let mut request = service.client.request(self.method.clone(), service.url(target));
        if !brought.without_key {
            request = request.header(AUTHORIZATION, format!("Bearer {KEY}"));
        }
        if let Some(host) = brought.host {
            request = request.header(HOST, host);
        }
        if let Some(tag) = brought.tag {
            request = request.header(IF_MATCH, tag);
        }
        if let Some((kind, text)) = &self.body {
            let text = brought.text.as_ref().unwrap_or(text).clone();
            request = request.header(CONTENT_TYPE, brought.kind.unwrap_or(kind)).body(text);
        }
        request.send().await.unwrap()
    }

    /// What a body that the operation does not take is wrong in.
    fn wrong_bodies(&self) -> Vec<Brought> {
        let text = |text: String| Brought { text: Some(text), tag: Some("\"1\""), ..Brought::default() };
        if self.body.is_none() {
            return Vec::new();
        }
        let faulty = if self.method == Method::PATCH { "{\"rooms\": 1}" } else { "{\"colour\": 1}" };
        let typed = Brought { kind: Some("text/plain"), ..text("{}".to_owned()) };
        vec![text("{\"schema\": 1,".to_owned()), text(faulty.to_owned()), typed, text(" ".repeat(2 * 1024 * 1024 + 1))]
    }
}

/// Keeps a job that can be issued: its path, and what the operation's path is for it.
async fn keep(service: &TestService) -> String {
    let mut job = fixture("bungalow");
    job["commercial"]["valid_until"] = "2999-12-31".into();
    let request = service.client.post(service.url("/v1/quotes")).header(AUTHORIZATION, format!("Bearer {KEY}"));
    let kept = request.header(CONTENT_TYPE, "application/json").body(job.to_string()).send().await.unwrap();
    kept.headers()["location"].to_str().unwrap().strip_prefix("/v1/quotes/").unwrap().to_owned()
}

/// The statuses of answers to senders that all fall silent at once, by operation: each connection takes a second to end.
fn of_silence(service: &TestService, operations: &[Operation]) -> BTreeMap<String, u16> {
    std::thread::scope(|scope| {
        let asked = operations.iter().filter_map(|Operation { id, method, path, body, .. }| {
            let (kind, _) = body.as_ref()?;
            let head = format!(
                "{method} {path} HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer {KEY}\r\nContent-Type: {kind}\r\nContent-Length: 9\r\n\r\n{{"
            );
            Some((id.clone(), scope.spawn(move || service.raw(head.as_bytes()))))
        });
        let asked: Vec<_> = asked.collect();
        let answers = asked.into_iter().map(|(id, answer)| {
            let answer = answer.join().unwrap();
            assert!(answer.contains("application/problem+json") && answer.contains("\"code\":\"stalled\""), "{answer}");
            (id, answer.split(' ').nth(1).unwrap().parse().unwrap())
        });
        answers.collect()
    })
}

#[tokio::test]
async fn every_operation_sends_exactly_the_problems_that_it_is_said_to() {
    let document = openapi_document();
    let (service, busy) = (locked(Duration::from_mins(1)), locked(Duration::ZERO));
    let open = spawn_service();
    let (draft, issued, accepted) = (keep(&service).await, keep(&service).await, keep(&service).await);
    for (id, step, tag) in [(&issued, "issue", "\"1\""), (&accepted, "issue", "\"1\""), (&accepted, "accept", "\"2\"")]
    {
        let taken = service.client.post(service.url(&format!("/v1/quotes/{id}/{step}"))).header(IF_MATCH, tag);
        let taken = taken.header(AUTHORIZATION, format!("Bearer {KEY}")).send().await.unwrap();
        assert_eq!(taken.status(), 200, "{step}");
    }
    let other_work = keep_busy(&busy);
    let mut listed = 0;
    let operations = operations(&document);
    let silent = of_silence(&service, &operations);
    for operation in &operations {
        let of = |id: &str| operation.path.replace("{id}", id).replace("{revision}", "1");
        let (nobodys, path) = (of("01890a5d-ac96-774b-bcce-b302099a8057"), of(&draft));
        let tagged = |tag| Brought { tag: Some(tag), ..Brought::default() };
        let (right, wrong, none) = (tagged("\"1\""), tagged("\"99\""), Brought::default());
        let mut found = BTreeSet::new();
        let long = format!("{path}?{}", "a".repeat(8 * 1024));
        seen(operation, operation.ask(&service, &long, &none).await, &mut found).await;
        let misled = Brought { host: Some("evil.example"), ..Brought::default() };
        seen(operation, operation.ask(&open, &path, &misled).await, &mut found).await;
        if path.starts_with("/v1/") {
            let without_key = Brought { without_key: true, ..Brought::default() };
            seen(operation, operation.ask(&service, &path, &without_key).await, &mut found).await;
            let target = format!("{path}?no_such_parameter=1");
            seen(operation, operation.ask(&service, &target, &right).await, &mut found).await;
        }
        for wrong in operation.wrong_bodies() {
            seen(operation, operation.ask(&service, &path, &wrong).await, &mut found).await;
        }
        if operation.id == "vary_quote" {
            let faulty = Brought { text: Some("{\"rooms\": 1}".to_owned()), ..tagged("\"3\"") };
            seen(operation, operation.ask(&service, &of(&accepted), &faulty).await, &mut found).await;
        }
        found.extend(silent.get(&operation.id));
        if operation.problems.contains_key(&408)
            || ["accept_quote", "decline_quote", "prove_quote"].contains(&operation.id.as_str())
        {
            seen(operation, turned_away(&busy, operation, &path).await, &mut found).await;
        }
        if operation.path.contains("{id}") {
            let query = if operation.id == "compare_quote_revisions" { "?from=1&to=1" } else { "" };
            let target = format!("{nobodys}{query}");
            seen(operation, operation.ask(&service, &target, &right).await, &mut found).await;
        }
        if operation.id == "prove_quote" {
            // what is a draft was not issued
            seen(operation, operation.ask(&service, &path, &none).await, &mut found).await;
        }
        if operation.is_conditional {
            seen(operation, operation.ask(&service, &path, &none).await, &mut found).await;
            seen(operation, operation.ask(&service, &path, &wrong).await, &mut found).await;
            // what was issued is no draft, and a draft was not issued
            let (target, tag) = if ["accept_quote", "decline_quote", "vary_quote"].contains(&operation.id.as_str()) {
                (path.clone(), right.clone())
            } else {
                (of(&issued), tagged("\"2\""))
            };
            let told = operation.ask(&service, &target, &tag).await;
            seen(operation, told, &mut found).await;
        }
        found.extend(
            ELSEWHERE.iter().filter(|(ids, ..)| ids.contains(&operation.id.as_str())).map(|(_, status, _)| *status),
        );
        found.extend(FROM_WITHIN.map(|(status, _)| status));
        let said: BTreeSet<u16> = operation.problems.keys().copied().collect();
        assert_eq!(found, said, "{}", operation.id);
        listed += said.len();
    }
    drop(other_work);
    assert!(listed > 100, "{listed}");
}
