//! Everything that tubes are chosen by, and the laying of those that were chosen.

use super::hidden::Hidden;
use super::hot_water::Making;
use super::options::{self, Candidate, Duty, Limit};
use super::section::{Section, Warmth};
use super::sizing::{self, Sizes, Tree, Verdict};
use super::{Pipework, ends, flows};
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::findings::{Breaks, Place, Unmet, Warning};
use crate::design::source::Source;
use crate::job::emitters::Keep;
use crate::methods::{MethodError, Off, Workings};
use crate::survey::{Rule, Run, Survey};

/// What everything is sized for.
pub(super) struct Basis<'b> {
    pub survey: &'b Survey,
    emitters: &'b Emitters,
    pub flows_kg_s: Vec<f64>,
    needed: Vec<bool>,
    making: Option<Making<'b>>,
    /// Candidates of the primary, where there is one, and of every run.
    candidates: Vec<Vec<Candidate>>,
    pub hidden: Vec<Hidden>,
}

impl<'b> Basis<'b> {
    pub(super) fn of(survey: &'b Survey, emitters: &'b Emitters, source: &'b Source) -> Result<Self, DesignError> {
        let flows_kg_s = flows::flows(survey, |end| flows::end_flow(survey, emitters, end));
        let needed = flows::needed(survey, emitters);
        let making = Making::of(survey, source).map_err(DesignError::at("/pipework/hot_water_circuit"))?;
        let mut basis =
            Self { survey, emitters, flows_kg_s, needed, making, candidates: Vec::new(), hidden: Vec::new() };
        if let Some(primary) = &survey.pipes.primary {
            let candidates = basis.primary(&primary.run).map_err(DesignError::at("/pipework/primary"))?;
            basis.candidates.push(candidates);
        }
        for (index, run) in survey.pipes.runs.iter().enumerate() {
            let candidates = basis.run(index, run).map_err(DesignError::at(run.at.clone()))?;
            basis.candidates.push(candidates);
        }
        Ok(basis)
    }

    /// The tube of every candidate, the primary before all runs.
    pub(super) fn tubes(&self) -> Vec<Vec<Option<usize>>> {
        let each = self.candidates.iter().map(|candidates| candidates.iter().map(|candidate| candidate.tube).collect());
        each.collect()
    }

    fn duty(&self, flow_kg_s: f64) -> Duty<'b> {
        Duty { flow_kg_s, liquid: &self.emitters.water, hottest_c: self.emitters.flow_c }
    }

    fn run(&mut self, index: usize, run: &Run) -> Result<Vec<Candidate>, MethodError> {
        if !self.needed[index] {
            return Ok(Vec::new());
        }
        let duty = self.duty(self.flows_kg_s[index]);
        let hidden = Hidden::of(self.survey, index, duty.flow_kg_s, duty.liquid)?;
        let keep = run.laid.as_ref().map(|laid| laid.keep);
        let lies = hidden.as_ref().and_then(Hidden::candidate).filter(|_| keep != Some(Keep::Never));
        self.hidden.extend(hidden);
        Ok(lies.into_iter().chain(options::candidates(self.survey, run, duty)?).collect())
    }

    /// Tubes of the primary, which must bear the flow of heating and that of hot water.
    fn primary(&self, run: &Run) -> Result<Vec<Candidate>, MethodError> {
        let whole_kg_s = flows::whole(self.survey, &self.flows_kg_s);
        let hottest_c = self.emitters.flow_c.max(self.survey.plant.hot_water.flow_c);
        let mut found = options::candidates(self.survey, run, Duty { hottest_c, ..self.duty(whole_kg_s) })?;
        let Some(making) = &self.making else { return Ok(found) };
        for (candidate, while_making) in found.iter_mut().zip(making.primary(self.survey)?) {
            let (_, is_served) = making.behind(while_making.drop_pa);
            candidate.broken = candidate.broken.or(while_making.broken).or((!is_served).then_some(Limit::HEAD));
        }
        Ok(found)
    }

    /// The choice of all tubes; each tube of the primary costs what the hot-water circuit does behind it besides.
    pub(super) fn sizes(&self, own_kpa: Option<f64>, plant_pa: f64, flow_l_h: f64) -> Result<Sizes, MethodError> {
        let Self { survey, emitters, .. } = self;
        let ahead = usize::from(survey.pipes.primary.is_some());
        let behind_primary = (ahead > 0).then_some(0);
        let from = survey.pipes.runs.iter().map(|run| run.from.map_or(behind_primary, |from| Some(from + ahead)));
        let mut end_pa = vec![0.0_f64; ahead];
        for run in &survey.pipes.runs {
            let mut worst_pa = 0.0_f64;
            for &end in run.serves.iter().filter(|end| !flows::is_left_out(survey, emitters, **end)) {
                worst_pa = worst_pa.max(ends::end_drop(survey, emitters, end, &mut Off)?.0);
            }
            end_pa.push(worst_pa);
        }
        let mut besides = Vec::new();
        if let Some(making) = &self.making {
            for candidate in making.primary(survey)? {
                besides.push(making.cost(making.behind(candidate.drop_pa).0));
            }
        }
        let from = std::iter::repeat_n(None, ahead).chain(from).collect();
        let tree = Tree { from, candidates: &self.candidates, besides: &besides, end_pa };
        let most_pa = own_kpa.map_or(f64::INFINITY, |own_kpa| 1000.0 * own_kpa - plant_pa);
        sizing::sizes(survey, &tree, most_pa, flow_l_h)
    }

    /// Lays the tubes that were chosen.
    pub(super) fn lay<W: Workings>(&self, found: &mut Pipework, whole_kg_s: f64, w: &mut W) -> Result<(), DesignError> {
        let Self { survey, emitters, .. } = self;
        let ahead = usize::from(survey.pipes.primary.is_some());
        let picks = found.sizes.held(survey.pipes.sizing.rule).picks.clone();
        let legs_c = [emitters.flow_c, emitters.flow_c - survey.heating.drop_k];
        if let Some(primary) = &survey.pipes.primary {
            let mut w = w.at(|| "/pipework/primary/pressure_drop_pa".to_owned());
            let warmth = Warmth { duty: self.duty(whole_kg_s), legs_c };
            let chosen = (self.candidates[0].as_slice(), picks[0]);
            let section = Section::of(survey, &primary.run, chosen, warmth, &mut w);
            let section = section.map_err(DesignError::at("/pipework/primary"))?;
            found.primary = Some(self.judged(section, &primary.run, chosen, Place::Primary, found));
        }
        for (index, run) in survey.pipes.runs.iter().enumerate() {
            let mut w = w.at(|| format!("/pipework/sections/{index}/pressure_drop_pa"));
            if !self.needed[index] {
                found.sections.push(Section::none(survey, run));
                continue;
            }
            let warmth = Warmth { duty: self.duty(self.flows_kg_s[index]), legs_c };
            let chosen = (self.candidates[index + ahead].as_slice(), picks[index + ahead]);
            let section = Section::of(survey, run, chosen, warmth, &mut w).map_err(DesignError::at(run.at.clone()))?;
            let section = self.judged(section, run, chosen, Place::Run(index), found);
            found.sections.push(section);
        }
        if let Some(making) = &self.making {
            let pick = picks.first().copied().filter(|_| ahead > 0).unwrap_or(0);
            let at = || DesignError::at("/pipework/hot_water_circuit");
            let primary_pa = making.primary(survey).map_err(at())?.get(pick).map_or(0.0, |candidate| candidate.drop_pa);
            let mut w = w.at(|| "/pipework/hot_water_circuit/section/pressure_drop_pa".to_owned());
            let hot_water = making.finish(survey, primary_pa, &mut w).map_err(at())?;
            if let Some(own_kpa) = hot_water.own_kpa.filter(|own_kpa| *own_kpa < hot_water.head_kpa()) {
                found.unmet.push(Unmet { place: Place::HotWaterPump, need: hot_water.head_kpa(), reached: own_kpa });
            }
            found.hot_water = Some(hot_water);
        }
        Ok(())
    }

    /// A section with what became of the tube that lies there; what breaks its limits is told.
    fn judged(
        &self,
        section: Section,
        run: &Run,
        (candidates, pick): (&[Candidate], usize),
        place: Place,
        found: &mut Pipework,
    ) -> Section {
        let keep = run.laid.as_ref().map(|laid| laid.keep);
        let sizing = self.survey.pipes.sizing;
        let by_rule = (sizing.rule == Rule::Gradient).then_some(sizing.gradient_max_pa_m);
        let verdict = sizing::verdict(keep, candidates, pick, by_rule);
        let chosen = candidates.get(pick);
        match (chosen, verdict) {
            (None, _) => found.unmet.push(Unmet { place, need: sizing.gradient_max_pa_m, reached: 0.0 }),
            (Some(_), Some(Verdict::Refused(Limit { breaks, found: reached, limit: need }))) => {
                found.unmet.push(Unmet { place: Place::KeptTube(run_of(place), breaks), need, reached });
            }
            (Some(_), Some(Verdict::KeptBeyond(Limit { breaks, found: reached, limit }))) => {
                found.warnings.push(Warning::KeptTube(run_of(place), breaks, reached, limit));
            }
            (Some(chosen), _) if !chosen.is_existing => {
                let steep = by_rule.filter(|most_pa_m| chosen.friction.gradient_pa_m > *most_pa_m);
                let told = chosen.broken.filter(|limit| !limit.is_slow() && limit.breaks != Breaks::Head);
                match (told, steep) {
                    (None, None) => {}
                    (None, Some(need)) => {
                        found.unmet.push(Unmet { place, need, reached: chosen.friction.gradient_pa_m });
                    }
                    (Some(Limit { breaks, found: reached, limit: need }), _) => {
                        found.unmet.push(Unmet { place: Place::NewTube(run_of(place), breaks), need, reached });
                    }
                }
            }
            (Some(_), _) => {}
        }
        Section { verdict, ..section }
    }
}

/// The run of a place; nothing for the primary.
fn run_of(place: Place) -> Option<usize> {
    if let Place::Run(run) = place { Some(run) } else { None }
}
