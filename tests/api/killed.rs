//! The service is killed at random moments while every kind of change is written: what was acknowledged is there.
//!
//! Twenty kills here; `TUNDISH_KILLS=200 cargo test --test api killed` makes it as many as is asked for.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};
use reqwest::header::{CONTENT_TYPE, ETAG, IF_MATCH};
use reqwest::{Client, Method};
use serde_json::{Value, json};

use super::process::{Process, program};

const WRITERS: u64 = 6;
const KILLS: u64 = 20;

/// What a writer knows of a quote.
#[derive(Debug, Clone, Default)]
struct Known {
    /// Bodies that were answered, by revision.
    answered: BTreeMap<u32, String>,
    /// Whether it was deleted, and that was answered.
    is_deleted: bool,
    /// Whether a change was asked for and not answered.
    in_flight: bool,
    /// Whether that was a deletion.
    may_be_deleted: bool,
}

type Quotes = BTreeMap<String, Known>;

/// A small job that can be issued.
fn job(title: &str) -> Value {
    let mut job: Value = serde_json::from_str(include_str!("../../src/http/openapi/annexe.json")).unwrap();
    job["title"] = json!(title);
    job["commercial"]["valid_until"] = json!("2999-12-31");
    job
}

struct Writer {
    client: Client,
    base: String,
    random: ChaCha8Rng,
    quotes: Arc<Mutex<Quotes>>,
}

impl Writer {
    fn below(&mut self, count: u64) -> usize {
        usize::try_from(self.random.next_u64() % count).unwrap()
    }

    /// Changes one quote or makes one; nothing once the service is gone.
    async fn change(&mut self) -> Option<()> {
        let known: Vec<(String, Known)> = self.quotes.lock().unwrap().clone().into_iter().collect();
        let live: Vec<_> = known.into_iter().filter(|(_, known)| !known.is_deleted && !known.in_flight).collect();
        if live.is_empty() || self.below(3) == 0 {
            return self.create().await;
        }
        let (at, known) = live[self.below(live.len() as u64)].clone();
        let (revision, body) = known.answered.last_key_value()?;
        let state = serde_json::from_str::<Value>(body).unwrap()["state"].as_str().unwrap().to_owned();
        let patch = json!({"title": format!("Title {}", self.random.next_u32())}).to_string();
        let merge = Some(("application/merge-patch+json", patch.clone()));
        let (method, target, body) = match (state.as_str(), self.below(6)) {
            ("draft", 0..3) => (Method::PATCH, at.clone(), merge),
            ("draft", 3) => (Method::PUT, at.clone(), Some(("application/json", job("Replaced").to_string()))),
            ("draft", 4) => (Method::POST, format!("{at}/issue"), None),
            ("draft", _) => (Method::DELETE, at.clone(), None),
            ("issued", 0..3) => (Method::POST, format!("{at}/accept"), None),
            ("issued", _) => (Method::POST, format!("{at}/decline"), None),
            ("accepted", _) => (Method::POST, format!("{at}/variations"), merge),
            _ => return Some(()),
        };
        let is_deletion = method == Method::DELETE;
        self.note(&at, |known| (known.in_flight, known.may_be_deleted) = (true, is_deletion));
        let mut request = self.client.request(method, format!("{}{target}", self.base));
        request = request.header(IF_MATCH, format!("\"{revision}\""));
        if let Some((kind, body)) = body {
            request = request.header(CONTENT_TYPE, kind).body(body);
        }
        let response = request.send().await.ok()?;
        let status = response.status().as_u16();
        assert!(status == 200 || status == 204, "{target}: {status}");
        let number = response.headers().get(ETAG).map(|tag| tag.to_str().unwrap().trim_matches('"').parse().unwrap());
        let text = response.text().await.ok()?;
        self.note(&at, |known| {
            known.in_flight = false;
            match number {
                Some(number) => _ = known.answered.insert(number, text),
                None => known.is_deleted = true,
            }
        });
        Some(())
    }

    async fn create(&mut self) -> Option<()> {
        let key = format!("key-{}", self.random.next_u64());
        let request = self.client.post(format!("{}/v1/quotes", self.base)).header("Idempotency-Key", key);
        let request = request.header(CONTENT_TYPE, "application/json").body(job("A new one").to_string());
        let response = request.send().await.ok()?;
        assert_eq!(response.status(), 201);
        let at = response.headers()["location"].to_str().unwrap().to_owned();
        let text = response.text().await.ok()?;
        self.note(&at, |known| _ = known.answered.insert(1, text));
        Some(())
    }

    fn note(&self, at: &str, note: impl FnOnce(&mut Known)) {
        note(self.quotes.lock().unwrap().entry(at.to_owned()).or_default());
    }
}

/// Holds everything that was answered against what is there, and takes down what was written without an answer.
async fn verify(process: &Process, quotes: &Mutex<Quotes>) {
    let known = quotes.lock().unwrap().clone();
    let mut listed = Vec::new();
    let mut target = "/v1/quotes?limit=1000".to_owned();
    loop {
        let page: Value = process.client.get(process.url(&target)).send().await.unwrap().json().await.unwrap();
        listed.extend(page["quotes"].as_array().unwrap().clone());
        let Some(next) = page["next"].as_str() else { break };
        next.clone_into(&mut target);
    }
    for row in &listed {
        let at = format!("/v1/quotes/{}", row["id"].as_str().unwrap());
        let read = process.client.get(process.url(&at)).send().await.unwrap();
        assert_eq!(read.status(), 200, "{at} is listed");
        let quote: Value = read.json().await.unwrap();
        assert_eq!((&quote["revision"], &quote["state"]), (&row["revision"], &row["state"]));
    }
    for (at, mut known) in known {
        let read = process.client.get(process.url(&at)).send().await.unwrap();
        let is_gone = read.status() == 404;
        assert!(!known.is_deleted || is_gone, "{at} was deleted, and that was answered");
        assert!(!is_gone || known.is_deleted || known.may_be_deleted, "{at} is lost");
        known.is_deleted = is_gone;
        if !is_gone {
            let last = *known.answered.last_key_value().unwrap().0;
            for (number, body) in &known.answered {
                let read = process.client.get(process.url(&format!("{at}/revisions/{number}"))).send().await.unwrap();
                assert_eq!((read.status().as_u16(), &read.text().await.unwrap()), (200, body), "{at} {number}");
            }
            let number: u32 = read.headers()[ETAG].to_str().unwrap().trim_matches('"').parse().unwrap();
            assert!(
                number == last || (known.in_flight && number == last + 1),
                "{at} stands at {number}, not at {last}"
            );
            known.answered.insert(number, read.text().await.unwrap());
        }
        (known.in_flight, known.may_be_deleted) = (false, false);
        quotes.lock().unwrap().insert(at, known);
    }
}

#[tokio::test]
async fn what_is_acknowledged_is_there_after_every_kill() {
    let kills = std::env::var("TUNDISH_KILLS").ok().and_then(|kills| kills.parse().ok()).unwrap_or(KILLS);
    let data = tempfile::tempdir().unwrap();
    let all: Vec<Arc<Mutex<Quotes>>> = (0..WRITERS).map(|_| Arc::default()).collect();
    let mut random = ChaCha8Rng::seed_from_u64(27);
    for kill in 0..kills {
        let mut process = Process::serve(program(), data.path());
        // what was in flight is left alone until everything is looked at again
        if kill % 10 == 9 {
            for quotes in &all {
                verify(&process, quotes).await;
            }
        }
        let writers: Vec<_> = (0..WRITERS)
            .zip(&all)
            .map(|(writer, quotes)| {
                let random = ChaCha8Rng::seed_from_u64(kill * WRITERS + writer);
                let (client, base, quotes) = (process.client.clone(), process.base.clone(), quotes.clone());
                let mut writer = Writer { client, base, random, quotes };
                tokio::spawn(async move { while writer.change().await.is_some() {} })
            })
            .collect();
        tokio::time::sleep(Duration::from_millis(50 + random.next_u64() % 250)).await;
        process.kill();
        for writer in writers {
            writer.await.unwrap();
        }
    }
    let process = Process::serve(program(), data.path());
    let mut answered = 0;
    for quotes in &all {
        verify(&process, quotes).await;
        answered += quotes.lock().unwrap().values().map(|known| known.answered.len()).sum::<usize>();
    }
    assert!(answered > 100, "{answered}");
    println!("{answered} acknowledged revisions after {kills} kills");
}
