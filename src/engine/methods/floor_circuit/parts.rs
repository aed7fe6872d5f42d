//! What a circuit is made of, at one flow: film, excess, lines, drop.

use super::law::Law;
use super::{Circuit, Rule, State};
use crate::eq;
use crate::methods::error::MethodError;
use crate::methods::workings::{Off, Workings};
use crate::methods::{en_1264_3, film, last_steps};

impl Circuit<'_> {
    /// The circuit at an output and a flow, and the flow that it wants then (kg/s). Without a flow nothing may depend on
    /// it.
    pub(super) fn run<W: Workings>(
        &self,
        (output_w_m2, flow_kg_s): (f64, Option<f64>),
        w: &mut W,
    ) -> Result<(State, f64), MethodError> {
        let (flow_c, room_c, area_m2) = (self.flow_c, self.room_c, self.area_m2);
        let specific_heat_j_kgk = self.water.specific_heat_j_kgk;
        let mut to_return = w.within("return_temperature_c");
        let film_w_m2k = match flow_kg_s {
            Some(flow_kg_s) => self.film(flow_kg_s, &mut to_return)?,
            None => f64::INFINITY,
        };
        let (excess_k, law) = self.excess(output_w_m2, film_w_m2k, &mut to_return);
        let mut field_flow_c = flow_c;
        let (supply_up_w, supply_down_w) = self.lines_at(flow_c, &mut to_return);
        if let (Some(mass_flow_kg_s), false) = (flow_kg_s, self.lines.is_empty()) {
            let supply_w = supply_up_w + supply_down_w;
            let to = &mut to_return;
            eq!(to, ENERGY_BALANCE: cooled_c = flow_c - supply_w / (specific_heat_j_kgk * mass_flow_kg_s));
            field_flow_c = cooled_c;
        }
        if field_flow_c - room_c <= excess_k {
            return Err(MethodError::Impossible { reason: "the flow is too cool for this output" });
        }
        let field_return_c = self.return_of(field_flow_c, excess_k, &mut to_return)?;
        let (return_up_w, return_down_w) = self.lines_at(field_return_c, &mut to_return);
        let mut return_c = field_return_c;
        if let (Some(mass_flow_kg_s), false) = (flow_kg_s, self.lines.is_empty()) {
            let return_w = return_up_w + return_down_w;
            let to = &mut to_return;
            eq!(to, ENERGY_BALANCE: cooled_c = field_return_c - return_w / (specific_heat_j_kgk * mass_flow_kg_s));
            return_c = cooled_c;
        }
        drop(to_return);
        let given = (output_w_m2, excess_k);
        let downward_w_m2 = self.laws[law].downward(given, room_c, film_w_m2k, &mut w.within("downward_w"));
        let drop_k = field_flow_c - field_return_c;
        let to_flow = &mut w.within("flow_l_h");
        let wanted_kg_s =
            en_1264_3::circuit_mass_flow(area_m2, output_w_m2, downward_w_m2, specific_heat_j_kgk, drop_k, to_flow);
        let state = State {
            output_w_m2,
            excess_k,
            law,
            film_w_m2k,
            downward_w_m2,
            flow_c,
            field_flow_c,
            field_return_c,
            return_c,
            // that which closes the balance, where the approximation of a drop steps over the one sought as well
            mass_flow_kg_s: wanted_kg_s,
            lines_up_w: supply_up_w + return_up_w,
            lines_down_w: supply_down_w + return_down_w,
            residual: 0.0,
            iterations: 0,
        };
        Ok((state, wanted_kg_s))
    }

    /// Whether flow and output depend on each other.
    pub(super) fn hangs_together(&self) -> bool {
        !self.lines.is_empty() || self.laws.iter().any(Law::has_film)
    }

    /// Nothing flows, and the water is as warm as the room.
    pub(super) fn at_rest(&self) -> State {
        State {
            output_w_m2: 0.0,
            excess_k: 0.0,
            law: 0,
            film_w_m2k: f64::INFINITY,
            downward_w_m2: 0.0,
            flow_c: self.flow_c,
            field_flow_c: self.room_c,
            field_return_c: self.room_c,
            return_c: self.room_c,
            mass_flow_kg_s: 0.0,
            lines_up_w: 0.0,
            lines_down_w: 0.0,
            residual: 0.0,
            iterations: 0,
        }
    }

    pub(super) fn film(&self, flow_kg_s: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
        if self.laws.iter().any(Law::has_film) {
            film::in_tube(self.bore, &self.water, self.conductivity_w_mk, flow_kg_s / self.loops, w)
        } else {
            Ok(f64::INFINITY)
        }
    }

    /// The greatest excess that a law wants, and which.
    pub(super) fn excess(&self, output_w_m2: f64, film_w_m2k: f64, w: &mut impl Workings) -> (f64, usize) {
        let all = self.laws.iter().map(|law| law.excess(output_w_m2, self.room_c, film_w_m2k, w));
        let greatest = all.enumerate().max_by(|(_, a), (_, b)| a.total_cmp(b));
        greatest.map_or((f64::INFINITY, 0), |(law, excess_k)| (excess_k, law))
    }

    /// The least output that a law gives, and which; never below nothing.
    pub(super) fn output(&self, excess_k: f64, film_w_m2k: f64) -> (f64, usize) {
        let all = self.laws.iter().map(|law| law.output(excess_k, self.room_c, film_w_m2k, &mut Off));
        let least = all.enumerate().min_by(|(_, a), (_, b)| a.total_cmp(b));
        least.map_or((0.0, 0), |(law, output_w_m2)| (output_w_m2.max(0.0), law))
    }

    pub(super) fn lines_at(&self, pipe_c: f64, w: &mut impl Workings) -> (f64, f64) {
        let each = self.lines.iter().map(|line| line.gives(pipe_c, w));
        each.fold((0.0, 0.0), |sum, line| (sum.0 + line.0, sum.1 + line.1))
    }

    pub(super) fn mean_excess(&self, flow_c: f64, return_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
        match self.rule {
            Rule::Logarithm => en_1264_3::medium_excess(flow_c, return_c, self.room_c, w),
            Rule::Approximation => match en_1264_3::excess_at_drop(flow_c - self.room_c, flow_c - return_c, w) {
                // so near the room the approximation knows no drop like this, and the floor is taken to give nothing
                Err(MethodError::Impossible { .. }) => Ok(0.0),
                found => found,
            },
        }
    }

    pub(super) fn return_of(&self, flow_c: f64, excess_k: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
        match self.rule {
            Rule::Logarithm => Ok(en_1264_3::return_temperature(flow_c, self.room_c, excess_k, w)?.return_c),
            Rule::Approximation => {
                let drop_k = en_1264_3::drop_of_other_room(flow_c - self.room_c, excess_k, w)?;
                Ok(last_steps::cooler_by(flow_c, drop_k, w))
            }
        }
    }
}
