//! What is filled in about radiators, fan convectors and cooling.

use crate::catalogue::provenance::Provenance;
use crate::findings;
use crate::notes::{At, Filled, Fills};

findings! {
    /// What is filled in about radiators, fan convectors and cooling.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Emitters: Assumption of nothing: () {
        /// The flow temperature in design conditions.
        "flow_temperature" FlowTemperature { flow_temperature_c: f64 }
        at "/heating"
        says "flow temperature {flow_temperature_c} °C in design conditions";

        /// The nominal drop between flow and return.
        "drop" Drop { drop_k: f64 }
        at "/heating"
        says "nominal drop {drop_k} K between flow and return";

        /// What flow each emitter is set to.
        "flow_rule" FlowRule { least_radiator_l_h: f64, least_loop_l_h: f64 }
        at "/heating"
        says "radiators are set to the nominal drop, underfloor heating to its load, a radiator to {least_radiator_l_h} l/h at least and a loop to {least_loop_l_h} l/h";

        /// What of several radiators or fan convectors is taken.
        "emitter_choice" EmitterChoice {}
        at "/heating"
        says "of the radiators and fan convectors that fit and are enough the cheapest is taken";

        /// Between what the lowest flow temperature is sought.
        "flow_bounds" FlowBounds { least_c: f64, most_c: f64 }
        at "/heating/flow_temperature"
        says "the lowest flow temperature is sought from {least_c} to {most_c} °C";

        /// An emitter of a kind that the price book has no labour norm for is hung in the hours of a radiator.
        "labour_norm" LabourNorm { at: At, per: &'static str }
        at "{at}"
        says "the price book has no labour norm per {per}: it is hung in the hours of a radiator";

        /// Shares of a room's loss that are found.
        "shares_found" SharesFound { at: At, emitters: String }
        at "{at}"
        says "what {emitters} carry is found: underfloor heating as much as it can, the others equal parts of the rest as far as they can";

        /// What is left free below a radiator and under its sill.
        "radiator_clearance" BelowSill { at: At, below_mm: f64, below_sill_mm: f64, origin: Provenance }
        at "{at}/fit/sill_height_mm"
        says "{below_mm} mm are left free below the radiator and {below_sill_mm} mm between it and the sill ({origin})";

        /// What is left free at the ends of a radiator for its valves.
        "radiator_clearance" Valves { at: At, valve_mm: f64, origin: Provenance }
        at "{at}/fit/clear_wall_mm"
        says "{valve_mm} mm are left free at each end of the radiator for its valves ({origin})";

        /// What a connection at the bottom of both ends leaves of a radiator's rated output.
        "radiator_factor" Connection { at: At, factor: f64, origin: Provenance }
        at "{at}/connection"
        says "connected at the bottom of both ends a radiator gives {factor} of its rated output (from memory, confirm: sources differ widely, and the maker's figure goes before it)";

        /// What a metallic paint leaves of a radiator's rated output.
        "radiator_factor" Finish { at: At, factor: f64, origin: Provenance }
        at "{at}/finish"
        says "with a metallic paint a radiator gives {factor} of its rated output (from memory, confirm)";

        /// The exponent of an old radiator.
        "radiator_exponent" Exponent { at: At, exponent: f64, origin: Provenance }
        at "{at}/existing"
        says "exponent {exponent}, the default of {origin} for radiators";

        /// The state of rooms in summer, and how cold surfaces may be.
        "cooling" Cooling { filled: Filled<FilledCooling>, origin: Provenance }
        at "/cooling"
        says ("{} ({origin})", filled.join("; "));
    }
}

/// What is filled in about cooling.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledCooling;

impl Fills for FilledCooling {
    const NAMES: &'static [&'static str] = &["inside_c", "relative_humidity", "surface_min_c", "dew_point_margin_k"];
}
