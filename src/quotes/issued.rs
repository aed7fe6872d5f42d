//! What is frozen when a quote is issued.

use jiff::civil::Date;
use jiff::{Span, Timestamp};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use utoipa::ToSchema;

use super::{QuoteError, Revision};
use crate::catalogue::digest;

/// What was frozen when a quote was issued.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Issued {
    /// When it was issued.
    #[schema(value_type = String, format = DateTime)]
    pub issued_at: Timestamp,
    /// Last day on which it can be accepted.
    #[schema(value_type = String, format = Date)]
    pub valid_until: Date,
    /// Whether it was issued although its proposal is not complete: what is missing stands in its `unmet`.
    pub accept_unmet: bool,
    /// Digests of what was frozen.
    pub digests: Digests,
}

/// Digests of what a quote rests on: SHA-256, in hexadecimal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Digests {
    /// Of the job's text.
    pub job: String,
    /// Of the proposal's text.
    pub proposal: String,
    /// Of the price book: of the job's own as it stands in it, or of the one that the program ships.
    pub price_book: String,
    /// Of the catalogue that the program ships.
    pub catalogue: String,
}

#[derive(Deserialize)]
struct OfJob {
    commercial: Option<OfCommercial>,
}

#[derive(Deserialize)]
struct OfCommercial {
    quote_date: Option<Date>,
    valid_until: Option<Date>,
    price_book: Option<Box<RawValue>>,
}

#[derive(Deserialize)]
struct OfBook {
    kind: String,
}

#[derive(Deserialize)]
struct OfProposal {
    price: OfPrice,
}

#[derive(Deserialize)]
struct OfPrice {
    valid_until: Option<Date>,
}

/// Days that a quote of a program that did not tell them holds.
const VALID_DAYS: i64 = 30;

impl Digests {
    /// The digests of a revision as this program has it before it.
    ///
    /// # Errors
    /// [`QuoteError::NotJson`] if the job is none.
    pub fn of(revision: &Revision) -> Result<Self, QuoteError> {
        let OfJob { commercial } = serde_json::from_str(revision.job.get())?;
        let book = commercial.and_then(|commercial| commercial.price_book);
        let is_own = |book: &RawValue| serde_json::from_str(book.get()).map(|OfBook { kind }| kind != "built_in");
        let own = book.map(|book| is_own(&book).map(|is_own| is_own.then_some(book))).transpose()?.flatten();
        Ok(Self {
            job: digest::sha256(revision.job.get()),
            proposal: digest::sha256(revision.proposal.get()),
            price_book: own.map_or_else(|| digest::shipped().to_owned(), |book| digest::sha256(book.get())),
            catalogue: digest::shipped().to_owned(),
        })
    }
}

/// Last day on which a quote can be accepted.
///
/// # Errors
/// [`QuoteError::NotJson`] if job or proposal are none.
pub fn valid_until(revision: &Revision) -> Result<Option<Date>, QuoteError> {
    let OfJob { commercial } = serde_json::from_str(revision.job.get())?;
    let OfProposal { price: OfPrice { valid_until } } = serde_json::from_str(revision.proposal.get())?;
    let commercial = commercial.map(|commercial| (commercial.valid_until, commercial.quote_date));
    let (told, quote_date) = commercial.unwrap_or_default();
    Ok(valid_until.or(told).or_else(|| quote_date.map(|day| day.saturating_add(Span::new().days(VALID_DAYS)))))
}
