//! Whether an issued quote is still what was issued, and what this program makes of its job.

use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::differences::{Difference, differences};
use super::{Digests, QuoteError, Revision, program};

/// What is shown of an issued quote.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Proof {
    /// What is shown.
    pub outcome: Outcome,
    /// The program that made the proposal.
    pub program: String,
    /// The program that was asked for the proof.
    pub proved_by: &'static str,
    /// Digests as they were frozen.
    pub frozen: Digests,
    /// Digests of what is kept, and of the price book and catalogue that this program would use.
    pub found: Digests,
    /// Where this program's proposal for the same job is another than the one that was issued; the first thousand places.
    pub differences: Vec<Difference>,
}

/// What a proof shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Job and proposal are as they were issued, and this program makes the same proposal of the job, to the byte.
    Identical,
    /// Job and proposal are as they were issued, and this program makes another proposal of the job: what differs is listed.
    Differs,
    /// Job and proposal are as they were issued, and this program makes no proposal of the job.
    Intact,
    /// Job or proposal are not what was issued.
    Broken,
}

impl Proof {
    /// The proof of an issued quote, beside what this program makes of its job: nothing where it takes the job no more.
    ///
    /// # Errors
    /// [`QuoteError`] if what is kept cannot be read.
    pub fn of(revision: &Revision, frozen: &Digests, made: Option<&str>) -> Result<Self, QuoteError> {
        let found = Digests::of(revision)?;
        let is_intact = (&found.job, &found.proposal) == (&frozen.job, &frozen.proposal);
        let issued = revision.proposal.get();
        let outcome = match made {
            _ if !is_intact => Outcome::Broken,
            Some(made) if made == issued => Outcome::Identical,
            Some(_) => Outcome::Differs,
            None => Outcome::Intact,
        };
        let differences = match made {
            Some(made) if made != issued => {
                let (then, now): (Value, Value) = (serde_json::from_str(issued)?, serde_json::from_str(made)?);
                differences(&then, &now)
            }
            Some(_) | None => Vec::new(),
        };
        let (program_then, frozen) = (revision.program.clone(), frozen.clone());
        Ok(Self { outcome, program: program_then, proved_by: program(), frozen, found, differences })
    }
}
