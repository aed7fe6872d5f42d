//! What stays open whatever thermostats shut: what nothing shuts, what the job says, and what is chosen because the heat source needs
//! flow and water.

use super::Warning;
use super::laying::Laying;
use super::mild_day::Mild;
use super::needs::Needs;
use crate::catalogue::room_use::RoomUse;
use crate::list::Index;
use crate::methods::{Budget, MethodError};
use crate::survey::{EmitterAt, EmitterKind, Room, Survey};
use crate::terms;

/// Why an emitter stays open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OpenWhy {
    /// The job says so.
    Asked,
    /// A floor without a room thermostat.
    NoThermostat,
    /// A fan convector.
    Fan,
    /// Of a bathroom, a shower room, a hall or a landing.
    First,
    /// Of a living room, a dining room or a kitchen.
    Living,
}

terms! {
    OpenWhy {
        Asked: "asked_for", "the job says so";
        NoThermostat: "no_thermostat", "no room thermostat shuts its loops";
        Fan: "fan_follows_the_room", "its fan follows the room, and its water goes on";
        First: "bathroom_or_hall", "bathrooms and halls are left open first";
        Living: "living_room_or_kitchen", "living rooms and kitchens are left open next";
    }
}

/// An emitter that stays open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftOpen {
    /// Which.
    pub at: EmitterAt,
    /// Why.
    pub why: OpenWhy,
    /// By how much its room gets warmer than it is designed for, in design conditions (K).
    pub warms_k: f64,
}

/// What is left open, and what that leaves to the heat source on a mild day.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Open {
    /// Emitters, by room.
    pub left: Vec<LeftOpen>,
    /// Flow and water.
    pub mild: Mild,
}

impl Open {
    /// Whether an emitter is among them.
    #[must_use]
    pub fn contains(&self, at: EmitterAt) -> bool {
        self.left.iter().any(|left| left.at == at)
    }
}

/// What may be left open, one more after the other: what stays open in any case; bathrooms and halls besides, where the heat source
/// needs more than that; and then living rooms and kitchens, one after the other or in a large house several at a time, until it has
/// what it needs. More that is open is not always more flow: the
/// pump turns down to where the loudest valve is not heard.
pub(super) struct Choice(Vec<Open>);

impl Choice {
    /// The first of which something is true, or the last.
    pub(super) fn first_or_last(&self, mut is: impl FnMut(&Open) -> bool) -> Option<&Open> {
        self.0.iter().find(|open| is(open)).or(self.0.last())
    }

    /// Each, from the fewest.
    pub(super) fn each(&self) -> impl Iterator<Item = &Open> {
        self.0.iter()
    }

    /// What stays open where something else gives the heat source its flow: bathrooms and halls at most.
    pub(super) fn fewest(&self) -> Option<&Open> {
        self.0.get(1).or(self.0.first())
    }
}

/// How warm a room may become that is left open (K).
#[must_use]
pub fn may_warm_k(survey: &Survey, room: Index<Room>) -> f64 {
    let defaults = &survey.defaults;
    let is_bathroom = survey.rooms[room].room_use.is_bathroom();
    if is_bathroom { defaults.left_open_warms_bathroom_k.value } else { defaults.left_open_warms_k.value }
}

/// A warning for each room that what stays open in it makes too warm.
pub(super) fn too_warm(survey: &Survey, open: &Open) -> Vec<Warning> {
    let beyond = open.left.iter().filter(|left| left.warms_k > may_warm_k(survey, left.at.room));
    let warning = |left: &LeftOpen| {
        let LeftOpen { at, why, warms_k } = *left;
        Warning::WarmsTooFar { at, why, warms_k, most_k: may_warm_k(survey, at.room) }
    };
    beyond.map(warning).collect()
}

/// Left open first.
fn is_first(room_use: RoomUse) -> bool {
    room_use.is_bathroom() || matches!(room_use, RoomUse::Hall | RoomUse::Landing)
}

/// Left open next.
fn is_living(room_use: RoomUse) -> bool {
    matches!(room_use, RoomUse::Living | RoomUse::LivingKitchen | RoomUse::Dining | RoomUse::Kitchen)
}

/// How often a mild day is looked at while living rooms are left open: in a house with more of them several at a time, for each look
/// solves the whole tree.
const MOST_LOOKS: usize = 24;

/// The search for it.
struct Search<'s> {
    laying: &'s Laying<'s>,
    needs: &'s Needs,
    budget: &'s Budget,
}

impl Laying<'_> {
    /// What is left open of a laying.
    pub(super) fn left_open(&self, needs: &Needs, budget: &Budget) -> Result<Choice, MethodError> {
        Search { laying: self, needs, budget }.choose()
    }
}

impl Search<'_> {
    fn choose(&self) -> Result<Choice, MethodError> {
        let survey = self.laying.survey;
        let given = survey.pipes.stays_open.as_deref();
        let mut left = Vec::new();
        for (at, why) in self.all().filter_map(|at| Some((at, self.always(given, at)?))) {
            left.push(LeftOpen { at, why, warms_k: 0.0 });
        }
        for room in survey.rooms.indices() {
            self.warm(&mut left, room)?;
        }
        let mut tried = vec![self.open(&left)?];
        let is_enough = |tried: &[Open]| tried.last().is_some_and(|open| self.holds(&open.mild));
        if given.is_some() || is_enough(&tried) {
            return Ok(Choice(tried));
        }
        // a floor whose job wants it a thermostat has one
        let may_be = |at: &EmitterAt| survey.emitter(*at).floor().is_none();
        for at in self.all().filter(may_be).filter(|at| is_first(survey.rooms[at.room].room_use)) {
            self.add_if_fit(&mut left, (at, OpenWhy::First))?;
        }
        tried.push(self.open(&left)?);
        let mut living: Vec<EmitterAt> =
            self.all().filter(may_be).filter(|at| is_living(survey.rooms[at.room].room_use)).collect();
        let flow_kg_s = |at: &EmitterAt| self.laying.emitters.emitter(*at).set.flow_kg_s;
        living.sort_by(|a, b| flow_kg_s(b).total_cmp(&flow_kg_s(a)));
        let at_a_time = living.len().div_ceil(MOST_LOOKS).max(1);
        for some in living.chunks(at_a_time) {
            if is_enough(&tried) {
                break;
            }
            let mut is_more = false;
            for &at in some {
                is_more |= self.add_if_fit(&mut left, (at, OpenWhy::Living))?;
            }
            if is_more {
                tried.push(self.open(&left)?);
            }
        }
        Ok(Choice(tried))
    }

    /// Every emitter that is served and in which water flows, by room.
    fn all(&self) -> impl Iterator<Item = EmitterAt> {
        let served = self.laying.emitters.each().map(|(at, _)| at);
        served.filter(|at| self.laying.flows(*at))
    }

    /// Why an emitter stays open in any case.
    fn always(&self, given: Option<&[EmitterAt]>, at: EmitterAt) -> Option<OpenWhy> {
        match (given, &self.laying.survey.emitter(at).kind) {
            (Some(given), _) => given.contains(&at).then_some(OpenWhy::Asked),
            (None, EmitterKind::HeatedFloor(floor)) => (!floor.has_thermostat).then_some(OpenWhy::NoThermostat),
            (None, EmitterKind::FanConvector(_)) => Some(OpenWhy::Fan),
            (None, EmitterKind::Radiator { .. }) => None,
        }
    }

    fn holds(&self, mild: &Mild) -> bool {
        self.needs.flow_holds(mild.flow_l_h) && self.needs.water_holds(mild.water_l)
    }

    /// Adds an emitter, unless its room then gets too warm or it is there already; whether it was added.
    fn add_if_fit(&self, left: &mut Vec<LeftOpen>, (at, why): (EmitterAt, OpenWhy)) -> Result<bool, MethodError> {
        if left.iter().any(|other| other.at == at) {
            return Ok(false);
        }
        left.push(LeftOpen { at, why, warms_k: 0.0 });
        let warms_k = self.warm(left, at.room)?;
        let fits = warms_k <= may_warm_k(self.laying.survey, at.room);
        if !fits {
            left.pop();
            self.warm(left, at.room)?;
        }
        Ok(fits)
    }

    /// Notes by how much a room gets warmer with what is left open in it (K).
    fn warm(&self, left: &mut [LeftOpen], room: Index<Room>) -> Result<f64, MethodError> {
        let mut own: Vec<&mut LeftOpen> = left.iter_mut().filter(|one| one.at.room == room).collect();
        if own.is_empty() {
            return Ok(0.0);
        }
        let is_open = |emitter| own.iter().any(|one| one.at.emitter == emitter);
        let warms_k = self.laying.emitters.left_open_warms_k(self.laying.survey, room, is_open)?;
        for one in &mut own {
            one.warms_k = warms_k;
        }
        Ok(warms_k)
    }

    /// What some that are left open come to.
    fn open(&self, left: &[LeftOpen]) -> Result<Open, MethodError> {
        let open: Vec<EmitterAt> = left.iter().map(|one| one.at).collect();
        let mild = self.laying.mild(self.needs.unit_l, &open, self.budget)?;
        let mut left = left.to_vec();
        left.sort_by_key(|row| row.at);
        Ok(Open { left, mild })
    }
}
