//! What an answer says beside its figures: what was assumed, what looks wrong, what to beware of.

mod filled;
mod finding;
mod values;

pub use filled::{FROM_MEMORY, Filled, Fills};
pub use finding::{Finding, Need, Noted, Registered, Sort};
pub use values::{At, Field, Term, Value, Values};

use std::borrow::Cow;

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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Note {
    /// The stage that it belongs to. It is not written: a note that is read back gets the first one.
    #[serde(skip)]
    pub stage: Stage,
    /// Stable name of the kind of note, in snake case.
    pub code: Cow<'static, str>,
    /// JSON Pointer into the job, to the place that the note is about or that lacks what was filled in.
    pub pointer: String,
    /// The note in plain words.
    pub detail: String,
    /// The figures, ids and words of the sentence.
    #[serde(default)]
    #[schema(required = true)]
    pub values: Values,
}

/// The notes of an answer.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
pub struct Notes {
    /// Whatever the job left out and the program filled in, with the value and why.
    pub assumptions: Vec<Note>,
    /// What looks wrong in the design.
    pub warnings: Vec<Note>,
    /// Safety of the work, deferring to local codes and to competent and registered persons.
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

    /// Takes a finding, in a context that knows what things are called.
    pub fn take<C: ?Sized, F: Noted<C>>(&mut self, finding: &F, context: &C) {
        let note = Note {
            stage: self.stage,
            code: Cow::Borrowed(finding.code()),
            pointer: finding.pointer(context),
            detail: finding.detail(context),
            values: finding.values(context),
        };
        F::list(self).push(note);
    }

    /// The same, unless it was said already of another place.
    pub fn add_once<F: Noted<()>>(&mut self, finding: &F) {
        let (code, detail) = (finding.code(), finding.detail(&()));
        let all = self.assumptions.iter().chain(&self.warnings).chain(&self.cautions);
        if !all.into_iter().any(|note| note.code == code && note.detail == detail) {
            self.add(finding);
        }
    }

    /// Takes the notes of another part of the answer.
    pub fn append(&mut self, other: Self) {
        let stage = self.stage;
        let of_stage = |notes: Vec<Note>| notes.into_iter().map(move |note| Note { stage, ..note });
        self.assumptions.extend(of_stage(other.assumptions));
        self.warnings.extend(of_stage(other.warnings));
        self.cautions.extend(of_stage(other.cautions));
    }

    /// Takes a finding that says all by itself.
    pub fn add<F: Noted<()>>(&mut self, finding: &F) {
        self.take(finding, &());
    }
}
