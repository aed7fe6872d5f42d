//! Where the warmest spot of a floor of type A reaches its limit, by EN 1264-2.

use super::{COVER_RESISTANCE, COVER_TO_SPACING, SPACING, THIN_COVER_M2K_W, TypeA, WIDEST_M, tables};
use crate::eq;
use crate::methods::error::MethodError;
use crate::methods::math::{exp, min, pow};
use crate::methods::workings::Workings;

/// Where the warmest spot of a floor reaches its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Conversion φ to a temperature difference other than 9 K.
    pub phi: f64,
    /// Coefficient BG (W/m²).
    pub bg_w_m2: f64,
    /// Exponent nG.
    pub ng: f64,
    /// Mean excess temperature at the limit ΔθH,G (K).
    pub excess_k: f64,
    /// Output at the limit qG (W/m²).
    pub limit_w_m2: f64,
}

/// Limit of a floor's output, set by its warmest spot.
///
/// # Source
/// EN 1264-2, limit curves: qG = φ·BG·(ΔθH,G/φ)^nG and ΔθH,G = φ·(BG/KH)^(1/(1 − nG)), tables A.4 and A.6 for a cover
/// of up to 0.0792 m²K/W, tables A.5 and A.7 above. Beyond [`WIDEST_M`] qG and ΔθH,G are those of 0.375 m, qG times
/// 0.375/T, both times fG: 1 while su/T ≤ 0.173, otherwise so that qG nears that of an even surface, φ · 100 W/m². That
/// ΔθH,G takes fG follows from qG = KH·ΔθH,G; an open Modelica library of building simulation and
/// an open file of the functions of ISO 11855-2 (A.20, A.22 to A.24) have the same φ, fG and ΔθH,G, the former qG,max as
/// 8.92·(θF,max − θi)^1.1, which is φ · 100 W/m² within 0.01 %.
/// # Units
/// W/(m²K), °C; result W/m² and K.
/// # Validity
/// [`SPACING`]; [`COVER_RESISTANCE`]; above 0.0792 m²K/W [`COVER_TO_SPACING`]. The curve alone does not hold the mean
/// surface below the limit: wide spacing under a covering of high resistance passes
/// [`output_at_surface_excess`](super::output_at_surface_excess) by several per cent, so a design checks
/// [`surface_excess`](super::surface_excess) as well. Beyond 0.375 m fG takes over with a step where su is more than
/// 0.065 m: within 1 % under a screed of 1.2 W/(mK), from -5 to +9 % under one of 0.6 to 2.4.
/// # Errors
/// [`MethodError::OutOfRange`] outside of those, [`MethodError::Impossible`] where the limit is no warmer than the
/// room or `kh_w_m2k` is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_2::{self, TypeA}, Off};
/// let floor = TypeA {
///     spacing_m: 0.15, cover_m: 0.045, cover_w_mk: 1.2, covering_m2k_w: 0.1,
///     pipe_outside_m: 0.016, pipe_wall_m: 0.002, pipe_w_mk: 0.35, sheath: None,
/// };
/// let kh = en_1264_2::characteristic(&floor, &mut Off)?.kh_w_m2k;
/// // timber: 27 °C at most, in a room at 21 °C
/// assert!((en_1264_2::limit(&floor, kh, 27.0, 21.0, &mut Off)?.limit_w_m2 - 63.1).abs() < 0.05);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn limit(
    floor: &TypeA,
    kh_w_m2k: f64,
    surface_limit_c: f64,
    room_c: f64,
    w: &mut impl Workings,
) -> Result<Limit, MethodError> {
    let TypeA { spacing_m, cover_m, cover_w_mk, .. } = *floor;
    let counted_spacing_m = min(SPACING.check(spacing_m)?, WIDEST_M);
    let cover_m2k_w = COVER_RESISTANCE.check(cover_m / cover_w_mk)?;
    if !(surface_limit_c > room_c && kh_w_m2k > 0.0) {
        return Err(MethodError::Impossible {
            reason: "a floor gives heat only where its surface may be warmer than the room",
        });
    }
    let (bg_w_m2, ng) = if cover_m2k_w <= THIN_COVER_M2K_W {
        tables::limit_of_thin_cover(counted_spacing_m, cover_m2k_w)
    } else {
        tables::limit_of_thick_cover(COVER_TO_SPACING.check(cover_m / counted_spacing_m)?)
    };
    eq!(w, EN_1264_2: phi = pow((surface_limit_c - room_c) / 9.0, 1.1));
    if spacing_m <= WIDEST_M {
        eq!(w, EN_1264_2: excess_k = phi * pow(bg_w_m2 / kh_w_m2k, 1.0 / (1.0 - ng)));
        eq!(w, EN_1264_2: limit_w_m2 = phi * bg_w_m2 * pow(excess_k / phi, ng));
        return Ok(Limit { phi, bg_w_m2, ng, excess_k, limit_w_m2 });
    }
    let widest_m = WIDEST_M;
    eq!(w, EN_1264_2: kh_widest_w_m2k = kh_w_m2k * spacing_m / widest_m);
    eq!(w, EN_1264_2: excess_widest_k = phi * pow(bg_w_m2 / kh_widest_w_m2k, 1.0 / (1.0 - ng)));
    eq!(w, EN_1264_2: limit_widest_w_m2 = phi * bg_w_m2 * pow(excess_widest_k / phi, ng));
    eq!(w, EN_1264_2: strip_w_m2 = limit_widest_w_m2 * widest_m / spacing_m);
    let f_g = spread(phi, strip_w_m2, cover_m, spacing_m, w);
    eq!(w, EN_1264_2: excess_k = excess_widest_k * f_g);
    eq!(w, EN_1264_2: limit_w_m2 = strip_w_m2 * f_g);
    Ok(Limit { phi, bg_w_m2, ng, excess_k, limit_w_m2 })
}

/// Factor fG of a spacing beyond the tables: what a cover that is thick beside the spacing evens out.
fn spread(phi: f64, strip_w_m2: f64, cover_m: f64, spacing_m: f64, w: &mut impl Workings) -> f64 {
    if cover_m <= COVER_TO_SPACING.min * spacing_m {
        return 1.0;
    }
    eq!(w, EN_1264_2: even_w_m2 = phi * 100.0);
    eq!(w, EN_1264_2: beyond = cover_m / spacing_m - 0.173);
    eq!(w, EN_1264_2: f_g = (even_w_m2 - (even_w_m2 - strip_w_m2) * exp(-20.0 * beyond * beyond)) / strip_w_m2);
    f_g
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;
    use crate::methods::en_1264_2::characteristic;

    const FLOOR: TypeA = TypeA {
        spacing_m: 0.15,
        cover_m: 0.045,
        cover_w_mk: 1.2,
        covering_m2k_w: 0.1,
        pipe_outside_m: 0.016,
        pipe_wall_m: 0.002,
        pipe_w_mk: 0.35,
        sheath: None,
    };

    /// The limit at 29 °C in a room at 20 °C.
    fn at(spacing_m: f64, cover_m: f64, covering_m2k_w: f64) -> Limit {
        let floor = TypeA { spacing_m, cover_m, covering_m2k_w, ..FLOOR };
        let kh_w_m2k = characteristic(&floor, &mut Off).unwrap().kh_w_m2k;
        let found = limit(&floor, kh_w_m2k, 29.0, 20.0, &mut Off).unwrap();
        assert!((kh_w_m2k * found.excess_k / found.limit_w_m2 - 1.0).abs() < 1e-13, "{found:?}");
        found
    }

    #[test]
    fn the_two_pairs_of_limit_tables_meet_for_the_screed_they_were_made_for() {
        // at 1.2 W/(mK) the tables for thin and thick covers print the same floor at 0.0792 m²K/W
        let at = |cover_m| limit(&TypeA { spacing_m: 0.3, cover_m, ..FLOOR }, 2.0, 29.0, 20.0, &mut Off).unwrap();
        let (thin, thick) = (at(0.0792 * 1.2 - 1e-9), at(0.0792 * 1.2 + 1e-9));
        assert!((thin.limit_w_m2 / thick.limit_w_m2 - 1.0).abs() < 0.005, "{thin:?} {thick:?}");
    }

    #[test]
    fn beyond_the_tables_a_thin_cover_goes_on_without_a_step_and_falls_with_the_spacing() {
        for cover_m in [0.03, 0.045, 0.0648] {
            for covering_m2k_w in [0.0, 0.1] {
                let at = |spacing_m| at(spacing_m, cover_m, covering_m2k_w);
                let (last, first, wide) = (at(WIDEST_M), at(WIDEST_M + 1e-9), at(0.75));
                assert!((first.limit_w_m2 - last.limit_w_m2).abs() < 1e-6, "{last:?} {first:?}");
                assert!((first.excess_k - last.excess_k).abs() < 1e-6, "{last:?} {first:?}");
                assert!((2.0 * wide.limit_w_m2 / last.limit_w_m2 - 1.0).abs() < 1e-14, "{wide:?}");
                assert!((wide.excess_k / last.excess_k - 1.0).abs() < 1e-14, "the warmest spot knows one pipe only");
            }
        }
    }

    #[test]
    fn beyond_the_tables_a_thick_cover_falls_with_the_spacing_and_passes_neither_the_tables_nor_an_even_surface() {
        for cover_m in [0.07, 0.09, 0.12, 0.2] {
            for covering_m2k_w in [0.0, 0.1] {
                let mut last_w_m2 = f64::INFINITY;
                for hundredths in 38..=100 {
                    let found = at(f64::from(hundredths) / 100.0, cover_m, covering_m2k_w);
                    assert!(found.limit_w_m2 < last_w_m2, "{cover_m} {hundredths}: {found:?} after {last_w_m2}");
                    last_w_m2 = found.limit_w_m2;
                }
                let (widest, first) =
                    (at(WIDEST_M, cover_m, covering_m2k_w), at(WIDEST_M + 1e-9, cover_m, covering_m2k_w));
                assert!((first.limit_w_m2 / widest.limit_w_m2 - 1.0).abs() < 0.01, "{widest:?} {first:?}");
                assert!(first.limit_w_m2 <= widest.limit_w_m2.max(100.0), "{widest:?} {first:?}");
            }
        }
    }

    #[test]
    fn refuses_what_it_does_not_hold_for() {
        assert!(limit(&FLOOR, 3.0, 21.0, 21.0, &mut Off).is_err());
        assert!(limit(&TypeA { spacing_m: 1.01, ..FLOOR }, 3.0, 29.0, 21.0, &mut Off).is_err());
        assert!(limit(&TypeA { cover_m: 0.011, ..FLOOR }, 3.0, 29.0, 21.0, &mut Off).is_err());
        for spacing_m in [0.375, 0.4] {
            assert!(limit(&TypeA { spacing_m, cover_w_mk: 0.5, ..FLOOR }, 3.0, 29.0, 21.0, &mut Off).is_err());
        }
    }
}
