//! What is said of a pipe's tube: what became of the one that lies there, and which limits are broken.

use super::options::{Candidate, Limit};
use super::sizing::{self, Verdict};
use super::{Breaks, Pipe, Unmet, Warning};
use crate::job::emitters::Keep;
use crate::list::{Index, List};
use crate::survey::{Rule, Run, Survey};

/// What is said of the pipes as they are laid, one after the other.
#[derive(Default)]
pub(super) struct Findings {
    pub unmet: Vec<Unmet>,
    pub warnings: Vec<Warning>,
}

impl Findings {
    /// What became of the tube that lies there; what breaks its limits is told.
    pub(super) fn judge(
        &mut self,
        survey: &Survey,
        (run, pipe): (&Run, Pipe),
        (candidates, pick): (&List<Candidate>, Index<Candidate>),
    ) -> Option<Verdict> {
        let keep = run.laid.as_ref().map(|laid| laid.keep);
        let sizing = survey.pipes.sizing;
        let by_rule = (sizing.rule == Rule::Gradient).then_some(sizing.gradient_max_pa_m);
        let has_none = run.readings().is_some() && !candidates.iter().any(|one| one.is_existing);
        let verdict = if has_none && keep != Some(Keep::Never) {
            let why = Limit::UNEXPLAINED;
            Some(if candidates.is_empty() { Verdict::KeptBeyond(why) } else { Verdict::Replaced(Some(why)) })
        } else {
            sizing::verdict(keep, candidates, pick, by_rule)
        };
        let Some(chosen) = candidates.get(pick) else {
            self.unmet.push(match pipe {
                Pipe::Run(_) if run.readings().is_some() => Unmet::Unexplained { pipe },
                Pipe::Run(_) | Pipe::Primary | Pipe::PrimaryMaking | Pipe::HotWater => Unmet::NoTube { pipe },
            });
            return verdict;
        };
        match verdict {
            Some(Verdict::Refused(broken)) => {
                let (pipe, Limit { breaks, found, limit, .. }) = (pipe_of(pipe, broken), broken);
                self.unmet.push(Unmet::KeptTube { pipe, breaks, found, limit });
            }
            Some(Verdict::KeptBeyond(broken)) => {
                let (pipe, Limit { breaks, found, limit, .. }) = (pipe_of(pipe, broken), broken);
                self.warnings.push(Warning::KeptTube { pipe, breaks, found, limit });
            }
            Some(Verdict::Kept | Verdict::Replaced(_)) | None => {}
        }
        if !chosen.is_existing {
            let steep = by_rule.and_then(|most_pa_m| chosen.steep(most_pa_m));
            // too slow is no fault of a tube that is the narrowest, and what the pump lacks is told of the pump
            let of_pump = |limit: &Limit| matches!(limit.breaks, Breaks::Head | Breaks::Pump);
            let told = chosen.broken.filter(|limit| !limit.is_slow() && !of_pump(limit)).or(steep);
            if let Some(broken) = told {
                let (pipe, Limit { breaks, found, limit, .. }) = (pipe_of(pipe, broken), broken);
                self.unmet.push(Unmet::BeyondLimit { pipe, breaks, found, limit });
            }
        }
        verdict
    }
}

/// The pipe as a limit is broken in it.
fn pipe_of(pipe: Pipe, limit: Limit) -> Pipe {
    match pipe {
        Pipe::Primary if limit.is_making => Pipe::PrimaryMaking,
        Pipe::Run(_) | Pipe::Primary | Pipe::PrimaryMaking | Pipe::HotWater => pipe,
    }
}
