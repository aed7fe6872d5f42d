//! A run with its tube: what flows in it, what it takes, holds and loses.

use super::hidden::Hidden;
use super::options::{self, Candidate, Duty, Limit};
use super::pipe::Breaks;
use super::sizing::Verdict;
use crate::catalogue::offer::Tube;
use crate::design::lagging::{self, Lagged, Lost};
use crate::list::{Index, List};
use crate::methods::friction;
use crate::methods::tube::content_l;
use crate::methods::{MethodError, Off, Workings};
use crate::survey::{Rule, Run, Survey};

/// One run with its flow and return tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Flow (kg/s).
    pub flow_kg_s: f64,
    /// Index into the offered tubes; nothing where none is on offer, where nobody can see it, or where the run leads only to
    /// emitters that are left out.
    pub tube: Option<Index<Tube>>,
    /// Velocity (m/s).
    pub velocity_m_s: f64,
    /// Greatest velocity that place and tube allow (m/s).
    pub velocity_max_m_s: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Pressure gradient of the straight tube (Pa/m).
    pub gradient_pa_m: f64,
    /// Sum of loss coefficients, one way.
    pub zeta: f64,
    /// Pressure drop of both legs (Pa).
    pub drop_pa: f64,
    /// Water in both legs (l).
    pub content_l: f64,
    /// What is round it.
    pub lagged: Lagged,
    /// What is round the part in the open.
    pub lagged_open: Lagged,
    /// Heat that both legs lose to what is about them.
    pub lost: Lost,
    /// What became of the tube that lies there.
    pub verdict: Option<Verdict>,
    /// Why the next narrower tube was not taken: which, its velocity (m/s), and the limit that it breaks.
    pub narrower: Option<(Index<Tube>, f64, Limit)>,
}

/// What flows in a pipe, and how warm either leg is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Warmth<'d> {
    /// The flow and what flows.
    pub duty: Duty<'d>,
    /// Flow and return (°C).
    pub legs_c: [f64; 2],
}

impl Section {
    /// A run without a tube.
    pub(super) fn none(survey: &Survey, run: &Run) -> Self {
        Self {
            flow_kg_s: 0.0,
            tube: None,
            velocity_m_s: 0.0,
            velocity_max_m_s: options::place_limit(survey, run),
            reynolds: 0.0,
            gradient_pa_m: 0.0,
            zeta: options::zeta(survey, run, None, &mut Off),
            drop_pa: 0.0,
            content_l: 0.0,
            lagged: Lagged::BARE,
            lagged_open: Lagged::BARE,
            lost: Lost::default(),
            verdict: None,
            narrower: None,
        }
    }

    /// Whether a tube that lies there stays.
    #[must_use]
    pub fn stays(&self) -> bool {
        matches!(self.verdict, Some(Verdict::Kept | Verdict::KeptBeyond(_) | Verdict::Refused(_)))
    }

    /// Whether new tube is laid.
    #[must_use]
    pub fn is_new(&self) -> bool {
        match self.verdict {
            None | Some(Verdict::Replaced(_)) => self.tube.is_some(),
            Some(Verdict::Kept | Verdict::KeptBeyond(_) | Verdict::Refused(_)) => false,
        }
    }

    /// A run with a tube that nobody can see: as the pair that fits its readings and its route best would
    /// run, with the greatest drop that they allow.
    pub(super) fn hidden(
        survey: &Survey,
        run: &Run,
        hidden: &Hidden,
        (warmth, verdict): (Warmth<'_>, Option<Verdict>),
        w: &mut impl Workings,
    ) -> Result<Self, MethodError> {
        let Some((tube, drop_pa)) = hidden.stands_for() else {
            return Ok(Self { verdict, ..Self::none(survey, run) });
        };
        let run = &lagging::out_of_reach(run);
        let best = options::candidate(survey, run, (tube, true), warmth.duty)?;
        let section =
            Self::with_tube(survey, run, (&List::from(vec![best]), Index::new(0)), (warmth, verdict), &mut Off)?;
        friction::volume_flow(section.flow_kg_s, warmth.duty.liquid.density_kg_m3, &mut w.within("flow_l_h"));
        Ok(Self { tube: None, zeta: 0.0, drop_pa, narrower: None, ..section })
    }

    /// A run with the tube that was chosen for it, computed once more for its workings, which are pointed at the run.
    pub(super) fn with_tube<W: Workings>(
        survey: &Survey,
        run: &Run,
        (candidates, pick): (&List<Candidate>, Index<Candidate>),
        (warmth, verdict): (Warmth<'_>, Option<Verdict>),
        w: &mut W,
    ) -> Result<Self, MethodError> {
        let duty = warmth.duty;
        let Some(tube) = candidates.get(pick).and_then(|chosen| chosen.tube) else {
            return Ok(Self { flow_kg_s: duty.flow_kg_s, verdict, ..Self::none(survey, run) });
        };
        friction::volume_flow(duty.flow_kg_s, duty.liquid.density_kg_m3, &mut w.within("flow_l_h"));
        let (friction, drop_pa) = {
            let mut w = w.within("pressure_drop_pa");
            let friction = friction::in_tube(options::bore(survey, tube), duty.liquid, duty.flow_kg_s, &mut w)?;
            let drop_pa = options::drop_of(survey, run, tube, &friction, duty.liquid, &mut w)?;
            (friction, drop_pa)
        };
        let (lost, [lagged, lagged_open]) =
            lagging::lost(survey, run, tube, warmth.legs_c, &mut w.within("heat_loss_w"))?;
        let content_l =
            content_l(survey.offer.tubes[tube].bore_m, 2.0 * run.length_m, &mut w.within("water_content_l"));
        Ok(Self {
            flow_kg_s: duty.flow_kg_s,
            tube: Some(tube),
            velocity_m_s: friction.velocity_m_s,
            velocity_max_m_s: options::velocity_limit(survey, run, Some(tube)),
            reynolds: friction.reynolds,
            gradient_pa_m: friction.gradient_pa_m,
            zeta: options::zeta(survey, run, Some(tube), &mut w.within("zeta")),
            drop_pa,
            content_l,
            lagged,
            lagged_open,
            lost,
            verdict,
            narrower: narrower(survey, candidates, pick),
        })
    }
}

/// The widest new tube on offer that is narrower than the chosen one, and why it was not taken.
fn narrower(
    survey: &Survey,
    candidates: &List<Candidate>,
    pick: Index<Candidate>,
) -> Option<(Index<Tube>, f64, Limit)> {
    let bore_m = |candidate: &Candidate| candidate.tube.map(|tube| survey.offer.tubes[tube].bore_m);
    let chosen_m = bore_m(&candidates[pick]).filter(|_| !candidates[pick].is_existing)?;
    let narrower = candidates.iter().filter(|candidate| !candidate.is_existing);
    let narrower = narrower.filter(|candidate| bore_m(candidate).is_some_and(|bore_m| bore_m < chosen_m));
    let next = narrower.max_by(|a, b| bore_m(a).unwrap_or(0.0).total_cmp(&bore_m(b).unwrap_or(0.0)))?;
    let sizing = survey.pipes.sizing;
    let steep = next.steep(sizing.gradient_max_pa_m).filter(|_| sizing.rule == Rule::Gradient);
    let otherwise = if next.cost >= candidates[pick].cost { Limit::COST } else { Limit::HEAD };
    let why = next.broken.or(steep).unwrap_or(otherwise);
    let is_speed = matches!(why.breaks, Breaks::Noise | Breaks::Erosion | Breaks::Slow);
    Some((next.tube?, if is_speed { why.found } else { next.friction.velocity_m_s }, why))
}
