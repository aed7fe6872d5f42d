//! Water outdoors, and whether it can freeze.

use super::Pipework;
use super::lagging::is_in_the_open;
use crate::design::findings::Warning;
use crate::design::source::Source;
use crate::job::pipework::Place;
use crate::methods::MethodError;
use crate::methods::fluid::Fluid;
use crate::survey::{Run, Survey};

/// Looks at what can freeze: the outdoor unit itself holds water, whatever else does.
pub(super) fn look(survey: &Survey, source: &Source, found: &mut Pipework) -> Result<(), MethodError> {
    let freeze = survey.pipes.freeze;
    let holds_water = source.chosen.is_some_and(|chosen| survey.offer.heat_sources[chosen].water_l > 0.0);
    let runs = survey.pipes.runs.iter().chain(survey.pipes.primary.as_ref().map(|primary| &primary.run));
    let is_outdoors = holds_water || runs.clone().any(|run| is_in_the_open(survey, run));
    let freezing_c = survey.heating.fluid.freezing_point()?;
    if is_outdoors && freezing_c > freeze.coldest_c && !freeze.by_valves {
        found.warnings.push(match survey.heating.fluid {
            Fluid::Water => Warning::WaterFreezes(freeze.coldest_c),
            Fluid::Glycol(..) => Warning::MixtureFreezes(freezing_c, freeze.coldest_c),
        });
    }
    let is_cold = |run: &Run| matches!(run.place, Place::Loft | Place::Unheated | Place::Outdoors);
    let sections = found.sections.iter().map(Some).chain([found.primary.as_ref()]);
    let bare = runs.zip(sections).filter(|(run, section)| {
        let is_bare = section.is_some_and(|section| section.tube.is_some() && section.lagged.thickness_mm <= 0.0);
        is_bare && (is_cold(run) || is_in_the_open(survey, run))
    });
    let bare: Vec<&Run> = bare.map(|(run, _)| run).collect();
    if let Some(first) = bare.first() {
        let run = survey.pipes.runs.iter().position(|run| run.at == first.at);
        found.warnings.push(Warning::BareInTheCold(run, bare.len()));
    }
    Ok(())
}
