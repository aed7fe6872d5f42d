//! What looks wrong with emitters.

use super::floor::Beyond;
use super::unmet::Why;
use crate::catalogue::provenance::Recalled;
use crate::findings;
use crate::list::Index;
use crate::methods::en_1264_4::{Below, least_insulation_m2k_w};
use crate::survey::{EmitterAt, Room, Survey};

findings! {
    /// What looks wrong with emitters.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Warning: Warning of survey: Survey {
        /// Radiators work below the excess temperatures that they were tested at; the room of the lowest.
        "below_tested_range" BelowTestedRange { room: Index<Room>, excess_k: f64, tested_from_k: f64 }
        at "/heating"
        says "radiators work at excess temperatures down to {excess_k:.1} K, in room {room}; ratings are tested from {tested_from_k} K up";

        /// The arithmetic mean is asked of radiators whose return comes too near the room: the room of the nearest, and the
        /// ratio of the excess of its return and flow.
        "arithmetic_mean" ArithmeticMean { room: Index<Room>, ratio: f64, least_ratio: f64, origin: Recalled }
        at "/heating/radiator_mean"
        says {
            if ratio > 0.0 {
                format!(
                    "the excess of return and flow has a ratio down to {ratio:.2}, in room {room}: below {least_ratio} radiators are reckoned by the logarithmic mean (from memory, confirm)"
                )
            } else {
                format!(
                    "by the arithmetic mean the return from the radiator of room {room} would be no warmer than the room, and is taken as warm as that: the radiator is too large for this mean, reckon with the logarithmic one"
                )
            }
        };

        /// A room that another heats is cooler than it is designed for: with the door open, and with it shut.
        "stands_cooler" StandsCooler { room: Index<Room>, from: Index<Room>, open_c: f64, shut_c: f64, wanted_c: f64 }
        at "/rooms/{room}/heated_from"
        says "room {room} is heated from {from}: it stands at {open_c:.1} °C while the door is open and at {shut_c:.1} °C once it is shut for long, where {wanted_c} °C are wanted";

        /// A room that another heats falls so low behind a shut door that mould may grow.
        "mould" Mould { room: Index<Room>, shut_c: f64, least_c: f64 }
        at "/rooms/{room}/heated_from"
        says "behind a shut door room {room} falls to {shut_c:.1} °C: below {least_c} °C mould may grow on its walls; leave the door open, or give it an emitter";

        /// The water of a heated floor comes back far colder than it goes in.
        "wide_floor_drop" WideDrop { at: EmitterAt, drop_k: f64, most_k: f64, flow_c: f64, return_c: f64 }
        at "{at}"
        says (
            "the water of the floor in room {room} falls by {drop_k:.1} K, from {flow_c:.1} to {return_c:.1} °C: beyond {most_k} K (common practice) a floor is too warm where its loops begin and cool where they end; a cooler flow, or a mixing set for the floors, evens it out",
            room = at.room
        );

        /// A radiator could give far more than it should carry: so many times as much, and the job's limit.
        "oversized" Oversized { at: EmitterAt, times: f64, times_max: f64 }
        at "{at}/oversize_max"
        says (
            "the radiator of room {room} could give {times:.2} times what it should carry, and {times_max} times is the limit",
            room = at.room
        );

        /// Nothing of a room's loss is left for an emitter, or nothing can be taken for it: it is left out.
        "emitter_left_out" LeftOut { at: EmitterAt, why: Option<Why> }
        at "{at}"
        says {
            let reason = why.map_or_else(
                || "at this flow temperature the room leaves nothing to carry for it".to_owned(),
                |why| format!("nothing can be taken for it: {}", why.words(survey, at.at)),
            );
            let (room, emitter) = (at.room, at.emitter);
            format!(
                "{emitter} of room {room} is left out of design and bill, and so is a run that leads to nothing else: {reason}"
            )
        };

        /// Nothing of a room's loss is left for an emitter, which stays or is hung all the same; whether lines of other
        /// floors heat the room.
        "emitter_idle" Idle { at: EmitterAt, is_alone: bool, heated_by_lines: bool }
        at "{at}"
        says {
            let (room, emitter) = (at.room, at.emitter);
            if is_alone && heated_by_lines {
                format!("lines of other rooms' floors carry room {room}, and {emitter} stays cold there")
            } else if is_alone {
                format!("room {room} loses nothing in design conditions, and {emitter} stays cold there")
            } else {
                format!(
                    "at this flow temperature room {room} leaves nothing to carry for {emitter}, which stays cold in the design: give it a share if it should be warm"
                )
            }
        };

        /// A heated floor lies on nothing that the room declares as its floor.
        "no_underside" NoUnderside { at: EmitterAt }
        at "{at}"
        says "the room declares no floor, so nothing is reckoned to go down from its underfloor heating";

        /// There is less insulation below a heated floor than the standard asks for.
        "thin_insulation" ThinInsulation { at: EmitterAt, wanted_m2k_w: f64, has_m2k_w: f64, origin: Option<Recalled> }
        at "{at}"
        says {
            format!(
                "the layers under the underfloor heating of room {} have {has_m2k_w:.2} m²K/W together, and EN 1264-4 asks for {wanted_m2k_w} m²K/W of insulation{}",
                at.room,
                if origin.is_some() { " (from memory, confirm)" } else { "" }
            )
        };

        /// A heated floor would not carry its share under the worst covering that the job names.
        "worst_covering" WorstCovering { at: EmitterAt, load_w: f64, reached_w: f64 }
        at "{at}/worst_covering"
        says (
            "under the worst covering the floor of room {room} gives {reached_w:.0} W of the {load_w:.0} W that it should carry",
            room = at.room
        );

        /// The tables of a floor's standard do not reach it, and it goes by conduction alone.
        "by_conduction_alone" ByConductionAlone { at: EmitterAt, beyond: Beyond }
        at "{at}"
        says (
            "the underfloor heating of room {room} goes by conduction through its section alone, without the standard's limit curve: {beyond}",
            room = at.room
        );

        /// Plates conduct better than the tables of their kind reach, and count as the last that these hold.
        "plates_beyond_table" PlatesBeyondTable { at: EmitterAt, conduction: f64, most_conduction: f64 }
        at "{at}"
        says (
            "plates and screed of the floor in room {room} conduct better than the table of ISO 11855-2 reaches (KWL {conduction:.2}, and it ends at {most_conduction}): they count as at its end, and will give somewhat more",
            room = at.room
        );

        /// The tables of a floor's kind do not reach the worst covering that the job names.
        "worst_covering_beyond_tables" WorstCoveringBeyondTables { at: EmitterAt, beyond: Beyond }
        at "{at}/worst_covering"
        says (
            "what the floor of room {room} gives under the worst covering is not known: {beyond}",
            room = at.room
        );

        /// A spacing lies outside the tables of the floor's kind, and is passed over.
        "spacing_passed_over" SpacingPassedOver { at: EmitterAt, spacing_mm: f64 }
        at "{at}"
        says (
            "pipes {spacing_mm:.0} mm apart lie outside the tables for the floor of room {room}, and were passed over",
            room = at.room
        );

        /// Loops run slower than flow meters of manifolds show: how many, and the slowest.
        "slow_loops" SlowLoops { loops: usize, room: Index<Room>, flow_l_min: f64, least_l_min: f64 }
        at "/heating"
        says {
            let loops = if loops == 1 { "a loop runs".to_owned() } else { format!("{loops} loops run") };
            format!(
                "{loops} below {least_l_min} l/min, where flow meters of manifolds begin (common practice), down to {flow_l_min:.2} l/min in room {room}: a cooler flow, or pipes further apart, would need more"
            )
        };

        /// What lines give to other rooms goes to and fro, and the least of it is counted.
        "lines_unsettled" LinesUnsettled {}
        at "/rooms"
        says "floors whose lines pass each other's rooms find no state that holds; the least that lines give to rooms is counted, which is on the safe side";

        /// A fan convector's water is hotter than its data reach; the greatest difference of the data.
        "above_its_data" AboveItsData { at: EmitterAt, difference_k: f64 }
        at "{at}"
        says (
            "the fan convector of room {room} is taken at the greatest difference of its data, {difference_k} K, as its water is hotter: it gives more than is told",
            room = at.room
        );

        /// Lines of other rooms' floors give a room more than it loses.
        "lines_overheat" LinesOverheat { room: Index<Room>, given_w: f64, loss_w: f64 }
        at "/rooms/{room}"
        says "lines of other rooms' floors give room {room} {given_w:.0} W, and it loses {loss_w:.0} W: lead them elsewhere or insulate them";
    }
}

impl Warning {
    /// Of a floor with so much insulation below (m²K/W); what is asked for over mild outside air is recalled.
    pub(super) fn of_thin_insulation(at: EmitterAt, wanted_m2k_w: f64, has_m2k_w: f64) -> Self {
        let (mild, cold) = (Below::UnheatedOrGround, Below::OutsideAir { design_c: f64::NEG_INFINITY });
        let is_recalled = wanted_m2k_w > least_insulation_m2k_w(mild) && wanted_m2k_w < least_insulation_m2k_w(cold);
        let origin = is_recalled.then_some(Recalled("EN 1264-4"));
        Self::ThinInsulation { at, wanted_m2k_w, has_m2k_w, origin }
    }
}
