//! Thermal resistance of layers, by ISO 6946.

use super::error::MethodError;
use super::workings::Workings;
use crate::eq;

/// Thermal resistance of a homogeneous layer.
///
/// # Source
/// ISO 6946, thickness over conductivity.
/// # Units
/// m, W/(mK); result m²K/W.
/// # Validity
/// Homogeneous layers.
/// # Errors
/// [`MethodError::Impossible`] if the conductivity is not above 0.
/// # Examples
/// ```
/// # use tundish::methods::{iso_6946, Off};
/// assert!((iso_6946::layer_resistance(0.1, 0.022, &mut Off)? - 4.545).abs() < 0.001);
/// # Ok::<(), tundish::methods::MethodError>(())
/// ```
pub fn layer_resistance(thickness_m: f64, conductivity_w_mk: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if conductivity_w_mk <= 0.0 {
        return Err(MethodError::Impossible { reason: "a layer without conductivity has no resistance of its own" });
    }
    eq!(w, ISO_6946: layer_m2k_w = thickness_m / conductivity_w_mk);
    Ok(layer_m2k_w)
}
