//! Temperature of an unheated space by its own balance, ISO 13789 and EN 12831.

use super::error::MethodError;
use super::workings::Workings;
use crate::eq;

/// What an unheated space exchanges heat with: conductances, and their sums weighted by temperature.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Exchange {
    /// To heated rooms (W/K).
    pub rooms_w_k: f64,
    /// The same times the rooms' temperatures in °C (W).
    pub rooms_w: f64,
    /// To outside, by transmission and air (W/K).
    pub outside_w_k: f64,
    /// To ground and to spaces of given temperature (W/K).
    pub others_w_k: f64,
    /// The same times their temperatures in °C (W).
    pub others_w: f64,
}

impl Exchange {
    /// Adds a heated room of a temperature (W/K, °C).
    pub fn add_room(&mut self, conductance_w_k: f64, inside_c: f64) {
        self.rooms_w_k += conductance_w_k;
        self.rooms_w += conductance_w_k * inside_c;
    }

    /// Adds ground, or a space of a given temperature (W/K, °C).
    pub fn add_other(&mut self, conductance_w_k: f64, temperature_c: f64) {
        self.others_w_k += conductance_w_k;
        self.others_w += conductance_w_k * temperature_c;
    }
}

/// Temperature of an unheated space.
///
/// # Source
/// ISO 13789: in the steady state what the rooms give is what outside and ground take. With one room it is the
/// reduction factor of EN 12831, b = Hue/(Hiu + Hue).
/// # Units
/// See [`Exchange`]; °C.
/// # Validity
/// Steady state, no gains.
/// # Errors
/// [`MethodError::Impossible`] for a space that exchanges heat with nothing.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13789::{self, Exchange}, Off};
/// // a garage: 12 m² of 0.35 to a room of 21 °C; 40 m² of 2.1 and 45 m³ changed 1.5 times an hour to outside at -3 °C
/// let garage = Exchange { rooms_w_k: 4.2, rooms_w: 4.2 * 21.0, outside_w_k: 106.95, ..Exchange::default() };
/// let garage_c = iso_13789::unheated_temperature(garage, -3.0, &mut Off)?;
/// assert!((garage_c + 2.09).abs() < 0.005 && (4.2 * (21.0 - garage_c) - 97.0).abs() < 0.05);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn unheated_temperature(exchange: Exchange, outside_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    let Exchange { rooms_w_k, rooms_w, outside_w_k, others_w_k, others_w } = exchange;
    if rooms_w_k + outside_w_k + others_w_k <= 0.0 {
        return Err(MethodError::Impossible { reason: "an unheated space exchanges heat with something" });
    }
    eq!(w, ISO_13789: space_c = (rooms_w + outside_w_k * outside_c + others_w) / (rooms_w_k + outside_w_k + others_w_k));
    Ok(space_c)
}

/// Conductance of an unheated space to outside through its air.
///
/// # Source
/// EN 12831:2003, ventilation: heat of the air times its flow.
/// # Units
/// Wh/(m³K), 1/h, m³; result W/K.
/// # Validity
/// Air exchanged with outside.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13789, Off};
/// assert!((iso_13789::by_air(0.34, 1.5, 45.0, &mut Off) - 22.95).abs() < 1e-9);
/// ```
pub fn by_air(air_heat_wh_m3k: f64, air_changes_per_h: f64, volume_m3: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: air_w_k = air_heat_wh_m3k * air_changes_per_h * volume_m3);
    air_w_k
}

/// Conductance of an element.
///
/// # Source
/// ISO 13789: area times U-value.
/// # Units
/// m², W/(m²K); result W/K.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_13789, Off};
/// assert_eq!(iso_13789::conductance(12.0, 0.25, &mut Off), 3.0);
/// ```
pub fn conductance(area_m2: f64, u_value_w_m2k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ISO_13789: conductance_w_k = area_m2 * u_value_w_m2k);
    conductance_w_k
}
