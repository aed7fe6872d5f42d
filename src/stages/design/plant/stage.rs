//! The stage as it is run with the others, and what must be true of its result.

use super::cautions::cautions;
use super::{Caution, Plant, Unmet, compute};
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::pipework::Pipework;
use crate::design::source::Source;
use crate::design::stage::{Asked, NoWarning, Stage, same, so};
use crate::methods::Workings;
use crate::survey::Survey;

impl Stage for Plant {
    type Before<'b> = (&'b Emitters, &'b Source, &'b Pipework);
    type Error = DesignError;
    type Unmet = Unmet;
    type Warning = NoWarning;
    type Caution = Caution;

    fn compute<W: Workings>(
        asked: Asked<'_>,
        (emitters, source, pipework): Self::Before<'_>,
        w: &mut W,
    ) -> Result<Self, DesignError> {
        compute(asked.survey, emitters, source, pipework, w)
    }

    fn unmet(&self) -> &[Self::Unmet] {
        &self.unmet
    }

    fn cautions(survey: &Survey) -> Vec<Self::Caution> {
        cautions(survey)
    }

    /// Every manifold that feeds something has its outlets, the water is that of the pipes, and vessel and cylinder are large
    /// enough, unless it is told that none is.
    fn check(&self, survey: &Survey, (emitters, _, pipework): Self::Before<'_>) -> Result<(), String> {
        for (manifold, chosen) in self.manifolds.enumerate() {
            let loops = pipework.loops.iter().filter(|one| one.manifold == manifold).count();
            let outlets = chosen.map_or(0, |chosen| survey.offer.manifolds[chosen].outlets as usize);
            let is_told =
                self.unmet.iter().any(|unmet| matches!(unmet, Unmet::Manifold { manifold: of, .. } if *of == manifold));
            so((outlets >= loops) != is_told, || format!("manifold {manifold}: {outlets} outlets, {loops} loops"))?;
        }
        let laid_l: f64 = pipework.laid(survey).map(|(.., section)| section.content_l).sum();
        let counted_l = self.content.runs_l + self.content.circuits_l;
        same(counted_l, laid_l, || "water in the pipes".to_owned())?;
        let radiators_l: f64 = emitters.radiators().map(|(_, radiator)| radiator.water_l).sum();
        let fans_l: f64 = emitters.fan_convectors().map(|(_, unit)| unit.water_l).sum();
        same(self.content.radiators_l, radiators_l + fans_l, || "water in radiators".to_owned())?;
        let buffer_l = pipework.joining.way().buffer.map_or(0.0, |buffer| survey.offer.buffers[buffer].volume_l);
        same(self.content.buffer_l, buffer_l, || "water in the vessel that joins".to_owned())?;
        let no_vessel = self.unmet.iter().any(|unmet| matches!(unmet, Unmet::Vessel { .. }));
        let no_cylinder = self.unmet.iter().any(|unmet| matches!(unmet, Unmet::Cylinder { .. }));
        let vessel_l = self.vessel.chosen.map(|chosen| survey.offer.vessels[chosen].volume_l);
        let takes_it = vessel_l.is_some_and(|vessel_l| vessel_l >= self.vessel.expansion_l);
        so(takes_it != no_vessel, || "the vessel takes the expansion, or it is told".to_owned())?;
        let cylinder_l = self.cylinder.map(|cylinder| survey.offer.cylinders[cylinder].volume_l);
        let holds_it = cylinder_l.is_some_and(|cylinder_l| cylinder_l >= self.stored_l);
        so(holds_it != no_cylinder, || "the cylinder holds the hot water, or it is told".to_owned())?;
        so(holds_it == self.cylinder.is_some(), || "no cylinder is chosen that is too small".to_owned())
    }
}
