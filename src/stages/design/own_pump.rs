//! The heat source's own pump at the flow that it is held against, and the circulators on offer.

use super::DesignError;
use super::source::Source;
use crate::catalogue::offer::Circulator;
use crate::list::Index;
use crate::methods::performance_map::head_available;
use crate::methods::{MethodError, Off, Workings, fittings};
use crate::survey::{PlantKv, Survey, curve};

/// The heat source's own pump at a flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnPump {
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Pressure drop of the plant room at that flow (Pa).
    pub plant_pa: f64,
    /// Head that it has there (kPa); nothing where no heat source is chosen.
    pub head_kpa: Option<f64>,
}

/// Density of what flows and the pump's flow: what its figures are reckoned at.
#[derive(Debug, Clone, Copy)]
pub(super) struct At {
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Density (kg/m³).
    pub density_kg_m3: f64,
}

/// Pressure drop of the plant room (Pa) at a flow (l/h).
pub(super) fn plant_drop(
    survey: &Survey,
    flow_l_h: f64,
    density_kg_m3: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let kv_m3_h = match survey.pipes.plant_kv {
        PlantKv::Given(kv_m3_h) => kv_m3_h,
        PlantKv::ByFlow { least_m3_h, times } => fittings::plant_kv(least_m3_h, times, flow_l_h, w),
    };
    fittings::kv_drop(flow_l_h, kv_m3_h, density_kg_m3, w)
}

impl OwnPump {
    /// The own pump of the chosen heat source.
    pub(super) fn compute(
        survey: &Survey,
        source: &Source,
        at: At,
        w: &mut impl Workings,
    ) -> Result<Self, DesignError> {
        let At { flow_l_h, density_kg_m3 } = at;
        let plant_pa = {
            let mut w = w.at(|| "/pipework/plant_pressure_drop_pa".to_owned());
            plant_drop(survey, flow_l_h, density_kg_m3, &mut w).map_err(DesignError::at("/pipework"))?
        };
        let mut w = w.at(|| "/pipework/pump/own_head_kpa".to_owned());
        let head_kpa = own_head(survey, source, flow_l_h, &mut w).map_err(DesignError::at("/plant"))?;
        Ok(Self { flow_l_h, plant_pa, head_kpa })
    }

    /// Head that is left for primary, runs and ends behind the plant room (Pa); no end to it where no heat source is chosen.
    pub(super) fn left_pa(&self) -> f64 {
        self.head_kpa.map_or(f64::INFINITY, |own_kpa| 1000.0 * own_kpa - self.plant_pa)
    }
}

/// Head of the chosen heat source's own pump at a flow (kPa); nothing where none is chosen.
pub(super) fn own_head(
    survey: &Survey,
    source: &Source,
    flow_l_h: f64,
    w: &mut impl Workings,
) -> Result<Option<f64>, MethodError> {
    let pump = source.reckoned().map(|chosen| curve(&survey.offer.heat_sources[chosen].pump));
    pump.map(|pump| head_available(&pump, flow_l_h, w)).transpose()
}

/// The strongest circulator of the price book at a flow, with its head there (kPa), and of those alike the one with the most at rest;
/// nothing where it has none.
pub(super) fn strongest(survey: &Survey, flow_l_h: f64) -> Result<Option<(Index<Circulator>, f64)>, MethodError> {
    let mut found: Option<(Index<Circulator>, [f64; 2])> = None;
    for (index, circulator) in survey.offer.circulators.enumerate() {
        let pump = curve(&circulator.pump);
        let heads = [head_available(&pump, flow_l_h, &mut Off)?, head_available(&pump, 0.0, &mut Off)?];
        if found.is_none_or(|(_, most)| heads > most) {
            found = Some((index, heads));
        }
    }
    Ok(found.map(|(index, [head_kpa, _])| (index, head_kpa)))
}

/// Its head at a flow (kPa).
pub(super) fn strongest_kpa(survey: &Survey, flow_l_h: f64) -> Result<Option<f64>, MethodError> {
    Ok(strongest(survey, flow_l_h)?.map(|(_, head_kpa)| head_kpa))
}
