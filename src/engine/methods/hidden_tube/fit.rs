//! The length of one bore that explains readings best, and how far it may be off.

use super::{Lengths, ONE_IN_THOUSAND, ONE_IN_TWENTY_FIVE, Pair, Reading, Spread, Tried, either_law, exp, ln, sqrt};
use crate::methods::error::MethodError;
use crate::methods::fittings::zeta_drop;
use crate::methods::friction::{self, Bore, LAMINAR_TO, TURBULENT_FROM};
use crate::methods::math::{max, min};
use crate::methods::root;
use crate::methods::workings::Off;

/// How far beyond its limits a length is sought: e times so often.
const BEYOND: f64 = 8.0;
/// Halvings that come down from there to 2e-11 of a length.
const HALVINGS: usize = 40;
/// Deviation at which a search that is near is over.
const FINE: f64 = 1e-12;
/// How far beside a length it is looked whether others fit alike, in logarithms.
const BESIDE: f64 = 1e-9;
/// Thirds that are left out of a search for a least sum, which feels no more than the square of what is left.
const THIRDS: usize = 30;

/// A reading in one bore.
struct Read {
    drop_pa: f64,
    /// What a metre takes (Pa/m), by the law that water is reckoned by.
    gradient_pa_m: f64,
    /// What bends and fittings take (Pa).
    bends_pa: f64,
    /// The laminar and the turbulent law over that law, where either may have held.
    laws: (f64, f64),
    /// One over its variance.
    weight: f64,
}

/// Readings in one bore, by the logarithm of its length.
pub(super) struct Fit {
    reads: Vec<Read>,
    /// Between which it is sought.
    ends: (f64, f64),
    /// The lengths that fit best: one, or all that the two laws leave alike.
    best: (f64, f64),
    /// The least sum of squares.
    misfit: f64,
    /// No shorter and no longer is it taken, whatever readings say.
    most: (f64, f64),
}

impl Fit {
    pub(super) fn new(
        readings: &[Reading],
        spread: Spread,
        tried: Tried,
        lengths: Lengths,
    ) -> Result<Self, MethodError> {
        let reads: Vec<Read> = readings.iter().map(|reading| read(reading, spread, tried)).collect::<Result<_, _>>()?;
        let soft = ONE_IN_THOUSAND * lengths.spread;
        let most = (ln(lengths.min_m) - soft, ln(lengths.max_m) + soft);
        let ends = (most.0 - BEYOND, most.1 + BEYOND);
        let mut fit = Self { reads, ends, best: ends, misfit: 0.0, most };
        let log_m = fit.by_laws(if fit.is_transition() { Laws::Either } else { Laws::Blend })?;
        fit.best = (log_m, log_m);
        if [log_m - BESIDE, log_m, log_m + BESIDE].iter().any(|log_m| fit.slope(*log_m, Laws::Either) == 0.0) {
            // the two laws leave several lengths alike
            fit.best = (
                halve((ends.0, log_m), |log_m| fit.slope(log_m, Laws::Either) < 0.0),
                halve((log_m, ends.1), |log_m| fit.slope(log_m, Laws::Either) <= 0.0),
            );
        }
        fit.misfit = fit.sum(fit.best.0);
        Ok(fit)
    }

    /// Whether either law may have held for one of the readings.
    fn is_transition(&self) -> bool {
        self.reads.iter().any(|read| read.laws != (1.0, 1.0))
    }

    /// The length that fits best, or one of those.
    fn by_laws(&self, laws: Laws) -> Result<f64, MethodError> {
        let weights: f64 = self.reads.iter().map(|read| read.weight).sum();
        let over = |log_m: f64| Ok(-self.slope(log_m, laws) / weights);
        // as if bends took what they take at the drop that was read
        let logs = self.reads.iter().map(|read| {
            let straight_pa = max(read.drop_pa - read.bends_pa, 0.1 * read.drop_pa);
            read.weight * ln(straight_pa / read.gradient_pa_m)
        });
        let first_log_m = logs.sum::<f64>() / weights;
        let first = (first_log_m, over(first_log_m)?);
        let found = root::near((first, first_log_m + first.1), self.ends, FINE, over)?;
        Ok(found.map_or_else(|| halve(self.ends, |log_m| self.slope(log_m, laws) < 0.0), |found| found.at))
    }

    /// What the readings leave over at best, in standard deviations squared.
    pub(super) fn misfit(&self) -> f64 {
        self.misfit
    }

    /// The bore with its length. Where the two laws leave several lengths alike, that of them which comes nearest by the law that
    /// water is reckoned by.
    pub(super) fn pair(&self, (bore, zeta): (usize, f64)) -> Result<Pair, MethodError> {
        let (short, long) = self.best;
        let is_transition = self.is_transition();
        let log_m = if is_transition { min(max(self.by_laws(Laws::Blend)?, short), max(short, long)) } else { short };
        let length_m = exp(log_m);
        let known: f64 = self.reads.iter().map(|read| read.weight * read.share(length_m) * read.share(length_m)).sum();
        let length_spread = 1.0 / sqrt(known);
        let within = |(low, high): (f64, f64)| (min(max(low, self.most.0), log_m), max(min(high, self.most.1), log_m));
        let (least, most) = within(self.bounds(ONE_IN_TWENTY_FIVE, length_spread)?);
        let (least_m, most_m, misfit) = (exp(least), exp(most), self.misfit);
        Ok(Pair { bore, zeta, length_m, length_spread, least_m, most_m, misfit, is_transition })
    }

    /// Whether readings and limits of length go together: what both are off is no more than chance gives once in a thousand times.
    pub(super) fn reaches(&self, lengths: Lengths) -> bool {
        let limits = (ln(lengths.min_m), ln(lengths.max_m));
        let (short, long) = self.best;
        // from the length that fits best to the limit: what readings are off grows, what the limit is off falls
        let (mut near, mut far) = match (long < limits.0, short > limits.1) {
            (true, _) => (long, limits.0),
            (_, true) => (short, limits.1),
            (false, false) => return true,
        };
        let limit = far;
        let most = ONE_IN_THOUSAND * ONE_IN_THOUSAND;
        let by_readings = |log_m: f64| self.sum(log_m) - self.misfit;
        let by_limit = |log_m: f64| ((limit - log_m) / lengths.spread) * ((limit - log_m) / lengths.spread);
        let mut least_by_readings = 0.0;
        for _ in 0..THIRDS {
            let third = (far - near) / 3.0;
            let (nearer, farther) = (by_readings(near + third), by_readings(far - third));
            let (off_nearer, off_farther) = (nearer + by_limit(near + third), farther + by_limit(far - third));
            // one length at which both go together is enough
            if off_nearer <= most || off_farther <= most {
                return true;
            }
            if off_nearer <= off_farther {
                far -= third;
            } else {
                (near, least_by_readings) = (near + third, nearer);
            }
            // and no length that is left goes together where both ends together do not
            if least_by_readings + by_limit(far) > most {
                return false;
            }
        }
        by_readings(0.5 * (near + far)) + by_limit(0.5 * (near + far)) <= most
    }

    /// Where the sum of squares is above its least by the square of so many standard deviations, either way; one is about so much.
    fn bounds(&self, deviations: f64, one: f64) -> Result<(f64, f64), MethodError> {
        let (most, misfit) = (self.misfit + deviations * deviations, self.misfit);
        let (short, long) = self.best;
        // a straight line of the length, nearly
        let beyond = |log_m: f64| sqrt(max(self.sum(log_m) - misfit, 0.0)) - deviations;
        let near = |(from, sign): (f64, f64), ends: (f64, f64)| {
            let over = |log_m: f64| Ok(-sign * beyond(log_m));
            let first_log_m = from + sign * deviations * one;
            let first = (first_log_m, over(first_log_m)?);
            root::near((first, first_log_m + one * first.1), ends, FINE, over)
        };
        let least = near((short, -1.0), (self.ends.0, short))?;
        let greatest = near((long, 1.0), (long, self.ends.1))?;
        Ok((
            least.map_or_else(|| halve((self.ends.0, short), |log_m| self.sum(log_m) > most), |found| found.at),
            greatest.map_or_else(|| halve((long, self.ends.1), |log_m| self.sum(log_m) <= most), |found| found.at),
        ))
    }

    /// Sum of squares at a length, by whichever law suits each reading best.
    fn sum(&self, log_m: f64) -> f64 {
        let length_m = exp(log_m);
        let each = self.reads.iter().map(|read| {
            let off = read.off(length_m, Laws::Either);
            read.weight * off * off
        });
        each.sum()
    }

    /// How it goes with the length, but for a factor: below 0 where a longer tube fits better.
    fn slope(&self, log_m: f64, laws: Laws) -> f64 {
        let length_m = exp(log_m);
        self.reads.iter().map(|read| -read.weight * read.off(length_m, laws) * read.share(length_m)).sum()
    }
}

/// Which law a reading is held against.
#[derive(Clone, Copy)]
enum Laws {
    /// That which water is reckoned by.
    Blend,
    /// Whichever comes nearest.
    Either,
}

impl Read {
    /// By how much the reading is above what a length takes, in logarithms; below 0 where it is less.
    fn off(&self, length_m: f64, laws: Laws) -> f64 {
        let straight_pa = length_m * self.gradient_pa_m;
        let over = |law: f64| ln(self.drop_pa / (law * straight_pa + self.bends_pa));
        match laws {
            Laws::Blend => over(1.0),
            Laws::Either => max(over(self.laws.1), 0.0) + min(over(self.laws.0), 0.0),
        }
    }

    /// How much of the drop the length takes (0–1): by so much does it go with it.
    fn share(&self, length_m: f64) -> f64 {
        let straight_pa = length_m * self.gradient_pa_m;
        straight_pa / (straight_pa + self.bends_pa)
    }
}

/// A reading in a tube.
fn read(reading: &Reading, spread: Spread, Tried { bore, zeta }: Tried) -> Result<Read, MethodError> {
    let Reading { flow_kg_s, drop_pa, liquid } = *reading;
    let found = friction::in_tube(bore, &liquid, flow_kg_s, &mut Off)?;
    let gradient_pa_m = found.gradient_pa_m;
    let bends_pa = zeta_drop(zeta, liquid.density_kg_m3, found.velocity_m_s, &mut Off);
    // how much the drop feels an error of the flow: bends with its square
    let step = 1e-4;
    let beside = friction::in_tube(bore, &liquid, flow_kg_s * (1.0 + step), &mut Off)?;
    let of_length = ln(beside.gradient_pa_m / gradient_pa_m) / step;
    let of_bends = min(bends_pa / drop_pa, 1.0);
    let power = of_length * (1.0 - of_bends) + 2.0 * of_bends;
    let variance = spread.drop * spread.drop + power * power * spread.flow * spread.flow;
    let laws = laws(bore, reading, found.reynolds, spread)?;
    Ok(Read { drop_pa, gradient_pa_m, bends_pa, laws, weight: 1.0 / variance })
}

/// The two laws over that which water is reckoned by, where either may have held: between laminar and turbulent, and as near to
/// that as the flow is unsure.
fn laws(bore: Bore, reading: &Reading, reynolds: f64, spread: Spread) -> Result<(f64, f64), MethodError> {
    // a hair within, where either law is told
    let (from, to) = (LAMINAR_TO * (1.0 + 1e-9), TURBULENT_FROM * (1.0 - 1e-9));
    let may = min(max(reynolds, from), to);
    if ln(may / reynolds).abs() > ONE_IN_TWENTY_FIVE * spread.flow {
        return Ok((1.0, 1.0));
    }
    let there = friction::in_tube(bore, &reading.liquid, reading.flow_kg_s * may / reynolds, &mut Off)?;
    either_law(bore, &there)
}

/// Where what holds up to somewhere ends to hold.
fn halve((mut low, mut high): (f64, f64), holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if holds(middle) { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}
