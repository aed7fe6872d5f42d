//! What a tube carried in the system that it was laid for.

use super::math::PI;
use super::workings::Workings;
use crate::eq;

/// Radiators that a tube carried in the system that it was laid for.
///
/// # Source
/// Conservation of energy: the flow of the tube over that of one radiator, rounded down.
/// # Units
/// mm, m/s, K, W; result a number, one at least.
/// # Validity
/// Water, radiators much alike.
/// # Examples
/// ```
/// # use tundish_engine::methods::{old_tube, Off};
/// // at 1 m/s, 11 K and 1.5 kW each: 15 mm four, 22 mm nine
/// assert_eq!(old_tube::radiators_carried(13.6, 1.0, 11.0, 1500.0, &mut Off), 4.0);
/// assert_eq!(old_tube::radiators_carried(20.2, 1.0, 11.0, 1500.0, &mut Off), 9.0);
/// ```
pub fn radiators_carried(bore_mm: f64, velocity_m_s: f64, drop_k: f64, radiator_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: tube_l_h = 0.9 * PI * bore_mm * bore_mm * velocity_m_s);
    eq!(w, TRADE_PRACTICE: radiators = 1.163 * tube_l_h * drop_k / radiator_w);
    radiators.floor().max(1.0)
}
