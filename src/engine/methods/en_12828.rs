//! Expansion vessel with a fixed gas charge, by EN 12828.
//!
//! The formulas are those of the standard's annex on expansion vessels, from memory; the pressures follow from
//! Boyle's law. Its table of expansion is not used: it disagrees with the density of water, which is exact.

use super::error::{MethodError, Range};
use super::math::max;
use super::workings::Workings;
use crate::eq;
use crate::sources::EN_12828;

/// Temperature at which a system is filled (°C).
pub const FILLING_C: f64 = 10.0;

/// Safety valves that [`final_pressure`] holds for, by their set pressure.
pub const SAFETY_VALVE: Range = Range { quantity: "safety_valve_bar", min: 1.0, max: 5.0, published: &EN_12828 };

/// Largest vessel that counts as small, and must hold a fifth of itself in reserve (l).
pub const SMALL_VESSEL_L: f64 = 15.0;

/// Pressures of a vessel, over the atmosphere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pressures {
    /// Gas charge of the empty vessel (bar).
    pub charge_bar: f64,
    /// Highest pressure of the system in use (bar).
    pub final_bar: f64,
}

/// What the gauge may show when a cold system is filled, over the atmosphere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillPressures {
    /// Least: the reserve is in the vessel (bar).
    pub least_bar: f64,
    /// Most: the hottest water just reaches the highest pressure (bar).
    pub most_bar: f64,
}

/// Share by which the content grows from filling to the highest temperature.
///
/// # Source
/// Conservation of mass, in place of the standard's table.
/// # Units
/// kg/m³; result without unit.
/// # Validity
/// Densities at [`FILLING_C`] and at the highest temperature of the *whole* system, at like pressure.
/// # Errors
/// [`MethodError::Impossible`] if a density is not above 0, or the hot fluid is denser than the cold one.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828, water::water, Off};
/// let (cold, hot) = (water(en_12828::FILLING_C)?, water(55.0)?);
/// let expansion = en_12828::expansion(cold.density_kg_m3, hot.density_kg_m3, &mut Off)?;
/// assert!((expansion - 0.01422).abs() < 5e-5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn expansion(cold_kg_m3: f64, hot_kg_m3: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if !(hot_kg_m3 > 0.0 && cold_kg_m3 >= hot_kg_m3) {
        return Err(MethodError::Impossible { reason: "the fluid must be lighter hot than at filling" });
    }
    eq!(w, ENERGY_BALANCE: expansion = cold_kg_m3 / hot_kg_m3 - 1.0);
    Ok(expansion)
}

/// Volume that the content grows by.
///
/// # Source
/// EN 12828, expansion volume.
/// # Units
/// l; result l.
/// # Validity
/// `expansion` as by [`expansion()`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828, Off};
/// assert!((en_12828::expansion_volume(150.0, 0.01422, &mut Off) - 2.133).abs() < 1e-3);
/// ```
pub fn expansion_volume(content_l: f64, expansion: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12828: expansion_volume_l = content_l * expansion);
    expansion_volume_l
}

/// Water that the cold vessel holds in reserve against losses.
///
/// # Source
/// EN 12828, water reserve: 0.5 % of the content, 3 l at least.
/// # Units
/// l; result l.
/// # Validity
/// For a vessel of at most [`SMALL_VESSEL_L`] the reserve is also a fifth of the vessel: [`suits`] sees to that.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828, Off};
/// assert_eq!(en_12828::reserve(150.0, &mut Off), 3.0);
/// assert_eq!(en_12828::reserve(1000.0, &mut Off), 5.0);
/// ```
pub fn reserve(content_l: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12828: reserve_l = max(0.005 * content_l, 3.0));
    reserve_l
}

/// Gas charge for a height of water above the vessel.
///
/// # Source
/// EN 12828, static height at 10 m a bar with 0.3 bar on top.
/// # Units
/// m; result bar, over the atmosphere.
/// # Validity
/// `static_height_m` is from the vessel to the highest point of the system, not below 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828, Off};
/// assert!((en_12828::charge_pressure(6.0, &mut Off) - 0.9).abs() < 1e-12);
/// ```
pub fn charge_pressure(static_height_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12828: charge_bar = static_height_m / 10.0 + 0.3);
    charge_bar
}

/// Pressure in what lies below the safety valve, when that opens.
///
/// # Source
/// Hydrostatics, with ten metres of water for a bar as [`charge_pressure`] has it.
/// # Units
/// bar, m; result bar.
/// # Validity
/// Water.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828, Off};
/// assert_eq!(en_12828::pressure_below(3.0, 6.0, &mut Off), 3.6);
/// ```
pub fn pressure_below(valve_bar: f64, below_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12828: pressure_bar = valve_bar + below_m / 10.0);
    pressure_bar
}

/// Highest pressure in use: below the safety valve by what it may not reach.
///
/// # Source
/// EN 12828, half a bar below a valve of at most 5 bar.
/// # Units
/// bar; result bar, over the atmosphere.
/// # Validity
/// [`SAFETY_VALVE`].
/// # Errors
/// [`MethodError::OutOfRange`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828, Off};
/// assert_eq!(en_12828::final_pressure(3.0, &mut Off)?, 2.5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn final_pressure(safety_valve_bar: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    SAFETY_VALVE.check(safety_valve_bar)?;
    eq!(w, EN_12828: final_bar = safety_valve_bar - 0.5);
    Ok(final_bar)
}

/// Least volume of the vessel.
///
/// # Source
/// EN 12828, (Ve + VWR)·(pe + 1)/(pe − p0).
/// # Units
/// l; result l.
/// # Validity
/// Gas that keeps its temperature.
/// # Errors
/// [`MethodError::Impossible`] if the charge is not below the highest pressure, or below the atmosphere.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828::{self, Pressures}, Off};
/// let pressures = Pressures { charge_bar: 1.0, final_bar: 2.5 };
/// assert!((en_12828::vessel_volume(2.133, 3.0, pressures, &mut Off)? - 11.98).abs() < 0.01);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn vessel_volume(
    expansion_volume_l: f64,
    reserve_l: f64,
    pressures: Pressures,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let Pressures { charge_bar, final_bar } = pressures.checked()?;
    eq!(w, EN_12828: vessel_l = (expansion_volume_l + reserve_l) * (final_bar + 1.0) / (final_bar - charge_bar));
    Ok(vessel_l)
}

/// Whether a vessel on offer is large enough, with the reserve that its own size asks for.
///
/// # Source
/// EN 12828: a vessel of at most [`SMALL_VESSEL_L`] holds a fifth of itself in reserve. As the reserve is never below
/// 3 l, which is a fifth of 15 l, the rule decides nothing unless a reserve below that is passed in.
/// # Units
/// l.
/// # Validity
/// As [`vessel_volume`].
/// # Errors
/// As [`vessel_volume`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828::{self, Pressures}, Off};
/// let pressures = Pressures { charge_bar: 0.9, final_bar: 2.5 };
/// assert!(en_12828::suits(12.0, 0.9236525, 3.0, pressures, &mut Off)?);
/// assert!(!en_12828::suits(8.0, 0.9236525, 3.0, pressures, &mut Off)?);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn suits(
    vessel_l: f64,
    expansion_volume_l: f64,
    reserve_l: f64,
    pressures: Pressures,
    w: &mut impl Workings,
) -> Result<bool, MethodError> {
    if vessel_l > SMALL_VESSEL_L {
        return Ok(vessel_volume(expansion_volume_l, reserve_l, pressures, w)? <= vessel_l);
    }
    eq!(w, EN_12828: small_vessel_reserve_l = max(reserve_l, 0.2 * vessel_l));
    Ok(vessel_volume(expansion_volume_l, small_vessel_reserve_l, pressures, w)? <= vessel_l)
}

/// Pressures between which a cold system is filled.
///
/// # Source
/// EN 12828, filling pressures (from memory); both are Boyle's law on the gas of the vessel.
/// # Units
/// l, bar; results bar, over the atmosphere.
/// # Validity
/// Gas that keeps its temperature; `vessel_l` is the vessel that is fitted. Where it is too small, least lies above
/// most.
/// # Errors
/// [`MethodError::Impossible`] as [`vessel_volume`], or if the vessel does not hold the reserve.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12828::{self, Pressures}, Off};
/// let fill = en_12828::fill_pressures(12.0, 0.92, 3.0, Pressures { charge_bar: 0.9, final_bar: 2.5 }, &mut Off)?;
/// assert!((fill.least_bar - 1.533).abs() < 0.001); // 1.9 · 12/9 − 1
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn fill_pressures(
    vessel_l: f64,
    expansion_volume_l: f64,
    reserve_l: f64,
    pressures: Pressures,
    w: &mut impl Workings,
) -> Result<FillPressures, MethodError> {
    let Pressures { charge_bar, final_bar } = pressures.checked()?;
    if vessel_l.is_nan() || vessel_l <= reserve_l {
        return Err(MethodError::Impossible { reason: "the vessel must be larger than the reserve in it" });
    }
    eq!(w, EN_12828: least_bar = (charge_bar + 1.0) * vessel_l / (vessel_l - reserve_l) - 1.0);
    eq!(w, EN_12828: most_bar = (final_bar + 1.0) / (1.0 + expansion_volume_l * (final_bar + 1.0) / (vessel_l * (charge_bar + 1.0))) - 1.0);
    Ok(FillPressures { least_bar, most_bar })
}

impl Pressures {
    /// Itself, if gas of that charge can take up water.
    fn checked(self) -> Result<Self, MethodError> {
        if self.charge_bar >= 0.0 && self.final_bar > self.charge_bar {
            return Ok(self);
        }
        Err(MethodError::Impossible { reason: "the safety valve is too low for this height of water" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    const PRESSURES: Pressures = Pressures { charge_bar: 1.0, final_bar: 2.5 };

    #[test]
    fn a_vessel_of_just_the_volume_needed_leaves_no_room_between_the_fill_pressures() {
        let vessel_l = vessel_volume(2.0, 3.0, PRESSURES, &mut Off).unwrap();
        let fill = fill_pressures(vessel_l, 2.0, 3.0, PRESSURES, &mut Off).unwrap();
        assert!((fill.least_bar - fill.most_bar).abs() < 1e-12, "{fill:?}");
        let roomy = fill_pressures(1.5 * vessel_l, 2.0, 3.0, PRESSURES, &mut Off).unwrap();
        assert!(roomy.least_bar < roomy.most_bar);
    }

    #[test]
    fn a_small_vessel_keeps_a_fifth_of_itself() {
        // needs (0.1 + 0.2·10)·3.5/1.5 = 4.9 l and (0.1 + 0.1)·3.5/1.5 = 0.47 l
        assert!(suits(10.0, 0.1, 0.1, PRESSURES, &mut Off).unwrap());
        assert!(!suits(10.0, 2.5, 0.1, PRESSURES, &mut Off).unwrap());
        assert!(suits(16.0, 2.5, 0.1, PRESSURES, &mut Off).unwrap());
    }

    #[test]
    fn refuses_what_cannot_be_filled() {
        assert!(vessel_volume(1.0, 3.0, Pressures { charge_bar: 2.5, final_bar: 2.5 }, &mut Off).is_err());
        assert!(final_pressure(6.0, &mut Off).is_err());
        assert!(expansion(980.0, 990.0, &mut Off).is_err());
    }
}
