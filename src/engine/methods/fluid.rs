//! What flows in the heating circuit: water, or a mixture of water and glycol.

use super::error::MethodError;
use super::glycol::{self, Substance};
use super::water::{self, Liquid};
use crate::sources::{IAPWS_CONDUCTIVITY, IAPWS_IF97, IAPWS_VISCOSITY, MELINDER, Source};

/// What flows in the heating circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fluid {
    /// Water.
    Water,
    /// Water with glycol: which, and its mass fraction.
    Glycol(Substance, f64),
}

impl Fluid {
    /// Density, specific heat and viscosity.
    ///
    /// # Source
    /// [`water::water`] or [`glycol::glycol`].
    /// # Units
    /// °C; result kg/m³, J/(kgK), Pa s.
    /// # Validity
    /// As there.
    /// # Errors
    /// As there.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{fluid::Fluid, water::water};
    /// assert_eq!(Fluid::Water.at(35.0)?, water(35.0)?);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn at(self, temperature_c: f64) -> Result<Liquid, MethodError> {
        match self {
            Self::Water => water::water(temperature_c),
            Self::Glycol(substance, fraction) => glycol::glycol(substance, fraction, temperature_c),
        }
    }

    /// Thermal conductivity (W/(mK)).
    ///
    /// # Source
    /// [`water::conductivity`] or [`glycol::conductivity`].
    /// # Units
    /// °C; result W/(mK).
    /// # Validity
    /// As there.
    /// # Errors
    /// As there.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{fluid::Fluid, water};
    /// assert_eq!(Fluid::Water.conductivity(35.0)?, water::conductivity(35.0)?);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn conductivity(self, temperature_c: f64) -> Result<f64, MethodError> {
        match self {
            Self::Water => water::conductivity(temperature_c),
            Self::Glycol(substance, fraction) => glycol::conductivity(substance, fraction, temperature_c),
        }
    }

    /// Temperature at which the first ice forms (°C).
    ///
    /// # Source
    /// [`glycol::freezing_point`]; water freezes at 0 °C.
    /// # Units
    /// Result °C.
    /// # Validity
    /// As there.
    /// # Errors
    /// As there.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{fluid::Fluid, glycol::Substance};
    /// assert_eq!(Fluid::Water.freezing_point()?, 0.0);
    /// assert!(Fluid::Glycol(Substance::Ethylene, 0.3).freezing_point()? < -14.0);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn freezing_point(self) -> Result<f64, MethodError> {
        match self {
            Self::Water => Ok(0.0),
            Self::Glycol(substance, fraction) => glycol::freezing_point(substance, fraction),
        }
    }

    /// Where its density and specific heat, its viscosity and its conductivity are from.
    ///
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{fluid::Fluid, glycol::Substance};
    /// assert_eq!(Fluid::Water.sources()[0].key, "iapws_if97");
    /// assert!(Fluid::Glycol(Substance::Ethylene, 0.3).sources().iter().all(|source| source.key == "melinder"));
    /// ```
    #[must_use]
    pub fn sources(self) -> [&'static Source; 3] {
        match self {
            Self::Water => [&IAPWS_IF97, &IAPWS_VISCOSITY, &IAPWS_CONDUCTIVITY],
            Self::Glycol(..) => [&MELINDER; 3],
        }
    }
}
