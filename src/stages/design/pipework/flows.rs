//! What flows where: every run carries what it serves and what leaves from it.

use super::ends::End;
use crate::design::emitters::{Emitters, is_on};
use crate::list::List;
use crate::survey::{Run, Survey};

/// Flow of every run: what it serves and what leaves from it (kg/s). A run stands after the one that it leaves
/// from, so a way back through the list meets every branch before its trunk.
pub(in crate::design) fn flows(survey: &Survey, of_end: impl Fn(End) -> f64) -> List<Run, f64> {
    let runs = &survey.pipes.runs;
    let mut flows_kg_s = runs.filled(0.0);
    for (index, run) in runs.enumerate().rev() {
        flows_kg_s[index] += run.serves.iter().map(|end| of_end(*end)).sum::<f64>();
        if let Some(from) = run.from {
            let flow_kg_s = flows_kg_s[index];
            flows_kg_s[from] += flow_kg_s;
        }
    }
    flows_kg_s
}

/// What all runs that leave from the plant carry together (kg/s).
pub(in crate::design) fn whole(survey: &Survey, flows_kg_s: &List<Run, f64>) -> f64 {
    let from_plant = survey.pipes.runs.iter().zip(flows_kg_s).filter(|(run, _)| run.from.is_none());
    // an empty sum is -0
    from_plant.map(|(_, flow_kg_s)| flow_kg_s).sum::<f64>() + 0.0
}

/// Whether each run is laid: one that leads to nothing but emitters that are left out is not.
pub(super) fn needed(survey: &Survey, emitters: &Emitters) -> List<Run, bool> {
    let runs = &survey.pipes.runs;
    let mut leads_on: List<Run, Option<bool>> = runs.filled(None);
    for (index, run) in runs.enumerate().rev() {
        let served = run.serves.iter().map(|end| !is_left_out(survey, emitters, *end)).reduce(|a, b| a || b);
        let leads = [leads_on[index], served].into_iter().flatten().reduce(|a, b| a || b);
        leads_on[index] = leads;
        if let (Some(from), Some(leads)) = (run.from, leads) {
            leads_on[from] = Some(leads_on[from].unwrap_or(false) || leads);
        }
    }
    let mut needed: List<Run, bool> = List::default();
    for (run, leads) in runs.iter().zip(leads_on) {
        // one that leads nowhere is laid as it is written, off a trunk that is
        let is_on_trunk = run.from.is_none_or(|from| needed[from]);
        needed.push(run.laid.is_some() || leads.unwrap_or(true) && is_on_trunk);
    }
    needed
}

/// Whether an end is an emitter with nothing to carry, which is left out, or a manifold without loops.
pub(super) fn is_left_out(survey: &Survey, emitters: &Emitters, end: End) -> bool {
    match end {
        End::Radiator(at) => emitters.is_left_out(survey, at),
        End::Manifold(manifold) => !emitters.floors().any(|(at, ..)| is_on(survey, at, manifold)),
    }
}

/// Flow that an end takes (kg/s).
pub(in crate::design) fn end_flow(survey: &Survey, emitters: &Emitters, end: End) -> f64 {
    match end {
        End::Radiator(at) => emitters.emitter(at).set.flow_kg_s,
        End::Manifold(manifold) => {
            let floors = emitters.floors().filter(|(at, ..)| is_on(survey, *at, manifold));
            floors.map(|(.., emitter)| emitter.set.flow_kg_s).sum()
        }
    }
}
