//! The service's own client: asks over HTTP, and reads answers and problems.

use std::fmt;
use std::time::Duration;

use reqwest::header::{CONTENT_TYPE, LOCATION};
use reqwest::{Method, redirect};
use serde::Deserialize;

/// Longest time that an answer may take.
const PATIENCE: Duration = Duration::from_mins(1);

/// A client of one service.
#[derive(Debug, Clone)]
pub struct Client {
    http: reqwest::Client,
    base: String,
    key: Option<Key>,
}

/// A key, which never stands in a log.
#[derive(Clone)]
struct Key(String);

impl fmt::Debug for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("…")
    }
}

/// An answer of the service.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Where the thing that was made can be read.
    pub location: Option<String>,
    /// The body.
    pub text: String,
}

/// A question got no answer.
#[derive(Debug, thiserror::Error)]
pub enum ClientError {
    /// The client itself cannot be made.
    #[error("no client can be made: {0}")]
    NoClient(String),
    /// Nothing answers there.
    #[error("{asked}: {reason}")]
    Silent {
        /// What was asked.
        asked: String,
        /// Why there is no answer.
        reason: String,
    },
    /// The service refused.
    #[error("{asked} was refused with {status}: {problem}")]
    Refused {
        /// What was asked.
        asked: String,
        /// The status.
        status: u16,
        /// Why.
        problem: Problem,
    },
}

/// Why a question was refused, in the words of the service.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
pub struct Problem {
    /// In plain words.
    #[serde(default)]
    pub detail: String,
    /// Every fault.
    #[serde(default)]
    pub errors: Vec<ProblemItem>,
}

/// One fault of a question.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct ProblemItem {
    /// Where, in the document that was sent.
    pub pointer: Option<String>,
    /// Name of a parameter at fault.
    pub parameter: Option<String>,
    /// In plain words.
    pub detail: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.detail)?;
        for item in &self.errors {
            let place = item.pointer.as_deref().or(item.parameter.as_deref()).unwrap_or_default();
            write!(f, "\n  {place}: {}", item.detail)?;
        }
        Ok(())
    }
}

impl Client {
    /// A client of the service at an address such as `http://127.0.0.1:8080`.
    ///
    /// # Errors
    /// [`ClientError::NoClient`].
    pub fn new(base: impl Into<String>, key: Option<String>) -> Result<Self, ClientError> {
        // a second client in one process finds the provider of the first
        let _ = rustls::crypto::ring::default_provider().install_default();
        let http = reqwest::Client::builder().no_proxy().redirect(redirect::Policy::none()).timeout(PATIENCE).build();
        let http = http.map_err(|error| ClientError::NoClient(error.to_string()))?;
        Ok(Self { http, base: base.into(), key: key.map(Key) })
    }

    /// Sends a job.
    ///
    /// # Errors
    /// [`ClientError`] if the service does not answer, or refuses.
    pub async fn post(&self, path: &str, job: &str) -> Result<Answer, ClientError> {
        self.ask(Method::POST, path, Some(job)).await
    }

    /// Reads what is there.
    ///
    /// # Errors
    /// As [`Client::post`].
    pub async fn get(&self, path: &str) -> Result<Answer, ClientError> {
        self.ask(Method::GET, path, None).await
    }

    async fn ask(&self, method: Method, path: &str, job: Option<&str>) -> Result<Answer, ClientError> {
        let asked = format!("{method} {path}");
        let silent = |error: reqwest::Error| ClientError::Silent { asked: asked.clone(), reason: reason(&error) };
        let mut request = self.http.request(method, format!("{}{path}", self.base));
        if let Some(Key(key)) = &self.key {
            request = request.bearer_auth(key);
        }
        if let Some(job) = job {
            request = request.header(CONTENT_TYPE, "application/json").body(job.to_owned());
        }
        let response = request.send().await.map_err(silent)?;
        let status = response.status();
        let location = response.headers().get(LOCATION).and_then(|value| value.to_str().ok()).map(str::to_owned);
        let text = response.text().await.map_err(silent)?;
        if status.is_success() {
            return Ok(Answer { location, text });
        }
        let problem = serde_json::from_str(&text).unwrap_or_else(|_| Problem { detail: text, errors: Vec::new() });
        Err(ClientError::Refused { asked, status: status.as_u16(), problem })
    }
}

/// An error with what is behind it: the outermost says no more than that a request failed.
fn reason(error: &reqwest::Error) -> String {
    let mut text = error.to_string();
    let mut inner = std::error::Error::source(error);
    while let Some(error) = inner {
        text = format!("{text}: {error}");
        inner = error.source();
    }
    text
}
