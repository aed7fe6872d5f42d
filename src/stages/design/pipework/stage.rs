//! The stage as it is run with the others, and what must be true of its result.

use super::cautions::cautions;
use super::circuits::before_pa;
use super::{Caution, Joined, Mild, Pipe, Pipework, Section, SettingOf, Unmet, Warning, compute, end_flow};
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::source::Source;
use crate::design::stage::{Asked, Stage, same, so};
use crate::design::units::flow_l_h;
use crate::list::indexed;
use crate::methods::Workings;
use crate::survey::Survey;

impl Stage for Pipework {
    type Before<'b> = (&'b Emitters, &'b Source);
    type Error = DesignError;
    type Unmet = Unmet;
    type Warning = Warning;
    type Caution = Caution;

    fn compute<W: Workings>(
        asked: Asked<'_>,
        (emitters, source): Self::Before<'_>,
        w: &mut W,
    ) -> Result<Self, DesignError> {
        compute(asked, emitters, source, w)
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

    /// What flows into a run flows out of it, every way adds up, the index circuit is the worst, and what is laid is what was
    /// chosen, with the water that it holds.
    fn check(&self, survey: &Survey, (emitters, _): Self::Before<'_>) -> Result<(), String> {
        self.check_flows(survey, emitters)?;
        self.check_tubes(survey)?;
        self.check_joining(survey)?;
        self.check_balance()?;
        let before_pa = before_pa(self.joining.is_separated(), &self.joining.own, self.primary.as_ref());
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
    fn check_tubes(&self, survey: &Survey) -> Result<(), String> {
        let picks = &self.sizes.chosen(survey.pipes.sizing.rule).picks;
        let sections: Vec<&Section> = self.primary.iter().chain(&self.sections).collect();
        so(picks.len() == sections.len(), || format!("{} picks for {} sections", picks.len(), sections.len()))?;
        for (number, section) in sections.into_iter().enumerate().filter(|(_, section)| section.flow_kg_s > 0.0) {
            let picked = self.tubes[number].get(picks[number]).copied().flatten();
            so(picked == section.tube, || format!("section {number} has {:?}, picked was {picked:?}", section.tube))?;
        }
        for (pipe, run, section) in self.laid(survey) {
            let Some(tube) = section.tube else { continue };
            let hoses_m =
                survey.pipes.primary.as_ref().and_then(|primary| primary.hoses).map_or(0.0, |hoses| hoses.length_m);
            let length_m = run.length_m + if pipe == Pipe::Primary { hoses_m } else { 0.0 };
            let bore_dm = 10.0 * survey.offer.tubes[tube].bore_m;
            // both legs, each a cylinder
            let content_l = 2.0 * std::f64::consts::FRAC_PI_4 * bore_dm * bore_dm * 10.0 * length_m;
            same(section.content_l, content_l, || format!("water in {pipe:?}"))?;
        }
        let Some(hot_water) = &self.hot_water else { return Ok(()) };
        let primary_pa = hot_water.primary_pa;
        so((primary_pa > 0.0) == self.primary.is_some_and(|primary| primary.tube.is_some()), || {
            "the primary is on the way to the cylinder".to_owned()
        })?;
        let way_pa = hot_water.section.drop_pa + primary_pa + hot_water.plant_pa + hot_water.coil_pa;
        same(1000.0 * hot_water.head_kpa(), way_pa, || "way to the cylinder".to_owned())
    }

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
                format!("pipe of run {}", run.id)
            })?;
            if run.from.is_none() {
                from_plant_kg_s += section.flow_kg_s;
            }
        }
        let whole_l_h = flow_l_h(from_plant_kg_s, emitters.water.density_kg_m3);
        same(self.flow_l_h(), whole_l_h, || "flow of the whole".to_owned())
    }

    /// The way that is taken is the cheapest of those that hold, where any does; what holds gives the heat source its flow and its
    /// water, and a vessel holds what it must.
    fn check_joining(&self, survey: &Survey) -> Result<(), String> {
        let joining = &self.joining;
        let way = joining.way();
        let is_plainest = way.kind == Joined::Direct;
        so(is_plainest == joining.reasons(survey).is_empty(), || {
            "a reason for whatever is not the plainest".to_owned()
        })?;
        let holding = || joining.ways.iter().filter(|way| way.holds);
        so(way.holds || holding().next().is_none(), || "a way that holds is taken".to_owned())?;
        so(holding().all(|other| !way.holds || way.cost <= other.cost), || "the cheapest is taken".to_owned())?;
        for way in holding().filter(|_| joining.system_l_h > 0.0) {
            let Mild { flow_l_h, water_l, .. } = way.left;
            so(joining.needs.flow_holds(flow_l_h * (1.0 + 1e-9)), || format!("{:?}: {flow_l_h} l/h", way.kind))?;
            so(joining.needs.water_holds(water_l * (1.0 + 1e-9)), || format!("{:?}: {water_l} l", way.kind))?;
            let vessel_l = way.buffer.map_or(0.0, |index| survey.offer.buffers[index].volume_l);
            so(vessel_l >= way.added_water_l, || format!("a vessel of {vessel_l} l for {} l", way.added_water_l))?;
        }
        let valves = self.circuits.len() + self.loops.len();
        so(self.settings.len() == valves, || format!("{} settings of {valves} valves", self.settings.len()))
    }

    /// With its valve every way takes what the worst way takes: ends what the index circuit does, loops what the worst loop of
    /// their manifold does.
    fn check_balance(&self) -> Result<(), String> {
        let worst_pa = self.circuits.iter().map(|circuit| circuit.drop_pa).fold(0.0, f64::max);
        for setting in &self.settings {
            let (way_pa, worst_pa) = match setting.of {
                SettingOf::End(end) => {
                    let way = self.circuits.iter().find(|circuit| circuit.end == end);
                    (way.map_or(f64::NAN, |circuit| circuit.drop_pa), worst_pa)
                }
                SettingOf::Loop(one) => {
                    let of_manifold = self.loops.iter().filter(|other| other.manifold == one.manifold);
                    (one.drop_pa, of_manifold.map(|other| other.drop_pa).fold(0.0, f64::max))
                }
            };
            same(way_pa + setting.excess_pa, worst_pa, || format!("way of {:?}", setting.of))?;
        }
        Ok(())
    }
}
