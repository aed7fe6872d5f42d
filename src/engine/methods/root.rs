//! Root of a falling or rising function between two ends, by regula falsi after Illinois.

use super::error::MethodError;

/// Steps that a search may take: halving alone would need some 45, and of four steps one halves at least.
const MOST_STEPS: usize = 200;

/// Width of the bracket, relative to its place, at which a search ends: a function that steps over nothing has its root
/// at the step.
const NARROW: f64 = 1e-12;

/// A root, and how well it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Root {
    /// Where.
    pub at: f64,
    /// What the function leaves there.
    pub residual: f64,
    /// Steps taken.
    pub iterations: usize,
}

/// Where a function passes through nothing, between two ends at which it has opposite signs.
///
/// # Source
/// Regula falsi with the Illinois modification (Dowell and Jarratt, 1971), as in any handbook of numerical methods.
/// # Units
/// Those of the function; `tolerance` is in those of its value.
/// # Validity
/// Opposite signs at the ends, or nothing at one of them.
/// # Errors
/// [`MethodError::Impossible`] without a change of sign, [`MethodError::NotConverged`] should the search not end, and
/// whatever the function refuses.
/// # Examples
/// ```
/// # use tundish_engine::methods::root;
/// let root = root::between("a square", (1.0, 2.0), 1e-12, |x| Ok(x * x - 2.0))?;
/// assert!((root.at - 2.0_f64.sqrt()).abs() < 1e-12);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn between(
    what: &'static str,
    ends: (f64, f64),
    tolerance: f64,
    mut value: impl FnMut(f64) -> Result<f64, MethodError>,
) -> Result<Root, MethodError> {
    let (mut a, mut b) = ends;
    let (mut at_a, mut at_b) = (value(a)?, value(b)?);
    for (at, residual) in [(a, at_a), (b, at_b)] {
        if residual.abs() <= tolerance {
            return Ok(Root { at, residual, iterations: 0 });
        }
    }
    if at_a * at_b >= 0.0 || (at_a * at_b).is_nan() {
        return Err(MethodError::Impossible { reason: "what is sought does not lie between its bounds" });
    }
    let mut residual = at_b;
    let (mut since, mut width) = (0, (b - a).abs());
    for iterations in 1..=MOST_STEPS {
        let step = (a * at_b - b * at_a) / (at_b - at_a);
        let (low, high) = if a < b { (a, b) } else { (b, a) };
        // halving where three steps have not, should one end hold on or the function step
        since += 1;
        let halve = since > 3;
        if halve || high - low < 0.5 * width {
            (since, width) = (0, high - low);
        }
        let at = if halve || !(low < step && step < high) { 0.5 * (a + b) } else { step };
        residual = value(at)?;
        let narrow = (high - low).abs() <= NARROW * at.abs();
        if residual.abs() <= tolerance || narrow {
            return Ok(Root { at, residual, iterations });
        }
        if residual * at_b < 0.0 {
            (a, at_a) = (b, at_b);
        } else {
            at_a *= 0.5;
        }
        (b, at_b) = (at, residual);
    }
    Err(MethodError::NotConverged { what, iterations: MOST_STEPS, residual })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::math::{exp, ln};

    #[test]
    fn finds_roots_that_are_known() {
        for (ends, root) in [((0.0, 3.0), ln(2.0)), ((3.0, -1.0), ln(2.0))] {
            let found = between("x", ends, 1e-13, |x| Ok(exp(x) - 2.0)).unwrap();
            assert!((found.at - root).abs() < 1e-12 && found.iterations < 20, "{found:?}");
        }
        let flat = between("x", (0.0, 1.0), 1e-12, |x| Ok(x * x * x * x * x - 1e-5)).unwrap();
        assert!((flat.at - 0.1).abs() < 1e-7, "{flat:?}");
    }

    #[test]
    fn a_step_is_found_as_far_as_it_can_be() {
        let step = between("x", (0.0, 1.0), 1e-12, |x| Ok(if x < 0.3 { -1.0 } else { 2.0 })).unwrap();
        assert!((step.at - 0.3).abs() < 1e-9, "{step:?}");
        // a step on a slope, as the approximation of a drop has one
        let kink = |x: f64| Ok(if x < 2.0 / 3.0 { x - 5.0 } else { 0.01 * x });
        let step = between("x", (0.0, 40.0), 1e-12, kink).unwrap();
        assert!((step.at - 2.0 / 3.0).abs() < 1e-9, "{step:?}");
    }

    #[test]
    fn refuses_ends_of_one_sign_and_hands_errors_on() {
        assert!(between("x", (1.0, 2.0), 1e-9, Ok).is_err());
        let refused = MethodError::Impossible { reason: "no" };
        assert_eq!(between("x", (1.0, 2.0), 1e-9, |_| Err(refused.clone())), Err(refused));
    }
}
