//! Water outdoors, and whether it can freeze.

use super::Warning;
use crate::design::pipework::{Pipe, Pipework};
use crate::design::source::Source;
use crate::job::pipework::Place;
use crate::methods::fluid::Fluid;
use crate::methods::{MethodError, glycol};
use crate::survey::Survey;

/// Looks at what can freeze: the outdoor unit itself holds water, whatever else does.
pub(super) fn frost(
    survey: &Survey,
    source: &Source,
    (found, cools): (&Pipework, bool),
) -> Result<Vec<Warning>, MethodError> {
    let mut warnings = Vec::new();
    let freeze = survey.pipes.freeze;
    let holds_water = source.reckoned().is_some_and(|chosen| survey.offer.heat_sources[chosen].water_l > 0.0);
    let is_outdoors = holds_water || found.laid(survey).any(|(_, run, _)| run.open_m > 0.0);
    let freezing_c = survey.heating.fluid.freezing_point()?;
    if is_outdoors && freezing_c > freeze.coldest_c && !freeze.by_valves {
        warnings.push(match survey.heating.fluid {
            Fluid::Water => Warning::WaterFreezes { coldest_c: freeze.coldest_c },
            Fluid::Glycol(substance, _) => {
                let enough_fraction = glycol::weakest_that_stays_liquid(substance, freeze.coldest_c)?;
                Warning::MixtureFreezes { freezing_c, coldest_c: freeze.coldest_c, enough_fraction }
            }
        });
    }
    if freeze.by_valves && freezing_c > freeze.coldest_c {
        warnings.extend(valves_leave_water(survey, found));
    }
    if cools {
        let chilled = found.laid(survey).filter(|(pipe, _, section)| {
            *pipe != Pipe::HotWater && section.tube.is_some() && section.lagged.thickness_mm <= 0.0
        });
        let chilled: Vec<Pipe> = chilled.map(|(pipe, ..)| pipe).collect();
        if let Some(&pipe) = chilled.first() {
            warnings.push(Warning::BareAndChilled { pipe, pipes: chilled.len() });
        }
    }
    let bare = found.laid(survey).filter(|(_, run, section)| {
        let in_the_open = run.open_m > 0.0 && section.lagged_open.thickness_mm <= 0.0;
        let is_cold = matches!(run.place, Place::Loft | Place::Unheated);
        section.content_l > 0.0 && (in_the_open || is_cold && section.lagged.thickness_mm <= 0.0)
    });
    let bare: Vec<Pipe> = bare.map(|(pipe, ..)| pipe).collect();
    if let Some(&pipe) = bare.first() {
        warnings.push(Warning::BareInTheCold { pipe, pipes: bare.len() });
    }
    Ok(warnings)
}

/// What freeze-protection valves leave in the pipe that lies longest in the open, where that is further than they reach.
fn valves_leave_water(survey: &Survey, found: &Pipework) -> Option<Warning> {
    let reach_m = survey.defaults.freeze_valves_reach_m.value;
    let long = found.laid(survey).filter(|(_, run, section)| run.open_m > reach_m && section.content_l > 0.0);
    let (pipe, run, section) = long.max_by(|(_, one, _), (_, other, _)| one.open_m.total_cmp(&other.open_m))?;
    let left_l = section.content_l * (run.open_m - reach_m) / run.length_m;
    Some(Warning::ValvesLeaveWater {
        pipe,
        outdoor_m: run.open_m,
        reach_m,
        left_l,
        coldest_c: survey.pipes.freeze.coldest_c,
    })
}
