//! Logarithmic mean of two excess temperatures, and its two inverses.
//!
//! Water that cools from the flow to the return temperature beside a room has a mean excess of
//! (a − b)/ln(a/b), a and b being the excess of flow and return. Radiators (EN 442) and heated floors
//! (EN 1264) both rest on it; each records it under its own source and computes it here.

use super::error::MethodError;
use super::math::{exp, ln, min, sqrt};

/// Below this ratio of drop to mean excess the logarithm has lost more digits than its series leaves out.
const SERIES_BELOW: f64 = 1e-3;

/// Imbalance of the mean excess at which [`inner`] stops (K).
const TOLERANCE_K: f64 = 1e-9;

/// Steps that [`inner`] may take; it needs five at most.
const MOST_STEPS: usize = 40;

/// A return temperature, and how well it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Return {
    /// Return temperature (°C).
    pub return_c: f64,
    /// Mean excess at this return less the excess that was asked for (K).
    pub residual_k: f64,
    /// Steps that the iteration took.
    pub iterations: usize,
}

/// What [`inner`] found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inner {
    /// Natural logarithm of the ratio of outer to inner excess.
    pub log_ratio: f64,
    /// Mean excess at this ratio (K).
    pub mean_k: f64,
    /// Steps that the iteration took.
    pub iterations: usize,
}

/// Whether a drop is so small beside the mean excess that the series stands for the logarithm.
#[must_use]
pub(super) fn takes_series(drop_k: f64, mean_k: f64) -> bool {
    drop_k < SERIES_BELOW * mean_k
}

/// Logarithmic mean of two excess temperatures.
///
/// # Source
/// Conservation of energy along a surface of constant heat transfer coefficient.
/// # Units
/// K.
/// # Validity
/// `outer_k` ≥ `inner_k` > 0. For a drop below a thousandth of the mean the series m − d²/(12 m) stands in;
/// it agrees with the logarithm to 1e-13.
/// # Errors
/// [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::log_mean;
/// assert!((log_mean::mean(55.0, 45.0)? - 49.833).abs() < 0.0005);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn mean(outer_k: f64, inner_k: f64) -> Result<f64, MethodError> {
    if !(inner_k > 0.0 && outer_k.is_finite()) {
        return Err(MethodError::Impossible { reason: "the water must stay warmer than the room" });
    }
    if outer_k < inner_k {
        return Err(MethodError::Impossible { reason: "the return cannot be warmer than the flow" });
    }
    let (middle_k, drop_k) = (0.5 * (outer_k + inner_k), outer_k - inner_k);
    if takes_series(drop_k, middle_k) {
        return Ok(middle_k - drop_k * drop_k / (12.0 * middle_k));
    }
    Ok(drop_k / ln(outer_k / inner_k))
}

/// Excess of the flow that gives a mean excess at a given drop.
///
/// # Source
/// [`mean`], solved for its first argument.
/// # Units
/// K.
/// # Validity
/// `mean_k` > 0, `drop_k` ≥ 0.
/// # Errors
/// [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::log_mean;
/// let outer = log_mean::outer(log_mean::mean(55.0, 45.0)?, 10.0)?;
/// assert!((outer - 55.0).abs() < 1e-12);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn outer(mean_k: f64, drop_k: f64) -> Result<f64, MethodError> {
    if !(mean_k > 0.0 && drop_k >= 0.0 && mean_k.is_finite() && drop_k.is_finite()) {
        return Err(MethodError::Impossible { reason: "a mean excess must be above 0 and a drop not below 0" });
    }
    if takes_series(drop_k, mean_k) {
        return Ok(mean_k + 0.5 * drop_k + drop_k * drop_k / (12.0 * mean_k));
    }
    Ok(drop_k / (1.0 - exp(-drop_k / mean_k)))
}

/// Mean excess along water whose excess falls by a factor of e to the power of `u`, of which the inverse is known.
fn mean_at(outer_k: f64, u: f64, share: f64) -> f64 {
    if u < SERIES_BELOW {
        return outer_k * (1.0 - u / 2.0 * (1.0 - u / 3.0 * (1.0 - u / 4.0)));
    }
    outer_k * (1.0 - share) / u
}

/// Logarithm of the ratio of outer to inner excess, from the outer one and the mean.
///
/// Newton's method on 1 − exp(−u) − r·u, with r the ratio of mean to outer excess. The function is concave and
/// the start lies beyond the root, so every step comes nearer and none passes it. The start is the mean's own
/// upper bound, a third of the arithmetic plus two thirds of the geometric mean, which near r = 1 is already exact.
///
/// # Source
/// [`mean`], solved for its second argument.
/// # Units
/// K; the logarithm has no unit.
/// # Validity
/// 0 < `mean_k` < `outer_k`. At equality the drop is nothing and no finite flow of water would do.
/// # Errors
/// [`MethodError::Impossible`] outside of that, [`MethodError::NotConverged`] should it not settle.
/// # Examples
/// ```
/// # use tundish_engine::methods::log_mean;
/// let solved = log_mean::inner(55.0, log_mean::mean(55.0, 45.0)?)?;
/// assert!((solved.log_ratio - (55.0_f64 / 45.0).ln()).abs() < 1e-9);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn inner(outer_k: f64, mean_k: f64) -> Result<Inner, MethodError> {
    if !(mean_k > 0.0 && outer_k.is_finite()) {
        return Err(MethodError::Impossible { reason: "a mean excess must be above 0" });
    }
    if mean_k >= outer_k {
        return Err(MethodError::Impossible { reason: "the flow is too cool for this mean excess at any return" });
    }
    let share = mean_k / outer_k;
    let bound = sqrt(3.0 + 6.0 * share) - 2.0;
    let mut u = if bound > 0.0 { min(-2.0 * ln(bound), 1.0 / share) } else { 1.0 / share };
    let mut residual = f64::INFINITY;
    for iterations in 0..=MOST_STEPS {
        let left = exp(-u);
        let reached_k = mean_at(outer_k, u, left);
        residual = reached_k - mean_k;
        if residual.abs() <= TOLERANCE_K {
            return Ok(Inner { log_ratio: u, mean_k: reached_k, iterations });
        }
        u -= (1.0 - left - share * u) / (left - share);
    }
    Err(MethodError::NotConverged { what: "the return temperature", iterations: MOST_STEPS, residual })
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "a drop of nothing gives the excess itself")]
mod tests {
    use super::*;

    #[test]
    fn the_inverses_bring_back_what_went_in() {
        for outer_k in [1.0, 17.0, 55.0] {
            for share in [0.001, 0.1, 0.5, 0.9, 0.999, 0.999_4, 0.999_999, 1.0 - 1e-12] {
                let inner_k = outer_k * share;
                let mean_k = mean(outer_k, inner_k).unwrap();
                assert!(inner_k < mean_k && mean_k < outer_k);
                assert!((outer(mean_k, outer_k - inner_k).unwrap() - outer_k).abs() < 1e-11 * outer_k);
                let solved = inner(outer_k, mean_k).unwrap();
                assert!((outer_k * exp(-solved.log_ratio) - inner_k).abs() < 1e-8);
                assert!(solved.iterations <= 5, "{share}: {} steps", solved.iterations);
            }
        }
    }

    #[test]
    fn the_series_meets_the_logarithm() {
        let at = |inner_k: f64| mean(20.0, inner_k).unwrap();
        let seam_k = 20.0 * (1.0 - 0.5 * SERIES_BELOW) / (1.0 + 0.5 * SERIES_BELOW);
        assert!((at(seam_k + 1e-9) - at(seam_k - 1e-9)).abs() < 2e-9);
        assert_eq!(at(20.0), 20.0);
    }

    #[test]
    fn a_mean_far_below_the_flow_ends_at_the_room() {
        let solved = inner(40.0, 0.001).unwrap();
        assert!(40.0 * exp(-solved.log_ratio) < 1e-12);
    }

    #[test]
    fn refuses_what_cannot_be() {
        assert!(mean(10.0, 0.0).is_err() && mean(10.0, 11.0).is_err() && mean(f64::NAN, 1.0).is_err());
        assert!(outer(0.0, 5.0).is_err() && outer(10.0, -1.0).is_err());
        assert!(inner(10.0, 10.0).is_err() && inner(10.0, 0.0).is_err() && inner(10.0, f64::NAN).is_err());
    }
}
