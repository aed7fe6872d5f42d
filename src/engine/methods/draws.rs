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
        (1.0 + spread * self.normal()).max(LEAST)
    }

    /// A draw from 0 up to 1, in steps of 2⁻⁵³.
    #[expect(clippy::cast_precision_loss, reason = "53 bits are exact in a double")]
    fn unit(&mut self) -> f64 {
        const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
        (self.random.next_u64() >> 11) as f64 * STEP
    }
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
