//! Heat that a pipe loses to its surroundings, insulated or bare.

use super::error::{MethodError, Range};
use super::math::{PI, ln, pow};
use super::workings::Workings;
use crate::eq;
use crate::sources::HOME_ENERGY_MODEL;

/// Heat transfer from the water to the tube (W/(m²K)).
pub const INSIDE_W_M2K: f64 = 1500.0;
/// Heat transfer from the surface of the insulation to the air (W/(m²K)).
pub const OUTSIDE_W_M2K: f64 = 10.0;

/// Outside diameters that the law for bare pipes holds for.
pub const BARE_DIAMETER: Range =
    Range { quantity: "outside_diameter_mm", min: 6.0, max: 110.0, published: &HOME_ENERGY_MODEL };

/// A pipe and what is round it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Insulated {
    /// Inside diameter (mm).
    pub bore_mm: f64,
    /// Outside diameter of the tube (mm).
    pub outside_diameter_mm: f64,
    /// Thermal conductivity of the tube's wall (W/(mK)); infinite where the wall is not to count.
    pub wall_w_mk: f64,
    /// Thickness of the insulation (mm).
    pub insulation_mm: f64,
    /// Thermal conductivity of the insulation (W/(mK)).
    pub insulation_w_mk: f64,
}

/// Heat that a metre of insulated pipe passes for each kelvin between water and surroundings.
///
/// # Source
/// ISO 12241: films and layers in series by the metre; films of 1,500 inside and 10 W/(m²K) outside as in the
/// government's model.
/// # Units
/// mm, W/(mK); result W/(mK).
/// # Validity
/// Steady state, dry insulation, still air indoors: wind outside raises the outer film, which is small beside the
/// insulation.
/// # Errors
/// [`MethodError::Impossible`] for a pipe without a wall, or insulation without thickness or conductivity.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pipe_loss::{self, Insulated}, Off};
/// let pipe = Insulated {
///     bore_mm: 25.0, outside_diameter_mm: 27.0, wall_w_mk: f64::INFINITY, insulation_mm: 38.0, insulation_w_mk: 0.035,
/// };
/// assert!((pipe_loss::insulated(pipe, &mut Off)? * 35.0 - 5.463_755).abs() < 1e-4);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn insulated(pipe: Insulated, w: &mut impl Workings) -> Result<f64, MethodError> {
    let Insulated { bore_mm, outside_diameter_mm, wall_w_mk, insulation_mm, insulation_w_mk } = pipe;
    if !(bore_mm > 0.0 && outside_diameter_mm > bore_mm && wall_w_mk > 0.0) {
        return Err(MethodError::Impossible { reason: "a pipe needs a bore and a wall" });
    }
    if !(insulation_mm > 0.0 && insulation_w_mk > 0.0) {
        return Err(MethodError::Impossible { reason: "insulation needs a thickness and a conductivity" });
    }
    let (inside_w_m2k, outside_w_m2k) = (INSIDE_W_M2K, OUTSIDE_W_M2K);
    let wall_mk_w = ln(outside_diameter_mm / bore_mm) / (2.0 * PI * wall_w_mk);
    eq!(w, ISO_12241: inner_film_mk_w = 1000.0 / (PI * bore_mm * inside_w_m2k));
    eq!(w, ISO_12241: insulation_mk_w = ln((outside_diameter_mm + 2.0 * insulation_mm) / outside_diameter_mm) / (2.0 * PI * insulation_w_mk));
    eq!(w, ISO_12241: outer_film_mk_w = 1000.0 / (PI * (outside_diameter_mm + 2.0 * insulation_mm) * outside_w_m2k));
    eq!(w, ISO_12241: loss_w_mk = 1.0 / (inner_film_mk_w + wall_mk_w + insulation_mk_w + outer_film_mk_w));
    Ok(loss_w_mk)
}

/// Heat that a metre of bare pipe gives off.
///
/// # Source
/// Law of the government's model of home energy: 0.02761·do^0.8254·ΔT^n, n = 1.245135 − 0.001793·ln do.
/// # Units
/// mm, K; result W/m. A pipe colder than its surroundings takes as much: the sign is that of the difference.
/// # Validity
/// [`BARE_DIAMETER`], still air.
/// # Errors
/// [`MethodError::OutOfRange`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pipe_loss, Off};
/// // 22 mm copper at 40 °C in a room of 20 °C: about 15 W a metre
/// let loss = pipe_loss::bare(22.0, 20.0, &mut Off)?;
/// assert!((14.0..16.0).contains(&loss));
/// assert_eq!(pipe_loss::bare(22.0, 0.0, &mut Off)?, 0.0);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn bare(outside_diameter_mm: f64, difference_k: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    BARE_DIAMETER.check(outside_diameter_mm)?;
    if difference_k == 0.0 {
        return Ok(0.0);
    }
    let size_k = difference_k.abs();
    let (whole, by_size) = (1.245_135, 0.001_793);
    eq!(w, HOME_ENERGY_MODEL: exponent = whole - by_size * ln(outside_diameter_mm));
    eq!(w, HOME_ENERGY_MODEL: loss_w_m = 0.02761 * pow(outside_diameter_mm, 0.8254) * pow(size_k, exponent));
    Ok(loss_w_m.copysign(difference_k))
}

/// Heat that a metre gives off at a difference of temperature.
///
/// # Source
/// ISO 12241: heat goes with the difference.
/// # Units
/// W/(mK), K; result W/m.
/// # Validity
/// As [`insulated`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{pipe_loss, Off};
/// // 0.25 W/(mK) at 30 K
/// assert_eq!(pipe_loss::of_metre(0.25, 30.0, &mut Off), 7.5);
/// ```
pub fn of_metre(loss_w_mk: f64, difference_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ISO_12241: loss_w_m = difference_k * loss_w_mk);
    loss_w_m
}

/// Heat that a length gives off.
///
/// # Source
/// The loss of a metre, times the metres.
/// # Units
/// m, W/m; result W.
/// # Validity
/// Water that hardly cools along the length.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pipe_loss, Off};
/// assert_eq!(pipe_loss::over_length(12.0, 7.5, &mut Off), 90.0);
/// ```
pub fn over_length(length_m: f64, loss_w_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: loss_w = length_m * loss_w_m);
    loss_w
}

/// Outside diameter of a pipe with its insulation.
///
/// # Source
/// Geometry: a thickness on either side.
/// # Units
/// mm; result mm.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pipe_loss, Off};
/// assert_eq!(pipe_loss::whole_diameter(22.0, 19.0, &mut Off), 60.0);
/// ```
pub fn whole_diameter(outside_diameter_mm: f64, insulation_mm: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ISO_12241: whole_mm = outside_diameter_mm + 2.0 * insulation_mm);
    whole_mm
}

/// Air round pipes in a loft or in another unheated place.
///
/// # Source
/// Common practice: midway between the rooms and outside.
/// # Units
/// °C; result °C.
/// # Validity
/// Places that are neither heated nor open to the weather.
/// # Examples
/// ```
/// # use tundish_engine::methods::{pipe_loss, Off};
/// assert_eq!(pipe_loss::unheated_air(20.0, -2.0, &mut Off), 9.0);
/// ```
pub fn unheated_air(room_c: f64, outside_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: surrounding_c = 0.5 * (room_c + outside_c));
    surrounding_c
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    const PIPE: Insulated = Insulated {
        bore_mm: 20.2,
        outside_diameter_mm: 22.0,
        wall_w_mk: 380.0,
        insulation_mm: 25.0,
        insulation_w_mk: 0.035,
    };

    #[test]
    fn more_insulation_loses_less_and_any_loses_less_than_none() {
        let mut last_w = bare(22.0, 30.0, &mut Off).unwrap();
        for insulation_mm in [9.0, 13.0, 25.0, 40.0, 80.0] {
            let loss_w = 30.0 * insulated(Insulated { insulation_mm, ..PIPE }, &mut Off).unwrap();
            assert!(loss_w < last_w, "{insulation_mm} mm: {loss_w} W/m");
            last_w = loss_w;
        }
    }

    #[test]
    fn a_cold_pipe_takes_what_a_hot_one_gives() {
        let [hot, cold] = [20.0, -20.0].map(|k| bare(22.0, k, &mut Off).unwrap());
        assert_eq!(hot, -cold);
    }

    #[test]
    fn refuses_what_is_no_pipe() {
        assert!(insulated(Insulated { insulation_mm: 0.0, ..PIPE }, &mut Off).is_err());
        assert!(insulated(Insulated { bore_mm: 22.0, ..PIPE }, &mut Off).is_err());
        assert!(bare(3.0, 20.0, &mut Off).is_err());
    }
}
