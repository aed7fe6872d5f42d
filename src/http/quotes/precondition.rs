//! `If-Match`: a change says which revision it changes (RFC 9110, 13.1.1; RFC 6585, 3).

use actix_web::http::header::{EntityTag, HeaderMap, HeaderValue, IF_MATCH};
use jiff::civil::Date;

use super::{Shown, tag};
use crate::http::error::{QuoteProblem, Stale};
use crate::quotes::State;

/// The tags of a request that must bring one.
#[derive(Debug, Clone)]
pub(super) struct Precondition(Option<Vec<u8>>);

impl Precondition {
    pub(super) fn of(headers: &HeaderMap) -> Self {
        let values: Vec<&[u8]> = headers.get_all(IF_MATCH).map(HeaderValue::as_bytes).collect();
        Self((!values.is_empty()).then(|| values.join(&b',')))
    }

    /// Whether one of the tags is the one that a quote has: compared strongly, so that a weak one never is.
    ///
    /// # Errors
    /// [`QuoteProblem::NoTag`] if none was brought, [`QuoteProblem::Stale`].
    pub(super) fn holds(&self, found: &Shown, day: Date) -> Result<(), QuoteProblem> {
        let tags = self.0.as_ref().ok_or(QuoteProblem::NoTag)?;
        let tags = std::str::from_utf8(tags).map_err(|_| QuoteProblem::Stale { why: Stale::NoTagOfOurs })?;
        if tags.trim() == "*" {
            return Err(QuoteProblem::Stale { why: Stale::Star });
        }
        let read: Vec<Option<EntityTag>> = tags.split(',').map(|tag| tag.trim().parse().ok()).collect();
        // what has lapsed since it was read is the same revision: it is told so
        let tags = [found.tag(day), tag(found.number, State::Draft)];
        if read.iter().flatten().any(|read| tags.iter().any(|tag| read.strong_eq(tag))) {
            return Ok(());
        }
        let is_ours = read.iter().all(|tag| tag.as_ref().is_some_and(|tag| !tag.weak));
        Err(QuoteProblem::Stale { why: if is_ours { Stale::Moved } else { Stale::NoTagOfOurs } })
    }
}
