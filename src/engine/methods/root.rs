//! Root of a falling or rising function between two ends, by regula falsi after Illinois.

use super::error::MethodError;
use super::math::{max, min};

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

/// Where a falling function passes through nothing, near two guesses, of the first of which its value is known; nothing where it is not found at once, as where it steps or
/// has no root between its ends.
///
/// # Source
/// The secant method, held within what is known of the signs; as in any handbook of numerical methods.
/// # Units
/// As [`between`].
/// # Validity
/// A function that falls all the way. Its ends are not looked at.
/// # Errors
/// Whatever the function refuses.
/// # Examples
/// ```
/// # use tundish_engine::methods::root;
/// let root = root::near(((1.4, 0.04), 1.5), (0.0, 9.0), 1e-12, |x| Ok(2.0 - x * x))?.unwrap();
/// assert!((root.at - 2.0_f64.sqrt()).abs() < 1e-12 && root.iterations <= 5);
/// assert!(root::near(((1.4, 0.04), 1.5), (0.0, 1.0), 1e-12, |x| Ok(2.0 - x * x))?.is_none());
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn near(
    ((mut last, mut at_last), mut at): ((f64, f64), f64),
    ends: (f64, f64),
    tolerance: f64,
    mut value: impl FnMut(f64) -> Result<f64, MethodError>,
) -> Result<Option<Root>, MethodError> {
    const MOST_LOOKS: usize = 16;
    let (mut low, mut high) = ends;
    if at_last.abs() <= tolerance {
        return Ok(Some(Root { at: last, residual: at_last, iterations: 0 }));
    }
    (low, high) = if at_last > 0.0 { (max(low, last), high) } else { (low, min(high, last)) };
    for iterations in 1..MOST_LOOKS {
        if !(low < at && at < high) {
            at = 0.5 * (low + high);
        }
        let residual = value(at)?;
        if residual.abs() <= tolerance {
            return Ok(Some(Root { at, residual, iterations }));
        }
        (low, high) = if residual > 0.0 { (at, high) } else { (low, at) };
        if high - low <= NARROW * at.abs() {
            return Ok(None);
        }
        let next = at - residual * (at - last) / (residual - at_last);
        (last, at_last, at) = (at, residual, next);
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::math::{exp, ln};

    #[test]
    fn what_is_near_is_found_in_few_looks_or_not_at_all() {
        let falling = |x: f64| Ok(ln(3.0 / x));
        for guesses in [(2.9, 3.1), (1.0, 2.0), (9.0, 8.0), (0.1, -5.0), (3.0, 7.0), (2.0, 2.0)] {
            let (first, second) = guesses;
            let guesses = ((first, falling(first).unwrap()), second);
            let found = near(guesses, (0.01, 100.0), 1e-12, falling).unwrap().unwrap();
            assert!((found.at - 3.0).abs() < 1e-10 && found.residual.abs() <= 1e-12, "{guesses:?} {found:?}");
        }
        // a step has no root, and neither has what stays above
        assert_eq!(near(((0.2, 1.0), 0.4), (0.0, 1.0), 1e-12, |x| Ok(if x < 0.3 { 1.0 } else { -2.0 })), Ok(None));
        assert_eq!(near(((0.2, 1.8), 0.4), (0.0, 1.0), 1e-12, |x| Ok(2.0 - x)), Ok(None));
        let refused = MethodError::Impossible { reason: "no" };
        assert_eq!(near(((1.0, 1.0), 2.0), (0.0, 9.0), 1e-9, |_| Err(refused.clone())), Err(refused));
    }

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
