//! Pointers that resolve: what is said of a part that the job leaves out is said of the part that lacks it.

use std::cell::OnceCell;

use serde::Serialize;
use serde_json::Value;

use crate::design::findings::UnmetRow;
use crate::intake::Fault;
use crate::job::Job;
use crate::notes::Notes;

/// The places of a job.
pub(super) struct Places<'j> {
    job: &'j Job,
    /// The job as JSON, made when a pointer goes deeper than the parts that are known by name.
    document: OnceCell<Value>,
}

impl<'j> Places<'j> {
    /// The places of a job.
    pub(super) fn of(job: &'j Job) -> Self {
        Self { job, document: OnceCell::new() }
    }

    /// Lets every note point at a place that is there.
    pub(super) fn settle_notes(&self, notes: &mut Notes) {
        let Notes { assumptions, warnings, cautions, .. } = notes;
        for note in assumptions.iter_mut().chain(warnings).chain(cautions) {
            self.settle(&mut note.pointer);
        }
    }

    /// The same for needs that are not met.
    pub(super) fn settle_unmet(&self, unmet: &mut [UnmetRow]) {
        for row in unmet {
            self.settle(&mut row.pointer);
        }
    }

    /// The same for faults.
    pub(super) fn settle_faults(&self, faults: &mut [Fault]) {
        for fault in faults {
            self.settle(&mut fault.pointer);
        }
    }

    /// Shortens a pointer until it points at something.
    fn settle(&self, pointer: &mut String) {
        while !self.is_there(pointer) {
            pointer.truncate(pointer.rfind('/').unwrap_or(0));
        }
    }

    fn is_there(&self, pointer: &str) -> bool {
        let job = self.job;
        match pointer.split('/').collect::<Vec<_>>()[..] {
            [""] | ["", "site" | "dwelling" | "constructions" | "rooms"] | ["", "site", "climate"] => true,
            ["", "heating"] => job.heating.is_some(),
            ["", "pipework"] => job.pipework.is_some(),
            ["", "plant"] => job.plant.is_some(),
            ["", "hot_water"] => job.hot_water.is_some(),
            ["", "commercial"] => job.commercial.is_some(),
            ["", "rooms", id] => job.rooms.contains_key(id),
            ["", "constructions", id] => job.constructions.contains_key(id),
            ["", "rooms", id, ref steps @ ..] => job.rooms.get(id).is_some_and(|room| holds(room, steps)),
            ["", "constructions", id, ref steps @ ..] => {
                job.constructions.get(id).is_some_and(|construction| holds(construction, steps))
            }
            _ => self.document.get_or_init(|| json(job)).pointer(pointer).is_some(),
        }
    }
}

/// Whether a part of the job holds a place.
fn holds(part: &impl Serialize, steps: &[&str]) -> bool {
    json(part).pointer(&format!("/{}", steps.join("/"))).is_some()
}

/// A part of the job as JSON: it is made of text, numbers and maps, and always has that form.
fn json(part: &impl Serialize) -> Value {
    serde_json::to_value(part).unwrap_or(Value::Null)
}
