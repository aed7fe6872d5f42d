//! Heat that passes an open door between two rooms.

use super::math::pow;
use super::workings::Workings;
use crate::eq;

/// What a door passes at a difference of 1 K (W).
pub const AT_ONE_KELVIN_W: f64 = 100.0;

/// What one door is counted on to pass at most (W): at some 3 K.
pub const MOST_W: f64 = 500.0;

/// Difference of temperature at which an open door of 0.8 × 2.0 m passes a load.
///
/// # Source
/// Air flows out above and in below through a large opening: V̇ = (Cd/3)·A·√(g·H·Δθ/T), so that the heat goes with Δθ to 3/2.
/// With Cd 0.6, A 1.6 m², H 2.0 m, T 293 K and air of 1.2 kg/m³ and 1,006 J/(kgK) it is 100 W at 1 K (common practice of building
/// physics; derived, no document).
/// # Units
/// W; result K.
/// # Validity
/// A door that stands open, no draught, up to [`MOST_W`]; below 0 nothing is lost, and the rooms are as warm as each other.
/// # Examples
/// ```
/// # use tundish_engine::methods::{open_door, Off};
/// // 101, 287 and 527 W at 1, 2 and 3 K
/// for (load_w, difference_k) in [(101.0, 1.0), (287.0, 2.0), (527.0, 3.0)] {
///     assert!((open_door::difference(load_w, &mut Off) - difference_k).abs() < 0.03);
/// }
/// assert_eq!(open_door::difference(0.0, &mut Off), 0.0);
/// ```
pub fn difference(load_w: f64, w: &mut impl Workings) -> f64 {
    if load_w <= 0.0 {
        return 0.0;
    }
    let at_one_kelvin_w = AT_ONE_KELVIN_W;
    eq!(w, TRADE_PRACTICE: difference_k = pow(load_w / at_one_kelvin_w, 2.0 / 3.0));
    difference_k
}

/// Temperature at which a room stands that nothing heats, its neighbours as warm as they are designed for.
///
/// # Source
/// Steady state: what a room loses goes with its own temperature.
/// # Units
/// °C, W, W/K; result °C.
/// # Validity
/// A room that loses more the warmer it is.
/// # Examples
/// ```
/// # use tundish_engine::methods::{open_door, Off};
/// // 200 W at 18 °C, 20 W more for each kelvin
/// assert_eq!(open_door::balance(18.0, 200.0, 20.0, &mut Off), 8.0);
/// ```
pub fn balance(inside_c: f64, loss_w: f64, loss_w_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: balance_c = inside_c - loss_w / loss_w_k);
    balance_c
}
