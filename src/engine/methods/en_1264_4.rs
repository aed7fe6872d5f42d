//! Insulation below a heated floor, by EN 1264-4.

/// What lies below a heated floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Below {
    /// A heated room.
    HeatedRoom,
    /// A room that is unheated or heated at times, or the ground.
    UnheatedOrGround,
    /// Outside air.
    OutsideAir {
        /// Outside design temperature (°C).
        design_c: f64,
    },
}

/// Least resistance of the insulation below a heated floor.
///
/// # Source
/// EN 1264-4, minimum thermal resistance of the insulation layers below the system. The rows for a heated room and for
/// unheated rooms and the ground were found in a paper that quotes the standard; so was 2.00 for
/// outside air (a trade article on the standard, without steps). Its milder steps (1.25 from 0 °C up, 1.50 down to -5 °C) are from
/// memory, unconfirmed.
/// # Units
/// °C; result m²K/W.
/// # Validity
/// The rows known to us end at -15 °C outside. Colder than that the last row, 2.00, is given as the least there can be.
/// # Examples
/// ```
/// # use tundish_engine::methods::en_1264_4::{Below, least_insulation_m2k_w};
/// assert_eq!(least_insulation_m2k_w(Below::UnheatedOrGround), 1.25);
/// assert_eq!(least_insulation_m2k_w(Below::OutsideAir { design_c: -3.0 }), 1.5);
/// ```
#[must_use]
pub fn least_insulation_m2k_w(below: Below) -> f64 {
    match below {
        Below::HeatedRoom => 0.75,
        Below::UnheatedOrGround => 1.25,
        Below::OutsideAir { design_c } if design_c >= 0.0 => 1.25,
        Below::OutsideAir { design_c } if design_c >= -5.0 => 1.5,
        Below::OutsideAir { .. } => 2.0,
    }
}
