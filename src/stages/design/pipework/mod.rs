//! The pipes: flows, tube sizes at least cost, pressures, and how floor loops are cut.
//!
//! - `flows`: what flows where
//! - `ends`: emitters and loops at the ends of the tree
//! - `basis`: everything that tubes are chosen by, and the laying of what was chosen
//! - `asks`: what a run asks of its tube by what it leads to
//! - `options`: the tubes that a run may have, and the limits that they break
//! - `sizing`: all tubes together at least cost, and the handbook's rule beside it
//! - `laying`: all tubes as they are chosen and laid, and what follows from that
//! - `balancing`: settings of valves
//! - `network`: the tree as it is set, to be solved freely
//! - `needs`: flows and water that the heat source needs
//! - `mild_day`: what is left to it where thermostats have shut
//! - `left_open`: what stays open whatever they shut
//! - `ways`: the ways to join heat source and system, and what each costs
//! - `joining`: which of them is taken, which is decided with the tubes
//! - `section`: a run with its tube
//! - `judge`: what is said of its tube
//! - `hidden`: tubes that nobody can see
//! - `hot_water`: the circuit to the cylinder
//! - `circuits`: the ways from the plant to every end
//! - `coils`: loops cut from coils
//!
//! What the pumps do in these pipes is the next stage, [`hydraulics`](super::hydraulics), which also answers for both.

mod asks;
mod balancing;
mod basis;
mod cautions;
mod circuits;
mod coils;
mod ends;
mod findings;
mod flows;
mod hidden;
mod hot_water;
mod joining;
mod judge;
mod laying;
mod left_open;
mod mild_day;
mod needs;
mod network;
mod options;
mod pipe;
mod rows;
mod section;
mod sizing;
mod stage;
mod ways;

pub use balancing::{Setting, SettingOf};
pub use cautions::Caution;
pub use circuits::Circuit;
pub use coils::TubeCutting;
pub use ends::Loop;
pub use findings::{Unmet, Warning};
pub use hidden::{AsKnown, Delivered, DrivenBy, Hidden, WithPump};
pub use hot_water::HotWater;
pub use joining::{Joining, Parting, Reason};
pub use left_open::{LeftOpen, Open, OpenWhy};
pub use mild_day::Mild;
pub use needs::Needs;
pub use network::{FreeTree, Stand};
pub use options::{Candidate, Limit};
pub(in crate::design) use pipe::distinct_from_decimals;
pub use pipe::{Breaks, Pipe, SaidPipe};
pub use rows::{
    ChoiceRow, CircuitRow, CoilRow, HiddenPumpRow, HiddenRow, HotWaterCircuitRow, IndexLoopRow, SectionRow, SettingRow,
};
pub use section::Section;
pub use sizing::{Sizes, Verdict};
pub use ways::{Joined, Way};

pub(in crate::design) use ends::cooled_drop;
pub(in crate::design) use flows::{end_flow, flows, whole};
pub(in crate::design) use options::{bore, drop_of, velocity_limit};
pub(in crate::design) use rows::{code, serves};
pub(in crate::design) use ways::second_pump;

use super::DesignError;
use super::emitters::Emitters;
use super::source::Source;
use super::stage::Asked;
use super::units::kpa;
use crate::catalogue::offer::Tube;
use crate::list::{Index, List, indexed};
use crate::methods::{MethodError, Workings, friction, sums};
use crate::sources::{JOISTS, TRADE_PRACTICE};
use crate::survey::{EmitterAt, Run, Survey};
use laying::For;
use network::Piped;

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Pipework {
    /// Sections, in the order of the survey's runs.
    pub sections: List<Run, Section>,
    /// The circuit to the outdoor unit, where the job tells it.
    pub primary: Option<Section>,
    /// The hot-water circuit, where the job tells it.
    pub hot_water: Option<HotWater>,
    /// Circuits, one for each end that is served.
    pub circuits: List<Circuit>,
    /// Index of the circuit with the greatest pressure drop.
    pub index_circuit: Option<Index<Circuit>>,
    /// How heat source and system are joined, as far as it decides about tubes.
    pub joining: Joining,
    /// How tubes were chosen.
    pub sizes: Sizes,
    /// The tube of every candidate that sizes pick from, the primary before all runs.
    pub tubes: Vec<List<Candidate, Option<Index<Tube>>>>,
    /// The tube of the hot-water circuit behind each candidate of the primary, or the one.
    pub hot_water_tubes: List<Candidate, Option<Index<Tube>>>,
    /// Tubes that nobody can see.
    pub hidden: Vec<Hidden>,
    /// Loops of every floor.
    pub loops: Vec<Loop>,
    /// What valves are set to.
    pub settings: Vec<Setting>,
    /// How floor loops are cut.
    pub cuttings: Vec<TubeCutting>,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

impl Pipework {
    /// Flow of the whole system (l/h).
    #[must_use]
    pub fn flow_l_h(&self) -> f64 {
        self.joining.system_l_h
    }

    /// What pipes lose outside the heated rooms while the house is heated (W).
    #[must_use]
    pub fn pipe_loss_w(&self) -> f64 {
        let sections = self.primary.iter().chain(&self.sections);
        sections.map(|section| section.lost.outside_w).sum()
    }

    /// Head that the pump of the system must give (kPa).
    #[must_use]
    pub fn head_kpa(&self) -> f64 {
        self.index_circuit.map_or(0.0, |index| kpa(self.circuits[index].drop_pa))
    }

    /// Every run and circuit with what it is: the primary, the runs, the hot-water circuit.
    pub fn laid<'p>(&'p self, survey: &'p Survey) -> impl Iterator<Item = (Pipe, &'p Run, &'p Section)> {
        let pipes = &survey.pipes;
        let primary =
            pipes.primary.iter().zip(&self.primary).map(|(told, section)| (Pipe::Primary, &told.run, section));
        let runs = indexed(pipes.runs.iter().zip(&self.sections));
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
    asked: Asked<'_>,
    emitters: &Emitters,
    source: &Source,
    w: &mut W,
) -> Result<Pipework, DesignError> {
    let Asked { survey, budget, .. } = asked;
    let at = || DesignError::at("/pipework");
    let [heat, viscosity, _] = survey.heating.fluid.sources();
    // limits of velocity and what is usual round pipes are common practice
    for source in [heat, viscosity, &TRADE_PRACTICE] {
        w.cite(source);
    }
    if survey.pipes.runs.iter().any(|run| run.joists.is_some()) {
        w.cite(&JOISTS);
    }
    let density_kg_m3 = emitters.water.density_kg_m3;
    let flows_kg_s = flows(survey, |end| end_flow(survey, emitters, end));
    let whole_kg_s = whole(survey, &flows_kg_s);
    let mut to_flow = w.at(|| "/pipework/pump/flow_l_h".to_owned());
    let system_l_h = friction::volume_flow(whole_kg_s, density_kg_m3, &mut to_flow);
    drop(to_flow);
    let needs = Needs::compute(survey, emitters, source, w).map_err(DesignError::at("/plant"))?;
    let for_what = For { asked, emitters, source, flows_kg_s: &flows_kg_s, system_l_h };
    let (laying, joining) = joining::join(for_what, needs, w)?;
    let loud = balancing::loud(survey, &laying);
    let mut warnings = laying.warnings;
    warnings.extend(left_open::too_warm(survey, joining.open()));
    warnings.extend(loud);
    let found = Pipework {
        index_circuit: circuits::index(&laying.circuits),
        cuttings: coils::cut(survey, &laying.loops, budget).map_err(at())?,
        tubes: laying.tubes,
        hot_water_tubes: laying.hot_water_tubes,
        hidden: laying.hidden,
        sections: laying.sections,
        primary: laying.primary,
        hot_water: laying.hot_water,
        circuits: laying.circuits,
        joining,
        sizes: laying.sizes,
        loops: laying.loops,
        settings: laying.settings,
        unmet: laying.unmet,
        warnings,
    };
    let lost = found.primary.iter().chain(&found.sections).map(|section| section.lost.outside_w);
    sums::sum(lost, sums::and_w, &mut w.at(|| "/pipework/pipe_loss_w".to_owned()));
    Ok(found)
}

impl Pipework {
    /// The tree with those of its emitters that stand open, to be solved freely; plant room and primary are in it unless a
    /// separation parts them from the system. A tube that nobody can see takes what the design bears.
    ///
    /// # Errors
    /// Those of the methods that friction and valves are reckoned by.
    pub fn free_tree(
        &self,
        (survey, emitters): (&Survey, &Emitters),
        stand: Stand,
        is_open: impl Fn(EmitterAt) -> bool,
    ) -> Result<FreeTree, MethodError> {
        let has_before = !self.joining.is_separated();
        self.piped((survey, emitters), has_before, AsKnown::Greatest).free_tree(stand, is_open)
    }

    /// The same with every valve at the flow coefficient that it must have, in one circuit with the heat source or parted from it,
    /// whichever the design takes, and with its hidden tubes taken for either of two.
    ///
    /// # Errors
    /// As [`Self::free_tree`].
    pub fn tree_as_known(
        &self,
        (survey, emitters): (&Survey, &Emitters),
        (has_before, as_known): (bool, AsKnown),
        is_open: impl Fn(EmitterAt) -> bool,
    ) -> Result<FreeTree, MethodError> {
        self.piped((survey, emitters), has_before, as_known).free_tree(Stand::Exactly, is_open)
    }

    fn piped<'p>(
        &'p self,
        (survey, emitters): (&'p Survey, &'p Emitters),
        has_before: bool,
        as_known: AsKnown,
    ) -> Piped<'p> {
        Piped {
            survey,
            emitters,
            has_before,
            own: self.joining.own,
            primary: self.primary.as_ref(),
            sections: &self.sections,
            hidden: (&self.hidden, as_known),
            circuits: &self.circuits,
            loops: &self.loops,
            settings: &self.settings,
        }
    }
}
