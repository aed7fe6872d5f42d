//! `POST /v1/quotes`, `GET /v1/quotes/{id}`: what is acknowledged is kept, and nothing else.

use std::path::Path;

use reqwest::header::{CONTENT_TYPE, ETAG, IF_NONE_MATCH, LOCATION};
use reqwest::{Client, Response};
use serde_json::Value;

use super::helpers::{TestService, faults, fixture, problem, spawn_service, spawn_service_with};
use super::process::{Process, program};

const QUOTES: &str = "/v1/quotes";

fn spawn_on(data: &Path) -> TestService {
    spawn_service_with(|settings| data.clone_into(&mut settings.data_dir))
}

fn header(response: &Response, name: reqwest::header::HeaderName) -> String {
    response.headers()[name].to_str().unwrap().to_owned()
}

/// Keeps a job: where it can be read, and the body that said so.
async fn keep(client: &Client, url: String, job: &Value) -> (String, String) {
    let request = client.post(url).header(CONTENT_TYPE, "application/json").body(job.to_string());
    let response = request.send().await.unwrap();
    assert_eq!(response.status(), 201);
    (header(&response, LOCATION), response.text().await.unwrap())
}

/// The parts of what a quote says of its program: version, commit where it is known, digest of the catalogue.
fn parts(program: &str) -> (&str, Option<&str>, &str) {
    let (version, metadata) = program.split_once('+').unwrap();
    match metadata.split('.').collect::<Vec<_>>()[..] {
        ["commit", commit, "catalogue", digest] => (version, Some(commit), digest),
        ["catalogue", digest] => (version, None, digest),
        _ => panic!("{program}"),
    }
}

#[tokio::test]
async fn a_quote_names_version_commit_and_catalogue_of_its_program() {
    let mut told = Vec::new();
    for service in [spawn_service(), spawn_service()] {
        let (_, body) = keep(&service.client, service.url(QUOTES), &fixture("terrace")).await;
        let quote: Value = serde_json::from_str(&body).unwrap();
        told.push(quote["program"].as_str().unwrap().to_owned());
    }
    // a program of its own, with another memory
    let data = tempfile::tempdir().unwrap();
    let process = Process::serve(program(), data.path());
    let (_, body) = keep(&process.client, format!("{}{QUOTES}", process.base), &fixture("chapel")).await;
    told.push(serde_json::from_str::<Value>(&body).unwrap()["program"].as_str().unwrap().to_owned());
    assert!(told.iter().all(|program| *program == told[0]), "{told:?}");

    let (version, commit, digest) = parts(&told[0]);
    assert_eq!(version, env!("CARGO_PKG_VERSION"));
    assert_eq!(Some(digest), tundish::catalogue::digest::shipped().get(..12));
    let is_hex = |text: &str| text.len() == 12 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
    assert!(is_hex(digest) && commit.is_none_or(is_hex), "{told:?}");
}

#[tokio::test]
async fn a_job_and_its_proposal_are_kept_as_they_were_sent_and_answered() {
    let service = spawn_service();
    // blanks, an odd order and a null are kept as they are; a byte order mark is no part of the text
    let mut job = fixture("terrace");
    job["reference"] = Value::Null;
    let sent = format!("\u{feff}{job:#}\n");
    let response = service.post_text(QUOTES, sent.clone()).await;
    assert_eq!(response.status(), 201);
    assert_eq!(
        (header(&response, ETAG).as_str(), header(&response, CONTENT_TYPE).as_str()),
        ("\"1\"", "application/json")
    );
    let location = header(&response, LOCATION);
    let body = response.text().await.unwrap();
    let quote: Value = serde_json::from_str(&body).unwrap();
    assert_eq!(location, format!("/v1/quotes/{}", quote["id"].as_str().unwrap()));
    assert_eq!((&quote["revision"], &quote["state"]), (&1.into(), &"draft".into()));
    assert_eq!(quote["program"], tundish::quotes::program());
    assert!(body.contains(sent.trim_start_matches('\u{feff}').trim()), "the job is not as it was sent");
    let proposal = service.post_text("/v1/proposal", sent).await.text().await.unwrap();
    assert!(body.contains(&proposal), "the proposal is not as it is answered");

    let read = service.get(&location).await;
    assert_eq!((read.status().as_u16(), header(&read, ETAG).as_str()), (200, "\"1\""));
    assert_eq!(read.text().await.unwrap(), body);
    let head = service.client.head(service.url(&location)).send().await.unwrap();
    assert_eq!((head.status().as_u16(), header(&head, ETAG).as_str()), (200, "\"1\""));
    assert_eq!(header(&head, reqwest::header::CONTENT_LENGTH), body.len().to_string());
}

#[tokio::test]
async fn who_holds_the_revision_already_is_told_so() {
    let service = spawn_service();
    let (location, _) = keep(&service.client, service.url(QUOTES), &fixture("bungalow")).await;
    for (held, status) in
        [("\"1\"", 304), ("W/\"1\"", 304), ("\"7\", \"1\"", 304), ("*", 304), ("\"2\"", 200), ("1", 200)]
    {
        let response = service.client.get(service.url(&location)).header(IF_NONE_MATCH, held).send().await.unwrap();
        assert_eq!(response.status(), status, "{held}");
        assert_eq!(header(&response, ETAG), "\"1\"", "{held}");
        assert_eq!(response.text().await.unwrap().is_empty(), status == 304, "{held}");
    }
}

#[tokio::test]
async fn a_quote_is_there_after_a_restart_and_after_a_kill() {
    let data = tempfile::tempdir().unwrap();
    let service = spawn_on(data.path());
    let mut kept = vec![keep(&service.client, service.url(QUOTES), &fixture("terrace")).await];
    drop(service);
    for job in ["chapel", "bungalow"] {
        let mut process = Process::serve(program(), data.path());
        for (location, body) in &kept {
            let read = process.client.get(process.url(location)).send().await.unwrap();
            assert_eq!(&read.text().await.unwrap(), body);
        }
        kept.push(keep(&process.client, process.url(QUOTES), &fixture(job)).await);
        process.kill();
    }
    let service = spawn_on(data.path());
    for (location, body) in &kept {
        assert_eq!(&service.get(location).await.text().await.unwrap(), body);
    }
}

#[tokio::test]
async fn quotes_made_at_once_get_ids_of_their_own() {
    let service = spawn_service();
    let job = fixture("bungalow");
    let kept = futures_util::future::join_all((0..16).map(|_| keep(&service.client, service.url(QUOTES), &job))).await;
    let ids: std::collections::BTreeSet<&str> = kept.iter().map(|(location, _)| location.as_str()).collect();
    assert_eq!(ids.len(), 16);
    for (location, body) in &kept {
        assert_eq!(&service.get(location).await.text().await.unwrap(), body);
    }
}

#[tokio::test]
async fn what_is_not_there_is_not_found() {
    let service = spawn_service();
    let (location, _) = keep(&service.client, service.url(QUOTES), &fixture("bungalow")).await;
    let id = location.strip_prefix("/v1/quotes/").unwrap();
    for id in [
        "01890a5d-ac96-774b-bcce-b302099a8057".to_owned(),
        id.to_uppercase(),
        id.replace('-', ""),
        format!("urn:uuid:{id}"),
        "7".to_owned(),
        "%00".to_owned(),
        "..".to_owned(),
    ] {
        let response = service.get(&format!("/v1/quotes/{id}")).await;
        let code = &problem(response, 404).await["code"];
        assert!(code == "no_quote" || (id == ".." && code == "not_found"), "{id}: {code}");
    }
    for (target, allowed) in [
        (&location[..], "GET, HEAD, PUT, PATCH, DELETE, OPTIONS"),
        (QUOTES, "GET, HEAD, POST, OPTIONS"),
        (&format!("{location}/issue"), "POST, OPTIONS"),
        (&format!("{location}/revisions/1"), "GET, HEAD, OPTIONS"),
    ] {
        let refused = service.client.request(reqwest::Method::TRACE, service.url(target)).send().await.unwrap();
        assert_eq!(header(&refused, reqwest::header::ALLOW), allowed);
        problem(refused, 405).await;
    }
}

/// Titles of what a store has a record of.
fn on_disk(data: &Path) -> Vec<String> {
    let journal = std::fs::read_to_string(data.join("journal")).unwrap();
    let title = |line: &str| serde_json::from_str::<Value>(line).unwrap()["card"]["title"].as_str().unwrap().to_owned();
    journal.lines().map(title).collect()
}

#[tokio::test]
async fn of_a_job_with_faults_nothing_is_kept() {
    let data = tempfile::tempdir().unwrap();
    let service = spawn_on(data.path());
    let marked = |mark: &str| {
        let mut job = fixture("bungalow");
        job["title"] = mark.into();
        job
    };
    keep(&service.client, service.url(QUOTES), &marked("mark-of-the-good-one")).await;
    let mut bad = marked("mark-of-a-bad-one");
    bad["rooms"]["hall"]["floor_area_m2"] = (-1).into();
    let refused = problem(service.post(QUOTES, &bad).await, 422).await;
    assert!(faults(&refused).contains(&("/rooms/hall/floor_area_m2", "too_small")), "{refused}");
    let mut undated = marked("mark-of-a-bad-one");
    undated["commercial"].as_object_mut().unwrap().remove("quote_date");
    let refused = problem(service.post(QUOTES, &undated).await, 422).await;
    assert_eq!(faults(&refused), [("/commercial", "missing_field")]);
    let good = marked("mark-of-a-bad-one");
    let refused = problem(service.post("/v1/quotes?workings=true", &good).await, 400).await;
    assert_eq!(refused["errors"][0]["parameter"], "workings");
    problem(service.post_text(QUOTES, good.to_string().split_off(1)).await, 400).await;
    drop(service);
    assert_eq!(on_disk(data.path()), ["mark-of-the-good-one"]);
}

#[tokio::test]
async fn reading_takes_no_parameters() {
    let service = spawn_service();
    let (location, _) = keep(&service.client, service.url(QUOTES), &fixture("bungalow")).await;
    let refused = problem(service.get(&format!("{location}?revision=1")).await, 400).await;
    assert_eq!(refused["errors"][0]["parameter"], "revision");
}

/// A disk that takes no more: refused, named as the store's, and told by `/health/ready`; nothing half kept.
#[cfg(unix)]
#[tokio::test]
async fn a_store_that_cannot_write_is_told_and_never_acknowledges() {
    let data = tempfile::tempdir().unwrap();
    let job = fixture("chapel");
    let mut process = Process::serve(super::process::program_with_small_files(2 * 1024), data.path());
    let mut kept = Vec::new();
    let refused = loop {
        let request = process.client.post(process.url(QUOTES)).header(CONTENT_TYPE, "application/json");
        let response = request.body(job.to_string()).send().await.unwrap();
        if response.status() != 201 {
            break response;
        }
        kept.push((header(&response, LOCATION), response.text().await.unwrap()));
        assert!(kept.len() < 100, "a megabyte holds no hundred quotes");
    };
    assert!(!kept.is_empty());
    assert_eq!(problem(refused, 507).await["code"], "disk_full");
    let ready = process.client.get(process.url("/health/ready")).send().await.unwrap();
    assert_eq!(problem(ready, 507).await["code"], "disk_full");
    // what is kept can be read, from the journal where the working copy could not follow
    for (location, body) in &kept {
        let read = process.client.get(process.url(location)).send().await.unwrap();
        assert_eq!(&read.text().await.unwrap(), body);
    }
    let live = process.client.get(process.url("/health/live")).send().await.unwrap();
    assert_eq!(live.status(), 200);
    // design needs no store
    let request = process.client.post(process.url("/v1/price")).header(CONTENT_TYPE, "application/json");
    assert_eq!(request.body(job.to_string()).send().await.unwrap().status(), 200);
    process.kill();
    // with room on the disk again, everything that was acknowledged is there
    let service = spawn_on(data.path());
    for (location, body) in &kept {
        assert_eq!(&service.get(location).await.text().await.unwrap(), body);
    }
}
