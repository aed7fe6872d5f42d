//! Every failure as a problem (RFC 9457). Inner errors know no HTTP; here each gets its status, and no arm is wild.

use std::fmt;
use std::time::Duration;

use actix_web::body::BoxBody;
use actix_web::http::StatusCode;
use actix_web::http::header::{ALLOW, CONTENT_TYPE, RETRY_AFTER, WWW_AUTHENTICATE};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use utoipa::ToSchema;

use super::problem_codes::ProblemCode;
use crate::intake::{Fault, Severity};
use crate::proposal::{OutOfTime, ProposalError};
use crate::quotes::QuoteError;
use crate::render::json::{self, NotWritten};
use crate::store::StoreError;

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
    /// What is kept has moved on since it was read.
    Moved {
        /// Revision that it stands at.
        found: u32,
    },
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

    fn parts(&self) -> (StatusCode, ProblemCode, String) {
        match self {
            Self::Faults { document, query } => {
                let unreadable =
                    !query.is_empty() || document.iter().any(|fault| fault.severity == Severity::Unreadable);
                let count = document.len() + query.len();
                let detail = if count == 1 {
                    "the request has one fault".to_owned()
                } else {
                    format!("the request has {count} faults")
                };
                if unreadable {
                    (StatusCode::BAD_REQUEST, ProblemCode::Unreadable, detail)
                } else {
                    (StatusCode::UNPROCESSABLE_ENTITY, ProblemCode::Unprocessable, detail)
                }
            }
            Self::NotFound => {
                (StatusCode::NOT_FOUND, ProblemCode::NotFound, "there is nothing at this path".to_owned())
            }
            Self::NoQuote => (StatusCode::NOT_FOUND, ProblemCode::NoQuote, "there is no quote of this id".to_owned()),
            Self::Method(allowed) => {
                (StatusCode::METHOD_NOT_ALLOWED, ProblemCode::MethodNotAllowed, format!("this path takes {allowed}"))
            }
            Self::Stalled => (StatusCode::REQUEST_TIMEOUT, ProblemCode::Stalled, "the body stopped coming".to_owned()),
            Self::TooLarge => {
                let limit = super::BODY_LIMIT;
                (StatusCode::PAYLOAD_TOO_LARGE, ProblemCode::TooLarge, format!("the body has more than {limit} bytes"))
            }
            Self::TargetTooLong => {
                let limit = super::TARGET_LIMIT;
                (
                    StatusCode::URI_TOO_LONG,
                    ProblemCode::TargetTooLong,
                    format!("path and query have more than {limit} bytes"),
                )
            }
            Self::MediaType => {
                let detail = "the body must be application/json in UTF-8, without a content coding".to_owned();
                (StatusCode::UNSUPPORTED_MEDIA_TYPE, ProblemCode::MediaType, detail)
            }
            Self::Misdirected => {
                let detail = "this service is not asked by the name that was used; --host NAME lets it be".to_owned();
                (StatusCode::MISDIRECTED_REQUEST, ProblemCode::Misdirected, detail)
            }
            Self::NotHttp => {
                (StatusCode::BAD_REQUEST, ProblemCode::NotHttp, "what came is not HTTP that can be read".to_owned())
            }
            Self::HeadTooLarge => {
                let detail = "the head of the request is too long".to_owned();
                (StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE, ProblemCode::HeadTooLarge, detail)
            }
            Self::HeadStalled => {
                let detail = "the head of the request stopped coming".to_owned();
                (StatusCode::REQUEST_TIMEOUT, ProblemCode::Stalled, detail)
            }
            Self::Unauthorized => {
                let detail = "bring the key of this service as Authorization: Bearer KEY".to_owned();
                (StatusCode::UNAUTHORIZED, ProblemCode::Unauthorized, detail)
            }
            Self::BrokenOff => (StatusCode::BAD_REQUEST, ProblemCode::BrokenOff, "the body broke off".to_owned()),
            Self::Moved { found } => (
                StatusCode::CONFLICT,
                ProblemCode::Moved,
                format!("the quote has moved on to revision {found}; read it again"),
            ),
            Self::Busy { seconds: _ } | Self::NoRoom => {
                (StatusCode::SERVICE_UNAVAILABLE, ProblemCode::Busy, "too many questions at once; ask again".to_owned())
            }
            Self::Stopping => {
                (StatusCode::SERVICE_UNAVAILABLE, ProblemCode::Stopping, "the service stops; ask again".to_owned())
            }
            Self::OutOfTime => {
                let detail = "there was not enough time for an answer; ask again".to_owned();
                (StatusCode::SERVICE_UNAVAILABLE, ProblemCode::OutOfTime, detail)
            }
            Self::NotReady => {
                (StatusCode::SERVICE_UNAVAILABLE, ProblemCode::NotReady, "the store does not answer".to_owned())
            }
            Self::Damaged => {
                let detail = "the quote was kept and is lost: the store was damaged".to_owned();
                (StatusCode::INTERNAL_SERVER_ERROR, ProblemCode::Damaged, detail)
            }
            Self::DiskFull => {
                let detail = "nothing was kept: the disk of the service is full".to_owned();
                (StatusCode::INSUFFICIENT_STORAGE, ProblemCode::DiskFull, detail)
            }
            Self::ReadOnly => {
                let detail = "nothing was kept: the disk of the service can only be read".to_owned();
                (StatusCode::INSUFFICIENT_STORAGE, ProblemCode::ReadOnly, detail)
            }
            Self::Internal => {
                let detail = "the service failed at this request; it is not the request's fault".to_owned();
                (StatusCode::INTERNAL_SERVER_ERROR, ProblemCode::Internal, detail)
            }
        }
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
        let Self::Faults { document, query } = self else { return Vec::new() };
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
            Self::OutOfTime | Self::Stopping | Self::NotReady => _ = response.insert_header((RETRY_AFTER, "1")),
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
            | Self::Moved { .. }
            | Self::Damaged
            | Self::DiskFull
            | Self::ReadOnly
            | Self::Internal => {}
        }
        response.body(self.text())
    }
}

impl From<ProposalError> for ApiError {
    fn from(error: ProposalError) -> Self {
        match error.into_faults() {
            Ok(document) => Self::Faults { document, query: Vec::new() },
            Err(late) => late.into(),
        }
    }
}

impl From<OutOfTime> for ApiError {
    fn from(OutOfTime: OutOfTime) -> Self {
        Self::OutOfTime
    }
}

impl From<StoreError> for ApiError {
    /// What is wrong with the store is for those who run it, in the log.
    fn from(error: StoreError) -> Self {
        match &error {
            StoreError::Moved { found, .. } => return Self::Moved { found: *found },
            StoreError::Lost { .. } => {
                tracing::error!(%error, "a quote is asked for that is lost");
                return Self::Damaged;
            }
            StoreError::Full => return Self::DiskFull,
            StoreError::ReadOnly => return Self::ReadOnly,
            StoreError::Folder { .. } | StoreError::Damaged(_) | StoreError::Failed(_) => {}
        }
        tracing::error!(%error, "the store does not answer");
        Self::NotReady
    }
}

impl From<QuoteError> for ApiError {
    fn from(error: QuoteError) -> Self {
        tracing::error!(%error, "a quote cannot be written or read");
        Self::Internal
    }
}

impl From<NotWritten> for ApiError {
    fn from(error: NotWritten) -> Self {
        tracing::error!(%error, "an answer was withheld");
        Self::Internal
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::DesignError;
    use crate::methods::MethodError;

    /// What a search that a method gave up is answered with.
    fn answered(error: MethodError) -> ApiError {
        ProposalError::from(DesignError::at("/pipework")(error)).into()
    }

    #[test]
    fn too_much_work_is_a_fault_of_the_job() {
        let error = answered(MethodError::TooMuchWork { granted: 7 });
        assert_eq!(error.error_response().status(), 422);
        let items: Vec<_> = error.items().into_iter().map(|item| (item.pointer.unwrap(), item.code)).collect();
        assert_eq!(items, [("/pipework".to_owned(), "too_much_work".to_owned())]);
    }

    /// Whole seconds, as a spreadsheet takes them, and as long as it would wait.
    #[test]
    fn who_is_turned_away_is_told_how_long_it_would_take() {
        for (millis, seconds) in [(0, "1"), (2300, "2"), (7999, "7"), (86_400_000, "120")] {
            let response = ApiError::busy(Duration::from_millis(millis)).error_response();
            assert_eq!(
                (response.status().as_u16(), response.headers().get(RETRY_AFTER).unwrap().to_str().unwrap()),
                (503, seconds)
            );
        }
    }

    #[test]
    fn too_little_time_is_none_and_may_be_asked_again() {
        let inside = DesignError::Method { pointer: "/pipework".to_owned(), error: MethodError::OutOfTime };
        for error in [answered(MethodError::OutOfTime), ProposalError::Design(inside).into(), OutOfTime.into()] {
            let response = error.error_response();
            assert_eq!((response.status().as_u16(), error.parts().1.code()), (503, "out_of_time"));
            assert_eq!(response.headers().get(RETRY_AFTER).unwrap(), "1");
            assert!(error.items().is_empty());
        }
    }
}
