//! The stage as it is run with the others, and what must be true of its result.

use super::cautions::cautions;
use super::{Caution, Emitter, Emitters, Flowing, Kind, Unmet, Warning, compute, to_carry_w};
use crate::design::DesignError;
use crate::design::heat_loss::HeatLoss;
use crate::design::stage::{Asked, Stage, same, so};
use crate::list::indexed;
use crate::methods::{Off, Workings, carried_heat};
use crate::survey::Survey;

impl Stage for Emitters {
    type Before<'b> = &'b HeatLoss;
    type Error = DesignError;
    type Unmet = Unmet;
    type Warning = Warning;
    type Caution = Caution;

    fn compute<W: Workings>(asked: Asked<'_>, loss: &HeatLoss, w: &mut W) -> Result<Self, DesignError> {
        compute(asked, loss, w)
    }

    fn unmet(&self) -> &[Self::Unmet] {
        &self.unmet
    }

    fn warnings(&self) -> &[Self::Warning] {
        &self.warnings
    }

    fn cautions(survey: &Survey) -> Vec<Self::Caution> {
        cautions(survey)
    }

    /// What each room loses is shared out, no emitter gives more than its load, and the heat that it gives is the heat that
    /// its water loses.
    fn check(&self, survey: &Survey, loss: &HeatLoss) -> Result<(), String> {
        so(self.rooms.len() == survey.rooms.len(), || "emitters for each room".to_owned())?;
        for (room, (found, written)) in indexed(self.rooms.iter().zip(&survey.rooms)) {
            so(found.len() == written.emitters.len(), || format!("room {room}: each emitter of the job"))?;
            let left_w = (to_carry_w(survey, loss, room) - self.from_lines_w[room]).max(0.0);
            let loads_w: f64 = found.iter().map(|emitter| emitter.load_w).sum();
            let shared_w = if found.is_empty() { 0.0 } else { left_w };
            so((loads_w - shared_w).abs() <= SHARES_WHOLE * left_w, || {
                format!("room {room}: {loads_w} W shared out of {left_w} W")
            })?;
            for (which, emitter) in found.iter().enumerate() {
                self.check_one(emitter).map_err(|what| format!("room {room}, emitter {which}: {what}"))?;
            }
        }
        let overheats_w = |room| (self.from_lines_w[room] - to_carry_w(survey, loss, room)).max(0.0);
        let beyond_w: f64 = survey.rooms.indices().map(overheats_w).sum();
        let floors_w: f64 = self.floors().map(|(_, floor, _)| floor.at_load.downward_w.max(0.0)).sum();
        same(self.downward_w, floors_w + beyond_w, || "heat downward, and beyond what rooms lose".to_owned())
    }
}

/// How near to their sum shares are: those that a job names to some digits count as the whole within half a percent.
const SHARES_WHOLE: f64 = 0.005;

impl Emitters {
    /// In each state the heat that an emitter gives is the heat that its water loses; at its load it carries no more than that,
    /// and as it is set no less.
    fn check_one(&self, emitter: &Emitter) -> Result<(), String> {
        let Emitter { load_w, set, at_load, .. } = *emitter;
        so(at_load.output_w <= load_w * (1.0 + 1e-9), || format!("it gives {} W of {load_w} W", at_load.output_w))?;
        let is_enough = at_load.output_w >= emitter.reached_w() * (1.0 - 1e-9);
        so(is_enough, || format!("it gives {} W and can give {} W", at_load.output_w, emitter.capacity_w))?;
        let gives_less = set.output_w < at_load.output_w * (1.0 - 1e-9) || set.flow_kg_s < at_load.flow_kg_s;
        so(!gives_less, || format!("set to {set:?}, and at its load {at_load:?}"))?;
        let besides_w = match &emitter.kind {
            Kind::Floor(floor) => [floor.besides.whole_w(), floor.at_load.whole_w()],
            Kind::Radiator(_) | Kind::FanConvector(_) | Kind::BeyondTables(_) => [0.0, 0.0],
        };
        for (state, besides_w) in [set, at_load].into_iter().zip(besides_w) {
            self.check_state(state, besides_w)?;
        }
        Ok(())
    }

    fn check_state(&self, state: Flowing, besides_w: f64) -> Result<(), String> {
        let Flowing { output_w, return_c, flow_kg_s } = state;
        so(flow_kg_s >= 0.0, || format!("its flow is {flow_kg_s} kg/s"))?;
        let (heat_j_kgk, drop_k) = (self.water.specific_heat_j_kgk, self.flow_c - return_c);
        let from_water_w = carried_heat::heat(flow_kg_s, heat_j_kgk, drop_k, &mut Off);
        let given_w = output_w + besides_w;
        so((from_water_w - given_w).abs() <= 1e-9 * given_w.abs().max(1.0), || {
            format!("its water loses {from_water_w} W, and it gives {given_w} W")
        })
    }
}
