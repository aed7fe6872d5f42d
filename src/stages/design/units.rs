//! Exact conversions between the units of methods and of answers.

use crate::methods::{Off, friction, last_steps};

/// Mass flow as a volume flow at a density (l/h).
#[must_use]
pub fn flow_l_h(flow_kg_s: f64, density_kg_m3: f64) -> f64 {
    friction::volume_flow(flow_kg_s, density_kg_m3, &mut Off)
}

/// Volume flow as a mass flow at a density (kg/s).
#[must_use]
pub fn flow_kg_s(flow_l_h: f64, density_kg_m3: f64) -> f64 {
    flow_l_h * density_kg_m3 / 3_600_000.0
}

/// Metres as millimetres.
#[must_use]
pub fn mm(length_m: f64) -> f64 {
    length_m * 1000.0
}

/// Pascals as kilopascals.
#[must_use]
pub fn kpa(pressure_pa: f64) -> f64 {
    last_steps::kpa(pressure_pa, &mut Off)
}
