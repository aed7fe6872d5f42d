//! What would lower the lowest flow temperature next: a change to the emitter that holds it, and to the others that hold it
//! there besides.

use serde::Serialize;
use utoipa::ToSchema;

use super::ProposalError;
use super::change::{At, Change};
use crate::design::DesignError;
use crate::design::emitters::{self, Emitters, Lowest, STEP_K, Tells};
use crate::design::heat_loss::HeatLoss;
use crate::estimate::emitter_cost;
use crate::methods::{MethodError, Off};
use crate::money::Money;
use crate::survey::Survey;

/// Most emitters that are changed together.
const MOST_STEPS: usize = 12;

/// What would lower the flow temperature, and what it brings.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct NextChange {
    /// The changes that it takes, all of them: the first to the emitter that holds the temperature, the others to those that
    /// hold it half a kelvin below besides.
    pub steps: Vec<ChangeStep>,
    /// Lowest flow temperature with them (°C).
    pub flow_temperature_c: f64,
    /// How much lower that is (K); 0 where no flow temperature carried every room before.
    pub gain_k: f64,
    /// What the emitters of the house cost more then, each at its own lowest flow: to the firm, before mark-up and tax;
    /// without labour, and without the covering.
    pub cost: Money,
}

/// A change to one emitter.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ChangeStep {
    /// `larger_radiator`, `larger_fan_convector`, `replaced_radiator`, `closer_spacing`, `thinner_covering` or `share_moved`.
    pub change: &'static str,
    /// Id of the room.
    pub room: String,
    /// Id of the emitter.
    pub emitter: String,
    /// The change in words.
    pub detail: String,
    /// Code of the radiator or fan convector that room is to be found for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Spacing that the pipes are laid at (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spacing_mm: Option<f64>,
    /// Resistance of the covering (m²K/W).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resistance_m2k_w: Option<f64>,
    /// Id of the emitter that a tenth of the room's loss goes to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_emitter: Option<String>,
}

/// A change, and the emitter that it is made to.
type Step = (At, Change);

/// A house that is looked at.
#[derive(Clone, Copy)]
struct Look<'l> {
    survey: &'l Survey,
    loss: &'l HeatLoss,
    lowest: &'l Lowest,
    bounds: (f64, f64),
}

/// What would lower a lowest flow temperature, the greatest gain first; what gains nothing is left out.
pub(super) fn next_changes(
    survey: &Survey,
    loss: &HeatLoss,
    lowest: &Lowest,
    bounds: (f64, f64),
) -> Result<Vec<NextChange>, ProposalError> {
    let Some(at) = lowest.held_by.and_then(|unmet| unmet.place.emitter()) else { return Ok(Vec::new()) };
    let look = Look { survey, loss, lowest, bounds };
    let Some(found) = look.at(survey, lowest.flow_c)? else { return Ok(Vec::new()) };
    let before = emitter_cost(survey, &found)?;
    let mut changes: Vec<NextChange> = Vec::new();
    for first in Change::all(survey, at) {
        let Some((steps, changed)) = look.followed((at, first))? else { continue };
        let Some(change) = look.told(&steps, &changed, before)? else { continue };
        if change.flow_temperature_c < lowest.flow_c - 1e-9 || !lowest.carries {
            changes.push(change);
        }
    }
    changes.sort_by(|a, b| b.gain_k.total_cmp(&a.gain_k).then(a.cost.cmp(&b.cost)));
    // one that came out the same whichever limit was lifted is told once
    changes.dedup();
    Ok(changes)
}

impl Look<'_> {
    /// The emitters at a flow temperature (°C); nothing where a change leads out of what a floor's method holds for.
    fn at(&self, survey: &Survey, flow_c: f64) -> Result<Option<Emitters>, ProposalError> {
        match emitters::at(survey, self.loss, flow_c, Tells::Duty, &mut Off) {
            Ok(found) => Ok(Some(found)),
            Err(DesignError::Method { error: MethodError::OutOfRange { .. }, .. }) => Ok(None),
            Err(error) => Err(error.into()),
        }
    }

    /// The flow temperature that is wanted: half a kelvin lower, or the highest where even that carries not every room (°C).
    fn wanted_c(&self) -> f64 {
        if self.lowest.carries { self.lowest.flow_c - STEP_K } else { self.lowest.flow_c }
    }

    /// A first change with those to other emitters that it takes, and the survey with all of them; nothing where they are too
    /// many, or one of the emitters cannot be changed so that it is enough.
    fn followed(&self, first: Step) -> Result<Option<(Vec<Step>, Survey)>, ProposalError> {
        let mut steps = vec![first];
        let mut changed = first.1.made(self.survey, first.0);
        for _ in 0..MOST_STEPS {
            let Some(found) = self.at(&changed, self.wanted_c())? else { return Ok(None) };
            let Some(worst) = emitters::furthest(&found.unmet) else { return Ok(Some((steps, changed))) };
            let Some(at) = worst.place.emitter().filter(|at| steps.iter().all(|(done, _)| done != at)) else {
                return Ok(None);
            };
            let Some((change, then)) = self.cheapest(&changed, at)? else { return Ok(None) };
            steps.push((at, change));
            changed = then;
        }
        Ok(None)
    }

    /// The change to an emitter that is enough at the flow temperature that is wanted and costs least there.
    fn cheapest(&self, survey: &Survey, at: At) -> Result<Option<(Change, Survey)>, ProposalError> {
        let mut best: Option<(Change, Survey, Money)> = None;
        for change in Change::all(survey, at) {
            let then = change.made(survey, at);
            let Some(found) = self.at(&then, self.wanted_c())? else { continue };
            let cost = emitter_cost(&then, &found)?;
            let is_enough = found.unmet.iter().all(|unmet| unmet.place.emitter() != Some(at));
            if is_enough && best.as_ref().is_none_or(|(.., least)| cost < *least) {
                best = Some((change, then, cost));
            }
        }
        Ok(best.map(|(change, then, _)| (change, then)))
    }

    /// Changes with what they bring.
    fn told(&self, steps: &[Step], changed: &Survey, before: Money) -> Result<Option<NextChange>, ProposalError> {
        let survey = self.survey;
        let then = emitters::lowest(changed, self.loss, self.bounds)?;
        let Some(found) = self.at(changed, then.flow_c)? else { return Ok(None) };
        let steps = steps.iter().map(|&(at, change)| ChangeStep {
            change: change.word(survey, at),
            room: survey.names.rooms[at.0].clone(),
            emitter: survey.names.emitters[at.0][at.1].clone(),
            detail: change.detail(survey, at, &found),
            product: change.product(survey, at, &found),
            spacing_mm: change.spacing_mm(),
            resistance_m2k_w: change.resistance_m2k_w(),
            to_emitter: change.to_emitter(survey, at),
        });
        Ok(Some(NextChange {
            steps: steps.collect(),
            flow_temperature_c: then.flow_c,
            gain_k: (self.lowest.flow_c - then.flow_c).max(0.0),
            cost: emitter_cost(changed, &found)? - before,
        }))
    }
}
