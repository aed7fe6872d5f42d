//! A run with its tube: what flows in it, what it takes, holds and loses.

use super::lagging::{self, Lagged};
use super::options::{self, Candidate, Duty, Limit};
use super::sizing::Verdict;
use crate::methods::friction::{self, content_l};
use crate::methods::{MethodError, Off, Workings};
use crate::survey::{Run, Survey};

/// One run with its flow and return tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Flow (kg/s).
    pub flow_kg_s: f64,
    /// Index into the offered tubes; nothing where none is on offer, where nobody can see it, or where the run leads only to
    /// emitters that are left out.
    pub tube: Option<usize>,
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
    /// Heat that both legs lose to what is about them (W); below 0 where they take heat up.
    pub loss_w: f64,
    /// What became of the tube that lies there.
    pub verdict: Option<Verdict>,
    /// Why the next narrower tube was not taken: which, its velocity (m/s), and the limit that it breaks.
    pub narrower: Option<(usize, f64, Limit)>,
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
            zeta: options::zeta(survey, run, None),
            drop_pa: 0.0,
            content_l: 0.0,
            lagged: Lagged::BARE,
            loss_w: 0.0,
            verdict: None,
            narrower: None,
        }
    }

    /// Whether new tube is laid.
    #[must_use]
    pub fn is_new(&self) -> bool {
        match self.verdict {
            None | Some(Verdict::Replaced(_)) => self.tube.is_some(),
            Some(Verdict::Kept | Verdict::KeptBeyond(_) | Verdict::Refused(_)) => false,
        }
    }

    /// A run with the tube that was chosen for it, computed once more for its workings.
    pub(super) fn of<W: Workings>(
        survey: &Survey,
        run: &Run,
        (candidates, pick): (&[Candidate], usize),
        warmth: Warmth<'_>,
        w: &mut W,
    ) -> Result<Self, MethodError> {
        let duty = warmth.duty;
        let Some(chosen) = candidates.get(pick) else {
            return Ok(Self { flow_kg_s: duty.flow_kg_s, ..Self::none(survey, run) });
        };
        let Some(tube) = chosen.tube else {
            return Ok(Self { flow_kg_s: duty.flow_kg_s, drop_pa: chosen.drop_pa, ..Self::none(survey, run) });
        };
        let friction = friction::in_tube(options::bore(survey, tube), duty.liquid, duty.flow_kg_s, w)?;
        let drop_pa = options::drop_of(survey, run, tube, &friction, duty.liquid, w)?;
        let lagged = lagging::lagged(survey, run, tube);
        let loss_w = warmth.legs_c.into_iter().try_fold(0.0, |sum_w, leg_c| {
            let difference_k = leg_c - run.surrounding_c;
            Ok(sum_w + run.length_m * lagging::loss_w_m(survey, tube, lagged, difference_k, &mut Off)?)
        });
        Ok(Self {
            flow_kg_s: duty.flow_kg_s,
            tube: Some(tube),
            velocity_m_s: friction.velocity_m_s,
            velocity_max_m_s: options::velocity_limit(survey, run, Some(tube)),
            reynolds: friction.reynolds,
            gradient_pa_m: friction.gradient_pa_m,
            zeta: options::zeta(survey, run, Some(tube)),
            drop_pa,
            content_l: content_l(survey.offer.tubes[tube].bore_m, 2.0 * run.length_m),
            lagged,
            loss_w: loss_w?,
            verdict: None,
            narrower: narrower(survey, candidates, pick),
        })
    }
}

/// The widest new tube on offer that is narrower than the chosen one, and why it was not taken.
fn narrower(survey: &Survey, candidates: &[Candidate], pick: usize) -> Option<(usize, f64, Limit)> {
    let bore_m = |candidate: &Candidate| candidate.tube.map(|tube| survey.offer.tubes[tube].bore_m);
    let chosen_m = bore_m(&candidates[pick]).filter(|_| !candidates[pick].is_existing)?;
    let narrower = candidates.iter().filter(|candidate| !candidate.is_existing);
    let narrower = narrower.filter(|candidate| bore_m(candidate).is_some_and(|bore_m| bore_m < chosen_m));
    let next = narrower.max_by(|a, b| bore_m(a).unwrap_or(0.0).total_cmp(&bore_m(b).unwrap_or(0.0)))?;
    Some((next.tube?, next.friction.velocity_m_s, next.broken.unwrap_or(Limit::HEAD)))
}
