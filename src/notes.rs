//! What an answer says beside its figures: what was assumed, what looks wrong, what to beware of.

use serde::Serialize;
use utoipa::ToSchema;

/// One note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Note {
    /// Stable name of the kind of note, in snake case.
    pub code: String,
    /// JSON Pointer into the job, to the place that the note is about or that lacks what was filled in.
    pub pointer: String,
    /// The note in plain words.
    pub detail: String,
}

/// The notes of an answer.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, ToSchema)]
pub struct Notes {
    /// Whatever the job left out and the program filled in, with the value and why.
    pub assumptions: Vec<Note>,
    /// What looks wrong in the design.
    pub warnings: Vec<Note>,
    /// Safety of the work, deferring to local codes and licensed practice.
    pub cautions: Vec<Note>,
}

impl Notes {
    /// Notes an assumption.
    pub fn assume(&mut self, code: &str, pointer: impl Into<String>, detail: impl Into<String>) {
        self.assumptions.push(Note { code: code.to_owned(), pointer: pointer.into(), detail: detail.into() });
    }

    /// Notes a warning.
    pub fn warn(&mut self, code: &str, pointer: impl Into<String>, detail: impl Into<String>) {
        self.warnings.push(Note { code: code.to_owned(), pointer: pointer.into(), detail: detail.into() });
    }

    /// Notes a caution.
    pub fn caution(&mut self, code: &str, pointer: impl Into<String>, detail: impl Into<String>) {
        self.cautions.push(Note { code: code.to_owned(), pointer: pointer.into(), detail: detail.into() });
    }
}
