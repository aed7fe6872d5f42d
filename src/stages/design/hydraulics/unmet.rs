//! What the pumps and the water about the heat source do not meet.

use crate::design::pipework::{DrivenBy, Pipe};
use crate::findings;
use crate::survey::Survey;

findings! {
    /// What the pumps and the water about the heat source do not meet.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Unmet: Unmet of survey: Survey {
        /// A tube that nobody can see lets too little heat through.
        "hidden_tube_too_narrow" HiddenTube { pipe: Pipe, need_w: f64, reached_w: f64, pump: DrivenBy }
        at ("{}/readings", pipe.at)
        wants (*need_w, *reached_w, "W")
        says {
            let [need_w, reached_w] = crate::design::findings::distinct_within_three_decimals(need_w, reached_w);
            let name = pipe.name;
            let with = pump.name();
            format!("with {with} the hidden pipe of {name} likely delivers {reached_w} W of the {need_w} W that are asked of it")
        };

        /// Less flow than the heat source runs with while hot water is made.
        "hot_water_flow_too_small" HotWaterFlow { need_l_h: f64, reached_l_h: f64 }
        at "/pipework/hot_water_circuit"
        wants (*need_l_h, *reached_l_h, "l/h")
        says "while hot water is made {reached_l_h:.0} l/h flow, and the heat source needs {need_l_h:.0} l/h: a smaller drop would give it more";

        /// Less flow than the heat source runs with while floors cool.
        "cooling_flow_too_small" CoolingFlow { need_l_h: f64, reached_l_h: f64 }
        at "/cooling"
        wants (*need_l_h, *reached_l_h, "l/h")
        says "while floors cool {reached_l_h:.0} l/h flow, and the heat source needs {need_l_h:.0} l/h: a smaller rise would give it more";

        /// The heat source's own pump is not strong enough.
        "pump_too_weak" Pump { need_kpa: f64, reached_kpa: f64 }
        at "/plant"
        wants (*need_kpa, *reached_kpa, "kPa")
        says "what the heat source's own pump must carry takes {need_kpa:.1} kPa, and it has {reached_kpa:.1} kPa at that flow";

        /// Its own pump is not strong enough for the hot-water circuit.
        "pump_too_weak_for_hot_water" HotWaterPump { need_kpa: f64, reached_kpa: f64 }
        at "/pipework/hot_water_circuit"
        wants (*need_kpa, *reached_kpa, "kPa")
        says "the way to the cylinder takes {need_kpa:.1} kPa, and the heat source's own pump has {reached_kpa:.1} kPa at that flow";

        /// The pump that carries the system is not strong enough while floors cool.
        "pump_too_weak_for_cooling" CoolingPump { need_kpa: f64, reached_kpa: f64 }
        at "/cooling"
        wants (*need_kpa, *reached_kpa, "kPa")
        says "while floors cool what the heat source's own pump carries takes {need_kpa:.1} kPa, and it has {reached_kpa:.1} kPa at that flow";

        /// The second pump is not strong enough while floors cool.
        "pump_too_weak_for_cooling" CoolingSecondPump { need_kpa: f64, reached_kpa: f64 }
        at "/cooling"
        wants (*need_kpa, *reached_kpa, "kPa")
        says "while floors cool the system takes {need_kpa:.1} kPa, and the strongest pump for it has {reached_kpa:.1} kPa at that flow";

        /// No second pump on offer carries the system.
        "no_second_pump" SecondPump { need_kpa: f64, reached_kpa: f64 }
        at "/pipework"
        wants (*need_kpa, *reached_kpa, "kPa")
        says "the system takes {need_kpa:.1} kPa behind a low-loss header, and the strongest circulator of the price book has {reached_kpa:.1} kPa at its flow";

        /// No buffer vessel on offer is large enough.
        "no_buffer_vessel" Buffer { need_l: f64, reached_l: f64 }
        at "/plant"
        wants (*need_l, *reached_l, "l")
        says {
            if reached_l > 0.0 {
                format!(
                    "between heat source and system a vessel of {need_l:.0} l is needed, and the largest on offer has {reached_l:.0} l"
                )
            } else {
                format!("between heat source and system a vessel of {need_l:.0} l is needed, and the price book has none")
            }
        };

        /// The price book has no vessel of any size to part heat source and system.
        "no_product" AnyBuffer {}
        at "/commercial"
        wants (1.0, 0.0, "each")
        says "the price book has no buffer vessel to stand as a low-loss header between heat source and system; it is not in the bill";
    }
}
