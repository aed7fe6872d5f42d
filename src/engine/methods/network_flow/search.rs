//! The flows of a tree at a head, or at a flow of its pump.
//!
//! A chain is followed up from its end: the end's flow gives the head at its joint, the chains at the sides of the joint take
//! what they take at that head, the sum gives the drop of the section before it, and so on. Head and flow at the top of the
//! chain rise with the flow of its end, so this one flow is sought, for the chain and for each at its sides. Nothing is ever
//! subtracted, so a valve that is all but shut is found as well as one beside it that is wide open.

use super::parts::drop_and_slope;
use super::pump::Pump;
use super::together::Found;
use super::ways::{Carrying, Climb, Ways};
use crate::methods::budget::Budget;
use crate::methods::error::MethodError;
use crate::methods::math::{exp, ln, sqrt};

/// What was sought, where it was not found.
pub(super) const WHAT: &str = "the flow of a tree";

/// Logarithm of what is reached over what is sought, at which a search ends.
const TOLERANCE: f64 = 1e-11;

/// Width of the bracket, over its place, at which a search ends: what is left is rounding, and is told.
const NARROW: f64 = 1e-14;

/// Steps that a search may take: halving alone would need some 60.
const MOST_STEPS: usize = 200;

/// Flow of an end at which its first search begins (kg/s).
pub(super) const FIRST_KG_S: f64 = 0.01;

/// Flow of an end that is not followed any more (kg/s): its drop would soon be lost among the smallest doubles.
const LEAST_KG_S: f64 = 1e-140;

/// Logarithm of how many times as much a flow may become in one step, and as little.
const MOST_STEP: f64 = core::f64::consts::LN_10;

/// A chain is not followed further where it takes so many times the head that is sought.
const FAR_ABOVE: f64 = 10.0;

/// What is sought at the top of a chain.
#[derive(Debug, Clone, Copy)]
pub(super) enum Goal {
    /// A head (Pa).
    Head(f64),
    /// A flow (kg/s), which takes no more than a head (Pa).
    Flow(f64, f64),
}

/// What a chain comes to at its top, by the flow of its end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Top {
    end_kg_s: f64,
    /// Head that it takes (Pa), and flow of all that is behind (kg/s).
    pub head_pa: f64,
    pub flow_kg_s: f64,
    /// By how much both grow with the flow of the end.
    head_slope: f64,
    flow_slope: f64,
    /// Whether the top was not reached, for so much is taken below it.
    is_far_above: bool,
}

impl Goal {
    fn most_pa(self) -> f64 {
        let (Self::Head(head_pa) | Self::Flow(_, head_pa)) = self;
        FAR_ABOVE * head_pa
    }

    /// Logarithm of what is reached over what is sought, and by how much it grows with that of the flow.
    fn off(self, top: &Top) -> (f64, f64) {
        match self {
            Self::Head(head_pa) => (ln(top.head_pa / head_pa), top.head_slope * top.end_kg_s / top.head_pa),
            // too much head for the flow is too much flow
            Self::Flow(_, head_pa) if top.is_far_above => (ln(top.head_pa / head_pa), 1.0),
            Self::Flow(flow_kg_s, _) => (ln(top.flow_kg_s / flow_kg_s), top.flow_slope * top.end_kg_s / top.flow_kg_s),
        }
    }
}

/// Parts of a tree that are looked at for a unit of work.
pub(super) const PARTS_PER_UNIT: usize = 2;

/// A search for the flows of a tree, which goes on from where it was left.
#[derive(Debug)]
pub(super) struct Search<'a> {
    ways: &'a Ways<'a>,
    budget: &'a Budget,
    /// Where each chain was left.
    tops: Vec<Option<Top>>,
    /// Chains that were followed, in all.
    pub steps: usize,
}

/// Flows and heads of a tree with a pump that was checked.
pub(super) fn solve(ways: &Ways<'_>, pump: &Pump<'_>, budget: &Budget) -> Result<Found, MethodError> {
    let mut search = Search::new(ways, budget);
    let given_pa = pump.find(&mut search)?;
    let carrying = search.carrying()?;
    Ok(Found { balance: ways.balance(&carrying), carrying, given_pa, rounds: search.steps })
}

impl<'a> Search<'a> {
    /// A search that has not begun.
    pub(super) fn new(ways: &'a Ways<'a>, budget: &'a Budget) -> Self {
        Self { ways, budget, tops: vec![None; ways.chains.len()], steps: 0 }
    }

    /// Goes to where the whole tree takes a head or a flow.
    pub(super) fn run(&mut self, goal: Goal) -> Result<Top, MethodError> {
        self.seek(self.ways.chains.len() - 1, goal)
    }

    /// What everything carries as the search was left.
    pub(super) fn carrying(&self) -> Result<Carrying, MethodError> {
        let begins_with = self.tops.iter().map(|top| top.map_or(0.0, |top| top.end_kg_s));
        self.ways.carrying(&self.ways.of_ends(begins_with))
    }

    /// Newton's method on logarithms, between whose laws there are nearly straight lines, and halving where it does not get on.
    fn seek(&mut self, chain: usize, goal: Goal) -> Result<Top, MethodError> {
        let mut end_kg_s = self.tops[chain].map_or(FIRST_KG_S, |top| {
            let (off, slope) = goal.off(&top);
            top.end_kg_s * exp((-off / slope).clamp(-MOST_STEP, MOST_STEP))
        });
        let (mut low_kg_s, mut high_kg_s, mut off_before) = (0.0, f64::INFINITY, f64::INFINITY);
        for _ in 0..MOST_STEPS {
            let top = self.follow(chain, end_kg_s, goal.most_pa())?;
            let (off, slope) = goal.off(&top);
            if off.abs() <= TOLERANCE || high_kg_s - low_kg_s <= NARROW * end_kg_s {
                self.tops[chain] = Some(top);
                return Ok(top);
            }
            (low_kg_s, high_kg_s) = if off < 0.0 { (end_kg_s, high_kg_s) } else { (low_kg_s, end_kg_s) };
            let is_slow = top.is_far_above || off.abs() > 0.5 * off_before;
            let step = if is_slow { MOST_STEP.copysign(-off) } else { (-off / slope).clamp(-MOST_STEP, MOST_STEP) };
            let is_between = low_kg_s > 0.0 && high_kg_s < f64::INFINITY;
            let next_kg_s = end_kg_s * exp(step);
            let is_inside = low_kg_s < next_kg_s && next_kg_s < high_kg_s;
            end_kg_s = if is_between && (is_slow || !is_inside) { sqrt(low_kg_s) * sqrt(high_kg_s) } else { next_kg_s };
            off_before = off.abs();
            if end_kg_s < LEAST_KG_S {
                break;
            }
        }
        Err(MethodError::NotConverged { what: WHAT, iterations: self.steps, residual: off_before })
    }

    /// Follows a chain from the flow of its end to its top.
    fn follow(&mut self, chain: usize, end_kg_s: f64, most_pa: f64) -> Result<Top, MethodError> {
        let ways = self.ways;
        let chain = &ways.chains[chain];
        self.steps += 1;
        let (head_pa, head_slope) = self.drop_and_slope(&ways.network.ends[chain.end].parts, end_kg_s)?;
        let mut top = Top {
            end_kg_s,
            head_pa,
            flow_kg_s: end_kg_s,
            head_slope,
            flow_slope: 1.0,
            is_far_above: head_pa > most_pa,
        };
        for Climb { sides, section } in &chain.climb {
            if top.is_far_above {
                break;
            }
            let behind = top;
            for &side in sides {
                let beside = self.seek(side, Goal::Head(behind.head_pa))?;
                top.flow_kg_s += beside.flow_kg_s;
                top.flow_slope += beside.flow_slope / beside.head_slope * behind.head_slope;
            }
            if let Some(section) = *section {
                let (drop_pa, slope) = self.drop_and_slope(&ways.network.sections[section].parts, top.flow_kg_s)?;
                top.head_pa += drop_pa;
                top.head_slope += slope * top.flow_slope;
            }
            top.is_far_above = top.head_pa > most_pa;
        }
        Ok(top)
    }

    fn drop_and_slope(&self, parts: &[super::Part], flow_kg_s: f64) -> Result<(f64, f64), MethodError> {
        self.budget.spend_steps(parts.len(), PARTS_PER_UNIT)?;
        drop_and_slope(parts, flow_kg_s)
    }
}
