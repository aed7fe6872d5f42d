//! Codes of problems: their part of the register.

use crate::codes;

codes! {
    /// The code of a problem.
    pub enum ProblemCode {
        /// The text of the body or the query cannot be read; each fault is told.
        "unreadable" Unreadable,
        /// The document has faults; each is told.
        "unprocessable" Unprocessable,
        /// There is nothing at this path.
        "not_found" NotFound,
        /// There is no quote of this id.
        "no_quote" NoQuote,
        /// The path does not take this method; `Allow` lists those that it takes.
        "method_not_allowed" MethodNotAllowed,
        /// The host that was named is not known here.
        "misdirected" Misdirected,
        /// What came is not HTTP that can be read.
        "not_http" NotHttp,
        /// The head of the request is too long.
        "head_too_large" HeadTooLarge,
        /// The body, or the head of the request, stopped coming.
        "stalled" Stalled,
        /// The body is too large.
        "too_large" TooLarge,
        /// Path and query are too long.
        "target_too_long" TargetTooLong,
        /// The body is not JSON in UTF-8, or has a content coding.
        "media_type" MediaType,
        /// The key is missing or wrong.
        "unauthorized" Unauthorized,
        /// The body broke off.
        "broken_off" BrokenOff,
        /// The quote has moved on since it was read, or the tag that was brought is none of ours.
        "stale" Stale,
        /// The tag of the revision that was read was not brought.
        "no_tag" NoTag,
        /// The quote does not stand where this could be done.
        "wrong_state" WrongState,
        /// The proposal is not complete.
        "not_complete" NotComplete,
        /// The last day of the quote is over.
        "over_already" OverAlready,
        /// The key of a question that may be asked twice is none.
        "bad_key" BadKey,
        /// The key came with another question before.
        "key_reused" KeyReused,
        /// The question of this key is still worked on; ask again after `Retry-After`.
        "key_running" KeyRunning,
        /// Too many questions at once; ask again after `Retry-After`.
        "busy" Busy,
        /// The answer took longer than a question may; ask again after `Retry-After`.
        "out_of_time" OutOfTime,
        /// The service stops; ask again after `Retry-After`.
        "stopping" Stopping,
        /// The store does not answer; ask again after `Retry-After`.
        "not_ready" NotReady,
        /// What was kept is lost: the store was damaged.
        "damaged" Damaged,
        /// Nothing was kept: the disk is full.
        "disk_full" DiskFull,
        /// Nothing was kept: the disk can only be read.
        "read_only" ReadOnly,
        /// A fault of the program.
        "internal" Internal,
    }
}
