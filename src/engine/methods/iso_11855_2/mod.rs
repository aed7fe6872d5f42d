//! Heated floors with conducting plates (type B) and with a plane heat source (type D), and surfaces that heat or
//! cool, by ISO 11855-2.
//!
//! No limit curve of types B and D is known to us: what is given here is the slope alone, and a design holds the mean
//! surface by `output`.

mod cooling;
mod surfaces;
pub mod tables;

pub use cooling::{Cooled, Cooling, cool};
pub use surfaces::{SURFACE_W_M2K, Surface, convert, excess, output};

use super::en_1264_2::FLOOR_W_M2K;
use super::error::{MethodError, Range};
use super::math::{min, pow, sqrt};
use super::workings::Workings;
use crate::eq;
use crate::sources::ISO_11855_2;

/// System coefficient B of types B and D (W/(m²K)).
pub const SYSTEM_W_M2K: f64 = 6.5;
/// Resistance of the cover of the standard's floor (m²K/W).
pub const COVER_M2K_W: f64 = 0.045;

/// Spacings that the tables of type B cover.
pub const SPACING: Range = Range { quantity: "spacing_m", min: 0.05, max: 0.45, published: &ISO_11855_2 };
/// Resistances of the layer over the plates that the spacing factor is printed for; for type D a guard of ours.
pub const COVER_RESISTANCE: Range =
    Range { quantity: "cover_resistance_m2k_w", min: 0.01, max: 0.18, published: &ISO_11855_2 };
/// Coverings of a floor.
pub const COVERING: Range = Range { quantity: "covering_m2k_w", min: 0.0, max: 0.15, published: &ISO_11855_2 };
/// Pipes that the plates' factor is printed for.
pub const DIAMETER: Range = Range { quantity: "pipe_outside_m", min: 0.014, max: 0.022, published: &ISO_11855_2 };
/// Characteristic values KWL that the plates' factor is printed for; what conducts better counts as the last of them.
pub const CONDUCTION: Range =
    Range { quantity: "conduction_of_plate_and_screed", min: 0.0, max: 0.4, published: &ISO_11855_2 };

/// A floor of type B: pipes in the insulation, under plates that conduct.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypeB {
    /// Distance between pipes (m).
    pub spacing_m: f64,
    /// Layer over the plates that spreads the load (m).
    pub cover_m: f64,
    /// Conductivity of this layer (W/(mK)).
    pub cover_w_mk: f64,
    /// Resistance of the floor covering (m²K/W).
    pub covering_m2k_w: f64,
    /// Outside diameter of the pipe (m).
    pub pipe_outside_m: f64,
    /// Thickness of the plates (m).
    pub plate_m: f64,
    /// Conductivity of the plates (W/(mK)).
    pub plate_w_mk: f64,
    /// Width of the plates (m), no more than the spacing.
    pub plate_width_m: f64,
}

/// The characteristic of a floor of type B, and what it is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CharacteristicB {
    /// Slope KH: output per kelvin of mean excess temperature (W/(m²K)).
    pub kh_w_m2k: f64,
    /// Covering factor aB.
    pub a_b: f64,
    /// Spacing factor aT.
    pub a_t: f64,
    /// Exponent mT of the spacing factor.
    pub m_t: f64,
    /// Cover factor aU.
    pub a_u: f64,
    /// Plate factor aWL.
    pub a_wl: f64,
    /// Contact factor aK.
    pub a_k: f64,
    /// Characteristic value KWL of the conducting layer, as it is; beyond [`CONDUCTION`] its end has been counted.
    pub conduction: f64,
}

/// Characteristic of a floor of type B: q = `KH · ΔθH`.
///
/// # Source
/// ISO 11855-2, type B: KH = B·aB·aT^mT·aU·aWL·aK with B = 6.5 W/(m²K), KWL = (sWL·λWL + bu·su·λE)/0.125, and the
/// correction of aWL for plates narrower than the spacing. The share bu is as an open file of its functions
/// has it (table A.10); the contact factor aK is from memory, unconfirmed.
/// # Units
/// m, W/(mK), m²K/W; result W/(m²K).
/// # Validity
/// [`SPACING`], [`COVER_RESISTANCE`], [`COVERING`], [`DIAMETER`]. Thick plates that conduct well pass [`CONDUCTION`], 0.4 mm
/// of aluminium alone has 0.5 or more: they count as the last that is printed. The factor rises with it and is below 1, so
/// that is on the safe side, by no more than a third at the widest spacing and a sixteenth at 0.1 m. Plates of 0.83 to 1
/// times the spacing come out above those of the full spacing, by no more than 0.0009 of what plates add at all.
/// # Errors
/// [`MethodError::OutOfRange`] outside of those, [`MethodError::Impossible`] for layers that do not conduct or plates
/// wider than the spacing.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_11855_2::{self, TypeB}, Off};
/// // 0.25 mm of steel under 25 mm of 1 W/(mK)
/// let floor = TypeB {
///     spacing_m: 0.2, cover_m: 0.025, cover_w_mk: 1.0, covering_m2k_w: 0.05, pipe_outside_m: 0.016,
///     plate_m: 0.00025, plate_w_mk: 50.0, plate_width_m: 0.2,
/// };
/// assert!((iso_11855_2::type_b(&floor, &mut Off)?.kh_w_m2k - 3.303).abs() < 0.0005);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn type_b(floor: &TypeB, w: &mut impl Workings) -> Result<CharacteristicB, MethodError> {
    let TypeB { spacing_m, cover_m, cover_w_mk, covering_m2k_w, pipe_outside_m, .. } = *floor;
    let TypeB { plate_m, plate_w_mk, plate_width_m, .. } = *floor;
    SPACING.check(spacing_m)?;
    COVERING.check(covering_m2k_w)?;
    DIAMETER.check(pipe_outside_m)?;
    if !(plate_m >= 0.0 && plate_w_mk > 0.0 && cover_m > 0.0 && cover_w_mk > 0.0) {
        return Err(MethodError::Impossible { reason: "a floor needs a cover and plates that conduct" });
    }
    if !(0.0..=spacing_m).contains(&plate_width_m) {
        return Err(MethodError::Impossible { reason: "a plate reaches no further than to the next pipe's plate" });
    }
    let a_t = tables::spacing_factor(COVER_RESISTANCE.check(cover_m / cover_w_mk)?);
    let (a_k, b_u) = (tables::contact_factor(spacing_m), tables::spreading_share(spacing_m));
    let (floor_w_m2k, b_w_m2k, cover0_m2k_w) = (FLOOR_W_M2K, SYSTEM_W_M2K, COVER_M2K_W);
    eq!(w, ISO_11855_2: conduction = (plate_m * plate_w_mk + b_u * cover_m * cover_w_mk) / 0.125);
    let most_conduction = CONDUCTION.max;
    let a_wl = if conduction > most_conduction {
        eq!(w, ISO_11855_2: counted_conduction = min(conduction, most_conduction));
        plate_factor(floor, counted_conduction, w)
    } else {
        plate_factor(floor, conduction, w)
    };
    eq!(w, ISO_11855_2: a_u = (1.0 / floor_w_m2k + cover0_m2k_w) / (1.0 / floor_w_m2k + cover_m / cover_w_mk));
    eq!(w, ISO_11855_2: m_t = 1.0 - spacing_m / 0.075);
    eq!(w, ISO_11855_2: factors = pow(a_t, m_t) * a_u * a_wl * a_k);
    eq!(w, ISO_11855_2: a_b = 1.0 / (1.0 + b_w_m2k * factors * covering_m2k_w * (1.0 + 0.44 * sqrt(spacing_m))));
    eq!(w, ISO_11855_2: kh_w_m2k = b_w_m2k * a_b * factors);
    Ok(CharacteristicB { kh_w_m2k, a_b, a_t, m_t, a_u, a_wl, a_k, conduction })
}

/// Plate factor aWL of plates as wide as they are.
fn plate_factor(floor: &TypeB, conduction: f64, w: &mut impl Workings) -> f64 {
    let TypeB { spacing_m, pipe_outside_m, plate_width_m, .. } = *floor;
    let full_a_wl = tables::plate_factor(spacing_m, conduction, pipe_outside_m);
    if plate_width_m >= spacing_m {
        return full_a_wl;
    }
    let bare_a_wl = tables::plate_factor(spacing_m, 0.0, pipe_outside_m);
    eq!(w, ISO_11855_2: x = plate_width_m / spacing_m);
    eq!(w, ISO_11855_2: a_wl = full_a_wl - (full_a_wl - bare_a_wl) * (1.0 - 3.2 * x + 3.4 * x * x - 1.2 * x * x * x));
    a_wl
}

/// A floor of type D: a heat source over the whole area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypeD {
    /// Layer over the heat source (m).
    pub cover_m: f64,
    /// Conductivity of this layer (W/(mK)).
    pub cover_w_mk: f64,
    /// Resistance of the floor covering (m²K/W).
    pub covering_m2k_w: f64,
}

/// The characteristic of a floor of type D, and what it is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CharacteristicD {
    /// Slope KH: output per kelvin of mean excess temperature (W/(m²K)).
    pub kh_w_m2k: f64,
    /// Covering factor aB.
    pub a_b: f64,
    /// Cover factor aU.
    pub a_u: f64,
}

/// Characteristic of a floor of type D: q = `KH · ΔθH`.
///
/// # Source
/// ISO 11855-2, type D: KH = 6.5·aB·1.06·aU with aB = 1/(1 + 6.5·aU·1.06·RλB).
/// # Units
/// m, W/(mK), m²K/W; result W/(m²K).
/// # Validity
/// [`COVER_RESISTANCE`], [`COVERING`].
/// # Errors
/// [`MethodError::OutOfRange`] outside of those, [`MethodError::Impossible`] for a cover that does not conduct.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_11855_2::{self, TypeD}, Off};
/// let floor = TypeD { cover_m: 0.03, cover_w_mk: 1.0, covering_m2k_w: 0.1 };
/// assert!((iso_11855_2::type_d(&floor, &mut Off)?.kh_w_m2k - 4.361).abs() < 0.0005);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn type_d(floor: &TypeD, w: &mut impl Workings) -> Result<CharacteristicD, MethodError> {
    let TypeD { cover_m, cover_w_mk, covering_m2k_w } = *floor;
    COVERING.check(covering_m2k_w)?;
    if !(cover_m > 0.0 && cover_w_mk > 0.0) {
        return Err(MethodError::Impossible { reason: "a floor needs a cover that conducts" });
    }
    COVER_RESISTANCE.check(cover_m / cover_w_mk)?;
    let (floor_w_m2k, b_w_m2k, cover0_m2k_w) = (FLOOR_W_M2K, SYSTEM_W_M2K, COVER_M2K_W);
    eq!(w, ISO_11855_2: a_u = (1.0 / floor_w_m2k + cover0_m2k_w) / (1.0 / floor_w_m2k + cover_m / cover_w_mk));
    eq!(w, ISO_11855_2: a_b = 1.0 / (1.0 + b_w_m2k * a_u * 1.06 * covering_m2k_w));
    eq!(w, ISO_11855_2: kh_w_m2k = b_w_m2k * a_b * 1.06 * a_u);
    Ok(CharacteristicD { kh_w_m2k, a_b, a_u })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    const FLOOR: TypeB = TypeB {
        spacing_m: 0.2,
        cover_m: 0.025,
        cover_w_mk: 1.0,
        covering_m2k_w: 0.05,
        pipe_outside_m: 0.016,
        plate_m: 0.000_25,
        plate_w_mk: 50.0,
        plate_width_m: 0.2,
    };

    fn kh(floor: &TypeB) -> f64 {
        type_b(floor, &mut Off).unwrap().kh_w_m2k
    }

    #[test]
    fn a_floor_gives_less_with_wider_spacing_a_covering_and_poorer_plates() {
        for hundredths in 6..45 {
            let spacing_m = f64::from(hundredths) / 100.0;
            let floor = TypeB { spacing_m, plate_width_m: spacing_m, ..FLOOR };
            let wider_m = spacing_m + 0.01;
            assert!(kh(&TypeB { spacing_m: wider_m, plate_width_m: wider_m, ..floor }) < kh(&floor), "{spacing_m}");
            assert!(kh(&TypeB { covering_m2k_w: 0.06, ..floor }) < kh(&floor));
            assert!(kh(&TypeB { plate_m: 0.000_3, ..floor }) > kh(&floor));
            assert!(kh(&TypeB { plate_w_mk: 40.0, ..floor }) < kh(&floor));
            assert!(kh(&TypeB { plate_width_m: 0.7 * spacing_m, ..floor }) < kh(&floor));
        }
    }

    #[test]
    fn narrow_plates_lie_between_none_and_full_ones() {
        let at = |x: f64| type_b(&TypeB { plate_width_m: 0.2 * x, ..FLOOR }, &mut Off).unwrap().a_wl;
        assert!((at(0.0) - 0.357).abs() < 1e-15, "no plate at all: the column of KWL 0");
        assert!((at(1.0) - 0.688).abs() < 1e-15 && (at(1.0 - 1e-12) - at(1.0)).abs() < 1e-12);
        for tenths in 0..8 {
            assert!(at(f64::from(tenths) / 10.0) < at(f64::from(tenths + 1) / 10.0));
        }
        assert!((at(0.9) - 0.688) / (0.688 - 0.357) < 0.0009);
    }

    #[test]
    fn a_plane_source_gives_more_than_pipes_under_plates() {
        for covering_m2k_w in [0.0, 0.05, 0.15] {
            let plane = TypeD { cover_m: 0.025, cover_w_mk: 1.0, covering_m2k_w };
            let plated = TypeB { covering_m2k_w, ..FLOOR };
            assert!(type_d(&plane, &mut Off).unwrap().kh_w_m2k > kh(&plated));
        }
    }

    /// 0.4 mm of aluminium passes the table: it counts as what ends it, (0.4·0.125 − 0.5·0.025·1.0)/200 = 0.1875 mm of it.
    #[test]
    fn plates_beyond_the_table_count_as_its_end() {
        let aluminium = |plate_m: f64| type_b(&TypeB { plate_m, plate_w_mk: 200.0, ..FLOOR }, &mut Off).unwrap();
        let (end, beyond) = (aluminium(0.000_187_5), aluminium(0.000_4));
        assert!((end.conduction - 0.4).abs() < 1e-12 && beyond.conduction > 0.7);
        assert!((end.kh_w_m2k - beyond.kh_w_m2k).abs() < 1e-12);
        assert!((end.a_wl - 0.86).abs() < 1e-12, "the last column at 0.2 m");
    }

    #[test]
    fn refuses_what_the_tables_do_not_hold() {
        let fails = |floor: TypeB| type_b(&floor, &mut Off).is_err();
        assert!(!fails(FLOOR));
        assert!(fails(TypeB { spacing_m: 0.46, ..FLOOR }) && fails(TypeB { spacing_m: 0.04, ..FLOOR }));
        assert!(fails(TypeB { covering_m2k_w: 0.16, ..FLOOR }) && fails(TypeB { pipe_outside_m: 0.012, ..FLOOR }));
        assert!(fails(TypeB { cover_m: 0.009, ..FLOOR }) && fails(TypeB { cover_w_mk: 0.13, ..FLOOR }));
        assert!(fails(TypeB { plate_width_m: 0.21, ..FLOOR }) && fails(TypeB { plate_width_m: f64::NAN, ..FLOOR }));
        assert!(fails(TypeB { plate_w_mk: 0.0, ..FLOOR }) && fails(TypeB { plate_m: -0.001, ..FLOOR }));
        let plane = TypeD { cover_m: 0.03, cover_w_mk: 1.0, covering_m2k_w: 0.1 };
        assert!(type_d(&TypeD { cover_m: 0.0, ..plane }, &mut Off).is_err());
        assert!(type_d(&TypeD { cover_m: 0.2, ..plane }, &mut Off).is_err());
        assert!(type_d(&TypeD { covering_m2k_w: -0.1, ..plane }, &mut Off).is_err());
    }
}
