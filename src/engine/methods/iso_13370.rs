//! Heat transfer via the ground, by ISO 13370: slabs, edge insulation, suspended floors, basements, yearly swing.

use super::error::MethodError;
use super::math::{PI, ln, sqrt};
use super::workings::{Off, Workings};
use crate::eq;

/// Surface resistance inside, heat flowing downward (m²K/W).
pub const INSIDE_SURFACE_M2K_W: f64 = 0.17;
/// Surface resistance outside (m²K/W).
pub const OUTSIDE_SURFACE_M2K_W: f64 = 0.04;

/// Thermal conductivity of clay or silt (W/(mK)).
pub const CLAY_W_MK: f64 = 1.5;
/// Thermal conductivity of sand or gravel (W/(mK)); as [`ROCK_W_MK`].
pub const SAND_W_MK: f64 = 2.0;
/// Thermal conductivity of homogeneous rock (W/(mK)); an open program of U-values of floors has it with the other two, from BS EN
/// ISO 13370:2007.
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
/// # use tundish_engine::methods::{iso_13370, Off};
/// let slab = iso_13370::Slab { area_m2: 45.0, perimeter_m: 10.0, wall_thickness_m: 0.25, ground_w_mk: 1.5, floor_m2k_w: 0.0 };
/// assert!((iso_13370::slab_on_ground(slab, &mut Off)? - 0.409).abs() < 0.0005);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
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
    let dimension_m = characteristic_dimension(area_m2, perimeter_m, w);
    eq!(w, ISO_13370: thickness_m = wall_thickness_m + ground_w_mk * (inside_m2k_w + floor_m2k_w + outside_m2k_w));
    Ok(on_ground(dimension_m, thickness_m, ground_w_mk, w))
}

/// Characteristic dimension of a floor (m).
fn characteristic_dimension(area_m2: f64, perimeter_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ISO_13370: dimension_m = area_m2 / (0.5 * perimeter_m));
    dimension_m
}

/// Transmittance of ground under a floor by characteristic dimension and equivalent thickness (W/(m²K)).
fn on_ground(dimension_m: f64, thickness_m: f64, ground_w_mk: f64, w: &mut impl Workings) -> f64 {
    if thickness_m < dimension_m {
        eq!(w, ISO_13370: u_value_w_m2k = 2.0 * ground_w_mk / (PI * dimension_m + thickness_m) * ln(PI * dimension_m / thickness_m + 1.0));
        return u_value_w_m2k;
    }
    eq!(w, ISO_13370: u_value_w_m2k = ground_w_mk / (0.457 * dimension_m + thickness_m));
    u_value_w_m2k
}

/// Insulation along the edge of a slab.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Whether it lies along the slab; otherwise it goes down along the foundation.
    pub is_horizontal: bool,
    /// How far it reaches from the edge (m).
    pub reach_m: f64,
    /// Its thickness (m).
    pub thickness_m: f64,
    /// Its conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
}

/// Thermal transmittance of a slab on the ground with insulation along its edge.
///
/// # Source
/// ISO 13370, slab with edge insulation: the transmittance of the slab, and a linear transmittance of the edge spread
/// over it, U = U0 + 2ψ/B′ (annex B of the editions of 2007 and 2010, as two open programs of building physics carry it).
/// # Units
/// See [`Slab`] and [`Edge`]; result W/(m²K).
/// # Validity
/// Insulation that conducts less than the ground which it stands for, and reaches over a strip of the slab.
/// # Errors
/// As [`slab_on_ground`]; [`MethodError::Impossible`] if the edge is no better than the ground, or reaches so far that it
/// would save more than the same insulation all over.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13370::{self, Edge, Slab}, Off};
/// let slab = Slab { area_m2: 48.0, perimeter_m: 28.0, wall_thickness_m: 0.3, ground_w_mk: 1.5, floor_m2k_w: 0.0 };
/// let edge = Edge { is_horizontal: true, reach_m: 1.0, thickness_m: 0.05, conductivity_w_mk: 0.035 };
/// let (bare, edged) = (iso_13370::slab_on_ground(slab, &mut Off)?, iso_13370::slab_with_edge(slab, edge, &mut Off)?);
/// assert!(edged < bare && edged > 0.7 * bare);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn slab_with_edge(slab: Slab, edge: Edge, w: &mut impl Workings) -> Result<f64, MethodError> {
    let without_w_m2k = slab_on_ground(slab, w)?;
    let Slab { area_m2, perimeter_m, wall_thickness_m, ground_w_mk, floor_m2k_w } = slab;
    let Edge { is_horizontal, reach_m, thickness_m: insulation_m, conductivity_w_mk } = edge;
    if !(reach_m > 0.0 && insulation_m > 0.0 && conductivity_w_mk > 0.0 && conductivity_w_mk < ground_w_mk) {
        return Err(MethodError::Impossible { reason: "edge insulation conducts less than the ground" });
    }
    if perimeter_m == 0.0 {
        return Ok(without_w_m2k);
    }
    let (inside_m2k_w, outside_m2k_w) = (INSIDE_SURFACE_M2K_W, OUTSIDE_SURFACE_M2K_W);
    let dimension_m = characteristic_dimension(area_m2, perimeter_m, w);
    eq!(w, ISO_13370: thickness_m = wall_thickness_m + ground_w_mk * (inside_m2k_w + floor_m2k_w + outside_m2k_w));
    eq!(w, ISO_13370: gained_m = ground_w_mk * (insulation_m / conductivity_w_mk - insulation_m / ground_w_mk));
    let reach_m = if is_horizontal { reach_m } else { 2.0 * reach_m };
    eq!(w, ISO_13370: psi_w_mk = -ground_w_mk / PI * (ln(reach_m / thickness_m + 1.0) - ln(reach_m / (thickness_m + gained_m) + 1.0)));
    eq!(w, ISO_13370: u_value_w_m2k = without_w_m2k + 2.0 * psi_w_mk / dimension_m);
    // an edge is a narrow strip of a wide slab: where it would save more than insulation all over, the form has ended
    let floor_m2k_w = floor_m2k_w + insulation_m / conductivity_w_mk;
    let all_over_w_m2k = slab_on_ground(Slab { floor_m2k_w, ..slab }, &mut Off)?;
    if u_value_w_m2k < all_over_w_m2k {
        return Err(MethodError::Impossible {
            reason: "insulation along the edge cannot save more than the same insulation all over: it reaches too far for so narrow a slab",
        });
    }
    Ok(u_value_w_m2k)
}

/// A floor over a ventilated space above the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspended {
    /// Area of the whole floor (m²).
    pub area_m2: f64,
    /// Perimeter exposed to outside (m).
    pub perimeter_m: f64,
    /// Thickness of the walls round the space (m).
    pub wall_thickness_m: f64,
    /// Thermal conductivity of the ground (W/(mK)).
    pub ground_w_mk: f64,
    /// Thermal resistance of the floor between its surfaces (m²K/W).
    pub floor_m2k_w: f64,
    /// Height of the floor above the ground outside (m).
    pub height_m: f64,
    /// Thermal transmittance of the walls of the space (W/(m²K)).
    pub space_wall_w_m2k: f64,
    /// Area of the vents for each metre of perimeter (m²/m).
    pub vents_m2_m: f64,
    /// Mean wind speed at ten metres (m/s).
    pub wind_m_s: f64,
    /// Factor of shielding from the wind.
    pub wind_shielding: f64,
}

/// Thermal transmittance of a suspended floor.
///
/// # Source
/// ISO 13370, suspended floor: floor in series with the ground beside the walls and vents of the space, as the
/// government's reduced-data procedure prints it (RdSAP, S5.5).
/// # Units
/// See [`Suspended`]; result W/(m²K).
/// # Validity
/// Natural ventilation of the space. Without exposed perimeter nothing is lost in the steady state.
/// # Errors
/// [`MethodError::Impossible`] if area or conductivity is not above 0, or another figure is below 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13370::{self, Suspended}, Off};
/// // a government test value: 0.63
/// let floor = Suspended { area_m2: 70.93, perimeter_m: 26.09, wall_thickness_m: 0.25, ground_w_mk: 1.5,
///     floor_m2k_w: 0.2, height_m: 0.3, space_wall_w_m2k: 1.5, vents_m2_m: 0.003, wind_m_s: 5.0, wind_shielding: 0.05 };
/// assert!((iso_13370::suspended_floor(floor, &mut Off)? - 0.62815).abs() < 1e-5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn suspended_floor(floor: Suspended, w: &mut impl Workings) -> Result<f64, MethodError> {
    let Suspended { area_m2, perimeter_m, wall_thickness_m, ground_w_mk, floor_m2k_w, .. } = floor;
    let Suspended { height_m, space_wall_w_m2k, vents_m2_m, wind_m_s, wind_shielding, .. } = floor;
    let none_below = [perimeter_m, wall_thickness_m, floor_m2k_w, height_m, space_wall_w_m2k, vents_m2_m, wind_m_s]
        .iter()
        .chain([&wind_shielding])
        .all(|figure| *figure >= 0.0);
    if !(area_m2 > 0.0 && ground_w_mk > 0.0 && none_below) {
        return Err(MethodError::Impossible { reason: "a suspended floor needs an area and a ground that conducts" });
    }
    if perimeter_m == 0.0 {
        return Ok(0.0);
    }
    let (inside_m2k_w, outside_m2k_w) = (INSIDE_SURFACE_M2K_W, OUTSIDE_SURFACE_M2K_W);
    let dimension_m = characteristic_dimension(area_m2, perimeter_m, w);
    eq!(w, ISO_13370: thickness_m = wall_thickness_m + ground_w_mk * (inside_m2k_w + outside_m2k_w));
    let ground_w_m2k = on_ground(dimension_m, thickness_m, ground_w_mk, w);
    eq!(w, ISO_13370: space_w_m2k = 2.0 * height_m * space_wall_w_m2k / dimension_m + 1450.0 * vents_m2_m * wind_m_s * wind_shielding / dimension_m);
    eq!(w, ISO_13370: u_value_w_m2k = 1.0 / (2.0 * inside_m2k_w + floor_m2k_w + 1.0 / (ground_w_m2k + space_w_m2k)));
    Ok(u_value_w_m2k)
}

/// A heated basement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Basement {
    /// Area of its floor (m²).
    pub area_m2: f64,
    /// Perimeter of its floor (m).
    pub perimeter_m: f64,
    /// Depth of its floor below the ground outside (m).
    pub depth_m: f64,
    /// Thickness of the walls above the ground (m).
    pub wall_thickness_m: f64,
    /// Thermal conductivity of the ground (W/(mK)).
    pub ground_w_mk: f64,
    /// Thermal resistance of the floor's layers (m²K/W).
    pub floor_m2k_w: f64,
    /// Thermal resistance of the walls' layers (m²K/W).
    pub wall_m2k_w: f64,
}

/// Thermal transmittances of the floor and of the walls of a heated basement.
///
/// # Source
/// ISO 13370, heated basement (9.3.2 and 9.3.3 of the edition of 2010, as an open energy model carries them).
/// # Units
/// See [`Basement`]; results W/(m²K).
/// # Validity
/// Steady state; the mean over the whole floor and over the whole height of the walls in the ground.
/// # Errors
/// [`MethodError::Impossible`] if area, perimeter, depth or conductivity is not above 0, or another figure below 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13370::{self, Basement}, Off};
/// let basement = Basement { area_m2: 48.0, perimeter_m: 28.0, depth_m: 2.2, wall_thickness_m: 0.3, ground_w_mk: 1.5,
///     floor_m2k_w: 2.0, wall_m2k_w: 2.0 };
/// let (floor, walls) = iso_13370::basement(basement, &mut Off)?;
/// assert!(floor < 0.29 && walls < 0.45 && walls > floor);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn basement(basement: Basement, w: &mut impl Workings) -> Result<(f64, f64), MethodError> {
    let Basement { area_m2, perimeter_m, depth_m, wall_thickness_m, ground_w_mk, floor_m2k_w, wall_m2k_w } = basement;
    let above = [area_m2, perimeter_m, depth_m, ground_w_mk].iter().all(|figure| *figure > 0.0);
    if !(above && wall_thickness_m >= 0.0 && floor_m2k_w >= 0.0 && wall_m2k_w >= 0.0) {
        return Err(MethodError::Impossible { reason: "a basement needs an area, a perimeter, a depth and a ground" });
    }
    let (inside_m2k_w, outside_m2k_w) = (INSIDE_SURFACE_M2K_W, OUTSIDE_SURFACE_M2K_W);
    let dimension_m = characteristic_dimension(area_m2, perimeter_m, w);
    eq!(w, ISO_13370: floor_thickness_m = wall_thickness_m + ground_w_mk * (inside_m2k_w + floor_m2k_w + outside_m2k_w));
    eq!(w, ISO_13370: thickness_m = floor_thickness_m + depth_m / 2.0);
    let floor_w_m2k = on_ground(dimension_m, thickness_m, ground_w_mk, w);
    let beside_m2k_w = WALL_SURFACE_M2K_W;
    eq!(w, ISO_13370: wall_equivalent_m = ground_w_mk * (beside_m2k_w + wall_m2k_w + outside_m2k_w));
    // the standard takes the lesser of the two where the floor is better insulated than the walls
    let floor_thickness_m = floor_thickness_m.min(wall_equivalent_m);
    eq!(w, ISO_13370: wall_w_m2k = 2.0 * ground_w_mk / (PI * depth_m) * (1.0 + 0.5 * floor_thickness_m / (floor_thickness_m + depth_m)) * ln(depth_m / wall_equivalent_m + 1.0));
    Ok((floor_w_m2k, wall_w_m2k))
}

/// Surface resistance inside, heat flowing sideways (m²K/W).
pub const WALL_SURFACE_M2K_W: f64 = 0.13;

/// Seconds of a year, as the standard counts them.
const YEAR_S: f64 = 3.15e7;

/// How a slab follows the yearly swing of temperatures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// Depth to which the yearly swing reaches (m).
    pub depth_m: f64,
    /// Coefficient of the inside swing (W/K).
    pub inside_w_k: f64,
    /// Coefficient of the outside swing (W/K).
    pub outside_w_k: f64,
}

/// Periodic heat transfer coefficients of a slab on the ground.
///
/// # Source
/// ISO 13370, periodic penetration depth and periodic coefficients of a slab on the ground without edge insulation.
/// # Units
/// See [`Slab`]; J/(m³K) for the ground's heat capacity; results m and W/K.
/// # Validity
/// A year's sinusoidal swing.
/// # Errors
/// As [`slab_on_ground`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13370::{self, Slab}, Off};
/// // a published slab: 3.17 m, 13.04 and 7.26 W/K
/// let slab = Slab { area_m2: 74.03, perimeter_m: 34.59, wall_thickness_m: 0.402, ground_w_mk: 2.0, floor_m2k_w: 4.418 };
/// let swing = iso_13370::slab_swing(slab, 2e6, &mut Off)?;
/// assert!((swing.inside_w_k - 13.04).abs() < 0.01 && (swing.outside_w_k - 7.26).abs() < 0.01);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn slab_swing(slab: Slab, ground_j_m3k: f64, w: &mut impl Workings) -> Result<Swing, MethodError> {
    let Slab { area_m2, perimeter_m, wall_thickness_m, ground_w_mk, floor_m2k_w } = slab;
    if !(area_m2 > 0.0 && ground_w_mk > 0.0 && perimeter_m >= 0.0 && floor_m2k_w >= 0.0 && ground_j_m3k > 0.0) {
        return Err(MethodError::Impossible { reason: "a slab needs an area and a ground that conducts" });
    }
    let (inside_m2k_w, outside_m2k_w, year_s) = (INSIDE_SURFACE_M2K_W, OUTSIDE_SURFACE_M2K_W, YEAR_S);
    eq!(w, ISO_13370: thickness_m = wall_thickness_m + ground_w_mk * (inside_m2k_w + floor_m2k_w + outside_m2k_w));
    eq!(w, ISO_13370: depth_m = sqrt(year_s * ground_w_mk / (PI * ground_j_m3k)));
    eq!(w, ISO_13370: inside_w_k = area_m2 * ground_w_mk / thickness_m * sqrt(2.0 / ((1.0 + depth_m / thickness_m) * (1.0 + depth_m / thickness_m) + 1.0)));
    eq!(w, ISO_13370: outside_w_k = 0.37 * perimeter_m * ground_w_mk * ln(depth_m / thickness_m + 1.0));
    Ok(Swing { depth_m, inside_w_k, outside_w_k })
}

#[cfg(test)]
mod tests {
    use super::*;

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

    #[test]
    fn an_edge_helps_more_the_farther_it_reaches_and_never_more_than_all_over() {
        let with = |reach_m, is_horizontal| {
            let edge = Edge { is_horizontal, reach_m, thickness_m: 0.1, conductivity_w_mk: 0.035 };
            slab_with_edge(slab(40.0, 0.0), edge, &mut Off).unwrap()
        };
        let bare = slab_on_ground(slab(40.0, 0.0), &mut Off).unwrap();
        assert!(with(0.5, true) < bare && with(1.0, true) < with(0.5, true));
        assert_eq!(with(1.0, true), with(0.5, false), "downward counts twice");
        let edge = Edge { is_horizontal: true, reach_m: 1.0, thickness_m: 0.1, conductivity_w_mk: 2.0 };
        assert!(slab_with_edge(slab(40.0, 0.0), edge, &mut Off).is_err());
    }

    #[test]
    fn a_basement_without_depth_has_the_floor_of_a_slab() {
        let of = |depth_m| Basement {
            area_m2: 96.0,
            perimeter_m: 40.0,
            depth_m,
            wall_thickness_m: 0.5,
            ground_w_mk: CLAY_W_MK,
            floor_m2k_w: 1.0,
            wall_m2k_w: 1.0,
        };
        let (floor, wall) = basement(of(1e-6), &mut Off).unwrap();
        assert!((floor - slab_on_ground(slab(40.0, 1.0), &mut Off).unwrap()).abs() < 1e-6);
        // the limit of a wall just below the ground: the wall's own layers and surfaces, by half again more
        assert!(wall > 0.0);
        let deep = basement(of(3.0), &mut Off).unwrap();
        assert!(deep.0 < floor && deep.1 < wall, "deeper loses less by area");
    }
}
