//! Powers, logarithms and exponentials that give the same bits on every machine.
//!
//! The standard library hands these to the platform, whose last bits differ between processors; a design
//! must come out the same byte for byte wherever it is computed. Every method takes them from here, and
//! clippy's `disallowed-methods` holds it. Square roots, sums and products are exact by IEEE 754 already.

use std::cell::Cell;

/// `base` to the power of `exponent`.
///
/// # Examples
/// ```
/// assert_eq!(tundish_engine::methods::math::pow(2.0, 10.0), 1024.0);
/// ```
#[must_use]
pub fn pow(base: f64, exponent: f64) -> f64 {
    thread_local! {
        /// The last power that was taken: where a property of water repeats, it is asked for over and over.
        static LAST: Cell<[f64; 3]> = const { Cell::new([1.0, 1.0, 1.0]) };
    }
    // a square is exact to the last bit without a logarithm
    if exponent.to_bits() == 2.0_f64.to_bits() {
        return base * base;
    }
    let [last_base, last_exponent, power] = LAST.get();
    if base.to_bits() == last_base.to_bits() && exponent.to_bits() == last_exponent.to_bits() {
        return power;
    }
    let power = libm::pow(base, exponent);
    LAST.set([base, exponent, power]);
    power
}

/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Logarithm to base ten.
#[must_use]
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// Exponential function.
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Cosine of an angle in radians.
#[must_use]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Sine of an angle in radians.
#[must_use]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Angle in radians, from 0 to π, that a figure from -1 to 1 is the cosine of.
#[must_use]
pub fn acos(x: f64) -> f64 {
    libm::acos(x)
}

/// Angle in radians, from -π/2 to π/2, that a figure from -1 to 1 is the sine of.
#[must_use]
pub fn asin(x: f64) -> f64 {
    libm::asin(x)
}

/// Square root (exactly rounded by IEEE 754 on every machine).
#[must_use]
pub fn sqrt(x: f64) -> f64 {
    x.sqrt()
}

/// The smaller of two figures, neither of which may be NaN.
#[must_use]
pub fn min(a: f64, b: f64) -> f64 {
    debug_assert!(!a.is_nan() && !b.is_nan());
    if b < a { b } else { a }
}

/// The larger of two figures, neither of which may be NaN.
#[must_use]
pub fn max(a: f64, b: f64) -> f64 {
    debug_assert!(!a.is_nan() && !b.is_nan());
    if b > a { b } else { a }
}

/// Ratio of a circle's circumference to its diameter.
pub const PI: f64 = core::f64::consts::PI;

/// ln 10.
pub const LN_10: f64 = core::f64::consts::LN_10;

/// `x` rounded to `digits` significant decimal digits, by way of its decimal text, so that the result is
/// the double nearest to that text.
///
/// # Examples
/// ```
/// use tundish_engine::methods::math::round_significant;
/// assert_eq!(round_significant(1234.56789, 7), 1234.568);
/// assert_eq!(round_significant(-0.0, 7), 0.0);
/// ```
#[must_use]
pub fn round_significant(x: f64, digits: usize) -> f64 {
    if x == 0.0 {
        return 0.0;
    }
    round_shortest(x, digits).unwrap_or_else(|| format!("{x:.*e}", digits.saturating_sub(1)).parse().unwrap_or(x))
}

/// Powers of ten that doubles hold exactly.
const EXACT_TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

/// Rounds by the shortest text that stands for a double, which is quick; nothing where that text does not decide: at
/// a half, where it is written with an exponent, and where the result is no product of exact doubles.
fn round_shortest(x: f64, digits: usize) -> Option<f64> {
    let mut buffer = zmij::Buffer::new();
    let text = buffer.format_finite(x.abs());
    if !x.is_finite() || !(1..=15).contains(&digits) || text.contains(['e', 'E']) {
        return None;
    }
    let point = text.find('.').unwrap_or(text.len());
    let (mut whole, mut taken, mut exponent) = (0_u64, 0_usize, 0_i32);
    let (mut after, mut rest) = (None, false);
    for (at, byte) in text.bytes().enumerate().filter(|(_, byte)| *byte != b'.') {
        let digit = u64::from(byte - b'0');
        let fraction = at > point;
        if taken == 0 && digit == 0 {
            exponent -= i32::from(fraction);
        } else if taken < digits {
            whole = whole * 10 + digit;
            taken += 1;
            exponent -= i32::from(fraction);
        } else {
            exponent += i32::from(!fraction);
            match after {
                None => after = Some(digit),
                Some(_) => rest |= digit != 0,
            }
        }
    }
    match after {
        None | Some(0) if !rest => return Some(x),
        Some(5) if !rest => return None,
        Some(digit) if digit >= 5 => whole += 1,
        Some(_) | None => {}
    }
    let ten = EXACT_TENS.get(usize::try_from(exponent.unsigned_abs()).ok()?)?;
    #[expect(clippy::cast_precision_loss, reason = "fifteen digits are exact in a double")]
    let whole = whole as f64;
    let rounded = if exponent < 0 { whole / ten } else { whole * ten };
    Some(rounded.copysign(x))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_values() {
        assert!((ln(exp(1.5)) - 1.5).abs() < 1e-15);
        assert_eq!(log10(1000.0), 3.0);
        assert_eq!(min(1.0, -1.0), -1.0);
        assert_eq!(max(1.0, -1.0), 1.0);
        assert_eq!(round_significant(0.000_123_456_789, 7), 0.000_123_456_8);
        assert_eq!(round_significant(9.999_999_9e21, 7), 1e22);
    }
}
