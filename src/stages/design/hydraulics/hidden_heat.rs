//! The heat that hidden tubes let through with the head that is left for them.

use super::arrangement::Arrangement;
use super::{Unmet, Warning};
use crate::design::emitters::{Emitter, Emitters, Flowing, is_on};
use crate::design::pipework::{Hidden, Pipe, Pipework};
use crate::design::stage::Asked;
use crate::methods::performance_map::head_available;
use crate::methods::{MethodError, Off, carried_heat};
use crate::survey::{End, Survey, curve};

/// Share of the heat wanted below which less is told (a ratio): the last digits of a flow are not.
const NOTHING_LESS: f64 = 1e-6;

/// What hidden tubes deliver, and what is to be said of it.
pub(super) struct Delivered {
    /// Least and likely heat of each hidden tube (W); nothing where another tube is laid in its place.
    pub each_w: Vec<Option<(f64, f64)>>,
    pub unmet: Vec<Unmet>,
    pub warnings: Vec<Warning>,
}

/// The heat of every hidden tube.
pub(super) fn delivered(
    Asked { survey, budget, .. }: Asked<'_>,
    emitters: &Emitters,
    pipework: &Pipework,
    arrangement: &Arrangement,
) -> Result<Delivered, MethodError> {
    // without a pump whatever the system takes
    let head_pa = head_pa(survey, pipework, arrangement)?.unwrap_or(1000.0 * pipework.head_kpa());
    let (mut unmet, mut warnings) = (Vec::new(), Vec::new());
    let mut each_w = Vec::with_capacity(pipework.hidden.len());
    for hidden in &pipework.hidden {
        if pipework.sections[hidden.run].tube.is_some() {
            each_w.push(None);
            continue;
        }
        let (wanted_w, needed_kg_s) = wanted(survey, emitters, pipework, hidden);
        let through = hidden.flow_through((survey, budget), head_pa - others_pa(pipework, hidden), &emitters.water)?;
        let needed_kg_s = needed_kg_s.max(f64::MIN_POSITIVE);
        let heat = |kg_s: f64| carried_heat::heat_through(wanted_w, needed_kg_s, kg_s.min(needed_kg_s), &mut Off);
        let heat_w = through.map(|through| (heat(through.least_kg_s), heat(through.likely_kg_s)));
        let pipe = Pipe::Run(hidden.run);
        let enough_w = wanted_w * (1.0 - NOTHING_LESS);
        match heat_w {
            Some((_, likely_w)) if likely_w < enough_w => {
                unmet.push(Unmet::HiddenTube { pipe, need_w: wanted_w, reached_w: likely_w });
            }
            Some((least_w, _)) if least_w < enough_w => {
                warnings.push(Warning::HiddenMayLack { pipe, least_w, wanted_w });
            }
            Some(_) | None => {}
        }
        each_w.push(heat_w);
    }
    Ok(Delivered { each_w, unmet, warnings })
}

/// Head of the pump that carries the system at its flow (Pa); nothing where there is none.
fn head_pa(survey: &Survey, pipework: &Pipework, arrangement: &Arrangement) -> Result<Option<f64>, MethodError> {
    let head_kpa = if pipework.joining.is_separated() {
        let second = arrangement.second_pump.map(|index| curve(&survey.offer.circulators[index].pump));
        second.map(|pump| head_available(&pump, pipework.flow_l_h(), &mut Off)).transpose()?
    } else {
        pipework.joining.own.head_kpa
    };
    Ok(head_kpa.map(|head_kpa| 1000.0 * head_kpa))
}

/// Heat that is wanted of all that a hidden tube leads to (W), and the flow that it takes at these loads (kg/s).
fn wanted(survey: &Survey, emitters: &Emitters, pipework: &Pipework, hidden: &Hidden) -> (f64, f64) {
    let through = pipework.circuits.iter().filter(|circuit| circuit.sections.contains(&hidden.run));
    let each = through.map(|circuit| at_load(survey, emitters, circuit.end));
    each.fold((0.0, 0.0), |sum, (heat_w, flow_kg_s)| (sum.0 + heat_w, sum.1 + flow_kg_s))
}

/// What everything else takes on the worst way through a hidden tube (Pa).
fn others_pa(pipework: &Pipework, hidden: &Hidden) -> f64 {
    let section = &pipework.sections[hidden.run];
    let through = pipework.circuits.iter().filter(|circuit| circuit.sections.contains(&hidden.run));
    through.map(|circuit| circuit.drop_pa - section.drop_pa).fold(0.0, f64::max)
}

/// Heat that an end takes out of its water at its load (W), and the flow that it takes (kg/s).
fn at_load(survey: &Survey, emitters: &Emitters, end: End) -> (f64, f64) {
    let given = |emitter: &Emitter| {
        let Flowing { return_c, flow_kg_s, .. } = emitter.at_load;
        let (heat_j_kgk, drop_k) = (emitters.water.specific_heat_j_kgk, emitters.flow_c - return_c);
        (carried_heat::heat(flow_kg_s, heat_j_kgk, drop_k, &mut Off), flow_kg_s)
    };
    match end {
        End::Radiator(at) => given(emitters.emitter(at)),
        End::Manifold(manifold) => {
            let floors = emitters.floors().filter(|(at, ..)| is_on(survey, *at, manifold));
            floors.map(|(.., emitter)| given(emitter)).fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1))
        }
    }
}
