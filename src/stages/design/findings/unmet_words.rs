//! Needs that a design does not meet, in words.

use super::pipe_words::named;
use super::unmet::{Pipe, Place, Unmet, UnmetRow, Wanted, Why};
use crate::catalogue::binder::Binder;
use crate::list::Index;
use crate::survey::{EmitterAt, Room};
use crate::survey::{EmitterKind, Survey};

impl Unmet {
    /// The need in words.
    #[expect(clippy::too_many_lines, reason = "one arm for each kind of need")]
    #[must_use]
    pub fn row(&self, survey: &Survey) -> UnmetRow {
        let names = &survey.names;
        let room = |room: Index<Room>| names.rooms[room].as_str();
        let emitter = |at: EmitterAt| names.emitter_pointer(at);
        let Self { place, need, reached } = *self;
        let [need_w, reached_w] = distinct_within_three_decimals(need, reached);
        let (code, unit, pointer, detail) = match place {
            Place::Room(index) => {
                let detail = format!("room {} loses {need:.0} W and has no emitter", room(index));
                ("no_emitter", "W", format!("/rooms/{}/emitters", room(index)), detail)
            }
            Place::Radiator(at) => {
                let kind = hanging(survey, at);
                let detail = format!(
                    "no {kind} that fits room {} carries its {need_w} W: the strongest gives {reached_w} W",
                    room(at.room)
                );
                ("no_radiator", "W", emitter(at), detail)
            }
            Place::FanConvector(at) => {
                let within = sound_max_db(survey, at).map_or_else(String::new, |db| format!(" within {db} dB"));
                let detail = format!(
                    "no fan convector for room {} carries its {need_w} W{within}: the strongest gives {reached_w} W",
                    room(at.room)
                );
                ("no_fan_convector", "W", emitter(at), detail)
            }
            Place::Nothing(at, why) => {
                let kind = hanging(survey, at);
                let name = room(at.room);
                let code = match why {
                    Why::Water => "water_too_cool",
                    Why::Book | Why::Fit | Why::Sound | Why::Data if kind == FAN_CONVECTOR => "no_fan_convector",
                    Why::Book | Why::Fit | Why::Sound | Why::Data => "no_radiator",
                };
                let reason = why.words(survey, at);
                let detail = if need > 0.0 {
                    format!("nothing gives room {name} its {need_w} W: {reason}")
                } else {
                    format!("nothing can be hung in room {name}: {reason}")
                };
                (code, "W", emitter(at), detail)
            }
            Place::OldRadiator(at) => {
                let kind = hanging(survey, at);
                let detail = format!(
                    "no {kind} that fits room {} is stronger than the one that hangs there, which gives {reached_w} W of the {need_w} W that it should carry",
                    room(at.room)
                );
                ("no_radiator", "W", emitter(at), detail)
            }
            Place::KeptRadiator(at) => {
                let kind = hanging(survey, at);
                let detail = format!(
                    "the {kind} that stays in room {} gives {reached_w} W of the {need_w} W that it should carry",
                    room(at.room)
                );
                ("kept_radiator_too_small", "W", emitter(at), detail)
            }
            Place::HeatedFloor(at) | Place::HeldFloor(at) => {
                let reason = if matches!(place, Place::HeldFloor(..)) {
                    "its surface may be no warmer, however warm the flow"
                } else {
                    "the flow is too cool for it"
                };
                let detail = format!(
                    "the heated floor of room {} gives {reached_w} W of the {need_w} W that it should carry: {reason}",
                    room(at.room)
                );
                ("floor_too_weak", "W", emitter(at), detail)
            }
            Place::Loops(at) => {
                let detail = format!(
                    "no number of loops of room {} keeps within {need:.1} kPa; as laid one takes {reached:.1} kPa",
                    room(at.room)
                );
                ("loops_take_too_much_pressure", "kPa", emitter(at), detail)
            }
            Place::Screed => {
                let detail = format!(
                    "floors are fed at {reached:.1} °C, and a screed bears {need:.0} °C at most: its limiter would shut them off"
                );
                ("screed_too_hot", "°C", "/heating".to_owned(), detail)
            }
            Place::Manifold(index) => {
                let id = &names.manifolds[index];
                let detail = if reached > 0.0 {
                    format!("manifold {id} feeds {need:.0} loops, and the largest on offer has {reached:.0} outlets")
                } else {
                    format!("manifold {id} feeds {need:.0} loops, and the price book has no manifold")
                };
                ("manifold_too_small", "loops", format!("/pipework/manifolds/{id}"), detail)
            }
            Place::HeatSource => {
                let detail = format!(
                    "house and hot water need {need:.0} W in design conditions; the strongest heat source that may be taken gives {reached:.0} W"
                );
                ("no_heat_source", "W", "/plant".to_owned(), detail)
            }
            Place::NoTube(pipe) => {
                let (name, at, _) = named(survey, pipe);
                ("no_tube", "tubes", at, format!("no tube is on offer for {name}"))
            }
            Place::Unexplained(run) => {
                let (name, at, _) = named(survey, Pipe::Run(run));
                let detail = format!(
                    "no bore on offer explains the readings of {name} within their spread and the length of its route: what it takes is not in the figures; read it again, or look at the tube"
                );
                ("readings_unexplained", "bores", format!("{at}/readings"), detail)
            }
            Place::HiddenTube(run) => {
                let (name, at, _) = named(survey, Pipe::Run(run));
                let detail = format!(
                    "the hidden tube of {name} likely delivers {reached_w} W of the {need_w} W that are asked of it"
                );
                ("hidden_tube_too_narrow", "W", format!("{at}/readings"), detail)
            }
            Place::HotWaterFlow => {
                let detail = format!(
                    "while hot water is made {reached:.0} l/h flow, and the heat source needs {need:.0} l/h: a smaller drop would give it more"
                );
                ("hot_water_flow_too_small", "l/h", "/pipework/hot_water_circuit".to_owned(), detail)
            }
            Place::CoolingFlow => {
                let detail = format!(
                    "while floors cool {reached:.0} l/h flow, and the heat source needs {need:.0} l/h: a smaller rise would give it more"
                );
                ("cooling_flow_too_small", "l/h", "/cooling".to_owned(), detail)
            }
            Place::Hoses(length_mm) => {
                let length_m = f64::from(length_mm) / 1000.0;
                let detail = format!(
                    "no flexible hose of the price book is {length_m} m long with a Kv of {need} m³/h: of those long enough the widest has {reached} m³/h; none is in the bill"
                );
                ("no_hose", "m³/h", "/pipework/primary/hoses".to_owned(), detail)
            }
            Place::GivenPart(what) => {
                let detail = format!("{what} given with the job has no price; it is not in the bill");
                ("no_price", "each", "/pipework".to_owned(), detail)
            }
            Place::NewTube(run, breaks) => {
                let (name, at, lies) = named(survey, run);
                let detail = format!(
                    "no tube on offer carries {name} within its limits: the one taken {}",
                    breaks.words(reached, need, lies)
                );
                ("no_tube", breaks.unit(), at, detail)
            }
            Place::KeptTube(run, breaks) => {
                let (name, at, lies) = named(survey, run);
                let detail = format!(
                    "the tube that lies in {name} must not stay in use: it {}",
                    breaks.words(reached, need, lies)
                );
                ("existing_tube_refused", breaks.unit(), at, detail)
            }
            Place::HotWaterPump => {
                let detail = format!(
                    "the way to the cylinder takes {need:.1} kPa, and the heat source's own pump has {reached:.1} kPa at that flow"
                );
                ("pump_too_weak_for_hot_water", "kPa", "/pipework/hot_water_circuit".to_owned(), detail)
            }
            Place::CoolingSecondPump => {
                let detail = format!(
                    "while floors cool the system takes {need:.1} kPa, and the strongest pump for it has {reached:.1} kPa at that flow"
                );
                ("pump_too_weak_for_cooling", "kPa", "/cooling".to_owned(), detail)
            }
            Place::CoolingPump => {
                let detail = format!(
                    "while floors cool what the heat source's own pump carries takes {need:.1} kPa, and it has {reached:.1} kPa at that flow"
                );
                ("pump_too_weak_for_cooling", "kPa", "/cooling".to_owned(), detail)
            }
            Place::SecondPump => {
                let detail = format!(
                    "the system takes {need:.1} kPa behind a separation, and the strongest circulator of the price book has {reached:.1} kPa at its flow"
                );
                ("no_second_pump", "kPa", "/pipework".to_owned(), detail)
            }
            Place::Buffer => {
                let detail = if reached > 0.0 {
                    format!(
                        "between heat source and system a vessel of {need:.0} l is needed, and the largest on offer has {reached:.0} l"
                    )
                } else {
                    format!(
                        "between heat source and system a vessel of {need:.0} l is needed, and the price book has none"
                    )
                };
                ("no_buffer_vessel", "l", "/plant".to_owned(), detail)
            }
            Place::Pump => {
                let detail = format!(
                    "what the heat source's own pump must carry takes {need:.1} kPa, and it has {reached:.1} kPa at that flow"
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
        UnmetRow { code: code.into(), pointer, detail, need, reached, unit: unit.into() }
    }
}

impl Why {
    /// The reason in words.
    pub(super) fn words(self, survey: &Survey, at: EmitterAt) -> String {
        let kind = hanging(survey, at);
        match self {
            Self::Book => format!("the price book has no {kind}"),
            Self::Fit => format!("no {kind} on offer fits it"),
            Self::Water => "the water comes back no warmer than the room".to_owned(),
            Self::Sound => {
                let most_db = sound_max_db(survey, at).unwrap_or_default();
                format!("no {kind} that fits it keeps within {most_db} dB at any speed")
            }
            Self::Data => format!("the water is cooler than the data of every {kind} that fits it and is quiet enough"),
        }
    }
}

const FAN_CONVECTOR: &str = "fan convector";

/// What hangs on a wall there, in words.
fn hanging(survey: &Survey, at: EmitterAt) -> &'static str {
    match &survey.emitter(at).kind {
        EmitterKind::Radiator { hanging, .. } if hanging.is_towel_rail => "towel rail",
        EmitterKind::Radiator { .. } | EmitterKind::HeatedFloor(_) => "radiator",
        EmitterKind::FanConvector(_) => FAN_CONVECTOR,
    }
}

/// What limits the sound of a fan convector (dB), if anything does.
fn sound_max_db(survey: &Survey, at: EmitterAt) -> Option<f64> {
    match &survey.emitter(at).kind {
        EmitterKind::FanConvector(blowing) => Some(blowing.sound_max_db).filter(|db| db.is_finite()),
        EmitterKind::Radiator { .. } | EmitterKind::HeatedFloor(_) => None,
    }
}

/// Two figures with as many decimals as it takes to tell them apart, three at most.
fn distinct_within_three_decimals(need: f64, reached: f64) -> [String; 2] {
    let written = |decimals: usize| [need, reached].map(|figure| format!("{figure:.decimals$}"));
    (0..3).map(written).find(|[need, reached]| need != reached).unwrap_or_else(|| written(3))
}

fn other_screed(binder: Binder) -> String {
    format!("the price book has no {} screed; the one nearest in conductivity is in the bill", binder.words())
}

impl Wanted {
    fn words(self) -> &'static str {
        match self {
            Self::RadiatorValves => "radiator valves",
            Self::FusedSpur => "fused spur",
            Self::FlowLimiter => "flow temperature limiter",
            Self::InsulationBoard => "insulation board",
            Self::SeparatingLayer => "separating layer",
            Self::EdgeStrip => "edge strip",
            Self::Screed => "screed",
            Self::PlantKit => "plant kit",
            Self::Inhibitor => "inhibitor",
            Self::BufferVessel => "buffer vessel to part heat source and system",
            Self::PipeInsulation => "insulation for a tube of the runs",
            Self::FreezeValve => "freeze-protection valve",
            Self::Antifreeze => "antifreeze of the kind that the job names",
        }
    }
}

/// Needs of several stages in words.
#[must_use]
pub fn rows<'u>(survey: &Survey, unmet: impl IntoIterator<Item = &'u Unmet>) -> Vec<UnmetRow> {
    unmet.into_iter().map(|unmet| unmet.row(survey)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_written_so_that_they_differ() {
        assert_eq!(distinct_within_three_decimals(540.2, 531.4), ["540", "531"]);
        assert_eq!(distinct_within_three_decimals(203.95, 203.56), ["203.9", "203.6"]);
        assert_eq!(distinct_within_three_decimals(203.95, 203.948), ["203.950", "203.948"]);
        assert_eq!(distinct_within_three_decimals(1.0, 1.0), ["1.000", "1.000"]);
    }
}
