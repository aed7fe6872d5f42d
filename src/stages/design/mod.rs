//! The stages up to the plant: each turns the survey, and the results before it, into the next result. No stage
//! has a formula of its own; it calls [`methods`](crate::methods).

pub mod emitters;
pub mod findings;
pub mod heat_loss;
pub mod hydraulics;
pub mod known;
mod lagging;
mod own_pump;
pub mod pipework;
pub mod plant;
pub mod source;
pub mod stage;
mod units;

use crate::methods::MethodError;

/// A stage could not be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DesignError {
    /// A method refused what a part of the job gives it.
    #[error("{error}")]
    Method {
        /// JSON Pointer into the job, to the part.
        pointer: String,
        /// What the method says.
        error: MethodError,
    },
}

impl DesignError {
    /// A method's refusal, with the part of the job that it is about.
    pub fn at(pointer: impl Into<String>) -> impl FnOnce(MethodError) -> Self {
        let pointer = pointer.into();
        move |error| Self::Method { pointer, error }
    }
}
