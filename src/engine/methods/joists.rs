//! Holes and notches that a floor joist bears without being reckoned again.

use super::error::MethodError;
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

/// Greatest hole and notch by the depth of a joist.
///
/// # Source
/// Guidance to building regulations on solid timber joists; its figures from memory, confirm.
/// # Units
/// mm.
/// # Validity
/// Solid softwood joists of 50 to 400 mm, holes and notches at [`HOLES_AT`] and [`NOTCHES_AT`]; neither where the other
/// is within 100 mm, nor in engineered or trimmer joists, which have data of their own.
/// # Errors
/// [`MethodError::Impossible`] for a depth that is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{joists, Off};
/// // 195 mm: a hole of 48 mm and a notch of 24 mm, so that a 28 mm tube is never notched
/// let allowed = joists::allowed(195.0, &mut Off)?;
/// assert_eq!((allowed.hole_mm.floor(), allowed.notch_mm.floor()), (48.0, 24.0));
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn allowed(depth_mm: f64, w: &mut impl Workings) -> Result<Allowed, MethodError> {
    if depth_mm <= 0.0 || depth_mm.is_nan() {
        return Err(MethodError::Impossible { reason: "a joist needs a depth" });
    }
    eq!(w, JOISTS: hole_mm = 0.25 * depth_mm);
    eq!(w, JOISTS: notch_mm = 0.125 * depth_mm);
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
