//! Heat transfer from water to the tube that it flows in, laminar to turbulent.
//!
//! The same Reynolds numbers as for friction part laminar from turbulent flow, and the same share blends the two.

use super::error::MethodError;
use super::friction::{self, Bore, LAMINAR_TO, TURBULENT_FROM};
use super::math::{pow, sqrt};
use super::water::Liquid;
use super::workings::Workings;
use crate::eq;

/// Heat transfer coefficient between water and a straight round tube.
///
/// # Source
/// Fully developed flow: laminar at an even flux, Nu = 48/11, for the screed round a tube lets little more through where
/// the water is warmer; turbulent by [`gnielinski`] with the friction factor of Colebrook-White; between the two blended
/// as friction is, a choice of this program.
/// # Units
/// Flow kg/s, conductivity of the water W/(mK); result W/(m²K), by the surface of the bore.
/// # Validity
/// As [`friction::friction_factor`], and Prandtl numbers of water between 0 and 100 °C. What an inlet or a bend stirs up
/// is left out, so that the film is rather too thick.
/// # Errors
/// [`MethodError::OutOfRange`] beyond the range of friction; [`MethodError::NotConverged`] as there.
/// # Examples
/// ```
/// # use tundish_engine::methods::{film, friction::Bore, water, Off};
/// // 40 l/h in 12 mm are laminar: 48/11 · 0.6218 / 0.012
/// let bore = Bore { inside_diameter_mm: 12.0, roughness_mm: 0.0 };
/// let film = film::in_tube(bore, &water::water(35.0)?, water::conductivity(35.0)?, 40.0 / 3600.0, &mut Off)?;
/// assert!((film - 226.1).abs() < 0.1);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn in_tube(
    bore: Bore,
    water: &Liquid,
    conductivity_w_mk: f64,
    mass_flow_kg_s: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let (_, reynolds) = friction::reynolds(bore, water, mass_flow_kg_s, w)?;
    let (specific_heat_j_kgk, dynamic_viscosity_pa_s) = (water.specific_heat_j_kgk, water.dynamic_viscosity_pa_s);
    eq!(w, HEAT_TRANSFER: prandtl = specific_heat_j_kgk * dynamic_viscosity_pa_s / conductivity_w_mk);
    let relative_roughness = bore.roughness_mm / bore.inside_diameter_mm;
    let nusselt = nusselt(reynolds, prandtl, relative_roughness, w)?;
    let bore_m = bore.inside_diameter_mm / 1000.0;
    eq!(w, HEAT_TRANSFER: film_w_m2k = nusselt * conductivity_w_mk / bore_m);
    Ok(film_w_m2k)
}

/// Nusselt number of fully developed flow in a straight round tube, see [`in_tube`].
///
/// # Source
/// As [`in_tube`].
/// # Units
/// None.
/// # Validity
/// As [`in_tube`].
/// # Errors
/// As [`in_tube`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{film, Off};
/// assert_eq!(film::nusselt(1500.0, 5.0, 0.0, &mut Off)?, 48.0 / 11.0);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn nusselt(
    reynolds: f64,
    prandtl: f64,
    relative_roughness: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    if reynolds < TURBULENT_FROM {
        eq!(w, HEAT_TRANSFER: laminar_nusselt = 48.0 / 11.0);
        if reynolds <= LAMINAR_TO {
            return Ok(laminar_nusselt);
        }
        let friction_factor = friction::colebrook(reynolds, relative_roughness, w)?.friction_factor;
        let turbulent_nusselt = gnielinski(reynolds, prandtl, friction_factor, w);
        let turbulent_share = friction::turbulent_share(reynolds, w);
        eq!(w, TRADE_PRACTICE: nusselt = (1.0 - turbulent_share) * laminar_nusselt + turbulent_share * turbulent_nusselt);
        return Ok(nusselt);
    }
    let friction_factor = friction::colebrook(reynolds, relative_roughness, w)?.friction_factor;
    Ok(gnielinski(reynolds, prandtl, friction_factor, w))
}

/// Nusselt number of turbulent flow in a tube.
///
/// # Source
/// Gnielinski (1976), with the Darcy friction factor of the tube.
/// # Units
/// None.
/// # Validity
/// Reynolds numbers from 2300 to 5·10⁶, Prandtl numbers from 0.5 to 2000.
/// # Examples
/// ```
/// # use tundish_engine::methods::{film, Off};
/// // another library: 254.626827
/// assert!((film::gnielinski(1e5, 1.2, 0.0185, &mut Off) - 254.626827).abs() < 1e-6);
/// ```
pub fn gnielinski(reynolds: f64, prandtl: f64, friction_factor: f64, w: &mut impl Workings) -> f64 {
    eq!(w, GNIELINSKI: nusselt = friction_factor / 8.0 * (reynolds - 1000.0) * prandtl / (1.0 + 12.7 * sqrt(friction_factor / 8.0) * (pow(prandtl, 2.0 / 3.0) - 1.0)));
    nusselt
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    fn at(reynolds: f64) -> f64 {
        nusselt(reynolds, 4.8, 0.0, &mut Off).unwrap()
    }

    #[test]
    fn there_is_no_step_at_either_end_of_the_blend() {
        for edge in [LAMINAR_TO, TURBULENT_FROM] {
            let (below, above) = (at(edge - 1e-6), at(edge + 1e-6));
            assert!((below / above - 1.0).abs() < 1e-8, "{below} and {above}");
        }
    }

    #[test]
    fn more_flow_gives_more_heat() {
        let mut last = at(LAMINAR_TO);
        for reynolds in (2010..20_000).step_by(10) {
            let next = at(f64::from(reynolds));
            assert!(next > last, "{next} at {reynolds}");
            last = next;
        }
    }
}
