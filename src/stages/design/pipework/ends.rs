//! What hangs at the ends of the tree, and what it takes of the head.

pub(super) use crate::survey::End;

use crate::design::emitters::{Emitters, is_on, loop_drop};
use crate::job::pipework::Manifold;
use crate::list::Index;
use crate::methods::water::Liquid;
use crate::methods::{MethodError, Off, Workings, fittings, floor_loops, friction, last_steps};
use crate::survey::{EmitterAt, Room, Survey};

/// One loop of a floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loop {
    /// Emitter that it lies in.
    pub at: EmitterAt,
    /// Its number within the floor, from 1.
    pub number: usize,
    /// Manifold that it hangs on.
    pub manifold: Index<Manifold>,
    /// Length, tails among it (m).
    pub length_m: f64,
    /// Flow (kg/s).
    pub flow_kg_s: f64,
    /// Its water, at its own mean temperature.
    pub water: Liquid,
    /// Pressure drop with its two valves open (Pa).
    pub drop_pa: f64,
}

/// Every loop of the house with what it takes.
pub(super) fn loops(survey: &Survey, emitters: &Emitters) -> Result<Vec<Loop>, MethodError> {
    let mut found = Vec::new();
    for (at, floor, _) in emitters.floors() {
        let Some(written) = survey.emitter(at).floor() else { continue };
        let mut number = 0;
        for zone in &floor.zones {
            let flow_kg_s = floor_loops::flow_of_each(zone.state.mass_flow_kg_s, f64::from(zone.loops.count), &mut Off);
            let length_m = zone.loops.length_m;
            let drop_pa = if flow_kg_s > 0.0 {
                loop_drop(survey, written, (length_m, flow_kg_s), &zone.water, &mut Off)?
            } else {
                0.0
            };
            for _ in 0..zone.loops.count {
                number += 1;
                let manifold = written.laying.manifold;
                found.push(Loop { at, number, manifold, length_m, flow_kg_s, water: zone.water, drop_pa });
            }
        }
    }
    Ok(found)
}

/// Pressure drop at an end (Pa), and the room of the emitter or of the loop that sets it.
pub(super) fn end_drop<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    end: End,
    w: &mut W,
) -> Result<(f64, Option<Index<Room>>), MethodError> {
    let density = emitters.water.density_kg_m3;
    match end {
        End::Radiator(at) => {
            let flow = friction::volume_flow(emitters.emitter(at).set.flow_kg_s, density, w);
            Ok((fittings::kv_drop(flow, survey.pipes.radiator_kv_m3_h, density, w)?, Some(at.room)))
        }
        End::Manifold(manifold) => {
            let mut worst = (0.0, None);
            for (at, floor, emitter) in emitters.floors() {
                if !is_on(survey, at, manifold) || emitter.set.flow_kg_s <= 0.0 {
                    continue;
                }
                let Some(written) = survey.emitter(at).floor() else { continue };
                // of the loops of a zone one stands for all
                for zone in &floor.zones {
                    let loops = f64::from(zone.loops.count);
                    let each_kg_s = floor_loops::flow_of_each(zone.state.mass_flow_kg_s, loops, w);
                    let one = (zone.loops.length_m, each_kg_s);
                    let drop_pa = loop_drop(survey, written, one, &zone.water, w)?;
                    let room = if drop_pa > worst.0 { Some(at.room) } else { worst.1 };
                    worst = (last_steps::worst_pa(worst.0, drop_pa, w), room);
                }
            }
            Ok(worst)
        }
    }
}

/// Drop of the worst loop of a manifold while floors cool, each at its flow for that (Pa); nothing where none does.
pub(in crate::design) fn cooled_drop(
    survey: &Survey,
    emitters: &Emitters,
    manifold: Index<Manifold>,
    (liquid, flow_of): (&Liquid, &impl Fn(EmitterAt) -> f64),
) -> Result<f64, MethodError> {
    let mut worst_pa = 0.0_f64;
    for (at, floor, _) in emitters.floors().filter(|(at, ..)| is_on(survey, *at, manifold)) {
        let Some(written) = survey.emitter(at).floor() else { continue };
        let whole_kg_s = flow_of(at);
        let area_m2: f64 = floor.zones.iter().map(|zone| zone.plan.area_m2).sum();
        for zone in &floor.zones {
            let (zone_m2, loops) = (zone.plan.area_m2, f64::from(zone.loops.count));
            let each_kg_s = floor_loops::flow_by_area(whole_kg_s, zone_m2, area_m2, loops, &mut Off);
            if each_kg_s > 0.0 {
                let one = (zone.loops.length_m, each_kg_s);
                worst_pa = worst_pa.max(loop_drop(survey, written, one, liquid, &mut Off)?);
            }
        }
    }
    Ok(worst_pa)
}
