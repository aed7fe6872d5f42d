//! What a heat source needs of the system: its flows, and the water about it.

use crate::catalogue::offer::HeatSource;
use crate::design::emitters::Emitters;
use crate::design::source::Source;
use crate::methods::fluid::Fluid;
use crate::methods::{MethodError, Off, Workings, defrost};
use crate::survey::Survey;

/// What a heat source needs; nothing where its data do not tell.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Needs {
    /// Least flow that it runs with (l/h).
    pub least_l_h: Option<f64>,
    /// Greatest flow that it bears (l/h): by its data, or what its pump gives with nothing before it.
    pub most_l_h: Option<f64>,
    /// Water that is always open to it (l).
    pub water_l: Option<f64>,
    /// Whether that is what a defrost cools, and not what its data tell.
    pub is_by_defrost: bool,
    /// Water in it (l).
    pub unit_l: f64,
}

impl Needs {
    pub(super) fn compute<W: Workings>(
        survey: &Survey,
        emitters: &Emitters,
        source: &Source,
        w: &mut W,
    ) -> Result<Self, MethodError> {
        let Some(unit) = source.reckoned().map(|chosen| &survey.offer.heat_sources[chosen]) else {
            return Ok(Self::default());
        };
        let by_defrost_l = by_defrost(survey, emitters, unit, w)?;
        let water_l = [by_defrost_l, unit.minimum_water_l].into_iter().flatten().reduce(f64::max);
        let last_l_h = unit.pump.last().map(|point| point.flow_l_h);
        Ok(Self {
            least_l_h: unit.minimum_flow_l_h,
            most_l_h: [unit.maximum_flow_l_h, last_l_h].into_iter().flatten().reduce(f64::min),
            water_l,
            is_by_defrost: by_defrost_l.is_some() && by_defrost_l == water_l,
            unit_l: unit.water_l,
        })
    }

    /// Whether a flow is enough (l/h).
    pub(super) fn flow_holds(&self, flow_l_h: f64) -> bool {
        self.least_l_h.is_none_or(|least_l_h| flow_l_h >= least_l_h)
    }

    /// Whether water is enough (l).
    pub(super) fn water_holds(&self, water_l: f64) -> bool {
        self.water_l.is_none_or(|needed_l| water_l >= needed_l)
    }

    /// What is wanting beside so much water (l).
    pub(super) fn wanting_l(&self, water_l: f64) -> f64 {
        self.water_l.map_or(0.0, |needed_l| (needed_l - water_l).max(0.0))
    }
}

/// Water that a defrost cools (l).
fn by_defrost<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    unit: &HeatSource,
    w: &mut W,
) -> Result<Option<f64>, MethodError> {
    let Some(defrost_kwh) = unit.defrost_kwh else { return Ok(None) };
    let mut w = w.at(|| "/pipework/arrangement/needed_water_l".to_owned());
    let heat_kwh_lk = match survey.heating.fluid {
        Fluid::Water => defrost::WATER_KWH_LK,
        Fluid::Glycol(..) => {
            let water = &emitters.water;
            defrost::heat_of_litre(water.density_kg_m3, water.specific_heat_j_kgk, &mut Off)
        }
    };
    defrost::volume(defrost_kwh, survey.defaults.defrost_cools_k.value, heat_kwh_lk, &mut w).map(Some)
}
