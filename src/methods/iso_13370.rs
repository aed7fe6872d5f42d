//! Heat transfer through a slab on the ground, by ISO 13370.

use super::error::MethodError;
use super::math::{PI, ln};
use super::workings::Workings;
use crate::eq;

/// Surface resistance inside, heat flowing downward (m²K/W).
pub const INSIDE_SURFACE_M2K_W: f64 = 0.17;
/// Surface resistance outside (m²K/W).
pub const OUTSIDE_SURFACE_M2K_W: f64 = 0.04;

/// Thermal conductivity of clay or silt (W/(mK)).
pub const CLAY_W_MK: f64 = 1.5;
/// Thermal conductivity of sand or gravel (W/(mK)); from memory, to be confirmed.
pub const SAND_W_MK: f64 = 2.0;
/// Thermal conductivity of homogeneous rock (W/(mK)); from memory, to be confirmed.
pub const ROCK_W_MK: f64 = 3.5;

/// A whole slab on the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slab {
    /// Area of the whole slab (m²).
    pub area_m2: f64,
    /// Perimeter exposed to outside (m); may be 0.
    pub perimeter_m: f64,
    /// Thickness of the walls round it (m).
    pub wall_thickness_m: f64,
    /// Thermal conductivity of the ground (W/(mK)).
    pub ground_w_mk: f64,
    /// Thermal resistance of the slab's layers (m²K/W).
    pub floor_m2k_w: f64,
}

/// Thermal transmittance of a slab on the ground.
///
/// # Source
/// ISO 13370, slab on ground: characteristic dimension B′, equivalent thickness dt, and the formula for slabs
/// that are uninsulated or moderately insulated (dt < B′) or well insulated (dt ≥ B′).
/// # Units
/// m², m, W/(mK), m²K/W; result W/(m²K).
/// # Validity
/// Steady state. Without exposed perimeter B′ has no bound and the steady loss is nothing; that is answered as 0.
/// # Errors
/// [`MethodError::Impossible`] if area or conductivity is not above 0, or perimeter, thickness or resistance is
/// below 0.
/// # Examples
/// ```
/// # use tundish::methods::{iso_13370, Off};
/// let slab = iso_13370::Slab { area_m2: 45.0, perimeter_m: 10.0, wall_thickness_m: 0.25, ground_w_mk: 1.5, floor_m2k_w: 0.0 };
/// assert!((iso_13370::slab_on_ground(slab, &mut Off)? - 0.409).abs() < 0.0005);
/// # Ok::<(), tundish::methods::MethodError>(())
/// ```
pub fn slab_on_ground(slab: Slab, w: &mut impl Workings) -> Result<f64, MethodError> {
    let Slab { area_m2, perimeter_m, wall_thickness_m, ground_w_mk, floor_m2k_w } = slab;
    if !(area_m2 > 0.0 && ground_w_mk > 0.0 && perimeter_m >= 0.0 && wall_thickness_m >= 0.0 && floor_m2k_w >= 0.0) {
        return Err(MethodError::Impossible { reason: "a slab needs an area and a ground that conducts" });
    }
    if perimeter_m == 0.0 {
        return Ok(0.0);
    }
    let (inside_m2k_w, outside_m2k_w) = (INSIDE_SURFACE_M2K_W, OUTSIDE_SURFACE_M2K_W);
    eq!(w, ISO_13370: dimension_m = area_m2 / (0.5 * perimeter_m));
    eq!(w, ISO_13370: thickness_m = wall_thickness_m + ground_w_mk * (inside_m2k_w + floor_m2k_w + outside_m2k_w));
    if thickness_m < dimension_m {
        eq!(w, ISO_13370: u_value_w_m2k = 2.0 * ground_w_mk / (PI * dimension_m + thickness_m) * ln(PI * dimension_m / thickness_m + 1.0));
        return Ok(u_value_w_m2k);
    }
    eq!(w, ISO_13370: u_value_w_m2k = ground_w_mk / (0.457 * dimension_m + thickness_m));
    Ok(u_value_w_m2k)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    fn slab(perimeter_m: f64, floor_m2k_w: f64) -> Slab {
        Slab { area_m2: 96.0, perimeter_m, wall_thickness_m: 0.5, ground_w_mk: CLAY_W_MK, floor_m2k_w }
    }

    #[test]
    fn loses_less_with_more_insulation_and_less_edge() {
        let u = |perimeter, resistance| slab_on_ground(slab(perimeter, resistance), &mut Off).unwrap();
        assert!(u(40.0, 1.0) < u(40.0, 0.0));
        assert!(u(20.0, 1.0) < u(40.0, 1.0));
        assert_eq!(u(0.0, 1.0), 0.0);
        assert!(u(1e-6, 1.0) < 1e-4, "the limit of a vanishing edge is the slab without one");
    }

    #[test]
    fn the_two_branches_meet() {
        // dt = B' is the seam; ISO 13370's two formulas differ there by 0.014 %
        let dimension_m = 96.0 / (0.5 * 40.0);
        let at_seam = (dimension_m - 0.5) / CLAY_W_MK - 0.21;
        let below = slab_on_ground(slab(40.0, at_seam - 1e-9), &mut Off).unwrap();
        let above = slab_on_ground(slab(40.0, at_seam + 1e-9), &mut Off).unwrap();
        assert!((below / above - 1.0).abs() < 2e-4);
    }

    #[test]
    fn refuses_what_is_no_slab() {
        assert!(slab_on_ground(Slab { area_m2: 0.0, ..slab(1.0, 1.0) }, &mut Off).is_err());
    }
}
