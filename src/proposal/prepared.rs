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
        (Some(job), Some(survey)) if reading.faults.is_empty() => {
            lift(&job, &mut notes);
            Ok(Prepared { job, survey, notes })
        }
        _ => Err(ProposalError::Faults(reading.faults)),
    }
}

/// A note about a part that the job leaves out points at what lacks it: the document itself.
fn lift(job: &Job, notes: &mut Notes) {
    let missing = [
        ("/heating", job.heating.is_none()),
        ("/pipework", job.pipework.is_none()),
        ("/plant", job.plant.is_none()),
        ("/hot_water", job.hot_water.is_none()),
        ("/commercial", job.commercial.is_none()),
    ];
    for note in &mut notes.assumptions {
        if missing.iter().any(|(part, is_missing)| *is_missing && note.pointer.starts_with(part)) {
            note.pointer.clear();
        }
    }
}
