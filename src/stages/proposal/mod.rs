//! The only place that runs stages in order: from the text of a job to the answer of a stage.

mod changes;
mod citations;
mod flow_temperatures;
mod heaviest;
mod incomplete;
mod places;
mod prepared;
mod question;
mod reports;
mod run;
mod stages;

pub use citations::{CitedSource, Working};
pub use flow_temperatures::{FlowCandidate, FlowTemperaturesReport, candidate as flow_candidate, flow_temperatures};
pub use prepared::{Limits, Needs, Prepared, read};
pub use reports::{
    ANSWERS, Answered, BillReport, EmittersReport, Figure, HeatLossReport, PipeworkReport, PlantReport, PriceReport,
    ProgrammeReport, ProposalReport, bill, check, design_unmet, emitters, heat_loss, pipework, plant, price, programme,
    proposal,
};
pub use run::registered;

use crate::design::DesignError;
use crate::estimate::EstimateError;
use crate::intake::{Fault, FaultCode};
use crate::methods::MethodError;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProposalError {
    /// The job cannot be worked with.
    #[error("the job has {} faults", .0.len())]
    Faults(Vec<Fault>),
    /// A stage could not be computed.
    #[error(transparent)]
    Design(DesignError),
    /// Money or days could not be reckoned.
    #[error(transparent)]
    Estimate(#[from] EstimateError),
    /// The time for the question is over.
    #[error(transparent)]
    OutOfTime(#[from] OutOfTime),
}

/// The time for a question is over: no fault of what was sent, and the same question may be answered another time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("there was not enough time for an answer")]
pub struct OutOfTime;

impl From<DesignError> for ProposalError {
    fn from(error: DesignError) -> Self {
        match error {
            DesignError::Method { error: MethodError::OutOfTime, .. } => Self::OutOfTime(OutOfTime),
            DesignError::Method { .. } => Self::Design(error),
        }
    }
}

impl ProposalError {
    /// The same with every reason at a place that the job has.
    fn settled(self, places: &places::Places<'_>) -> Self {
        match self.into_faults() {
            Ok(mut faults) => {
                faults = faults.into_iter().map(|fault| places.lightened(fault)).collect();
                places.settle(faults.iter_mut().map(|fault| &mut fault.pointer));
                Self::Faults(faults)
            }
            Err(late) => Self::OutOfTime(late),
        }
    }

    /// Every reason as a fault of the document that was sent.
    ///
    /// # Errors
    /// [`OutOfTime`], which is none of its faults.
    pub fn into_faults(self) -> Result<Vec<Fault>, OutOfTime> {
        match self {
            Self::Faults(faults) => Ok(faults),
            Self::OutOfTime(late) => Err(late),
            Self::Design(DesignError::Method { pointer, error }) => {
                let code = match &error {
                    MethodError::OutOfTime => return Err(OutOfTime),
                    MethodError::TooMuchWork { .. } => FaultCode::TooMuchWork,
                    MethodError::OutOfRange { .. }
                    | MethodError::Impossible { .. }
                    | MethodError::NotConverged { .. } => FaultCode::NotComputable,
                };
                Ok(vec![Fault::new(pointer, code, error.to_string())])
            }
            Self::Estimate(error) => {
                let detail = error.to_string();
                let (pointer, code) = match error {
                    EstimateError::NoDate => ("/commercial".to_owned(), FaultCode::MissingField),
                    EstimateError::NoRule { pointer, .. } => (pointer, FaultCode::NoRule),
                    EstimateError::OddRule { .. } => ("/commercial/grant".to_owned(), FaultCode::OddRule),
                    EstimateError::NoSupply { .. } => ("/commercial".to_owned(), FaultCode::UnknownSupply),
                    EstimateError::Antifreeze(_) => ("/heating/fluid".to_owned(), FaultCode::NotComputable),
                    EstimateError::TooLarge => ("/commercial".to_owned(), FaultCode::TooLarge),
                    EstimateError::BeyondCalendar => ("/commercial".to_owned(), FaultCode::BeyondCalendar),
                };
                Ok(vec![Fault::new(pointer, code, detail)])
            }
        }
    }
}
