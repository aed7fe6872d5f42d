//! Holes and notches that a floor joist bears without being reckoned again.

use super::error::MethodError;
use super::math::min;
use super::workings::Workings;
use crate::eq;

/// Holes and notches that a joist may have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowed {
    /// Greatest diameter of a hole on the joist's middle line (mm).
    pub hole_mm: f64,
    /// Greatest depth of a notch in its upper edge (mm).
    pub notch_mm: f64,
}

/// Where along the span, from either support, holes may be, as shares of the span.
pub const HOLES_AT: (f64, f64) = (0.25, 0.4);
/// Where along the span, from either support, notches may be, as shares of the span.
pub const NOTCHES_AT: (f64, f64) = (0.07, 0.25);

/// Greatest hole of all, however deep the joist (mm).
pub const HOLE_MOST_MM: f64 = 65.0;
/// Greatest notch of all, however deep the joist (mm).
pub const NOTCH_MOST_MM: f64 = 35.0;
/// Depth above which an engineer says what a joist bears (mm): a housing warranty body's standards of 2020, 6.4.18.
pub const DEEPEST_MM: f64 = 250.0;
/// Least distance between a hole and a notch (mm).
pub const APART_MM: f64 = 100.0;

/// Greatest hole and notch by the depth of a joist.
///
/// # Source
/// Local Authority Building Control, notches and holes in solid timber joists (2018), on the span tables to Eurocode 5: a quarter
/// and an eighth of the depth, and no more than [`HOLE_MOST_MM`] and [`NOTCH_MOST_MM`]; its table prints 65 mm for joists of 275
/// and 300 mm, and 35 mm for 300 mm. Another body's standards (2020, 6.4.18, table 6) allow notches of 0.15 of the depth from 0.1
/// to 0.2 of the span in place of an eighth from 0.07 to 0.25: the smaller is held here.
/// # Units
/// mm.
/// # Validity
/// Solid softwood joists of 50 to 250 mm ([`DEEPEST_MM`]): above it an engineer decides, and what is told here is the most that
/// the table has. Holes and notches at [`HOLES_AT`] and [`NOTCHES_AT`]; holes three diameters apart, centre to centre, none within
/// [`APART_MM`] of a notch, notches in one edge and not in both; not in engineered or trimmer joists, which have data of their
/// own, nor near heavy loads as of partitions and cylinders.
/// # Errors
/// [`MethodError::Impossible`] for a depth that is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{joists, Off};
/// // 195 mm: a hole of 48 mm and a notch of 24 mm, so that a 28 mm tube is never notched
/// let allowed = joists::allowed(195.0, &mut Off)?;
/// assert_eq!((allowed.hole_mm.floor(), allowed.notch_mm.floor()), (48.0, 24.0));
/// // 300 mm: the most of the table, not a quarter and an eighth
/// let allowed = joists::allowed(300.0, &mut Off)?;
/// assert_eq!((allowed.hole_mm, allowed.notch_mm), (65.0, 35.0));
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn allowed(depth_mm: f64, w: &mut impl Workings) -> Result<Allowed, MethodError> {
    if depth_mm <= 0.0 || depth_mm.is_nan() {
        return Err(MethodError::Impossible { reason: "a joist needs a depth" });
    }
    eq!(w, JOISTS: hole_mm = min(0.25 * depth_mm, 65.0));
    eq!(w, JOISTS: notch_mm = min(0.125 * depth_mm, 35.0));
    Ok(Allowed { hole_mm, notch_mm })
}

/// Place along a joist, from its support.
///
/// # Source
/// As [`HOLES_AT`] and [`NOTCHES_AT`].
/// # Units
/// A share, m; result m.
/// # Validity
/// As there.
/// # Examples
/// ```
/// # use tundish_engine::methods::{joists, Off};
/// // holes from a quarter of 4 m
/// assert_eq!(joists::place(joists::HOLES_AT.0, 4.0, &mut Off), 1.0);
/// ```
pub fn place(share: f64, span_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, JOISTS: place_m = share * span_m);
    place_m
}
