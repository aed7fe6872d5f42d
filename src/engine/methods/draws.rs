//! Draws from a normal distribution that come out alike on every machine, and quantiles of what was drawn.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};

use super::math::{PI, cos, ln, sqrt};

/// Least factor that is drawn: a wall that loses nothing, or no air at all, is no wall and no house.
pub const LEAST: f64 = 0.01;

/// A sequence of draws from one seed.
#[derive(Debug, Clone)]
pub struct Draws {
    random: ChaCha8Rng,
    /// The second of a pair, kept for the next.
    kept: Option<f64>,
}

impl Draws {
    /// The draws of a seed.
    #[must_use]
    pub fn new(seed: u32) -> Self {
        Self { random: ChaCha8Rng::seed_from_u64(u64::from(seed)), kept: None }
    }

    /// A draw from the normal distribution of mean 0 and deviation 1.
    ///
    /// # Source
    /// Box and Muller, A note on the generation of random normal deviates (1958); the random bits are those of the
    /// stream named `ChaCha8`.
    pub fn normal(&mut self) -> f64 {
        if let Some(kept) = self.kept.take() {
            return kept;
        }
        let (radius, angle) = (sqrt(-2.0 * ln(1.0 - self.unit())), 2.0 * PI * self.unit());
        // the sine of an angle is the cosine of the angle less a quarter turn
        self.kept = Some(radius * cos(angle - 0.5 * PI));
        radius * cos(angle)
    }

    /// A factor with mean 1 and a relative deviation, and never below [`LEAST`].
    ///
    /// # Examples
    /// ```
    /// use tundish_engine::methods::draws::Draws;
    /// let mut draws = Draws::new(1);
    /// assert_eq!(draws.factor(0.0), 1.0);
    /// assert!((0..1000).all(|_| draws.factor(1.0) >= 0.01));
    /// ```
    pub fn factor(&mut self, spread: f64) -> f64 {
        factor(spread, self.normal())
    }

    /// A draw from 0 up to 1, in steps of 2⁻⁵³.
    #[expect(clippy::cast_precision_loss, reason = "53 bits are exact in a double")]
    fn unit(&mut self) -> f64 {
        const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
        (self.random.next_u64() >> 11) as f64 * STEP
    }
}

/// A factor with mean 1 and a relative deviation by a draw from the normal distribution, and never below [`LEAST`]: figures that
/// share their draw rise and fall together.
///
/// # Examples
/// ```
/// use tundish_engine::methods::draws::factor;
/// assert_eq!((factor(0.1, 1.5), factor(0.2, 1.5), factor(1.0, -3.0)), (1.15, 1.3, 0.01));
/// ```
#[must_use]
pub fn factor(spread: f64, normal: f64) -> f64 {
    (1.0 + spread * normal).max(LEAST)
}

/// The quantile of sorted figures, linear between neighbours; nothing of nothing is 0.
///
/// # Source
/// Hyndman and Fan, Sample quantiles in statistical packages (1996), definition 7.
/// # Examples
/// ```
/// use tundish_engine::methods::draws::quantile;
/// assert_eq!([0.0, 0.1, 0.5, 1.0].map(|share| quantile(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0], share)), [1.0, 1.5, 3.5, 6.0]);
/// ```
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "a place in a list that fits into memory"
)]
pub fn quantile(sorted: &[f64], share: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else { return 0.0 };
    let place = share * last as f64;
    let below = (place.floor() as usize).min(last);
    let above = (below + 1).min(last);
    sorted[below] + (sorted[above] - sorted[below]) * (place - below as f64)
}

/// Deviation that an input gives to a figure that goes straight with it.
///
/// # Source
/// Propagation of variances, first order.
/// # Units
/// Relative standard deviation, W; result W.
/// # Validity
/// The part of the figure that goes with the input.
/// # Examples
/// ```
/// use tundish_engine::methods::draws;
/// // a tenth of 500 W
/// assert_eq!(draws::deviation_of_part(0.1, 500.0), 50.0);
/// ```
#[must_use]
pub fn deviation_of_part(spread: f64, part_w: f64) -> f64 {
    spread * part_w
}

/// Deviation that an input gives to a figure, by the figure at one standard deviation up and one down.
///
/// # Source
/// Propagation of variances by the central difference.
/// # Units
/// W.
/// # Validity
/// Inputs that the figure goes nearly straight with over that range.
/// # Examples
/// ```
/// use tundish_engine::methods::draws;
/// assert_eq!(draws::deviation_between(5100.0, 4900.0), 100.0);
/// ```
#[must_use]
pub fn deviation_between(up_w: f64, down_w: f64) -> f64 {
    0.5 * (up_w - down_w)
}

/// Part of a figure's variance that one of several inputs brings which share their draw: its covariance with all of them.
///
/// # Source
/// The variance of a sum is the sum of the covariances of its parts with it; those of one draw are wholly correlated.
/// # Units
/// W; result W².
/// # Validity
/// `together_w` is the sum of the deviations of all that share the draw, this one among them: an input by itself has its own.
/// # Examples
/// ```
/// use tundish_engine::methods::draws::covariance;
/// // two of 30 and 40 W are 70 W together, and 50 W apart
/// assert_eq!(covariance(30.0, 70.0) + covariance(40.0, 70.0), 4900.0);
/// assert_eq!(covariance(30.0, 30.0) + covariance(40.0, 40.0), 2500.0);
/// ```
#[must_use]
pub fn covariance(deviation_w: f64, together_w: f64) -> f64 {
    deviation_w * together_w
}

/// Range that is left if one input is known better.
///
/// # Source
/// Variances of independent inputs add; a range goes with the root of their sum.
/// # Units
/// W, W², W², relative standard deviations; result W.
/// # Validity
/// `whole` and `spread` above 0.
/// # Examples
/// ```
/// use tundish_engine::methods::draws;
/// // 16 of 25 come from one input; were it sure, 3 of 5 would be left of the range
/// assert!((draws::range_left(1000.0, (25.0, 16.0), (0.0, 0.2)) - 600.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn range_left(range_w: f64, (whole, variance): (f64, f64), (measured, spread): (f64, f64)) -> f64 {
    let left = whole - variance + variance * (measured / spread) * (measured / spread);
    range_w * sqrt(left.max(0.0) / whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_are_normal_and_repeat_by_their_seed() {
        const COUNT: u32 = 200_000;
        let mut draws = Draws::new(7);
        let drawn: Vec<f64> = (0..COUNT).map(|_| draws.normal()).collect();
        let mean = drawn.iter().sum::<f64>() / f64::from(COUNT);
        let variance = drawn.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / f64::from(COUNT);
        let fourth = drawn.iter().map(|x| (x - mean) * (x - mean) * (x - mean) * (x - mean)).sum::<f64>();
        // four standard errors: 1/√n of the mean, √(2/n) of the variance, √(96/n) of the fourth moment
        assert!(mean.abs() < 4.0 * 0.002_24 && (variance - 1.0).abs() < 4.0 * 0.003_17, "{mean} {variance}");
        assert!((fourth / f64::from(COUNT) - 3.0).abs() < 4.0 * 0.021_9);
        let mut again = Draws::new(7);
        assert!(drawn.iter().take(100).all(|x| x.to_bits() == again.normal().to_bits()));
        assert_ne!(Draws::new(8).normal(), drawn[0]);
    }
}
