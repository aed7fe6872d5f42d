//! Emitters: radiators by EN 442, heated floors by EN 1264, all on one flow temperature.
//!
//! Every emitter is chosen for its capacity at the nominal drop and then runs at its duty, the room's loss: the
//! return follows, and lies below flow less drop.

mod answer;
mod floor;
mod radiator;

pub use answer::{EmitterRow, EmittersAnswer, LoopRow, RoomEmitters};
pub use floor::Floor;
pub use radiator::{Radiator, Standing};

use super::DesignError;
use super::findings::{Place, Unmet, Warning};
use super::heat_loss::HeatLoss;
use crate::methods::water::{Water, water};
use crate::methods::{MethodError, Workings, en_442};
use crate::sources::{EN_442, EN_1264_2, EN_1264_3, EN_12831, ENERGY_BALANCE, IAPWS_IF97, Source, TRADE_PRACTICE};
use crate::survey::{EmitterKind, Survey};

/// Hottest flow that a screed bears (°C): common practice for cement and calcium sulphate alike.
pub(super) const SCREED_LIMIT_C: f64 = 55.0;

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Emitters {
    /// Common flow temperature (°C).
    pub flow_c: f64,
    /// The water of every emitter, run and loop.
    pub water: Water,
    /// Emitters of each room.
    pub rooms: Vec<Vec<Emitter>>,
    /// Heat that heated floors give downward (W).
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

/// What an emitter is, with what was chosen.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A radiator; nothing if none fits.
    Radiator(Option<Radiator>),
    /// A heated floor.
    Floor(Floor),
}

/// What every emitter of a house has in common.
pub(super) struct Common<'s> {
    pub survey: &'s Survey,
    pub loss: &'s HeatLoss,
    pub water: Water,
}

impl Common<'_> {
    pub(super) fn flow_c(&self) -> f64 {
        self.survey.heating.flow_c
    }

    /// Excess temperature at the nominal drop; nothing where the return would be no warmer than the room (K).
    pub(super) fn nominal_excess_k(&self, room: usize, w: &mut impl Workings) -> Option<f64> {
        let (flow_c, drop_k) = (self.flow_c(), self.survey.heating.drop_k);
        en_442::logarithmic_excess(flow_c, flow_c - drop_k, self.survey.rooms[room].inside_c, w).ok()
    }
}

/// Computes the stage.
///
/// # Errors
/// [`DesignError::Method`] if a floor lies outside what the standard covers, or the water outside its range.
pub fn compute<W: Workings>(survey: &Survey, loss: &HeatLoss, w: &mut W) -> Result<Emitters, DesignError> {
    let water = water(survey.heating.mean_c()).map_err(DesignError::at("/heating"))?;
    let common = Common { survey, loss, water };
    let mut found = Emitters {
        flow_c: survey.heating.flow_c,
        water,
        rooms: Vec::with_capacity(survey.rooms.len()),
        downward_w: 0.0,
        unmet: Vec::new(),
        warnings: Vec::new(),
    };
    for (index, room) in survey.rooms.iter().enumerate() {
        let loss_w = loss.rooms[index].design_heat_loss_w.max(0.0);
        if room.emitters.is_empty() && loss_w > 0.0 {
            found.unmet.push(Unmet { place: Place::Room(index), need: loss_w, reached: 0.0 });
        }
        let mut emitters = Vec::with_capacity(room.emitters.len());
        for (which, emitter) in room.emitters.iter().enumerate() {
            let load_w = emitter.share * loss_w;
            let mut w = w.at(|| format!("/emitters/rooms/{index}/emitters/{which}"));
            let at = |error: MethodError| {
                let (room, emitter) = (&survey.names.rooms[index], &survey.names.emitters[index][which]);
                DesignError::at(format!("/rooms/{room}/emitters/{emitter}"))(error)
            };
            let emitter = match &emitter.kind {
                EmitterKind::Radiator { fit_mm, existing } => {
                    radiator::design(&common, index, load_w, *fit_mm, *existing, &mut w).map_err(at)?
                }
                EmitterKind::HeatedFloor(floor) => floor::design(&common, index, load_w, floor, &mut w).map_err(at)?,
            };
            found.note(survey, index, which, &emitter);
            emitters.push(emitter);
        }
        found.rooms.push(emitters);
    }
    found.warn_of_low_excess();
    found.check_screed();
    Ok(found)
}

impl Emitters {
    /// Floors by their manifold: room, emitter and floor.
    pub fn floors(&self) -> impl Iterator<Item = (usize, usize, &Floor, &Emitter)> {
        self.rooms.iter().enumerate().flat_map(|(room, emitters)| {
            emitters.iter().enumerate().filter_map(move |(index, emitter)| match &emitter.kind {
                Kind::Floor(floor) => Some((room, index, floor, emitter)),
                Kind::Radiator(_) => None,
            })
        })
    }

    /// Radiators that hang in the finished house: room, emitter and radiator.
    pub fn radiators(&self) -> impl Iterator<Item = (usize, usize, &Radiator)> {
        self.rooms.iter().enumerate().flat_map(|(room, emitters)| {
            emitters.iter().enumerate().filter_map(move |(index, emitter)| match &emitter.kind {
                Kind::Radiator(Some(radiator)) => Some((room, index, radiator)),
                Kind::Radiator(None) | Kind::Floor(_) => None,
            })
        })
    }

    fn note(&mut self, survey: &Survey, room: usize, which: usize, emitter: &Emitter) {
        let short = emitter.load_w > emitter.output_w * (1.0 + 1e-9);
        let place = match &emitter.kind {
            Kind::Radiator(Some(radiator)) if radiator.standing == Standing::Kept => Place::KeptRadiator(room, which),
            Kind::Radiator(_) => Place::Radiator(room, which),
            Kind::Floor(floor) => {
                self.downward_w += floor.downward_w;
                if survey.rooms[room].undersides.is_empty() {
                    self.warnings.push(Warning::NoUnderside(room, which));
                }
                Place::HeatedFloor(room, which)
            }
        };
        if short {
            self.unmet.push(Unmet { place, need: emitter.load_w, reached: emitter.output_w });
        }
    }

    /// One warning when radiators work below the excess temperatures of their tests: the lowest, at its duty.
    fn warn_of_low_excess(&mut self) {
        let lowest = self
            .radiators()
            .filter(|(room, which, _)| self.rooms[*room][*which].output_w > 0.0)
            .map(|(room, _, radiator)| (room, radiator.excess_k))
            .min_by(|(_, a), (_, b)| a.total_cmp(b));
        if let Some((room, excess_k)) = lowest.filter(|(_, excess_k)| *excess_k < en_442::TESTED_FROM_K) {
            self.warnings.push(Warning::BelowTestedRange(room, excess_k));
        }
    }

    /// Screed must not be fed hotter than it bears.
    fn check_screed(&mut self) {
        if self.flow_c > SCREED_LIMIT_C && self.floors().next().is_some() {
            self.unmet.push(Unmet { place: Place::Screed, need: SCREED_LIMIT_C, reached: self.flow_c });
        }
    }
}

/// The published sources that this stage rests on.
#[must_use]
pub fn sources(survey: &Survey) -> Vec<&'static Source> {
    let has = |floor: bool| {
        let mut emitters = survey.rooms.iter().flat_map(|room| &room.emitters);
        emitters.any(|emitter| matches!(emitter.kind, EmitterKind::HeatedFloor(_)) == floor)
    };
    let mut sources = vec![&IAPWS_IF97];
    if has(false) {
        sources.extend([&EN_442, &ENERGY_BALANCE]);
    }
    if has(true) {
        sources.extend([&EN_1264_2, &EN_1264_3, &EN_442, &EN_12831, &TRADE_PRACTICE]);
    }
    sources
}
