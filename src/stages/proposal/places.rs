//! Pointers that resolve: what is said of a part that the job leaves out is said of the part that lacks it.

use super::heaviest::heaviest;
use crate::intake::{Fault, FaultCode, holds};
use crate::job::Job;

/// The places of a job.
pub(super) struct Places<'j> {
    job: &'j Job,
}

impl<'j> Places<'j> {
    /// The places of a job.
    pub(super) fn new(job: &'j Job) -> Self {
        Self { job }
    }

    /// A fault that says that the job asks for too much work, with what it has most of.
    pub(super) fn lightened(&self, mut fault: Fault) -> Fault {
        if fault.code != FaultCode::TooMuchWork.code() {
            return fault;
        }
        let (places, words) = heaviest(self.job);
        if places.is_empty() {
            return fault;
        }
        fault.detail = format!("{}; the job has {words}: fewer of them take less", fault.detail);
        fault.also(places)
    }

    /// Shortens each pointer until it points at something.
    pub(super) fn settle<'p>(&self, pointers: impl IntoIterator<Item = &'p mut String>) {
        for pointer in pointers {
            while !holds(self.job, pointer) {
                pointer.truncate(pointer.rfind('/').unwrap_or(0));
            }
        }
    }
}
