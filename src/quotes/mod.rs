//! Quotes: a job and its proposal, kept together as numbered revisions.

mod card;
mod compare;
mod differences;
mod issued;
mod program;
mod proof;
mod state;
mod variation;

pub use card::Card;
pub use compare::{
    AmountMoved, Changes, DayMoved, HoursMoved, LineMoved, PriceMoved, SectionMoved, VisitMoved, changes,
};
pub use differences::{Difference, Is, Plain};
pub use issued::{Digests, Issued, valid_until};
pub use program::program;
pub use proof::{Outcome, Proof};
pub use state::{STATES, State, Step, day, first_moment, now};
pub use variation::{PatchForm, Variation, Varied};

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

/// Number of the form that a revision is kept in; a later program reads every earlier form.
const FORM: u32 = 2;

/// A revision cannot be kept, or what was kept cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum QuoteError {
    /// The text is not JSON.
    #[error("a revision is not JSON: {0}")]
    NotJson(#[from] serde_json::Error),
    /// Kept in a form that this program does not know.
    #[error("a revision is kept in form {0}, and this program reads forms up to {FORM}")]
    Form(u32),
}

/// One revision of a quote, as it was kept: what was sent and what was answered, byte for byte.
///
/// # Examples
/// ```
/// use tundish::quotes::Revision;
/// let draft = Revision::draft("{\"schema\": 1}", "{\"price\":{\"payable\":1.10}}".to_owned())?;
/// let kept = Revision::from_bytes(&draft.to_bytes()?)?;
/// assert_eq!((kept.job.get(), kept.state.word()), ("{\"schema\": 1}", "draft"));
/// assert_eq!(kept.proposal.get(), "{\"price\":{\"payable\":1.10}}");
/// # Ok::<(), tundish::quotes::QuoteError>(())
/// ```
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Revision {
    form: u32,
    /// Where the quote stands.
    pub state: State,
    /// The program that made the proposal: its version, with the commit that it is built from (where known) and the digest of
    /// its catalogue, twelve digits each, as build metadata: `0.1.0+commit.0123456789ab.catalogue.ba9876543210`. A program of
    /// before kept its version alone.
    pub program: String,
    /// The job, as it was sent.
    pub job: Box<RawValue>,
    /// The proposal, as it was answered.
    pub proposal: Box<RawValue>,
    /// What was frozen when it was issued, from form 2 on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub issued: Option<Issued>,
    /// When it was accepted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accepted_at: Option<Timestamp>,
    /// When it was declined.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub declined_at: Option<Timestamp>,
    /// What was changed of what the client has accepted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub variations: Vec<Variation>,
    /// The job as the last variation left it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub varied: Option<Varied>,
}

impl Revision {
    /// A draft of a job, which this program made the proposal of.
    ///
    /// # Errors
    /// [`QuoteError::NotJson`] if either is not JSON.
    pub fn draft(job: &str, proposal: String) -> Result<Self, QuoteError> {
        Ok(Self {
            form: FORM,
            state: State::Draft,
            program: program().to_owned(),
            job: RawValue::from_string(job.to_owned())?,
            proposal: RawValue::from_string(proposal)?,
            issued: None,
            accepted_at: None,
            declined_at: None,
            variations: Vec::new(),
            varied: None,
        })
    }

    /// The same, given to the client: frozen as it stands.
    ///
    /// # Errors
    /// [`QuoteError::NotJson`] if what it holds is no quote.
    pub fn issue(self, issued_at: Timestamp, valid_until: Date, accept_unmet: bool) -> Result<Self, QuoteError> {
        let digests = Digests::of(&self)?;
        let issued = Some(Issued { issued_at, valid_until, accept_unmet, digests });
        Ok(Self { form: FORM, state: State::Issued, issued, ..self })
    }

    /// The same, accepted by the client.
    #[must_use]
    pub fn accept(self, accepted_at: Timestamp) -> Self {
        Self { form: FORM, state: State::Accepted, accepted_at: Some(accepted_at), ..self }
    }

    /// The same, declined by the client.
    #[must_use]
    pub fn decline(self, declined_at: Timestamp) -> Self {
        Self { form: FORM, state: State::Declined, declined_at: Some(declined_at), ..self }
    }

    /// The revision as it is kept.
    ///
    /// # Errors
    /// [`QuoteError::NotJson`].
    pub fn to_bytes(&self) -> Result<Vec<u8>, QuoteError> {
        Ok(serde_json::to_vec(self)?)
    }

    /// Reads what was kept.
    ///
    /// # Errors
    /// [`QuoteError`] if it cannot be read.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, QuoteError> {
        let revision: Self = serde_json::from_slice(bytes)?;
        if (1..=FORM).contains(&revision.form) { Ok(revision) } else { Err(QuoteError::Form(revision.form)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_form_and_broken_bytes_are_told() {
        let draft = Revision::draft("{}", "{}".to_owned()).unwrap();
        let text = String::from_utf8(draft.to_bytes().unwrap()).unwrap();
        let later = text.replacen("\"form\":2", "\"form\":3", 1);
        assert!(matches!(Revision::from_bytes(later.as_bytes()), Err(QuoteError::Form(3))));
        let before = text.replacen("\"form\":2", "\"form\":1", 1);
        assert_eq!(Revision::from_bytes(before.as_bytes()).unwrap().state, State::Draft);
        assert!(matches!(Revision::from_bytes(&text.as_bytes()[1..]), Err(QuoteError::NotJson(_))));
        assert!(matches!(Revision::draft("{", "{}".to_owned()), Err(QuoteError::NotJson(_))));
    }
}
