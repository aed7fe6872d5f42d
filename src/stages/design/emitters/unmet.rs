//! Needs that emitters do not meet.

use super::aside::AsideWhy;
use super::floor::Beyond;
use crate::catalogue::products::Product;
use crate::design::findings::distinct_within_three_decimals;
use crate::list::Index;
use crate::notes::{Field, Term as _, Value, Values};
use crate::survey::{EmitterAt, EmitterKind, Room, Survey};
use crate::{findings, terms};

findings! {
    /// Needs that emitters do not meet.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Unmet: Unmet of survey: Survey {
        /// A room loses heat and has no emitter.
        "no_emitter" NoEmitter { room: Index<Room>, need_w: f64, reached_w: f64 }
        at "/rooms/{room}/emitters"
        wants (*need_w, *reached_w, "W")
        says "room {room} loses {need_w:.0} W and has no emitter";

        /// A room that another heats loses more than an open door passes.
        "door_too_small" Door { room: Index<Room>, need_w: f64, most_w: f64 }
        at "/rooms/{room}/heated_from"
        wants (*need_w, *most_w, "W")
        says "room {room} loses {need_w:.0} W, and a door that stands open passes {most_w:.0} W at most: it wants an emitter of its own";

        /// No radiator or towel rail that fits carries its share.
        "no_radiator" NoRadiator { at: EmitterAt, need_w: f64, reached_w: f64 }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says {
            let [need_w, reached_w] = distinct_within_three_decimals(need_w, reached_w);
            let (kind, room) = (hanging(survey, at.at), at.room);
            format!("no {kind} that fits room {room} carries its {need_w} W: the strongest gives {reached_w} W")
        };

        /// No fan convector that fits carries its share.
        "no_fan_convector" NoFanConvector { at: EmitterAt, need_w: f64, reached_w: f64, sound_max_db: Option<f64> }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says {
            let [need_w, reached_w] = distinct_within_three_decimals(need_w, reached_w);
            let within = sound_max_db.map_or_else(String::new, |db| format!(" within {db} dB"));
            let room = at.room;
            format!("no fan convector for room {room} carries its {need_w} W{within}: the strongest gives {reached_w} W")
        };

        /// The water comes back no warmer than the room.
        "water_too_cool" WaterTooCool { at: EmitterAt, need_w: f64, reached_w: f64 }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says { nothing(survey, at.at, need_w, reached_w, Why::Water) };

        /// No radiator or towel rail can be taken at all.
        "no_radiator" NoRadiatorAtAll { at: EmitterAt, why: Why, need_w: f64, reached_w: f64 }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says { nothing(survey, at.at, need_w, reached_w, why) };

        /// No fan convector can be taken at all.
        "no_fan_convector" NoFanConvectorAtAll {
            at: EmitterAt, why: Why, sound_max_db: Option<f64>, need_w: f64, reached_w: f64
        }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says { nothing(survey, at.at, need_w, reached_w, why) };

        /// No radiator that fits is stronger than the one that hangs there, which is too weak.
        "no_radiator" NoStrongerRadiator { at: EmitterAt, need_w: f64, reached_w: f64 }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says {
            let [need_w, reached_w] = distinct_within_three_decimals(need_w, reached_w);
            let (kind, room) = (hanging(survey, at.at), at.room);
            format!(
                "no {kind} that fits room {room} is stronger than the one that hangs there, which gives {reached_w} W of the {need_w} W that it should carry, at the nominal drop"
            )
        };

        /// A radiator that stays in any case does not carry its share.
        "kept_radiator_too_small" KeptRadiator { at: EmitterAt, need_w: f64, reached_w: f64 }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says {
            let [need_w, reached_w] = distinct_within_three_decimals(need_w, reached_w);
            let (kind, room) = (hanging(survey, at.at), at.room);
            format!(
                "the {kind} that stays in room {room} gives {reached_w} W of the {need_w} W that it should carry, at the nominal drop"
            )
        };

        /// A heated floor does not carry its share; whether the limit of its surface is why.
        "floor_too_weak" FloorTooWeak { at: EmitterAt, at_surface_limit: bool, need_w: f64, reached_w: f64 }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says {
            let [need_w, reached_w] = distinct_within_three_decimals(need_w, reached_w);
            let reason = if at_surface_limit {
                "its surface may be no warmer, however warm the flow"
            } else {
                "the flow is too cool for it"
            };
            let room = at.room;
            format!(
                "the underfloor heating of room {room} gives {reached_w} W of the {need_w} W that it should carry: {reason}"
            )
        };

        /// The tables of a heated floor's kind do not reach it at any of its spacings, and conduction is not solved for it: what lies
        /// outside of them, and where they end.
        "floor_beyond_tables" FloorBeyondTables { at: EmitterAt, beyond: Beyond, need_w: f64, reached_w: f64 }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says (
            "the underfloor heating of room {room} is not designed: {beyond}; choose a product or a build-up within its tables, or another emitter",
            room = at.room
        );

        /// No number of loops keeps a floor's loops within their pressure.
        "loops_take_too_much_pressure" Loops { at: EmitterAt, most_kpa: f64, reached_kpa: f64 }
        at "{at}"
        wants (*most_kpa, *reached_kpa, "kPa")
        says (
            "no number of loops of room {room} keeps within {most_kpa:.1} kPa; as laid one takes {reached_kpa:.1} kPa",
            room = at.room
        );

        /// The least flow of a floor's loops takes its surface beyond its limit.
        "floor_too_warm" FloorTooWarm { at: EmitterAt, flow_c: f64, most_w_m2: f64, gives_w_m2: f64 }
        at "{at}"
        wants (*most_w_m2, *gives_w_m2, "W/m²")
        says (
            "at {flow_c:.1} °C the least flow that its loops can be set to lets the underfloor heating of room {room} give {gives_w_m2:.1} W/m², and its surface bears {most_w_m2:.1} W/m²: it takes a mixing set, or a cooler flow",
            room = at.room
        );

        /// A room that does not set the lowest flow temperature lacks heat there: why it is set aside, and what would give that.
        "set_aside" SetAside {
            room: Index<Room>,
            why: AsideWhy,
            flow_c: f64,
            need_w: f64,
            reached_w: f64,
            short_w: f64,
            product: Option<Index<Product>>,
            gives_w: Option<f64>,
        }
        at "/rooms/{room}/emitters"
        wants (*need_w, *reached_w, "W")
        says {
            let mends = match (product, gives_w) {
                (Some(code), Some(gives_w)) => format!("radiator {code} would give {gives_w:.0} W there"),
                _ => "no radiator of the price book gives that there".to_owned(),
            };
            let is_bathroom = why == AsideWhy::Bathroom.words();
            let rail = if is_bathroom { ", or a towel rail with an electric element" } else { "" };
            format!("room {room} is set aside from the flow temperature: {why}; at {flow_c} °C it lacks {short_w:.0} W of {need_w:.0} W, and {mends}{rail}")
        };

        /// No change that is looked at lets an emitter carry its share at a cooler flow.
        "no_change_helps" NoChange { at: EmitterAt, need_w: f64, reached_w: f64 }
        at "{at}"
        wants (*need_w, *reached_w, "W")
        says (
            "half a kelvin cooler the {kind} of room {room} gives {reached_w:.0} W of {need_w:.0} W, and no larger one, closer spacing, thinner covering or other share changes that: the room needs another emitter, or to lose less",
            kind = hanging(survey, at.at), room = at.room
        );

        /// The common flow is hotter than a screed bears.
        "screed_too_hot" Screed { most_c: f64, flow_c: f64 }
        at "/heating"
        wants (*most_c, *flow_c, "°C")
        says "floors are fed at {flow_c:.1} °C, and a screed bears {most_c:.0} °C at most: its limiter would shut them off";
    }
}

impl Unmet {
    /// The room and the emitter, where it is of one.
    #[must_use]
    pub fn emitter(&self) -> Option<EmitterAt> {
        match *self {
            Self::NoRadiator { at, .. }
            | Self::NoFanConvector { at, .. }
            | Self::WaterTooCool { at, .. }
            | Self::NoRadiatorAtAll { at, .. }
            | Self::NoFanConvectorAtAll { at, .. }
            | Self::NoStrongerRadiator { at, .. }
            | Self::KeptRadiator { at, .. }
            | Self::FloorTooWeak { at, .. }
            | Self::Loops { at, .. }
            | Self::FloorBeyondTables { at, .. }
            | Self::NoChange { at, .. }
            | Self::FloorTooWarm { at, .. } => Some(at),
            Self::NoEmitter { .. } | Self::Door { .. } | Self::SetAside { .. } | Self::Screed { .. } => None,
        }
    }

    /// The room that it is of; nothing where it is of the whole house.
    #[must_use]
    pub fn room(&self) -> Option<Index<Room>> {
        if let Self::NoEmitter { room, .. } | Self::Door { room, .. } | Self::SetAside { room, .. } = *self {
            return Some(room);
        }
        self.emitter().map(|at| at.room)
    }

    /// Whether it is too much heat that is told, which no warmer water and no other emitter mends.
    #[must_use]
    pub fn is_too_warm(&self) -> bool {
        matches!(self, Self::FloorTooWarm { .. })
    }

    /// Why an emitter that lacks heat holds a temperature where no change helps it.
    #[must_use]
    pub fn beyond_change(self) -> Self {
        let (need_w, reached_w) = self.figures();
        match self {
            Self::NoRadiator { at, .. }
            | Self::NoFanConvector { at, .. }
            | Self::WaterTooCool { at, .. }
            | Self::NoRadiatorAtAll { at, .. }
            | Self::NoFanConvectorAtAll { at, .. }
            | Self::NoStrongerRadiator { at, .. }
            | Self::KeptRadiator { at, .. }
            | Self::FloorTooWeak { at, .. } => Self::NoChange { at, need_w, reached_w },
            Self::Loops { .. }
            | Self::FloorBeyondTables { .. }
            | Self::FloorTooWarm { .. }
            | Self::NoChange { .. }
            | Self::NoEmitter { .. }
            | Self::Door { .. }
            | Self::SetAside { .. }
            | Self::Screed { .. } => self,
        }
    }

    /// Need and what was reached of it.
    #[must_use]
    pub fn figures(&self) -> (f64, f64) {
        match *self {
            Self::NoEmitter { need_w, reached_w, .. }
            | Self::SetAside { need_w, reached_w, .. }
            | Self::NoRadiator { need_w, reached_w, .. }
            | Self::NoFanConvector { need_w, reached_w, .. }
            | Self::WaterTooCool { need_w, reached_w, .. }
            | Self::NoRadiatorAtAll { need_w, reached_w, .. }
            | Self::NoFanConvectorAtAll { need_w, reached_w, .. }
            | Self::NoStrongerRadiator { need_w, reached_w, .. }
            | Self::KeptRadiator { need_w, reached_w, .. }
            | Self::NoChange { need_w, reached_w, .. }
            | Self::FloorBeyondTables { need_w, reached_w, .. }
            | Self::FloorTooWeak { need_w, reached_w, .. } => (need_w, reached_w),
            Self::Door { need_w, most_w, .. } => (need_w, most_w),
            Self::Loops { most_kpa, reached_kpa, .. } => (most_kpa, reached_kpa),
            Self::FloorTooWarm { most_w_m2, gives_w_m2, .. } => (most_w_m2, gives_w_m2),
            Self::Screed { most_c, flow_c } => (most_c, flow_c),
        }
    }
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

terms! {
    codes of Why {
        Book: "none_in_the_book";
        Fit: "none_fits";
        Water: "water_too_cool";
        Sound: "none_quiet_enough";
        Data: "below_their_data";
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

impl Field<Survey> for Why {
    type Said<'f> = Self;

    fn terms() -> Vec<&'static str> {
        Self::CODES.to_vec()
    }

    fn said<'f>(&'f self, _: &'f Survey) -> Self {
        *self
    }

    fn put(&self, name: &'static str, _: &Survey, values: &mut Values) {
        values.put(name, Value::Word(self.code().into()));
    }
}

/// That nothing can be hung there, in words.
fn nothing(survey: &Survey, at: EmitterAt, need_w: f64, reached_w: f64, why: Why) -> String {
    let (name, reason) = (&survey.names.rooms[at.room], why.words(survey, at));
    if need_w > 0.0 {
        let [need_w, _] = distinct_within_three_decimals(need_w, reached_w);
        format!("nothing gives room {name} its {need_w} W: {reason}")
    } else {
        format!("nothing can be hung in room {name}: {reason}")
    }
}

/// What hangs on a wall there, in words.
fn hanging(survey: &Survey, at: EmitterAt) -> &'static str {
    match &survey.emitter(at).kind {
        EmitterKind::Radiator { hanging, .. } if hanging.is_towel_rail => "towel rail",
        EmitterKind::Radiator { .. } | EmitterKind::HeatedFloor(_) => "radiator",
        EmitterKind::FanConvector(_) => "fan convector",
    }
}

/// What limits the sound of a fan convector (dB), if anything does.
pub(super) fn sound_max_db(survey: &Survey, at: EmitterAt) -> Option<f64> {
    match &survey.emitter(at).kind {
        EmitterKind::FanConvector(blowing) => Some(blowing.sound_max_db).filter(|db| db.is_finite()),
        EmitterKind::Radiator { .. } | EmitterKind::HeatedFloor(_) => None,
    }
}
