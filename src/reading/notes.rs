//! What an answer says beside its figures: what was assumed, what looks wrong, what to beware of.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The stage that a note belongs to: an answer holds the notes of its own stage and of those before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Stage {
    /// Heat loss.
    #[default]
    HeatLoss,
    /// Emitters, and the products that they are chosen from.
    Emitters,
    /// Heat source, pipework and the rest of the plant.
    Plant,
    /// Money and days.
    Estimate,
}

/// One note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Note {
    /// The stage that it belongs to. It is not written: a note that is read back gets the first one.
    #[serde(skip)]
    pub stage: Stage,
    /// Stable name of the kind of note, in snake case.
    pub code: String,
    /// JSON Pointer into the job, to the place that the note is about or that lacks what was filled in.
    pub pointer: String,
    /// The note in plain words.
    pub detail: String,
}

/// The notes of an answer.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
pub struct Notes {
    /// Whatever the job left out and the program filled in, with the value and why.
    pub assumptions: Vec<Note>,
    /// What looks wrong in the design.
    pub warnings: Vec<Note>,
    /// Safety of the work, deferring to local codes and licensed practice.
    pub cautions: Vec<Note>,
    /// The stage that notes are being taken for. It is not written either.
    #[serde(skip)]
    stage: Stage,
}

impl Notes {
    /// Takes the notes that follow for a stage; answers the stage that they were taken for before.
    pub fn enter(&mut self, stage: Stage) -> Stage {
        std::mem::replace(&mut self.stage, stage)
    }

    /// The same without what belongs to later stages; what follows is taken for this one.
    #[must_use]
    pub fn up_to(&self, stage: Stage) -> Self {
        let kept = |notes: &[Note]| notes.iter().filter(|note| note.stage <= stage).cloned().collect();
        Self {
            assumptions: kept(&self.assumptions),
            warnings: kept(&self.warnings),
            cautions: kept(&self.cautions),
            stage,
        }
    }

    /// The pointer of every note.
    pub fn pointers(&mut self) -> impl Iterator<Item = &mut String> {
        let Self { assumptions, warnings, cautions, .. } = self;
        assumptions.iter_mut().chain(warnings).chain(cautions).map(|note| &mut note.pointer)
    }

    fn note(&self, code: &str, pointer: impl Into<String>, detail: impl Into<String>) -> Note {
        Note { stage: self.stage, code: code.to_owned(), pointer: pointer.into(), detail: detail.into() }
    }

    /// Notes an assumption.
    pub fn assume(&mut self, code: &str, pointer: impl Into<String>, detail: impl Into<String>) {
        self.assumptions.push(self.note(code, pointer, detail));
    }

    /// Notes a warning.
    pub fn warn(&mut self, code: &str, pointer: impl Into<String>, detail: impl Into<String>) {
        self.warnings.push(self.note(code, pointer, detail));
    }

    /// Notes a caution.
    pub fn caution(&mut self, code: &str, pointer: impl Into<String>, detail: impl Into<String>) {
        self.cautions.push(self.note(code, pointer, detail));
    }
}
