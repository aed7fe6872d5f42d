//! A pump at another speed, by the laws of similarity: flow with the speed, head with its square, power with its cube.

use super::error::MethodError;
use super::math::sqrt;
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
/// Laws of similarity, solved for the speed: n² = H(Q, n)/H(Q/n, 1). The workings record it with the speed on both sides.
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
    let found_speed = found.at;
    eq!(w, PUMP_LAWS: full_flow_l_h = flow_l_h / found_speed);
    let full_kpa = pump_head(curve, full_flow_l_h, w)?;
    eq!(w, PUMP_LAWS: speed = sqrt(head_kpa / full_kpa));
    // what rounding leaves must not put the flow behind the end of the curve
    let speed = speed.clamp(slowest, 1.0);
    Ok(Speed { speed, residual_kpa: head_at(curve, flow_l_h, speed, &mut Off)? - head_kpa })
}

/// Imbalance of the head at which the search ends (kPa).
const TOLERANCE_KPA: f64 = 1e-9;

/// Electricity of a pump by its efficiency, where its data tell no power.
///
/// # Source
/// Definition of the efficiency: what the water takes, over what the pump takes.
/// # Units
/// W; result W.
/// # Validity
/// `efficiency` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pump_laws, Off};
/// // 12.5 W in the water at 25 %
/// assert_eq!(pump_laws::power_by_efficiency(12.5, 0.25, &mut Off), 50.0);
/// ```
pub fn power_by_efficiency(hydraulic_w: f64, efficiency: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: electric_w = hydraulic_w / efficiency);
    electric_w
}

/// How a pump runs, and what its electricity costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    /// Power that the water takes over that of the pump (0–1).
    pub efficiency: f64,
    /// Hours that it runs in a year (h).
    pub year_h: f64,
    /// Cost of a kilowatt-hour, in any currency.
    pub per_kwh: f64,
    /// Years that costs are added up over.
    pub years: f64,
}

/// What a pascal of head costs in electricity over a life.
///
/// # Source
/// Flow times pressure, over the efficiency, times hours and price.
/// # Units
/// l/h; result in the currency of the price, for each pascal.
/// # Validity
/// A pump that runs at one flow; no interest.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pump_laws::{self, Running}, Off};
/// // 1 m³/h at 1 kPa is 0.2778 W, 1.111 W at 25 %, in 4,000 h 4.444 kWh, in 15 years at 0.30 the kWh 20.00
/// let running = Running { efficiency: 0.25, year_h: 4000.0, per_kwh: 0.3, years: 15.0 };
/// assert!((1000.0 * pump_laws::life_costs(1000.0, running, &mut Off) - 20.0).abs() < 1e-9);
/// ```
pub fn life_costs(flow_l_h: f64, running: Running, w: &mut impl Workings) -> f64 {
    let Running { efficiency, year_h, per_kwh, years } = running;
    eq!(w, FLUID_MECHANICS: hydraulic_w_pa = flow_l_h / 3.6e6);
    eq!(w, ENERGY_BALANCE: year_kwh_pa = hydraulic_w_pa / efficiency * year_h / 1000.0);
    eq!(w, ENERGY_BALANCE: life_cost_pa = year_kwh_pa * per_kwh * years);
    life_cost_pa
}

/// What the electricity for a head costs over a life.
///
/// # Source
/// [`life_costs`], times the head.
/// # Units
/// Currency for each pascal, Pa; result in that currency.
/// # Validity
/// As there.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pump_laws, Off};
/// assert_eq!(pump_laws::cost_of_head(0.02, 15_000.0, &mut Off), 300.0);
/// ```
pub fn cost_of_head(life_cost_pa: f64, head_pa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: head_cost = life_cost_pa * head_pa);
    head_cost
}
