//! Everything that tubes are chosen by, and the laying of those that were chosen.

use super::asks::{self, Asks};
use super::hidden::Hidden;
use super::hot_water::HotWater;
use super::hot_water::HotWaterFlow;
use super::judge::Findings;
use super::options::{self, Candidate, Duty, Limit};
use super::section::{Section, Warmth};
use super::sizing::{self, Sizes, Tree};
use super::{Pipe, Unmet, Warning, ends, flows};
use crate::catalogue::offer::Tube;
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::own_pump::{OwnPump, strongest_kpa};
use crate::design::source::Source;
use crate::design::units::flow_l_h;
use crate::job::emitters::Keep;
use crate::list::{Index, List};
use crate::methods::tube::content_l;
use crate::methods::{Budget, MethodError, Off, Workings, joists, sums};
use crate::survey::{Joists, Run, Survey};

/// What everything is sized for.
pub(super) struct Basis<'b> {
    pub survey: &'b Survey,
    budget: &'b Budget,
    emitters: &'b Emitters,
    flows_kg_s: List<Run, f64>,
    /// Flow of the primary (kg/s): that of the system, or the least of the heat source behind a separation.
    unit_kg_s: f64,
    needed: List<Run, bool>,
    /// What each run asks of its tube by what it leads to.
    asks: List<Run, Asks>,
    pub hot_water: Option<HotWaterFlow<'b>>,
    /// Candidates of the primary, where there is one, and of every run.
    candidates: Vec<List<Candidate>>,
    pub hidden: Vec<Hidden>,
}

impl<'b> Basis<'b> {
    pub(super) fn new(
        (survey, budget): (&'b Survey, &'b Budget),
        emitters: &'b Emitters,
        source: &Source,
        (flows_kg_s, unit_kg_s): (List<Run, f64>, f64),
    ) -> Result<Self, DesignError> {
        let needed = flows::needed(survey, emitters);
        let density_kg_m3 = emitters.water.density_kg_m3;
        let flows_l_h = flows_kg_s.iter().map(|&kg_s| flow_l_h(kg_s, density_kg_m3)).collect();
        let asks = asks::asks(survey, emitters, &flows_l_h);
        let hot_water = HotWaterFlow::from_survey((survey, budget), source)
            .map_err(DesignError::at("/pipework/hot_water_circuit"))?;
        let (candidates, hidden) = (Vec::new(), Vec::new());
        let mut basis =
            Self { survey, budget, emitters, flows_kg_s, unit_kg_s, needed, asks, hot_water, candidates, hidden };
        if let Some(primary) = &survey.pipes.primary {
            let candidates = basis.primary(&primary.run).map_err(DesignError::at("/pipework/primary"))?;
            basis.candidates.push(candidates);
        }
        for (index, run) in survey.pipes.runs.enumerate() {
            let candidates = basis.run(index, run).map_err(DesignError::at(run.at.clone()))?;
            basis.candidates.push(candidates);
        }
        Ok(basis)
    }

    /// How many primaries stand before all runs: one or none.
    fn ahead(&self) -> usize {
        usize::from(self.survey.pipes.primary.is_some())
    }

    /// The tube of every candidate, the primary before all runs.
    pub(super) fn tubes(&self) -> Vec<List<Candidate, Option<Index<Tube>>>> {
        let each = self.candidates.iter().map(|candidates| candidates.iter().map(|candidate| candidate.tube).collect());
        each.collect()
    }

    fn duty(&self, flow_kg_s: f64) -> Duty<'b> {
        Duty { flow_kg_s, liquid: &self.emitters.water, hottest_c: self.emitters.flow_c, asks: Asks::default() }
    }

    fn run(&mut self, index: Index<Run>, run: &Run) -> Result<List<Candidate>, MethodError> {
        if !self.needed[index] {
            return Ok(List::default());
        }
        let duty = Duty { asks: self.asks[index], ..self.duty(self.flows_kg_s[index]) };
        let hidden = Hidden::from_readings((self.survey, self.budget), index, duty.flow_kg_s, duty.liquid)?;
        let keep = run.laid.as_ref().map(|laid| laid.keep);
        let lies = match hidden.as_ref().filter(|_| keep != Some(Keep::Never)) {
            Some(hidden) => hidden.candidate(self.survey, run, duty)?,
            None => None,
        };
        self.hidden.extend(hidden);
        Ok(lies.into_iter().chain(options::candidates((self.survey, self.budget), run, duty)?).collect())
    }

    /// Tubes of the primary, which must bear the flow of heating and that of hot water.
    fn primary(&self, run: &Run) -> Result<List<Candidate>, MethodError> {
        let hottest_c = self.emitters.flow_c.max(self.survey.plant.hot_water.flow_c);
        let duty = Duty { hottest_c, ..self.duty(self.unit_kg_s) };
        let mut found = options::candidates((self.survey, self.budget), run, duty)?;
        let Some(hot_water) = &self.hot_water else { return Ok(found) };
        for (candidate, while_making) in found.iter_mut().zip(&hot_water.primary) {
            let (_, is_served) = hot_water.tube_behind_primary(while_making.drop_pa);
            let broken = while_making.broken.map(|limit| Limit { is_making: true, ..limit });
            candidate.broken = Limit::graver(candidate.broken, broken);
            candidate.broken = Limit::graver(candidate.broken, (!is_served).then_some(Limit::HEAD));
        }
        Ok(found)
    }

    /// What the hot-water circuit costs behind each tube of the primary, or by itself where no primary is told.
    fn besides(&self) -> Vec<f64> {
        let Some(hot_water) = &self.hot_water else { return Vec::new() };
        let each = hot_water
            .primary
            .iter()
            .map(|candidate| hot_water.cost(hot_water.tube_behind_primary(candidate.drop_pa).0));
        if self.ahead() > 0 { each.collect() } else { vec![hot_water.cost(hot_water.tube_behind_primary(0.0).0)] }
    }

    /// Greatest drop of what each run serves (Pa).
    fn ends_pa(&self) -> Result<Vec<f64>, MethodError> {
        let (survey, emitters) = (self.survey, self.emitters);
        let each = survey.pipes.runs.iter().map(|run| {
            let served = run.serves.iter().filter(|end| !flows::is_left_out(survey, emitters, **end));
            served
                .map(|&end| ends::end_drop(survey, emitters, end, &mut Off))
                .try_fold(0.0_f64, |worst_pa, drop| Ok(worst_pa.max(drop?.0)))
        });
        each.collect()
    }

    /// The choice of all tubes where the heat source's own pump carries them all.
    pub(super) fn in_one_circuit(&self, own: &OwnPump) -> Result<Sizes, MethodError> {
        let (ahead, besides) = (self.ahead(), self.besides());
        let behind_primary = (ahead > 0).then_some(0);
        let runs = self.survey.pipes.runs.iter();
        let from = runs.map(|run| run.from.map_or(behind_primary, |from| Some(from.number() + ahead)));
        let from = std::iter::repeat_n(None, ahead).chain(from).collect();
        let end_pa = std::iter::repeat_n(0.0, ahead).chain(self.ends_pa()?).collect();
        let tree = Tree { from, candidates: &self.candidates, besides: if ahead > 0 { &besides } else { &[] }, end_pa };
        let sizes = sizing::sizes((self.survey, self.budget), &tree, own.left_pa(), own.flow_l_h)?;
        Ok(if ahead > 0 { sizes } else { sizes.with_fixed_cost(besides.first().copied().unwrap_or(0.0)) })
    }

    /// The choice where a separation parts the two: the primary for the heat source's own pump, the runs for another.
    pub(super) fn behind_separation(&self, own: &OwnPump, system_l_h: f64) -> Result<Sizes, MethodError> {
        let (ahead, besides) = (self.ahead(), self.besides());
        let from = self.survey.pipes.runs.iter().map(|run| run.from.map(Index::number)).collect();
        let tree = Tree { from, candidates: &self.candidates[ahead..], besides: &[], end_pa: self.ends_pa()? };
        let strongest_kpa = strongest_kpa(self.survey, system_l_h)?;
        let most_pa = strongest_kpa.map_or(f64::INFINITY, |strongest_kpa| 1000.0 * strongest_kpa);
        let runs = sizing::sizes((self.survey, self.budget), &tree, most_pa, system_l_h)?;
        if ahead == 0 {
            let before_costs = self.survey.pipes.sizing.head_costs(own.flow_l_h);
            let runs = runs.with_fixed_cost(besides.first().copied().unwrap_or(0.0));
            return Ok(Sizes { before_costs, ..runs });
        }
        let primary =
            Tree { from: vec![None], candidates: &self.candidates[..1], besides: &besides, end_pa: vec![0.0] };
        Ok(runs.with_primary(&sizing::sizes((self.survey, self.budget), &primary, own.left_pa(), own.flow_l_h)?))
    }

    /// Lays the tubes that were chosen.
    pub(super) fn lay<W: Workings>(&self, sizes: &Sizes, w: &mut W) -> Result<Laid, DesignError> {
        let picks = &sizes.chosen(self.survey.pipes.sizing.rule).picks;
        let mut findings = Findings::default();
        let primary = self.lay_primary(picks, &mut findings, w)?;
        let sections = self.lay_runs(picks, &mut findings, w)?;
        let hot_water = self.lay_hot_water(picks.first().copied().unwrap_or(Index::new(0)), &mut findings, w)?;
        let Findings { unmet, warnings } = findings;
        Ok(Laid { primary, sections, hot_water, unmet, warnings })
    }

    fn legs_c(&self) -> [f64; 2] {
        let flow_c = self.emitters.flow_c;
        [flow_c, flow_c - self.survey.heating.drop_k]
    }

    fn lay_primary(
        &self,
        picks: &[Index<Candidate>],
        findings: &mut Findings,
        w: &mut impl Workings,
    ) -> Result<Option<Section>, DesignError> {
        let survey = self.survey;
        let Some(primary) = &survey.pipes.primary else { return Ok(None) };
        let mut w = w.at(|| "/pipework/primary".to_owned());
        let warmth = Warmth { duty: self.duty(self.unit_kg_s), legs_c: self.legs_c() };
        let chosen = (&self.candidates[0], picks[0]);
        let verdict = findings.judge(survey, (&primary.run, Pipe::Primary), chosen);
        let section = Section::with_tube(survey, &primary.run, chosen, (warmth, verdict), &mut w);
        let section = section.map_err(DesignError::at("/pipework/primary"))?;
        let content_l = match (primary.hoses, section.tube) {
            (Some(hoses), Some(tube)) => {
                let mut w = w.within("water_content_l");
                let hoses_l = content_l(survey.offer.tubes[tube].bore_m, 2.0 * hoses.length_m, &mut w);
                sums::and_l(section.content_l, hoses_l, &mut w)
            }
            (Some(_), None) | (None, _) => section.content_l,
        };
        Ok(Some(Section { content_l, ..section }))
    }

    fn lay_runs(
        &self,
        picks: &[Index<Candidate>],
        findings: &mut Findings,
        w: &mut impl Workings,
    ) -> Result<List<Run, Section>, DesignError> {
        let (survey, ahead) = (self.survey, self.ahead());
        let runs = &survey.pipes.runs;
        let mut sections = List::default();
        for (index, run) in runs.enumerate() {
            let mut w = w.at(|| format!("/pipework/sections/{index}"));
            if !self.needed[index] {
                sections.push(Section::none(survey, run));
                continue;
            }
            let warmth = Warmth { duty: self.duty(self.flows_kg_s[index]), legs_c: self.legs_c() };
            let place = index.number() + ahead;
            let chosen = (&self.candidates[place], picks[place]);
            let hidden = self.hidden.iter().find(|hidden| hidden.run == index);
            let is_hidden = chosen.0.get(chosen.1).is_some_and(|candidate| candidate.tube.is_none());
            let verdict = findings.judge(survey, (run, Pipe::Run(index)), chosen);
            let section = match hidden.filter(|_| is_hidden) {
                Some(hidden) => Section::hidden(survey, run, hidden, (warmth, verdict), &mut w),
                None => Section::with_tube(survey, run, chosen, (warmth, verdict), &mut w),
            };
            sections.push(section.map_err(DesignError::at(run.at.clone()))?);
            if let Some(Joists { depth_mm, .. }) = run.joists.filter(|joists| joists.depth_mm > joists::DEEPEST_MM) {
                let pipe = Pipe::Run(index);
                findings.warnings.push(Warning::DeepJoists { pipe, depth_mm, deepest_mm: joists::DEEPEST_MM });
            }
            if run.serves.is_empty() && !runs.iter().any(|other| other.from == Some(index)) {
                findings.warnings.push(Warning::DeadEnd { pipe: Pipe::Run(index) });
            }
        }
        Ok(sections)
    }

    fn lay_hot_water(
        &self,
        pick: Index<Candidate>,
        findings: &mut Findings,
        w: &mut impl Workings,
    ) -> Result<Option<HotWater>, DesignError> {
        let (survey, Some(hot_water)) = (self.survey, &self.hot_water) else { return Ok(None) };
        let primary_pa = hot_water.primary.get(pick).map_or(0.0, |candidate| candidate.drop_pa);
        let mut w = w.at(|| "/pipework/hot_water_circuit".to_owned());
        let (candidates, tube) = hot_water.served(primary_pa);
        let chosen = (&candidates, tube);
        let verdict = findings.judge(survey, (&hot_water.circuit.run, Pipe::HotWater), chosen);
        let hot_water = hot_water.finish(survey, primary_pa, (chosen, verdict), &mut w);
        hot_water.map(Some).map_err(DesignError::at("/pipework/hot_water_circuit"))
    }
}

/// What was laid, and what is to be said of it.
pub(super) struct Laid {
    pub primary: Option<Section>,
    pub sections: List<Run, Section>,
    pub hot_water: Option<HotWater>,
    pub unmet: Vec<Unmet>,
    pub warnings: Vec<Warning>,
}
