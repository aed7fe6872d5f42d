//! Lengths of routes that nobody has measured.

use super::math::sqrt;
use super::workings::Workings;
use crate::eq;

/// Way across a dwelling.
///
/// # Source
/// Common practice: the side of a square of the same area.
/// # Units
/// m²; result m.
/// # Validity
/// Dwellings that are not much longer than wide.
/// # Examples
/// ```
/// # use tundish_engine::methods::{routes, Off};
/// assert_eq!(routes::across(81.0, &mut Off), 9.0);
/// ```
pub fn across(area_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: across_m = sqrt(area_m2));
    across_m
}

/// Length of a route on the plan and over storeys.
///
/// # Source
/// Geometry: what it runs on the plan, and the height of every storey that it rises or falls.
/// # Units
/// m; result m.
/// # Validity
/// Risers that stand upright.
/// # Examples
/// ```
/// # use tundish_engine::methods::{routes, Off};
/// // 9 m on the plan and two storeys of 2.6 m
/// assert!((routes::length(9.0, 2.6, 2.0, &mut Off) - 14.2).abs() < 1e-12);
/// ```
pub fn length(plan_m: f64, storey_m: f64, storeys: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: route_m = plan_m + storey_m * storeys);
    route_m
}
