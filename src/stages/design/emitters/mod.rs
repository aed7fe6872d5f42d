//! Emitters: radiators by EN 442, fan convectors by their data, heated floors by EN 1264, ISO 11855-2 or their test and
//! by conduction, all on one flow temperature.
//!
//! Every emitter is chosen for its capacity at the nominal drop. How it runs is told in two states: as it is set, its valve at
//! rest, and at its load, where its thermostat holds the room.

mod answer;
mod aside;
mod at_flow;
mod cautions;
mod choice;
mod fan;
mod findings;
mod floor;
mod flowing;
mod known;
mod left_open;
mod lowest;
mod next_door;
mod on_offer;
mod radiator;
mod rounds;
mod shares;
mod shown;
mod stage;
mod unmet;
mod warning;

pub use answer::{EmitterRow, EmittersAnswer, FanRow, FlowingRow, HeatedFromRow, LoopRow, RoomEmitters};
pub use aside::{Aside, AsideWhy};
pub use cautions::Caution;
pub use fan::FanConvector;
pub use floor::{
    Besides, Beyond, ByConduction, CoolingRow, CoveringRow, Floor, FloorCooling, FloorRow, LineRow, Zone, ZoneRow,
};
pub(super) use floor::{loop_bore, loop_drop};
pub use flowing::Flowing;
pub use lowest::{Lowest, STEP_K, Sought, furthest, lowest, lowest_without};
pub use next_door::NextDoor;
pub use radiator::{Radiator, Standing};
pub use rounds::{at, redone};
pub use unmet::{Unmet, Why};
pub use warning::Warning;

pub use super::stage::{Asked, Tells};

use super::DesignError;
use super::heat_loss::HeatLoss;
use crate::catalogue::products::Product;
use crate::job::emitters::Keep;
use crate::job::pipework::Manifold;
use crate::list::{Index, List};
use crate::methods::en_442::Mean;
use crate::methods::water::Liquid;
use crate::methods::{Budget, MethodError, Off, Workings, carried_heat, en_442, open_door};
use crate::survey::{self, EmitterAt, Room};
use crate::survey::{Flow, Survey};

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
    pub water: Liquid,
    /// Emitters of each room.
    pub rooms: List<Room, List<survey::Emitter, Emitter>>,
    /// Heat that the lines of heated floors give to each room that they pass (W).
    pub from_lines_w: List<Room, f64>,
    /// Heat that heated floors give downward, and what lines give to rooms beyond their losses (W).
    pub downward_w: f64,
    /// How rooms stand that others heat.
    pub next_door: Vec<NextDoor>,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

/// One emitter and how it runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Emitter {
    /// Part of the room's loss that it should carry (W).
    pub load_w: f64,
    /// What it could give at the nominal drop (W): that alone decides whether it is enough.
    pub capacity_w: f64,
    /// As it is set, with its room at the temperature that it is designed for.
    pub set: Flowing,
    /// At its load, which its thermostat holds it to.
    pub at_load: Flowing,
    /// What it is.
    pub kind: Kind,
}

impl Emitter {
    /// The place of an emitter where none is: it gives nothing, and no water flows.
    fn none(load_w: f64, flow_c: f64, kind: Kind) -> Self {
        let set = Flowing { output_w: 0.0, return_c: flow_c, flow_kg_s: 0.0 };
        Self { load_w, capacity_w: 0.0, set, at_load: set, kind }
    }

    /// What of its load it carries by what it could give at the nominal drop (W).
    #[must_use]
    pub fn reached_w(&self) -> f64 {
        self.load_w.min(self.capacity_w)
    }

    /// Whether it is not enough at the nominal drop.
    #[must_use]
    pub fn is_short(&self) -> bool {
        self.load_w > self.capacity_w * (1.0 + 1e-9)
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
    /// A heated floor that the tables of its kind do not hold, at none of its spacings: it is not designed.
    BeyondTables(Beyond),
}

impl Kind {
    /// Whether a radiator or fan convector is hung anew, with valves of its own.
    #[must_use]
    pub fn is_hung(&self) -> bool {
        match self {
            Self::Radiator(radiator) => {
                radiator.is_some_and(|radiator| matches!(radiator.standing, Standing::New | Standing::Replaced))
            }
            Self::FanConvector(unit) => unit.is_some_and(|unit| unit.is_enough),
            Self::Floor(_) | Self::BeyondTables(_) => false,
        }
    }

    /// Index in the book of a radiator or fan convector, and whether it is taken: otherwise it is the strongest that fits.
    #[must_use]
    pub fn product(&self) -> Option<(Index<Product>, bool)> {
        match self {
            Self::Radiator(radiator) => {
                let radiator = radiator.as_ref()?;
                Some((radiator.product?, radiator.standing != Standing::TooSmall))
            }
            Self::FanConvector(unit) => unit.as_ref().map(|unit| (unit.product, unit.is_enough)),
            Self::Floor(_) | Self::BeyondTables(_) => None,
        }
    }
}

/// What the emitters of a room have to carry (W): its own loss and that of the rooms which are heated from it, as far as an open
/// door passes it; nothing in a room that another heats.
#[must_use]
pub fn to_carry_w(survey: &Survey, loss: &HeatLoss, room: Index<Room>) -> f64 {
    if survey.rooms[room].heated_from.is_some() {
        return 0.0;
    }
    let own_w = |room: Index<Room>| loss.rooms[room].design_heat_loss_w.max(0.0);
    let heated = survey.rooms.enumerate().filter(|(_, other)| other.heated_from == Some(room));
    own_w(room) + heated.map(|(other, _)| own_w(other).min(open_door::MOST_W)).sum::<f64>()
}

/// What every emitter of a house has in common.
#[derive(Clone, Copy)]
pub(super) struct Common<'s> {
    pub survey: &'s Survey,
    pub loss: &'s HeatLoss,
    pub water: Liquid,
    /// Thermal conductivity of the water (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Common flow temperature (°C).
    pub flow_c: f64,
    /// Whether floors tell more than how they run: their lowest flow, the coverings that they bear, their cooling.
    pub tells: Tells,
    /// Work that may still be done.
    pub budget: &'s Budget,
    /// Rooms that were designed before.
    pub known: Option<&'s crate::design::known::Known<'s>>,
}

impl Common<'_> {
    /// The mean that radiators are reckoned by.
    pub(super) fn mean(&self) -> Mean {
        self.survey.heating.radiator_mean
    }

    /// The water, and its conductivity (W/(mK)), midway between a flow temperature and the nominal return.
    pub(super) fn water_at(&self, flow_c: f64) -> Result<(Liquid, f64), MethodError> {
        if (flow_c - self.flow_c).abs() < SAME_K {
            return Ok((self.water, self.conductivity_w_mk));
        }
        let mean_c = carried_heat::mean_temperature(flow_c, self.survey.heating.drop_k, &mut Off);
        let fluid = self.survey.heating.fluid;
        Ok((fluid.at(mean_c)?, fluid.conductivity(mean_c)?))
    }

    /// Excess temperature of radiators at the nominal drop, by their mean (K); nothing where the return would be no warmer
    /// than the room.
    pub(super) fn nominal_excess_k(&self, room: Index<Room>, w: &mut impl Workings) -> Option<f64> {
        let (flow_c, drop_k) = (self.flow_c, self.survey.heating.drop_k);
        let room_c = self.survey.rooms[room].inside_c;
        en_442::excess(self.mean(), flow_c, flow_c - drop_k, room_c, w).ok()
    }
}

/// Computes the stage, at the flow temperature that the job gives, or at the lowest that will do.
///
/// # Errors
/// As [`at`].
pub fn compute<W: Workings>(asked: Asked<'_>, loss: &HeatLoss, w: &mut W) -> Result<Emitters, DesignError> {
    let found = match asked.survey.heating.flow {
        Flow::Fixed(flow_c) => at(asked, loss, flow_c, w)?.with_next_door(asked, loss, w)?,
        Flow::Lowest(least_c, most_c) => {
            let Sought { lowest, found, .. } = lowest::lowest(asked, loss, (least_c, most_c), &mut w.unshown())?;
            // what was looked at on the way tells how floors run, and records nothing
            let is_all = asked.tells == Tells::Duty && !w.records();
            if is_all {
                return Ok(Emitters { lowest: Some(lowest), ..found });
            }
            let mut found = at(asked, loss, lowest.flow_c, w)?;
            found.tell_aside(asked, loss, &lowest.aside)?;
            Emitters { lowest: Some(lowest), ..found }.with_next_door(asked, loss, w)?
        }
    };
    found.show(asked.survey, loss, w);
    Ok(found)
}

impl Emitters {
    /// The emitter of a place.
    #[must_use]
    pub fn emitter(&self, at: EmitterAt) -> &Emitter {
        &self.rooms[at.room][at.emitter]
    }

    /// Every emitter, with where it stands.
    pub fn each(&self) -> impl Iterator<Item = (EmitterAt, &Emitter)> {
        self.rooms.enumerate().flat_map(|(room, emitters)| {
            emitters.enumerate().map(move |(emitter, found)| (EmitterAt { room, emitter }, found))
        })
    }

    /// Floors, each with where it lies.
    pub fn floors(&self) -> impl Iterator<Item = (EmitterAt, &Floor, &Emitter)> {
        self.each().filter_map(|(at, emitter)| match &emitter.kind {
            Kind::Floor(floor) => Some((at, floor.as_ref(), emitter)),
            Kind::Radiator(_) | Kind::FanConvector(_) | Kind::BeyondTables(_) => None,
        })
    }

    /// Radiators that the design goes on with, each with where it hangs.
    pub fn radiators(&self) -> impl Iterator<Item = (EmitterAt, &Radiator)> {
        self.each().filter_map(|(at, emitter)| match &emitter.kind {
            Kind::Radiator(Some(radiator)) => Some((at, radiator)),
            Kind::Radiator(None) | Kind::FanConvector(_) | Kind::Floor(_) | Kind::BeyondTables(_) => None,
        })
    }

    /// Whether an emitter has nothing to carry and is left out.
    #[must_use]
    pub fn is_left_out(&self, survey: &Survey, at: EmitterAt) -> bool {
        shares::is_needless(survey.emitter(at), self.emitter(at).load_w)
    }

    /// Radiators and fan convectors that are bought, those that are not enough left out: room and index in the book.
    pub fn bought(&self) -> impl Iterator<Item = (Index<Room>, Index<Product>)> {
        let radiators = self.radiators().filter_map(|(at, radiator)| match radiator.standing {
            Standing::New | Standing::Replaced => Some((at.room, radiator.product?)),
            Standing::Kept | Standing::TooSmall => None,
        });
        let fans = self.fan_convectors().filter(|(.., unit)| unit.is_enough);
        radiators.chain(fans.map(|(at, unit)| (at.room, unit.product)))
    }

    /// How many radiators that hung there are taken out.
    #[must_use]
    pub fn removed(&self, survey: &Survey) -> u32 {
        let written = survey.rooms.iter().map(|room| &room.emitters);
        let both = self.rooms.iter().zip(written).flat_map(|(found, written)| found.iter().zip(written));
        let goes =
            both.filter(|(found, written)| match (&found.kind, written.existing().map(|existing| existing.keep)) {
                (_, Some(Keep::Never)) => true,
                (Kind::Radiator(Some(radiator)), Some(Keep::IfEnough)) => radiator.standing == Standing::Replaced,
                (_, Some(Keep::Always | Keep::IfEnough) | None) => false,
            });
        goes.map(|_| 1).sum()
    }

    /// What the lines of all floors give to each room that they pass (W).
    fn lines_w(&self, survey: &Survey) -> List<Room, f64> {
        let mut sum_w = survey.rooms.filled(0.0);
        for &(room, given_w) in self.floors().flat_map(|(.., floor, _)| &floor.at_load.lines_w) {
            sum_w[room] += given_w;
        }
        sum_w
    }

    /// The floor that needs the warmest flow, without those of bathrooms and those that other emitters make up for: where
    /// it lies and that flow temperature (°C).
    #[must_use]
    pub fn neediest_floor(&self, survey: &Survey) -> Option<(EmitterAt, f64)> {
        let floors = self.floors().filter(|(at, ..)| {
            let emitters = &survey.rooms[at.room].emitters;
            survey.rooms[at.room].sets_flow && !shares::is_helped(emitters, at.emitter)
        });
        let flows = floors.filter_map(|(at, floor, _)| Some((at, floor.least_flow_c?)));
        flows.max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// Whether a floor hangs on a manifold.
pub(super) fn is_on(survey: &Survey, at: EmitterAt, manifold: Index<Manifold>) -> bool {
    survey.emitter(at).floor().is_some_and(|floor| floor.laying.manifold == manifold)
}
