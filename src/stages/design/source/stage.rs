//! The stage as it is run with the others, and what must be true of its result.

use super::{Candidate, Source, Unmet, Warning, compute};
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::heat_loss::HeatLoss;
use crate::design::stage::{Asked, NoCaution, Stage, same, so};
use crate::methods::Workings;
use crate::survey::Survey;

impl Stage for Source {
    type Before<'b> = (&'b HeatLoss, &'b Emitters);
    type Error = DesignError;
    type Unmet = Unmet;
    type Warning = Warning;
    type Caution = NoCaution;

    fn compute<W: Workings>(
        asked: Asked<'_>,
        (loss, emitters): Self::Before<'_>,
        w: &mut W,
    ) -> Result<Self, DesignError> {
        compute(asked.survey, loss, emitters, w)
    }

    fn unmet(&self) -> &[Self::Unmet] {
        &self.unmet
    }

    fn warnings(&self) -> &[Self::Warning] {
        &self.warnings
    }

    /// The load is all that is lost, and what is chosen was looked at and is enough; where none is, that is told, and nothing
    /// is chosen.
    fn check(&self, survey: &Survey, (loss, emitters): Self::Before<'_>) -> Result<(), String> {
        let lost_w = loss.dwelling.design_heat_loss_w + emitters.downward_w + self.pipe_loss_w;
        same(self.load_w, lost_w, || "load of the heat source".to_owned())?;
        same(self.flow_c, emitters.flow_c, || "one flow temperature".to_owned())?;
        let stands = |candidate: &Candidate| survey.offer.heat_sources.get(candidate.offer).is_some();
        so(self.candidates.iter().all(stands), || "each candidate is on offer".to_owned())?;
        so(self.reckoned().is_some() == self.candidate().is_some(), || {
            "what is reckoned with was looked at".to_owned()
        })?;
        let is_enough = self.candidate().is_some_and(Candidate::is_enough);
        so(is_enough == self.chosen.is_some(), || "what is chosen is enough".to_owned())?;
        so(is_enough == self.unmet.is_empty(), || "a need is told exactly where none is enough".to_owned())
    }
}
