//! What a quote is found by, and what a list tells of it.

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{QuoteError, Revision, State};
use crate::money::Money;

/// What a list tells of a document, and what it is found by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Card {
    /// Where it stands.
    pub state: State,
    /// What it is called.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// What the firm calls it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// For whom it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub client: Option<String>,
    /// When its first revision was written.
    pub created_at: Timestamp,
    /// When this revision was written.
    pub changed_at: Timestamp,
    /// Last day of its state, where that ends by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub valid_until: Option<Date>,
    /// What is to be paid.
    pub payable: Money,
    /// Whether that is the whole.
    pub complete: bool,
}

/// What a card takes from a job.
#[derive(Deserialize)]
struct OfJob {
    title: Option<String>,
    reference: Option<String>,
    commercial: Option<OfCommercial>,
}

#[derive(Deserialize)]
struct OfCommercial {
    client: Option<OfClient>,
}

#[derive(Deserialize)]
struct OfClient {
    name: String,
}

/// What a card takes from a proposal.
#[derive(Deserialize)]
struct OfProposal {
    price: OfPrice,
}

#[derive(Deserialize)]
struct OfPrice {
    payable: Money,
    complete: bool,
}

impl Card {
    /// The card of a revision, by when its quote was first written and when this revision was.
    ///
    /// # Errors
    /// [`QuoteError::NotJson`] if job or proposal are not those of a quote.
    pub fn of(revision: &Revision, created_at: Timestamp, changed_at: Timestamp) -> Result<Self, QuoteError> {
        let OfJob { title, reference, commercial } = serde_json::from_str(revision.current().0)?;
        let OfProposal { price: OfPrice { payable, complete } } = serde_json::from_str(revision.current().1)?;
        let client = commercial.and_then(|commercial| commercial.client).map(|client| client.name);
        // what was accepted or declined does not lapse
        let issued = revision.issued.as_ref().filter(|_| revision.state == State::Issued);
        let (state, valid_until) = (revision.state, issued.map(|issued| issued.valid_until));
        Ok(Self { state, title, reference, client, created_at, changed_at, valid_until, payable, complete })
    }
}
