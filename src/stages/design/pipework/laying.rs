//! All tubes as they are chosen and laid, with the ways to every end and the settings of every valve.

use super::balancing::{self, Setting};
use super::basis::{Basis, Laid};
use super::circuits::{self, Circuit};
use super::ends::{self, Loop};
use super::hidden::Hidden;
use super::hot_water::{HotWater, HotWaterFlow};
use super::options::Candidate;
use super::section::Section;
use super::sizing::Sizes;
use super::{Unmet, Warning};
use crate::catalogue::offer::Tube;
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::own_pump::{At, OwnPump};
use crate::design::source::Source;
use crate::design::stage::Asked;
use crate::design::units::{flow_kg_s, kpa};
use crate::list::{Index, List};
use crate::methods::Workings;
use crate::survey::{EmitterAt, Run, Survey, curve};

/// What is laid, and all that follows from it.
pub(super) struct Laying<'l> {
    pub survey: &'l Survey,
    pub emitters: &'l Emitters,
    /// Whether a separation parts heat source and system.
    pub is_separated: bool,
    system_l_h: f64,
    pub own: OwnPump,
    /// The curve of that pump (l/h, kPa); nothing where no heat source is chosen.
    pub curve: Option<Vec<(f64, f64)>>,
    pub sizes: Sizes,
    pub primary: Option<Section>,
    pub sections: List<Run, Section>,
    pub hot_water: Option<HotWater>,
    pub hidden: Vec<Hidden>,
    pub tubes: Vec<List<Candidate, Option<Index<Tube>>>>,
    pub hot_water_tubes: List<Candidate, Option<Index<Tube>>>,
    pub circuits: List<Circuit>,
    pub loops: Vec<Loop>,
    pub settings: Vec<Setting>,
    pub unmet: Vec<Unmet>,
    pub warnings: Vec<Warning>,
}

/// What a laying is made for.
#[derive(Clone, Copy)]
pub(super) struct For<'f> {
    pub asked: Asked<'f>,
    pub emitters: &'f Emitters,
    pub source: &'f Source,
    /// Flow of every run (kg/s).
    pub flows_kg_s: &'f List<Run, f64>,
    /// Flow of the whole (l/h).
    pub system_l_h: f64,
}

impl<'l> Laying<'l> {
    /// Chooses and lays all tubes, for one circuit or behind a separation, with the heat source's own pump at a flow (l/h).
    pub(super) fn compute<W: Workings>(
        for_what: For<'l>,
        (is_separated, unit_l_h): (bool, f64),
        w: &mut W,
    ) -> Result<Self, DesignError> {
        let For { asked, emitters, source, flows_kg_s, system_l_h } = for_what;
        let survey = asked.survey;
        let at = || DesignError::at("/pipework");
        let density_kg_m3 = emitters.water.density_kg_m3;
        let unit_kg_s = flow_kg_s(unit_l_h, density_kg_m3);
        let basis = Basis::new((survey, asked.budget), emitters, source, (flows_kg_s.clone(), unit_kg_s))?;
        let own = OwnPump::compute(survey, source, At { flow_l_h: unit_l_h, density_kg_m3 }, w)?;
        let sizes = if is_separated {
            basis.behind_separation(&own, system_l_h).map_err(at())?
        } else {
            basis.in_one_circuit(&own).map_err(at())?
        };
        let Laid { primary, sections, hot_water, unmet, warnings } = basis.lay(&sizes, w)?;
        let before_pa = circuits::before_pa(is_separated, &own, primary.as_ref());
        let circuits = circuits::circuits(survey, emitters, &sections, before_pa, w).map_err(at())?;
        let loops = ends::loops(survey, emitters).map_err(at())?;
        Ok(Self {
            survey,
            emitters,
            is_separated,
            system_l_h,
            own,
            curve: source.reckoned().map(|chosen| curve(&survey.offer.heat_sources[chosen].pump)),
            tubes: basis.tubes(),
            hot_water_tubes: basis.hot_water.as_ref().map(HotWaterFlow::tubes).unwrap_or_default(),
            hidden: basis.hidden,
            sizes,
            primary,
            sections,
            hot_water,
            circuits,
            loops,
            settings: Vec::new(),
            unmet,
            warnings,
        })
    }

    /// The same with its valves set, those of what stays open as such valves are made.
    pub(super) fn set<W: Workings>(
        mut self,
        is_open: &impl Fn(EmitterAt) -> bool,
        w: &mut W,
    ) -> Result<Self, DesignError> {
        self.settings = balancing::settings(&self, is_open, w).map_err(DesignError::at("/pipework"))?;
        Ok(self)
    }

    /// Flow of the whole (l/h).
    pub(super) fn system_l_h(&self) -> f64 {
        self.system_l_h
    }

    /// Head of the index circuit (kPa).
    pub(super) fn head_kpa(&self) -> f64 {
        kpa(self.circuits.iter().map(|circuit| circuit.drop_pa).fold(0.0, f64::max))
    }

    /// Head of primary and plant room (kPa).
    pub(super) fn before_kpa(&self) -> f64 {
        kpa(self.primary.map_or(0.0, |primary| primary.drop_pa) + self.own.plant_pa)
    }
}
