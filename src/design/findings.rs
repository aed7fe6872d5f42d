//! What a stage finds beside its figures: needs that cannot be met, and what looks wrong. Found as plain data
//! while computing, put into words once.

use serde::Serialize;
use utoipa::ToSchema;

use crate::catalogue::binder::Binder;
use crate::methods::en_12831::HIGH_ROOM_MAX_W_M2;
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
    /// The common flow is hotter than a screed bears (°C).
    Screed,
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
    /// The boards of the price book are thinner than the insulation that a floor is designed with: room (mm).
    Board(usize),
    /// No screed of the price book has the binder that floors are designed with.
    ScreedBinder(Binder),
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
        let emitter = |room: usize, which: usize| {
            format!("/rooms/{}/emitters/{}", names.rooms[room], names.emitters[room][which])
        };
        let Self { place, need, reached } = *self;
        let (code, unit, pointer, detail) = match place {
            Place::Room(index) => {
                let detail = format!("room {} loses {need:.0} W and has no emitter", room(index));
                ("no_emitter", "W", format!("/rooms/{}/emitters", room(index)), detail)
            }
            Place::Radiator(index, which) => {
                let largest =
                    if reached > 0.0 { format!("the largest gives {reached:.0} W") } else { "none fits".to_owned() };
                let detail = format!("no radiator that fits room {} carries its {need:.0} W: {largest}", room(index));
                ("no_radiator", "W", emitter(index, which), detail)
            }
            Place::KeptRadiator(index, which) => {
                let detail = format!(
                    "the radiator that stays in room {} gives {reached:.0} W of the {need:.0} W that it should carry",
                    room(index)
                );
                ("kept_radiator_too_small", "W", emitter(index, which), detail)
            }
            Place::HeatedFloor(index, which) => {
                let detail = format!(
                    "the heated floor of room {} gives {reached:.0} W of the {need:.0} W that it should carry",
                    room(index)
                );
                ("floor_too_weak", "W", emitter(index, which), detail)
            }
            Place::Screed => {
                let detail = format!(
                    "floors are fed at {reached:.1} °C, and a screed bears {need:.0} °C at most: its limiter would shut them off"
                );
                ("screed_too_hot", "°C", "/heating".to_owned(), detail)
            }
            Place::Manifold(index) => {
                let id = &names.manifolds[index];
                let detail =
                    format!("manifold {id} feeds {need:.0} loops, and the largest on offer has {reached:.0} outlets");
                ("manifold_too_small", "loops", format!("/pipework/manifolds/{id}"), detail)
            }
            Place::HeatSource => {
                let detail = format!(
                    "house and hot water need {need:.0} W in design conditions; the strongest heat source that may be taken gives {reached:.0} W"
                );
                ("no_heat_source", "W", "/plant".to_owned(), detail)
            }
            Place::Run(index) => {
                let id = &survey.pipes.runs[index].id;
                let detail = format!(
                    "no tube carries run {id} within its limits of gradient and velocity: {need:.0} Pa/m are allowed, the widest has {reached:.0}"
                );
                ("no_tube", "Pa/m", format!("/pipework/runs/{id}"), detail)
            }
            Place::Pump => {
                let detail = format!(
                    "the index circuit takes {need:.1} kPa, and the heat source's own pump has {reached:.1} kPa at that flow"
                );
                ("pump_too_weak", "kPa", "/plant".to_owned(), detail)
            }
            Place::Cylinder => {
                let detail = format!(
                    "the hot water needs {need:.0} l, and the largest cylinder that may be taken holds {reached:.0} l"
                );
                ("no_cylinder", "l", "/plant".to_owned(), detail)
            }
            Place::Vessel => {
                let detail = format!(
                    "the system needs an expansion vessel of {need:.1} l, and the largest on offer has {reached:.0} l"
                );
                ("no_vessel", "l", "/plant".to_owned(), detail)
            }
            Place::HeatSourcePrice => {
                let detail = "the heat source is given with the job and has no price; it is not in the bill".to_owned();
                ("no_price", "each", "/plant/heat_source".to_owned(), detail)
            }
            Place::Coil => {
                let detail = format!(
                    "a loop of {need:.1} m is longer than the coils of its tube, {reached:.0} m; lay shorter loops"
                );
                ("coil_too_short", "m", "/rooms".to_owned(), detail)
            }
            Place::Board(index) => {
                let detail = format!(
                    "the floor of room {} is designed with {need:.0} mm of insulation, and the thickest board has {reached:.0} mm",
                    room(index)
                );
                ("board_too_thin", "mm", format!("/rooms/{}", room(index)), detail)
            }
            Place::ScreedBinder(binder) => {
                ("no_screed_of_binder", "each", "/commercial".to_owned(), other_screed(binder))
            }
            Place::Product(wanted) => {
                let detail = format!("the price book has no {}; it is not in the bill", wanted.words());
                ("no_product", "each", "/commercial".to_owned(), detail)
            }
        };
        UnmetRow { code, pointer, detail, need, reached, unit }
    }
}

fn other_screed(binder: Binder) -> String {
    format!("the price book has no {} screed; the one nearest in conductivity is in the bill", binder.words())
}

impl Wanted {
    fn words(self) -> &'static str {
        match self {
            Self::RadiatorValves => "radiator valves",
            Self::FlowLimiter => "flow temperature limiter",
            Self::InsulationBoard => "insulation board",
            Self::SeparatingLayer => "separating layer",
            Self::EdgeStrip => "edge strip",
            Self::Screed => "screed",
            Self::PlantKit => "plant kit",
            Self::Inhibitor => "inhibitor",
        }
    }
}

/// Largest heat source that a grant is paid for (kW): Boiler Upgrade Scheme, one dwelling.
pub const GRANT_LIMIT_KW: f64 = 45.0;

/// What a heat source on offer is called.
fn offered(survey: &Survey, index: usize) -> &str {
    let product = survey.offer.heat_sources[index].product;
    let product = product.and_then(|product| survey.book.products.get_index(product));
    product.map_or("the heat source given", |(code, _)| code.as_str())
}

/// Needs of several stages in words.
#[must_use]
pub fn rows<'u>(survey: &Survey, unmet: impl IntoIterator<Item = &'u Unmet>) -> Vec<UnmetRow> {
    unmet.into_iter().map(|unmet| unmet.row(survey)).collect()
}

/// What looks wrong in a design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warning {
    /// Radiators work below the excess temperatures that they were tested at: the room of the lowest, and that (K).
    BelowTestedRange(usize, f64),
    /// A room is too high to be warmed by natural convection: room.
    HighRoom(usize),
    /// A high room loses more than the correction for its height was made for: room, loss by floor area (W/m²).
    HighRoomLoss(usize, f64),
    /// A heated floor lies on nothing that the room declares as its floor: room and emitter.
    NoUnderside(usize, usize),
    /// There is less insulation below a heated floor than the standard asks for: room, emitter, asked for and there
    /// (m²K/W).
    ThinInsulation(usize, usize, f64, f64),
    /// A heated floor would not carry its share under the worst covering: room, emitter, share and output (W).
    WorstCovering(usize, usize, f64, f64),
    /// Lines of other rooms' floors give a room more than it loses: room, given and lost (W).
    LinesOverheat(usize, f64, f64),
    /// The chosen heat source's outputs do not have defrosting taken off.
    DefrostNotIncluded,
    /// A heat source on offer has no data at the design point: index on offer.
    OutsideItsData(usize),
    /// A tube that stays carries more than its limits: run, gradient (Pa/m), velocity (m/s).
    KeptTube(usize, f64, f64),
    /// A grant is asked for, and no heat source is in the bill that it could be for.
    GrantWithoutSource,
    /// A grant is asked for a heat source above the scheme's limit (kW).
    GrantAboveLimit(f64),
    /// A grant is asked for, and the job says what speaks against it.
    GrantDoubtful(&'static str),
    /// A heat source is taken below the lowest flow temperature of its data: index on offer, that temperature (°C).
    BelowItsData(usize, f64),
    /// A tax or grant rule ends before the date that it is asked for; the last one known is used.
    RuleBeyond,
}

impl Warning {
    /// Notes the warning in words.
    pub fn note(&self, survey: &Survey, notes: &mut Notes) {
        match *self {
            Self::BelowTestedRange(room, excess_k) => {
                let room = &survey.names.rooms[room];
                let detail = format!(
                    "radiators work at excess temperatures down to {excess_k:.1} K, in room {room}; ratings are tested from 30 K up"
                );
                notes.warn("below_tested_range", "/heating", detail);
            }
            Self::HighRoom(room) => {
                let room = &survey.names.rooms[room];
                let detail =
                    "a room above 10 m in height is not warmed by radiators: warm its floor, or blow the air down";
                notes.warn("high_room", format!("/rooms/{room}/height_m"), detail);
            }
            Self::HighRoomLoss(room, w_m2) => {
                let room = &survey.names.rooms[room];
                let limit = HIGH_ROOM_MAX_W_M2;
                let detail = format!(
                    "the room loses {w_m2:.0} W/m², and the correction for its height holds up to {limit} W/m²: reckon such a room by itself"
                );
                notes.warn("high_room_loss", format!("/rooms/{room}"), detail);
            }
            Self::NoUnderside(room, emitter) => {
                let (room, emitter) = (&survey.names.rooms[room], &survey.names.emitters[room][emitter]);
                let detail = "the room declares no floor, so nothing is reckoned to go down from its heated floor";
                notes.warn("no_underside", format!("/rooms/{room}/emitters/{emitter}"), detail);
            }
            Self::ThinInsulation(room, emitter, wanted_m2k_w, has_m2k_w) => {
                let (room, emitter) = (&survey.names.rooms[room], &survey.names.emitters[room][emitter]);
                let detail = format!(
                    "below the pipes there are {has_m2k_w:.2} m²K/W, all layers and the ground counted, and EN 1264-4 asks for {wanted_m2k_w} m²K/W of insulation"
                );
                notes.warn("thin_insulation", format!("/rooms/{room}/emitters/{emitter}"), detail);
            }
            Self::WorstCovering(room, emitter, load_w, reached_w) => {
                let (room, emitter) = (&survey.names.rooms[room], &survey.names.emitters[room][emitter]);
                let detail = format!(
                    "under the worst covering the floor gives {reached_w:.0} W of the {load_w:.0} W that it should carry"
                );
                notes.warn("worst_covering", format!("/rooms/{room}/emitters/{emitter}/worst_covering"), detail);
            }
            Self::LinesOverheat(room, given_w, loss_w) => {
                let room = &survey.names.rooms[room];
                let detail = format!(
                    "lines of other rooms' floors give this room {given_w:.0} W, and it loses {loss_w:.0} W: lead them elsewhere or insulate them"
                );
                notes.warn("lines_overheat", format!("/rooms/{room}"), detail);
            }
            Self::DefrostNotIncluded => {
                let detail =
                    "the outputs of the chosen heat source do not have defrosting taken off: it gives less in frost";
                notes.warn("defrost_not_included", "/plant", detail);
            }
            Self::OutsideItsData(index) => {
                let name = offered(survey, index);
                let detail = format!(
                    "{name} has no data at the design outside temperature and the flow temperatures, and was passed over"
                );
                notes.warn("outside_its_data", "/plant", detail);
            }
            Self::KeptTube(run, gradient_pa_m, velocity_m_s) => {
                let id = &survey.pipes.runs[run].id;
                let detail = format!(
                    "the tube that stays in run {id} runs at {velocity_m_s:.2} m/s and {gradient_pa_m:.0} Pa/m, beyond the limits"
                );
                notes.warn("kept_tube", format!("/pipework/runs/{id}/existing_tube"), detail);
            }
            Self::GrantWithoutSource => {
                let detail = "no heat source is in the bill, so no grant is taken off";
                notes.warn("grant_without_heat_source", "/commercial/grant", detail);
            }
            Self::GrantAboveLimit(kw) => {
                let detail = format!(
                    "the heat source gives {kw:.1} kW, and the scheme ends at {GRANT_LIMIT_KW} kW: no grant is taken off"
                );
                notes.warn("grant_above_limit", "/commercial/grant", detail);
            }
            Self::GrantDoubtful(why) => {
                let detail = format!(
                    "{why}: schemes mostly ask for an older house and a heating that is replaced; make sure of the grant"
                );
                notes.warn("grant_doubtful", "/commercial/grant", detail);
            }
            Self::BelowItsData(index, lowest_c) => {
                let name = offered(survey, index);
                let detail = format!(
                    "{name} is reckoned at {lowest_c} °C, the lowest flow temperature of its data: at a lower one it gives no less"
                );
                notes.warn("below_its_data", "/plant", detail);
            }
            Self::RuleBeyond => {
                let detail = "a date lies after the last rule known; the last one is used and must be confirmed";
                notes.warn("rule_beyond", "/commercial", detail);
            }
        }
    }
}
