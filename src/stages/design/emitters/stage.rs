//! The stage as it is run with the others, and what must be true of its result.

use super::cautions::cautions;
use super::{Caution, Emitter, Emitters, Kind, Unmet, Warning, compute, to_carry_w};
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
        let floors_w: f64 = self.floors().map(|(_, floor, _)| floor.downward_w.max(0.0)).sum();
        same(self.downward_w, floors_w + beyond_w, || "heat downward, and beyond what rooms lose".to_owned())
    }
}

/// How near to their sum shares are: those that a job names to some digits count as the whole within half a percent.
const SHARES_WHOLE: f64 = 0.005;

impl Emitters {
    fn check_one(&self, emitter: &Emitter) -> Result<(), String> {
        let Emitter { load_w, output_w, return_c, flow_kg_s, .. } = *emitter;
        so(output_w <= load_w * (1.0 + 1e-6), || format!("it gives {output_w} W of {load_w} W"))?;
        so(flow_kg_s >= 0.0, || format!("its flow is {flow_kg_s} kg/s"))?;
        let (heat_j_kgk, drop_k) = (self.water.specific_heat_j_kgk, self.flow_c - return_c);
        let from_water_w = carried_heat::heat(flow_kg_s, heat_j_kgk, drop_k, &mut Off);
        let (up_w, down_w) = match &emitter.kind {
            Kind::Floor(floor) => {
                let lines_w: f64 = floor.lines_w.iter().map(|(_, given_w)| given_w).sum();
                (output_w + lines_w, floor.downward_w)
            }
            Kind::Radiator(_) | Kind::FanConvector(_) => (output_w, 0.0),
        };
        let given_w = up_w + down_w;
        so((from_water_w - given_w).abs() <= 1e-6 * given_w.abs().max(1.0), || {
            format!("its water loses {from_water_w} W, and it gives {given_w} W")
        })
    }
}
