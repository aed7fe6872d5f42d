//! With what power of the flow the friction of a straight tube goes, at one flow.

use super::error::MethodError;
use super::friction::{LAMINAR_TO, TURBULENT_FROM, colebrook, turbulent_share};
use super::math::{LN_10, sqrt};
use super::workings::Off;

/// Power n of the flow that the pressure gradient goes with beside a flow, Δp ~ qⁿ: by how many hundredths the gradient grows
/// where the flow grows by one.
///
/// It is 1 in laminar flow, and from 1.75 to 2 in turbulent flow, the more the rougher; more than 2 where flow turns from one to the
/// other. `friction_factor` is what [`friction_factor`](super::friction::friction_factor) finds there, or nothing is gained.
///
/// # Source
/// Δp = f·ρ·v²/2·L/d, so n = 2 + d(ln f)/d(ln Re): with f = 64/Re it is 1, and with 1/√f = −2·log10(k/(3.7 d) + 2.51/(Re·√f)),
/// derived on both sides, 2 − 2·g/(1 + g), where g = 2/ln 10 · (2.51/Re) / (k/(3.7 d) + 2.51/(Re·√f)).
/// # Units
/// None.
/// # Validity
/// As [`friction_factor`](super::friction::friction_factor).
/// # Errors
/// As [`colebrook`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction::friction_factor, friction_exponent::flow_exponent, Off};
/// assert_eq!(flow_exponent(1000.0, 1e-4, 0.064)?, 1.0);
/// // a smooth tube, by the law of Blasius 1.75 up to Re 100,000
/// let factor = friction_factor(20_000.0, 0.0, &mut Off)?;
/// assert!((flow_exponent(20_000.0, 0.0, factor)? - 1.75).abs() < 0.01);
/// // a very rough one, where the factor hangs on the flow no more
/// let factor = friction_factor(1e8, 0.05, &mut Off)?;
/// assert!((flow_exponent(1e8, 0.05, factor)? - 2.0).abs() < 1e-4);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn flow_exponent(reynolds: f64, relative_roughness: f64, friction_factor: f64) -> Result<f64, MethodError> {
    if reynolds <= LAMINAR_TO {
        return Ok(1.0);
    }
    if reynolds >= TURBULENT_FROM {
        return Ok(2.0 - falls(reynolds, relative_roughness, friction_factor));
    }
    // both laws as they are blended there, and the share itself
    let (laminar, turbulent) = (64.0 / reynolds, colebrook(reynolds, relative_roughness, &mut Off)?.friction_factor);
    let (way, share) = ((reynolds - LAMINAR_TO) / (TURBULENT_FROM - LAMINAR_TO), turbulent_share(reynolds, &mut Off));
    let share_grows = 6.0 * way * (1.0 - way) * reynolds / (TURBULENT_FROM - LAMINAR_TO);
    let grows = share_grows * (turbulent - laminar)
        - (1.0 - share) * laminar
        - share * turbulent * falls(reynolds, relative_roughness, turbulent);
    Ok(2.0 + grows / friction_factor)
}

/// Power of the Reynolds number with which the factor of Colebrook-White falls.
fn falls(reynolds: f64, relative_roughness: f64, turbulent_factor: f64) -> f64 {
    let smooth = 2.51 / reynolds;
    let inner = relative_roughness / 3.7 + smooth / sqrt(turbulent_factor);
    let by_root = 2.0 / LN_10 * smooth / inner;
    2.0 * by_root / (1.0 + by_root)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::friction::friction_factor;
    use crate::methods::math::{ln, pow};

    /// Against the difference of two friction factors beside each other, through all three laws.
    #[test]
    fn is_the_slope_of_the_friction_factor() {
        for decade in 0..400 {
            let reynolds = 1500.3 * pow(10.0, f64::from(decade) / 100.0);
            for roughness in [0.0, 1e-5, 1e-3, 0.05] {
                let at = |reynolds: f64| friction_factor(reynolds, roughness, &mut Off).unwrap();
                let (less, more) = (reynolds * (1.0 - 1e-6), reynolds * (1.0 + 1e-6));
                let beside = 2.0 + ln(at(more) / at(less)) / ln(more / less);
                let found = flow_exponent(reynolds, roughness, at(reynolds)).unwrap();
                assert!((found - beside).abs() < 1e-8, "Re {reynolds}, {roughness}: {found}, {beside}");
            }
        }
    }
}
