//! Needs that a design does not meet.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::catalogue::binder::Binder;
use crate::job::pipework::Manifold;
use crate::list::Index;
use crate::survey::{self, EmitterAt, Run};

/// A need that the design does not meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unmet {
    /// What is wanting, and where.
    pub place: Place,
    /// What is needed, in the unit of the place.
    pub need: f64,
    /// What was reached.
    pub reached: f64,
}

/// Where a need is not met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// A room with a loss and no emitter (W).
    Room(Index<survey::Room>),
    /// No radiator fits that carries its share: room and emitter (W).
    Radiator(EmitterAt),
    /// No fan convector fits that carries its share: room and emitter (W).
    FanConvector(EmitterAt),
    /// No radiator or fan convector can be taken at all: room and emitter (W).
    Nothing(EmitterAt, Why),
    /// No radiator that fits is stronger than the one that hangs there, which is too weak: room and emitter (W).
    OldRadiator(EmitterAt),
    /// A radiator that stays in any case does not carry its share: room and emitter (W).
    KeptRadiator(EmitterAt),
    /// A heated floor does not carry its share: room and emitter (W).
    HeatedFloor(EmitterAt),
    /// The same, and its surface limit is why: room and emitter (W).
    HeldFloor(EmitterAt),
    /// No number of loops keeps a floor's loops within their pressure: room and emitter (kPa).
    Loops(EmitterAt),
    /// The common flow is hotter than a screed bears (°C).
    Screed,
    /// A manifold with more loops than any on offer feeds (loops).
    Manifold(Index<Manifold>),
    /// No heat source carries the load (W).
    HeatSource,
    /// No tube is on offer at all.
    NoTube(Pipe),
    /// A new tube breaks a limit that none on offer keeps, in the unit of the limit.
    NewTube(Pipe, Breaks),
    /// A tube that stays must not, in the unit of the limit.
    KeptTube(Pipe, Breaks),
    /// No bore explains the readings of a tube that nobody can see: run.
    Unexplained(Index<Run>),
    /// A tube that nobody can see lets too little heat through: run (W).
    HiddenTube(Index<Run>),
    /// Less flow than the heat source runs with while hot water is made (l/h).
    HotWaterFlow,
    /// Less flow than the heat source runs with while floors cool (l/h).
    CoolingFlow,
    /// No flexible hose of the price book is wide and long enough: the length (mm); Kv (m³/h).
    Hoses(u32),
    /// Insulation is given with the job and has no price.
    GivenPart(&'static str),
    /// The heat source's own pump is not strong enough (kPa).
    Pump,
    /// Its own pump is not strong enough for the hot-water circuit (kPa).
    HotWaterPump,
    /// The heat source's own pump is not strong enough while floors cool (kPa).
    CoolingPump,
    /// The second pump is not strong enough while floors cool (kPa).
    CoolingSecondPump,
    /// No second pump on offer carries the system (kPa).
    SecondPump,
    /// No buffer vessel on offer is large enough (l).
    Buffer,
    /// No cylinder is large enough (l).
    Cylinder,
    /// No expansion vessel is large enough (l).
    Vessel,
    /// The heat source has no price: it is given with the job.
    HeatSourcePrice,
    /// The boards of the price book are thinner than the insulation that a floor is designed with: room (mm).
    Board(Index<survey::Room>),
    /// No screed of the price book has the binder that floors are designed with.
    ScreedBinder(Binder),
    /// A loop is longer than the coil that it would be cut from (m).
    Coil,
    /// The price book has no product that the bill needs; the index tells which kind.
    Product(Wanted),
}

/// A run, or a circuit of the plant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pipe {
    /// A run of the tree.
    Run(Index<Run>),
    /// The circuit to the outdoor unit, at the flow of heating.
    Primary,
    /// The same, while hot water is made.
    PrimaryMaking,
    /// The circuit to the cylinder.
    HotWater,
}

/// A limit that a tube can break.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breaks {
    /// Faster than its place allows, for the noise (m/s).
    Noise,
    /// Faster than its material bears (m/s).
    Erosion,
    /// Too slow to carry air along (m/s).
    Slow,
    /// Hotter than it bears (°C).
    Temperature,
    /// Under more pressure than it bears (bar).
    Pressure,
    /// Thicker than a hole that the joists bear (mm).
    Hole,
    /// A steeper gradient than the handbook's rule allows (Pa/m).
    Gradient,
    /// Readings that no bore explains.
    Unexplained,
    /// More head than the pump has left for it (kPa).
    Pump,
    /// No cheaper than what was taken.
    Cost,
    /// More head or electricity than the cheapest whole has for it.
    Head,
}

/// Why no radiator or fan convector can be taken at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// The price book has none.
    Book,
    /// None on offer fits.
    Fit,
    /// The water comes back no warmer than the room.
    Water,
    /// None that fits is quiet enough at any speed.
    Sound,
    /// The water is cooler than the data of those that fit.
    Data,
}

impl Place {
    /// The room and the emitter, where it is one.
    #[must_use]
    pub fn emitter(self) -> Option<EmitterAt> {
        match self {
            Self::Radiator(at)
            | Self::OldRadiator(at)
            | Self::KeptRadiator(at)
            | Self::Nothing(at, _)
            | Self::FanConvector(at)
            | Self::HeatedFloor(at)
            | Self::HeldFloor(at)
            | Self::Loops(at) => Some(at),
            Self::Room(_)
            | Self::Screed
            | Self::Manifold(_)
            | Self::HeatSource
            | Self::NoTube(_)
            | Self::NewTube(..)
            | Self::KeptTube(..)
            | Self::Unexplained(_)
            | Self::HiddenTube(_)
            | Self::HotWaterFlow
            | Self::CoolingFlow
            | Self::GivenPart(_)
            | Self::Hoses(_)
            | Self::Pump
            | Self::HotWaterPump
            | Self::CoolingPump
            | Self::CoolingSecondPump
            | Self::SecondPump
            | Self::Buffer
            | Self::Cylinder
            | Self::Vessel
            | Self::HeatSourcePrice
            | Self::Board(_)
            | Self::ScreedBinder(_)
            | Self::Coil
            | Self::Product(_) => None,
        }
    }
}

/// A kind of product that a bill needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Valves of a radiator.
    RadiatorValves,
    /// The electrical connection of a fan convector.
    FusedSpur,
    /// The limiter of a floor's flow temperature.
    FlowLimiter,
    /// Insulation boards.
    InsulationBoard,
    /// Separating layer under a calcium sulphate screed.
    SeparatingLayer,
    /// Edge strip.
    EdgeStrip,
    /// Screed.
    Screed,
    /// Strainer, valves and gauges of the plant room.
    PlantKit,
    /// Corrosion inhibitor.
    Inhibitor,
    /// A vessel to part heat source and system.
    BufferVessel,
    /// Insulation for tubes.
    PipeInsulation,
    /// Valve that lets water out before it freezes.
    FreezeValve,
    /// Antifreeze.
    Antifreeze,
}

/// An answer that points into the job.
pub trait Pointed {
    /// Every JSON Pointer into the job that it holds, to be settled on places that the job has.
    fn pointers(&mut self) -> Vec<&mut String> {
        Vec::new()
    }
}

/// A need that the design does not meet, as it is answered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UnmetRow {
    /// Stable name of what is wanting, in snake case.
    pub code: Cow<'static, str>,
    /// JSON Pointer into the job, to the place.
    pub pointer: String,
    /// The need in plain words.
    pub detail: String,
    /// What is needed, in the unit beside it.
    pub need: f64,
    /// What was reached, in the unit beside it.
    pub reached: f64,
    /// Unit of the two figures.
    pub unit: Cow<'static, str>,
}

impl Unmet {
    /// The room, where it is one that loses heat and has no emitter.
    #[must_use]
    pub fn bare_room(&self) -> Option<Index<survey::Room>> {
        if let Place::Room(room) = self.place { Some(room) } else { None }
    }
}
