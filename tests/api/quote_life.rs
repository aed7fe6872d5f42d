//! A quote's life: changed, listed, issued and answered by the client, each step by the tag of the one before.

use reqwest::header::{CONTENT_TYPE, ETAG, IF_MATCH};
use reqwest::{Method, Response};
use serde_json::{Value, json};

use super::helpers::{TestService, faults, fixture, problem, row, spawn_service};

pub const QUOTES: &str = "/v1/quotes";
pub const MERGE: &str = "application/merge-patch+json";
const OPERATIONS: &str = "application/json-patch+json";

fn tag(response: &Response) -> String {
    response.headers()[ETAG].to_str().unwrap().to_owned()
}

pub async fn json_of(response: Response) -> Value {
    response.json().await.unwrap()
}

/// A fixture whose last day is far enough away to be issued whenever this runs.
pub fn job(name: &str) -> Value {
    let mut job = fixture(name);
    job["commercial"]["valid_until"] = json!("2999-12-31");
    job
}

/// Keeps a job: where it can be read.
pub async fn keep(service: &TestService, job: &Value) -> String {
    let response = service.post(QUOTES, job).await;
    assert_eq!(response.status(), 201);
    response.headers()["location"].to_str().unwrap().to_owned()
}

async fn send(
    service: &TestService,
    (method, target): (Method, &str),
    tag: Option<&str>,
    body: Option<(&str, String)>,
) -> Response {
    let mut request = service.client.request(method, service.url(target));
    if let Some(tag) = tag {
        request = request.header(IF_MATCH, tag);
    }
    if let Some((kind, body)) = body {
        request = request.header(CONTENT_TYPE, kind).body(body);
    }
    request.send().await.unwrap()
}

pub async fn patch(
    service: &TestService,
    at: &str,
    tag: &str,
    kind: &str,
    patch: impl std::borrow::Borrow<Value>,
) -> Response {
    send(service, (Method::PATCH, at), Some(tag), Some((kind, patch.borrow().to_string()))).await
}

pub async fn step(service: &TestService, at: &str, step: &str, tag: &str) -> Response {
    send(service, (Method::POST, &format!("{at}/{step}")), Some(tag), None).await
}

#[tokio::test]
async fn every_change_is_a_revision_with_its_proposal() {
    let service = spawn_service();
    let at = keep(&service, &job("terrace")).await;
    let first = json_of(service.get(&at).await).await;
    let changed =
        patch(&service, &at, "\"1\"", MERGE, &json!({"title": "Two rooms", "rooms": {"living": {"height_m": 3.1}}}))
            .await;
    assert_eq!((changed.status().as_u16(), tag(&changed).as_str()), (200, "\"2\""));
    let second = json_of(changed).await;
    assert_eq!((&second["revision"], &second["job"]["title"]), (&json!(2), &json!("Two rooms")));
    assert_eq!(second["job"]["rooms"]["living"]["height_m"], 3.1);
    assert_eq!(second["created_at"], first["created_at"]);
    // the proposal is the one of the patched job
    let asked = json_of(service.post("/v1/proposal", &second["job"]).await).await;
    assert_eq!(second["proposal"], asked);
    assert_ne!(second["proposal"]["heat_loss"], first["proposal"]["heat_loss"]);
    let names = |quote: &Value| quote["job"]["rooms"].as_object().unwrap().keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&second), names(&first), "rooms keep their order");

    let operations = json!([{"op": "test", "path": "/title", "value": "Two rooms"}, {"op": "replace", "path": "/title", "value": "Three"},
        {"op": "remove", "path": "/rooms/living/height_m"}, {"op": "add", "path": "/rooms/living/height_m", "value": 2.4}]);
    let third = json_of(patch(&service, &at, "\"2\"", OPERATIONS, &operations).await).await;
    assert_eq!((&third["revision"], &third["job"]["title"]), (&json!(3), &json!("Three")));

    let other = job("bungalow");
    let fourth = send(&service, (Method::PUT, &at), Some("\"3\""), Some(("application/json", other.to_string()))).await;
    assert_eq!((fourth.status().as_u16(), tag(&fourth).as_str()), (200, "\"4\""));
    assert_eq!(json_of(fourth).await["job"], other);

    for (number, title) in [(1, first["job"]["title"].as_str().unwrap()), (2, "Two rooms"), (3, "Three")] {
        let read = service.get(&format!("{at}/revisions/{number}")).await;
        assert_eq!(tag(&read), format!("\"{number}\""));
        assert_eq!(json_of(read).await["job"]["title"], title);
    }
    assert_eq!(json_of(service.get(&format!("{at}/revisions/1")).await).await, first);
    for none in ["0", "5", "01", "+1", "x", "99999999999"] {
        let response = service.get(&format!("{at}/revisions/{none}")).await;
        assert_eq!(problem(response, 404).await["code"], "no_quote", "{none}");
    }
}

#[tokio::test]
async fn a_change_brings_the_tag_of_what_was_read() {
    let service = spawn_service();
    let at = keep(&service, &job("bungalow")).await;
    let change = || Some((MERGE, json!({"title": "A new one"}).to_string()));
    let refused = send(&service, (Method::PATCH, &at), None, change()).await;
    assert_eq!(problem(refused, 428).await["code"], "no_tag");
    for (tag, says) in [
        ("*", "names no revision"),
        ("W/\"1\"", "not weak"),
        ("1", "in quotes"),
        ("\"2\"", "moved on"),
        ("\"7\", \"9\"", "moved on"),
        ("\"1", "in quotes"),
    ] {
        for (method, target, body) in [
            (Method::PATCH, at.clone(), change()),
            (Method::PUT, at.clone(), Some(("application/json", job("chapel").to_string()))),
            (Method::DELETE, at.clone(), None),
            (Method::POST, format!("{at}/issue"), None),
            (Method::POST, format!("{at}/accept"), None),
        ] {
            let refused = problem(send(&service, (method, &target), Some(tag), body).await, 412).await;
            let detail = refused["detail"].as_str().unwrap();
            assert!(refused["code"] == "stale" && detail.contains(says), "{tag}: {detail}");
        }
    }
    assert_eq!(json_of(service.get(&at).await).await["revision"], 1, "nothing was changed");
    let changed = patch(&service, &at, "\"9\", \"1\"", MERGE, &json!({"title": "A new one"})).await;
    assert_eq!(changed.status(), 200);
    // of two who read the same, one is told
    let (one, other) = tokio::join!(
        patch(&service, &at, "\"2\"", MERGE, json!({"title": "One"})),
        patch(&service, &at, "\"2\"", MERGE, json!({"title": "Other"}))
    );
    let mut statuses = [one.status().as_u16(), other.status().as_u16()];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 412]);
    let nobody = "/v1/quotes/01890a5d-ac96-774b-bcce-b302099a8057";
    assert_eq!(problem(patch(&service, nobody, "\"1\"", MERGE, &json!({})).await, 404).await["code"], "no_quote");
}

#[tokio::test]
async fn a_patch_that_makes_a_fault_is_told_at_its_place_in_the_patched_job() {
    let service = spawn_service();
    let at = keep(&service, &job("bungalow")).await;
    let refused = patch(
        &service,
        &at,
        "\"1\"",
        MERGE,
        json!({"rooms": {"hall": {"floor_area_m2": -1, "colour": "red"}}, "title": 7}),
    );
    let refused = problem(refused.await, 422).await;
    assert_eq!(refused["detail"], "the patched job has 3 faults, at places of that job");
    for fault in
        [("/rooms/hall/floor_area_m2", "too_small"), ("/rooms/hall/colour", "unknown_field"), ("/title", "wrong_type")]
    {
        assert!(faults(&refused).contains(&fault), "{refused}");
    }
    let gone = problem(patch(&service, &at, "\"1\"", MERGE, &json!({"rooms": null})).await, 422).await;
    assert_eq!(faults(&gone), [("", "missing_field")]);
    let operations = json!([{"op": "remove", "path": "/title"}, {"op": "remove", "path": "/nothing"}]);
    let refused = problem(patch(&service, &at, "\"1\"", OPERATIONS, &operations).await, 422).await;
    assert_eq!(faults(&refused), [("/1", "patch_not_applied")]);
    // a list is no merge patch of a job, and an object no list of operations
    assert_eq!(
        faults(&problem(patch(&service, &at, "\"1\"", MERGE, &operations).await, 422).await),
        [("", "wrong_type")]
    );
    assert_eq!(
        faults(&problem(patch(&service, &at, "\"1\"", OPERATIONS, &json!({})).await, 422).await),
        [("", "patch_not_applied")]
    );
    for (text, code) in [("{\"title\": 1, \"title\": 2}", "duplicate_key"), ("{\"title\":", "not_json")] {
        let refused = send(&service, (Method::PATCH, &at), Some("\"1\""), Some((MERGE, text.to_owned()))).await;
        assert_eq!(faults(&problem(refused, 400).await)[0].1, code);
    }
    let typed = send(&service, (Method::PATCH, &at), Some("\"1\""), Some(("application/json", "{}".to_owned()))).await;
    assert_eq!(typed.headers()["accept-patch"], "application/merge-patch+json, application/json-patch+json");
    problem(typed, 415).await;
    let undated = json!({"commercial": {"quote_date": null}});
    let refused = problem(patch(&service, &at, "\"1\"", MERGE, &undated).await, 422).await;
    assert_eq!(faults(&refused), [("/commercial", "missing_field")]);
    assert_eq!(tag(&service.get(&at).await), "\"1\"");
}

#[tokio::test]
async fn what_can_follow_follows_and_nothing_else() {
    let service = spawn_service();
    let job = job("terrace");
    let at = keep(&service, &job).await;
    for early in ["accept", "decline"] {
        let refused = problem(step(&service, &at, early, "\"1\"").await, 409).await;
        assert_eq!(
            (&refused["code"], refused["detail"].as_str().unwrap().contains("only what is issued")),
            (&json!("wrong_state"), true)
        );
    }
    let issued = step(&service, &at, "issue", "\"1\"").await;
    assert_eq!((issued.status().as_u16(), tag(&issued).as_str()), (200, "\"2\""));
    let issued = json_of(issued).await;
    assert_eq!(issued["state"], "issued");
    let frozen = &issued["issued"];
    assert_eq!((&frozen["valid_until"], &frozen["accept_unmet"]), (&json!("2999-12-31"), &json!(false)));
    for digest in ["job", "proposal", "price_book", "catalogue"] {
        assert_eq!(frozen["digests"][digest].as_str().unwrap().len(), 64, "{digest}");
    }
    assert_eq!(frozen["digests"]["job"], sha256(&job.to_string()));
    assert_eq!(frozen["digests"]["catalogue"], tundish::catalogue::digest::shipped());
    // what is issued stays as it is
    for refused in [
        patch(&service, &at, "\"2\"", MERGE, &json!({"title": "late"})).await,
        send(&service, (Method::PUT, &at), Some("\"2\""), Some(("application/json", job.to_string()))).await,
        send(&service, (Method::DELETE, &at), Some("\"2\""), None).await,
        step(&service, &at, "issue", "\"2\"").await,
    ] {
        let refused = problem(refused, 409).await;
        assert!(
            refused["detail"].as_str().unwrap().starts_with("the quote is issued; only what is draft can be "),
            "{refused}"
        );
    }
    let accepted = json_of(step(&service, &at, "accept", "\"2\"").await).await;
    assert_eq!((&accepted["state"], &accepted["revision"]), (&json!("accepted"), &json!(3)));
    assert!(accepted["accepted_at"].is_string());
    for member in ["job", "proposal", "issued", "program", "created_at"] {
        assert_eq!(accepted[member], issued[member], "{member}");
    }
    assert_eq!(problem(step(&service, &at, "decline", "\"3\"").await, 409).await["code"], "wrong_state");

    let declined = keep(&service, &job).await;
    step(&service, &declined, "issue", "\"1\"").await;
    let quote = json_of(step(&service, &declined, "decline", "\"2\"").await).await;
    assert_eq!(quote["state"], "declined");
    let refused = problem(step(&service, &declined, "issue", "\"3\"").await, 409).await;
    assert_eq!(refused["detail"], "the quote is declined; only what is draft can be issued");
}

fn sha256(text: &str) -> String {
    use sha2::Digest as _;
    sha2::Sha256::digest(text).iter().fold(String::new(), |hex, byte| hex + &format!("{byte:02x}"))
}

#[tokio::test]
async fn what_is_not_complete_is_issued_only_when_that_is_accepted() {
    let service = spawn_service();
    let mut job = job("terrace");
    // a radiator that fits nowhere
    job["rooms"]["kitchen"]["emitters"]["rad"]["fit"] = json!({"length_max_mm": 300, "height_max_mm": 300});
    let at = keep(&service, &job).await;
    let quote = json_of(service.get(&at).await).await;
    assert_eq!(quote["proposal"]["price"]["complete"], false);
    let refused = problem(step(&service, &at, "issue", "\"1\"").await, 409).await;
    assert!(
        refused["code"] == "not_complete" && refused["detail"].as_str().unwrap().contains("no_radiator"),
        "{refused}"
    );
    let say = |text: &str| Some(("application/json", text.to_owned()));
    let target = format!("{at}/issue");
    let wrong =
        send(&service, (Method::POST, &target), Some("\"1\""), say("{\"accept_unmet\": 1, \"colour\": 2}")).await;
    assert_eq!(faults(&problem(wrong, 422).await), [("/accept_unmet", "wrong_type"), ("/colour", "unknown_field")]);
    let issued = send(&service, (Method::POST, &target), Some("\"1\""), say("{\"accept_unmet\": true}")).await;
    assert_eq!(json_of(issued).await["issued"]["accept_unmet"], true);
    // where nothing is unmet, nothing was accepted
    let whole = keep(&service, &self::job("chapel")).await;
    let target = format!("{whole}/issue");
    let issued = send(&service, (Method::POST, &target), Some("\"1\""), say("{\"accept_unmet\": true}")).await;
    assert_eq!(json_of(issued).await["issued"]["accept_unmet"], false);
}

#[tokio::test]
async fn a_quote_lapses_by_its_last_day_and_is_found_as_such() {
    let service = spawn_service();
    let today = jiff::Timestamp::now().in_tz("Europe/London").unwrap().date();
    let mut job = job("bungalow");
    job["commercial"]["quote_date"] = json!("2026-01-05");
    job["commercial"]["valid_until"] = json!("2026-02-04");
    job["commercial"]["programme_start"] = json!("2026-03-02");
    job["commercial"].as_object_mut().unwrap().shift_remove("stage_payments");
    let at = keep(&service, &job).await;
    let refused = problem(step(&service, &at, "issue", "\"1\"").await, 409).await;
    assert!(
        refused["code"] == "over_already" && refused["detail"].as_str().unwrap().contains("2026-02-04"),
        "{refused}"
    );
    let last = json!({"commercial": {"valid_until": today.to_string()}});
    patch(&service, &at, "\"1\"", MERGE, &last).await;
    let issued = json_of(step(&service, &at, "issue", "\"2\"").await).await;
    assert_eq!((&issued["state"], &issued["issued"]["valid_until"]), (&json!("issued"), &json!(today.to_string())));
    let listed = |state: &'static str| {
        let service = &service;
        async move {
            json_of(service.get(&format!("{QUOTES}?state={state}")).await).await["quotes"].as_array().unwrap().len()
        }
    };
    assert_eq!((listed("issued").await, listed("lapsed").await, listed("draft").await), (1, 0, 0));
    // without a word of it, thirty days from the quote
    let mut silent = self::job("bungalow");
    silent["commercial"].as_object_mut().unwrap().shift_remove("valid_until");
    silent["commercial"]["quote_date"] = json!("2026-11-02");
    let proposal = json_of(service.post("/v1/proposal", &silent).await).await;
    assert_eq!(proposal["price"]["valid_until"], "2026-12-02");
    let told = row(&proposal["notes"]["assumptions"], "code", "valid_until");
    assert_eq!(told["detail"], "the quote can be accepted until 2026-12-02, 30 days after its date");
    silent["commercial"]["valid_until"] = json!("2026-11-01");
    let refused = problem(service.post("/v1/price", &silent).await, 422).await;
    assert_eq!(faults(&refused), [("/commercial/valid_until", "valid_before_quote")]);
}

#[tokio::test]
async fn a_draft_is_deleted_and_gone() {
    let service = spawn_service();
    let at = keep(&service, &job("bungalow")).await;
    let deleted = send(&service, (Method::DELETE, &at), Some("\"1\""), None).await;
    assert_eq!((deleted.status().as_u16(), deleted.text().await.unwrap()), (204, String::new()));
    for gone in [at.clone(), format!("{at}/revisions/1"), format!("{at}/revisions/2")] {
        assert_eq!(problem(service.get(&gone).await, 404).await["code"], "no_quote", "{gone}");
    }
    for tag in ["\"1\"", "\"2\""] {
        assert_eq!(
            problem(send(&service, (Method::DELETE, &at), Some(tag), None).await, 404).await["code"],
            "no_quote"
        );
    }
    assert_eq!(json_of(service.get(QUOTES).await).await, json!({"quotes": []}));
}
