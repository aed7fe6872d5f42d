//! Quotes as the store has them, and the next revision of one.

use jiff::civil::Date;
use uuid::Uuid;

use super::Shown;
use crate::http::error::{ApiError, QuoteProblem};
use crate::quotes::{self, Card, Revision, Step};
use crate::store::{Kept, Put, Store};

impl Shown {
    /// The latest revision of a quote.
    pub(super) fn latest(store: &Store, id: Uuid) -> Result<Self, ApiError> {
        Self::of(id, store.latest(id)?)
    }

    /// A revision of a quote that is not deleted.
    pub(super) fn revision(store: &Store, id: Uuid, number: u32) -> Result<Self, ApiError> {
        let latest = Self::latest(store, id)?;
        if latest.number == number { Ok(latest) } else { Self::as_written(store, id, number) }
    }

    /// A revision as it was written, whatever became of its quote.
    pub(super) fn as_written(store: &Store, id: Uuid, number: u32) -> Result<Self, ApiError> {
        let shown = Self::of(id, store.revision(id, number)?)?;
        Ok(Self { is_as_kept: true, ..shown })
    }

    fn of(id: Uuid, kept: Option<Kept>) -> Result<Self, ApiError> {
        let Some(Kept { revision: number, card: Some(card), value, .. }) = kept else {
            return Err(ApiError::NoQuote);
        };
        Ok(Self { id, number, card, revision: Revision::from_bytes(&value)?, is_as_kept: false })
    }

    /// The first revision of a quote.
    pub(super) fn first(revision: Revision) -> Result<Self, ApiError> {
        let now = quotes::now();
        Ok(Self { id: Uuid::now_v7(), number: 1, card: Card::of(&revision, now, now)?, revision, is_as_kept: false })
    }

    /// The next revision.
    pub(super) fn next(&self, revision: Revision) -> Result<Self, ApiError> {
        let card = Card::of(&revision, self.card.created_at, quotes::now())?;
        // the store says where there is none after it
        Ok(Self { id: self.id, number: self.number.saturating_add(1), card, revision, is_as_kept: false })
    }

    /// What the store is to keep.
    pub(super) fn put(&self) -> Result<Put, ApiError> {
        Ok(Put::new(self.id, self.number - 1, self.card.clone(), &self.revision.to_bytes()?))
    }

    /// Refuses a step that cannot follow where the quote stands.
    pub(super) fn may(&self, step: Step, day: Date) -> Result<(), ApiError> {
        let state = self.state(day);
        if step.from().contains(&state) { Ok(()) } else { Err(QuoteProblem::WrongState { state, step }.into()) }
    }
}
