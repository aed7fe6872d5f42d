//! What is said of a pipe's tube: what became of the one that lies there, and which limits are broken.

use super::Pipework;
use super::options::{Candidate, Limit};
use super::section::Section;
use super::sizing::{self, Verdict};
use crate::design::findings::{Breaks, Pipe, Place, Unmet, Warning};
use crate::job::emitters::Keep;
use crate::survey::{Rule, Run, Survey};

impl Pipework {
    /// A section with what became of the tube that lies there; what breaks its limits is told.
    pub(super) fn judged(
        &mut self,
        survey: &Survey,
        section: Section,
        (run, pipe): (&Run, Pipe),
        (candidates, pick): (&[Candidate], usize),
    ) -> Section {
        let keep = run.laid.as_ref().map(|laid| laid.keep);
        let sizing = survey.pipes.sizing;
        let by_rule = (sizing.rule == Rule::Gradient).then_some(sizing.gradient_max_pa_m);
        let mut verdict = sizing::verdict(keep, candidates, pick, by_rule);
        if run.readings().is_some() && keep != Some(Keep::Never) && !candidates.iter().any(|one| one.is_existing) {
            let none = candidates.is_empty();
            let why = Limit::UNEXPLAINED;
            verdict = Some(if none { Verdict::KeptBeyond(why) } else { Verdict::Replaced(Some(why)) });
        }
        let Some(chosen) = candidates.get(pick) else {
            let place = match pipe {
                Pipe::Run(index) if run.readings().is_some() => Place::Unexplained(index),
                Pipe::Run(_) | Pipe::Primary | Pipe::PrimaryMaking | Pipe::HotWater => Place::NoTube(pipe),
            };
            self.unmet.push(Unmet { place, need: 1.0, reached: 0.0 });
            return Section { verdict, ..section };
        };
        match verdict {
            Some(Verdict::Refused(limit)) => {
                let Limit { breaks, found: reached, limit: need, .. } = limit;
                self.unmet.push(Unmet { place: Place::KeptTube(of(pipe, limit), breaks), need, reached });
            }
            Some(Verdict::KeptBeyond(limit)) => {
                self.warnings.push(Warning::KeptTube(of(pipe, limit), limit.breaks, limit.found, limit.limit));
            }
            Some(Verdict::Kept | Verdict::Replaced(_)) | None => {}
        }
        if !chosen.is_existing {
            let steep = by_rule.and_then(|most_pa_m| chosen.steep(most_pa_m));
            // too slow is no fault of a tube that is the narrowest, and what the pump lacks is told of the pump
            let of_pump = |limit: &Limit| matches!(limit.breaks, Breaks::Head | Breaks::Pump);
            let told = chosen.broken.filter(|limit| !limit.is_slow() && !of_pump(limit)).or(steep);
            if let Some(limit) = told {
                let Limit { breaks, found: reached, limit: need, .. } = limit;
                self.unmet.push(Unmet { place: Place::NewTube(of(pipe, limit), breaks), need, reached });
            }
        }
        Section { verdict, ..section }
    }
}

/// The pipe as a limit is broken in it.
fn of(pipe: Pipe, limit: Limit) -> Pipe {
    match pipe {
        Pipe::Primary if limit.is_making => Pipe::PrimaryMaking,
        Pipe::Run(_) | Pipe::Primary | Pipe::PrimaryMaking | Pipe::HotWater => pipe,
    }
}
