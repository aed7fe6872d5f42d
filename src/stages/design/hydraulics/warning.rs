//! What looks wrong with pumps, water and frost.

use crate::design::findings::distinct_within_three_decimals;
use crate::design::pipework::{DrivenBy, Pipe, distinct_from_decimals};
use crate::notes::{Field, Value, Values};
use crate::survey::Survey;
use crate::{findings, terms};

findings! {
    /// What looks wrong with pumps, water and frost.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Warning: Warning of survey: Survey {
        /// A tube that nobody can see may let too little heat through.
        "hidden_tube_may_lack" HiddenMayLack { pipe: Pipe, least_w: f64, wanted_w: f64, pump: DrivenBy }
        at ("{}/readings", pipe.at)
        says {
            let [wanted_w, least_w] = distinct_within_three_decimals(wanted_w, least_w);
            let (name, with) = (pipe.name, pump.name());
            format!("with {with} the hidden pipe of {name} may deliver no more than {least_w} W of the {wanted_w} W that are asked of it")
        };

        /// The heat source's data do not tell its least flow, the water that it needs about it, or either.
        "least_flow_not_told" FlowNotTold { untold: Untold }
        at "/plant"
        says {
            let what = match untold {
                Untold::Flow => "its least flow",
                Untold::Water => "the water that it needs about it",
                Untold::Both => "its least flow nor the water that it needs about it",
            };
            let do_not = if untold == Untold::Both { "tell neither" } else { "do not tell" };
            format!("the heat source's data {do_not} {what}: ask, for that decides whether it needs a vessel")
        };

        /// Floors are to cool, and the heat source's data are for heating alone.
        "cooling_not_told" CoolingNotTold {}
        at "/cooling"
        says "the data of the heat source are for heating alone: make sure that it cools, how much, and that planning allows it";

        /// A pipe runs faster than its limit while floors cool.
        "fast_while_cooling" FastCooling { pipe: Pipe, velocity_m_s: f64, limit_m_s: f64 }
        at { pipe.at }
        says (
            "while floors cool {name} runs at {velocity_m_s:.2} m/s, and {limit_m_s:.2} m/s is its limit: a larger rise would slow it",
            name = pipe.name
        );

        /// Plain water outdoors can freeze.
        "water_can_freeze" WaterFreezes { coldest_c: f64 }
        at "/pipework"
        says "plain water stands outdoors, and air of {coldest_c:.1} °C freezes it should the heat source stand still: either antifreeze in heating.fluid, or freeze-protection valves in pipework.freeze_protection, one on each leg, with plain water; never both";

        /// Freeze-protection valves do not empty a long way outdoors.
        "valves_leave_water" ValvesLeaveWater { pipe: Pipe, outdoor_m: f64, reach_m: f64, left_l: f64, coldest_c: f64 }
        at { pipe.at }
        says (
            "{outdoor_m:.1} m of {name} lie in the open, and freeze-protection valves empty what they can reach, some {reach_m} m: about {left_l:.1} l stay in it, which air of {coldest_c:.1} °C freezes should the heat source stand still; take antifreeze in heating.fluid in place of the valves, or lay it in the ground below frost or indoors",
            name = pipe.name
        );

        /// The mixture outdoors can freeze; the fraction that would do, if one does.
        "mixture_can_freeze" MixtureFreezes { freezing_c: f64, coldest_c: f64, enough_fraction: Option<f64> }
        at "/heating/fluid"
        says {
            let enough = enough_fraction.map_or_else(
                || "no fraction is enough: take".to_owned(),
                |fraction| format!("take a fraction of {fraction:.2} at least, or"),
            );
            let [freezing_c, coldest_c] = distinct_from_decimals(freezing_c, coldest_c, 1);
            format!(
                "the mixture freezes at {freezing_c} °C, and air of {coldest_c} °C is to be reckoned with: {enough} plain water with freeze-protection valves, one on each leg; never both"
            )
        };

        /// Pipes that carry chilled water are bare: the first, and how many.
        "bare_chilled_pipe" BareAndChilled { pipe: Pipe, pipes: usize }
        at { pipe.at }
        says {
            let name = pipe.name;
            let others = if pipes > 1 { format!(" and {} more", pipes - 1) } else { String::new() };
            let them = if pipes > 1 { "them" } else { "it" };
            format!("{name}{others} would carry chilled water bare, and drip: insulate {them}, sealed against vapour")
        };

        /// Pipes lie bare where it is cold: the first, and how many.
        "bare_pipe" BareInTheCold { pipe: Pipe, pipes: usize }
        at { pipe.at }
        says {
            let name = pipe.name;
            let others = if pipes > 1 { format!(" and {} more", pipes - 1) } else { String::new() };
            let lies = if pipes > 1 { "lie" } else { "lies" };
            format!("{name}{others} {lies} bare in the cold: insulate what runs outside the heated rooms")
        };
    }
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

terms! {
    codes of Untold {
        Flow: "flow";
        Water: "water";
        Both: "both";
    }
}

impl Field<Survey> for Untold {
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
