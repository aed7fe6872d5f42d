//! What looks wrong in a design.

use super::pipe_words::{distinct_from_decimals, named};
use super::unmet::{Breaks, Pipe, Why};
use crate::list::Index;
use crate::methods::en_442;
use crate::methods::en_1264_4::{Below, least_insulation_m2k_w};
use crate::methods::en_12831::HIGH_ROOM_MAX_W_M2;
use crate::notes::Notes;
use crate::survey::HeatSource;
use crate::survey::Run;
use crate::survey::Survey;
use crate::survey::{EmitterAt, Room};

/// What a heat source on offer is called.
fn offered(survey: &Survey, index: Index<HeatSource>) -> &str {
    let product = survey.offer.heat_sources[index].product;
    product.map_or("the heat source given", |product| survey.book.product(product).0)
}

/// What a heat source's data do not tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Untold {
    /// Its least flow.
    Flow,
    /// The water that it needs about it.
    Water,
    /// Neither.
    Both,
}

/// What looks wrong in a design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warning {
    /// Radiators work below the excess temperatures that they were tested at: the room of the lowest, and that (K).
    BelowTestedRange(Index<Room>, f64),
    /// The arithmetic mean is asked of radiators whose return comes too near the room: the room of the nearest, and the
    /// ratio of the excess of its return and flow.
    ArithmeticMean(Index<Room>, f64),
    /// A radiator could give far more than it should carry: room, emitter, ratio of the two, and the job's limit.
    Oversized(EmitterAt, f64, f64),
    /// Nothing of a room's loss is left for an emitter, which is left out: room, emitter, and why nothing could be taken there,
    /// if that is so.
    LeftOut(EmitterAt, Option<Why>),
    /// The same for one that stays or is hung all the same: room, emitter, and whether lines of other floors heat the room.
    Idle(EmitterAt, bool),
    /// A room is too high to be warmed by natural convection: room.
    HighRoom(Index<Room>),
    /// A high room loses more than the correction for its height was made for: room, loss by floor area (W/m²).
    HighRoomLoss(Index<Room>, f64),
    /// A heated floor lies on nothing that the room declares as its floor: room and emitter.
    NoUnderside(EmitterAt),
    /// There is less insulation below a heated floor than the standard asks for: room, emitter, asked for and there
    /// (m²K/W).
    ThinInsulation(EmitterAt, f64, f64),
    /// A heated floor would not carry its share under the worst covering: room, emitter, share and output (W).
    WorstCovering(EmitterAt, f64, f64),
    /// A spacing lies outside the tables of the floor's kind: room, emitter, spacing (m).
    SpacingPassedOver(EmitterAt, f64),
    /// Loops run slower than a manifold can be set to: how many, room of the slowest, its flow (l/min).
    SlowLoops(usize, Index<Room>, f64),
    /// What lines give to other rooms goes to and fro, and the least of it is counted.
    LinesUnsettled,
    /// A fan convector's water is hotter than its data reach: room, emitter, and the greatest difference of the data (K).
    AboveItsData(EmitterAt, f64),
    /// Lines of other rooms' floors give a room more than it loses: room, given and lost (W).
    LinesOverheat(Index<Room>, f64, f64),
    /// The chosen heat source's outputs do not have defrosting taken off.
    DefrostNotIncluded,
    /// A heat source on offer has no data at the design point: index on offer.
    OutsideItsData(Index<HeatSource>),
    /// A tube that stays breaks a limit that can be lived with: which, what was found, what is allowed.
    KeptTube(Pipe, Breaks, f64, f64),
    /// Plain water outdoors can freeze: coldest air (°C).
    WaterFreezes(f64),
    /// The mixture outdoors can freeze: its freezing point and the coldest air (°C), and the fraction that would do.
    MixtureFreezes(f64, f64, Option<f64>),
    /// Pipes lie bare where it is cold: the first, and how many.
    BareInTheCold(Pipe, usize),
    /// The heat source's data do not tell its least flow, the water that it needs, or either.
    FlowNotTold(Untold),
    /// A pipe runs faster than its limit while floors cool: velocity and limit (m/s).
    FastCooling(Pipe, f64, f64),
    /// Pipes that carry chilled water are bare: the first, and how many.
    BareAndChilled(Pipe, usize),
    /// Floors are to cool, and the heat source's data are for heating alone.
    CoolingNotTold,
    /// A run serves nothing and leads to nothing.
    DeadEnd(Index<Run>),
    /// A tube that nobody can see may let too little heat through: run, least and wanted (W).
    HiddenMayLack(Index<Run>, f64, f64),
    /// A grant is asked for, and no heat source is in the bill that it could be for.
    GrantWithoutSource,
    /// A grant is asked for a heat source above the scheme's limit (kW).
    GrantAboveLimit(f64),
    /// A grant is asked for, and the job says what speaks against it.
    GrantDoubtful(&'static str),
    /// A heat source is taken below the lowest flow temperature of its data: index on offer, that temperature (°C).
    BelowItsData(Index<HeatSource>, f64),
    /// A tax or grant rule ends before the date that it is asked for; the last one known is used.
    RuleBeyond,
}

impl Warning {
    /// Notes the warning in words.
    #[expect(clippy::too_many_lines, reason = "one arm for each kind of warning")]
    pub fn note(&self, survey: &Survey, notes: &mut Notes) {
        match *self {
            Self::BelowTestedRange(room, excess_k) => {
                let room = &survey.names.rooms[room];
                let detail = format!(
                    "radiators work at excess temperatures down to {excess_k:.1} K, in room {room}; ratings are tested from 30 K up"
                );
                notes.warn("below_tested_range", "/heating", detail);
            }
            Self::ArithmeticMean(room, ratio) => {
                let room = &survey.names.rooms[room];
                let detail = if ratio > 0.0 {
                    format!(
                        "the excess of return and flow has a ratio down to {ratio:.2}, in room {room}: below {} radiators are reckoned by the logarithmic mean (from memory, confirm)",
                        en_442::ARITHMETIC_FROM
                    )
                } else {
                    format!(
                        "by the arithmetic mean the return from the radiator of room {room} would be no warmer than the room, and is taken as warm as that: the radiator is too large for this mean, reckon with the logarithmic one"
                    )
                };
                notes.warn("arithmetic_mean", "/heating/radiator_mean", detail);
            }
            Self::Oversized(at, ratio, limit) => {
                let (room, emitter) = survey.names.emitter(at);
                let detail = format!(
                    "the radiator of room {room} could give {ratio:.2} times what it should carry, and {limit} times is the limit"
                );
                notes.warn("oversized", format!("/rooms/{room}/emitters/{emitter}/oversize_max"), detail);
            }
            Self::LeftOut(at, reason) => {
                let reason = reason.map_or_else(
                    || "at this flow temperature the room leaves nothing to carry for it".to_owned(),
                    |why| format!("nothing can be taken for it: {}", why.words(survey, at)),
                );
                let (room, emitter) = survey.names.emitter(at);
                let detail = format!(
                    "{emitter} of room {room} is left out of design and bill, and so is a run that leads to nothing else: {reason}"
                );
                notes.warn("emitter_left_out", format!("/rooms/{room}/emitters/{emitter}"), detail);
            }
            Self::LinesUnsettled => {
                let detail = "floors whose lines pass each other's rooms find no state that holds; the least that lines give to rooms is counted, which is on the safe side";
                notes.warn("lines_unsettled", "/rooms", detail);
            }
            Self::AboveItsData(at, difference_k) => {
                let (room, emitter) = survey.names.emitter(at);
                let detail = format!(
                    "the fan convector of room {room} is taken at the greatest difference of its data, {difference_k} K, as its water is hotter: it gives more than is told"
                );
                notes.warn("above_its_data", format!("/rooms/{room}/emitters/{emitter}"), detail);
            }
            Self::Idle(at, by_lines) => {
                let is_alone = survey.names.emitters[at.room].len() == 1;
                let (room, emitter) = survey.names.emitter(at);
                let detail = if is_alone && by_lines {
                    format!("lines of other rooms' floors carry room {room}, and {emitter} stays cold there")
                } else if is_alone {
                    format!("room {room} loses nothing in design conditions, and {emitter} stays cold there")
                } else {
                    format!(
                        "at this flow temperature room {room} leaves nothing to carry for {emitter}, which stays cold in the design: give it a share if it should be warm"
                    )
                };
                notes.warn("emitter_idle", format!("/rooms/{room}/emitters/{emitter}"), detail);
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
            Self::NoUnderside(at) => {
                let (room, emitter) = survey.names.emitter(at);
                let detail = "the room declares no floor, so nothing is reckoned to go down from its heated floor";
                notes.warn("no_underside", format!("/rooms/{room}/emitters/{emitter}"), detail);
            }
            Self::ThinInsulation(at, wanted_m2k_w, has_m2k_w) => {
                let (room, emitter) = survey.names.emitter(at);
                let detail = format!(
                    "the layers under the heated floor of room {room} have {has_m2k_w:.2} m²K/W together, and EN 1264-4 asks for {wanted_m2k_w} m²K/W of insulation{}",
                    if wanted_m2k_w > least_insulation_m2k_w(Below::UnheatedOrGround) {
                        " (from memory, confirm)"
                    } else {
                        ""
                    }
                );
                notes.warn("thin_insulation", format!("/rooms/{room}/emitters/{emitter}"), detail);
            }
            Self::WorstCovering(at, load_w, reached_w) => {
                let (room, emitter) = survey.names.emitter(at);
                let detail = format!(
                    "under the worst covering the floor of room {room} gives {reached_w:.0} W of the {load_w:.0} W that it should carry"
                );
                notes.warn("worst_covering", format!("/rooms/{room}/emitters/{emitter}/worst_covering"), detail);
            }
            Self::SpacingPassedOver(at, spacing_m) => {
                let (room, emitter) = survey.names.emitter(at);
                let detail = format!(
                    "pipes {:.0} mm apart lie outside the tables for the floor of room {room}, and were passed over",
                    1000.0 * spacing_m
                );
                notes.warn("spacing_passed_over", format!("/rooms/{room}/emitters/{emitter}"), detail);
            }
            Self::SlowLoops(count, room, flow_l_min) => {
                let room = &survey.names.rooms[room];
                let loops = if count == 1 { "a loop runs".to_owned() } else { format!("{count} loops run") };
                let detail = format!(
                    "{loops} below half a litre a minute, where flow meters of manifolds begin (common practice), down to {flow_l_min:.2} l/min in room {room}: a cooler flow, or floors further apart, would need more"
                );
                notes.warn("slow_loops", "/heating", detail);
            }
            Self::LinesOverheat(room, given_w, loss_w) => {
                let room = &survey.names.rooms[room];
                let detail = format!(
                    "lines of other rooms' floors give room {room} {given_w:.0} W, and it loses {loss_w:.0} W: lead them elsewhere or insulate them"
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
            Self::KeptTube(run, breaks, found, limit) => {
                let (name, at, lies) = named(survey, run);
                let detail = format!("the tube that stays in {name} {}", breaks.words(found, limit, lies));
                notes.warn("kept_tube", format!("{at}/existing_tube"), detail);
            }
            Self::WaterFreezes(coldest_c) => {
                let detail = format!(
                    "plain water stands outdoors, and air of {coldest_c:.1} °C freezes it should the heat source stand still: \
                     either antifreeze in heating.fluid, or freeze-protection valves in pipework.freeze_protection, one on \
                     each leg, with plain water; never both"
                );
                notes.warn("water_can_freeze", "/pipework", detail);
            }
            Self::MixtureFreezes(freezing_c, coldest_c, fraction) => {
                let enough = fraction.map_or_else(
                    || "no fraction is enough: take".to_owned(),
                    |fraction| format!("take a fraction of {fraction:.2} at least, or"),
                );
                let [freezing_c, coldest_c] = distinct_from_decimals(freezing_c, coldest_c, 1);
                let detail = format!(
                    "the mixture freezes at {freezing_c} °C, and air of {coldest_c} °C is to be reckoned with: {enough} \
                     plain water with freeze-protection valves, one on each leg; never both"
                );
                notes.warn("mixture_can_freeze", "/heating/fluid", detail);
            }
            Self::BareInTheCold(run, count) => {
                let (name, at, _) = named(survey, run);
                let others = if count > 1 { format!(" and {} more", count - 1) } else { String::new() };
                let lies = if count > 1 { "lie" } else { "lies" };
                let detail =
                    format!("{name}{others} {lies} bare in the cold: insulate what runs outside the heated rooms");
                notes.warn("bare_pipe", at, detail);
            }
            Self::FlowNotTold(untold) => {
                let what = match untold {
                    Untold::Flow => "its least flow",
                    Untold::Water => "the water that it needs about it",
                    Untold::Both => "its least flow nor the water that it needs about it",
                };
                let do_not = if untold == Untold::Both { "tell neither" } else { "do not tell" };
                let detail =
                    format!("the heat source's data {do_not} {what}: ask, for that decides whether it needs a vessel");
                notes.warn("least_flow_not_told", "/plant", detail);
            }
            Self::FastCooling(pipe, found, limit) => {
                let (name, at, _) = named(survey, pipe);
                let detail = format!(
                    "while floors cool {name} runs at {found:.2} m/s, and {limit:.2} m/s is its limit: a larger rise would slow it"
                );
                notes.warn("fast_while_cooling", at, detail);
            }
            Self::BareAndChilled(pipe, count) => {
                let (name, at, _) = named(survey, pipe);
                let others = if count > 1 { format!(" and {} more", count - 1) } else { String::new() };
                let them = if count > 1 { "them" } else { "it" };
                let detail = format!(
                    "{name}{others} would carry chilled water bare, and drip: insulate {them}, sealed against vapour"
                );
                notes.warn("bare_chilled_pipe", at, detail);
            }
            Self::CoolingNotTold => {
                let detail = "the data of the heat source are for heating alone: make sure that it cools, how much, and that planning allows it";
                notes.warn("cooling_not_told", "/cooling", detail);
            }
            Self::DeadEnd(run) => {
                let (name, at, _) = named(survey, Pipe::Run(run));
                let detail = format!(
                    "{name} serves nothing and leads to nothing: water stands in it; name what it serves, or leave it out"
                );
                notes.warn("run_serves_nothing", at, detail);
            }
            Self::HiddenMayLack(run, least_w, wanted_w) => {
                let (name, at, _) = named(survey, Pipe::Run(run));
                let detail = format!(
                    "the hidden tube of {name} may deliver no more than {least_w:.0} W of the {wanted_w:.0} W that are asked of it"
                );
                notes.warn("hidden_tube_may_lack", format!("{at}/readings"), detail);
            }
            Self::GrantWithoutSource => {
                let detail = "no heat source is in the bill, so no grant is taken off";
                notes.warn("grant_without_heat_source", "/commercial/grant", detail);
            }
            Self::GrantAboveLimit(kw) => {
                let most_kw = survey.defaults.grant_heat_source_max_kw.value;
                let detail = format!(
                    "the heat source gives {kw:.1} kW, and the scheme ends at {most_kw} kW: no grant is taken off"
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
