//! What a tube that nobody can see can carry, from readings of flow and pressure difference.
//!
//! A reading tells the product of two unknowns: how much a metre takes, which the bore sets, and how many metres there are.
//! So for every bore on the market there is a length that explains the readings, and nothing in them tells which pair lies
//! in the wall. It hardly matters: carried to another flow the pairs agree as long as they stay turbulent, since the friction
//! of all of them grows with nearly the same power of the flow.

use super::budget::Budget;
use super::error::MethodError;
use super::friction::{self, Bore, Friction, LAMINAR_TO, TURBULENT_FROM};
use super::math::{exp, ln, sqrt};
use super::water::Liquid;
use super::workings::{Off, Workings};
use crate::eq;

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

/// What may be taken for the straight length that takes as much as the tube with its bends (m).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lengths {
    /// Least.
    pub min_m: f64,
    /// Greatest.
    pub max_m: f64,
}

/// A bore with the length that explains the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Index of the bore.
    pub bore: usize,
    /// Straight length that takes as much as the tube with its bends (m).
    pub length_m: f64,
    /// Relative standard deviation of that length.
    pub length_spread: f64,
    /// What the readings leave over, in standard deviations squared.
    pub misfit: f64,
    /// How many times as short and as long it may be for a reading between laminar and turbulent flow, where either law may
    /// have held: 1 and 1 where there is none.
    pub doubt: (f64, f64),
}

/// Pressure drop of a pair at another flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carried {
    /// Likely drop (Pa).
    pub drop_pa: f64,
    /// Below this it lies once in twenty times (Pa).
    pub low_pa: f64,
    /// Above this it lies once in twenty times (Pa).
    pub high_pa: f64,
    /// Whether this flow or one of the readings lies between laminar and turbulent, where anything between the two laws is
    /// possible.
    pub is_transition: bool,
}

/// Standard deviations that leave one case in twenty on either side.
const ONE_IN_TWENTY: f64 = 1.644_854;
/// Standard deviations that leave one case in a thousand above: a true bore is not to be refused by bad luck.
const ONE_IN_THOUSAND: f64 = 3.090_232;

/// Bores that explain the readings, each with its length. A unit of work is one reading with one bore.
///
/// # Source
/// [`friction::in_tube`] read backwards; least squares on the logarithms, weighed by how sure each reading is; a bore is
/// refused where the misfit is one that chance gives once in a thousand times (χ², by the approximation of Wilson and
/// Hilferty, 1931).
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
/// # use tundish_engine::methods::{friction::{self, Bore}, hidden_tube::{Lengths, Reading, Spread, pairs}, water::water};
/// # use tundish_engine::methods::{Budget, Off};
/// let (liquid, tube) = (water(40.0)?, Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 });
/// let reading = |flow_kg_s: f64| -> Result<Reading, tundish_engine::methods::MethodError> {
///     let gradient_pa_m = friction::in_tube(tube, &liquid, flow_kg_s, &mut Off)?.gradient_pa_m;
///     Ok(Reading { flow_kg_s, drop_pa: 18.0 * gradient_pa_m, liquid })
/// };
/// let readings = [reading(0.06)?, reading(0.1)?];
/// let spread = Spread { flow: 0.03, drop: 0.03 };
/// let lengths = Lengths { min_m: 5.0, max_m: 60.0 };
/// let found = pairs(&readings, spread, &[tube], lengths, &Budget::unbounded())?;
/// assert!((found[0].length_m - 18.0).abs() < 1e-9);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn pairs(
    readings: &[Reading],
    spread: Spread,
    bores: &[Bore],
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
    let mut found = Vec::new();
    for (bore, tube) in bores.iter().enumerate() {
        budget.spend(readings.len() as u64)?;
        let pair = Pair { bore, ..explained(readings, spread, *tube)? };
        let chance = chi_squared(readings.len() - 1);
        if pair.misfit <= chance && (lengths.min_m..=lengths.max_m).contains(&pair.length_m) {
            found.push(pair);
        }
    }
    Ok(found)
}

/// The length of one bore that explains the readings best.
fn explained(readings: &[Reading], spread: Spread, tube: Bore) -> Result<Pair, MethodError> {
    let mut each = Vec::with_capacity(readings.len());
    let mut doubt = (1.0_f64, 1.0_f64);
    for reading in readings {
        let (laminar, turbulent) =
            either_law(tube, &friction::in_tube(tube, &reading.liquid, reading.flow_kg_s, &mut Off)?)?;
        doubt = (doubt.0.min(1.0 / turbulent), doubt.1.max(1.0 / laminar));
        let gradient = |flow_kg_s: f64| {
            friction::in_tube(tube, &reading.liquid, flow_kg_s, &mut Off).map(|friction| friction.gradient_pa_m)
        };
        let gradient_pa_m = gradient(reading.flow_kg_s)?;
        // how much the friction feels an error of the flow
        let step = 1e-4;
        let power = (ln(gradient(reading.flow_kg_s * (1.0 + step))?) - ln(gradient_pa_m)) / step;
        let variance = spread.drop * spread.drop + power * power * spread.flow * spread.flow;
        each.push((ln(reading.drop_pa / gradient_pa_m), 1.0 / variance));
    }
    let weight: f64 = each.iter().map(|(_, weight)| weight).sum();
    let mean = each.iter().map(|(length, weight)| length * weight).sum::<f64>() / weight;
    let misfit = each.iter().map(|(length, weight)| weight * (length - mean) * (length - mean)).sum();
    Ok(Pair { bore: 0, length_m: exp(mean), length_spread: sqrt(1.0 / weight), misfit, doubt })
}

/// Friction by the laminar and by the turbulent law over the blend of the two, between them; 1 and 1 elsewhere.
fn either_law(tube: Bore, found: &Friction) -> Result<(f64, f64), MethodError> {
    if found.reynolds <= LAMINAR_TO || found.reynolds >= TURBULENT_FROM {
        return Ok((1.0, 1.0));
    }
    let roughness = tube.roughness_mm / tube.inside_diameter_mm;
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
/// [`friction::in_tube`] on the pair's length. Between laminar and turbulent flow, of the readings or of the flow they are
/// carried to, the spread reaches from the one law to the other.
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
/// let pair = Pair { bore: 0, length_m: 18.0, length_spread: 0.05, misfit: 0.0, doubt: (1.0, 1.0) };
/// let carried = carry(pair, tube, 0.1, &water(40.0)?, &mut Off)?;
/// assert!((carried.drop_pa / (18.0 * 497.4) - 1.0).abs() < 1e-3);
/// assert!(carried.low_pa < carried.drop_pa && carried.drop_pa < carried.high_pa);
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
    let (gradient_pa_m, length_m, spread) = (found.gradient_pa_m, pair.length_m, pair.length_spread);
    eq!(w, FLUID_MECHANICS: carried_pa = gradient_pa_m * length_m);
    let margin = exp(ONE_IN_TWENTY * spread);
    let (low, high) = either_law(tube, &found)?;
    let (short, long) = pair.doubt;
    Ok(Carried {
        drop_pa: carried_pa,
        low_pa: carried_pa * low * short / margin,
        high_pa: carried_pa * high * long * margin,
        is_transition: low < 1.0 || short < 1.0 || high > 1.0 || long > 1.0,
    })
}

/// Flow at which a pair takes a pressure, with nothing added for its spread (kg/s). A unit of work is one flow that is tried.
///
/// # Source
/// [`friction::in_tube`] solved for the flow.
/// # Units
/// Pa; result kg/s.
/// # Validity
/// As [`carry`]; the flow is sought up to `most_kg_s`, which is given back where even that takes less.
/// # Errors
/// As [`carry`], and those of the budget.
/// # Examples
/// ```
/// # use tundish_engine::methods::{Budget, friction::Bore, hidden_tube::flow_at, water::water};
/// let tube = Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 };
/// let flow_kg_s = flow_at(18.0 * 497.4, 18.0, tube, 1.0, &water(40.0)?, &Budget::unbounded())?;
/// assert!((flow_kg_s / 0.1 - 1.0).abs() < 1e-3);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn flow_at(
    drop_pa: f64,
    length_m: f64,
    tube: Bore,
    most_kg_s: f64,
    liquid: &Liquid,
    budget: &Budget,
) -> Result<f64, MethodError> {
    let over = |flow_kg_s: f64| {
        budget.spend(1)?;
        friction::in_tube(tube, liquid, flow_kg_s, &mut Off).map(|found| found.gradient_pa_m * length_m - drop_pa)
    };
    if drop_pa <= 0.0 || over(most_kg_s)? <= 0.0 {
        return Ok(if drop_pa <= 0.0 { 0.0 } else { most_kg_s });
    }
    Ok(super::root::between("the flow of a hidden tube", (0.0, most_kg_s), 1e-6 * drop_pa, over)?.at)
}

/// How badly a pair fits its readings and its route, in standard deviations squared.
///
/// # Source
/// Sum of squares of what deviates: the misfit of the readings, and by how much the length that the readings ask for is off the one
/// that takes as much as the route with its bends.
/// # Units
/// Pa/m, Pa, relative standard deviation.
/// # Validity
/// Gradient and drop of the route at one flow, in the bore of the pair.
/// # Examples
/// ```
/// # use tundish_engine::methods::hidden_tube::{Pair, strangeness};
/// // as long as the route: only the readings count; e times as long with a deviation of 0.5: four more
/// let pair = Pair { bore: 0, length_m: 20.0, length_spread: 0.05, misfit: 0.3, doubt: (1.0, 1.0) };
/// assert!((strangeness(pair, 100.0, 2000.0, 0.5) - 0.3).abs() < 1e-12);
/// assert!((strangeness(pair, 100.0, 2000.0 / std::f64::consts::E, 0.5) - 4.3).abs() < 1e-12);
/// ```
#[must_use]
pub fn strangeness(pair: Pair, gradient_pa_m: f64, route_pa: f64, route_spread: f64) -> f64 {
    let off = ln(pair.length_m * gradient_pa_m / route_pa) / route_spread;
    pair.misfit + off * off
}

/// Length that takes at most as much as a pair may.
///
/// # Source
/// Drop in proportion to length, as [`carry`].
/// # Units
/// m, Pa; result m.
/// # Validity
/// As there.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hidden_tube::longest, Off};
/// // 10 m that likely take 2 kPa and at most 3 kPa
/// assert_eq!(longest(10.0, 2000.0, 3000.0, &mut Off), 15.0);
/// ```
pub fn longest(length_m: f64, likely_pa: f64, most_pa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: longest_m = length_m * (most_pa / likely_pa));
    longest_m
}
