//! What a stage finds beside its figures: needs that cannot be met, and what looks wrong. Found as plain data
//! while computing, put into words once.

use serde::Serialize;
use utoipa::ToSchema;

use crate::notes::Notes;
use crate::survey::Survey;

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
    Room(usize),
    /// No radiator fits that carries its share: room and emitter (W).
    Radiator(usize, usize),
    /// A radiator that stays in any case does not carry its share: room and emitter (W).
    KeptRadiator(usize, usize),
    /// A heated floor does not carry its share: room and emitter (W).
    HeatedFloor(usize, usize),
    /// A manifold with more loops than any on offer feeds (loops).
    Manifold(usize),
    /// No heat source carries the load (W).
    HeatSource,
    /// A run that no tube carries within its limits (Pa/m).
    Run(usize),
    /// The heat source's own pump is not strong enough (kPa).
    Pump,
    /// No cylinder is large enough (l).
    Cylinder,
    /// No expansion vessel is large enough (l).
    Vessel,
    /// The heat source has no price: it is given with the job.
    HeatSourcePrice,
    /// A loop is longer than the coil that it would be cut from (m).
    Coil,
    /// The price book has no product that the bill needs; the index tells which kind.
    Product(Wanted),
}

/// A kind of product that a bill needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Valves of a radiator.
    RadiatorValves,
    /// The limiter of a floor's flow temperature.
    FlowLimiter,
    /// Insulation boards.
    InsulationBoard,
    /// Edge strip.
    EdgeStrip,
    /// Screed.
    Screed,
    /// Strainer, valves and gauges of the plant room.
    PlantKit,
    /// Corrosion inhibitor.
    Inhibitor,
}

/// A need that the design does not meet, as it is answered.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct UnmetRow {
    /// Stable name of what is wanting, in snake case.
    pub code: &'static str,
    /// JSON Pointer into the job, to the place.
    pub pointer: String,
    /// The need in plain words.
    pub detail: String,
    /// What is needed, in the unit beside it.
    pub need: f64,
    /// What was reached, in the unit beside it.
    pub reached: f64,
    /// Unit of the two figures.
    pub unit: &'static str,
}

impl Unmet {
    /// The need in words.
    #[must_use]
    pub fn row(&self, survey: &Survey) -> UnmetRow {
        let names = &survey.names;
        let room = |room: usize| names.rooms[room].as_str();
        let emitter = |room: usize, emitter: usize| names.emitters[room][emitter].as_str();
        let Self { place, need, reached } = *self;
        let (code, unit, pointer, words) = match place {
            Place::Room(index) => (
                "no_emitter",
                "W",
                format!("/rooms/{}/emitters", room(index)),
                format!("room {} has no emitter", room(index)),
            ),
            Place::Radiator(index, which) => {
                let pointer = format!("/rooms/{}/emitters/{}", room(index), emitter(index, which));
                ("no_radiator", "W", pointer, format!("no radiator that fits room {} carries its loss", room(index)))
            }
            Place::KeptRadiator(index, which) => {
                let pointer = format!("/rooms/{}/emitters/{}", room(index), emitter(index, which));
                let words = format!("the radiator that stays in room {} does not carry its loss", room(index));
                ("kept_radiator_too_small", "W", pointer, words)
            }
            Place::HeatedFloor(index, which) => {
                let pointer = format!("/rooms/{}/emitters/{}", room(index), emitter(index, which));
                (
                    "floor_too_weak",
                    "W",
                    pointer,
                    format!("the heated floor of room {} does not carry its loss", room(index)),
                )
            }
            Place::Manifold(index) => {
                let id = &names.manifolds[index];
                let words = format!("no manifold on offer feeds the loops of {id}");
                ("manifold_too_small", "loops", format!("/pipework/manifolds/{id}"), words)
            }
            Place::HeatSource => {
                let words =
                    "no heat source on offer carries the house and its hot water in design conditions".to_owned();
                ("no_heat_source", "W", "/plant".to_owned(), words)
            }
            Place::Run(index) => {
                let id = &survey.pipes.runs[index].id;
                let words = format!("no tube carries run {id} within the limits of gradient and velocity");
                ("no_tube", "Pa/m", format!("/pipework/runs/{id}"), words)
            }
            Place::Pump => {
                let words = "the heat source's own pump does not overcome the index circuit".to_owned();
                ("pump_too_weak", "kPa", "/plant".to_owned(), words)
            }
            Place::Cylinder => {
                ("no_cylinder", "l", "/plant".to_owned(), "no cylinder on offer holds the hot water".to_owned())
            }
            Place::Vessel => {
                ("no_vessel", "l", "/plant".to_owned(), "no expansion vessel on offer is large enough".to_owned())
            }
            Place::HeatSourcePrice => {
                let words = "the heat source is given with the job and has no price; it is not in the bill".to_owned();
                ("no_price", "each", "/plant/heat_source".to_owned(), words)
            }
            Place::Coil => {
                let words = "a loop is longer than the coils of its tube; lay shorter loops".to_owned();
                ("coil_too_short", "m", "/rooms".to_owned(), words)
            }
            Place::Product(wanted) => {
                let words = format!("the price book has no {}; it is not in the bill", wanted.words());
                ("no_product", "each", "/commercial".to_owned(), words)
            }
        };
        UnmetRow {
            code,
            pointer,
            detail: format!("{words}: {need:.0} {unit} needed, {reached:.0} reached"),
            need,
            reached,
            unit,
        }
    }
}

impl Wanted {
    fn words(self) -> &'static str {
        match self {
            Self::RadiatorValves => "radiator valves",
            Self::FlowLimiter => "flow temperature limiter",
            Self::InsulationBoard => "insulation board",
            Self::EdgeStrip => "edge strip",
            Self::Screed => "screed",
            Self::PlantKit => "plant kit",
            Self::Inhibitor => "inhibitor",
        }
    }
}

/// Needs of several stages in words.
#[must_use]
pub fn rows<'u>(survey: &Survey, unmet: impl IntoIterator<Item = &'u Unmet>) -> Vec<UnmetRow> {
    unmet.into_iter().map(|unmet| unmet.row(survey)).collect()
}

/// What looks wrong in a design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warning {
    /// Radiators work below the excess temperatures that they were tested at (K).
    BelowTestedRange(f64),
    /// A heated floor lies on nothing that the room declares as its floor: room and emitter.
    NoUnderside(usize, usize),
    /// The chosen heat source's outputs do not have defrosting taken off.
    DefrostNotIncluded,
    /// A heat source on offer has no data at the design point: index on offer.
    OutsideItsData(usize),
    /// A tube that stays carries more than its limits: run, gradient (Pa/m), velocity (m/s).
    KeptTube(usize, f64, f64),
    /// A tax or grant rule ends before the date that it is asked for; the last one known is used.
    RuleBeyond,
}

impl Warning {
    /// Notes the warning in words.
    pub fn note(&self, survey: &Survey, notes: &mut Notes) {
        match *self {
            Self::BelowTestedRange(excess_k) => {
                let detail = format!(
                    "radiators work at an excess temperature down to {excess_k:.1} K; ratings are tested from 30 K up"
                );
                notes.warn("below_tested_range", "/heating", detail);
            }
            Self::NoUnderside(room, emitter) => {
                let (room, emitter) = (&survey.names.rooms[room], &survey.names.emitters[room][emitter]);
                let detail = "the room declares no floor, so nothing is reckoned to go down from its heated floor";
                notes.warn("no_underside", format!("/rooms/{room}/emitters/{emitter}"), detail);
            }
            Self::DefrostNotIncluded => {
                let detail =
                    "the outputs of the chosen heat source do not have defrosting taken off: it gives less in frost";
                notes.warn("defrost_not_included", "/plant", detail);
            }
            Self::OutsideItsData(index) => {
                let product = survey.offer.heat_sources[index]
                    .product
                    .and_then(|product| survey.book.products.get_index(product));
                let name = product.map_or("the heat source given", |(code, _)| code.as_str());
                let detail = format!(
                    "{name} has no data at the design outside temperature and the flow temperatures, and was passed over"
                );
                notes.warn("outside_its_data", "/plant", detail);
            }
            Self::KeptTube(run, gradient_pa_m, velocity_m_s) => {
                let id = &survey.pipes.runs[run].id;
                let detail = format!(
                    "the tube that stays runs at {velocity_m_s:.2} m/s and {gradient_pa_m:.0} Pa/m, beyond the limits"
                );
                notes.warn("kept_tube", format!("/pipework/runs/{id}/existing_tube"), detail);
            }
            Self::RuleBeyond => {
                let detail = "a date lies after the last rule known; the last one is used and must be confirmed";
                notes.warn("rule_beyond", "/commercial", detail);
            }
        }
    }
}
