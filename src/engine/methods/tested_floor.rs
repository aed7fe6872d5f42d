//! Heated floors that were tested: their own published slopes and limits by covering.

use super::error::{MethodError, Range};
use super::math::pow;
use super::workings::Workings;
use crate::eq;
use crate::sources::DECLARED_DATA;

/// Slope of a tested floor under one covering.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// Resistance of the covering (m²K/W).
    pub covering_m2k_w: f64,
    /// Slope KH: output per kelvin of mean excess temperature (W/(m²K)).
    pub kh_w_m2k: f64,
}

/// Limit of a tested floor under one covering.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Resistance of the covering (m²K/W).
    pub covering_m2k_w: f64,
    /// Output at which the warmest spot is 9 K warmer than the room (W/m²).
    pub limit_w_m2: f64,
}

/// Where a covering lies among the rows: at the last of them, or from one row to the next.
enum Place {
    Last(usize),
    From(usize),
}

/// Finds the place of a covering; the rows must rise by it.
fn place(coverings_m2k_w: &[f64], covering_m2k_w: f64) -> Result<Place, MethodError> {
    let (Some(&min), Some(&max)) = (coverings_m2k_w.first(), coverings_m2k_w.last()) else {
        return Err(MethodError::Impossible { reason: "a tested floor needs a row at least" });
    };
    if !(min >= 0.0 && coverings_m2k_w.is_sorted_by(|a, b| a < b)) {
        return Err(MethodError::Impossible { reason: "the rows of a tested floor rise by their covering" });
    }
    Range { quantity: "covering_m2k_w", min, max, published: &DECLARED_DATA }.check(covering_m2k_w)?;
    let reached = coverings_m2k_w.partition_point(|&row| row <= covering_m2k_w);
    Ok(if reached == coverings_m2k_w.len() { Place::Last(reached - 1) } else { Place::From(reached - 1) })
}

/// Slope KH of a tested floor under a covering.
///
/// # Source
/// The floor's own published slopes, at its rows. Between them 1/KH is linear in the resistance of the covering, which
/// is ISO 11855-2, equation (A.33), for one heat transfer coefficient.
/// # Units
/// m²K/W, W/(m²K); result W/(m²K).
/// # Validity
/// From the first to the last row, at least one; coverings rise from row to row and slopes fall.
/// # Errors
/// [`MethodError::OutOfRange`] outside of the rows, [`MethodError::Impossible`] for none, or rows that do not rise and
/// fall.
/// # Examples
/// ```
/// # use tundish_engine::methods::{tested_floor::{self, Slope}, Off};
/// let row = |covering_m2k_w, kh_w_m2k| Slope { covering_m2k_w, kh_w_m2k };
/// let found = tested_floor::slope(&[row(0.0, 6.0), row(0.1, 3.0)], 0.05, &mut Off)?;
/// assert!((found - 4.0).abs() < 1e-12);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn slope(rows: &[Slope], covering_m2k_w: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    let coverings_m2k_w: Vec<f64> = rows.iter().map(|row| row.covering_m2k_w).collect();
    let place = place(&coverings_m2k_w, covering_m2k_w)?;
    if !(rows.is_sorted_by(|a, b| a.kh_w_m2k > b.kh_w_m2k) && rows.iter().all(|row| row.kh_w_m2k > 0.0)) {
        return Err(MethodError::Impossible { reason: "the slopes of a tested floor fall as its coverings rise" });
    }
    match place {
        Place::Last(row) => {
            let declared_w_m2k = rows[row].kh_w_m2k;
            eq!(w, DECLARED_DATA: kh_w_m2k = declared_w_m2k);
            Ok(kh_w_m2k)
        }
        Place::From(row) => {
            let Slope { covering_m2k_w: less_m2k_w, kh_w_m2k: less_w_m2k } = rows[row];
            let Slope { covering_m2k_w: more_m2k_w, kh_w_m2k: more_w_m2k } = rows[row + 1];
            eq!(w, ISO_11855_2 "eq. (A.33)": part = (covering_m2k_w - less_m2k_w) / (more_m2k_w - less_m2k_w));
            eq!(w, ISO_11855_2 "eq. (A.33)": kh_w_m2k = less_w_m2k / (1.0 + part * (less_w_m2k / more_w_m2k - 1.0)));
            Ok(kh_w_m2k)
        }
    }
}

/// Limit of a tested floor's output under a covering, at a limit of its surface.
///
/// # Source
/// The floor's own published limits, linear between its rows; qG goes with φ = ((θF,max − θi)/9)^1.1, for ΔθH,G/φ is
/// constant for a floor (EN 1264-2, limit curves).
/// # Units
/// m²K/W, °C; result W/m².
/// # Validity
/// From the first to the last row, at least one; coverings rise from row to row. The rows are published for 9 K, which
/// is 29 °C in a room at 20 °C.
/// # Errors
/// [`MethodError::OutOfRange`] outside of the rows, [`MethodError::Impossible`] for none, rows that do not rise, a limit
/// that is not above 0 or no warmer surface than the room.
/// # Examples
/// ```
/// # use tundish_engine::methods::{tested_floor::{self, Limit}, Off};
/// // 15 K at the edge of a room
/// let rows = [Limit { covering_m2k_w: 0.0, limit_w_m2: 94.7 }];
/// assert!((tested_floor::limit(&rows, 0.0, 35.0, 20.0, &mut Off)? - 166.1).abs() < 0.05);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn limit(
    rows: &[Limit],
    covering_m2k_w: f64,
    surface_limit_c: f64,
    room_c: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let coverings_m2k_w: Vec<f64> = rows.iter().map(|row| row.covering_m2k_w).collect();
    let place = place(&coverings_m2k_w, covering_m2k_w)?;
    if !(surface_limit_c > room_c && rows.iter().all(|row| row.limit_w_m2 > 0.0)) {
        return Err(MethodError::Impossible {
            reason: "a floor gives heat only where its surface may be warmer than the room",
        });
    }
    let declared_w_m2 = match place {
        Place::Last(row) => rows[row].limit_w_m2,
        Place::From(row) => {
            let Limit { covering_m2k_w: less_m2k_w, limit_w_m2: less_w_m2 } = rows[row];
            let Limit { covering_m2k_w: more_m2k_w, limit_w_m2: more_w_m2 } = rows[row + 1];
            eq!(w, DECLARED_DATA: part = (covering_m2k_w - less_m2k_w) / (more_m2k_w - less_m2k_w));
            eq!(w, DECLARED_DATA: declared_w_m2 = (1.0 - part) * less_w_m2 + part * more_w_m2);
            declared_w_m2
        }
    };
    eq!(w, EN_1264_2: phi = pow((surface_limit_c - room_c) / 9.0, 1.1));
    eq!(w, EN_1264_2: limit_w_m2 = phi * declared_w_m2);
    Ok(limit_w_m2)
}

/// Resistance from the water of a tested floor up to the room: an upper bound of that from its pipes, `Ro`.
///
/// # Source
/// The slope of the test itself; what a test does not tell apart, water and wall of the pipe among it, is counted up, so
/// that the heat downward comes out rather too great.
/// # Units
/// W/(m²K); result m²K/W.
/// # Validity
/// `kh_w_m2k` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{tested_floor, Off};
/// assert!((tested_floor::upward_resistance(4.0, &mut Off) - 0.25).abs() < 1e-12);
/// ```
pub fn upward_resistance(kh_w_m2k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, DECLARED_DATA: upward_m2k_w = 1.0 / kh_w_m2k);
    upward_m2k_w
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    const SLOPES: [Slope; 3] = [
        Slope { covering_m2k_w: 0.0, kh_w_m2k: 5.7 },
        Slope { covering_m2k_w: 0.07, kh_w_m2k: 3.9 },
        Slope { covering_m2k_w: 0.15, kh_w_m2k: 2.7 },
    ];
    const LIMITS: [Limit; 2] =
        [Limit { covering_m2k_w: 0.0, limit_w_m2: 91.3 }, Limit { covering_m2k_w: 0.1, limit_w_m2: 97.7 }];

    #[test]
    fn the_rows_come_back_as_declared() {
        for row in SLOPES {
            assert_eq!(slope(&SLOPES, row.covering_m2k_w, &mut Off), Ok(row.kh_w_m2k));
        }
        for row in LIMITS {
            assert_eq!(limit(&LIMITS, row.covering_m2k_w, 29.0, 20.0, &mut Off), Ok(row.limit_w_m2));
        }
        assert_eq!(slope(&SLOPES[1..2], 0.07, &mut Off), Ok(3.9));
    }

    #[test]
    fn between_rows_resistances_are_straight_and_limits_are() {
        let resistance_m2k_w = 1.0 / slope(&SLOPES, 0.11, &mut Off).unwrap();
        assert!((resistance_m2k_w - 0.5 * (1.0 / 3.9 + 1.0 / 2.7)).abs() < 1e-15);
        assert!((limit(&LIMITS, 0.05, 29.0, 20.0, &mut Off).unwrap() - 94.5).abs() < 1e-12);
        for thousandths in 0..150 {
            let at = |thousandths| slope(&SLOPES, f64::from(thousandths) / 1000.0, &mut Off).unwrap();
            assert!(at(thousandths + 1) < at(thousandths), "{thousandths}");
        }
    }

    #[test]
    fn refuses_what_the_rows_do_not_hold() {
        let fails = |rows: &[Slope], covering_m2k_w| slope(rows, covering_m2k_w, &mut Off).is_err();
        assert!(fails(&SLOPES, 0.151) && fails(&SLOPES[1..], 0.06) && fails(&SLOPES, f64::NAN) && fails(&[], 0.0));
        assert!(fails(&SLOPES[..1], 0.01), "one row holds at its covering alone");
        assert!(fails(&[SLOPES[1], SLOPES[0]], 0.05) && fails(&[SLOPES[0], SLOPES[0]], 0.0));
        let rising = Slope { covering_m2k_w: 0.2, kh_w_m2k: 2.8 };
        assert!(fails(&[SLOPES[2], rising], 0.16));
        assert!(
            fails(&[Slope { kh_w_m2k: 0.0, ..rising }], 0.2) && fails(&[Slope { kh_w_m2k: f64::NAN, ..rising }], 0.2)
        );
        assert!(fails(&[Slope { covering_m2k_w: -0.1, ..rising }, rising], 0.1));
        let fails = |rows: &[Limit], limit_c| limit(rows, 0.05, limit_c, 20.0, &mut Off).is_err();
        assert!(!fails(&LIMITS, 29.0) && fails(&LIMITS, 20.0) && fails(&LIMITS[..1], 29.0));
        assert!(fails(&[Limit { limit_w_m2: 0.0, ..LIMITS[0] }, LIMITS[1]], 29.0));
    }
}
