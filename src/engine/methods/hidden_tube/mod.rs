//! What a tube that nobody can see can carry, from readings of flow and pressure difference.
//!
//! A reading tells the product of two unknowns: how much a metre takes, which the bore sets, and how many metres there are.
//! So for every bore on the market there is a length that explains the readings, and little in them tells which pair lies
//! in the wall. It hardly matters: carried to another flow the pairs agree as long as they stay turbulent, since the friction
//! of all of them grows with nearly the same power of the flow.
//!
//! Bends and fittings that are known are no length: what they take grows with the square of the flow, and that of a length does
//! not, least of all where it is laminar. Between laminar and turbulent flow a length may take anything from the one law to the other.

mod fit;

use super::budget::Budget;
use super::error::MethodError;
use super::fittings::zeta_drop;
use super::friction::{self, Bore, Friction, LAMINAR_TO, TURBULENT_FROM};
use super::math::{exp, ln, max, min, sqrt};
use super::water::Liquid;
use super::workings::{Off, Workings};
use crate::eq;
use fit::Fit;

/// A reading of flow and pressure difference between the two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Flow (kg/s).
    pub flow_kg_s: f64,
    /// Pressure difference (Pa).
    pub drop_pa: f64,
    /// The water that flowed.
    pub liquid: Liquid,
}

/// How sure readings are: relative standard deviations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Of a flow.
    pub flow: f64,
    /// Of a pressure difference.
    pub drop: f64,
}

/// A tube that may lie there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tried {
    /// Its inside.
    pub bore: Bore,
    /// Loss coefficients of the bends and fittings that are known, all at its own velocity.
    pub zeta: f64,
}

/// How long the tube may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lengths {
    /// Least (m).
    pub min_m: f64,
    /// Greatest (m).
    pub max_m: f64,
    /// How sure both are: a relative standard deviation.
    pub spread: f64,
}

/// A bore with the length that explains the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Index of the bore.
    pub bore: usize,
    /// Loss coefficients of the bends and fittings that are known.
    pub zeta: f64,
    /// Straight length that takes what these leave (m).
    pub length_m: f64,
    /// Relative standard deviation of that length.
    pub length_spread: f64,
    /// It is shorter once in twenty-five times (m).
    pub least_m: f64,
    /// It is longer once in twenty-five times (m).
    pub most_m: f64,
    /// What the readings leave over, in standard deviations squared.
    pub misfit: f64,
    /// Whether one of the readings lies between laminar and turbulent flow, as far as its flow is known.
    pub is_transition: bool,
}

/// Pressure drop of a pair at another flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carried {
    /// Likely drop (Pa).
    pub drop_pa: f64,
    /// Below this it lies once in twenty times at most (Pa).
    pub low_pa: f64,
    /// Above this it lies once in twenty times at most (Pa).
    pub high_pa: f64,
    /// The straight length that takes the greatest drop by the law that water is reckoned by (m).
    pub longest_m: f64,
    /// Whether this flow or one of the readings lies between laminar and turbulent, where anything between the two laws is
    /// possible.
    pub is_transition: bool,
}

/// Standard deviations that leave one case in twenty-five on either side: of one in twenty that is promised, the fifth is for
/// a bore that is refused by bad luck, and for readings at the ends of what the two laws allow, which count as surer than they are.
const ONE_IN_TWENTY_FIVE: f64 = 1.750_686;
/// Standard deviations that leave one case in a thousand above: a true bore is not to be refused by bad luck.
const ONE_IN_THOUSAND: f64 = 3.090_232;

/// What one reading with one bore costs in units of work: its friction, and the search for a length.
const WORK: u64 = 5;

/// Bores that explain the readings, each with its length. One reading with one bore is five units of work.
///
/// Where readings lie between laminar and turbulent flow, or as near to that as their flow is unsure, each may have followed
/// either law or anything between: that is no misfit, and where it leaves several lengths alike the interval holds them all.
///
/// # Source
/// [`friction::in_tube`] and [`zeta_drop`] read backwards; least squares on the logarithms, weighed by how sure each reading is; a
/// bore is refused where the misfit is one that chance gives once in a thousand times (χ², by the approximation of Wilson and
/// Hilferty, 1931), and so where readings and limits of length together are off by as much. Bounds of the length by the ratio of
/// likelihoods: where the sum of squares is by so much above its least.
/// # Units
/// kg/s, Pa; lengths m.
/// # Validity
/// One bore from end to end, no valve that was turned between readings. With one reading every bore explains it, and only
/// the lengths that are possible tell them apart.
/// # Errors
/// [`MethodError::Impossible`] without readings or with readings that are not above 0, whatever friction refuses, and
/// those of the budget.
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction::{self, Bore}, hidden_tube::{Lengths, Reading, Spread, Tried, pairs}, water::water};
/// # use tundish_engine::methods::{Budget, Off};
/// let (liquid, bore) = (water(40.0)?, Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 });
/// let reading = |flow_kg_s: f64| -> Result<Reading, tundish_engine::methods::MethodError> {
///     let gradient_pa_m = friction::in_tube(bore, &liquid, flow_kg_s, &mut Off)?.gradient_pa_m;
///     Ok(Reading { flow_kg_s, drop_pa: 18.0 * gradient_pa_m, liquid })
/// };
/// let readings = [reading(0.06)?, reading(0.1)?];
/// let spread = Spread { flow: 0.03, drop: 0.03 };
/// let lengths = Lengths { min_m: 5.0, max_m: 60.0, spread: 0.05 };
/// let found = pairs(&readings, spread, &[Tried { bore, zeta: 0.0 }], lengths, &Budget::unbounded())?;
/// assert!((found[0].length_m - 18.0).abs() < 1e-9);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn pairs(
    readings: &[Reading],
    spread: Spread,
    tried: &[Tried],
    lengths: Lengths,
    budget: &Budget,
) -> Result<Vec<Pair>, MethodError> {
    if readings.is_empty() || readings.iter().any(|reading| !(reading.flow_kg_s > 0.0 && reading.drop_pa > 0.0)) {
        return Err(MethodError::Impossible {
            reason: "a hidden tube needs readings of a flow and its pressure difference",
        });
    }
    if !(spread.flow >= 0.0 && spread.drop >= 0.0 && spread.flow + spread.drop > 0.0) {
        return Err(MethodError::Impossible { reason: "readings have a spread, however small" });
    }
    if !(lengths.min_m > 0.0 && lengths.max_m >= lengths.min_m && lengths.spread > 0.0) {
        return Err(MethodError::Impossible { reason: "a length has a least and a greatest, and both a spread" });
    }
    let mut found = Vec::new();
    for (bore, &tried) in tried.iter().enumerate() {
        budget.spend(WORK * readings.len() as u64)?;
        let fit = Fit::new(readings, spread, tried, lengths)?;
        if fit.misfit() <= chi_squared(readings.len() - 1) && fit.reaches(lengths) {
            found.push(fit.pair((bore, tried.zeta))?);
        }
    }
    Ok(found)
}

/// Friction by the laminar and by the turbulent law over the blend of the two, between them; 1 and 1 elsewhere.
fn either_law(bore: Bore, found: &Friction) -> Result<(f64, f64), MethodError> {
    if found.reynolds <= LAMINAR_TO || found.reynolds >= TURBULENT_FROM {
        return Ok((1.0, 1.0));
    }
    let roughness = bore.roughness_mm / bore.inside_diameter_mm;
    let turbulent = friction::colebrook(found.reynolds, roughness, &mut Off)?.friction_factor;
    Ok((64.0 / found.reynolds / found.friction_factor, turbulent / found.friction_factor))
}

/// Sum of squares that chance exceeds once in a thousand times; nothing can be told with no reading to spare.
fn chi_squared(degrees: usize) -> f64 {
    if degrees == 0 {
        return f64::INFINITY;
    }
    #[expect(clippy::cast_precision_loss, reason = "a job holds a few readings")]
    let degrees = degrees as f64;
    let share = 2.0 / (9.0 * degrees);
    let root = 1.0 - share + ONE_IN_THOUSAND * sqrt(share);
    degrees * root * root * root
}

/// Pressure drop of a pair at a flow, with its spread.
///
/// # Source
/// [`friction::in_tube`] on the pair's length, and [`zeta_drop`] of its bends. Where the flow lies between laminar and turbulent the
/// spread reaches from the one law to the other.
/// # Units
/// kg/s; result Pa.
/// # Validity
/// The bore that the pair belongs to. Nine cases in ten lie between the two bounds, as far as the readings' spread is what
/// it is said to be.
/// # Errors
/// Whatever friction refuses.
/// # Examples
/// ```
/// # use tundish_engine::methods::{friction::Bore, hidden_tube::{Pair, carry}, water::water, Off};
/// let tube = Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 };
/// let pair = Pair {
///     bore: 0, zeta: 0.0, length_m: 18.0, length_spread: 0.05, least_m: 16.5, most_m: 19.6, misfit: 0.0, is_transition: false,
/// };
/// let carried = carry(pair, tube, 0.1, &water(40.0)?, &mut Off)?;
/// assert!((carried.drop_pa / (18.0 * 497.4) - 1.0).abs() < 1e-3);
/// assert!((carried.high_pa / (19.6 * 497.4) - 1.0).abs() < 1e-3);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn carry(
    pair: Pair,
    tube: Bore,
    flow_kg_s: f64,
    liquid: &Liquid,
    w: &mut impl Workings,
) -> Result<Carried, MethodError> {
    let found = friction::in_tube(tube, liquid, flow_kg_s, w)?;
    let (gradient_pa_m, length_m) = (found.gradient_pa_m, pair.length_m);
    let bends_pa = zeta_drop(pair.zeta, liquid.density_kg_m3, found.velocity_m_s, w);
    eq!(w, FLUID_MECHANICS: carried_pa = gradient_pa_m * length_m + bends_pa);
    let (low, high) = either_law(tube, &found)?;
    let longest_m = pair.most_m * high;
    Ok(Carried {
        drop_pa: carried_pa,
        low_pa: gradient_pa_m * pair.least_m * low + bends_pa,
        high_pa: gradient_pa_m * longest_m + bends_pa,
        longest_m,
        is_transition: pair.is_transition || low < 1.0 || high > 1.0,
    })
}

/// How badly a pair fits its readings and its route, in standard deviations squared.
///
/// # Source
/// Sum of squares of what deviates: the misfit of the readings, and by how much the length that the readings ask for is off the
/// route, by the spreads of both.
/// # Units
/// m, relative standard deviation.
/// # Validity
/// A route above 0, both ways.
/// # Examples
/// ```
/// # use tundish_engine::methods::hidden_tube::{Pair, strangeness};
/// let pair = Pair {
///     bore: 0, zeta: 0.0, length_m: 20.0, length_spread: 0.3, least_m: 12.0, most_m: 33.0, misfit: 0.3, is_transition: false,
/// };
/// // as long as the route: only the readings count; e times as long with deviations of 0.3 and 0.4, which are 0.5: four more
/// assert!((strangeness(pair, 20.0, 0.4) - 0.3).abs() < 1e-12);
/// assert!((strangeness(pair, 20.0 / std::f64::consts::E, 0.4) - 4.3).abs() < 1e-12);
/// ```
#[must_use]
pub fn strangeness(pair: Pair, route_m: f64, route_spread: f64) -> f64 {
    let off = ln(pair.length_m / route_m);
    pair.misfit + off * off / (route_spread * route_spread + pair.length_spread * pair.length_spread)
}

/// A bore whose readings may have held a fitting or not: the length that fits readings and route better, with the bounds of both.
///
/// # Source
/// As [`strangeness`].
/// # Units
/// m, relative standard deviation.
/// # Validity
/// Two pairs of one bore, carried with the same bends and fittings.
/// # Examples
/// ```
/// # use tundish_engine::methods::hidden_tube::{Pair, either};
/// let with = Pair {
///     bore: 0, zeta: 3.0, length_m: 5.0, length_spread: 0.1, least_m: 4.0, most_m: 6.0, misfit: 0.3, is_transition: false,
/// };
/// let without = Pair { length_m: 8.0, least_m: 7.0, most_m: 9.0, ..with };
/// let found = either(with, without, (8.0, 0.2));
/// assert_eq!((found.length_m, found.least_m, found.most_m), (8.0, 4.0, 9.0));
/// ```
#[must_use]
pub fn either(one: Pair, other: Pair, (route_m, route_spread): (f64, f64)) -> Pair {
    let is_one = strangeness(one, route_m, route_spread) <= strangeness(other, route_m, route_spread);
    Pair {
        least_m: min(one.least_m, other.least_m),
        most_m: max(one.most_m, other.most_m),
        is_transition: one.is_transition || other.is_transition,
        ..if is_one { one } else { other }
    }
}
