//! Heat output of floors with pipes in the screed (type A), by EN 1264-2.

mod limit;
pub mod tables;

pub use limit::{Limit, limit};

use super::error::{MethodError, Range};
use super::math::{PI, ln, min, pow};
use super::workings::Workings;
use crate::eq;
use crate::sources::EN_1264_2;

/// Heat transfer coefficient of a heated floor (W/(m²K)).
pub const FLOOR_W_M2K: f64 = 10.8;
/// System coefficient B0 of the standard's pipe (W/(m²K)).
pub const SYSTEM_W_M2K: f64 = 6.7;
/// Conductivity of the standard's pipe (W/(mK)).
pub const PIPE_W_MK: f64 = 0.35;
/// Wall of the standard's pipe (m).
pub const PIPE_WALL_M: f64 = 0.002;
/// Cover over the pipe of the standard's floor (m).
pub const COVER_M: f64 = 0.045;
/// Conductivity of the cover of the standard's floor (W/(mK)).
pub const COVER_W_MK: f64 = 1.0;
/// Resistance of the cover up to which tables A.4 and A.6 hold (m²K/W).
pub const THIN_COVER_M2K_W: f64 = 0.0792;

/// Widest spacing of tables A.1 to A.7 (m); beyond it a floor gives what it gives there, over a wider strip.
pub const WIDEST_M: f64 = 0.375;
/// Spacings that tables A.1 to A.7 cover, and those beyond [`WIDEST_M`], whose upper end is a guard of ours.
pub const SPACING: Range = Range { quantity: "spacing_m", min: 0.05, max: 1.0, published: &EN_1264_2 };
/// Coverings that tables A.1 to A.3 cover.
pub const COVERING: Range = Range { quantity: "covering_m2k_w", min: 0.0, max: 0.15, published: &EN_1264_2 };
/// Pipes that table A.3 holds for, by the outside of their sheath if they have one.
pub const DIAMETER: Range = Range { quantity: "pipe_outside_m", min: 0.008, max: 0.03, published: &EN_1264_2 };
/// Cover over the pipe; the standard sets the lower end, the upper one is a guard of ours.
pub const COVER: Range = Range { quantity: "cover_m", min: 0.01, max: 1.0, published: &EN_1264_2 };
/// Resistance of the cover that tables A.4 and A.6 begin with; the upper end is a guard of ours.
pub const COVER_RESISTANCE: Range =
    Range { quantity: "cover_resistance_m2k_w", min: 0.01, max: 20.0, published: &EN_1264_2 };
/// Ratio of cover to spacing that tables A.5 and A.7 begin with; beyond 0.75 their last value holds, up to 1 m of
/// cover at the narrowest spacing.
pub const COVER_TO_SPACING: Range =
    Range { quantity: "cover_to_spacing", min: 0.173, max: 20.0, published: &EN_1264_2 };

/// A sheath round a pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheath {
    /// Outside diameter dM (m).
    pub outside_m: f64,
    /// Conductivity λM (W/(mK)); a corrugated sheath that holds air counts as one body.
    pub conductivity_w_mk: f64,
}

/// A floor of type A.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypeA {
    /// Distance between pipes (m).
    pub spacing_m: f64,
    /// Screed over the pipe (m).
    pub cover_m: f64,
    /// Conductivity of the screed (W/(mK)).
    pub cover_w_mk: f64,
    /// Resistance of the floor covering (m²K/W).
    pub covering_m2k_w: f64,
    /// Outside diameter of the pipe, without its sheath (m).
    pub pipe_outside_m: f64,
    /// Wall of the pipe (m).
    pub pipe_wall_m: f64,
    /// Conductivity of the pipe (W/(mK)).
    pub pipe_w_mk: f64,
    /// Sheath round the pipe.
    pub sheath: Option<Sheath>,
}

/// The characteristic of a floor, and what it is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Characteristic {
    /// Slope KH: output per kelvin of mean excess temperature (W/(m²K)).
    pub kh_w_m2k: f64,
    /// System coefficient B (W/(m²K)).
    pub b_w_m2k: f64,
    /// Covering factor aB.
    pub a_b: f64,
    /// Spacing factor aT.
    pub a_t: f64,
    /// Cover factor aU.
    pub a_u: f64,
    /// Pipe diameter factor aD.
    pub a_d: f64,
}

/// Characteristic of a floor: q = `KH · ΔθH`.
///
/// # Source
/// EN 1264-2, type A: KH = B·aB·aT^mT·aU^mU·aD^mD with tables A.1 to A.3, B of a pipe other than the standard's or with
/// a sheath, and the form for thick covers (above 0.1 m, or above half the spacing where that is more), whose factors
/// are those of the cover at which it begins. A sheath counts as the pipe's outside diameter D in aD and in the
/// standard's pipe that B is compared with. Beyond [`WIDEST_M`] KH is that of 0.375 m, times 0.375/T.
/// # Units
/// m, W/(mK), m²K/W; result W/(m²K).
/// # Validity
/// [`SPACING`], [`COVERING`], [`DIAMETER`], [`COVER`].
/// # Errors
/// [`MethodError::OutOfRange`] outside of those, [`MethodError::Impossible`] for a pipe without bore or wall, a sheath
/// narrower than its pipe or a material that does not conduct.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_2::{self, TypeA}, Off};
/// let floor = TypeA {
///     spacing_m: 0.15, cover_m: 0.045, cover_w_mk: 1.2, covering_m2k_w: 0.1,
///     pipe_outside_m: 0.016, pipe_wall_m: 0.002, pipe_w_mk: 0.35, sheath: None,
/// };
/// assert!((en_1264_2::characteristic(&floor, &mut Off)?.kh_w_m2k - 3.368).abs() < 0.0005);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn characteristic(floor: &TypeA, w: &mut impl Workings) -> Result<Characteristic, MethodError> {
    SPACING.check(floor.spacing_m)?;
    if floor.spacing_m <= WIDEST_M {
        return tabulated(floor, w);
    }
    let made = tabulated(&TypeA { spacing_m: WIDEST_M, ..*floor }, w)?;
    let (kh_widest_w_m2k, widest_m, spacing_m) = (made.kh_w_m2k, WIDEST_M, floor.spacing_m);
    eq!(w, EN_1264_2: kh_w_m2k = kh_widest_w_m2k * widest_m / spacing_m);
    Ok(Characteristic { kh_w_m2k, ..made })
}

/// Characteristic of a floor whose spacing the tables hold.
fn tabulated(floor: &TypeA, w: &mut impl Workings) -> Result<Characteristic, MethodError> {
    let TypeA { spacing_m, cover_m, cover_w_mk, covering_m2k_w, pipe_outside_m, .. } = *floor;
    COVERING.check(covering_m2k_w)?;
    let outside_m = DIAMETER.check(floor.sheath.map_or(pipe_outside_m, |sheath| sheath.outside_m))?;
    COVER.check(cover_m)?;
    check_layers(floor)?;
    // the standard's own condition, above 0.065 m as well, holds wherever this does
    let thick_from_m = if spacing_m <= 0.2 { 0.1 } else { 0.5 * spacing_m };
    let counted_cover_m = min(cover_m, thick_from_m);
    let a_t = tables::spacing_factor(covering_m2k_w);
    let a_u = tables::cover_factor(spacing_m, covering_m2k_w);
    let a_d = tables::diameter_factor(spacing_m, covering_m2k_w);
    let (floor_w_m2k, b0_w_m2k, pipe0_w_mk, pipe0_wall_m) = (FLOOR_W_M2K, SYSTEM_W_M2K, PIPE_W_MK, PIPE_WALL_M);
    let (cover0_m, cover0_w_mk) = (COVER_M, COVER_W_MK);
    eq!(w, EN_1264_2: a_b = (1.0 / floor_w_m2k + cover0_m / cover0_w_mk) / (1.0 / floor_w_m2k + cover0_m / cover_w_mk + covering_m2k_w));
    eq!(w, EN_1264_2 "A.1": m_t = 1.0 - spacing_m / 0.075);
    eq!(w, EN_1264_2 "A.2": m_u = 100.0 * (cover0_m - counted_cover_m));
    eq!(w, EN_1264_2 "A.3": m_d = 250.0 * (outside_m - 0.02));
    eq!(w, EN_1264_2: factors = a_b * pow(a_t, m_t) * pow(a_u, m_u) * pow(a_d, m_d));
    let wall_mk_w = wall_and_sheath(floor, w);
    eq!(w, EN_1264_2: wall0_mk_w = ln(outside_m / (outside_m - 2.0 * pipe0_wall_m)) / (2.0 * pipe0_w_mk));
    eq!(w, EN_1264_2: b_w_m2k = 1.0 / (1.0 / b0_w_m2k + 1.1 / PI * factors * spacing_m * (wall_mk_w - wall0_mk_w)));
    eq!(w, EN_1264_2: kh_w_m2k = b_w_m2k * factors);
    let made = Characteristic { kh_w_m2k, b_w_m2k, a_b, a_t, a_u, a_d };
    if cover_m <= thick_from_m {
        return Ok(made);
    }
    let kh_thick_from_w_m2k = kh_w_m2k;
    eq!(w, EN_1264_2: kh_w_m2k = 1.0 / (1.0 / kh_thick_from_w_m2k + (cover_m - thick_from_m) / cover_w_mk));
    Ok(Characteristic { kh_w_m2k, ..made })
}

fn check_layers(floor: &TypeA) -> Result<(), MethodError> {
    let TypeA { cover_w_mk, pipe_outside_m, pipe_wall_m, pipe_w_mk, .. } = *floor;
    if !(pipe_wall_m > 0.0 && 2.0 * pipe_wall_m < pipe_outside_m && pipe_w_mk > 0.0 && cover_w_mk > 0.0) {
        return Err(MethodError::Impossible {
            reason: "a floor needs a screed that conducts and a pipe with wall and bore",
        });
    }
    if floor.sheath.is_some_and(|sheath| !(sheath.outside_m >= pipe_outside_m && sheath.conductivity_w_mk > 0.0)) {
        return Err(MethodError::Impossible { reason: "a sheath conducts and goes round its pipe" });
    }
    Ok(())
}

/// Resistance of the pipe's wall, and of its sheath, over a length of 1/π (mK/W).
fn wall_and_sheath(floor: &TypeA, w: &mut impl Workings) -> f64 {
    let TypeA { pipe_outside_m, pipe_wall_m, pipe_w_mk, .. } = *floor;
    eq!(w, EN_1264_2: wall_mk_w = ln(pipe_outside_m / (pipe_outside_m - 2.0 * pipe_wall_m)) / (2.0 * pipe_w_mk));
    let Some(Sheath { outside_m, conductivity_w_mk: sheath_w_mk }) = floor.sheath else {
        return wall_mk_w;
    };
    let bare_mk_w = wall_mk_w;
    eq!(w, EN_1264_2: wall_mk_w = bare_mk_w + ln(outside_m / pipe_outside_m) / (2.0 * sheath_w_mk));
    wall_mk_w
}

/// Mean surface temperature of a floor less that of the room.
///
/// # Source
/// EN 1264-2, basic characteristic q = 8.92·(θF,m − θi)^1.1, solved for the temperature difference.
/// # Units
/// W/m²; result K.
/// # Validity
/// `q_w_m2` not below 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_2, Off};
/// assert!((en_1264_2::surface_excess(50.0, &mut Off) - 4.79).abs() < 0.005);
/// ```
pub fn surface_excess(q_w_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_1264_2: surface_excess_k = pow(q_w_m2 / 8.92, 1.0 / 1.1));
    surface_excess_k
}

/// Output of a floor whose mean surface is warmer than the room by a difference.
///
/// # Source
/// EN 1264-2, basic characteristic q = 8.92·(θF,m − θi)^1.1.
/// # Units
/// K; result W/m².
/// # Validity
/// `surface_excess_k` not below 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_2, Off};
/// assert!((en_1264_2::output_at_surface_excess(9.0, &mut Off) - 100.0).abs() < 0.05);
/// ```
pub fn output_at_surface_excess(surface_excess_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_1264_2: q_w_m2 = 8.92 * pow(surface_excess_k, 1.1));
    q_w_m2
}

/// Mean medium excess at which a floor gives an output.
///
/// # Source
/// EN 1264-2, `q = KH · ΔθH` solved for the excess.
/// # Units
/// W/m², W/(m²K); result K.
/// # Validity
/// `kh_w_m2k` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_2, Off};
/// assert!((en_1264_2::excess_for(50.0, 2.5, &mut Off) - 20.0).abs() < 1e-12);
/// ```
pub fn excess_for(q_w_m2: f64, kh_w_m2k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_1264_2: excess_k = q_w_m2 / kh_w_m2k);
    excess_k
}

/// Output of a floor at an excess temperature of its water.
///
/// # Source
/// EN 1264-2: q = KH·ΔθH, the characteristic curve of a floor.
/// # Units
/// W/(m²K), K; result W/m².
/// # Validity
/// As the coefficient.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_2, Off};
/// // 5 W/(m²K) at 12 K
/// assert_eq!(en_1264_2::output(5.0, 12.0, &mut Off), 60.0);
/// ```
pub fn output(kh_w_m2k: f64, excess_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_1264_2: output_w_m2 = kh_w_m2k * excess_k);
    output_w_m2
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

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

    fn kh(floor: &TypeA) -> f64 {
        characteristic(floor, &mut Off).unwrap().kh_w_m2k
    }

    #[test]
    fn the_thick_form_takes_over_without_a_step_and_goes_on_falling() {
        for spacing_m in [0.1, 0.3] {
            let at = |cover_m| kh(&TypeA { spacing_m, cover_m, ..FLOOR });
            let seam_m = if spacing_m < 0.2 { 0.1 } else { 0.15 };
            assert!((at(seam_m + 1e-9) - at(seam_m)).abs() < 1e-8);
            assert!(at(0.01) > at(0.045) && at(0.045) > at(seam_m) && at(seam_m) > at(0.3));
            let through = 1.0 / at(0.3) - 1.0 / at(seam_m);
            assert!((through - (0.3 - seam_m) / 1.2).abs() < 1e-12, "the rest is the screed's own resistance");
        }
    }

    #[test]
    fn a_sheath_of_nothing_changes_nothing_and_one_that_conducts_little_lowers_the_slope() {
        let sheathed = |outside_m, conductivity_w_mk| {
            kh(&TypeA { sheath: Some(Sheath { outside_m, conductivity_w_mk }), ..FLOOR })
        };
        assert!((sheathed(FLOOR.pipe_outside_m, 390.0) - kh(&FLOOR)).abs() < 1e-15);
        assert!(sheathed(0.02, 0.15) < sheathed(0.02, 0.2) && sheathed(0.02, 0.2) < kh(&FLOOR));
        // a sheath of the pipe's own material is a pipe of that diameter and a thicker wall
        let thicker = TypeA { pipe_outside_m: 0.02, pipe_wall_m: 0.004, ..FLOOR };
        assert!((sheathed(0.02, 0.35) / kh(&thicker) - 1.0).abs() < 1e-14);
    }

    #[test]
    fn beyond_the_tables_the_slope_goes_on_without_a_step_and_falls_with_the_spacing() {
        for cover_m in [0.045, 0.25] {
            let at = |spacing_m| kh(&TypeA { spacing_m, cover_m, ..FLOOR });
            assert!((at(WIDEST_M + 1e-9) - at(WIDEST_M)).abs() < 1e-7);
            assert!((2.0 * at(0.75) / at(WIDEST_M) - 1.0).abs() < 1e-15);
        }
    }

    #[test]
    fn refuses_what_the_tables_do_not_hold() {
        let fails = |floor: &TypeA| characteristic(floor, &mut Off).is_err();
        assert!(!fails(&FLOOR));
        assert!(fails(&TypeA { spacing_m: 1.01, ..FLOOR }) && fails(&TypeA { spacing_m: 0.04, ..FLOOR }));
        assert!(fails(&TypeA { covering_m2k_w: 0.16, ..FLOOR }) && fails(&TypeA { cover_m: 0.009, ..FLOOR }));
        assert!(fails(&TypeA { pipe_outside_m: 0.032, ..FLOOR }) && fails(&TypeA { pipe_wall_m: 0.008, ..FLOOR }));
        assert!(fails(&TypeA { pipe_w_mk: 0.0, ..FLOOR }) && fails(&TypeA { cover_w_mk: f64::NAN, ..FLOOR }));
        let sheathed =
            |outside_m, conductivity_w_mk| TypeA { sheath: Some(Sheath { outside_m, conductivity_w_mk }), ..FLOOR };
        assert!(!fails(&sheathed(0.02, 0.2)) && fails(&sheathed(0.015, 0.2)) && fails(&sheathed(0.02, 0.0)));
        assert!(fails(&sheathed(0.031, 0.2)), "the sheath is the diameter that counts");
    }
}
