//! The only place that runs stages in order: from the text of a job to the answer of a stage.

mod cited;
mod heat_loss;
mod prepared;

pub use cited::{CitedSource, Working};
pub use heat_loss::{HeatLossReport, heat_loss};
pub use prepared::{Prepared, read};

use crate::design::DesignError;
use crate::intake::Fault;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProposalError {
    /// The job cannot be worked with.
    #[error("the job has {} faults", .0.len())]
    Faults(Vec<Fault>),
    /// A stage could not be computed.
    #[error(transparent)]
    Design(#[from] DesignError),
}
