//! Pointers that resolve: what is said of a part that the job leaves out is said of the part that lacks it.

use crate::intake::holds;
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

    /// Shortens each pointer until it points at something.
    pub(super) fn settle<'p>(&self, pointers: impl IntoIterator<Item = &'p mut String>) {
        for pointer in pointers {
            while !holds(self.job, pointer) {
                pointer.truncate(pointer.rfind('/').unwrap_or(0));
            }
        }
    }
}
