//! Lengths of routes that nobody has drawn, and how a tree of them is made up.

use super::math::sqrt;
use super::workings::Workings;
use crate::eq;

/// Routes of one storey, from its riser to the emitters on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OfStorey {
    /// One of the pieces, one more than there are emitters, that the trunk is cut into (m).
    pub piece_m: f64,
    /// One of the branches, which leave the trunk between its pieces (m).
    pub branch_m: f64,
    /// All of it (m).
    pub route_m: f64,
}

/// Routes of a storey of which only floor area and number of emitters are known: a trunk along the longer side, and branches that
/// leave it alternately to either side and share what is left in equal parts.
///
/// # Source
/// Practice of the heating trade, fitted on seven layouts as they were drawn: each within 14 %, 3 % in sum.
/// # Units
/// m²; result m of route, which flow and return double.
/// # Validity
/// Plans that are not much longer than wide (others: [`narrow`]), 30 % either way; one emitter at least.
/// # Examples
/// ```
/// # use tundish_engine::methods::{routes, Off};
/// // five radiators on 45.36 m²
/// let storey = routes::of_storey(45.36, 5.0, &mut Off);
/// assert!((storey.route_m - 21.523).abs() < 1e-3);
/// assert!((6.0 * storey.piece_m + 5.0 * storey.branch_m - storey.route_m).abs() < 1e-12);
/// ```
pub fn of_storey(area_m2: f64, emitters: f64, w: &mut impl Workings) -> OfStorey {
    eq!(w, TRADE_PRACTICE: route_m = 0.85 * sqrt((emitters + 1.0) * area_m2) + 1.5 * emitters);
    eq!(w, TRADE_PRACTICE: trunk_m = 0.83 * sqrt(area_m2));
    eq!(w, TRADE_PRACTICE: piece_m = trunk_m / (emitters + 1.0));
    eq!(w, TRADE_PRACTICE: branch_m = (route_m - trunk_m) / emitters);
    OfStorey { piece_m, branch_m, route_m }
}

/// Route to a manifold whose place is not known, from the riser of its storey.
///
/// # Source
/// Practice of the heating trade, fitted as [`of_storey`] is.
/// # Units
/// m²; result m.
/// # Validity
/// As [`of_storey`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{routes, Off};
/// assert_eq!(routes::to_manifold(64.0, &mut Off), 3.5);
/// ```
pub fn to_manifold(area_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: to_manifold_m = 0.25 * sqrt(area_m2) + 1.5);
    to_manifold_m
}

/// What a route of a storey by its area comes to where the plan is long and narrow.
///
/// # Source
/// Practice of the heating trade.
/// # Units
/// m; result m.
/// # Validity
/// As [`of_storey`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{routes, Off};
/// assert!((routes::narrow(20.0, &mut Off) - 23.0).abs() < 1e-12);
/// ```
pub fn narrow(wide_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: narrow_m = 1.15 * wide_m);
    narrow_m
}

/// Length of a plan over its width, by its longer side and its area.
///
/// # Source
/// Geometry.
/// # Units
/// m, m²; result a ratio.
/// # Validity
/// Rectangles.
/// # Examples
/// ```
/// # use tundish_engine::methods::{routes, Off};
/// assert_eq!(routes::length_over_width(12.0, 48.0, &mut Off), 3.0);
/// ```
pub fn length_over_width(side_m: f64, area_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: length_over_width = side_m * side_m / area_m2);
    length_over_width
}

/// What an end takes beside its way on the plan: from the pipes under the floor to its valves.
///
/// # Source
/// Practice of the heating trade.
/// # Units
/// m; result m.
/// # Validity
/// Emitters and manifolds whose room's middle stands for their place.
/// # Examples
/// ```
/// # use tundish_engine::methods::{routes, Off};
/// assert_eq!(routes::to_end(3.2, &mut Off), 4.7);
/// ```
pub fn to_end(plan_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: to_end_m = plan_m + 1.5);
    to_end_m
}

/// Length of a route on the plan and over storeys.
///
/// # Source
/// Geometry: what it runs on the plan, and the height of the storeys that it rises or falls.
/// # Units
/// m; result m.
/// # Validity
/// Risers that stand upright.
/// # Examples
/// ```
/// # use tundish_engine::methods::{routes, Off};
/// // 9 m on the plan and two storeys of 2.6 m
/// assert!((routes::length(9.0, 5.2, &mut Off) - 14.2).abs() < 1e-12);
/// ```
pub fn length(plan_m: f64, rise_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: route_m = plan_m + rise_m);
    route_m
}
