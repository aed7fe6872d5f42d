//! What thermostats never shut, and the flow that it leaves to the heat source.

use super::ends::End;
use super::flows;
use crate::design::emitters::Emitters;
use crate::design::units::flow_l_h;
use crate::survey::Survey;

/// The ends that thermostats never shut and that are not left out.
pub(in crate::design) fn open_ends(survey: &Survey, emitters: &Emitters) -> Vec<End> {
    let all = survey.pipes.runs.iter().flat_map(|run| run.serves.iter().copied());
    let is_open = |end: &End| survey.pipes.stays_open.as_ref().is_none_or(|open| open.contains(end));
    all.filter(is_open).filter(|end| !flows::is_left_out(survey, emitters, *end)).collect()
}

/// Flow that is left with every thermostat shut (l/h).
pub(super) fn open_flow(survey: &Survey, emitters: &Emitters) -> f64 {
    let each = open_ends(survey, emitters).into_iter().map(|end| flows::end_flow(survey, emitters, end));
    // an empty sum is -0
    flow_l_h(each.sum::<f64>() + 0.0, emitters.water.density_kg_m3)
}
