//! Dimensioning of heated floors, by EN 1264-3: temperatures of the water, heat downward, flow of a circuit.

use super::en_1264_2::FLOOR_W_M2K;
use super::error::MethodError;
use super::log_mean::{self, Return};
use super::math::{exp, ln, sqrt};
use super::workings::Workings;
use crate::eq;

/// Surface resistance of the ceiling below a heated floor, or of the inside of a ground plate (m²K/W).
pub const FAR_SURFACE_M2K_W: f64 = 0.17;

/// Ratio of drop to mean excess up to which the standard takes the mean arithmetically.
const SMALL_DROP: f64 = 0.5;

/// Mean excess temperature of the water in a floor, `ΔθH`.
///
/// # Source
/// EN 1264-2, mean excess temperature of the heating medium, logarithmic.
/// # Units
/// °C; result K.
/// # Validity
/// Flow not below return, return above room. Where the drop is below a thousandth of the excess the series
/// m − d²/(12 m) stands for the logarithm.
/// # Errors
/// [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish::methods::{en_1264_3, Off};
/// assert!((en_1264_3::medium_excess(38.0, 33.0, 21.0, &mut Off)? - 14.35516).abs() < 5e-6);
/// # Ok::<(), tundish::methods::MethodError>(())
/// ```
pub fn medium_excess(flow_c: f64, return_c: f64, room_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    log_mean::mean(flow_c - room_c, return_c - room_c)?;
    let (drop_k, middle_k) = (flow_c - return_c, (flow_c - room_c) * 0.5 + (return_c - room_c) * 0.5);
    if log_mean::takes_series(drop_k, middle_k) {
        eq!(w, EN_1264_2: excess_k = middle_k - drop_k * drop_k / (12.0 * middle_k));
        return Ok(excess_k);
    }
    eq!(w, EN_1264_2: excess_k = (flow_c - return_c) / ln((flow_c - room_c) / (return_c - room_c)));
    Ok(excess_k)
}

/// Flow temperature that gives a mean excess at a drop, by the logarithm.
///
/// # Source
/// EN 1264-2, mean excess temperature of the heating medium, solved for the flow. Where the drop is below a
/// thousandth of the excess its series, which is [`flow_excess`], stands for it.
/// # Units
/// K, °C; result °C.
/// # Validity
/// `excess_k` above 0, `drop_k` not below 0.
/// # Errors
/// [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish::methods::{en_1264_3, Off};
/// // 45 W/m² at 5.540 W/(m²K), a drop of 5 K, a room at 21 °C
/// assert!((en_1264_3::flow_temperature(45.0 / 5.540, 5.0, 21.0, &mut Off)? - 31.88).abs() < 0.005);
/// # Ok::<(), tundish::methods::MethodError>(())
/// ```
pub fn flow_temperature(excess_k: f64, drop_k: f64, room_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    log_mean::outer(excess_k, drop_k)?;
    if log_mean::takes_series(drop_k, excess_k) {
        eq!(w, EN_1264_2: flow_c = room_c + excess_k + drop_k / 2.0 + drop_k * drop_k / (12.0 * excess_k));
        return Ok(flow_c);
    }
    eq!(w, EN_1264_2: flow_c = room_c + drop_k / (1.0 - exp(-drop_k / excess_k)));
    Ok(flow_c)
}

/// Return temperature that gives a mean excess at a flow temperature, by the logarithm.
///
/// # Source
/// EN 1264-2, mean excess temperature of the heating medium, solved for the return; the logarithm of the ratio of
/// the excess of flow and return is found by iteration and stands in the workings as it came out.
/// # Units
/// °C, K.
/// # Validity
/// 0 < `excess_k` < flow less room. An excess just below flow less room gives the flow itself; one far below it
/// gives the room.
/// # Errors
/// [`MethodError::Impossible`] outside of that, [`MethodError::NotConverged`] should the iteration not settle.
/// # Examples
/// ```
/// # use tundish::methods::{en_1264_3, Off};
/// assert!((en_1264_3::return_temperature(38.0, 21.0, 13.86884, &mut Off)?.return_c - 32.14801).abs() < 1e-4);
/// # Ok::<(), tundish::methods::MethodError>(())
/// ```
pub fn return_temperature(
    flow_c: f64,
    room_c: f64,
    excess_k: f64,
    w: &mut impl Workings,
) -> Result<Return, MethodError> {
    let log_mean::Inner { log_ratio, mean_k: reached_k, iterations } = log_mean::inner(flow_c - room_c, excess_k)?;
    eq!(w, EN_1264_2: return_c = room_c + (flow_c - room_c) * exp(-log_ratio));
    eq!(w, EN_1264_2: residual_k = reached_k - excess_k);
    Ok(Return { return_c, residual_k, iterations })
}

/// Excess of the design flow temperature over the room, `ΔθV,des`, by the standard's own approximation.
///
/// # Source
/// EN 1264-3, flow temperature of the room with the largest output: `ΔθH + σ/2` while σ/ΔθH ≤ 0.5, and σ²/(12·ΔθH)
/// more beyond. [`flow_temperature`] is the exact form.
/// # Units
/// K.
/// # Validity
/// `excess_k` above 0; the standard's drop is 5 K at most. At σ/ΔθH = 0.5 the approximation steps by 2 % of `ΔθH`.
/// # Examples
/// ```
/// # use tundish::methods::{en_1264_3, Off};
/// assert_eq!(en_1264_3::flow_excess(10.0, 4.0, &mut Off), 12.0);
/// ```
pub fn flow_excess(excess_k: f64, drop_k: f64, w: &mut impl Workings) -> f64 {
    if drop_k <= SMALL_DROP * excess_k {
        eq!(w, EN_1264_3: flow_excess_k = excess_k + drop_k / 2.0);
        return flow_excess_k;
    }
    eq!(w, EN_1264_3: flow_excess_k = excess_k + drop_k / 2.0 + drop_k * drop_k / (12.0 * excess_k));
    flow_excess_k
}

/// Drop of another room on the same flow temperature, `σj`, by the standard's own approximation.
///
/// # Source
/// EN 1264-3: 2·(ΔθV,des − ΔθH,j) while that is at most half of ΔθH,j, and beyond
/// 3·ΔθH,j·(√(1 + 4·(ΔθV,des − ΔθH,j)/(3·ΔθH,j)) − 1). [`return_temperature`] is the exact form.
/// # Units
/// K.
/// # Validity
/// 0 < `excess_k` < `flow_excess_k`. Where the second form takes over the drop steps down by 7 %.
/// # Errors
/// [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish::methods::{en_1264_3, Off};
/// assert_eq!(en_1264_3::drop_of_other_room(12.0, 10.0, &mut Off), Ok(4.0));
/// ```
pub fn drop_of_other_room(flow_excess_k: f64, excess_k: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if !(excess_k > 0.0 && flow_excess_k > excess_k) {
        return Err(MethodError::Impossible { reason: "the flow is too cool for this mean excess at any drop" });
    }
    if 2.0 * (flow_excess_k - excess_k) <= SMALL_DROP * excess_k {
        eq!(w, EN_1264_3: drop_k = 2.0 * (flow_excess_k - excess_k));
        return Ok(drop_k);
    }
    eq!(w, EN_1264_3: drop_k = 3.0 * excess_k * (sqrt(1.0 + 4.0 * (flow_excess_k - excess_k) / (3.0 * excess_k)) - 1.0));
    Ok(drop_k)
}

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
/// # use tundish::methods::{en_1264_3, Off};
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
/// # use tundish::methods::{en_1264_3, Off};
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
/// # use tundish::methods::{en_1264_3, Off};
/// let ru = en_1264_3::downward_resistance_below(0.1607909, en_1264_3::FAR_SURFACE_M2K_W, &mut Off)?;
/// assert!((ru - 6.049257).abs() < 1e-5);
/// # Ok::<(), tundish::methods::MethodError>(())
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
/// # use tundish::methods::{en_1264_3, Off};
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
/// # use tundish::methods::{en_1264_3, Off};
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
    fn the_approximations_undo_each_other_and_follow_the_logarithm() {
        for drop_k in [1.0, 4.0, 5.0, 8.0, 12.0] {
            let flow_excess_k = flow_excess(10.0, drop_k, &mut Off);
            assert!((drop_of_other_room(flow_excess_k, 10.0, &mut Off).unwrap() - drop_k).abs() < 1e-12);
            let exact_k = flow_temperature(10.0, drop_k, 0.0, &mut Off).unwrap();
            assert!((flow_excess_k / exact_k - 1.0).abs() < 0.02, "{drop_k}: {flow_excess_k} {exact_k}");
        }
    }

    #[test]
    fn flow_return_and_mean_excess_agree() {
        for drop_k in [0.0, 0.009, 0.011, 5.0, 15.0] {
            let flow_c = flow_temperature(10.0, drop_k, 20.0, &mut Off).unwrap();
            assert!((medium_excess(flow_c, flow_c - drop_k, 20.0, &mut Off).unwrap() - 10.0).abs() < 1e-11);
            if drop_k > 0.0 {
                let found = return_temperature(flow_c, 20.0, 10.0, &mut Off).unwrap();
                assert!((found.return_c - (flow_c - drop_k)).abs() < 1e-8);
            }
        }
    }

    #[test]
    fn refuses_what_cannot_be() {
        assert!(drop_of_other_room(10.0, 10.0, &mut Off).is_err());
        assert!(downward_resistance_below(6.0, FAR_SURFACE_M2K_W, &mut Off).is_err());
        assert!(downward_resistance_below(0.0, FAR_SURFACE_M2K_W, &mut Off).is_err());
        assert!(medium_excess(30.0, 20.0, 20.0, &mut Off).is_err());
        assert!(flow_temperature(0.0, 5.0, 20.0, &mut Off).is_err());
    }
}
