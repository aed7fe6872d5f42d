//! What looks wrong with heat sources, and what they do not meet.

use crate::catalogue::offer::HeatSource;
use crate::findings;
use crate::list::Index;
use crate::survey::Survey;

findings! {
    /// Needs that no heat source meets.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Unmet: Unmet of survey: Survey {
        /// No heat source that may be taken carries house and hot water in design conditions.
        "no_heat_source" NoHeatSource { need_w: f64, reached_w: f64 }
        at "/plant"
        wants (*need_w, *reached_w, "W")
        says {
            if reached_w > 0.0 {
                format!(
                    "house and hot water need {need_w:.0} W in design conditions; the strongest heat source that may be taken gives {reached_w:.0} W"
                )
            } else {
                let why = if survey.plant.heat_sources.is_empty() {
                    "the price book has no heat source"
                } else {
                    "no heat source that may be taken has data there"
                };
                format!("house and hot water need {need_w:.0} W in design conditions, and {why}")
            }
        };
    }
}

findings! {
    /// What looks wrong with heat sources.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Warning: Warning of survey: Survey {
        /// The chosen heat source's outputs do not have defrosting taken off.
        "defrost_not_included" DefrostNotIncluded {}
        at "/plant"
        says "the outputs of the chosen heat source do not have defrosting taken off: it gives less in frost";

        /// A heat source on offer has no data at the design point, and is passed over.
        "outside_its_data" OutsideItsData {
            heat_source: Index<HeatSource>, outside_c: f64, flow_c: f64, from_c: f64, to_c: f64
        }
        at "/plant"
        says "{heat_source} was passed over: at {outside_c:.1} °C outside its data lack the point of {flow_c:.1} °C of flow, they reach from {from_c:.1} to {to_c:.1} °C there";

        /// A heat source has no data at the design outside temperature.
        "outside_its_data" NotSoCold { heat_source: Index<HeatSource>, outside_c: f64, from_c: f64, to_c: f64 }
        at "/plant"
        says "{heat_source} was passed over: its data lack points about {outside_c:.1} °C outside, they reach from {from_c:.1} to {to_c:.1} °C";

        /// A heat source is taken below the lowest flow temperature of its data.
        "below_its_data" BelowItsData { heat_source: Index<HeatSource>, lowest_c: f64 }
        at "/plant"
        says "{heat_source} is reckoned at {lowest_c} °C, the lowest flow temperature of its data: at a lower one it gives no less";
    }
}
