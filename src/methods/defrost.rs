//! Water that a heat source needs about it while it defrosts.

use super::error::MethodError;
use super::workings::Workings;
use crate::eq;

/// Volume that gives the heat of a defrost while it cools by so much.
///
/// # Source
/// Energy balance: 1.163 Wh warm a litre of water by a kelvin.
/// # Units
/// kWh, K; result l.
/// # Validity
/// Water that flows through the unit whatever thermostats shut.
/// # Errors
/// [`MethodError::Impossible`] if the water may not cool.
/// # Examples
/// ```
/// # use tundish::methods::{defrost, Off};
/// // 0.58 kWh over 10 K: 50 l
/// assert!((defrost::volume(0.58, 10.0, &mut Off)? - 50.0).abs() < 0.2);
/// # Ok::<(), tundish::methods::MethodError>(())
/// ```
pub fn volume(defrost_kwh: f64, cools_k: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if cools_k <= 0.0 || cools_k.is_nan() {
        return Err(MethodError::Impossible { reason: "water gives no heat unless it cools" });
    }
    eq!(w, ENERGY_BALANCE: defrost_l = defrost_kwh / (1.163e-3 * cools_k));
    Ok(defrost_l)
}
