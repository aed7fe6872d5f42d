//! What each failure is answered with: status, code, and the problem in plain words.

use actix_web::http::StatusCode;

use super::ApiError;
use crate::http::problem_codes::ProblemCode;
use crate::http::{BODY_LIMIT, TARGET_LIMIT};
use crate::intake::Severity;

impl ApiError {
    /// Status, code and words.
    pub(super) fn parts(&self) -> (StatusCode, ProblemCode, String) {
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
                let limit = BODY_LIMIT;
                (StatusCode::PAYLOAD_TOO_LARGE, ProblemCode::TooLarge, format!("the body has more than {limit} bytes"))
            }
            Self::TargetTooLong => {
                let limit = TARGET_LIMIT;
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
            Self::Quote(problem) => problem.parts(),
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
}
