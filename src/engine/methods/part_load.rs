//! A house on a day that is milder than the design day.

use super::error::MethodError;
use super::math::min;
use super::workings::Workings;
use crate::eq;

/// Part of the design load (0–1).
///
/// # Source
/// Common practice: losses go with the difference between inside and outside.
/// # Units
/// °C; result none.
/// # Validity
/// Outside between the design temperature and the inside one; gains are left out.
/// # Errors
/// [`MethodError::Impossible`] for an inside no warmer than the design outside temperature.
/// # Examples
/// ```
/// # use tundish_engine::methods::{part_load, Off};
/// assert_eq!(part_load::load_share(20.0, -4.0, 2.0, &mut Off)?, 0.75);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn load_share(inside_c: f64, design_c: f64, outside_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if inside_c <= design_c {
        return Err(MethodError::Impossible { reason: "a house is warmer inside than on its design day outside" });
    }
    eq!(w, TRADE_PRACTICE: load_share = (inside_c - outside_c) / (inside_c - design_c));
    Ok(load_share.clamp(0.0, 1.0))
}

/// Flow temperature on a milder day, by a straight heating curve.
///
/// # Source
/// Common practice: a straight line from the design day to water as warm as the rooms where nothing is needed.
/// # Units
/// °C; result °C.
/// # Validity
/// `load_share` from 0 to 1. Emitters whose output bends upward want somewhat warmer water between the ends.
/// # Examples
/// ```
/// # use tundish_engine::methods::{part_load, Off};
/// assert_eq!(part_load::flow_temperature(40.0, 20.0, 0.75, &mut Off), 35.0);
/// ```
pub fn flow_temperature(flow_c: f64, inside_c: f64, load_share: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: part_load_flow_c = inside_c + load_share * (flow_c - inside_c));
    part_load_flow_c
}

/// Part of what an emitter can give that a load takes (0–1).
///
/// # Source
/// Conservation of energy: it gives what is wanted, and no more than it can.
/// # Units
/// W; result none.
/// # Validity
/// `capacity_w` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{part_load, Off};
/// assert_eq!(part_load::part_taken(300.0, 400.0, &mut Off), 0.75);
/// assert_eq!(part_load::part_taken(500.0, 400.0, &mut Off), 1.0);
/// ```
pub fn part_taken(load_w: f64, capacity_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: part = min(load_w / capacity_w, 1.0));
    part
}

/// A part of a load or of an output.
///
/// # Source
/// Definition of the part.
/// # Units
/// A part (0–1), W or W/m²; result as that.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{part_load, Off};
/// assert_eq!(part_load::part_of(0.75, 400.0, &mut Off), 300.0);
/// ```
pub fn part_of(part: f64, whole: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: taken = part * whole);
    taken
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn the_ends_are_the_design_day_and_no_need() {
        assert!((load_share(21.0, -3.0, -3.0, &mut Off).unwrap() - 1.0).abs() < 1e-12);
        assert!(load_share(21.0, -3.0, 21.0, &mut Off).unwrap().abs() < 1e-12);
        assert!(load_share(21.0, -3.0, 25.0, &mut Off).unwrap().abs() < 1e-12);
        assert!(load_share(-3.0, -3.0, 2.0, &mut Off).is_err());
        assert!((flow_temperature(38.0, 21.0, 1.0, &mut Off) - 38.0).abs() < 1e-12);
        assert!((flow_temperature(38.0, 21.0, 0.0, &mut Off) - 21.0).abs() < 1e-12);
    }
}
