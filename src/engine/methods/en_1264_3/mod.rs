//! Dimensioning of heated floors, by EN 1264-3: temperatures of the water, heat downward, flow of a circuit.

mod temperatures;

pub use temperatures::{
    drop_of_other_room, excess_at_drop, flow_excess, flow_temperature, medium_excess, return_temperature,
};

use super::en_1264_2::FLOOR_W_M2K;
use super::error::MethodError;
use super::workings::Workings;
use crate::eq;

/// Surface resistance of the ceiling below a heated floor, or of the inside of a ground plate (m²K/W).
pub const FAR_SURFACE_M2K_W: f64 = 0.17;

/// Resistance from the pipes up to the room, `Ro`.
///
/// # Source
/// EN 1264-3: `1/α + RλB + su/λu` with α = 10.8 W/(m²K).
/// # Units
/// m²K/W, m, W/(mK); result m²K/W.
/// # Validity
/// `cover_w_mk` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_3, Off};
/// assert!((en_1264_3::upward_resistance(0.1, 0.06, 1.2, &mut Off) - 0.2426).abs() < 5e-5);
/// ```
pub fn upward_resistance(covering_m2k_w: f64, cover_m: f64, cover_w_mk: f64, w: &mut impl Workings) -> f64 {
    let floor_w_m2k = FLOOR_W_M2K;
    eq!(w, EN_1264_3: upward_m2k_w = 1.0 / floor_w_m2k + covering_m2k_w + cover_m / cover_w_mk);
    upward_m2k_w
}

/// Resistance from the pipes down, `Ru`, of layers and the surface beyond them.
///
/// # Source
/// EN 1264-3: insulation, ceiling and plaster, and [`FAR_SURFACE_M2K_W`] with a room below.
/// # Units
/// m²K/W.
/// # Validity
/// `layers_m2k_w` is the sum of all layers below the pipes.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_3, Off};
/// assert!((en_1264_3::downward_resistance(0.75, en_1264_3::FAR_SURFACE_M2K_W, &mut Off) - 0.92).abs() < 1e-12);
/// ```
pub fn downward_resistance(layers_m2k_w: f64, far_surface_m2k_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_1264_3: downward_m2k_w = layers_m2k_w + far_surface_m2k_w);
    downward_m2k_w
}

/// Resistance from the pipes down, `Ru`, of a construction known by its U-value.
///
/// # Source
/// EN 1264-3: the whole resistance less the inside surface, which does not lie below the pipes; nothing above the
/// pipes may be counted in the U-value.
/// # Units
/// W/(m²K), m²K/W; result m²K/W.
/// # Validity
/// 1/U above the inside surface resistance, [`FAR_SURFACE_M2K_W`] for a ground plate.
/// # Errors
/// [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_3, Off};
/// let ru = en_1264_3::downward_resistance_below(0.1607909, en_1264_3::FAR_SURFACE_M2K_W, &mut Off)?;
/// assert!((ru - 6.049257).abs() < 1e-5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn downward_resistance_below(
    u_value_w_m2k: f64,
    inside_surface_m2k_w: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    if !(u_value_w_m2k > 0.0 && u_value_w_m2k * inside_surface_m2k_w < 1.0) {
        return Err(MethodError::Impossible {
            reason: "a floor's resistance must be more than that of its own surface",
        });
    }
    eq!(w, EN_1264_3: downward_m2k_w = 1.0 / u_value_w_m2k - inside_surface_m2k_w);
    Ok(downward_m2k_w)
}

/// Heat that a floor gives downward, `qu`.
///
/// # Source
/// EN 1264-3: (Ro·q + θi − θu)/Ru.
/// # Units
/// W/m², m²K/W, °C; result W/m².
/// # Validity
/// `downward_m2k_w` above 0. The figure is negative where what lies below is warmer than the pipes.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_3, Off};
/// // from 0.10 + 0.060/1.2 above and 0.75 + 0.17 below
/// let qu = en_1264_3::downward_flux(50.0, 0.242593, 0.92, 20.0, 20.0, &mut Off);
/// assert!((qu - 13.18).abs() < 0.005);
/// ```
pub fn downward_flux(
    q_w_m2: f64,
    upward_m2k_w: f64,
    downward_m2k_w: f64,
    room_c: f64,
    below_c: f64,
    w: &mut impl Workings,
) -> f64 {
    eq!(w, EN_1264_3: downward_w_m2 = (upward_m2k_w * q_w_m2 + room_c - below_c) / downward_m2k_w);
    downward_w_m2
}

/// Mass flow of a circuit.
///
/// # Source
/// EN 1264-3, design flow of the heating medium; the energy balance AF·(q + qu) = ṁ·cW·σ.
/// # Units
/// m², W/m², J/(kgK), K; result kg/s.
/// # Validity
/// `drop_k` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_3, Off};
/// assert!((en_1264_3::circuit_mass_flow(20.0, 50.0, 13.184, 4190.0, 5.0, &mut Off) - 0.06032).abs() < 5e-6);
/// ```
pub fn circuit_mass_flow(
    area_m2: f64,
    q_w_m2: f64,
    downward_w_m2: f64,
    specific_heat_j_kgk: f64,
    drop_k: f64,
    w: &mut impl Workings,
) -> f64 {
    eq!(w, EN_1264_3: mass_flow_kg_s = area_m2 * (q_w_m2 + downward_w_m2) / (specific_heat_j_kgk * drop_k));
    mass_flow_kg_s
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn refuses_what_cannot_be() {
        assert!(downward_resistance_below(6.0, FAR_SURFACE_M2K_W, &mut Off).is_err());
        assert!(downward_resistance_below(0.0, FAR_SURFACE_M2K_W, &mut Off).is_err());
    }
}
