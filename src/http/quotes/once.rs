//! `Idempotency-Key`: a question that is asked twice is done once.

use std::collections::HashSet;
use std::sync::{Arc, Mutex, PoisonError};

use actix_web::HttpRequest;
use actix_web::http::header::{HeaderMap, IF_MATCH};
use jiff::{SignedDuration, Timestamp};
use uuid::Uuid;

use crate::catalogue::digest;
use crate::http::error::QuoteProblem;
use crate::store::{Once, Store};

/// How long an answer is kept for its key.
const KEPT: SignedDuration = SignedDuration::from_hours(24);
/// Longest key, in characters.
const LONGEST: usize = 255;
const NAME: &str = "Idempotency-Key";

/// What stands in the published document.
pub(super) const TOLD: &str = "A key of the asker's, in quotes or not: for 24 hours the same question with the same key is done once, and answered as it was then";

/// Keys of questions that are worked on.
#[derive(Debug, Clone, Default)]
pub struct InHand(Arc<Mutex<HashSet<String>>>);

/// A key while its question is worked on.
#[derive(Debug)]
pub(super) struct Held {
    all: InHand,
    key: String,
}

impl Drop for Held {
    fn drop(&mut self) {
        self.all.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&self.key);
    }
}

/// A question that may be asked twice.
#[derive(Debug)]
pub(super) enum Asked {
    /// For the first time, or without a key.
    New {
        /// What the store keeps beside the answer.
        once: Option<Once>,
        /// Dropped once it is answered.
        held: Option<Held>,
    },
    /// Once more: what it wrote.
    Again(Uuid, u32),
}

impl Asked {
    /// Looks whether a question was asked before.
    pub(super) fn of(
        request: &HttpRequest,
        body: &[u8],
        store: &Store,
        in_hand: &InHand,
    ) -> Result<Self, QuoteProblem> {
        let Some(key) = key(request.headers())? else { return Ok(Self::New { once: None, held: None }) };
        let asked = question(request, body);
        if !in_hand.0.lock().unwrap_or_else(PoisonError::into_inner).insert(key.clone()) {
            return Err(QuoteProblem::KeyRunning);
        }
        let held = Held { all: in_hand.clone(), key: key.clone() };
        let now = Timestamp::now();
        match store.answered(&key, now) {
            Some(answered) if answered.asked == asked => Ok(Self::Again(answered.wrote.0, answered.wrote.1)),
            Some(_) => Err(QuoteProblem::KeyReused),
            None => {
                let until = now.saturating_add(KEPT).unwrap_or(now);
                Ok(Self::New { once: Some(Once { key, asked, until }), held: Some(held) })
            }
        }
    }
}

/// The key of a request: the text between its quotes, or the whole.
fn key(headers: &HeaderMap) -> Result<Option<String>, QuoteProblem> {
    let mut values = headers.get_all(NAME);
    let Some(value) = values.next() else { return Ok(None) };
    let text = value.to_str().map_err(|_| QuoteProblem::BadKey)?.trim();
    let key = text.strip_prefix('"').map_or(Some(text), |text| text.strip_suffix('"'));
    let is_key = |key: &&str| (1..=LONGEST).contains(&key.len()) && key.bytes().all(|byte| byte.is_ascii_graphic());
    match (key.filter(is_key), values.next()) {
        (Some(key), None) => Ok(Some(key.to_owned())),
        (None, _) | (_, Some(_)) => Err(QuoteProblem::BadKey),
    }
}

/// What was asked: method, path, the revision that it is asked of, and the body.
fn question(request: &HttpRequest, body: &[u8]) -> String {
    let tag = request.headers().get(IF_MATCH).map_or(&b""[..], |tag| tag.as_bytes());
    let (method, path) = (request.method().as_str().as_bytes(), request.path().as_bytes());
    digest::digest([("method", method), ("path", path), ("tag", tag), ("body", body)])
}
