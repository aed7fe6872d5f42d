//! The length of one bore that explains readings best, and how far it may be off.

use super::{Lengths, ONE_IN_THOUSAND, ONE_IN_TWENTY_FIVE, Pair, Reading, Spread, Tried, either_law, exp, ln, sqrt};
use crate::methods::error::MethodError;
use crate::methods::fittings::zeta_drop;
use crate::methods::friction::{self, Bore, LAMINAR_TO, TURBULENT_FROM};
use crate::methods::math::{max, min};
use crate::methods::workings::Off;

/// How far beyond its limits a length is sought: e times so often.
const BEYOND: f64 = 8.0;
/// Halvings that come down from there to 2e-11 of a length.
const HALVINGS: usize = 40;
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
        fit.best = (
            halve(ends, |log_m| fit.slope(log_m, Laws::Either) < 0.0),
            halve(ends, |log_m| fit.slope(log_m, Laws::Either) <= 0.0),
        );
        fit.misfit = fit.sum(fit.best.0);
        Ok(fit)
    }

    /// What the readings leave over at best, in standard deviations squared.
    pub(super) fn misfit(&self) -> f64 {
        self.misfit
    }

    /// The bore with its length. Where the two laws leave several lengths alike, that of them which comes nearest by the law that
    /// water is reckoned by.
    pub(super) fn pair(&self, (bore, zeta): (usize, f64)) -> Pair {
        let (short, long) = self.best;
        let is_transition = self.reads.iter().any(|read| read.laws != (1.0, 1.0));
        let log_m = if is_transition {
            let by_blend = halve(self.ends, |log_m| self.slope(log_m, Laws::Blend) < 0.0);
            min(max(by_blend, short), max(short, long))
        } else {
            short
        };
        let within = |(low, high): (f64, f64)| (min(max(low, self.most.0), log_m), max(min(high, self.most.1), log_m));
        let (least, most) = within(self.bounds(ONE_IN_TWENTY_FIVE));
        let length_m = exp(log_m);
        let known: f64 = self.reads.iter().map(|read| read.weight * read.share(length_m) * read.share(length_m)).sum();
        Pair {
            bore,
            zeta,
            length_m,
            length_spread: 1.0 / sqrt(known),
            least_m: exp(least),
            most_m: exp(most),
            misfit: self.misfit,
            is_transition,
        }
    }

    /// Whether readings and limits of length go together: what both are off is no more than chance gives once in a thousand times.
    pub(super) fn reaches(&self, lengths: Lengths) -> bool {
        let limits = (ln(lengths.min_m), ln(lengths.max_m));
        let (short, long) = self.best;
        let (mut low, mut high) = match (long < limits.0, short > limits.1) {
            (true, _) => (long, limits.0),
            (_, true) => (limits.1, short),
            (false, false) => return true,
        };
        let off = |log_m: f64| {
            let beyond = max(limits.0 - log_m, log_m - limits.1) / lengths.spread;
            self.sum(log_m) - self.misfit + beyond * beyond
        };
        for _ in 0..THIRDS {
            let third = (high - low) / 3.0;
            if off(low + third) <= off(high - third) { high -= third } else { low += third }
        }
        off(0.5 * (low + high)) <= ONE_IN_THOUSAND * ONE_IN_THOUSAND
    }

    /// Where the sum of squares is above its least by the square of so many standard deviations, either way.
    fn bounds(&self, deviations: f64) -> (f64, f64) {
        let most = self.misfit + deviations * deviations;
        let (short, long) = self.best;
        (
            halve((self.ends.0, short), |log_m| self.sum(log_m) > most),
            halve((long, self.ends.1), |log_m| self.sum(log_m) <= most),
        )
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
