//! The pipes: flows, tube sizes at least cost, pressures, what joins them to the heat source, and what balances them.
//!
//! - `flows`: what flows where
//! - `ends`: emitters and loops at the ends of the tree
//! - `basis`: everything that tubes are chosen by, and the laying of what was chosen
//! - `options`: the tubes that a run may have, and the limits that they break
//! - `sizing`: all tubes together at least cost, and the handbook's rule beside it
//! - `section`: a run with its tube
//! - `lagging`: insulation and heat loss
//! - `hidden`: tubes that nobody can see
//! - `hot_water`, `cooling`: the other circuits
//! - `arrangement`: own pump, or a second one behind a separation
//! - `duty`: the pumps at their duty, and what hidden tubes let through
//! - `balancing`: settings of valves
//! - `coils`: loops cut from coils
//! - `frost`: what can freeze outdoors

mod answer;
mod arrangement;
mod balancing;
mod basis;
mod coils;
mod cooling;
mod duty;
mod ends;
mod flows;
mod frost;
mod hidden;
mod hot_water;
mod lagging;
mod options;
mod section;
mod sizing;
mod sourced;

pub use answer::{CircuitRow, PipeworkAnswer, PumpRow, SectionRow};
pub use arrangement::{Arrangement, Joined};
pub use coils::TubeCutting;
pub use ends::Loop;
pub use lagging::Lagged;
pub use options::Limit;
pub use section::Section;
pub use sizing::Verdict;
pub use sourced::sources;

use super::DesignError;
use super::emitters::Emitters;
use super::findings::{Unmet, Warning};
use super::source::Source;
use super::units::{flow_l_h, kpa};
use crate::methods::friction::content_l;
use crate::methods::performance_map::pump_head;
use crate::methods::pump_laws::Speed;
use crate::methods::{MethodError, Workings, fittings};
use crate::survey::{End, Run, Survey, curve};
use balancing::Setting;
use basis::Basis;
use cooling::CoolingFlow;
use hidden::Hidden;
use hot_water::HotWater;
use sizing::Sizes;

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Pipework {
    /// Sections, in the order of the survey's runs.
    pub sections: Vec<Section>,
    /// The circuit to the outdoor unit, where the job tells it.
    pub primary: Option<Section>,
    /// The hot-water circuit, where the job tells it.
    pub hot_water: Option<HotWater>,
    /// The circuits while floors cool.
    pub cooling: Option<CoolingFlow>,
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
    /// Speed at which the pump that carries the system gives its head; nothing where it cannot.
    pub speed: Option<Speed>,
    /// How tubes were chosen.
    pub sizes: Sizes,
    /// The tube of every candidate that sizes pick from, the primary before all runs.
    pub tubes: Vec<Vec<Option<usize>>>,
    /// How heat source and system are put together.
    pub arrangement: Arrangement,
    /// What valves are set to.
    pub settings: Vec<Setting>,
    /// Tubes that nobody can see.
    pub hidden: Vec<Hidden>,
    /// How floor loops are cut.
    pub cuttings: Vec<TubeCutting>,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
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
    /// Pressure drop of its runs, both legs (Pa).
    pub runs_pa: f64,
    /// Pressure drop in all, plant room and primary among it (Pa).
    pub drop_pa: f64,
}

impl Pipework {
    /// Every run and circuit with its place in the job: the primary, the runs, the hot-water circuit.
    pub fn laid<'p>(&'p self, survey: &'p Survey) -> impl Iterator<Item = (&'p Run, &'p Section)> {
        let pipes = &survey.pipes;
        let primary = pipes.primary.iter().map(|primary| &primary.run).zip(&self.primary);
        let hot_water =
            pipes.hot_water.iter().map(|circuit| &circuit.run).zip(self.hot_water.iter().map(|found| &found.section));
        primary.chain(pipes.runs.iter().zip(&self.sections)).chain(hot_water)
    }
}

impl Circuit {
    /// Pressure drop of its runs and its end alone (Pa).
    #[must_use]
    pub fn beyond_plant_pa(&self) -> f64 {
        self.runs_pa + self.end_pa
    }
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
    let at = || DesignError::at("/pipework");
    let basis = Basis::of(survey, emitters, source)?;
    let whole_kg_s = flows::whole(survey, &basis.flows_kg_s);
    let flow_l_h = flow_l_h(whole_kg_s, emitters.water.density_kg_m3);
    let plant_pa = {
        let mut w = w.at(|| "/pipework/plant_pressure_drop_pa".to_owned());
        fittings::kv_drop(flow_l_h, survey.pipes.plant_kv_m3_h, emitters.water.density_kg_m3, &mut w).map_err(at())?
    };
    let own_pump_kpa = own_head(survey, source, flow_l_h, w).map_err(DesignError::at("/plant"))?;
    let sizes = basis.sizes(own_pump_kpa, plant_pa, flow_l_h).map_err(at())?;
    let mut found = Pipework {
        sections: Vec::with_capacity(survey.pipes.runs.len()),
        primary: None,
        hot_water: None,
        cooling: None,
        circuits: Vec::new(),
        index_circuit: None,
        flow_l_h,
        plant_pa,
        own_pump_kpa,
        speed: None,
        sizes,
        tubes: basis.tubes(),
        arrangement: Arrangement::undecided(),
        settings: Vec::new(),
        hidden: Vec::new(),
        cuttings: Vec::new(),
        unmet: Vec::new(),
        warnings: Vec::new(),
    };
    basis.lay(&mut found, whole_kg_s, w)?;
    found.circuits(survey, emitters, w).map_err(at())?;
    found.hidden = basis.hidden;
    for hidden in &found.hidden {
        // a tube that is replaced holds what the new one does
        let section = &mut found.sections[hidden.run];
        if let Some(bore_m) = hidden.bore_m(survey).filter(|_| section.tube.is_none()) {
            section.content_l = content_l(bore_m, 2.0 * survey.pipes.runs[hidden.run].length_m);
        }
    }
    found.deliver(survey, emitters).map_err(at())?;
    found.cooling = cooling::cooled(survey, emitters, source, &found).map_err(DesignError::at("/cooling"))?;
    found.arrangement = arrangement::arrange(survey, emitters, source, &found, w).map_err(DesignError::at("/plant"))?;
    found.pump(survey, source, w);
    let loops = ends::loops(survey, emitters).map_err(at())?;
    found.settings = balancing::settings(survey, emitters, &found, &loops, w).map_err(at())?;
    found.cuttings = coils::cut(survey, &loops);
    frost::look(survey, source, &mut found).map_err(DesignError::at("/heating"))?;
    Ok(found)
}

/// Head that the chosen heat source's own pump has at a flow (kPa).
fn own_head<W: Workings>(
    survey: &Survey,
    source: &Source,
    flow_l_h: f64,
    w: &mut W,
) -> Result<Option<f64>, MethodError> {
    let Some(chosen) = source.chosen else { return Ok(None) };
    let curve = curve(&survey.offer.heat_sources[chosen].pump);
    let mut w = w.at(|| "/pipework/pump/own_head_kpa".to_owned());
    match pump_head(&curve, flow_l_h, &mut w) {
        Ok(own_kpa) => Ok(Some(own_kpa)),
        // beyond the end of its curve the pump has nothing left
        Err(MethodError::OutOfRange { .. }) => Ok(Some(0.0)),
        Err(error @ (MethodError::Impossible { .. } | MethodError::NotConverged { .. })) => Err(error),
    }
}

impl Pipework {
    fn circuits<W: Workings>(&mut self, survey: &Survey, emitters: &Emitters, w: &mut W) -> Result<(), MethodError> {
        let primary_pa = self.primary.map_or(0.0, |primary| primary.drop_pa);
        for (index, run) in survey.pipes.runs.iter().enumerate() {
            for &end in run.serves.iter().filter(|end| !flows::is_left_out(survey, emitters, **end)) {
                let number = self.circuits.len();
                let mut w = w.at(|| format!("/pipework/circuits/{number}/end_pressure_drop_pa"));
                let (end_pa, room) = ends::end_drop(survey, emitters, end, &mut w)?;
                let mut sections = vec![index];
                while let Some(from) = sections.last().and_then(|&last| survey.pipes.runs[last].from) {
                    sections.push(from);
                }
                sections.reverse();
                let runs_pa: f64 = sections.iter().map(|&section| self.sections[section].drop_pa).sum();
                let drop_pa = runs_pa + end_pa + primary_pa + self.plant_pa;
                self.circuits.push(Circuit { end, room, sections, end_pa, runs_pa, drop_pa });
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

    /// Head of what the heat source's own pump carries (kPa): the whole, or where a separation stands between primary and
    /// plant room alone.
    #[must_use]
    pub fn carried_kpa(&self) -> f64 {
        match self.arrangement.kind {
            Joined::Direct | Joined::AddedWater => self.head_kpa(),
            Joined::Separated => kpa(self.primary.map_or(0.0, |primary| primary.drop_pa) + self.plant_pa),
        }
    }
}
