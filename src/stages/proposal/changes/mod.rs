//! What would lower the lowest flow temperature next: a change to the emitter that holds it, and to the others that hold it
//! there besides.

mod change;
mod words;

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use self::change::{At, Change, Step};
use super::ProposalError;
use crate::design::emitters::{self, Asked, Emitters, Kind, Lowest, STEP_K, Sought, Unmet};
use crate::design::{DesignError, heat_loss};
use crate::estimate::{Counted, emitter_cost};
use crate::list::Index;
use crate::methods::{MethodError, Off};
use crate::money::Money;
use crate::survey::Survey;

/// What would lower the flow temperature, and what it brings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NextChange {
    /// The changes that it takes, all of them: the first to the emitter that holds the temperature, the others to those that
    /// hold it half a kelvin below besides; or the one change that gives a room its heat which was set aside.
    pub steps: Vec<ChangeStep>,
    /// Lowest flow temperature with them (°C).
    pub flow_temperature_c: f64,
    /// How much lower that is (K); than the highest of the bounds where no flow temperature carried every room before. 0 for
    /// a change to a room that was set aside.
    pub gain_k: f64,
    /// What the emitters of the house that are bought cost more then, each at its own lowest flow: to the firm, before mark-up
    /// and tax; without what `cost_lacks`.
    pub cost: Money,
    /// What is not in the cost: `labour`, and `floor_covering` where one is changed.
    #[serde(default)]
    #[schema(required = true)]
    pub cost_lacks: Vec<Cow<'static, str>>,
}

/// A change to one emitter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChangeStep {
    /// `larger_radiator`, `larger_fan_convector`, `louder_fan_convector`, `replaced_radiator`, `radiator_as_rated` (connected,
    /// painted and left open as it was rated), `radiator_beside` (a new one beside a towel rail or a heated floor),
    /// `radiator_hung` (a new one in a room that has no emitter), `closer_spacing`, `thinner_covering` or `share_moved`.
    pub change: Cow<'static, str>,
    /// Id of the room.
    pub room: String,
    /// Id of the emitter.
    pub emitter: String,
    /// The change in words.
    pub detail: String,
    /// Code of the radiator or fan convector that is hung.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Sound power level that a fan convector may have (dB).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sound_max_db: Option<f64>,
    /// Spacing that the pipes are laid at (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spacing_mm: Option<f64>,
    /// Resistance of the covering (m²K/W).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resistance_m2k_w: Option<f64>,
    /// Id of the emitter that a tenth of the room's loss goes to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_emitter: Option<String>,
    /// Share of the emitter then (0–1); absent where it is found.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share: Option<f64>,
    /// Share of the other then (0–1); absent where it is found.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_share: Option<f64>,
}

/// What comes of a first change.
enum Followed {
    /// With these changes every emitter is enough at the flow temperature that is wanted; the survey with them.
    Enough(Vec<Step>, Box<Survey>),
    /// Something is still short that no change helps.
    Short(Option<Unmet>),
}

/// A house that is looked at.
#[derive(Clone, Copy)]
struct Look<'l> {
    asked: Asked<'l>,
    lowest: &'l Lowest,
    bounds: (f64, f64),
}

/// What would lower a lowest flow temperature, at which these emitters were found: the greatest gain first, and where nothing does, the need that no change would
/// meet; what gains nothing is left out.
pub(super) fn next_changes(
    asked: Asked<'_>,
    lowest: &Lowest,
    found: &Emitters,
    bounds: (f64, f64),
) -> Result<(Vec<NextChange>, Option<Unmet>), ProposalError> {
    let survey = asked.survey;
    let mut blocked_by = lowest.held_by;
    let look = Look { asked, lowest, bounds };
    let before = emitter_cost(survey, found, Counted::Bought)?;
    let completing = look.completing(found, before)?;
    let Some(holder) = lowest.held_by.and_then(|unmet| unmet.emitter()) else {
        return Ok((completing, blocked_by));
    };
    let mut changes: Vec<NextChange> = Vec::new();
    for first in Change::all(survey, holder) {
        let (steps, changed) = match look.followed(holder, first)? {
            Followed::Enough(steps, changed) => (steps, changed),
            Followed::Short(unmet) => {
                // what is short besides the holder is what no change of this house meets
                blocked_by = unmet.filter(|unmet| unmet.emitter() != Some(holder)).or(blocked_by);
                continue;
            }
        };
        let change = look.told(&steps, &changed, before)?;
        if change.flow_temperature_c < lowest.flow_c - 1e-9 || !lowest.carries {
            changes.push(change);
        }
    }
    changes.sort_by(|a, b| b.gain_k.total_cmp(&a.gain_k).then(a.cost.cmp(&b.cost)));
    // what came out the same, whichever limit was lifted first, is told once
    let told = without_repeats(changes.into_iter());
    // that it holds the temperature is told already
    let blocked_by = blocked_by.filter(|_| told.is_empty()).map(|unmet| match lowest.held_by {
        Some(held_by) if held_by == unmet => unmet.beyond_change(),
        Some(_) | None => unmet,
    });
    Ok((told.into_iter().chain(completing).collect(), blocked_by))
}

/// Each once, in their order.
fn without_repeats<T: PartialEq>(rows: impl Iterator<Item = T>) -> Vec<T> {
    let mut once = Vec::new();
    for row in rows {
        if !once.contains(&row) {
            once.push(row);
        }
    }
    once
}

/// Emitters; nothing where a change leads out of what a floor's method holds for.
fn possible(found: Result<Emitters, DesignError>) -> Result<Option<Emitters>, ProposalError> {
    match found {
        Ok(found) => Ok(Some(found)),
        Err(DesignError::Method { error: MethodError::OutOfRange { .. }, .. }) => Ok(None),
        Err(error) => Err(error.into()),
    }
}

/// The emitters of a survey at a flow temperature (°C), if they can be. A share that is moved may change the loss of a high
/// room, so that its loss is its own.
fn at(asked: Asked<'_>, flow_c: f64) -> Result<Option<Emitters>, ProposalError> {
    possible(emitters::at(asked.duty(), &heat_loss::compute(asked.survey, &mut Off)?, flow_c, &mut Off))
}

/// The change for an emitter that is enough at the flow temperature that is wanted and costs least there, with what is
/// found then. Other rooms are as they were.
fn cheapest(asked: Asked<'_>, before: &Emitters, holder: At) -> Result<Option<(Step, Emitters)>, ProposalError> {
    let survey = asked.survey;
    let mut best: Option<(Step, Emitters, Money)> = None;
    for step in Change::all(survey, holder) {
        let then = step.1.made(survey, step.0);
        let Some(found) = possible(emitters::redone(
            asked.with_survey(&then),
            &heat_loss::compute(&then, &mut Off)?,
            before,
            holder.room,
        ))?
        else {
            continue;
        };
        let cost = emitter_cost(&then, &found, Counted::Bought)?;
        // a floor that no table holds lacks nothing once another carries the room
        let is_carried = found.emitter(holder).load_w <= 0.0 && then.emitter(holder).floor().is_some();
        let lacks = |unmet: &Unmet| unmet.emitter() == Some(holder) && !unmet.is_too_warm() && !is_carried;
        let is_enough = !found.unmet.iter().any(lacks);
        if is_enough && best.as_ref().is_none_or(|(.., least)| cost < *least) {
            best = Some((step, found, cost));
        }
    }
    Ok(best.map(|(step, found, _)| (step, found)))
}

/// A survey with steps made.
fn made(survey: &Survey, steps: &[Step]) -> Survey {
    steps.iter().fold(survey.clone(), |survey, (at, change)| change.made(&survey, *at))
}

impl Look<'_> {
    /// The flow temperature that is wanted: half a kelvin lower, or the highest where even that carries not every room (°C).
    fn wanted_c(&self) -> f64 {
        if self.lowest.carries { self.lowest.flow_c - STEP_K } else { self.lowest.flow_c }
    }

    /// Whether an emitter stands in the job, and not only in a change of it.
    fn stands(&self, at: At) -> bool {
        self.asked.survey.rooms[at.room].emitters.get(at.emitter).is_some()
    }

    /// A need of the job itself; nothing for one of an emitter that a change would add.
    fn of_the_job(&self, unmet: Unmet) -> Option<Unmet> {
        Some(unmet).filter(|unmet| unmet.emitter().is_none_or(|at| self.stands(at)))
    }

    /// The need that is furthest from being met, of the rooms that set the flow temperature.
    fn furthest(&self, unmet: &[Unmet]) -> Option<Unmet> {
        emitters::furthest(unmet.iter().filter(|unmet| self.lowest.counts(unmet)))
    }

    /// For each room that was set aside and lacks heat the cheapest change that gives it, at the flow temperature that was found.
    fn completing(&self, found: &Emitters, before: Money) -> Result<Vec<NextChange>, ProposalError> {
        let mut changes = Vec::new();
        // where no flow temperature was found, none of them completes it
        for unmet in found.unmet.iter().filter(|_| self.lowest.carries) {
            let Unmet::SetAside { room, .. } = *unmet else { continue };
            let of_room = found.unmet.iter().filter(|unmet| unmet.room() == Some(room));
            let holder = emitters::furthest(of_room.filter(|unmet| unmet.emitter().is_some()));
            let step = match holder.and_then(|unmet| unmet.emitter()) {
                Some(at) => cheapest(self.asked, found, at)?.map(|(step, _)| step),
                None => Some((At { room, emitter: Index::new(0) }, Change::Hung)),
            };
            if let Some(step) = step {
                let changed = step.1.made(self.asked.survey, step.0);
                let change = self.told(&[step], &changed, before)?;
                // it gives that room its heat, and takes no warmer water
                if change.flow_temperature_c <= self.lowest.flow_c + 1e-9 {
                    changes.push(change);
                }
            }
        }
        Ok(changes)
    }

    /// A first change for an emitter with those that others take.
    fn followed(&self, holder: At, first: Step) -> Result<Followed, ProposalError> {
        let (mut steps, mut helped) = (vec![first], vec![holder]);
        let mut changed = Box::new(first.1.made(self.asked.survey, first.0));
        let Some(mut found) = at(self.asked.with_survey(&changed), self.wanted_c())? else {
            return Ok(Followed::Short(None));
        };
        // the holder was designed, and a change that leads out of its tables helps nobody
        if matches!(found.emitter(holder).kind, Kind::BeyondTables(_)) {
            return Ok(Followed::Short(None));
        }
        while let Some(worst) = self.furthest(&found.unmet) {
            let short = Ok(Followed::Short(self.of_the_job(worst)));
            let Some(next) = worst.emitter().filter(|next| self.stands(*next) && !helped.contains(next)) else {
                return short;
            };
            let Some((step, then)) = cheapest(self.asked.with_survey(&changed), &found, next)? else { return short };
            *changed = step.1.made(&changed, step.0);
            found = then;
            steps.push(step);
            helped.push(next);
        }
        let steps = self.needful(steps)?;
        *changed = made(self.asked.survey, &steps);
        let unmet = at(self.asked.with_survey(&changed), self.wanted_c())?.map(|found| found.unmet);
        match unmet.as_deref().map(|unmet| self.furthest(unmet)) {
            Some(None) => Ok(Followed::Enough(steps, changed)),
            Some(Some(worst)) => Ok(Followed::Short(self.of_the_job(worst))),
            None => Ok(Followed::Short(None)),
        }
    }

    /// The steps without those in a room with several that it can do without.
    fn needful(&self, mut steps: Vec<Step>) -> Result<Vec<Step>, ProposalError> {
        let mut index = 0;
        while index < steps.len() {
            let (At { room, .. }, _) = steps[index];
            let mut others = steps.clone();
            others.remove(index);
            let is_alone = others.iter().all(|(other, _)| other.room != room);
            let found = if is_alone {
                None
            } else {
                at(self.asked.with_survey(&made(self.asked.survey, &others)), self.wanted_c())?
            };
            if found.is_some_and(|found| self.furthest(&found.unmet).is_none()) {
                steps = others;
            } else {
                index += 1;
            }
        }
        Ok(steps)
    }

    /// Changes with what they bring.
    fn told(&self, steps: &[Step], changed: &Survey, before: Money) -> Result<NextChange, ProposalError> {
        let survey = self.asked.survey;
        let sought = emitters::lowest(
            self.asked.with_survey(changed),
            &heat_loss::compute(changed, &mut Off)?,
            self.bounds,
            &mut Off,
        )?;
        let Sought { lowest: then, found, .. } = sought;
        let rows = steps.iter().map(|&step| words::step(survey, step, &found));
        Ok(NextChange {
            // two limits of one fit come to one radiator
            steps: without_repeats(rows),
            flow_temperature_c: then.flow_c,
            gain_k: (self.lowest.flow_c - then.flow_c).max(0.0),
            cost: emitter_cost(changed, &found, Counted::Bought)? - before,
            cost_lacks: cost_lacks(steps),
        })
    }
}

/// What is not in the cost of changes.
fn cost_lacks(steps: &[Step]) -> Vec<Cow<'static, str>> {
    let is_covering = steps.iter().any(|(_, change)| *change == Change::Thinner);
    let lacks = [Some("labour"), is_covering.then_some("floor_covering")];
    lacks.into_iter().flatten().map(Cow::Borrowed).collect()
}
