//! From a design to money and days: take-off, labour, programme, price.

pub mod bill;
mod emitter_cost;
mod findings;
mod labour;
mod payments;
pub mod price;
pub mod programme;
mod stage;
mod takeoff;
mod visits;

pub use emitter_cost::{Counted, emitter_cost};
pub use findings::{Caution, Unmet, Wanted, Warning};
pub use payments::PaymentRow;

use crate::design::emitters::Emitters;
use crate::design::hydraulics::Hydraulics;
use crate::design::pipework::Pipework;
use crate::design::plant::Plant;
use crate::design::source::Source;
use crate::methods::MethodError;
use crate::survey::Survey;

/// A finished design.
#[derive(Debug, Clone, Copy)]
pub struct Design<'d> {
    /// The job as meant.
    pub survey: &'d Survey,
    /// Emitters.
    pub emitters: &'d Emitters,
    /// Heat source.
    pub source: &'d Source,
    /// Pipes.
    pub pipework: &'d Pipework,
    /// Pumps and what balances the pipes.
    pub hydraulics: &'d Hydraulics,
    /// Plant room.
    pub plant: &'d Plant,
}

/// An estimate could not be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EstimateError {
    /// The job gives no date to quote at.
    #[error("money is asked for: the job must give commercial.quote_date")]
    NoDate,
    /// No rule holds on a date.
    #[error("there is no rule {key} for this nation on {date}")]
    NoRule {
        /// JSON Pointer into the job.
        pointer: String,
        /// Key of the rule.
        key: String,
        /// The date.
        date: jiff::civil::Date,
    },
    /// A rule's value is no amount or rate.
    #[error("the rule {key} does not give an amount with at most two decimals")]
    OddRule {
        /// Key of the rule.
        key: String,
    },
    /// A supply that no rule of tax is known for.
    #[error("the supply {supply} has no rule of VAT")]
    NoSupply {
        /// The supply.
        supply: String,
    },
    /// An amount is too large to be reckoned exactly.
    #[error("an amount of the bill is too large to be reckoned exactly")]
    TooLarge,
    /// The antifreeze could not be measured out.
    #[error("the antifreeze cannot be measured out: {0}")]
    Antifreeze(MethodError),
    /// A date lies beyond the calendar.
    #[error("the programme runs beyond the calendar")]
    BeyondCalendar,
}
