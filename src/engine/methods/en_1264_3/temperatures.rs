//! Temperatures of the water in a heated floor, by EN 1264-3: exact, and by the standard's own approximation.

use crate::eq;
use crate::methods::error::MethodError;
use crate::methods::log_mean::{self, Return};
use crate::methods::math::{exp, ln, sqrt};
use crate::methods::workings::Workings;

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
/// # use tundish_engine::methods::{en_1264_3, Off};
/// assert!((en_1264_3::medium_excess(38.0, 33.0, 21.0, &mut Off)? - 14.35516).abs() < 5e-6);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
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
/// # use tundish_engine::methods::{en_1264_3, Off};
/// // 45 W/m² at 5.540 W/(m²K), a drop of 5 K, a room at 21 °C
/// assert!((en_1264_3::flow_temperature(45.0 / 5.540, 5.0, 21.0, &mut Off)? - 31.88).abs() < 0.005);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
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
/// # use tundish_engine::methods::{en_1264_3, Off};
/// assert!((en_1264_3::return_temperature(38.0, 21.0, 13.86884, &mut Off)?.return_c - 32.14801).abs() < 1e-4);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn return_temperature(
    flow_c: f64,
    room_c: f64,
    excess_k: f64,
    w: &mut impl Workings,
) -> Result<Return, MethodError> {
    let log_mean::Inner { log_ratio, mean_k: reached_k, iterations } = log_mean::inner(flow_c - room_c, excess_k)?;
    eq!(w, EN_1264_2: residual_k = reached_k - excess_k);
    eq!(w, EN_1264_2: return_c = room_c + (flow_c - room_c) * exp(-log_ratio));
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
/// # use tundish_engine::methods::{en_1264_3, Off};
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

/// Mean excess temperature that a flow temperature leaves at a drop, `ΔθH`, by the standard's own approximation.
///
/// # Source
/// EN 1264-3, flow temperature of the room with the largest output, [`flow_excess`], solved for the mean excess:
/// `ΔθV − σ/2` while σ is at most half of that, and beyond the greater root of `ΔθH² − (ΔθV − σ/2)·ΔθH + σ²/12 = 0`.
/// # Units
/// K.
/// # Validity
/// `drop_k` not below 0, `flow_excess_k` at least (1/2 + 1/√3)·σ, which is 1.077 times the drop: below that no mean
/// excess has this flow. The approximation steps at σ/ΔθH = 0.5, so between 2.5 and 2.5417 times the drop both forms
/// hold; the first is taken, whose mean excess is up to 2.2 % greater. There is no flow for which neither holds. The
/// lesser root, a mean excess below 0.289·σ, is left out: there the approximation no longer follows the logarithm.
/// # Errors
/// [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_1264_3, Off};
/// assert_eq!(en_1264_3::excess_at_drop(12.0, 4.0, &mut Off), Ok(10.0));
/// ```
pub fn excess_at_drop(flow_excess_k: f64, drop_k: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if !(drop_k >= 0.0 && flow_excess_k > drop_k && flow_excess_k.is_finite()) {
        return Err(MethodError::Impossible { reason: "the water must stay warmer than the room" });
    }
    let middle_k = flow_excess_k - drop_k / 2.0;
    if drop_k <= SMALL_DROP * middle_k {
        eq!(w, EN_1264_3: excess_k = flow_excess_k - drop_k / 2.0);
        return Ok(excess_k);
    }
    if 3.0 * middle_k * middle_k < drop_k * drop_k {
        return Err(MethodError::Impossible { reason: "the flow is too cool for this drop at any mean excess" });
    }
    eq!(w, EN_1264_3: middle_k = flow_excess_k - drop_k / 2.0);
    eq!(w, EN_1264_3: excess_k = 0.5 * (middle_k + sqrt(middle_k * middle_k - drop_k * drop_k / 3.0)));
    Ok(excess_k)
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
/// # use tundish_engine::methods::{en_1264_3, Off};
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn the_approximations_undo_each_other_and_follow_the_logarithm() {
        for drop_k in [1.0, 4.0, 5.0, 8.0, 12.0] {
            let flow_excess_k = flow_excess(10.0, drop_k, &mut Off);
            assert!((drop_of_other_room(flow_excess_k, 10.0, &mut Off).unwrap() - drop_k).abs() < 1e-12);
            assert!((excess_at_drop(flow_excess_k, drop_k, &mut Off).unwrap() - 10.0).abs() < 1e-12, "{drop_k}");
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
    fn a_mean_excess_comes_back_from_its_flow_but_for_the_step() {
        const DROP_K: f64 = 5.0;
        // from the double root up
        for thousandths in 289..=6000 {
            let excess_k = DROP_K * f64::from(thousandths) / 1000.0;
            let flow_excess_k = flow_excess(excess_k, DROP_K, &mut Off);
            let found_k = excess_at_drop(flow_excess_k, DROP_K, &mut Off).unwrap();
            if (2.5 * DROP_K..2.5417 * DROP_K).contains(&flow_excess_k) && excess_k < 2.0 * DROP_K {
                assert!(found_k >= 2.0 * DROP_K && found_k < 1.0221 * excess_k, "{excess_k}: {found_k}");
            } else {
                assert!((found_k - excess_k).abs() < 1e-6, "{excess_k}: {found_k}");
            }
            assert!((flow_excess(found_k, DROP_K, &mut Off) - flow_excess_k).abs() < 1e-12);
        }
    }

    #[test]
    fn refuses_what_cannot_be() {
        assert!(drop_of_other_room(10.0, 10.0, &mut Off).is_err());
        assert!(medium_excess(30.0, 20.0, 20.0, &mut Off).is_err());
        assert!(flow_temperature(0.0, 5.0, 20.0, &mut Off).is_err());
        assert!(excess_at_drop(5.39, 5.0, &mut Off).is_ok() && excess_at_drop(5.38, 5.0, &mut Off).is_err());
        assert!(excess_at_drop(5.0, 5.0, &mut Off).is_err() && excess_at_drop(10.0, -1.0, &mut Off).is_err());
        assert!(excess_at_drop(f64::NAN, 5.0, &mut Off).is_err() && excess_at_drop(0.0, 0.0, &mut Off).is_err());
    }
}
