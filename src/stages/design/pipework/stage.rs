//! The stage as it is run with the others, and what must be true of its result.

use super::cautions::cautions;
use super::circuits::before_pa;
use super::{Pipework, compute, end_flow};
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::findings::{Unmet, Warning};
use crate::design::source::Source;
use crate::design::stage::{Asked, Caution, Stage, same, so};
use crate::design::units::flow_l_h;
use crate::list::indexed;
use crate::methods::Workings;
use crate::survey::Survey;

impl Stage for Pipework {
    type Before<'b> = (&'b Emitters, &'b Source);
    type Error = DesignError;

    fn compute<W: Workings>(
        asked: Asked<'_>,
        (emitters, source): Self::Before<'_>,
        w: &mut W,
    ) -> Result<Self, DesignError> {
        compute(asked, emitters, source, w)
    }

    fn unmet(&self) -> &[Unmet] {
        &self.unmet
    }

    fn warnings(&self) -> &[Warning] {
        &self.warnings
    }

    fn cautions(survey: &Survey) -> Vec<Caution> {
        cautions(survey)
    }

    /// What flows into a run flows out of it, every way adds up, and the index circuit is the worst.
    fn check(&self, survey: &Survey, (emitters, _): Self::Before<'_>) -> Result<(), String> {
        self.check_flows(survey, emitters)?;
        let before_pa = before_pa(&self.joining, self.primary.as_ref());
        for circuit in &self.circuits {
            let runs_pa: f64 = circuit.sections.iter().map(|&section| self.sections[section].drop_pa).sum();
            same(circuit.drop_pa, runs_pa + circuit.end_pa + before_pa, || format!("way to {:?}", circuit.end))?;
        }
        let worst_pa = self.circuits.iter().map(|circuit| circuit.drop_pa).fold(0.0, f64::max);
        same(1000.0 * self.head_kpa(), worst_pa, || "head of the index circuit".to_owned())?;
        for tube in &self.cuttings {
            let Some(cutting) = &tube.cutting else { continue };
            let mut cut: Vec<usize> = cutting.cuts.iter().flat_map(|cut| cut.loops.iter().copied()).collect();
            cut.sort_unstable();
            so(cut.into_iter().eq(0..tube.loops.len()), || "every loop is cut once".to_owned())?;
        }
        let cut: usize = self.cuttings.iter().map(|tube| tube.loops.len()).sum();
        so(cut == self.loops.len(), || format!("{cut} of {} loops are cut", self.loops.len()))
    }
}

impl Pipework {
    fn check_flows(&self, survey: &Survey, emitters: &Emitters) -> Result<(), String> {
        let runs = &survey.pipes.runs;
        so(self.sections.len() == runs.len(), || "a section for each run".to_owned())?;
        let mut from_plant_kg_s = 0.0;
        for (index, (run, section)) in indexed(runs.iter().zip(&self.sections)) {
            let served = run.serves.iter().map(|end| end_flow(survey, emitters, *end));
            let leaves = runs.iter().zip(&self.sections).filter(|(other, _)| other.from == Some(index));
            let out_kg_s = served.sum::<f64>() + leaves.map(|(_, other)| other.flow_kg_s).sum::<f64>();
            same(1000.0 * section.flow_kg_s, 1000.0 * out_kg_s, || format!("flow of run {}", run.id))?;
            so(section.tube.is_none_or(|tube| survey.offer.tubes.get(tube).is_some()), || {
                format!("tube of run {}", run.id)
            })?;
            if run.from.is_none() {
                from_plant_kg_s += section.flow_kg_s;
            }
        }
        let whole_l_h = flow_l_h(from_plant_kg_s, emitters.water.density_kg_m3);
        same(self.flow_l_h(), whole_l_h, || "flow of the whole".to_owned())
    }
}
