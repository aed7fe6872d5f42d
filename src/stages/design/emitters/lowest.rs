//! The lowest flow temperature at which every room is carried.

use super::Unmet;
use super::rounds::alone_is_short;
use super::{Asked, Emitters, at};
use crate::design::DesignError;
use crate::design::heat_loss::HeatLoss;
use crate::list::Index;
use crate::methods::Workings;
use crate::survey::Room;
use crate::survey::Survey;

/// Distance between the flow temperatures that are looked at (K).
pub const STEP_K: f64 = 0.5;

/// A lowest flow temperature, and what holds it there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lowest {
    /// Flow temperature (°C); the highest of the bounds where none carries every room.
    pub flow_c: f64,
    /// Whether every room is carried there.
    pub carries: bool,
    /// The need that is furthest from being met half a kelvin below, or at the highest of the bounds where none will do;
    /// nothing where the lowest of the bounds carries every room.
    pub held_by: Option<Unmet>,
}

/// A lowest flow temperature with the emitters that were looked at for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sought {
    /// The lowest.
    pub lowest: Lowest,
    /// Emitters there, as far as later stages ask.
    pub found: Emitters,
    /// Emitters half a kelvin below, where every room is carried and the bounds reach there.
    pub below: Option<Emitters>,
}

/// Seeks it between two bounds (°C).
///
/// Every step from the lowest up to the first that carries: a house may be carried at one temperature and not at a somewhat
/// warmer one, as loops are divided for their pressure and lines heat other rooms, so that halving could miss it. The room
/// that was short at the last step is looked at first, and mostly alone.
///
/// # Errors
/// As [`at`].
pub fn lowest<W: Workings>(
    asked: Asked<'_>,
    loss: &HeatLoss,
    (least_c, most_c): (f64, f64),
    w: &mut W,
) -> Result<Sought, DesignError> {
    let survey = asked.survey;
    let screed_c = survey.defaults.screed_flow_max_c.value;
    let most_c = if has_screed(survey) { most_c.min(screed_c).max(least_c) } else { most_c };
    let steps = whole_steps(most_c - least_c);
    let flow_c = |step: u32| least_c + STEP_K * f64::from(step);
    let at_step = |step: u32, w: &mut W| at(asked.duty(), loss, flow_c(step), w);
    let (mut short, mut last) = (Index::new(0), None);
    for step in 0..=steps {
        if alone_is_short(asked, loss, flow_c(step), &mut short, w)? {
            last = None;
            continue;
        }
        let found = at_step(step, w)?;
        if found.unmet.is_empty() {
            let below = match last {
                Some(below) => Some(below),
                None if step > 0 => Some(at_step(step - 1, w)?),
                None => None,
            };
            let held_by = below.as_ref().and_then(|below| furthest(&below.unmet));
            return Ok(Sought { lowest: Lowest { flow_c: flow_c(step), carries: true, held_by }, found, below });
        }
        last = Some(found);
    }
    let found = match last {
        Some(found) => found,
        None => at_step(steps, w)?,
    };
    let held_by = furthest(&found.unmet);
    Ok(Sought { lowest: Lowest { flow_c: flow_c(steps), carries: false, held_by }, found, below: None })
}

/// Whole steps that a span has room for.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the schema bounds a span to 60 K")]
fn whole_steps(span_k: f64) -> u32 {
    (span_k / STEP_K + 1e-9).max(0.0) as u32
}

fn has_screed(survey: &Survey) -> bool {
    let mut emitters = survey.rooms.iter().flat_map(|room| &room.emitters);
    emitters.any(|emitter| emitter.floor().is_some_and(crate::survey::HeatedFloor::has_screed))
}

/// The need of which the least part is reached.
#[must_use]
pub fn furthest(unmet: &[Unmet]) -> Option<Unmet> {
    let part = |unmet: &Unmet| {
        let (need, reached) = unmet.figures();
        if need > 0.0 { reached / need } else { 1.0 }
    };
    unmet.iter().min_by(|a, b| part(a).total_cmp(&part(b))).copied()
}

impl Emitters {
    /// Rooms that are not carried: room, need and what is reached (W).
    #[must_use]
    pub fn not_carried(&self) -> Vec<(Index<Room>, f64, f64)> {
        let rooms = self.rooms.enumerate();
        let short = rooms.filter_map(|(room, emitters)| {
            let (need_w, reached_w) =
                emitters.iter().fold((0.0, 0.0), |sum, one| (sum.0 + one.load_w, sum.1 + one.output_w));
            (need_w > reached_w * (1.0 + 1e-9)).then_some((room, need_w, reached_w))
        });
        // a room without any emitter has its need among what is unmet
        let bare = self.unmet.iter().filter_map(|unmet| {
            let Unmet::NoEmitter { room, need_w, reached_w } = *unmet else { return None };
            Some((room, need_w, reached_w))
        });
        let mut all: Vec<_> = short.chain(bare).collect();
        all.sort_by_key(|(room, ..)| *room);
        all
    }
}
