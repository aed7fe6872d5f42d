//! The problems that each kind of operation answers with: told beside its handler, published once for all.

use std::collections::BTreeMap;

use utoipa::IntoResponses;
use utoipa::openapi::response::Response;
use utoipa::openapi::{Ref, RefOr};

/// Where shared answers stand in the published document.
const PREFIX: &str = "#/components/responses/";

/// A problem, by the name that it is published under.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shared {
    /// The text or the query cannot be read.
    Unreadable,
    /// The key is missing or wrong.
    Unauthorized,
    /// There is no such thing.
    NotFound,
    /// The host that was named is not known.
    Misdirected,
    /// The body stopped coming.
    Stalled,
    /// The body is too large.
    TooLarge,
    /// The target is too long.
    TargetTooLong,
    /// The body is not JSON.
    MediaType,
    /// The document has faults.
    Unprocessable,
    /// A fault of the program.
    Internal,
    /// No turn, or not enough time.
    Busy,
    /// The store does not answer.
    NotReady,
    /// No turn, not enough time, or the store does not answer.
    Unavailable,
    /// The same question is worked on.
    KeyRunning,
    /// A quote does not stand where this could be done.
    Conflict,
    /// The tag that was brought is not the one of the quote.
    Stale,
    /// The tag was not brought.
    NoTag,
    /// The body is no patch.
    PatchType,
    /// The key is another question's, or the document has faults.
    UnprocessableOnce,
    /// The disk takes nothing.
    NoSpace,
    /// The service failed, or what was kept is lost.
    Failed,
}

/// All of them.
pub const SHARED: [Shared; 21] = [
    Shared::Busy,
    Shared::Conflict,
    Shared::Failed,
    Shared::Internal,
    Shared::MediaType,
    Shared::Misdirected,
    Shared::KeyRunning,
    Shared::NoSpace,
    Shared::NoTag,
    Shared::NotFound,
    Shared::NotReady,
    Shared::PatchType,
    Shared::Stale,
    Shared::Stalled,
    Shared::TargetTooLong,
    Shared::TooLarge,
    Shared::Unauthorized,
    Shared::Unavailable,
    Shared::Unprocessable,
    Shared::UnprocessableOnce,
    Shared::Unreadable,
];

/// A header that comes with a problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeaderOf {
    /// Its name.
    pub name: &'static str,
    /// What it says.
    pub says: &'static str,
    /// What kind of value it has.
    pub kind: &'static str,
}

const CHALLENGE: HeaderOf =
    HeaderOf { name: "WWW-Authenticate", says: "`Bearer`: how the key is brought", kind: "string" };
const PATCHES: HeaderOf = HeaderOf { name: "Accept-Patch", says: "Types of a patch that are taken", kind: "string" };
const AGAIN: HeaderOf =
    HeaderOf { name: "Retry-After", says: "Seconds after which it may be asked again", kind: "integer" };

impl Shared {
    /// Its name in the published document.
    #[must_use]
    pub fn name(self) -> String {
        format!("{self:?}")
    }

    /// Its status and what it is.
    #[must_use]
    pub fn told(self) -> (u16, &'static str) {
        match self {
            Self::Unreadable => (400, "The text is no JSON that can be read, it broke off, or the query is at fault"),
            Self::Unauthorized => (401, "The key of the service is missing or wrong"),
            Self::NotFound => (404, "There is no quote of this id"),
            Self::Stalled => (408, "The body stopped coming"),
            Self::TooLarge => (413, "The body is too large"),
            Self::TargetTooLong => (414, "Path and query are too long"),
            Self::MediaType => (415, "The body does not say that it is JSON in UTF-8, without a content coding"),
            Self::Misdirected => (421, "An open service is asked by a name that is not its own"),
            Self::Unprocessable => (422, "The document was read and has faults: all of them, each with its place"),
            Self::Internal => (500, "The service failed; it is not the request's fault"),
            Self::KeyRunning => (409, "The same question, by its `Idempotency-Key`, is worked on"),
            Self::Conflict => (
                409,
                "The quote does not stand where this could be done, its proposal is not complete, its last day is over, or the same question is worked on",
            ),
            Self::Stale => (412, "The quote has moved on since it was read, or `If-Match` brings no tag of ours"),
            Self::NoTag => (428, "`If-Match` is missing: the tag of the revision that was read"),
            Self::PatchType => (415, "The body does not say that it is a patch in UTF-8, without a content coding"),
            Self::UnprocessableOnce => (
                422,
                "The document was read and has faults, all of them, each with its place; or its `Idempotency-Key` came with another question",
            ),
            Self::Failed => (500, "The service failed, or what was kept is lost: its store was damaged"),
            Self::NoSpace => (507, "Nothing was kept: the disk is full, or can only be read"),
            Self::Busy => (503, "Too many questions at once, not enough time for an answer, or the service stops"),
            Self::NotReady => (503, "The store does not answer, or the service stops"),
            Self::Unavailable => (
                503,
                "Too many questions at once, not enough time for an answer, the service stops, or its store does not answer",
            ),
        }
    }

    /// The header that comes with it.
    #[must_use]
    pub fn header(self) -> Option<HeaderOf> {
        match self {
            Self::Unauthorized => Some(CHALLENGE),
            Self::Busy | Self::NotReady | Self::Unavailable | Self::KeyRunning => Some(AGAIN),
            Self::PatchType => Some(PATCHES),
            Self::Unreadable
            | Self::NotFound
            | Self::Stalled
            | Self::TooLarge
            | Self::TargetTooLong
            | Self::MediaType
            | Self::Misdirected
            | Self::Unprocessable
            | Self::Internal
            | Self::Failed
            | Self::Conflict
            | Self::Stale
            | Self::NoTag
            | Self::UnprocessableOnce
            | Self::NoSpace => None,
        }
    }
}

/// Declares what a kind of operation answers with when it fails.
macro_rules! failing {
    ($($(#[$doc:meta])* $name:ident: $($problem:ident),+;)+) => {
        $(
            $(#[$doc])*
            pub struct $name;

            impl IntoResponses for $name {
                fn responses() -> BTreeMap<String, RefOr<Response>> {
                    refer(&[$(Shared::$problem),+])
                }
            }
        )+
    };
}

failing! {
    /// A question that brings a document and keeps nothing.
    Question: Unreadable, Unauthorized, Stalled, TooLarge, TargetTooLong, MediaType, Misdirected, Unprocessable, Internal, Busy;
    /// A question whose answer is kept.
    Keeping: Unreadable, Unauthorized, Stalled, KeyRunning, TooLarge, TargetTooLong, MediaType, Misdirected, UnprocessableOnce, Internal, Unavailable, NoSpace;
    /// A whole document in the place of one that is kept.
    Changing: Unreadable, Unauthorized, NotFound, Stalled, Conflict, Stale, TooLarge, TargetTooLong, MediaType, Misdirected, Unprocessable, NoTag, Failed, Unavailable, NoSpace;
    /// A patch of what is kept.
    Patching: Unreadable, Unauthorized, NotFound, Stalled, Conflict, Stale, TooLarge, TargetTooLong, PatchType, Misdirected, Unprocessable, NoTag, Failed, Unavailable, NoSpace;
    /// Taking away what is kept.
    Deleting: Unreadable, Unauthorized, NotFound, Conflict, Stale, TargetTooLong, Misdirected, NoTag, Failed, NotReady, NoSpace;
    /// Issuing what is kept.
    Issuing: Unreadable, Unauthorized, NotFound, Stalled, Conflict, Stale, TooLarge, TargetTooLong, MediaType, Misdirected, UnprocessableOnce, NoTag, Failed, Unavailable, NoSpace;
    /// A step of what is kept.
    Stepping: Unreadable, Unauthorized, NotFound, Conflict, Stale, TargetTooLong, Misdirected, NoTag, Failed, Unavailable, NoSpace;
    /// Changing what is accepted.
    Varying: Unreadable, Unauthorized, NotFound, Stalled, Conflict, Stale, TooLarge, TargetTooLong, PatchType, Misdirected, Unprocessable, NoTag, Failed, Unavailable, NoSpace;
    /// Comparing what is kept.
    Comparing: Unreadable, Unauthorized, NotFound, TargetTooLong, Misdirected, Failed, NotReady;
    /// Proving what is kept.
    Proving: Unreadable, Unauthorized, NotFound, Conflict, TargetTooLong, Misdirected, Failed, Unavailable;
    /// Listing what is kept.
    Listing: Unreadable, Unauthorized, TargetTooLong, Misdirected, Internal, NotReady;
    /// Reading what is kept.
    Reading: Unreadable, Unauthorized, NotFound, TargetTooLong, Misdirected, Failed, NotReady;
    /// Whether the service can work.
    Readiness: TargetTooLong, Misdirected, Internal, NotReady, NoSpace;
    /// What the program itself knows.
    Program: TargetTooLong, Misdirected, Internal;
}

fn refer(problems: &[Shared]) -> BTreeMap<String, RefOr<Response>> {
    let place = |problem: &Shared| RefOr::Ref(Ref::new(format!("{PREFIX}{}", problem.name())));
    problems.iter().map(|problem| (problem.told().0.to_string(), place(problem))).collect()
}
