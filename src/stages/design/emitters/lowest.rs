//! The lowest flow temperature at which every room is carried.

use super::aside::{Aside, AsideWhy, aside, counts, sets_it};
use super::rounds::alone_is_short;
use super::{Asked, Emitters, Unmet, at};
use crate::design::DesignError;
use crate::design::findings::{self, UnmetRow};
use crate::design::heat_loss::HeatLoss;
use crate::list::Index;
use crate::methods::Workings;
use crate::survey::Room;
use crate::survey::Survey;

/// Distance between the flow temperatures that are looked at (K).
pub const STEP_K: f64 = 0.5;

/// A lowest flow temperature, and what holds it there.
#[derive(Debug, Clone, PartialEq)]
pub struct Lowest {
    /// Flow temperature (°C); the highest of the bounds where none carries every room that sets it.
    pub flow_c: f64,
    /// Whether every room that sets it is carried there.
    pub carries: bool,
    /// The need that is furthest from being met half a kelvin below, or at the highest of the bounds where none will do;
    /// nothing where the lowest of the bounds carries every room that sets it.
    pub held_by: Option<Unmet>,
    /// Rooms that do not set it.
    pub aside: Vec<Aside>,
}

impl Lowest {
    /// Whether a need is of the rooms that set the flow temperature, or of the whole house.
    #[must_use]
    pub fn counts(&self, unmet: &Unmet) -> bool {
        counts(unmet, &self.aside)
    }

    /// Needs that hold it, as they are answered: their sentences say at which temperature they are not met.
    #[must_use]
    pub fn holding<'u>(&self, survey: &Survey, unmet: impl IntoIterator<Item = &'u Unmet>) -> Vec<UnmetRow> {
        let at_c = if self.carries { self.flow_c - STEP_K } else { self.flow_c };
        let mut rows = findings::rows(survey, unmet);
        for row in &mut rows {
            row.detail = format!("with a flow of {at_c} °C {}", row.detail);
        }
        rows
    }
}

/// A lowest flow temperature with the emitters that were looked at for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sought {
    /// The lowest.
    pub lowest: Lowest,
    /// Emitters there, as far as later stages ask.
    pub found: Emitters,
    /// Emitters half a kelvin below, where every room that sets the temperature is carried and the bounds reach there.
    pub below: Option<Emitters>,
    /// Emitters at the hottest that is looked at.
    pub hottest: Emitters,
}

/// Seeks it between two bounds (°C).
///
/// Rooms that no warmer water mends, and bathrooms, do not set it: they are told with what they lack there. For the others
/// every step from the lowest up to the first that carries is looked at: a house may be carried at one temperature and not at
/// a somewhat warmer one, as loops are divided for their pressure and lines heat other rooms, so that halving could miss it.
/// The room that was short at the last step is looked at first, and mostly alone.
///
/// # Errors
/// As [`at`].
pub fn lowest<W: Workings>(
    asked: Asked<'_>,
    loss: &HeatLoss,
    bounds_c: (f64, f64),
    w: &mut W,
) -> Result<Sought, DesignError> {
    let steps = Steps::new(asked.survey, bounds_c);
    let hottest = at(asked.duty(), loss, steps.last_c(), w)?;
    let aside = aside(asked, loss, &hottest, &steps.cooler_c(), w)?;
    let mut sought = seek(asked, loss, &steps, (&hottest, aside), w)?;
    sought.found.tell_aside(asked, loss, &sought.lowest.aside)?;
    Ok(Sought { found: sought.found.with_next_door(asked, loss, w)?, ..sought })
}

/// The lowest flow temperature were it not for some rooms (°C), of a house in which it was sought; nothing where no other room sets
/// it, or where none will do.
///
/// # Errors
/// As [`at`].
pub fn lowest_without<W: Workings>(
    asked: Asked<'_>,
    loss: &HeatLoss,
    bounds_c: (f64, f64),
    (sought, rooms): (&Sought, &[Index<Room>]),
    w: &mut W,
) -> Result<Option<Lowest>, DesignError> {
    let steps = Steps::new(asked.survey, bounds_c);
    let known = &sought.lowest.aside;
    // that they are aside counts here; why is told of no room whose flow is only asked for
    let without = rooms.iter().map(|&room| Aside { room, why: AsideWhy::TooWeak });
    let aside: Vec<Aside> = known.iter().copied().chain(without).collect();
    let sought = seek(asked, loss, &steps, (&sought.hottest, aside), w)?;
    Ok(Some(sought.lowest).filter(|lowest| lowest.carries))
}

/// Seeks it with some rooms set aside; `hottest` is what stands at the last step.
fn seek<W: Workings>(
    asked: Asked<'_>,
    loss: &HeatLoss,
    steps: &Steps,
    (hottest, aside): (&Emitters, Vec<Aside>),
    w: &mut W,
) -> Result<Sought, DesignError> {
    let survey = asked.survey;
    let is_met = |found: &Emitters| !found.unmet.iter().any(|unmet| counts(unmet, &aside));
    let held_by = |found: &Emitters| furthest(found.unmet.iter().filter(|unmet| counts(unmet, &aside)));
    let (mut short, mut last) = (Index::new(0), None);
    let mut rooms = survey.rooms.indices();
    // where no room is left that sets it, none can be found; in a house that loses nothing the first will do
    let looked_at =
        if aside.is_empty() || rooms.any(|room| sets_it(survey, loss, &aside, room)) { steps.count } else { 0 };
    for step in 0..looked_at {
        if alone_is_short(asked, loss, steps.flow_c(step), (&mut short, &aside), w)? {
            last = None;
            continue;
        }
        let found = at(asked.duty(), loss, steps.flow_c(step), w)?;
        if is_met(&found) {
            let below = match last {
                Some(below) => Some(below),
                None if step > 0 => Some(at(asked.duty(), loss, steps.flow_c(step - 1), w)?),
                None => None,
            };
            let held_by = below.as_ref().and_then(held_by);
            let lowest = Lowest { flow_c: steps.flow_c(step), carries: true, held_by, aside };
            return Ok(Sought { lowest, found, below, hottest: hottest.clone() });
        }
        last = Some(found);
    }
    let held_by = held_by(hottest).or_else(|| furthest(&hottest.unmet));
    let lowest = Lowest { flow_c: steps.last_c(), carries: false, held_by, aside };
    Ok(Sought { lowest, found: hottest.clone(), below: None, hottest: hottest.clone() })
}

/// The flow temperatures that are looked at.
struct Steps {
    least_c: f64,
    count: u32,
}

impl Steps {
    fn new(survey: &Survey, (least_c, most_c): (f64, f64)) -> Self {
        let screed_c = survey.defaults.screed_flow_max_c.value;
        let most_c = if has_screed(survey) { most_c.min(screed_c).max(least_c) } else { most_c };
        Self { least_c, count: whole_steps(most_c - least_c) + 1 }
    }

    fn flow_c(&self, step: u32) -> f64 {
        self.least_c + STEP_K * f64::from(step)
    }

    fn last_c(&self) -> f64 {
        self.flow_c(self.count - 1)
    }

    /// All but the hottest, the hottest of these first.
    fn cooler_c(&self) -> impl Iterator<Item = f64> + Clone {
        (0..self.count - 1).rev().map(|step| self.flow_c(step))
    }
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
pub fn furthest<'u>(unmet: impl IntoIterator<Item = &'u Unmet>) -> Option<Unmet> {
    let part = |unmet: &Unmet| {
        let (need, reached) = unmet.figures();
        if need > 0.0 { reached / need } else { 1.0 }
    };
    unmet.into_iter().min_by(|a, b| part(a).total_cmp(&part(b))).copied()
}

impl Emitters {
    /// Rooms that are not carried: room, need and what is reached (W).
    #[must_use]
    pub fn not_carried(&self) -> Vec<(Index<Room>, f64, f64)> {
        let rooms = self.rooms.enumerate();
        let short = rooms.filter_map(|(room, emitters)| {
            let (need_w, reached_w) =
                emitters.iter().fold((0.0, 0.0), |sum, one| (sum.0 + one.load_w, sum.1 + one.reached_w()));
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
