//! Water that a heat source needs about it while it defrosts.

use super::error::MethodError;
use super::workings::Workings;
use crate::eq;

/// Heat that a litre of water takes for each kelvin (kWh/(l K)).
pub const WATER_KWH_LK: f64 = 1.163e-3;

/// Volume that gives the heat of a defrost while it cools by so much.
///
/// # Source
/// Energy balance. A litre of water takes 1.163 Wh a kelvin ([`WATER_KWH_LK`]); with antifreeze it is less, and more is needed.
/// # Units
/// kWh, K, kWh/(l K); result l.
/// # Validity
/// Water that flows through the unit whatever thermostats shut.
/// # Errors
/// [`MethodError::Impossible`] if the water may not cool.
/// # Examples
/// ```
/// # use tundish_engine::methods::{defrost, Off};
/// // 0.58 kWh over 10 K: 50 l
/// assert!((defrost::volume(0.58, 10.0, defrost::WATER_KWH_LK, &mut Off)? - 50.0).abs() < 0.2);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn volume(defrost_kwh: f64, cools_k: f64, heat_kwh_lk: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if !(cools_k > 0.0 && heat_kwh_lk > 0.0) {
        return Err(MethodError::Impossible { reason: "water gives no heat unless it cools" });
    }
    eq!(w, ENERGY_BALANCE: defrost_l = defrost_kwh / (heat_kwh_lk * cools_k));
    Ok(defrost_l)
}

/// Heat that a litre takes for each kelvin.
///
/// # Source
/// Density times specific heat; a kilowatt-hour is 3.6 MJ and a cubic metre 1,000 l.
/// # Units
/// kg/m³, J/(kgK); result kWh/(l K).
/// # Validity
/// Any liquid.
/// # Examples
/// ```
/// # use tundish_engine::methods::{defrost, Off};
/// // 1,000 kg/m³ of 4,186.8 J/(kgK): the 1.163 Wh of water
/// let water_kwh_lk = defrost::heat_of_litre(1000.0, 4186.8, &mut Off);
/// assert!((water_kwh_lk - defrost::WATER_KWH_LK).abs() < 1e-15);
/// ```
pub fn heat_of_litre(density_kg_m3: f64, specific_heat_j_kgk: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: heat_kwh_lk = density_kg_m3 * specific_heat_j_kgk / 3.6e9);
    heat_kwh_lk
}
