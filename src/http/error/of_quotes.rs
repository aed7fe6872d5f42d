//! What can be wrong with a question to a quote.

use actix_web::http::StatusCode;
use jiff::civil::Date;

use super::{ApiError, PATCH_TYPES, ProblemItem};
use crate::http::problem_codes::ProblemCode;
use crate::intake::Fault;
use crate::patch::PatchError;
use crate::quotes::{State, Step};

/// A quote is not what the question takes it for.
#[derive(Debug)]
pub enum QuoteProblem {
    /// What is kept has moved on since it was read.
    Stale {
        /// The tag that was brought, where that can never be one of ours.
        why: Stale,
    },
    /// The tag that was read was not brought.
    NoTag,
    /// A quote does not stand where it could.
    WrongState {
        /// Where it stands.
        state: State,
        /// What was asked for.
        step: Step,
    },
    /// What is to be issued is not complete.
    NotComplete {
        /// Codes of what is unmet.
        unmet: Vec<String>,
    },
    /// What is to be issued is over already.
    OverAlready {
        /// Last day on which it could be accepted.
        valid_until: Date,
    },
    /// The key of a question that may be asked twice is none.
    BadKey,
    /// The key was another question's.
    KeyReused,
    /// The same question is worked on.
    KeyRunning,
    /// The patch cannot be applied.
    NotApplied(PatchError),
    /// The patched document has faults.
    Patched(Vec<Fault>),
    /// The body is no patch of a type that is read here.
    PatchType,
}

/// Why a tag does not hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stale {
    /// The quote has moved on.
    Moved,
    /// A star names no revision.
    Star,
    /// A weak tag, or none in quotes.
    NoTagOfOurs,
}

impl From<QuoteProblem> for ApiError {
    fn from(problem: QuoteProblem) -> Self {
        Self::Quote(problem)
    }
}

impl ProblemItem {
    pub(super) fn of_patch(PatchError { pointer, detail }: &PatchError) -> Self {
        let (pointer, detail) = (Some(pointer.clone()), detail.clone());
        Self { pointer, also: Vec::new(), parameter: None, code: "patch_not_applied".to_owned(), detail, limit: None }
    }
}

impl QuoteProblem {
    /// Status, code and words.
    pub(super) fn parts(&self) -> (StatusCode, ProblemCode, String) {
        match self {
            Self::Stale { why } => {
                let detail = match why {
                    Stale::Moved => "the quote has moved on; read it again, and bring the tag that it then has",
                    Stale::Star => "* names no revision; bring the tag of the one that was read as If-Match",
                    Stale::NoTagOfOurs => "If-Match takes the tag as it was answered, in quotes and not weak",
                };
                (StatusCode::PRECONDITION_FAILED, ProblemCode::Stale, detail.to_owned())
            }
            Self::NoTag => {
                let detail = "bring the tag of the revision that was read as If-Match".to_owned();
                (StatusCode::PRECONDITION_REQUIRED, ProblemCode::NoTag, detail)
            }
            Self::WrongState { state, step } => {
                let from: Vec<&str> = step.from().iter().map(|state| state.word()).collect();
                let (from, done) = (from.join(" or "), step.word());
                let detail = format!("the quote is {state}; only what is {from} can be {done}");
                (StatusCode::CONFLICT, ProblemCode::WrongState, detail)
            }
            Self::NotComplete { unmet } => {
                let detail = format!(
                    "the proposal is not complete ({}); with accept_unmet it is issued all the same, and says so",
                    unmet.join(", ")
                );
                (StatusCode::CONFLICT, ProblemCode::NotComplete, detail)
            }
            Self::OverAlready { valid_until } => {
                let detail = format!(
                    "the quote could be accepted until {valid_until}, which is over; change commercial.valid_until first"
                );
                (StatusCode::CONFLICT, ProblemCode::OverAlready, detail)
            }
            Self::BadKey => {
                let detail =
                    "Idempotency-Key takes 1 to 255 letters, digits and signs of ASCII, in quotes or not".to_owned();
                (StatusCode::BAD_REQUEST, ProblemCode::BadKey, detail)
            }
            Self::KeyReused => {
                let detail = "this Idempotency-Key came with another question before; give each its own".to_owned();
                (StatusCode::UNPROCESSABLE_ENTITY, ProblemCode::KeyReused, detail)
            }
            Self::KeyRunning => {
                let detail = "the question of this Idempotency-Key is still worked on; ask again".to_owned();
                (StatusCode::CONFLICT, ProblemCode::KeyRunning, detail)
            }
            Self::NotApplied(_) => {
                let detail = "the patch cannot be applied to the job".to_owned();
                (StatusCode::UNPROCESSABLE_ENTITY, ProblemCode::Unprocessable, detail)
            }
            Self::Patched(faults) => {
                let count = faults.len();
                let detail = if count == 1 {
                    "the patched job has one fault, at a place of that job".to_owned()
                } else {
                    format!("the patched job has {count} faults, at places of that job")
                };
                (StatusCode::UNPROCESSABLE_ENTITY, ProblemCode::Unprocessable, detail)
            }
            Self::PatchType => {
                let detail = format!("a patch is {PATCH_TYPES} in UTF-8, without a content coding");
                (StatusCode::UNSUPPORTED_MEDIA_TYPE, ProblemCode::MediaType, detail)
            }
        }
    }
}
