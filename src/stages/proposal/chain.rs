//! The stages in their order, as far as they are asked for.

use super::ProposalError;
use crate::design::emitters::{self, Emitters, Tells};
use crate::design::findings::Warning;
use crate::design::heat_loss::{self, HeatLoss};
use crate::design::hydraulics::{self, Hydraulics};
use crate::design::pipework::{self, Pipework};
use crate::design::plant::{self, Plant};
use crate::design::source::{self, Source};
use crate::design::{DesignError, findings::Unmet};
use crate::estimate::bill::{self, Bill};
use crate::estimate::price::{self, Price};
use crate::estimate::programme::{self, ProgrammeAnswer};
use crate::estimate::{Design, EstimateError};
use crate::methods::{Book, Step};
use crate::survey::{Commercial, Survey};

/// The stages up to the plant.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Designed {
    pub loss: HeatLoss,
    pub emitters: Emitters,
    pub source: Source,
    pub pipework: Pipework,
    pub hydraulics: Hydraulics,
    pub plant: Plant,
}

/// Money and days.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Estimated {
    pub bill: Bill,
    pub programme: ProgrammeAnswer,
    pub price: Price,
}

/// Which stages show their workings.
#[expect(clippy::struct_excessive_bools, reason = "one for each stage that has workings")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Shown {
    pub heat_loss: bool,
    pub emitters: bool,
    pub pipework: bool,
    pub plant: bool,
}

impl Shown {
    pub(super) const ALL: Self = Self { heat_loss: true, emitters: true, pipework: true, plant: true };
}

/// Heat loss alone.
pub(super) fn loss(survey: &Survey, shown: Shown, steps: &mut Vec<Step>) -> Result<HeatLoss, DesignError> {
    heat_loss::compute(survey, &mut shown.heat_loss.then(|| Book::new(steps)))
}

/// Heat loss and emitters.
pub(super) fn emitted(
    survey: &Survey,
    tells: Tells,
    shown: Shown,
    steps: &mut Vec<Step>,
) -> Result<(HeatLoss, Emitters), DesignError> {
    let loss = loss(survey, shown, steps)?;
    let emitters = emitters::compute(survey, &loss, tells, &mut shown.emitters.then(|| Book::new(steps)))?;
    Ok((loss, emitters))
}

/// The stages up to the plant.
pub(super) fn designed(
    survey: &Survey,
    tells: Tells,
    shown: Shown,
    steps: &mut Vec<Step>,
) -> Result<Designed, DesignError> {
    // the flow that cools is known by what floors tell of it
    let tells = if survey.cooling.is_some() { Tells::All } else { tells };
    let (loss, emitters) = emitted(survey, tells, shown, steps)?;
    let source = source::compute(survey, &loss, &emitters, &mut shown.plant.then(|| Book::new(steps)))?;
    let pipework = pipework::compute(survey, &emitters, &source, &mut shown.pipework.then(|| Book::new(steps)))?;
    let hydraulics =
        hydraulics::compute(survey, &emitters, &source, &pipework, &mut shown.pipework.then(|| Book::new(steps)))?;
    let plant = plant::compute(
        survey,
        &emitters,
        &source,
        (&pipework, &hydraulics),
        &mut shown.plant.then(|| Book::new(steps)),
    )?;
    Ok(Designed { loss, emitters, source, pipework, hydraulics, plant })
}

impl Designed {
    /// What the estimate is made from.
    pub(super) fn design<'d>(&'d self, survey: &'d Survey) -> Design<'d> {
        let Self { emitters, source, pipework, hydraulics, plant, .. } = self;
        Design { survey, emitters, source, pipework, hydraulics, plant }
    }

    /// Every need that the design does not meet.
    pub(super) fn unmet(&self) -> impl Iterator<Item = &Unmet> {
        let Self { emitters, source, pipework, hydraulics, plant, .. } = self;
        let pipes = pipework.unmet.iter().chain(&hydraulics.unmet);
        emitters.unmet.iter().chain(&source.unmet).chain(pipes).chain(&plant.unmet)
    }

    /// Everything that looks wrong.
    pub(super) fn warnings(&self) -> impl Iterator<Item = &Warning> {
        let Self { loss, emitters, source, pipework, hydraulics, .. } = self;
        let pipes = pipework.warnings.iter().chain(&hydraulics.warnings);
        loss.warnings.iter().chain(&emitters.warnings).chain(&source.warnings).chain(pipes)
    }
}

/// The firm's side of the job, which money cannot do without.
pub(super) fn commercial(survey: &Survey) -> Result<&Commercial, ProposalError> {
    survey.commercial.as_ref().ok_or(ProposalError::Estimate(EstimateError::NoDate))
}

/// Money and days of a design.
pub(super) fn estimated(survey: &Survey, designed: &Designed) -> Result<Estimated, ProposalError> {
    let commercial = commercial(survey)?;
    let bill = bill::compute(designed.design(survey), commercial)?;
    let programme = programme::compute(&bill, commercial)?;
    let price = price::compute(designed.design(survey), commercial, &bill)?;
    Ok(Estimated { bill, programme, price })
}
