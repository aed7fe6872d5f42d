//! A job made ready for the stages.

use std::sync::Arc;

use super::ProposalError;
use crate::catalogue::Catalogue;
use crate::estimate::EstimateError;
use crate::intake::{Fault, FaultCode, Gate, Reading};
use crate::job::Job;
use crate::methods::{Budget, Watch};
use crate::notes::Notes;
use crate::survey::{Survey, resolve};

/// A job made ready for the stages.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// The job as written.
    pub job: Job,
    /// The job as meant.
    pub survey: Survey,
    /// What was assumed on the way.
    pub notes: Notes,
    /// How much work may be done for an answer, and who may end it.
    pub limits: Limits,
}

/// How much work may be done for an answer, and who may end it.
#[derive(Debug, Clone)]
pub struct Limits {
    /// Units of counted work; where they do not reach, the same on every machine, the job is refused.
    pub work: u64,
    /// Who may end the question, with nothing; it never turns an answer.
    pub watch: Option<Arc<dyn Watch>>,
}

impl Default for Limits {
    fn default() -> Self {
        Self { work: WORK, watch: None }
    }
}

impl Limits {
    /// The budget of one answer.
    pub(super) fn budget(&self) -> Budget {
        let budget = Budget::units(self.work);
        match &self.watch {
            Some(watch) => budget.watched(watch.clone()),
            None => budget,
        }
    }
}

/// Units of work that an answer may take when nothing else is said: some two seconds on one core, more than 200 rooms ask for.
const WORK: u64 = 8_000_000;

/// What an answer needs of a job beyond a design.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// Nothing: an answer about the design.
    Design,
    /// A date to quote at: an answer about money and days.
    Money,
}

/// Reads the text of a job and resolves it.
///
/// # Errors
/// [`ProposalError::Faults`] with every fault of the document at once.
pub fn read(gate: &Gate, catalogue: &Catalogue, text: &[u8], needs: Needs) -> Result<Prepared, ProposalError> {
    let mut reading: Reading<Job> = crate::intake::read(gate, text);
    // by itself: what is missing of `commercial` hides nothing that rests on another member of it
    reading.check(|job| without_date(job).filter(|_| needs == Needs::Money).into_iter().collect());
    let mut resolved = None;
    reading.check(|job| {
        let mut notes = Notes::default();
        match resolve(job, catalogue, &mut notes) {
            Ok(survey) => {
                resolved = Some((survey, notes));
                Vec::new()
            }
            Err(faults) => faults,
        }
    });
    match (reading.document, resolved) {
        (Some(job), Some((survey, notes))) if reading.faults.is_empty() => {
            Ok(Prepared { job, survey, notes, limits: Limits::default() })
        }
        _ => Err(ProposalError::Faults(reading.faults)),
    }
}

/// Money cannot do without a date to quote at.
fn without_date(job: &Job) -> Option<Fault> {
    let at = match &job.commercial {
        Some(commercial) if commercial.quote_date.is_some() => return None,
        Some(_) => "/commercial",
        None => "",
    };
    let fault = Fault::new(at, FaultCode::MissingField, EstimateError::NoDate.to_string());
    Some(fault.rests_on("/commercial").rests_on("/commercial/quote_date"))
}
