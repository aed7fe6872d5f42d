//! Properties of liquid water in a heating system, by the formulations of IAPWS.

use std::cell::Cell;

use super::error::{MethodError, Range};
use super::math::{exp, sqrt};
use super::water_tables::{CONDUCTIVITY_DILUTE_GAS, CONDUCTIVITY_FINITE_DENSITY, DILUTE_GAS, FINITE_DENSITY, REGION_1};
use crate::sources::IAPWS_IF97;

/// Absolute pressure that the properties are taken at (`MPa`): 2 bar, a filled system of a house.
pub const PRESSURE_MPA: f64 = 0.2;

/// Temperatures that a heating system runs at, well inside region 1.
pub const TEMPERATURE: Range = Range { quantity: "temperature_c", min: 0.0, max: 100.0, published: &IAPWS_IF97 };

/// 0 °C (K).
const FREEZING_K: f64 = 273.15;
/// Specific gas constant of water (J/(kgK)), IF97.
const GAS_J_KGK: f64 = 461.526;
/// Reducing pressure of region 1 (`MPa`).
const REDUCING_MPA: f64 = 16.53;
/// Reducing temperature of region 1 (K).
const REDUCING_K: f64 = 1386.0;
/// Critical temperature of water (K), the reference of the viscosity.
const CRITICAL_K: f64 = 647.096;
/// Critical density of water (kg/m³), the reference of the viscosity.
const CRITICAL_KG_M3: f64 = 322.0;
/// Reference viscosity (Pa s).
const REFERENCE_PA_S: f64 = 1e-6;

/// Reference conductivity (W/(mK)).
const REFERENCE_W_MK: f64 = 1e-3;

/// What pipes and emitters need to know of their water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Liquid {
    /// Density (kg/m³).
    pub density_kg_m3: f64,
    /// Specific heat at constant pressure (J/(kgK)).
    pub specific_heat_j_kgk: f64,
    /// Dynamic viscosity (Pa s).
    pub dynamic_viscosity_pa_s: f64,
}

impl Liquid {
    /// Kinematic viscosity (m²/s).
    ///
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::water::water;
    /// assert!((water(35.0)?.kinematic_viscosity_m2_s() / 7.234e-7 - 1.0).abs() < 1e-4);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    #[must_use]
    pub fn kinematic_viscosity_m2_s(&self) -> f64 {
        self.dynamic_viscosity_pa_s / self.density_kg_m3
    }
}

/// Properties of water at 2 bar absolute.
///
/// # Source
/// IAPWS R7-97(2012), region 1, basic equation and table 3 (specific volume, isobaric heat capacity); IAPWS R12-08
/// for the viscosity, without the critical enhancement, which is nothing here.
/// # Units
/// °C; result kg/m³, J/(kgK), Pa s.
/// # Validity
/// 0–100 °C, liquid, 2 bar absolute. From 1 to 4 bar the density changes by less than 0.02 %.
/// # Errors
/// [`MethodError::OutOfRange`] outside [`TEMPERATURE`].
/// # Examples
/// ```
/// # use tundish_engine::methods::water::water;
/// let water = water(10.0)?;
/// assert!((water.density_kg_m3 - 999.7487).abs() < 1e-3);
/// assert!((water.specific_heat_j_kgk - 4195.072).abs() < 1e-2);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn water(temperature_c: f64) -> Result<Liquid, MethodError> {
    thread_local! {
        /// The last that was asked for: heat, friction and conduction ask one after the other.
        static LAST: Cell<Option<(u64, Liquid)>> = const { Cell::new(None) };
    }
    match LAST.get() {
        Some((bits, liquid)) if bits == temperature_c.to_bits() => Ok(liquid),
        Some(_) | None => {
            let liquid = computed(temperature_c)?;
            LAST.set(Some((temperature_c.to_bits(), liquid)));
            Ok(liquid)
        }
    }
}

/// [`water`], anew.
fn computed(temperature_c: f64) -> Result<Liquid, MethodError> {
    let kelvin = TEMPERATURE.check(temperature_c)? + FREEZING_K;
    let (pressure_slope, temperature_curve) = gibbs(PRESSURE_MPA / REDUCING_MPA, REDUCING_K / kelvin);
    // ρ = p*/(R T γπ): the pressure itself cancels
    let density_kg_m3 = REDUCING_MPA * 1e6 / (GAS_J_KGK * kelvin * pressure_slope);
    let inverse = REDUCING_K / kelvin;
    let specific_heat_j_kgk = -GAS_J_KGK * inverse * inverse * temperature_curve;
    Ok(Liquid { density_kg_m3, specific_heat_j_kgk, dynamic_viscosity_pa_s: viscosity(kelvin, density_kg_m3) })
}

/// Thermal conductivity of water at 2 bar absolute.
///
/// # Source
/// IAPWS R15-11 without the critical enhancement, as for the viscosity.
/// # Units
/// °C; result W/(mK).
/// # Validity
/// As [`water`].
/// # Errors
/// [`MethodError::OutOfRange`] outside [`TEMPERATURE`].
/// # Examples
/// ```
/// # use tundish_engine::methods::water::conductivity;
/// assert!((conductivity(10.0)? - 0.578_840_6).abs() < 1e-7);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn conductivity(temperature_c: f64) -> Result<f64, MethodError> {
    let density_kg_m3 = water(temperature_c)?.density_kg_m3;
    let (temperature, density) = ((temperature_c + FREEZING_K) / CRITICAL_K, density_kg_m3 / CRITICAL_KG_M3);
    let inverse = 1.0 / temperature;
    let gas = sqrt(temperature) / polynomial(&CONDUCTIVITY_DILUTE_GAS, inverse);
    let rows = CONDUCTIVITY_FINITE_DENSITY.map(|row| polynomial(&row, density - 1.0));
    Ok(REFERENCE_W_MK * gas * exp(density * polynomial(&rows, inverse - 1.0)))
}

/// First derivative by pressure and second by inverse temperature of the dimensionless Gibbs energy.
fn gibbs(reduced_pressure: f64, inverse_temperature: f64) -> (f64, f64) {
    let (p, t) = (Powers::of(7.1 - reduced_pressure), Powers::of(inverse_temperature - 1.222));
    let (mut by_pressure, mut by_temperature_twice) = (0.0, 0.0);
    for term in &REGION_1 {
        let (i, j) = (f64::from(term.pressure), f64::from(term.temperature));
        // with p and t apart from 0, one power of each serves both derivatives
        let value = term.factor * p.to(term.pressure) * t.to(term.temperature);
        by_pressure -= i * value / p.base();
        by_temperature_twice += j * (j - 1.0) * value / (t.base() * t.base());
    }
    (by_pressure, by_temperature_twice)
}

/// Viscosity of the dilute gas times the effect of the density.
fn viscosity(kelvin: f64, density_kg_m3: f64) -> f64 {
    let (temperature, density) = (kelvin / CRITICAL_K, density_kg_m3 / CRITICAL_KG_M3);
    let inverse = 1.0 / temperature;
    let gas = 100.0 * sqrt(temperature) / polynomial(&DILUTE_GAS, inverse);
    let rows = FINITE_DENSITY.map(|row| polynomial(&row, density - 1.0));
    REFERENCE_PA_S * gas * exp(density * polynomial(&rows, inverse - 1.0))
}

/// Sum of coefficients times rising powers of x.
fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, coefficient| sum * x + coefficient)
}

/// Powers with whole exponents up to 63 either way, by multiplication alone, so that they give the same bits everywhere.
struct Powers([f64; 6]);

impl Powers {
    /// What all of them are made of: the base, its square, the square of that, and so on.
    fn of(base: f64) -> Self {
        let mut squares = [base; 6];
        for index in 1..squares.len() {
            squares[index] = squares[index - 1] * squares[index - 1];
        }
        Self(squares)
    }

    fn base(&self) -> f64 {
        self.0[0]
    }

    fn to(&self, exponent: i32) -> f64 {
        let (mut result, mut left) = (1.0, exponent.unsigned_abs());
        while left > 0 {
            result *= self.0[left.trailing_zeros() as usize];
            left &= left - 1;
        }
        if exponent < 0 { 1.0 / result } else { result }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_by_multiplication() {
        let (two, seven) = (Powers::of(2.0), Powers::of(7.0));
        assert_eq!((two.to(10), two.to(-3), seven.to(0), seven.base()), (1024.0, 0.125, 1.0, 7.0));
        assert_eq!(two.to(41), 2_199_023_255_552.0);
    }

    #[test]
    fn stays_within_its_range() {
        assert!(water(0.0).is_ok() && water(100.0).is_ok());
        assert!(water(-0.001).is_err() && water(100.001).is_err() && water(f64::NAN).is_err());
    }

    #[test]
    fn water_thins_with_heat_and_is_densest_near_four_degrees() {
        let at = |c| water(c).unwrap();
        for c in 0..100 {
            let (cool, warm) = (at(f64::from(c)), at(f64::from(c + 1)));
            assert!(warm.dynamic_viscosity_pa_s < cool.dynamic_viscosity_pa_s);
            assert_eq!(warm.density_kg_m3 < cool.density_kg_m3, c >= 4);
        }
    }
}
