//! Geometry of a tube: how wide it is inside, and what it holds.

use super::math::PI;
use super::workings::Workings;
use crate::eq;

/// Inside diameter of a tube.
///
/// # Source
/// Geometry of a tube.
/// # Units
/// m; result m.
/// # Validity
/// A wall as thick all round.
/// # Examples
/// ```
/// # use tundish_engine::methods::{tube, Off};
/// // 16 x 2 mm
/// assert!((tube::inside_diameter(0.016, 0.002, &mut Off) - 0.012).abs() < 1e-12);
/// ```
pub fn inside_diameter(outside_m: f64, wall_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: inside_m = outside_m - 2.0 * wall_m);
    inside_m
}

/// Water in a length of tube.
///
/// # Source
/// Geometry of a circular bore.
/// # Units
/// m; result l.
/// # Validity
/// Full tube.
/// # Examples
/// ```
/// # use tundish_engine::methods::{tube, Off};
/// // 12 mm hold 0.1131 l in a metre
/// assert!((tube::content_l(0.012, 1.0, &mut Off) - 0.1131).abs() < 5e-5);
/// ```
pub fn content_l(bore_m: f64, length_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: content_l = PI / 4.0 * bore_m * bore_m * length_m * 1000.0);
    content_l
}
