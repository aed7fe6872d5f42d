//! The pipes: flows, tube sizes at least cost, pressures, what joins them to the heat source, and what balances them.
//!
//! - `flows`: what flows where
//! - `ends`: emitters and loops at the ends of the tree
//! - `basis`: everything that tubes are chosen by, and the laying of what was chosen
//! - `options`: the tubes that a run may have, and the limits that they break
//! - `sizing`: all tubes together at least cost, and the handbook's rule beside it
//! - `section`: a run with its tube
//! - `judge`: what is said of its tube
//! - `lagging`: insulation and heat loss
//! - `hidden`: tubes that nobody can see
//! - `hot_water`, `cooling`: the other circuits
//! - `arrangement`: own pump, or a second one behind a separation
//! - `pumped`: the head of pumps along their curves
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
mod judge;
mod lagging;
mod options;
mod pumped;
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
use super::findings::{Pipe, Unmet, Warning};
use super::source::Source;
use super::units::{flow_kg_s, flow_l_h, kpa};
use crate::methods::pump_laws::Speed;
use crate::methods::{MethodError, Workings, fittings};
use crate::survey::{End, Rule, Run, Survey};
use arrangement::Reason;
use balancing::Setting;
use basis::Basis;
use cooling::CoolingFlow;
use hidden::Hidden;
use hot_water::{HotWater, Making};
use pumped::Pumped;
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
    /// Pressure drop of the plant room (Pa), at the flow of the heat source's own pump.
    pub plant_pa: f64,
    /// The heat source's own pump: its flow, which is that of the whole unless a separation parts the two, and its head.
    pub own: Pumped,
    /// Least flow of the heat source (l/h), where its data tell it.
    pub least_l_h: Option<f64>,
    /// Speed at which the pump that carries the system gives its head; nothing where it cannot.
    pub speed: Option<Speed>,
    /// Speed of the heat source's own pump, for what it carries.
    pub unit_speed: Option<Speed>,
    /// Electricity that the pump of the system takes there (W), where its data tell it.
    pub electric_w: Option<f64>,
    /// How tubes were chosen.
    pub sizes: Sizes,
    /// The tube of every candidate that sizes pick from, the primary before all runs.
    pub tubes: Vec<Vec<Option<usize>>>,
    /// The tube of the hot-water circuit behind each candidate of the primary, or the one.
    pub hot_water_tubes: Vec<Option<usize>>,
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
    /// Pressure drop in all (Pa): plant room and primary among it, unless a separation parts them from the system.
    pub drop_pa: f64,
}

impl Pipework {
    /// Every run and circuit with what it is: the primary, the runs, the hot-water circuit.
    pub fn laid<'p>(&'p self, survey: &'p Survey) -> impl Iterator<Item = (Pipe, &'p Run, &'p Section)> {
        let pipes = &survey.pipes;
        let primary =
            pipes.primary.iter().zip(&self.primary).map(|(told, section)| (Pipe::Primary, &told.run, section));
        let runs = pipes.runs.iter().zip(&self.sections).enumerate();
        let runs = runs.map(|(index, (run, section))| (Pipe::Run(index), run, section));
        let hot_water = pipes.hot_water.iter().zip(&self.hot_water);
        primary.chain(runs).chain(hot_water.map(|(told, found)| (Pipe::HotWater, &told.run, &found.section)))
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
    let density_kg_m3 = emitters.water.density_kg_m3;
    let flows_kg_s = flows::flows(survey, |end| flows::end_flow(survey, emitters, end));
    let system_l_h = flow_l_h(flows::whole(survey, &flows_kg_s), density_kg_m3);
    let short = arrangement::short_of_flow(survey, emitters, source, system_l_h);
    let unit_l_h = short.map_or(system_l_h, |(_, least_l_h)| least_l_h.max(system_l_h));
    let unit_kg_s = flow_kg_s(unit_l_h, density_kg_m3);
    let basis = Basis::of(survey, emitters, source, (flows_kg_s, unit_kg_s))?;
    let plant_pa = {
        let mut w = w.at(|| "/pipework/plant_pressure_drop_pa".to_owned());
        fittings::kv_drop(unit_l_h, survey.pipes.plant_kv_m3_h, density_kg_m3, &mut w).map_err(at())?
    };
    let own = {
        let mut w = w.at(|| "/pipework/pump/own_head_kpa".to_owned());
        Pumped::of(survey, source, unit_l_h, &mut w).map_err(DesignError::at("/plant"))?
    };
    let mut reasons: Vec<Reason> = short.map(|(open, least)| Reason::MinimumFlow(open, least)).into_iter().collect();
    let (mut sizes, mut is_beyond_pump, mut least_would_do_kpa) = (None, false, None);
    if short.is_none() {
        let together = basis.together(&own, plant_pa).map_err(at())?;
        is_beyond_pump = together.is_beyond_pump;
        let head_kpa = kpa(together.held(survey.pipes.sizing.rule).head_pa + plant_pa);
        match own.head_kpa.filter(|own_kpa| system_l_h > 0.0 && *own_kpa < head_kpa) {
            Some(own_kpa) => {
                reasons.push(Reason::Head(own_kpa, head_kpa));
                let least = together.held(Rule::LeastCost).head_pa + plant_pa;
                least_would_do_kpa = Some(kpa(least)).filter(|least_kpa| *least_kpa <= own_kpa);
            }
            None => sizes = Some(together),
        }
    }
    let is_separated = sizes.is_none();
    let mut sizes = match sizes {
        Some(together) => together,
        None => basis.apart(&own, plant_pa, system_l_h).map_err(at())?,
    };
    sizes.is_beyond_pump |= is_beyond_pump;
    let mut found = Pipework {
        sections: Vec::with_capacity(survey.pipes.runs.len()),
        primary: None,
        hot_water: None,
        cooling: None,
        circuits: Vec::new(),
        index_circuit: None,
        flow_l_h: system_l_h,
        plant_pa,
        own,
        least_l_h: source.chosen.and_then(|chosen| survey.offer.heat_sources[chosen].minimum_flow_l_h),
        speed: None,
        unit_speed: None,
        electric_w: None,
        sizes,
        tubes: basis.tubes(),
        hot_water_tubes: basis.making.as_ref().map(Making::tubes).unwrap_or_default(),
        arrangement: Arrangement::undecided(is_separated),
        settings: Vec::new(),
        hidden: Vec::new(),
        cuttings: Vec::new(),
        unmet: Vec::new(),
        warnings: Vec::new(),
    };
    basis.lay(&mut found, w)?;
    found.circuits(survey, emitters, w).map_err(at())?;
    found.hidden = basis.hidden;
    found.cooling = cooling::cooled(survey, emitters, source, &found).map_err(DesignError::at("/cooling"))?;
    found.arrangement =
        arrangement::arrange(survey, emitters, source, &found, reasons, w).map_err(DesignError::at("/plant"))?;
    found.arrangement.least_would_do_kpa = least_would_do_kpa;
    found.deliver(survey, emitters).map_err(at())?;
    found.pump(survey, source, w).map_err(DesignError::at("/plant"))?;
    let loops = ends::loops(survey, emitters).map_err(at())?;
    found.settings = balancing::settings(survey, emitters, &found, &loops, w).map_err(at())?;
    found.cuttings = coils::cut(survey, &loops).map_err(at())?;
    frost::look(survey, source, &mut found).map_err(DesignError::at("/heating"))?;
    Ok(found)
}

impl Pipework {
    fn circuits<W: Workings>(&mut self, survey: &Survey, emitters: &Emitters, w: &mut W) -> Result<(), MethodError> {
        let before_pa = match self.arrangement.kind {
            Joined::Direct | Joined::AddedWater => self.primary.map_or(0.0, |primary| primary.drop_pa) + self.plant_pa,
            Joined::Separated => 0.0,
        };
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
                let drop_pa = runs_pa + end_pa + before_pa;
                self.circuits.push(Circuit { end, room, sections, end_pa, runs_pa, drop_pa });
            }
        }
        let greatest = self.circuits.iter().enumerate().max_by(|(_, a), (_, b)| a.drop_pa.total_cmp(&b.drop_pa));
        self.index_circuit = greatest.map(|(index, _)| index);
        Ok(())
    }

    /// Head that the pump of the system must give (kPa).
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
