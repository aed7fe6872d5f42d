//! Every failure as a problem (RFC 9457). Inner errors know no HTTP; here each gets its status, and no arm is wild.

mod from;
mod of_quotes;
mod told;

use std::fmt;
use std::time::Duration;

use actix_web::body::BoxBody;
use actix_web::http::StatusCode;
use actix_web::http::header::{ALLOW, CONTENT_TYPE, RETRY_AFTER, WWW_AUTHENTICATE};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use utoipa::ToSchema;

pub use of_quotes::{QuoteProblem, Stale};

use crate::intake::Fault;
use crate::render::json;

/// Types of a patch, as a problem and an answer to OPTIONS tell them (RFC 5789, 3.1).
pub const PATCH_TYPES: &str = "application/merge-patch+json, application/json-patch+json";
/// Header of these.
const ACCEPT_PATCH: &str = "Accept-Patch";

/// The longest that anybody is told to wait: what spreadsheets take (s).
const LONGEST_AGAIN_S: u64 = 120;

/// A failure, on its way to the asker.
#[derive(Debug)]
pub enum ApiError {
    /// Faults of the document and of the query.
    Faults {
        /// Of the document.
        document: Vec<Fault>,
        /// Of the query.
        query: Vec<Fault>,
    },
    /// No such path.
    NotFound,
    /// No such quote.
    NoQuote,
    /// No such method here; the text lists those there are.
    Method(String),
    /// The body took too long to come.
    Stalled,
    /// The body is too large.
    TooLarge,
    /// The target is too long.
    TargetTooLong,
    /// The body is not of a type that is read here.
    MediaType,
    /// The host that was named is not known here.
    Misdirected,
    /// What came is not HTTP.
    NotHttp,
    /// The head of the request is too long.
    HeadTooLarge,
    /// The head of the request stopped coming.
    HeadStalled,
    /// The key is missing or wrong.
    Unauthorized,
    /// The body broke off.
    BrokenOff,
    /// A quote is not what the question takes it for.
    Quote(QuoteProblem),
    /// Too many questions at once.
    Busy {
        /// When to ask again (s).
        seconds: u64,
    },
    /// Too much is coming in at once.
    NoRoom,
    /// The service stops.
    Stopping,
    /// The answer took longer than a question may.
    OutOfTime,
    /// The store does not answer.
    NotReady,
    /// What was asked for is lost.
    Damaged,
    /// The disk of the store is full.
    DiskFull,
    /// The disk of the store can only be read.
    ReadOnly,
    /// A fault of the program.
    Internal,
}

/// A problem, as it is sent.
#[derive(Debug, Serialize, ToSchema)]
pub struct Problem {
    /// Always `about:blank`: status and `code` say what kind of problem it is.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The status in words.
    pub title: &'static str,
    /// The HTTP status.
    #[schema(value_type = i32)]
    pub status: u16,
    /// Stable name of the kind of problem, in snake case.
    pub code: &'static str,
    /// The problem in plain words.
    pub detail: String,
    /// Every fault of the request at once.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub errors: Vec<ProblemItem>,
}

/// One fault of a request.
#[derive(Debug, Serialize, ToSchema)]
pub struct ProblemItem {
    /// JSON Pointer into the document sent; for something missing, to the object that lacks it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pointer: Option<String>,
    /// Pointers to other places that are at fault as much, where a fault lies between several: it is mended at any of them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub also: Vec<String>,
    /// Name of the query parameter at fault.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub parameter: Option<String>,
    /// Stable name of the kind of fault, in snake case.
    pub code: String,
    /// The fault in plain words.
    pub detail: String,
    /// The limit that was broken, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
}

impl ApiError {
    /// Too many questions at once, for whoever would wait so long.
    pub fn busy(wait: Duration) -> Self {
        Self::Busy { seconds: wait.as_secs().clamp(1, LONGEST_AGAIN_S) }
    }

    /// The problem as it is sent.
    #[must_use]
    pub fn text(&self) -> String {
        let (status, code, detail) = self.parts();
        let title = status.canonical_reason().unwrap_or("Problem");
        let problem = Problem {
            kind: "about:blank",
            title,
            status: status.as_u16(),
            code: code.code(),
            detail,
            errors: self.items(),
        };
        // a problem holds text and finite limits: it can always be written
        json::to_string(&problem).unwrap_or_default()
    }

    fn items(&self) -> Vec<ProblemItem> {
        let (document, query): (&[Fault], &[Fault]) = if let Self::Faults { document, query } = self {
            (document, query)
        } else if let Self::Quote(QuoteProblem::NotApplied(error)) = self {
            return vec![ProblemItem::of_patch(error)];
        } else if let Self::Quote(QuoteProblem::Patched(document)) = self {
            (document, &[])
        } else {
            return Vec::new();
        };
        let item = |fault: &Fault| ProblemItem {
            pointer: Some(fault.pointer.clone()),
            also: fault.others().to_vec(),
            parameter: None,
            code: fault.code.to_string(),
            detail: fault.detail.clone(),
            limit: fault.limit,
        };
        let parameter = |fault: &Fault| {
            let name = fault.pointer.trim_start_matches('/').to_owned();
            ProblemItem { pointer: None, parameter: Some(name), ..item(fault) }
        };
        query.iter().map(parameter).chain(document.iter().map(item)).collect()
    }
}

impl fmt::Display for ApiError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.parts().2)
    }
}

impl ResponseError for ApiError {
    fn status_code(&self) -> StatusCode {
        self.parts().0
    }

    fn error_response(&self) -> HttpResponse<BoxBody> {
        let mut response = HttpResponse::build(self.status_code());
        response.insert_header((CONTENT_TYPE, "application/problem+json"));
        match self {
            Self::Method(allowed) => _ = response.insert_header((ALLOW, allowed.as_str())),
            Self::Busy { seconds } => _ = response.insert_header((RETRY_AFTER, seconds.to_string())),
            Self::NoRoom => _ = response.insert_header((RETRY_AFTER, "1")).force_close(),
            Self::Quote(QuoteProblem::PatchType) => _ = response.insert_header((ACCEPT_PATCH, PATCH_TYPES)),
            Self::Quote(QuoteProblem::KeyRunning) | Self::OutOfTime | Self::Stopping | Self::NotReady => {
                response.insert_header((RETRY_AFTER, "1"));
            }
            Self::Unauthorized => _ = response.insert_header((WWW_AUTHENTICATE, "Bearer")),
            Self::Stalled | Self::BrokenOff | Self::TooLarge => _ = response.force_close(),
            Self::Faults { .. }
            | Self::NotFound
            | Self::NoQuote
            | Self::Misdirected
            | Self::NotHttp
            | Self::HeadTooLarge
            | Self::HeadStalled
            | Self::TargetTooLong
            | Self::MediaType
            | Self::Quote(_)
            | Self::Damaged
            | Self::DiskFull
            | Self::ReadOnly
            | Self::Internal => {}
        }
        response.body(self.text())
    }
}
