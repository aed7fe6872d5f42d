//! What water passes on its way: tubes with their fittings, valves as they are set.

use crate::methods::error::MethodError;
use crate::methods::fittings::{kv_drop, zeta_drop};
use crate::methods::friction::{self, Bore, Friction};
use crate::methods::friction_exponent::flow_exponent;
use crate::methods::water::Liquid;
use crate::methods::workings::{Off, Workings};

/// A length of tube with its fittings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// Its inside.
    pub bore: Bore,
    /// Length, of both legs where they are alike (m).
    pub length_m: f64,
    /// Loss coefficients of its fittings, all at its own velocity.
    pub zeta: f64,
    /// Its water, at its mean temperature.
    pub liquid: Liquid,
}

/// One of what stands in series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part {
    /// A length of tube with its fittings.
    Tube(Tube),
    /// A valve as it is set, a heat source, or whatever else is known by a Kv.
    Valve {
        /// Flow that it passes at 1 bar (m³/h); at 0 it is shut.
        kv_m3_h: f64,
        /// Density of its water (kg/m³).
        density_kg_m3: f64,
    },
}

impl Tube {
    /// What its length and its fittings take (Pa).
    fn drops(&self, found: &Friction, w: &mut impl Workings) -> (f64, f64) {
        let straight_pa = friction::drop_over(found.gradient_pa_m, self.length_m, w);
        (straight_pa, zeta_drop(self.zeta, self.liquid.density_kg_m3, found.velocity_m_s, w))
    }
}

impl Part {
    /// Pressure that it takes (Pa).
    ///
    /// # Source
    /// [`friction::in_tube`] and [`zeta_drop`], or [`kv_drop`].
    /// # Units
    /// kg/s; result Pa.
    /// # Validity
    /// As there.
    /// # Errors
    /// As there: a valve that is shut takes any pressure, and has no drop.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{friction::Bore, network_flow::{Part, Tube}, water::water, Off};
    /// // a floor loop of 80 m of 16 x 2 tube at 2.0 l/min: 11.0 kPa
    /// let liquid = water(35.0)?;
    /// let bore = Bore { inside_diameter_mm: 12.0, roughness_mm: 0.007 };
    /// let tube = Part::Tube(Tube { bore, length_m: 80.0, zeta: 0.0, liquid });
    /// let drop_pa = tube.pressure_drop(2.0 / 60_000.0 * liquid.density_kg_m3, &mut Off)?;
    /// assert!((drop_pa - 11_016.0).abs() < 5.0);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn pressure_drop(&self, mass_flow_kg_s: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
        match *self {
            Self::Tube(tube) => {
                let found = friction::in_tube(tube.bore, &tube.liquid, mass_flow_kg_s, w)?;
                let (straight_pa, fittings_pa) = tube.drops(&found, w);
                Ok(straight_pa + fittings_pa)
            }
            Self::Valve { kv_m3_h, density_kg_m3 } => {
                let flow_l_h = friction::volume_flow(mass_flow_kg_s, density_kg_m3, w);
                kv_drop(flow_l_h, kv_m3_h, density_kg_m3, w)
            }
        }
    }

    /// Pressure that it takes (Pa), and the power of the flow that this goes with there, at a flow above 0.
    fn drop_and_exponent(&self, mass_flow_kg_s: f64) -> Result<(f64, f64), MethodError> {
        match self {
            Self::Tube(tube) => {
                let found = friction::in_tube(tube.bore, &tube.liquid, mass_flow_kg_s, &mut Off)?;
                let (straight_pa, fittings_pa) = tube.drops(&found, &mut Off);
                let drop_pa = straight_pa + fittings_pa;
                let roughness = tube.bore.roughness_mm / tube.bore.inside_diameter_mm;
                let exponent = flow_exponent(found.reynolds, roughness, found.friction_factor)?;
                let weighed_pa = exponent * straight_pa + 2.0 * fittings_pa;
                Ok((drop_pa, if drop_pa > 0.0 { weighed_pa / drop_pa } else { 2.0 }))
            }
            Self::Valve { .. } => Ok((self.pressure_drop(mass_flow_kg_s, &mut Off)?, 2.0)),
        }
    }

    /// Density of its water (kg/m³).
    pub(super) fn density_kg_m3(&self) -> f64 {
        match self {
            Self::Tube(tube) => tube.liquid.density_kg_m3,
            Self::Valve { density_kg_m3, .. } => *density_kg_m3,
        }
    }

    /// Whether nothing passes.
    fn is_shut(&self) -> bool {
        matches!(self, Self::Valve { kv_m3_h, .. } if *kv_m3_h == 0.0)
    }

    /// Whether it takes any pressure.
    fn takes(&self) -> bool {
        match self {
            Self::Tube(tube) => tube.length_m > 0.0 || tube.zeta > 0.0,
            Self::Valve { .. } => true,
        }
    }

    /// Refuses what no tube and no valve is.
    fn check(&self) -> Result<(), MethodError> {
        let above_zero = |value: f64| value.is_finite() && value > 0.0;
        let from_zero = |value: f64| value.is_finite() && value >= 0.0;
        let (sound, reason) = match self {
            Self::Tube(Tube { bore, length_m, zeta, liquid }) => {
                friction::RELATIVE_ROUGHNESS.check(bore.roughness_mm / bore.inside_diameter_mm)?;
                let water = above_zero(liquid.density_kg_m3) && above_zero(liquid.dynamic_viscosity_pa_s);
                let sound = above_zero(bore.inside_diameter_mm) && from_zero(*length_m) && from_zero(*zeta) && water;
                (sound, "a tube has a bore, water, and no length or fittings below nothing")
            }
            Self::Valve { kv_m3_h, density_kg_m3 } => (
                from_zero(*kv_m3_h) && above_zero(*density_kg_m3),
                "a valve has water and a Kv, and none below nothing",
            ),
        };
        if sound { Ok(()) } else { Err(MethodError::Impossible { reason }) }
    }
}

/// Pressure that parts in series take (Pa): with the flow that was found, what a section or an end shows of it.
///
/// # Source
/// Sum of [`Part::pressure_drop`].
/// # Units
/// kg/s; result Pa.
/// # Validity
/// As there.
/// # Errors
/// As there.
/// # Examples
/// ```
/// # use tundish_engine::methods::{network_flow::{Part, drop_of}, Off};
/// // 500 kg/h through two valves of Kv 1: twice 25 kPa
/// let valve = Part::Valve { kv_m3_h: 1.0, density_kg_m3: 1000.0 };
/// assert!((drop_of(&[valve, valve], 500.0 / 3600.0, &mut Off)? - 50_000.0).abs() < 1e-9);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn drop_of(parts: &[Part], mass_flow_kg_s: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    let mut drop_pa = 0.0;
    for part in parts {
        drop_pa += part.pressure_drop(mass_flow_kg_s, w)?;
    }
    Ok(drop_pa)
}

/// Drop (Pa) and by how much it grows with the flow (Pa s/kg), at a flow above 0.
pub(super) fn drop_and_slope(parts: &[Part], mass_flow_kg_s: f64) -> Result<(f64, f64), MethodError> {
    let (mut drop_pa, mut grows_pa) = (0.0, 0.0);
    for part in parts {
        let (takes_pa, exponent) = part.drop_and_exponent(mass_flow_kg_s)?;
        drop_pa += takes_pa;
        grows_pa += exponent * takes_pa;
    }
    Ok((drop_pa, grows_pa / mass_flow_kg_s))
}

/// Whether water can pass; refuses what no tube and no valve is.
pub(super) fn is_open(parts: &[Part]) -> Result<bool, MethodError> {
    parts.iter().try_for_each(Part::check)?;
    Ok(!parts.iter().any(Part::is_shut))
}

/// Whether parts in series take any pressure.
pub(super) fn takes_any(parts: &[Part]) -> bool {
    parts.iter().any(Part::takes)
}
