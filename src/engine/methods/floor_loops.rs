//! How the tube of a heated floor is divided into loops.

use super::error::MethodError;
use super::workings::Workings;
use crate::eq;

/// Most loops that one floor may be divided into.
pub const MOST_LOOPS: u32 = 200;

/// Loops of one floor, all of the same length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loops {
    /// How many.
    pub count: u32,
    /// Length of each, tails included (m).
    pub length_m: f64,
}

/// The fewest loops of equal length that lay a floor, and no fewer than asked.
///
/// # Source
/// Common practice: tube in the field is area over spacing; each loop has a tail to the manifold and one back, and
/// is one piece without a joint.
/// # Units
/// m², m.
/// # Validity
/// Loops of one floor share the field evenly.
/// # Errors
/// [`MethodError::Impossible`] if the tails alone are as long as a loop may be, or more than [`MOST_LOOPS`] are needed.
/// # Examples
/// ```
/// # use tundish_engine::methods::{floor_loops, Off};
/// let loops = floor_loops::divide(28.6, 0.25, 3.0, 100.0, 1, &mut Off)?;
/// assert_eq!(loops.count, 2);
/// assert!((loops.length_m - 63.2).abs() < 1e-9);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn divide(
    area_m2: f64,
    spacing_m: f64,
    tail_m: f64,
    loop_max_m: f64,
    least: u32,
    w: &mut impl Workings,
) -> Result<Loops, MethodError> {
    if !(area_m2 > 0.0 && spacing_m > 0.0 && loop_max_m > 2.0 * tail_m) {
        return Err(MethodError::Impossible { reason: "the tails alone are as long as a loop may be" });
    }
    let fits = |count: &u32| area_m2 / spacing_m / f64::from(*count) + 2.0 * tail_m <= loop_max_m * (1.0 + 1e-12);
    let count = (least.max(1)..=MOST_LOOPS)
        .find(fits)
        .ok_or(MethodError::Impossible { reason: "one floor would need more than 200 loops" })?;
    let loops = f64::from(count);
    eq!(w, TRADE_PRACTICE: length_m = area_m2 / spacing_m / loops + 2.0 * tail_m);
    Ok(Loops { count, length_m })
}

/// Flow of each of so many equal loops.
///
/// # Source
/// Conservation of mass.
/// # Units
/// kg/s; result kg/s.
/// # Validity
/// Loops of one length and one tube.
/// # Examples
/// ```
/// # use tundish_engine::methods::{floor_loops, Off};
/// assert_eq!(floor_loops::flow_of_each(0.06, 3.0, &mut Off), 0.02);
/// ```
pub fn flow_of_each(whole_kg_s: f64, loops: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: each_kg_s = whole_kg_s / loops);
    each_kg_s
}

/// Flow of each of a zone's loops, where the flow of the floor is shared out by area.
///
/// # Source
/// Common practice: heat, and so the flow, goes with the area.
/// # Units
/// kg/s, m², m²; result kg/s.
/// # Validity
/// Zones that give or take about as much for each square metre.
/// # Examples
/// ```
/// # use tundish_engine::methods::{floor_loops, Off};
/// // 15 of 20 m² take 0.06 of 0.08 kg/s, in 3 loops
/// assert!((floor_loops::flow_by_area(0.08, 15.0, 20.0, 3.0, &mut Off) - 0.02).abs() < 1e-15);
/// ```
pub fn flow_by_area(whole_kg_s: f64, zone_m2: f64, floor_m2: f64, loops: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: each_kg_s = whole_kg_s * zone_m2 / floor_m2 / loops);
    each_kg_s
}

/// Strip of floor that the lines of so many loops warm, one way.
///
/// # Source
/// Geometry: lines that lie side by side.
/// # Units
/// m, m; result m².
/// # Validity
/// Lines as far apart as told all along.
/// # Examples
/// ```
/// # use tundish_engine::methods::{floor_loops, Off};
/// // 4 m of 2 loops, 50 mm apart
/// assert!((floor_loops::strip(4.0, 0.05, 2.0, &mut Off) - 0.4).abs() < 1e-12);
/// ```
pub fn strip(length_m: f64, apart_m: f64, loops: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: strip_m2 = length_m * apart_m * loops);
    strip_m2
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn no_loop_is_too_long_and_one_fewer_would_be() {
        for area_m2 in [3.0, 12.0, 28.6, 75.0] {
            let loops = divide(area_m2, 0.15, 4.0, 90.0, 1, &mut Off).unwrap();
            assert!(loops.length_m <= 90.0);
            if loops.count > 1 {
                assert!(area_m2 / 0.15 / f64::from(loops.count - 1) + 8.0 > 90.0);
            }
        }
        assert_eq!(divide(12.0, 0.15, 4.0, 90.0, 3, &mut Off).unwrap().count, 3);
        assert!(divide(10.0, 0.15, 45.0, 90.0, 1, &mut Off).is_err());
    }
}
