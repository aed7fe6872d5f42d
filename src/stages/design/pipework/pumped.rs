//! The head of pumps along and beyond their curves.

use crate::design::source::Source;
use crate::methods::performance_map::pump_head;
use crate::methods::{MethodError, Off, Workings};
use crate::survey::{Survey, curve};

/// The heat source's own pump at a flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pumped {
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Head that it has there (kPa); nothing where no heat source is chosen.
    pub head_kpa: Option<f64>,
}

impl Pumped {
    /// The own pump of the chosen heat source.
    pub(super) fn of(
        survey: &Survey,
        source: &Source,
        flow_l_h: f64,
        w: &mut impl Workings,
    ) -> Result<Self, MethodError> {
        let head_kpa = match source.chosen {
            Some(chosen) => Some(available(&curve(&survey.offer.heat_sources[chosen].pump), flow_l_h, w)?),
            None => None,
        };
        Ok(Self { flow_l_h, head_kpa })
    }
}

/// Head of a pump at a flow (kPa): before the first point of its curve no less than there, behind the last one nothing.
pub(super) fn available(curve: &[(f64, f64)], flow_l_h: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    match (curve.first(), curve.last()) {
        (Some(first), _) if flow_l_h < first.0 => Ok(first.1),
        (_, Some(last)) if flow_l_h > last.0 => Ok(0.0),
        (Some(_) | None, _) => pump_head(curve, flow_l_h, w),
    }
}

/// Head of the strongest circulator of the price book at a flow (kPa); nothing where it has none.
pub(super) fn strongest_kpa(survey: &Survey, flow_l_h: f64) -> Result<Option<f64>, MethodError> {
    let pumps = survey.offer.circulators.iter();
    let each_kpa = pumps.map(|pump| available(&curve(&pump.pump), flow_l_h, &mut Off));
    each_kpa.reduce(|a, b| Ok(a?.max(b?))).transpose()
}
