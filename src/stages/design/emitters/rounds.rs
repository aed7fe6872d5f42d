//! Every room at one flow temperature, over and over until the heat that lines give to other rooms has settled.

use super::Warning;
use super::aside::Aside;
use super::to_carry_w;
use super::{Asked, Common, Emitter, Emitters, Kind, Tells, fan, floor, on_offer, radiator, shares, shown};
use crate::design::DesignError;
use crate::design::heat_loss::HeatLoss;
use crate::list::{Index, List};
use crate::methods::{MethodError, Off, Workings, carried_heat, last_steps};
use crate::sources::{ENERGY_BALANCE, FLUID_MECHANICS};
use crate::survey::{self, EmitterAt, EmitterKind, Room, Survey};

/// Rounds in which the heat of lines through other rooms settles; each room takes the lines of others as they were.
const MOST_ROUNDS: usize = 30;

/// Rounds at the end of these over which the least of what lines give is taken, where it does not settle.
const LAST_ROUNDS: usize = 10;

/// Change of that heat at which it has settled (W).
const SETTLED_W: f64 = 1e-6;

/// What an emitter costs beside the look through what is on offer, and how many of such steps are a unit of work.
const STEPS_OF_AN_EMITTER: usize = 64;
const STEPS_PER_UNIT: usize = 8;

/// Heat that lines give to the rooms that they pass (W).
struct FromLines {
    /// By room.
    each_w: List<Room, f64>,
    /// Whether it settled; the least of the last rounds otherwise, which is on the safe side.
    is_settled: bool,
}

/// Computes the stage at a flow temperature (°C).
///
/// # Errors
/// [`DesignError::Method`] if a floor lies outside what the standard covers, or the water outside its range.
pub fn at<W: Workings>(asked: Asked<'_>, loss: &HeatLoss, flow_c: f64, w: &mut W) -> Result<Emitters, DesignError> {
    let common = common(asked, loss, flow_c, w)?;
    let from_lines = settled(&Common { tells: Tells::Duty, ..common }, &mut w.unshown())?;
    let found = round(&common, from_lines.each_w, w)?;
    let unsettled = (!from_lines.is_settled).then_some(Warning::LinesUnsettled {});
    Ok(found.with_findings(asked.survey, loss, unsettled))
}

/// The same emitters with those of one room designed anew, from a survey that differs in that room; what lines give stays.
///
/// # Errors
/// As [`at`].
pub fn redone(asked: Asked<'_>, loss: &HeatLoss, found: &Emitters, room: Index<Room>) -> Result<Emitters, DesignError> {
    let common = common(asked.duty(), loss, found.flow_c, &mut Off)?;
    let mut rooms = found.rooms.clone();
    rooms[room] = one_room(&common, room, found.from_lines_w[room], &mut Off)?;
    let redone = Emitters { rooms, ..empty(&common, found.from_lines_w.clone()) };
    Ok(redone.with_findings(asked.survey, loss, None))
}

/// Whether some room that no lines pass is short of its loss, whatever the others do; looked for from a room on, which
/// becomes the one that is.
///
/// # Errors
/// As [`at`].
pub(super) fn alone_is_short<W: Workings>(
    asked: Asked<'_>,
    loss: &HeatLoss,
    flow_c: f64,
    (from, aside): (&mut Index<Room>, &[Aside]),
    w: &mut W,
) -> Result<bool, DesignError> {
    let survey = asked.survey;
    let common = common(asked.duty(), loss, flow_c, w)?;
    let passed = passed(survey);
    let is_looked_at = |room: &Index<Room>| !passed.contains(room) && aside.iter().all(|aside| aside.room != *room);
    let rooms = survey.rooms.len();
    let first = from.number();
    for room in (0..rooms).map(|number| Index::new((first + number) % rooms)).filter(is_looked_at) {
        if alone(&common, room, w)?.is_short(survey, loss, room) {
            *from = room;
            return Ok(true);
        }
    }
    Ok(false)
}

/// Whether a room that no lines pass is carried at a flow temperature, whatever the others do.
///
/// # Errors
/// As [`at`].
pub(super) fn carried_alone<W: Workings>(
    asked: Asked<'_>,
    loss: &HeatLoss,
    flow_c: f64,
    room: Index<Room>,
    w: &mut W,
) -> Result<bool, DesignError> {
    let common = common(asked.duty(), loss, flow_c, w)?;
    Ok(!alone(&common, room, w)?.is_short(asked.survey, loss, room))
}

/// A house with the emitters of one room.
fn alone<W: Workings>(common: &Common<'_>, room: Index<Room>, w: &mut W) -> Result<Emitters, DesignError> {
    let rooms = &common.survey.rooms;
    let mut found = Emitters { rooms: rooms.filled(List::default()), ..empty(common, rooms.filled(0.0)) };
    found.rooms[room] = one_room(common, room, 0.0, w)?;
    Ok(found)
}

/// Rooms that the lines of heated floors pass.
pub(super) fn passed(survey: &Survey) -> Vec<Index<Room>> {
    let all = survey.rooms.iter().flat_map(|room| &room.emitters).filter_map(|emitter| emitter.floor());
    all.flat_map(|floor| &floor.laying.passes).map(|(room, _)| *room).collect()
}

pub(super) fn common<'s, W: Workings>(
    asked: Asked<'s>,
    loss: &'s HeatLoss,
    flow_c: f64,
    w: &mut W,
) -> Result<Common<'s>, DesignError> {
    let Asked { survey, tells, budget, known } = asked;
    let mean_c = carried_heat::mean_temperature(flow_c, survey.heating.drop_k, &mut Off);
    let fluid = survey.heating.fluid;
    let water = fluid.at(mean_c).map_err(DesignError::at("/heating"))?;
    let conductivity_w_mk = fluid.conductivity(mean_c).map_err(DesignError::at("/heating"))?;
    let [heat, ..] = fluid.sources();
    w.cite(heat);
    Ok(Common { survey, loss, water, conductivity_w_mk, flow_c, tells, budget, known })
}

/// Heat that lines give to the rooms that they pass, once it changes no more.
///
/// Two floors whose lines pass each other's rooms may change spacing to and fro for ever.
fn settled<W: Workings>(common: &Common<'_>, w: &mut W) -> Result<FromLines, DesignError> {
    let rooms = &common.survey.rooms;
    let mut each_w = rooms.filled(0.0);
    let mut floors = common.survey.rooms.iter().flat_map(|room| &room.emitters).filter_map(|emitter| emitter.floor());
    if floors.all(|floor| floor.laying.passes.is_empty()) {
        return Ok(FromLines { each_w, is_settled: true });
    }
    let mut least_w = rooms.filled(f64::INFINITY);
    for number in 0..MOST_ROUNDS {
        let next_w = round(common, each_w.clone(), w)?.lines_w(common.survey);
        let change_w = next_w.iter().zip(&each_w).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        each_w = next_w;
        if change_w < SETTLED_W {
            return Ok(FromLines { each_w, is_settled: true });
        }
        if number >= MOST_ROUNDS - LAST_ROUNDS {
            least_w.iter_mut().zip(&each_w).for_each(|(least_w, given_w)| *least_w = least_w.min(*given_w));
        }
    }
    Ok(FromLines { each_w: least_w, is_settled: false })
}

/// Every emitter, with what lines give to the rooms taken off their loads.
fn round<W: Workings>(common: &Common<'_>, from_lines_w: List<Room, f64>, w: &mut W) -> Result<Emitters, DesignError> {
    let mut found = empty(common, from_lines_w);
    for room in common.survey.rooms.indices() {
        let emitters = one_room(common, room, found.from_lines_w[room], w)?;
        found.rooms.push(emitters);
    }
    Ok(found)
}

/// A house without emitters yet.
fn empty(common: &Common<'_>, from_lines_w: List<Room, f64>) -> Emitters {
    Emitters {
        flow_c: common.flow_c,
        lowest: None,
        water: common.water,
        rooms: List::default(),
        from_lines_w,
        downward_w: 0.0,
        next_door: Vec::new(),
        unmet: Vec::new(),
        warnings: Vec::new(),
    }
}

/// The emitters of one room, with what lines give to it taken off their loads.
fn one_room<W: Workings>(
    common: &Common<'_>,
    room: Index<Room>,
    from_lines_w: f64,
    w: &mut W,
) -> Result<List<survey::Emitter, Emitter>, DesignError> {
    let Common { survey, loss, flow_c, .. } = *common;
    let loss_w = to_carry_w(survey, loss, room);
    let left_w = last_steps::left_to_carry(loss_w, from_lines_w, &mut Off);
    if let Some(designed) = (!w.listens()).then(|| common.designed(room, from_lines_w)).flatten() {
        return Ok(designed);
    }
    for source in [&ENERGY_BALANCE, &FLUID_MECHANICS] {
        w.cite(source);
    }
    let written = &survey.rooms[room].emitters;
    // each emitter looks through what is on offer for it
    let offered = written.iter().map(|emitter| match &emitter.kind {
        EmitterKind::Radiator { hanging, .. } => on_offer::offered(survey, hanging),
        EmitterKind::FanConvector(_) => survey.offer.fan_convectors.len(),
        EmitterKind::HeatedFloor(_) => 0,
    });
    let steps = offered.map(|offered| offered + STEPS_OF_AN_EMITTER).sum();
    let charged = common.budget.spend_steps(steps, STEPS_PER_UNIT);
    charged.map_err(DesignError::at(format!("/rooms/{}", survey.names.rooms[room])))?;
    let loads = shares::loads(common, room, left_w, &mut w.unshown())?;
    let mut emitters = List::default();
    for ((which, emitter), (load_w, designed)) in written.enumerate().zip(loads) {
        let mut w = w.at(|| format!("/emitters/rooms/{room}/emitters/{which}"));
        let at = |error: MethodError| {
            DesignError::at(survey.names.emitter_pointer(EmitterAt { room, emitter: which }))(error)
        };
        let is_needless = shares::is_needless(emitter, load_w);
        if let Some(designed) = designed.filter(|_| !w.records()) {
            emitters.push(designed);
            continue;
        }
        let share = if left_w > 0.0 { load_w / left_w } else { 0.0 };
        shown::load((loss_w, from_lines_w), share, &mut w.within("load_w"));
        let designed = match &emitter.kind {
            EmitterKind::Radiator { .. } if is_needless => Emitter::none(load_w, flow_c, Kind::Radiator(None)),
            EmitterKind::FanConvector(_) if is_needless => Emitter::none(load_w, flow_c, Kind::FanConvector(None)),
            EmitterKind::Radiator { hanging, existing } => {
                radiator::design(common, room, load_w, hanging, *existing, &mut w).map_err(at)?
            }
            EmitterKind::FanConvector(blowing) => fan::design(common, room, load_w, blowing, &mut w).map_err(at)?,
            EmitterKind::HeatedFloor(floor) => {
                floor::design(common, EmitterAt { room, emitter: which }, load_w, floor, &mut w).map_err(at)?
            }
        };
        designed.show_flows(&common.water, &mut w);
        emitters.push(designed);
    }
    common.keep(room, from_lines_w, &emitters);
    Ok(emitters)
}
