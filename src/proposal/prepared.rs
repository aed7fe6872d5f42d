//! A job made ready for the stages.

use super::ProposalError;
use crate::catalogue::Catalogue;
use crate::intake::{Gate, Reading};
use crate::job::Job;
use crate::notes::Notes;
use crate::survey::{Survey, resolve};

/// A job made ready for the stages.
#[derive(Debug, Clone, PartialEq)]
pub struct Prepared {
    /// The job as written.
    pub job: Job,
    /// The job as meant.
    pub survey: Survey,
    /// What was assumed on the way.
    pub notes: Notes,
}

/// Reads the text of a job and resolves it.
///
/// # Errors
/// [`ProposalError::Faults`] with every fault of the document at once.
pub fn read(gate: &Gate, catalogue: &'static Catalogue, text: &[u8]) -> Result<Prepared, ProposalError> {
    let mut reading: Reading<Job> = crate::intake::read(gate, text);
    let mut notes = Notes::default();
    let survey = match reading.document.as_ref().map(|job| resolve(job, catalogue, &mut notes)) {
        Some(Ok(survey)) => Some(survey),
        Some(Err(faults)) => {
            reading.add(faults);
            None
        }
        None => None,
    };
    match (reading.document, survey) {
        (Some(job), Some(survey)) if reading.faults.is_empty() => Ok(Prepared { job, survey, notes }),
        _ => Err(ProposalError::Faults(reading.faults)),
    }
}
