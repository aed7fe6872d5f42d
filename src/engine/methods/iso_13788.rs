//! Dew point of air, by ISO 13788.

use super::error::{MethodError, Range};
use super::math::{exp, ln};
use super::workings::Workings;
use crate::eq;
use crate::sources::ISO_13788;

/// Temperatures of air; a guard of ours.
pub const AIR: Range = Range { quantity: "air_c", min: -10.0, max: 50.0, published: &ISO_13788 };
/// Relative humidities; the lower end is a guard of ours.
pub const HUMIDITY: Range = Range { quantity: "relative_humidity", min: 0.1, max: 1.0, published: &ISO_13788 };

/// Vapour pressure of saturated air, over water from 0 °C up and over ice below.
///
/// # Source
/// ISO 13788, saturation vapour pressure: 610.5·exp(17.269·θ/(237.3 + θ)) from 0 °C up,
/// 610.5·exp(21.875·θ/(265.5 + θ)) below, the constants as open code that names the standard has them;
/// held to a table of dew points within 0.05 K.
/// # Units
/// °C; result Pa.
/// # Validity
/// [`AIR`].
/// # Errors
/// [`MethodError::OutOfRange`] outside of it.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13788, Off};
/// assert_eq!(iso_13788::saturation_pressure(0.0, &mut Off)?, 610.5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn saturation_pressure(air_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    AIR.check(air_c)?;
    if air_c >= 0.0 {
        eq!(w, ISO_13788: saturation_pa = 610.5 * exp(17.269 * air_c / (237.3 + air_c)));
        return Ok(saturation_pa);
    }
    eq!(w, ISO_13788: saturation_pa = 610.5 * exp(21.875 * air_c / (265.5 + air_c)));
    Ok(saturation_pa)
}

/// Dew point of air, or its frost point below 0 °C.
///
/// # Source
/// ISO 13788, saturation vapour pressure as in [`saturation_pressure`], solved for the temperature at which the air's
/// vapour saturates it; held to a table within 0.05 K.
/// # Units
/// °C, a ratio of 0 to 1; result °C.
/// # Validity
/// [`AIR`], [`HUMIDITY`]; the humidity of air below 0 °C is that over ice. Against a general-purpose library the dew
/// point is off by at most 0.02 K above 0 °C, by 0.05 K in air of 30 % and more, and by 0.11 K anywhere in these ranges.
/// # Errors
/// [`MethodError::OutOfRange`] outside of those.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13788, Off};
/// assert!((iso_13788::dew_point(26.0, 0.5, &mut Off)? - 14.78).abs() < 0.05);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn dew_point(air_c: f64, relative_humidity: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    HUMIDITY.check(relative_humidity)?;
    let saturation_pa = saturation_pressure(air_c, w)?;
    eq!(w, ISO_13788: vapour_pa = relative_humidity * saturation_pa);
    if vapour_pa >= 610.5 {
        eq!(w, ISO_13788: dew_point_c = 237.3 * ln(vapour_pa / 610.5) / (17.269 - ln(vapour_pa / 610.5)));
        return Ok(dew_point_c);
    }
    eq!(w, ISO_13788: dew_point_c = 265.5 * ln(vapour_pa / 610.5) / (21.875 - ln(vapour_pa / 610.5)));
    Ok(dew_point_c)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    fn at(air_c: f64, relative_humidity: f64) -> f64 {
        dew_point(air_c, relative_humidity, &mut Off).unwrap()
    }

    #[test]
    fn saturated_air_is_at_its_dew_point_over_water_and_over_ice() {
        for air_c in [-10.0, -1e-9, 0.0, 1e-9, 21.0, 50.0] {
            assert!((at(air_c, 1.0) - air_c).abs() < 1e-12, "{air_c}");
        }
    }

    #[test]
    fn more_vapour_raises_the_dew_point_and_never_above_the_air() {
        for air_c in [-10.0, 0.0, 20.0] {
            for per_cent in 10..100 {
                let relative_humidity = f64::from(per_cent) / 100.0;
                let found = at(air_c, relative_humidity);
                assert!(found < at(air_c, relative_humidity + 0.01) && found < air_c);
                assert!(found < at(air_c + 0.1, relative_humidity));
            }
        }
    }

    #[test]
    fn refuses_what_it_does_not_hold_for() {
        assert!(dew_point(20.0, 0.0, &mut Off).is_err() && dew_point(20.0, 1.01, &mut Off).is_err());
        assert!(dew_point(20.0, f64::NAN, &mut Off).is_err() && dew_point(51.0, 0.5, &mut Off).is_err());
        assert!(dew_point(-11.0, 0.5, &mut Off).is_err());
    }
}
