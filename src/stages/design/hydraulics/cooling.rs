//! The circuits that cool: the same tubes with the flow that cooled floors take.

use super::Warning;
use crate::design::emitters::{Emitters, is_on};
use crate::design::own_pump::{own_head, plant_drop};
use crate::design::pipework::{self, Pipe, Pipework, Section};
use crate::design::source::Source;
use crate::design::units::{flow_kg_s, kpa};
use crate::list::{List, indexed};
use crate::methods::{MethodError, Off, Workings, carried_heat, en_442, friction, last_steps, sums};
use crate::survey::EmitterAt;
use crate::survey::{End, Run, Survey};

/// What the system takes while it cools.
#[derive(Debug, Clone, PartialEq)]
pub struct CoolingFlow {
    /// Flow of the whole (l/h).
    pub flow_l_h: f64,
    /// Heat that the floors take (W).
    pub output_w: f64,
    /// Head of the index circuit (kPa), without primary and plant room where a separation parts them from the system.
    pub head_kpa: f64,
    /// Head of primary and plant room alone, which the own pump carries before a separation (kPa).
    pub unit_kpa: f64,
    /// The manifold that it serves.
    pub index: Option<End>,
    /// Head that the heat source's own pump has at its flow (kPa).
    pub own_kpa: Option<f64>,
    /// The pipe that runs fastest beyond its limit then: velocity and limit (m/s).
    pub fast: Option<(Pipe, f64, f64)>,
}

impl CoolingFlow {
    /// What looks wrong of it.
    pub(super) fn warnings(&self) -> impl Iterator<Item = Warning> {
        let too_fast = |(pipe, velocity_m_s, limit_m_s)| Warning::FastCooling { pipe, velocity_m_s, limit_m_s };
        std::iter::once(Warning::CoolingNotTold {}).chain(self.fast.map(too_fast))
    }
}

/// Flow and head while floors cool; nothing where the job wants no cooling, or none of its floors takes heat.
pub(super) fn cooled<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    found: &Pipework,
    w: &mut W,
) -> Result<Option<CoolingFlow>, MethodError> {
    let Some(wanted) = &survey.cooling else { return Ok(None) };
    let taken = |at: EmitterAt| -> f64 {
        let floors = emitters.floors().filter(|(of, ..)| *of == at);
        floors.filter_map(|(_, floor, _)| Some(floor.cooling.as_ref()?.output_w)).sum()
    };
    let output_w: f64 = emitters.floors().map(|(at, ..)| taken(at)).sum();
    if output_w <= 0.0 {
        return Ok(None);
    }
    let mut w = w.at(|| "/pipework/cooling_circuit".to_owned());
    let each_w = emitters.floors().filter_map(|(_, floor, _)| Some(floor.cooling.as_ref()?.output_w));
    sums::sum(each_w, sums::and_w, &mut w.within("output_w"));
    let mean_c = carried_heat::mean_temperature(wanted.flow_c, -wanted.rise_k, &mut Off);
    let liquid = survey.heating.fluid.at(mean_c)?;
    let (heat_j_kgk, rise_k) = (liquid.specific_heat_j_kgk, wanted.rise_k);
    let flow_of = |at: EmitterAt| en_442::mass_flow(taken(at), heat_j_kgk, rise_k, &mut Off);
    let of_end = |end: End| match end {
        End::Radiator(..) => 0.0,
        End::Manifold(manifold) => {
            let on = emitters.floors().filter(|(at, ..)| is_on(survey, *at, manifold));
            on.map(|(at, ..)| flow_of(at)).sum()
        }
    };
    let flows_kg_s = pipework::flows(survey, of_end);
    let whole_kg_s = pipework::whole(survey, &flows_kg_s);
    let whole_l_h = friction::volume_flow(whole_kg_s, liquid.density_kg_m3, &mut w.within("flow_l_h"));
    let mut fast: Option<(Pipe, f64, f64)> = None;
    let mut drop = |pipe: Pipe, run: &Run, section: &Section, flow_kg_s: f64| -> Result<f64, MethodError> {
        if flow_kg_s <= 0.0 {
            return Ok(0.0);
        }
        let Some(tube) = section.tube else {
            let hidden = found.hidden.iter().find(|hidden| pipe == Pipe::Run(hidden.run));
            return hidden.map_or(Ok(0.0), |hidden| hidden.greatest_pa(survey, flow_kg_s, &liquid));
        };
        let friction = friction::in_tube(pipework::bore(survey, tube), &liquid, flow_kg_s, &mut Off)?;
        let limit_m_s = pipework::velocity_limit(survey, run, Some(tube));
        let by = friction.velocity_m_s / limit_m_s;
        if by > 1.0 && fast.is_none_or(|(_, found, limit)| by > found / limit) {
            fast = Some((pipe, friction.velocity_m_s, limit_m_s));
        }
        pipework::drop_of(survey, run, tube, &friction, &liquid, &mut Off)
    };
    let mut drops_pa: List<Run, f64> = List::default();
    for (index, (run, section)) in indexed(survey.pipes.runs.iter().zip(&found.sections)) {
        drops_pa.push(drop(Pipe::Run(index), run, section, flows_kg_s[index])?);
    }
    // behind a separation the own pump moves no less than the heat source runs with
    let is_separated = found.joining.is_separated();
    let unit_l_h = if is_separated { found.joining.needs.least_l_h.unwrap_or(0.0).max(whole_l_h) } else { whole_l_h };
    let unit_kg_s = flow_kg_s(unit_l_h, liquid.density_kg_m3);
    let primary_pa = match (&survey.pipes.primary, &found.primary) {
        (Some(primary), Some(section)) => drop(Pipe::Primary, &primary.run, section, unit_kg_s)?,
        (Some(_), None) | (None, _) => 0.0,
    };
    let plant_pa = plant_drop(survey, unit_l_h, liquid.density_kg_m3, &mut Off)?;
    let before_pa = if is_separated { 0.0 } else { primary_pa + plant_pa };
    let mut index = (0.0, None);
    let mut parts_pa = [0.0; 3];
    for circuit in &found.circuits {
        let End::Manifold(manifold) = circuit.end else { continue };
        if of_end(circuit.end) <= 0.0 {
            continue;
        }
        let runs_pa: f64 = circuit.sections.iter().map(|&section| drops_pa[section]).sum();
        let end_pa = pipework::cooled_drop(survey, emitters, manifold, (&liquid, &flow_of))?;
        let way_pa = runs_pa + end_pa + before_pa;
        if way_pa > index.0 {
            index = (way_pa, Some(circuit.end));
            parts_pa = [runs_pa, end_pa, before_pa];
        }
    }
    let head_kpa = {
        let mut w = w.within("head_kpa");
        let worst_pa = sums::sum(parts_pa, sums::and_pa, &mut w);
        last_steps::kpa(worst_pa, &mut w)
    };
    Ok(Some(CoolingFlow {
        flow_l_h: whole_l_h,
        output_w,
        head_kpa,
        unit_kpa: kpa(primary_pa + plant_pa),
        index: index.1,
        own_kpa: own_head(survey, source, unit_l_h, &mut Off)?,
        fast,
    }))
}
