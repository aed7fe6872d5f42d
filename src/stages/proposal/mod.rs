//! The only place that runs stages in order: from the text of a job to the answer of a stage.

mod changes;
mod cited;
mod flow_temperatures;
mod gaps;
mod places;
mod prepared;
mod probe;
mod question;
mod reports;
mod run;
mod stages;

pub use cited::{CitedSource, Working};
pub use flow_temperatures::{FlowCandidate, FlowTemperaturesReport, candidate as flow_candidate, flow_temperatures};
pub use prepared::{Needs, Prepared, read};
pub use reports::{
    ANSWERS, Answered, BillReport, EmittersReport, Figure, HeatLossReport, PipeworkReport, PlantReport, PriceReport,
    ProgrammeReport, ProposalReport, bill, check, emitters, heat_loss, pipework, plant, price, programme, proposal,
};

use crate::design::DesignError;
use crate::estimate::EstimateError;
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
    /// Money or days could not be reckoned.
    #[error(transparent)]
    Estimate(#[from] EstimateError),
}

impl ProposalError {
    /// The same with every reason at a place that the job has.
    fn settled(self, places: &places::Places<'_>) -> Self {
        let mut faults = self.into_faults();
        places.settle(faults.iter_mut().map(|fault| &mut fault.pointer));
        Self::Faults(faults)
    }

    /// Every reason as a fault of the document that was sent.
    #[must_use]
    pub fn into_faults(self) -> Vec<Fault> {
        match self {
            Self::Faults(faults) => faults,
            Self::Design(DesignError::Method { pointer, error }) => {
                vec![Fault::new(pointer, "not_computable", error.to_string())]
            }
            Self::Estimate(error) => {
                let detail = error.to_string();
                let (pointer, code) = match error {
                    EstimateError::NoDate => ("/commercial".to_owned(), "missing_field"),
                    EstimateError::NoRule { pointer, .. } => (pointer, "no_rule"),
                    EstimateError::OddRule { .. } => ("/commercial/grant".to_owned(), "odd_rule"),
                    EstimateError::NoSupply { .. } => ("/commercial".to_owned(), "unknown_supply"),
                    EstimateError::TooLarge => ("/commercial".to_owned(), "too_large"),
                    EstimateError::BeyondCalendar => ("/commercial".to_owned(), "beyond_calendar"),
                };
                vec![Fault::new(pointer, code, detail)]
            }
        }
    }
}
