//! Properties of mixtures of water and glycol, by Melinder's polynomials.
//!
//! Each property is a polynomial in temperature and mass fraction about a base point; the viscosity is its exponential.
//! The coefficients are those of the book as a library of fluid properties carries them. Two published fits of the
//! specific heat of propylene glycol differ by 2.2 % at 5 °C and by 3.5 % below freezing: no more is promised here.

use super::error::{MethodError, Range};
use super::math::exp;
use super::water::Liquid;
use super::workings::Workings;
use crate::eq;
use crate::sources::MELINDER;

/// Mass fractions of glycol that mixtures are known for; below 10 % they protect from nothing and feed bacteria.
pub const FRACTION: Range = Range { quantity: "fraction", min: 0.1, max: 0.6, published: &MELINDER };

/// Highest temperature of the polynomials (°C); the lowest is the freezing point.
const HOTTEST_C: f64 = 100.0;

/// What is mixed with water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Substance {
    /// Propylene glycol, which is hardly poisonous.
    Propylene,
    /// Ethylene glycol, which is poisonous.
    Ethylene,
}

/// Powers of the temperature, each with its powers of the fraction.
type Surface = [[f64; 6]; 4];

/// A substance's polynomials about a base point.
struct Fit {
    base_c: f64,
    base_fraction: f64,
    density_kg_m3: Surface,
    specific_heat_j_kgk: Surface,
    /// Logarithm of the viscosity in Pa s.
    ln_viscosity: Surface,
    conductivity_w_mk: Surface,
    freezing_k: [f64; 6],
}

/// 0 °C (K).
const FREEZING_K: f64 = 273.15;

#[rustfmt::skip]
static PROPYLENE: Fit = Fit {
    base_c: 32.7083,
    base_fraction: 0.307_031,
    density_kg_m3: [
        [1018.0, 76.04, -24.98, -155.0, -113.1, 234.2],
        [-0.5406, -0.945, 0.27, 2.829, -2.221, 0.0],
        [-0.002_666, 0.005_541, -0.004_018, -0.007_175, 0.0, 0.0],
        [1.347e-5, -1.343e-5, 3.376e-5, 0.0, 0.0, 0.0],
    ],
    specific_heat_j_kgk: [
        [3882.0, -1304.0, -1598.0, 353.9, 5000.0, -4959.0],
        [2.699, 5.07, 0.9534, 31.02, -71.35, 0.0],
        [-0.001_659, -0.004_752, 0.1167, -0.295, 0.0, 0.0],
        [-1.032e-5, 0.000_152_2, -0.000_487, 0.0, 0.0, 0.0],
    ],
    ln_viscosity: [
        [-6.224_055, 3.328, 0.5453, -3.9, -1.587, 35.64],
        [-0.030_45, -0.039_84, -0.000_86, 0.1054, 0.044_75, 0.0],
        [0.000_252_5, 0.000_433_2, -0.000_159_3, -0.001_589, 0.0, 0.0],
        [-1.399e-6, -1.86e-6, -4.465e-7, 0.0, 0.0, 0.0],
    ],
    conductivity_w_mk: [
        [0.4513, -0.4795, 0.2076, -0.090_83, -0.059_52, 0.2104],
        [0.000_795_5, -0.001_678, 0.001_563, -0.002_518, -0.003_605, 0.0],
        [3.482e-8, 8.941e-6, -4.615e-5, 6.543e-5, 0.0, 0.0],
        [-5.966e-9, 1.493e-8, 9.897e-8, 0.0, 0.0, 0.0],
    ],
    freezing_k: [259.9, -66.31, -109.4, -228.3, -340.9, 146.5],
};

#[rustfmt::skip]
static ETHYLENE: Fit = Fit {
    base_c: 31.728,
    base_fraction: 0.308_462,
    density_kg_m3: [
        [1034.0, 131.1, 0.749, -106.2, -96.23, 489.1],
        [-0.4781, -0.6876, 0.7855, 1.229, -7.211, 0.0],
        [-0.002_692, 0.004_805, -0.003_995, -0.011_53, 0.0, 0.0],
        [4.725e-6, 1.69e-6, 4.982e-5, 0.0, 0.0, 0.0],
    ],
    specific_heat_j_kgk: [
        [3737.0, -1799.0, -993.3, 2610.0, 1537.0, -16180.0],
        [2.93, 10.46, 3.516, -1.189, -42.72, 0.0],
        [-0.004_675, -0.041_47, 0.051_09, -0.1643, 0.0, 0.0],
        [-1.389e-5, 1.847e-5, -0.000_713_8, 0.0, 0.0, 0.0],
    ],
    ln_viscosity: [
        [-6.437_255, 2.471, 0.033_28, 1.659, 3.089, -18.65],
        [-0.0255, -0.011_71, 0.010_86, 0.003_157, 0.018_31, 0.0],
        [0.000_178_2, 0.000_105_2, 0.000_105_1, 0.000_406_3, 0.0, 0.0],
        [-7.669e-7, -1.634e-6, -6.475e-6, 0.0, 0.0, 0.0],
    ],
    conductivity_w_mk: [
        [0.472, -0.4286, 0.1747, 0.030_17, -0.1322, 0.2678],
        [0.000_890_3, -0.001_473, 0.000_681_4, -0.002_412, 0.002_555, 0.0],
        [-1.058e-6, 1.059e-5, -3.612e-5, 4.004e-5, 0.0, 0.0],
        [-2.789e-9, -1.142e-8, 2.365e-8, 0.0, 0.0, 0.0],
    ],
    freezing_k: [257.9, -80.8, -133.4, -72.93, 100.6, 11.4],
};

fn fit(substance: Substance) -> &'static Fit {
    match substance {
        Substance::Propylene => &PROPYLENE,
        Substance::Ethylene => &ETHYLENE,
    }
}

/// Density, specific heat and viscosity of a mixture.
///
/// # Source
/// Melinder, properties of secondary fluids, polynomials of 18 terms.
/// # Units
/// Mass fraction of glycol, °C; result kg/m³, J/(kgK), Pa s.
/// # Validity
/// [`FRACTION`], from the freezing point to 100 °C, liquid. Specific heat within 2.5 % of other fits from 5 °C up and
/// within 4 % below.
/// # Errors
/// [`MethodError::OutOfRange`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::glycol::{Substance, glycol};
/// let mixture = glycol(Substance::Propylene, 0.25, 35.0)?;
/// assert!((mixture.density_kg_m3 / 1012.5 - 1.0).abs() < 0.001);
/// // 7 kW at 5 K: about 1250 l/h, where plain water needs 1213
/// let flow_l_h = 7000.0 / (mixture.specific_heat_j_kgk * 5.0) / mixture.density_kg_m3 * 3.6e6;
/// assert!((1245.0..1265.0).contains(&flow_l_h));
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn glycol(substance: Substance, fraction: f64, temperature_c: f64) -> Result<Liquid, MethodError> {
    let at = point(substance, fraction, temperature_c)?;
    let fit = fit(substance);
    Ok(Liquid {
        density_kg_m3: surface(&fit.density_kg_m3, at),
        specific_heat_j_kgk: surface(&fit.specific_heat_j_kgk, at),
        dynamic_viscosity_pa_s: exp(surface(&fit.ln_viscosity, at)),
    })
}

/// Thermal conductivity of a mixture.
///
/// # Source
/// As [`glycol()`].
/// # Units
/// Mass fraction of glycol, °C; result W/(mK).
/// # Validity
/// As [`glycol()`].
/// # Errors
/// As [`glycol()`].
/// # Examples
/// ```
/// # use tundish_engine::methods::glycol::{Substance, conductivity};
/// assert!((conductivity(Substance::Propylene, 0.25, 35.0)? / 0.4814 - 1.0).abs() < 0.001);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn conductivity(substance: Substance, fraction: f64, temperature_c: f64) -> Result<f64, MethodError> {
    let at = point(substance, fraction, temperature_c)?;
    Ok(surface(&fit(substance).conductivity_w_mk, at))
}

/// Temperature at which the first ice forms in a mixture.
///
/// # Source
/// As [`glycol()`].
/// # Units
/// Mass fraction of glycol; result °C.
/// # Validity
/// [`FRACTION`]. Below it the mixture is slush before it is solid: a pipe does not burst at once, but nothing flows.
/// # Errors
/// [`MethodError::OutOfRange`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::glycol::{Substance, freezing_point};
/// assert!((freezing_point(Substance::Propylene, 0.25)? + 9.8).abs() < 0.1);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn freezing_point(substance: Substance, fraction: f64) -> Result<f64, MethodError> {
    let fit = fit(substance);
    let x = FRACTION.check(fraction)? - fit.base_fraction;
    Ok(polynomial(&fit.freezing_k, x) - FREEZING_K)
}

/// The weakest mixture, in whole hundredths, that is liquid down to a temperature (°C); nothing where none of [`FRACTION`] is.
///
/// # Errors
/// None within [`FRACTION`], which is all that is tried.
/// # Examples
/// ```
/// # use tundish_engine::methods::glycol::{Substance, freezing_point, weakest_that_stays_liquid};
/// let weakest = weakest_that_stays_liquid(Substance::Propylene, -15.0)?;
/// assert_eq!(weakest, Some(0.34));
/// assert!(freezing_point(Substance::Propylene, 0.34)? <= -15.0 && freezing_point(Substance::Propylene, 0.33)? > -15.0);
/// assert_eq!(weakest_that_stays_liquid(Substance::Propylene, -60.0)?, None);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn weakest_that_stays_liquid(substance: Substance, coldest_c: f64) -> Result<Option<f64>, MethodError> {
    // hundredths of whole numbers, so that the least and the greatest are those of the range to the last bit
    for hundredths in (0..=100).map(|hundredths| f64::from(hundredths) / 100.0) {
        let is_known = (FRACTION.min..=FRACTION.max).contains(&hundredths);
        if is_known && freezing_point(substance, hundredths)? <= coldest_c {
            return Ok(Some(hundredths));
        }
    }
    Ok(None)
}

/// Distance from the base point in temperature and fraction, if the mixture is liquid there.
fn point(substance: Substance, fraction: f64, temperature_c: f64) -> Result<(f64, f64), MethodError> {
    let min = freezing_point(substance, fraction)?;
    Range { quantity: "temperature_c", min, max: HOTTEST_C, published: &MELINDER }.check(temperature_c)?;
    let fit = fit(substance);
    Ok((temperature_c - fit.base_c, fraction - fit.base_fraction))
}

fn surface(coefficients: &Surface, (temperature, fraction): (f64, f64)) -> f64 {
    polynomial(&coefficients.map(|row| polynomial(&row, fraction)), temperature)
}

/// Sum of coefficients times rising powers of x.
fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, coefficient| sum * x + coefficient)
}

/// Antifreeze, undiluted, in a system that a mixture fills.
///
/// # Source
/// Conservation of mass: the mixture's mass times the fraction, over the density of the antifreeze alone.
/// # Units
/// l, kg/m³, mass fraction, kg/m³; result l.
/// # Validity
/// Densities at the temperature that it is measured out at.
/// # Examples
/// ```
/// # use tundish_engine::methods::{glycol, Off};
/// // 100 l of 1,020 kg/m³ with 25 % of their mass in 1,020 kg/m³: 25 l; of a denser one less
/// assert_eq!(glycol::undiluted(100.0, 1020.0, 0.25, 1020.0, &mut Off), 25.0);
/// assert!((glycol::undiluted(100.0, 1036.0, 0.3, 1113.0, &mut Off) - 27.925).abs() < 0.001);
/// ```
pub fn undiluted(system_l: f64, mixture_kg_m3: f64, fraction: f64, pure_kg_m3: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: undiluted_l = system_l * mixture_kg_m3 * fraction / pure_kg_m3);
    undiluted_l
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stays_within_its_range() {
        let at = |fraction, c| glycol(Substance::Propylene, fraction, c);
        assert!(at(0.09, 20.0).is_err() && at(0.61, 20.0).is_err() && at(f64::NAN, 20.0).is_err());
        let freezing_c = freezing_point(Substance::Propylene, 0.3).unwrap();
        assert!(at(0.3, freezing_c).is_ok() && at(0.3, freezing_c - 0.01).is_err());
        assert!(at(0.3, 100.0).is_ok() && at(0.3, 100.1).is_err());
    }

    #[test]
    fn more_glycol_is_thicker_and_freezes_later() {
        for substance in [Substance::Propylene, Substance::Ethylene] {
            for step in 10..60 {
                let (less, more) = (f64::from(step) / 100.0, f64::from(step + 1) / 100.0);
                assert!(freezing_point(substance, more).unwrap() < freezing_point(substance, less).unwrap());
                for c in [0.0, 20.0, 40.0, 60.0] {
                    let (less, more) = (glycol(substance, less, c), glycol(substance, more, c));
                    if let (Ok(less), Ok(more)) = (less, more) {
                        assert!(more.dynamic_viscosity_pa_s > less.dynamic_viscosity_pa_s);
                        assert!(more.specific_heat_j_kgk < less.specific_heat_j_kgk);
                    }
                }
            }
        }
    }
}
