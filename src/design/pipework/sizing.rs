//! The tube of one run: the smallest bore within gradient and velocity, or the tube that lies there already.

use super::{Pipework, Section};
use crate::design::emitters::Emitters;
use crate::design::findings::{Place, Unmet, Warning};
use crate::job::pipework::Place as Where;
use crate::methods::friction::{self, Bore, Friction};
use crate::methods::{MethodError, Off, Workings, fittings};
use crate::survey::{Run, Survey};

/// Plant rooms and unheated spaces may run half as fast again as occupied places: 1.5 against 1.0 m/s; common practice.
const AWAY_FROM_PEOPLE: f64 = 1.5;

/// Sizes one run.
pub(super) fn section<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    index: usize,
    flow_kg_s: f64,
    found: &mut Pipework,
    w: &mut W,
) -> Result<Section, MethodError> {
    let run = &survey.pipes.runs[index];
    let zeta = zeta(survey, run);
    let limit_m_s = velocity_limit(survey, run);
    let within = |friction: &Friction| {
        friction.gradient_pa_m <= survey.pipes.gradient_max_pa_m && friction.velocity_m_s <= limit_m_s
    };
    let mut chosen = None;
    let candidates = run.existing_tube.map_or_else(|| survey.pipes.tubes.clone(), |tube| vec![tube]);
    for tube in candidates {
        let friction = friction::in_tube(bore(survey, tube), &emitters.water, flow_kg_s, &mut Off)?;
        chosen = Some((tube, within(&friction), friction));
        if within(&friction) {
            break;
        }
    }
    match chosen {
        Some((_, false, friction)) if run.existing_tube.is_some() => {
            found.warnings.push(Warning::KeptTube(index, friction.gradient_pa_m, friction.velocity_m_s));
        }
        Some((_, false, friction)) => {
            let place = Place::Run(index);
            found.unmet.push(Unmet { place, need: survey.pipes.gradient_max_pa_m, reached: friction.gradient_pa_m });
        }
        None => {
            found.unmet.push(Unmet { place: Place::Run(index), need: survey.pipes.gradient_max_pa_m, reached: 0.0 });
        }
        Some((_, true, _)) => {}
    }
    let Some((tube, ..)) = chosen else {
        return Ok(Section { flow_kg_s, ..Section::none(zeta) });
    };
    // the chosen tube once more, for its workings
    let friction = friction::in_tube(bore(survey, tube), &emitters.water, flow_kg_s, w)?;
    let straight_pa = friction::drop_over(friction.gradient_pa_m, 2.0 * run.length_m, w);
    let local_pa = fittings::zeta_drop(2.0 * zeta, emitters.water.density_kg_m3, friction.velocity_m_s, w);
    Ok(Section {
        flow_kg_s,
        tube: Some(tube),
        velocity_m_s: friction.velocity_m_s,
        reynolds: friction.reynolds,
        gradient_pa_m: friction.gradient_pa_m,
        zeta,
        drop_pa: straight_pa + local_pa,
    })
}

/// Loss coefficients of a run, one way, all at its own velocity: its bends, and the tee that it leaves by. At the
/// plant there is none.
pub(super) fn zeta(survey: &Survey, run: &Run) -> f64 {
    let tee = if run.from.is_some() { survey.pipes.tee_zeta } else { 0.0 };
    f64::from(run.bends) * survey.pipes.bend_zeta + tee
}

/// Greatest velocity that a run may have where it lies (m/s).
pub(super) fn velocity_limit(survey: &Survey, run: &Run) -> f64 {
    let occupied_m_s = survey.pipes.velocity_max_m_s;
    match run.place {
        Where::Occupied => occupied_m_s,
        Where::PlantRoom | Where::Unheated => AWAY_FROM_PEOPLE * occupied_m_s,
    }
}

fn bore(survey: &Survey, tube: usize) -> Bore {
    let tube = &survey.offer.tubes[tube];
    Bore { inside_diameter_mm: tube.bore_m * 1000.0, roughness_mm: tube.roughness_m * 1000.0 }
}
