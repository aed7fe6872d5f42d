//! Friction of water in a straight tube, laminar to turbulent.
//!
//! Laminar below Re 2000, Colebrook-White above 4000. Between the two, where no formula holds, the laminar and the
//! turbulent factor are blended by a share that leaves and arrives without a step and without a kink, so that a
//! network solver never meets either.

use super::error::{MethodError, Range};
use super::math::{LN_10, PI, ln, log10, pow};
use super::water::Liquid;
use super::workings::Workings;
use crate::eq;
use crate::sources::{COLEBROOK, FLUID_MECHANICS};

/// Reynolds number up to which flow is laminar.
pub const LAMINAR_TO: f64 = 2000.0;
/// Reynolds number from which flow is turbulent.
pub const TURBULENT_FROM: f64 = 4000.0;

/// Reynolds numbers that friction is given for: from rest to far beyond any heating pipe.
pub const REYNOLDS: Range = Range { quantity: "reynolds", min: 0.0, max: 1e8, published: &FLUID_MECHANICS };
/// Reynolds numbers that Colebrook-White is solved for: turbulent, and down to where the blend begins.
pub const TURBULENT: Range = Range { quantity: "reynolds", min: LAMINAR_TO, max: 1e8, published: &COLEBROOK };
/// Roughness over bore: from smooth to the roughest of the published charts.
pub const RELATIVE_ROUGHNESS: Range =
    Range { quantity: "relative_roughness", min: 0.0, max: 0.05, published: &COLEBROOK };

/// The inside of a straight tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bore {
    /// Inside diameter (mm).
    pub inside_diameter_mm: f64,
    /// Roughness of the wall (mm).
    pub roughness_mm: f64,
}

/// Flow in a straight tube, and what it costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// Mean velocity (m/s).
    pub velocity_m_s: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Darcy friction factor; 0 at rest, where there is none.
    pub friction_factor: f64,
    /// Pressure lost on a metre of tube (Pa/m).
    pub gradient_pa_m: f64,
}

/// A friction factor by Colebrook-White, and how well it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turbulent {
    /// Darcy friction factor.
    pub friction_factor: f64,
    /// What the equation leaves over, in units of 1/√f.
    pub residual: f64,
    /// Steps that the iteration took.
    pub iterations: usize,
}

/// Velocity, Reynolds number, friction factor and pressure gradient of water in a straight tube.
///
/// # Source
/// Darcy-Weisbach, with the friction factor of [`friction_factor`].
/// # Units
/// mm, kg/s; see the fields of the result.
/// # Validity
/// Full tube, steady flow, [`REYNOLDS`], [`RELATIVE_ROUGHNESS`]; a flow at rest costs nothing.
/// # Errors
/// [`MethodError::Impossible`] for a bore that is not above 0 or a flow below 0, [`MethodError::OutOfRange`]
/// outside of the ranges, [`MethodError::NotConverged`] should Colebrook-White not settle.
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction::{self, Bore}, water::water, Off};
/// // a floor loop: 16 x 2 tube, 2.0 l/min at 35 °C
/// let water = water(35.0)?;
/// let bore = Bore { inside_diameter_mm: 12.0, roughness_mm: 0.007 };
/// let flow = friction::in_tube(bore, &water, 2.0 / 60.0 / 1000.0 * water.density_kg_m3, &mut Off)?;
/// assert!((flow.velocity_m_s - 0.2947).abs() < 1e-4);
/// assert!((flow.gradient_pa_m - 137.7).abs() < 0.1);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn in_tube(
    bore: Bore,
    water: &Liquid,
    mass_flow_kg_s: f64,
    w: &mut impl Workings,
) -> Result<Friction, MethodError> {
    let (velocity_m_s, reynolds) = reynolds(bore, water, mass_flow_kg_s, w)?;
    if velocity_m_s == 0.0 {
        return Ok(Friction { velocity_m_s, reynolds, friction_factor: 0.0, gradient_pa_m: 0.0 });
    }
    let Bore { inside_diameter_mm, roughness_mm } = bore;
    let (density_kg_m3, inside_diameter_m) = (water.density_kg_m3, inside_diameter_mm / 1000.0);
    eq!(w, FLUID_MECHANICS: relative_roughness = roughness_mm / inside_diameter_mm);
    let friction_factor = friction_factor(reynolds, relative_roughness, w)?;
    eq!(w, FLUID_MECHANICS: gradient_pa_m = friction_factor * density_kg_m3 * pow(velocity_m_s, 2.0) / (2.0 * inside_diameter_m));
    Ok(Friction { velocity_m_s, reynolds, friction_factor, gradient_pa_m })
}

/// Velocity (m/s) and Reynolds number of water in a straight tube.
///
/// # Source
/// Conservation of mass; Reynolds.
/// # Units
/// mm, kg/s; result m/s and none.
/// # Validity
/// Full tube.
/// # Errors
/// [`MethodError::Impossible`] for a bore that is not above 0 or a flow below 0.
/// # Examples
/// See [`in_tube`].
pub fn reynolds(
    bore: Bore,
    water: &Liquid,
    mass_flow_kg_s: f64,
    w: &mut impl Workings,
) -> Result<(f64, f64), MethodError> {
    let Liquid { density_kg_m3, dynamic_viscosity_pa_s, .. } = *water;
    if !(bore.inside_diameter_mm > 0.0 && mass_flow_kg_s >= 0.0) {
        return Err(MethodError::Impossible { reason: "a tube needs a bore, and its flow a direction" });
    }
    let inside_diameter_m = bore.inside_diameter_mm / 1000.0;
    eq!(w, FLUID_MECHANICS: velocity_m_s = mass_flow_kg_s / (density_kg_m3 * PI / 4.0 * pow(inside_diameter_m, 2.0)));
    if velocity_m_s == 0.0 {
        return Ok((velocity_m_s, 0.0));
    }
    eq!(w, FLUID_MECHANICS: reynolds = density_kg_m3 * velocity_m_s * inside_diameter_m / dynamic_viscosity_pa_s);
    Ok((velocity_m_s, reynolds))
}

/// Darcy friction factor of a straight round tube.
///
/// Between [`LAMINAR_TO`] and [`TURBULENT_FROM`] the factor is (1 − b)·64/Re + b·Colebrook, both at that Reynolds
/// number, with b = s²(3 − 2s) and s running from 0 to 1. It lies between the two, meets both ends in value and in
/// slope of b, and the pressure gradient still grows with the flow.
///
/// # Source
/// Hagen-Poiseuille (64/Re) and Colebrook-White; the blend between them is a choice of this program.
/// # Units
/// None.
/// # Validity
/// [`REYNOLDS`] above 0, [`RELATIVE_ROUGHNESS`]. In the blend the truth depends on inlet and disturbance: any figure
/// from 64/Re to Colebrook is defensible.
/// # Errors
/// [`MethodError::OutOfRange`] outside of that, [`MethodError::NotConverged`] should Colebrook-White not settle.
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction, Off};
/// assert_eq!(friction::friction_factor(1000.0, 0.0, &mut Off)?, 0.064);
/// assert!((friction::friction_factor(50_729.0, 5.73e-5, &mut Off)? - 0.0210314).abs() < 1e-6);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn friction_factor(reynolds: f64, relative_roughness: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    RELATIVE_ROUGHNESS.check(relative_roughness)?;
    if REYNOLDS.check(reynolds)? == 0.0 {
        return Err(MethodError::Impossible { reason: "water at rest has no friction factor" });
    }
    if reynolds <= LAMINAR_TO {
        eq!(w, FLUID_MECHANICS: friction_factor = 64.0 / reynolds);
        return Ok(friction_factor);
    }
    if reynolds >= TURBULENT_FROM {
        return Ok(colebrook(reynolds, relative_roughness, w)?.friction_factor);
    }
    let turbulent_factor = colebrook(reynolds, relative_roughness, w)?.friction_factor;
    eq!(w, FLUID_MECHANICS: laminar_factor = 64.0 / reynolds);
    let turbulent_share = turbulent_share(reynolds, w);
    eq!(w, TRADE_PRACTICE: friction_factor = (1.0 - turbulent_share) * laminar_factor + turbulent_share * turbulent_factor);
    Ok(friction_factor)
}

/// Share of turbulence in flow between [`LAMINAR_TO`] and [`TURBULENT_FROM`], for friction and film alike.
///
/// # Source
/// A choice of this program: s²(3 − 2s), which leaves and arrives without a step and without a kink.
/// # Units
/// None; 0 to 1.
/// # Validity
/// Reynolds numbers from [`LAMINAR_TO`] to [`TURBULENT_FROM`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction, Off};
/// assert_eq!(friction::turbulent_share(3000.0, &mut Off), 0.5);
/// ```
pub fn turbulent_share(reynolds: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: way = (reynolds - 2000.0) / (4000.0 - 2000.0));
    eq!(w, TRADE_PRACTICE: turbulent_share = way * way * (3.0 - 2.0 * way));
    turbulent_share
}

/// Darcy friction factor of turbulent flow, solved exactly.
///
/// Newton's method on x + 2·log10(k/(3.7 d) + 2.51·x/Re) with x = 1/√f. The function rises and bends downward, so from
/// the second step on it is approached from below and never passed.
///
/// # Source
/// Colebrook-White, 1/√f = −2·log10(k/(3.7 d) + 2.51/(Re·√f)). The workings record it with the root on both sides.
/// # Units
/// None.
/// # Validity
/// [`TURBULENT`], [`RELATIVE_ROUGHNESS`].
/// # Errors
/// [`MethodError::OutOfRange`] outside of that, [`MethodError::NotConverged`] if 1/√f moves by more than 1e-12 of
/// itself after [`MOST_STEPS`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction, Off};
/// let found = friction::colebrook(50_729.0, 5.73e-5, &mut Off)?;
/// assert!((found.friction_factor - 0.0210314).abs() < 1e-6);
/// assert!(found.residual.abs() < 1e-11);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn colebrook(reynolds: f64, relative_roughness: f64, w: &mut impl Workings) -> Result<Turbulent, MethodError> {
    TURBULENT.check(reynolds)?;
    RELATIVE_ROUGHNESS.check(relative_roughness)?;
    let (root, iterations) = colebrook_root(reynolds, relative_roughness)?;
    eq!(w, COLEBROOK: inverse_root = -2.0 * log10(relative_roughness / 3.7 + 2.51 * root / reynolds));
    eq!(w, COLEBROOK: friction_factor = 1.0 / pow(inverse_root, 2.0));
    Ok(Turbulent { friction_factor, residual: inverse_root - root, iterations })
}

/// Steps that Colebrook-White may take; it needs seven at most.
pub const MOST_STEPS: usize = 30;

/// Natural logarithm from the exponent of a double and its mantissa as it stands: never more than 0.06 too low, on every machine alike.
fn rough_ln(x: f64) -> f64 {
    const ONE: u64 = 1.0_f64.to_bits();
    /// What the exponent of a double begins with in its bits.
    const BY_TWO: f64 = 4_503_599_627_370_496.0;
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_wrap,
        reason = "what is left of the mantissa is enough"
    )]
    let over_one = x.to_bits() as i64 as f64 - ONE as f64;
    over_one / BY_TWO * core::f64::consts::LN_2
}

/// 1/√f by Colebrook-White, and the steps it took.
fn colebrook_root(reynolds: f64, relative_roughness: f64) -> Result<(f64, usize), MethodError> {
    // each step leaves the third power of the error before it
    const TOLERANCE: f64 = 1e-5;
    let scale = 2.0 / LN_10;
    let (rough, smooth) = (relative_roughness / 3.7, 2.51 / reynolds);
    // at a middle friction factor, by a logarithm that is right to six hundredths
    let (mut x, mut step) = (-scale * rough_ln(rough + 7.0 * smooth), f64::INFINITY);
    for iterations in 1..=MOST_STEPS {
        let inner = rough + smooth * x;
        let (by_inner, value) = (smooth / inner, x + scale * ln(inner));
        let slope = 1.0 + scale * by_inner;
        // Halley's method
        step = value / (slope + 0.5 * value / slope * scale * by_inner * by_inner);
        x -= step;
        if step.abs() <= TOLERANCE * x {
            return Ok((x, iterations));
        }
    }
    Err(MethodError::NotConverged { what: "the friction factor", iterations: MOST_STEPS, residual: step })
}

/// Volume flow of a mass flow.
///
/// # Source
/// Conservation of mass.
/// # Units
/// kg/s, kg/m³; result l/h.
/// # Validity
/// At the temperature that the density belongs to.
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction, Off};
/// // 7 kW at 5 K and 35 °C: 1206 kg/h
/// assert!((friction::volume_flow(1206.0 / 3600.0, 994.08, &mut Off) - 1213.0).abs() < 0.5);
/// ```
pub fn volume_flow(mass_flow_kg_s: f64, density_kg_m3: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: flow_l_h = mass_flow_kg_s / density_kg_m3 * 3.6e6);
    flow_l_h
}

/// Pressure lost on a length of tube.
///
/// # Source
/// Darcy-Weisbach: the loss of a metre, times the metres.
/// # Units
/// Pa/m, m; result Pa.
/// # Validity
/// One bore and one flow all along.
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction, Off};
/// // a floor loop of 80 m: 11.0 kPa
/// assert!((friction::drop_over(137.7, 80.0, &mut Off) - 11_000.0).abs() < 50.0);
/// ```
pub fn drop_over(gradient_pa_m: f64, length_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: friction_drop_pa = gradient_pa_m * length_m);
    friction_drop_pa
}

/// Mass flow at a velocity.
///
/// # Source
/// Conservation of mass.
/// # Units
/// mm, m/s; result kg/s.
/// # Validity
/// Full tube.
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction::{self, Bore}, water::water};
/// // 10 mm copper at 1.0 m/s and 5 K carries about 1.27 kW
/// let (bore, water) = (Bore { inside_diameter_mm: 8.8, roughness_mm: 0.0015 }, water(40.0)?);
/// let heat_w = friction::mass_flow_at(bore, &water, 1.0) * water.specific_heat_j_kgk * 5.0;
/// assert!((heat_w - 1270.0).abs() < 10.0);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
#[must_use]
pub fn mass_flow_at(bore: Bore, water: &Liquid, velocity_m_s: f64) -> f64 {
    let inside_diameter_m = bore.inside_diameter_mm / 1000.0;
    water.density_kg_m3 * PI / 4.0 * inside_diameter_m * inside_diameter_m * velocity_m_s
}

/// Velocity at a mass flow.
///
/// # Source
/// Conservation of mass, as [`mass_flow_at`].
/// # Units
/// mm, kg/s; result m/s.
/// # Validity
/// Full tube.
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction::{self, Bore}, water::water, Off};
/// // 10 mm copper, 60.82 mm² within: 1 kg/s of 1,000 kg/m³ would run at 16.4 m/s
/// let (bore, water) = (Bore { inside_diameter_mm: 8.8, roughness_mm: 0.0015 }, water(4.0)?);
/// assert!((friction::velocity_at(bore, &water, 1.0, &mut Off) - 16.44).abs() < 0.01);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn velocity_at(bore: Bore, water: &Liquid, mass_flow_kg_s: f64, w: &mut impl Workings) -> f64 {
    let at_one_m_s_kg_s = mass_flow_at(bore, water, 1.0);
    eq!(w, FLUID_MECHANICS: velocity_m_s = mass_flow_kg_s / at_one_m_s_kg_s);
    velocity_m_s
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;
    use crate::methods::water::water;

    fn factor(reynolds: f64) -> f64 {
        friction_factor(reynolds, 1e-4, &mut Off).unwrap()
    }

    #[test]
    fn there_is_no_step_at_either_end_of_the_blend() {
        for edge in [LAMINAR_TO, TURBULENT_FROM] {
            let (below, above) = (factor(edge * (1.0 - 1e-9)), factor(edge * (1.0 + 1e-9)));
            assert!((below / above - 1.0).abs() < 1e-7, "Re {edge}: {below} and {above}");
        }
    }

    #[test]
    fn colebrook_settles_on_its_whole_range() {
        for decade in 0..=470 {
            let reynolds = 2000.0 * pow(10.0, f64::from(decade) / 100.0);
            if reynolds > TURBULENT.max {
                break;
            }
            for roughness in [0.0, 1e-8, 1e-6, 1e-4, 1e-3, 1e-2, 0.05] {
                let found = colebrook(reynolds, roughness, &mut Off).unwrap();
                assert!(found.residual.abs() < 1e-11 && found.iterations <= 7, "{reynolds} {roughness} {found:?}");
            }
        }
    }

    #[test]
    fn the_gradient_grows_with_the_flow() {
        let water = water(35.0).unwrap();
        for inside_diameter_mm in [6.8, 13.6, 26.2] {
            let bore = Bore { inside_diameter_mm, roughness_mm: 0.0015 };
            let mut last = 0.0;
            for step in 1..2000 {
                let flow_kg_s = 1e-4 * f64::from(step);
                let gradient = in_tube(bore, &water, flow_kg_s, &mut Off).unwrap().gradient_pa_m;
                assert!(gradient > last);
                last = gradient;
            }
        }
    }

    #[test]
    fn water_at_rest_costs_nothing_and_has_no_factor() {
        let water = water(35.0).unwrap();
        let bore = Bore { inside_diameter_mm: 12.0, roughness_mm: 0.007 };
        assert!(in_tube(bore, &water, 0.0, &mut Off).unwrap().gradient_pa_m.abs() < f64::MIN_POSITIVE);
        assert!(friction_factor(0.0, 0.0, &mut Off).is_err());
        assert!(in_tube(Bore { inside_diameter_mm: 0.0, ..bore }, &water, 0.1, &mut Off).is_err());
        assert!(in_tube(bore, &water, -0.1, &mut Off).is_err());
    }
}
