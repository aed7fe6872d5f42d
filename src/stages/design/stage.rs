//! What every stage shows of itself to whoever runs them in order.

use super::known::Known;
use crate::findings;
use crate::methods::{Budget, Workings};
use crate::notes::{Finding, Noted};
use crate::survey::Survey;

/// A stage, which is its result.
///
/// A result is made in one go from what lies before it, and is not changed after that.
pub trait Stage: Sized {
    /// The results that it is computed from; nothing of a later stage can be among them.
    type Before<'b>;
    /// Why it could not be computed.
    type Error;
    /// Needs that it may not meet.
    type Unmet: Finding<Survey>;
    /// What may look wrong.
    type Warning: Noted<Survey>;
    /// What to beware of.
    type Caution: Noted<Survey>;

    /// Computes the stage.
    ///
    /// # Errors
    /// Those of the stage.
    fn compute<W: Workings>(asked: Asked<'_>, before: Self::Before<'_>, w: &mut W) -> Result<Self, Self::Error>;

    /// Needs that it does not meet.
    fn unmet(&self) -> &[Self::Unmet] {
        &[]
    }

    /// What looks wrong.
    fn warnings(&self) -> &[Self::Warning] {
        &[]
    }

    /// What to beware of when it is carried out.
    #[must_use]
    fn cautions(_: &Survey) -> Vec<Self::Caution> {
        Vec::new()
    }

    /// Holds what must be true of every result: what is shared out adds up, what flows in flows out, indices stand. Tests run
    /// it on every house that they compute.
    ///
    /// # Errors
    /// What is not true, in words.
    fn check(&self, survey: &Survey, before: Self::Before<'_>) -> Result<(), String>;
}

/// What stages are asked for.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'s> {
    /// The job as meant.
    pub survey: &'s Survey,
    /// How much floors tell.
    pub tells: Tells,
    /// Work that their searches may still do.
    pub budget: &'s Budget,
    /// Rooms that were designed before, where many houses are looked at.
    pub known: Option<&'s Known<'s>>,
}

impl<'s> Asked<'s> {
    /// The same, as far as later stages ask.
    #[must_use]
    pub fn duty(self) -> Self {
        Self { tells: Tells::Duty, ..self }
    }

    /// The same of another survey.
    #[must_use]
    pub fn with_survey<'o>(self, survey: &'o Survey) -> Asked<'o>
    where
        's: 'o,
    {
        Asked { survey, tells: self.tells, budget: self.budget, known: self.known }
    }
}

/// How much floors tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tells {
    /// How they run, which is all that later stages ask without cooling.
    Duty,
    /// How they cool as well.
    Cooling,
    /// Their lowest flow, the coverings that they bear and their cooling as well.
    All,
}

findings! {
    /// Needs of a stage that has none.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum NothingUnmet: Unmet of survey: Survey {}
}

findings! {
    /// Warnings of a stage that has none.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum NoWarning: Warning of survey: Survey {}
}

findings! {
    /// Cautions of a stage that has none.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum NoCaution: Caution of survey: Survey {}
}

/// Refuses a result in which something is not so.
///
/// # Errors
/// What is not so.
pub fn so(holds: bool, what: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(what()) }
}

/// Refuses figures that are not the same but for their last digits.
///
/// # Errors
/// Which figures they are.
pub fn same(found: f64, expected: f64, what: impl FnOnce() -> String) -> Result<(), String> {
    let is_close = (found - expected).abs() <= 1e-9 * found.abs().max(expected.abs()).max(1.0);
    so(is_close, || format!("{}: {found} and {expected}", what()))
}
