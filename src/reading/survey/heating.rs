//! Flow temperature, drop, fluid and flows of the heating circuit, with every default filled.

use super::Gathering;
use super::assumed::Emitters;
use crate::intake::{Fault, FaultCode};
use crate::job::emitters::Emitter;
use crate::job::heating::{self as written, EmitterChoice, FlowTemperature, RadiatorMean};
use crate::methods::en_442::Mean;
use crate::methods::fluid::Fluid;

/// The heating circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    /// Common flow temperature.
    pub flow: Flow,
    /// Nominal drop (K).
    pub drop_k: f64,
    /// Mean that radiators are reckoned by.
    pub radiator_mean: Mean,
    /// What decides among radiators and fan convectors that are enough.
    pub emitter_choice: EmitterChoice,
    /// What flows.
    pub fluid: Fluid,
    /// What flow each emitter is set to.
    pub flow_rule: FlowRule,
}

/// How the common flow temperature is found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Flow {
    /// Given (°C).
    Fixed(f64),
    /// The lowest between two that carries every room (°C).
    Lowest(f64, f64),
}

/// What flow each emitter is set to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FlowRule {
    /// By the nominal drop, and to no less than the least.
    ByDrop {
        /// Least flow of a radiator (l/h).
        least_radiator_l_h: f64,
        /// Least flow of a loop (l/h).
        least_loop_l_h: f64,
    },
    /// To exactly what its load takes.
    ByLoad,
}

impl Gathering<'_> {
    pub(super) fn heating(&mut self) -> Heating {
        let (heating, defaults) = (self.job.heating.as_ref(), &self.catalogue.defaults);
        let flow = match heating.and_then(|heating| heating.flow_temperature.as_ref()) {
            Some(FlowTemperature::Fixed { flow_temperature_c }) => Flow::Fixed(*flow_temperature_c),
            Some(FlowTemperature::Lowest { least_c, most_c }) => self.flow_bounds(*least_c, *most_c),
            None => {
                let flow_c = defaults.flow_temperature_c.value;
                self.notes.add(&Emitters::FlowTemperature { flow_temperature_c: flow_c });
                Flow::Fixed(flow_c)
            }
        };
        let drop_k = heating.and_then(|heating| heating.drop_k).unwrap_or_else(|| {
            let drop_k = defaults.flow_drop_k.value;
            self.notes.add(&Emitters::Drop { drop_k });
            drop_k
        });
        let radiator_mean = match heating.and_then(|heating| heating.radiator_mean) {
            None | Some(RadiatorMean::Logarithmic) => Mean::Logarithmic,
            Some(RadiatorMean::Arithmetic) => Mean::Arithmetic,
        };
        let emitter_choice = heating.and_then(|heating| heating.emitter_choice).unwrap_or_else(|| {
            let rooms = self.job.rooms.values();
            if rooms.flat_map(|room| room.emitters.values()).any(Emitter::is_chosen) {
                self.notes.add(&Emitters::EmitterChoice {});
            }
            EmitterChoice::LeastCost
        });
        let fluid = match heating.and_then(|heating| heating.fluid.as_ref()) {
            None | Some(written::Fluid::Water {}) => Fluid::Water,
            Some(written::Fluid::Glycol { substance, fraction }) => Fluid::Glycol((*substance).into(), *fraction),
        };
        let flow_rule = self.flow_rule();
        Heating { flow, drop_k, radiator_mean, emitter_choice, fluid, flow_rule }
    }

    /// What flow each emitter is set to.
    fn flow_rule(&mut self) -> FlowRule {
        let (heating, defaults) = (self.job.heating.as_ref(), &self.catalogue.defaults);
        let least = heating.and_then(|heating| heating.least_flow.as_ref());
        let told = [least.and_then(|least| least.radiator_l_h), least.and_then(|least| least.loop_l_h)];
        let rule = heating.and_then(|heating| heating.flow_rule);
        if rule == Some(written::FlowRule::ByLoad) {
            for (name, least_l_h) in ["radiator_l_h", "loop_l_h"].into_iter().zip(told) {
                let Some(least_l_h) = least_l_h else { continue };
                let detail = format!(
                    "by load each emitter is set to exactly what it carries, and {least_l_h} l/h at least would be more: leave one of the two out"
                );
                let fault = Fault::new(format!("/heating/least_flow/{name}"), FaultCode::LeastFlowByLoad, detail);
                self.faults.push(fault.rests_on("/heating/flow_rule"));
            }
            return FlowRule::ByLoad;
        }
        let [radiator_l_h, loop_l_h] = told;
        let least_radiator_l_h = radiator_l_h.unwrap_or(defaults.least_radiator_flow_l_h.value);
        let least_loop_l_h = loop_l_h.unwrap_or(defaults.least_loop_flow_l_h.value);
        let has_emitters = self.job.rooms.values().any(|room| !room.emitters.is_empty());
        if has_emitters && (rule.is_none() || radiator_l_h.is_none() || loop_l_h.is_none()) {
            self.notes.add(&Emitters::FlowRule { least_radiator_l_h, least_loop_l_h });
        }
        FlowRule::ByDrop { least_radiator_l_h, least_loop_l_h }
    }

    /// Between what the lowest flow temperature is sought.
    fn flow_bounds(&mut self, least_c: Option<f64>, most_c: Option<f64>) -> Flow {
        let at = "/heating/flow_temperature";
        let defaults = &self.catalogue.defaults;
        let least = least_c.unwrap_or(defaults.lowest_flow_from_c.value);
        let most = most_c.unwrap_or(defaults.lowest_flow_to_c.value);
        if least_c.is_none() || most_c.is_none() {
            self.notes.add(&Emitters::FlowBounds { least_c: least, most_c: most });
        }
        if least > most {
            let default = |given: Option<f64>| if given.is_none() { ", which holds when left out" } else { "" };
            let detail = format!(
                "the lowest flow temperature cannot be sought from {least} °C{} up to {most} °C{}",
                default(least_c),
                default(most_c)
            );
            self.faults.push(Fault::new(at, FaultCode::BoundsUpsideDown, detail).limit(most));
        }
        Flow::Lowest(least, most)
    }
}
