//! A pump at another speed, by the laws of similarity: flow with the speed, head with its square, power with its cube.

use super::error::MethodError;
use super::performance_map::pump_head;
use super::root;
use super::workings::{Off, Workings};
use crate::eq;

/// A pump turned down until it gives a duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speed {
    /// Speed as a share of the full speed that the curve belongs to (0–1).
    pub speed: f64,
    /// Head that it gives there less the head of the duty (kPa): what the search left over.
    pub residual_kpa: f64,
}

/// Power that the water takes.
///
/// # Source
/// Flow times pressure.
/// # Units
/// l/h, kPa; result W.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pump_laws, Off};
/// // 1.2 m³/h at 4 m of water of 988 kg/m³
/// assert!((pump_laws::hydraulic_power(1200.0, 988.0 * 9.80665 * 4.0 / 1000.0, &mut Off) - 12.92).abs() < 0.01);
/// ```
pub fn hydraulic_power(flow_l_h: f64, head_kpa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: hydraulic_w = flow_l_h / 3600.0 * head_kpa);
    hydraulic_w
}

/// Share of the hydraulic power that is left on one system when its flow is a share of what it was.
///
/// # Source
/// Laws of similarity: the speed goes with the flow, the power with its cube.
/// # Units
/// Shares; result a share.
/// # Validity
/// A system whose drop goes with the square of the flow.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pump_laws, Off};
/// // 1,300 of 2,000 l/h: 65 % speed, 27 % power
/// assert!((pump_laws::power_share(1300.0 / 2000.0, &mut Off) - 0.2746).abs() < 1e-4);
/// ```
pub fn power_share(speed: f64, w: &mut impl Workings) -> f64 {
    eq!(w, PUMP_LAWS: power_share = speed * speed * speed);
    power_share
}

/// Power of a pump at a share of its full speed, by the points of its power at full speed.
///
/// # Source
/// Laws of similarity: P(Q, n) = n³·P(Q/n, 1).
/// # Units
/// l/h, W; result W.
/// # Validity
/// Where Q/n lies on the curve; motors lose a larger share at low speed, so that small duties take somewhat more.
/// # Errors
/// As [`pump_head`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{pump_laws, Off};
/// let power = [(0.0, 20.0), (2000.0, 60.0)];
/// assert_eq!(pump_laws::power_at(&power, 500.0, 0.5, &mut Off)?, 5.0);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn power_at(curve: &[(f64, f64)], flow_l_h: f64, speed: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    let full_w = pump_head(curve, flow_l_h / speed, &mut Off)?;
    let share = power_share(speed, w);
    eq!(w, PUMP_LAWS: electric_w = share * full_w);
    Ok(electric_w)
}

/// Head of a pump at a share of its full speed.
///
/// # Source
/// Laws of similarity: H(Q, n) = n²·H(Q/n, 1).
/// # Units
/// l/h, kPa; result kPa.
/// # Validity
/// Where Q/n lies on the curve.
/// # Errors
/// As [`pump_head`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{pump_laws, Off};
/// let curve = [(0.0, 60.0), (2000.0, 20.0)];
/// // at half speed a quarter of the head at half the flow
/// assert_eq!(pump_laws::head_at(&curve, 500.0, 0.5, &mut Off)?, 10.0);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn head_at(curve: &[(f64, f64)], flow_l_h: f64, speed: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    let full_kpa = pump_head(curve, flow_l_h / speed, w)?;
    eq!(w, PUMP_LAWS: head_kpa = speed * speed * full_kpa);
    Ok(head_kpa)
}

/// Speed at which a pump gives a duty.
///
/// # Source
/// Laws of similarity, solved for the speed.
/// # Units
/// l/h, kPa.
/// # Validity
/// A duty below the curve, and not so far to its right that even full speed leaves the curve.
/// # Errors
/// [`MethodError::Impossible`] if the pump is not strong enough at full speed, or where the duty lies beyond the curve's
/// last flow at every speed that would give it; [`MethodError::NotConverged`] should the search not settle.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pump_laws, Off};
/// let curve = [(0.0, 60.0), (2000.0, 20.0)];
/// let found = pump_laws::speed_for(&curve, 500.0, 10.0, &mut Off)?;
/// assert!((found.speed - 0.5).abs() < 1e-9);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn speed_for(
    curve: &[(f64, f64)],
    flow_l_h: f64,
    head_kpa: f64,
    w: &mut impl Workings,
) -> Result<Speed, MethodError> {
    if !(flow_l_h >= 0.0 && head_kpa > 0.0) {
        return Err(MethodError::Impossible { reason: "a pump's duty is a head at a flow" });
    }
    let last_l_h = curve.last().map_or(0.0, |point| point.0);
    // a hair above, so that rounding does not put the flow behind the end of the curve
    let slowest = (flow_l_h / last_l_h * (1.0 + 1e-12)).max(1e-3);
    let over = |speed: f64| head_at(curve, flow_l_h, speed, &mut Off).map(|found_kpa| found_kpa - head_kpa);
    if slowest > 1.0 || over(1.0)? < 0.0 {
        return Err(MethodError::Impossible { reason: "the pump does not reach the duty at full speed" });
    }
    if over(slowest)? > TOLERANCE_KPA {
        return Err(MethodError::Impossible {
            reason: "at the speed of this duty the flow lies beyond the pump's curve",
        });
    }
    // the head rises with the speed: on a falling curve both its factors do
    let found = root::between("the pump's speed", (slowest, 1.0), TOLERANCE_KPA, over)?;
    let found_kpa = head_at(curve, flow_l_h, found.at, w)?;
    Ok(Speed { speed: found.at, residual_kpa: found_kpa - head_kpa })
}

/// Imbalance of the head at which the search ends (kPa).
const TOLERANCE_KPA: f64 = 1e-9;
