//! The states in which emitters run, and the flows that they are set to.

use super::Common;
use crate::design::units::flow_kg_s;
use crate::methods::{Workings, en_442, last_steps};
use crate::survey::FlowRule;

/// Flow, return and output of an emitter, all of one state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flowing {
    /// What it gives to the room (W).
    pub output_w: f64,
    /// Its return temperature (°C).
    pub return_c: f64,
    /// Its flow (kg/s).
    pub flow_kg_s: f64,
}

impl Flowing {
    /// Water that stands and has cooled to the room.
    pub(super) fn standing(room_c: f64) -> Self {
        Self { output_w: 0.0, return_c: room_c, flow_kg_s: 0.0 }
    }
}

impl Common<'_> {
    /// Flow that carries heat at the nominal drop (kg/s, W).
    pub(super) fn nominal_flow(&self, heat_w: f64, w: &mut impl Workings) -> f64 {
        en_442::mass_flow(heat_w, self.water.specific_heat_j_kgk, self.survey.heating.drop_k, w)
    }

    /// Flow that a radiator is set to which takes so much for its load of so much (kg/s, W).
    pub(super) fn radiator_flow(&self, at_load_kg_s: f64, load_w: f64, w: &mut impl Workings) -> f64 {
        match self.survey.heating.flow_rule {
            FlowRule::ByLoad => at_load_kg_s,
            FlowRule::ByDrop { least_radiator_l_h, .. } => {
                let least_kg_s = flow_kg_s(least_radiator_l_h, self.water.density_kg_m3);
                let nominal_kg_s = self.nominal_flow(load_w, w);
                last_steps::greatest_flow(at_load_kg_s, nominal_kg_s, least_kg_s, w)
            }
        }
    }

    /// Least flow that so many loops are set to (kg/s).
    pub(super) fn least_of_loops(&self, loops: u32) -> f64 {
        match self.survey.heating.flow_rule {
            FlowRule::ByLoad => 0.0,
            FlowRule::ByDrop { .. } => self.least_by_meters(loops),
        }
    }

    /// Least flow that the meters of so many loops show, whatever they are set by (kg/s).
    pub(super) fn least_by_meters(&self, loops: u32) -> f64 {
        let least_l_h = match self.survey.heating.flow_rule {
            FlowRule::ByLoad => self.survey.defaults.least_loop_flow_l_h.value,
            FlowRule::ByDrop { least_loop_l_h, .. } => least_loop_l_h,
        };
        f64::from(loops) * flow_kg_s(least_l_h, self.water.density_kg_m3)
    }
}
