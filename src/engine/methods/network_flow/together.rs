//! All flows of a tree at once: Newton's method, in which a tree is solved without a matrix.
//!
//! Beside the flows that were found last, what each way takes is a straight line. Of ways side by side, and of a section and what is
//! behind it, the sum is such a line again, up to the pump; there the flow is known, and going back down shares it out. The first
//! rounds take every way to go with the square of its flow instead, which is about true from far away.
//!
//! What is added up on the way down is never a difference of two that are nearly alike: a line through a drop that grows faster than
//! its flow meets no flow below nothing.

use std::iter::repeat;

use super::pump::Pump;
use super::search::{FIRST_KG_S, PARTS_PER_UNIT};
use super::ways::{Balance, Carrying, Line, Ways};
use crate::methods::budget::Budget;
use crate::methods::error::MethodError;
use crate::methods::math::{max, sqrt};

/// Imbalance at which the flows are found.
const TOLERANCE: f64 = 1e-11;

/// Rounds in which ways go with the square of their flow.
const BY_SQUARES: usize = 2;

/// Rounds that may be made: six or seven are needed, and more where few ways carry nearly everything.
const MOST_ROUNDS: usize = 30;

/// How many times as much or as little an end may carry by the next round.
const MOST_TIMES: f64 = 10.0;

/// The flow that a whole tree carries by the head at its pump, as it is taken in a round.
#[derive(Debug, Clone, Copy)]
pub(super) enum Law {
    /// With the square root: flow at one pascal (kg/s).
    Root(f64),
    /// A straight line: flow of a pascal more (kg/(s Pa)), and where the line begins (kg/s).
    Line(f64, f64),
}

/// Flows that were found together.
pub(super) struct Found {
    pub carrying: Carrying,
    pub balance: Balance,
    /// Head that the pump gives (Pa).
    pub given_pa: f64,
    pub rounds: usize,
}

/// A way as it is taken in a round: flow by pascal, and the pressure that its line has at no flow (Pa), which is none or less.
#[derive(Debug, Clone, Copy, Default)]
struct Way {
    admits: f64,
    rest_pa: f64,
}

/// Flows and heads of a tree with a pump that was checked, or nothing where they do not settle.
pub(super) fn solve(ways: &Ways<'_>, pump: &Pump<'_>, budget: &Budget) -> Result<Option<Found>, MethodError> {
    let network = ways.network;
    let parts = network.sections.iter().map(|section| section.parts.len());
    let parts = parts.chain(network.ends.iter().map(|end| end.parts.len())).sum();
    let mut ends_kg_s = ways.of_ends(repeat(FIRST_KG_S));
    for rounds in 1..=MOST_ROUNDS {
        budget.spend_steps(parts, PARTS_PER_UNIT)?;
        let Ok(carrying) = ways.carrying(&ends_kg_s) else { return Ok(None) };
        let total_kg_s = carrying.total_kg_s(network);
        if rounds > BY_SQUARES {
            let balance = ways.balance(&carrying);
            let given_pa = pump.head_pa(total_kg_s)?;
            if max(balance.worst.2, balance.off(given_pa)) <= TOLERANCE {
                if let Some(beyond) = pump.beyond(total_kg_s) {
                    return Err(beyond);
                }
                return Ok(Some(Found { carrying, balance, given_pa, rounds }));
            }
        }
        let is_square = rounds <= BY_SQUARES;
        let (joints, each) = gather(ways, &carrying, is_square);
        let Way { admits, rest_pa } = joints[0];
        let law = if is_square { Law::Root(admits) } else { Law::Line(admits, -rest_pa) };
        let flow_kg_s = pump.flow_by(law, total_kg_s)?;
        if !share_out(ways, (&joints, &each), flow_kg_s, &mut ends_kg_s) {
            return Ok(None);
        }
    }
    Ok(None)
}

/// Sums up from the ends: what leaves from the pump and from behind each section together, and each way by itself, sections and
/// then ends. The `rest_pa` of a joint is that of its ways times what they admit (kg/s).
fn gather(ways: &Ways<'_>, carrying: &Carrying, is_square: bool) -> (Vec<Way>, Vec<Way>) {
    let network = ways.network;
    let sections = network.sections.len();
    let mut joints = vec![Way::default(); sections + 1];
    let mut each = vec![Way::default(); sections + network.ends.len()];
    let own = |Line { flow_kg_s, drop_pa, slope }: Line| {
        if is_square { (drop_pa / flow_kg_s / flow_kg_s, 0.0) } else { (slope, drop_pa - slope * flow_kg_s) }
    };
    let joined = |from: Option<usize>| from.map_or(0, |section| section + 1);
    let join = |joint: &mut Way, way: Way| {
        joint.admits += way.admits;
        joint.rest_pa += way.admits * way.rest_pa;
    };
    for (index, end) in network.ends.iter().enumerate() {
        let line = carrying.ends[index];
        if line.flow_kg_s > 0.0 {
            let (resists, rest_pa) = own(line);
            let admits = if is_square { 1.0 / sqrt(resists) } else { 1.0 / resists };
            each[sections + index] = Way { admits, rest_pa };
            join(&mut joints[joined(end.at)], each[sections + index]);
        }
    }
    for (index, section) in network.sections.iter().enumerate().rev() {
        let (line, behind) = (carrying.sections[index], joints[index + 1]);
        if line.flow_kg_s > 0.0 {
            let (resists, rest_pa) = own(line);
            let by_one = 1.0 / behind.admits;
            let admits = if is_square { 1.0 / sqrt(resists + by_one * by_one) } else { 1.0 / (resists + by_one) };
            each[index] = Way { admits, rest_pa: rest_pa + behind.rest_pa * by_one };
            join(&mut joints[joined(section.from)], each[index]);
        }
    }
    (joints, each)
}

/// Shares the pump's flow out down to the ends, none of which may carry more or less by too much; whether all are flows.
fn share_out(ways: &Ways<'_>, (joints, each): (&[Way], &[Way]), flow_kg_s: f64, ends_kg_s: &mut [f64]) -> bool {
    let network = ways.network;
    let sections = network.sections.len();
    let mut heads_pa = vec![0.0; sections + 1];
    let head_pa = |joint: Way, flow_kg_s: f64| (flow_kg_s + joint.rest_pa) / joint.admits;
    let through = |way: Way, head_pa: f64| way.admits * (head_pa - way.rest_pa);
    heads_pa[0] = head_pa(joints[0], flow_kg_s);
    let before = |from: Option<usize>| from.map_or(0, |section| section + 1);
    for (index, section) in network.sections.iter().enumerate() {
        if each[index].admits > 0.0 {
            heads_pa[index + 1] = head_pa(joints[index + 1], through(each[index], heads_pa[before(section.from)]));
        }
    }
    let mut is_sound = true;
    for (index, end) in network.ends.iter().enumerate() {
        let (way, last_kg_s) = (each[sections + index], ends_kg_s[index]);
        if way.admits > 0.0 {
            let next_kg_s = through(way, heads_pa[before(end.at)]);
            is_sound &= next_kg_s.is_finite();
            ends_kg_s[index] = next_kg_s.clamp(last_kg_s / MOST_TIMES, last_kg_s * MOST_TIMES);
        }
    }
    is_sound
}
