//! Heat loss, asked for alone.

use serde::Serialize;
use utoipa::ToSchema;

use super::cited::{CitedSource, Working, cited};
use super::{Prepared, ProposalError};
use crate::design::heat_loss::{self, HeatLossAnswer};
use crate::methods::{Book, Off};
use crate::notes::Notes;

/// Answer to a question for heat loss.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatLossReport {
    /// Design heat loss of every room and of the dwelling.
    pub heat_loss: HeatLossAnswer,
    /// What was assumed, what looks wrong, what to beware of.
    pub notes: Notes,
    /// Published sources that the figures rest on.
    pub sources: Vec<CitedSource>,
    /// The equations, on request.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub workings: Option<Vec<Working>>,
}

/// Computes the heat loss of a job.
///
/// # Errors
/// [`ProposalError::Design`] if part of the job describes nothing physical.
pub fn heat_loss(prepared: Prepared, with_workings: bool) -> Result<HeatLossReport, ProposalError> {
    let Prepared { survey, notes, .. } = prepared;
    let mut steps = Vec::new();
    let result = if with_workings {
        heat_loss::compute(&survey, &mut Book::new(&mut steps))?
    } else {
        heat_loss::compute(&survey, &mut Off)?
    };
    Ok(HeatLossReport {
        heat_loss: result.answer(&survey),
        notes,
        sources: cited(&heat_loss::sources(&survey)),
        workings: with_workings.then(|| steps.into_iter().map(Working::from).collect()),
    })
}
