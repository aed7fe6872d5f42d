//! The two-pipe tree: flows, tube sizes, pressures, index circuit and pump duty.

mod answer;
mod sizing;

pub use answer::{CircuitRow, PipeworkAnswer, PumpRow, SectionRow};

use super::DesignError;
use super::emitters::{Emitters, is_on, loop_drop};
use super::findings::{Place, Unmet, Warning};
use super::source::Source;
use super::units::{flow_l_h, kpa};
use crate::methods::performance_map::pump_head;
use crate::methods::{MethodError, Workings, fittings};
use crate::sources::{COLEBROOK, DECLARED_DATA, FLUID_MECHANICS, IAPWS_IF97, IAPWS_VISCOSITY, TRADE_PRACTICE};
use crate::survey::{End, Survey, curve};

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Pipework {
    /// Sections, in the order of the survey's runs.
    pub sections: Vec<Section>,
    /// Circuits, one for each end that is served.
    pub circuits: Vec<Circuit>,
    /// Index of the circuit with the greatest pressure drop.
    pub index_circuit: Option<usize>,
    /// Flow of the whole (l/h).
    pub flow_l_h: f64,
    /// Pressure drop of the plant room (Pa).
    pub plant_pa: f64,
    /// Head that the chosen heat source's own pump has at that flow (kPa); nothing where it is not known.
    pub own_pump_kpa: Option<f64>,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

/// One run with its flow and return tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Flow (kg/s).
    pub flow_kg_s: f64,
    /// Index into the offered tubes; nothing where none is on offer, or the run leads only to emitters that are left out.
    pub tube: Option<usize>,
    /// Velocity (m/s).
    pub velocity_m_s: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Pressure gradient of the straight tube (Pa/m).
    pub gradient_pa_m: f64,
    /// Sum of loss coefficients, one way.
    pub zeta: f64,
    /// Pressure drop of both legs (Pa).
    pub drop_pa: f64,
}

impl Section {
    /// A run without a tube.
    fn none(zeta: f64) -> Self {
        Self { flow_kg_s: 0.0, tube: None, velocity_m_s: 0.0, reynolds: 0.0, gradient_pa_m: 0.0, zeta, drop_pa: 0.0 }
    }
}

/// The way from the plant to an end and back.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// What it serves.
    pub end: End,
    /// Room whose loop sets a manifold's drop.
    pub room: Option<usize>,
    /// Its sections, from the plant.
    pub sections: Vec<usize>,
    /// Pressure drop at the end (Pa).
    pub end_pa: f64,
    /// Pressure drop in all, plant room among it (Pa).
    pub drop_pa: f64,
}

/// Computes the stage.
///
/// # Errors
/// [`DesignError::Method`] if friction cannot be computed.
pub fn compute<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    w: &mut W,
) -> Result<Pipework, DesignError> {
    let pipes = &survey.pipes;
    let flows_kg_s = flows(survey, emitters);
    let needed = needed(survey, emitters);
    let mut found = Pipework {
        sections: Vec::with_capacity(pipes.runs.len()),
        circuits: Vec::new(),
        index_circuit: None,
        flow_l_h: 0.0,
        plant_pa: 0.0,
        own_pump_kpa: None,
        unmet: Vec::new(),
        warnings: Vec::new(),
    };
    for (index, &flow_kg_s) in flows_kg_s.iter().enumerate() {
        let mut w = w.at(|| format!("/pipework/sections/{index}/pressure_drop_pa"));
        let at = |error| DesignError::at(format!("/pipework/runs/{}", pipes.runs[index].id))(error);
        if !needed[index] {
            found.sections.push(Section::none(sizing::zeta(survey, &pipes.runs[index])));
            continue;
        }
        let section = sizing::section(survey, emitters, index, flow_kg_s, &mut found, &mut w).map_err(at)?;
        found.sections.push(section);
    }
    let from_plant = pipes.runs.iter().zip(&flows_kg_s).filter(|(run, _)| run.from.is_none());
    let flow_kg_s: f64 = from_plant.map(|(_, flow_kg_s)| flow_kg_s).sum();
    found.flow_l_h = flow_l_h(flow_kg_s, emitters.water.density_kg_m3);
    {
        let mut w = w.at(|| "/pipework/plant_pressure_drop_pa".to_owned());
        found.plant_pa = fittings::kv_drop(found.flow_l_h, pipes.plant_kv_m3_h, emitters.water.density_kg_m3, &mut w)
            .map_err(DesignError::at("/pipework"))?;
    }
    found.circuits(survey, emitters, w).map_err(DesignError::at("/pipework"))?;
    found.pump(survey, source, w).map_err(DesignError::at("/plant"))?;
    Ok(found)
}

/// Flow of every run: what it serves and what leaves from it (kg/s). A run stands after the one that it leaves
/// from, so a way back through the list meets every branch before its trunk.
fn flows(survey: &Survey, emitters: &Emitters) -> Vec<f64> {
    let runs = &survey.pipes.runs;
    let mut flows_kg_s = vec![0.0; runs.len()];
    for (index, run) in runs.iter().enumerate().rev() {
        flows_kg_s[index] += run.serves.iter().map(|end| end_flow(survey, emitters, *end)).sum::<f64>();
        if let Some(from) = run.from {
            flows_kg_s[from] += flows_kg_s[index];
        }
    }
    flows_kg_s
}

/// Whether each run is laid: one that leads to nothing but emitters that are left out is not.
fn needed(survey: &Survey, emitters: &Emitters) -> Vec<bool> {
    let runs = &survey.pipes.runs;
    let mut leads_on: Vec<Option<bool>> = vec![None; runs.len()];
    for (index, run) in runs.iter().enumerate().rev() {
        let served = run.serves.iter().map(|end| !is_left_out(survey, emitters, *end)).reduce(|a, b| a || b);
        let leads = [leads_on[index], served].into_iter().flatten().reduce(|a, b| a || b);
        leads_on[index] = leads;
        if let (Some(from), Some(leads)) = (run.from, leads) {
            leads_on[from] = Some(leads_on[from].unwrap_or(false) || leads);
        }
    }
    let mut needed: Vec<bool> = Vec::with_capacity(runs.len());
    for (run, leads) in runs.iter().zip(leads_on) {
        // one that leads nowhere is laid as it is written, off a trunk that is
        let is_on_trunk = run.from.is_none_or(|from| needed[from]);
        needed.push(run.existing_tube.is_some() || leads.unwrap_or(true) && is_on_trunk);
    }
    needed
}

/// Whether an end is an emitter with nothing to carry, which is left out, or a manifold without loops.
fn is_left_out(survey: &Survey, emitters: &Emitters, end: End) -> bool {
    match end {
        End::Radiator(room, which) => emitters.is_left_out(survey, room, which),
        End::Manifold(manifold) => !emitters.floors().any(|(room, index, ..)| is_on(survey, room, index, manifold)),
    }
}

/// Flow that an end takes (kg/s).
fn end_flow(survey: &Survey, emitters: &Emitters, end: End) -> f64 {
    match end {
        End::Radiator(room, emitter) => emitters.rooms[room][emitter].flow_kg_s,
        End::Manifold(manifold) => {
            let floors = emitters.floors().filter(|(room, index, ..)| is_on(survey, *room, *index, manifold));
            floors.map(|(.., emitter)| emitter.flow_kg_s).sum()
        }
    }
}

impl Pipework {
    fn circuits<W: Workings>(&mut self, survey: &Survey, emitters: &Emitters, w: &mut W) -> Result<(), MethodError> {
        for (index, run) in survey.pipes.runs.iter().enumerate() {
            for &end in run.serves.iter().filter(|end| !is_left_out(survey, emitters, **end)) {
                let number = self.circuits.len();
                let mut w = w.at(|| format!("/pipework/circuits/{number}/end_pressure_drop_pa"));
                let (end_pa, room) = end_drop(survey, emitters, end, &mut w)?;
                let mut sections = vec![index];
                while let Some(from) = sections.last().and_then(|&last| survey.pipes.runs[last].from) {
                    sections.push(from);
                }
                sections.reverse();
                let runs_pa: f64 = sections.iter().map(|&section| self.sections[section].drop_pa).sum();
                let drop_pa = runs_pa + end_pa + self.plant_pa;
                self.circuits.push(Circuit { end, room, sections, end_pa, drop_pa });
            }
        }
        let greatest = self.circuits.iter().enumerate().max_by(|(_, a), (_, b)| a.drop_pa.total_cmp(&b.drop_pa));
        self.index_circuit = greatest.map(|(index, _)| index);
        Ok(())
    }

    /// Head that the pump must give (kPa).
    #[must_use]
    pub fn head_kpa(&self) -> f64 {
        self.index_circuit.map_or(0.0, |index| kpa(self.circuits[index].drop_pa))
    }

    fn pump<W: Workings>(&mut self, survey: &Survey, source: &Source, w: &mut W) -> Result<(), MethodError> {
        let Some(chosen) = source.chosen else { return Ok(()) };
        let curve = curve(&survey.offer.heat_sources[chosen].pump);
        let mut w = w.at(|| "/pipework/pump/own_head_kpa".to_owned());
        let own_kpa = match pump_head(&curve, self.flow_l_h, &mut w) {
            Ok(own_kpa) => own_kpa,
            // beyond the end of its curve the pump has nothing left
            Err(MethodError::OutOfRange { .. }) => 0.0,
            Err(error @ (MethodError::Impossible { .. } | MethodError::NotConverged { .. })) => return Err(error),
        };
        self.own_pump_kpa = Some(own_kpa);
        let head_kpa = self.head_kpa();
        if own_kpa < head_kpa {
            self.unmet.push(Unmet { place: Place::Pump, need: head_kpa, reached: own_kpa });
        }
        Ok(())
    }
}

/// Pressure drop at an end (Pa), and for a manifold the room whose loop sets it.
fn end_drop<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    end: End,
    w: &mut W,
) -> Result<(f64, Option<usize>), MethodError> {
    let density = emitters.water.density_kg_m3;
    match end {
        End::Radiator(room, emitter) => {
            let flow = flow_l_h(emitters.rooms[room][emitter].flow_kg_s, density);
            Ok((fittings::kv_drop(flow, survey.pipes.radiator_kv_m3_h, density, w)?, Some(room)))
        }
        End::Manifold(manifold) => {
            let mut worst = (0.0, None);
            for (room, index, floor, emitter) in emitters.floors() {
                if !is_on(survey, room, index, manifold) || emitter.flow_kg_s <= 0.0 {
                    continue;
                }
                let Some(written) = survey.rooms[room].emitters[index].floor() else { continue };
                // of the loops of a zone one stands for all
                for zone in &floor.zones {
                    let each_kg_s = zone.state.mass_flow_kg_s / f64::from(zone.loops.count);
                    let one = (zone.loops.length_m, each_kg_s);
                    let drop_pa = loop_drop(survey, written, one, &emitters.water, w)?;
                    if drop_pa > worst.0 {
                        worst = (drop_pa, Some(room));
                    }
                }
            }
            Ok(worst)
        }
    }
}

/// The published sources that this stage rests on.
pub const SOURCES: [&crate::sources::Source; 6] =
    [&COLEBROOK, &DECLARED_DATA, &FLUID_MECHANICS, &IAPWS_IF97, &IAPWS_VISCOSITY, &TRADE_PRACTICE];
