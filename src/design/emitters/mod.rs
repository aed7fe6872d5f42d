//! Emitters: radiators by EN 442, fan convectors by their data, heated floors by EN 1264, ISO 11855-2 or their test and
//! by conduction, all on one flow temperature.
//!
//! Every emitter is chosen for its capacity at the nominal drop and then runs at its duty, the room's loss: the
//! return follows, and lies below flow less drop.

mod answer;
mod choice;
mod cited;
mod fan;
mod floor;
mod lowest;
mod radiator;
mod shares;
mod told;

pub use answer::{EmitterRow, EmittersAnswer, FanRow, LoopRow, RoomEmitters};
pub use cited::sources;
pub use fan::FanConvector;
pub(super) use floor::loop_drop;
pub use floor::{ByConduction, CoolingRow, CoveringRow, Floor, FloorCooling, FloorRow, LineRow, Zone, ZoneRow};
pub use lowest::{Lowest, STEP_K, furthest, lowest};
pub use radiator::{Radiator, Standing};

use super::DesignError;
use super::findings::{Unmet, Warning};
use super::heat_loss::HeatLoss;
use crate::methods::en_442::Mean;
use crate::methods::water::{self, Water};
use crate::methods::{MethodError, Off, Workings, en_442};
use crate::survey::{EmitterKind, Flow, Survey};

/// Hottest flow that a screed bears (°C): common practice for cement and calcium sulphate alike.
pub(super) const SCREED_LIMIT_C: f64 = 55.0;

/// Difference below which two flow temperatures are the same (K).
const SAME_K: f64 = 1e-9;

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Emitters {
    /// Common flow temperature (°C).
    pub flow_c: f64,
    /// How it was found, where the lowest was sought.
    pub lowest: Option<Lowest>,
    /// The water of every emitter, run and loop.
    pub water: Water,
    /// Emitters of each room.
    pub rooms: Vec<Vec<Emitter>>,
    /// Heat that the lines of heated floors give to each room that they pass (W).
    pub from_lines_w: Vec<f64>,
    /// Heat that heated floors give downward, and what lines give to rooms beyond their losses (W).
    pub downward_w: f64,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

/// One emitter at its duty.
#[derive(Debug, Clone, PartialEq)]
pub struct Emitter {
    /// Part of the room's loss that it should carry (W).
    pub load_w: f64,
    /// What it gives to the room (W).
    pub output_w: f64,
    /// What it could give at the nominal drop (W).
    pub capacity_w: f64,
    /// Its return temperature (°C).
    pub return_c: f64,
    /// Its flow (kg/s).
    pub flow_kg_s: f64,
    /// What it is.
    pub kind: Kind,
}

impl Emitter {
    /// The place of an emitter where none is: it gives nothing, and no water flows.
    fn none(load_w: f64, flow_c: f64, kind: Kind) -> Self {
        Self { load_w, output_w: 0.0, capacity_w: 0.0, return_c: flow_c, flow_kg_s: 0.0, kind }
    }
}

/// What an emitter is, with what was chosen.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A radiator; nothing if none fits.
    Radiator(Option<Radiator>),
    /// A fan convector; nothing if none fits.
    FanConvector(Option<FanConvector>),
    /// A heated floor.
    Floor(Box<Floor>),
}

/// How much floors tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tells {
    /// How they run, which is all that later stages ask.
    Duty,
    /// Their lowest flow, the coverings that they bear and their cooling as well.
    All,
}

/// What every emitter of a house has in common.
#[derive(Clone, Copy)]
pub(super) struct Common<'s> {
    pub survey: &'s Survey,
    pub loss: &'s HeatLoss,
    pub water: Water,
    /// Thermal conductivity of the water (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Common flow temperature (°C).
    pub flow_c: f64,
    /// Whether floors tell more than how they run: their lowest flow, the coverings that they bear, their cooling.
    pub tells: Tells,
}

impl Common<'_> {
    pub(super) fn flow_c(&self) -> f64 {
        self.flow_c
    }

    /// The mean that radiators are reckoned by.
    pub(super) fn mean(&self) -> Mean {
        self.survey.heating.radiator_mean
    }

    /// The water, and its conductivity (W/(mK)), midway between a flow temperature and the nominal return.
    pub(super) fn water_at(&self, flow_c: f64) -> Result<(Water, f64), MethodError> {
        if (flow_c - self.flow_c()).abs() < SAME_K {
            return Ok((self.water, self.conductivity_w_mk));
        }
        let mean_c = flow_c - 0.5 * self.survey.heating.drop_k;
        Ok((water::water(mean_c)?, water::conductivity(mean_c)?))
    }

    /// Excess temperature of radiators at the nominal drop, by their mean; nothing where the return would be no warmer than the room (K).
    pub(super) fn nominal_excess_k(&self, room: usize, w: &mut impl Workings) -> Option<f64> {
        let (flow_c, drop_k) = (self.flow_c(), self.survey.heating.drop_k);
        let room_c = self.survey.rooms[room].inside_c;
        en_442::excess(self.mean(), flow_c, flow_c - drop_k, room_c, w).ok()
    }
}

/// Rounds in which the heat of lines through other rooms settles; each room takes the lines of others as they were.
const MOST_ROUNDS: usize = 30;

/// Change of that heat at which it has settled (W).
const SETTLED_W: f64 = 1e-6;

/// Computes the stage, at the flow temperature that the job gives, or at the lowest that will do.
///
/// # Errors
/// As [`at`].
pub fn compute<W: Workings>(
    survey: &Survey,
    loss: &HeatLoss,
    tells: Tells,
    w: &mut W,
) -> Result<Emitters, DesignError> {
    match survey.heating.flow {
        Flow::Fixed(flow_c) => at(survey, loss, flow_c, tells, w),
        Flow::Lowest(least_c, most_c) => {
            let lowest = lowest::lowest(survey, loss, (least_c, most_c))?;
            let found = at(survey, loss, lowest.flow_c, tells, w)?;
            Ok(Emitters { lowest: Some(lowest), ..found })
        }
    }
}

/// Computes the stage at a flow temperature (°C).
///
/// # Errors
/// [`DesignError::Method`] if a floor lies outside what the standard covers, the water outside its range, or the heat of
/// lines does not settle.
pub fn at<W: Workings>(
    survey: &Survey,
    loss: &HeatLoss,
    flow_c: f64,
    tells: Tells,
    w: &mut W,
) -> Result<Emitters, DesignError> {
    let mean_c = flow_c - 0.5 * survey.heating.drop_k;
    let water = water::water(mean_c).map_err(DesignError::at("/heating"))?;
    let conductivity_w_mk = water::conductivity(mean_c).map_err(DesignError::at("/heating"))?;
    let common = Common { survey, loss, water, conductivity_w_mk, flow_c, tells };
    let from_lines_w = settled(&Common { tells: Tells::Duty, ..common })?;
    let mut found = round(&common, &from_lines_w, w)?;
    found.note_all(survey, loss);
    found.warn_of_low_excess();
    found.warn_of_arithmetic_mean(survey);
    found.warn_of_oversize(survey);
    found.warn_of_slow_loops();
    found.check_screed(survey);
    Ok(found)
}

/// Heat that lines give to the rooms that they pass, once it changes no more (W).
fn settled(common: &Common<'_>) -> Result<Vec<f64>, DesignError> {
    let rooms = common.survey.rooms.len();
    let mut from_lines_w = vec![0.0; rooms];
    let mut floors = common.survey.rooms.iter().flat_map(|room| &room.emitters).filter_map(|emitter| emitter.floor());
    if floors.all(|floor| floor.laying.passes.is_empty()) {
        return Ok(from_lines_w);
    }
    let mut change_w = f64::INFINITY;
    for _ in 0..MOST_ROUNDS {
        let next = round(common, &from_lines_w, &mut Off)?.lines_w(rooms);
        change_w = next.iter().zip(&from_lines_w).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        from_lines_w = next;
        if change_w < SETTLED_W {
            return Ok(from_lines_w);
        }
    }
    let error =
        MethodError::NotConverged { what: "the heat of floors' lines", iterations: MOST_ROUNDS, residual: change_w };
    Err(DesignError::at("/rooms")(error))
}

/// Every emitter, with what lines give to the rooms taken off their loads.
fn round<W: Workings>(common: &Common<'_>, from_lines_w: &[f64], w: &mut W) -> Result<Emitters, DesignError> {
    let Common { survey, loss, water, flow_c, .. } = *common;
    let mut found = Emitters {
        flow_c,
        lowest: None,
        water,
        rooms: Vec::with_capacity(survey.rooms.len()),
        from_lines_w: from_lines_w.to_vec(),
        downward_w: 0.0,
        unmet: Vec::new(),
        warnings: Vec::new(),
    };
    for (index, room) in survey.rooms.iter().enumerate() {
        let left_w = (loss.rooms[index].design_heat_loss_w.max(0.0) - from_lines_w[index]).max(0.0);
        let loads_w = shares::loads(common, index, left_w)?;
        let mut emitters = Vec::with_capacity(room.emitters.len());
        for (which, emitter) in room.emitters.iter().enumerate() {
            let load_w = loads_w[which];
            let mut w = w.at(|| format!("/emitters/rooms/{index}/emitters/{which}"));
            let at = |error: MethodError| DesignError::at(place(survey, index, which))(error);
            let is_needless = shares::is_needless(emitter, load_w);
            emitters.push(match &emitter.kind {
                EmitterKind::Radiator { .. } if is_needless => Emitter::none(load_w, flow_c, Kind::Radiator(None)),
                EmitterKind::FanConvector(_) if is_needless => Emitter::none(load_w, flow_c, Kind::FanConvector(None)),
                EmitterKind::Radiator { hanging, existing } => {
                    radiator::design(common, index, load_w, hanging, *existing, &mut w).map_err(at)?
                }
                EmitterKind::FanConvector(blowing) => {
                    fan::design(common, index, load_w, blowing, &mut w).map_err(at)?
                }
                EmitterKind::HeatedFloor(floor) => floor::design(common, index, load_w, floor, &mut w).map_err(at)?,
            });
        }
        found.rooms.push(emitters);
    }
    Ok(found)
}

impl Emitters {
    /// Floors by their manifold: room, emitter and floor.
    pub fn floors(&self) -> impl Iterator<Item = (usize, usize, &Floor, &Emitter)> {
        self.rooms.iter().enumerate().flat_map(|(room, emitters)| {
            emitters.iter().enumerate().filter_map(move |(index, emitter)| match &emitter.kind {
                Kind::Floor(floor) => Some((room, index, floor.as_ref(), emitter)),
                Kind::Radiator(_) | Kind::FanConvector(_) => None,
            })
        })
    }

    /// Radiators that the design goes on with: room, emitter and radiator.
    pub fn radiators(&self) -> impl Iterator<Item = (usize, usize, &Radiator)> {
        self.rooms.iter().enumerate().flat_map(|(room, emitters)| {
            emitters.iter().enumerate().filter_map(move |(index, emitter)| match &emitter.kind {
                Kind::Radiator(Some(radiator)) => Some((room, index, radiator)),
                Kind::Radiator(None) | Kind::FanConvector(_) | Kind::Floor(_) => None,
            })
        })
    }

    /// Radiators and fan convectors that are bought, those that are not enough left out: room and index in the book.
    pub fn bought(&self) -> impl Iterator<Item = (usize, usize)> {
        let radiators = self.radiators().filter_map(|(room, _, radiator)| match radiator.standing {
            Standing::New | Standing::Replaced => Some((room, radiator.product?)),
            Standing::Kept | Standing::TooSmall => None,
        });
        let fans = self.fan_convectors().filter(|(.., unit)| unit.is_enough);
        radiators.chain(fans.map(|(room, _, unit)| (room, unit.product)))
    }

    /// How many radiators that hung there are replaced.
    #[must_use]
    pub fn removed(&self) -> u32 {
        self.radiators().map(|(.., radiator)| u32::from(radiator.standing == Standing::Replaced)).sum()
    }

    /// What the lines of all floors give to each room that they pass (W).
    fn lines_w(&self, rooms: usize) -> Vec<f64> {
        let mut sum_w = vec![0.0; rooms];
        for &(room, given_w) in self.floors().flat_map(|(.., floor, _)| &floor.lines_w) {
            sum_w[room] += given_w;
        }
        sum_w
    }

    /// The floor that needs the warmest flow, without those of bathrooms and those that other emitters make up for: room,
    /// emitter and that flow temperature (°C).
    #[must_use]
    pub fn neediest_floor(&self, survey: &Survey) -> Option<(usize, usize, f64)> {
        let floors = self.floors().filter(|(room, index, ..)| {
            let emitters = &survey.rooms[*room].emitters;
            emitters[*index].floor().is_some_and(|floor| floor.sets_flow) && !shares::is_helped(emitters, *index)
        });
        let flows = floors.filter_map(|(room, index, floor, _)| Some((room, index, floor.least_flow_c?)));
        flows.max_by(|a, b| a.2.total_cmp(&b.2))
    }
}

/// Pointer to an emitter of the job.
fn place(survey: &Survey, room: usize, emitter: usize) -> String {
    format!("/rooms/{}/emitters/{}", survey.names.rooms[room], survey.names.emitters[room][emitter])
}

/// Whether a floor hangs on a manifold.
pub(super) fn is_on(survey: &Survey, room: usize, emitter: usize, manifold: usize) -> bool {
    survey.rooms[room].emitters[emitter].floor().is_some_and(|floor| floor.laying.manifold == manifold)
}
