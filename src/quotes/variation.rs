//! Changes to what a client has accepted, each with its price and its new last day.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use utoipa::ToSchema;

use super::compare::{AmountMoved, DayMoved, changes};
use super::{QuoteError, Revision, State};
use crate::job::Job;
use crate::proposal::ProposalReport;

/// How a patch is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PatchForm {
    /// A JSON Merge Patch (RFC 7396).
    MergePatch,
    /// A JSON Patch (RFC 6902).
    JsonPatch,
}

/// A change to what the client has accepted.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct Variation {
    /// Its number, from 1.
    #[schema(value_type = i32, minimum = 1)]
    pub number: u32,
    /// When it was taken down.
    #[schema(value_type = String, format = DateTime)]
    pub made_at: Timestamp,
    /// How its patch is written.
    pub form: PatchForm,
    /// Its patch of the job as it stood, as it was sent.
    #[schema(value_type = Value)]
    pub patch: Box<RawValue>,
    /// How many places of the job are others; a comparison of the revisions names them. A thousand at most.
    #[schema(value_type = i32, minimum = 0)]
    pub changed: usize,
    /// What the client pays, before and with it.
    pub payable: AmountMoved,
    /// The last day of the work, before and with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finish: Option<DayMoved>,
    /// Whether the price with it is the whole.
    pub complete: bool,
}

/// The job as variations left it, and its proposal.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct Varied {
    /// The job.
    #[schema(value_type = Job)]
    pub job: Box<RawValue>,
    /// Its proposal.
    #[schema(value_type = ProposalReport)]
    pub proposal: Box<RawValue>,
    /// The program that made it.
    pub program: String,
}

#[derive(Deserialize)]
struct OfProposal {
    price: OfPrice,
}

#[derive(Deserialize)]
struct OfPrice {
    complete: bool,
}

impl Revision {
    /// Job and proposal as they stand: with variations, as the last left them.
    #[must_use]
    pub fn current(&self) -> (&str, &str) {
        let (job, proposal) = match &self.varied {
            Some(varied) => (&varied.job, &varied.proposal),
            None => (&self.job, &self.proposal),
        };
        (job.get(), proposal.get())
    }

    /// The program that made the proposal as it stands.
    #[must_use]
    pub fn current_program(&self) -> &str {
        self.varied.as_ref().map_or(&self.program, |varied| &varied.program)
    }

    /// The same with one more variation: a draft made of the changed job says what it comes to.
    ///
    /// # Errors
    /// [`QuoteError::NotJson`] if what they hold is no quote.
    pub fn vary(self, with: Self, (form, patch): (PatchForm, &str), made_at: Timestamp) -> Result<Self, QuoteError> {
        let moved = changes(self.current(), with.current())?;
        let OfProposal { price: OfPrice { complete } } = serde_json::from_str(with.proposal.get())?;
        let mut variations = self.variations;
        let number = u32::try_from(variations.len()).unwrap_or(u32::MAX).saturating_add(1);
        let (changed, payable, finish) = (moved.input.len(), moved.price.payable, moved.finish);
        let patch = RawValue::from_string(patch.to_owned())?;
        variations.push(Variation { number, made_at, form, patch, changed, payable, finish, complete });
        let varied = Some(Varied { job: with.job, proposal: with.proposal, program: with.program });
        Ok(Self { form: super::FORM, state: State::Accepted, variations, varied, ..self })
    }
}
