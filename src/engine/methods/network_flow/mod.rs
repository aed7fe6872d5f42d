//! Flows in a tree of tubes and valves as they are made and set, at what its pump gives.
//!
//! Design asks what head a flow needs; here nothing of the flow is given. Each way through the tree takes the same head, a
//! section carries what leaves it, and the pump gives the head that belongs to its flow.
//!
//! Mass is conserved, not volume: water that is warmer in one way than in another has the same mass there. Every way loses
//! more at more flow, and its drop over its flow never falls. So there is one state that balances, and a search that brackets it
//! finds it.

mod parts;
mod pump;
mod search;
#[cfg(test)]
mod tests;
mod together;
mod ways;

pub use parts::{Part, Tube, drop_of};
pub use pump::{Drive, Pump};

use super::budget::Budget;
use super::error::MethodError;
use super::friction::volume_flow;
use super::math::max;
use super::workings::{Off, Workings};
use search::WHAT;
use together::Found;
use ways::{Balance, Carrying, Ways};

/// Imbalance beyond which nothing is answered.
const MOST_RESIDUAL: f64 = 1e-9;

/// A section of the tree, both legs together; it stands after the section that it leaves from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Section {
    /// The section that it leaves from; nothing at the pump.
    pub from: Option<usize>,
    /// What the water passes, one after the other. With nothing in it a section takes nothing.
    pub parts: Vec<Part>,
}

/// What joins flow and return: an emitter with its valves, a loop of a floor, a bypass.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct End {
    /// The section that it stands behind; nothing at the pump.
    pub at: Option<usize>,
    /// What the water passes, one after the other.
    pub parts: Vec<Part>,
}

/// The whole tree.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    /// Sections, each after the one that it leaves from.
    pub sections: Vec<Section>,
    /// Ends, in any order.
    pub ends: Vec<End>,
}

/// What a section or an end carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carried {
    /// Mass flow (kg/s).
    pub mass_flow_kg_s: f64,
    /// The same at the density of the first part, or at the pump's where there is none (l/h).
    pub flow_l_h: f64,
    /// Pressure of the flow above the return (Pa): behind a section, or before an end. Nothing is left of it behind a
    /// section that is shut.
    pub head_pa: f64,
}

/// Where a pump works.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    /// Mass flow (kg/s).
    pub mass_flow_kg_s: f64,
    /// The same at the density in the pump (l/h).
    pub flow_l_h: f64,
    /// Head that it gives (Pa).
    pub head_pa: f64,
    /// Power that the water takes (W).
    pub hydraulic_w: f64,
}

/// A tree at work, and how well it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// What every section carries.
    pub sections: Vec<Carried>,
    /// What every end carries.
    pub ends: Vec<Carried>,
    /// Where the pump works.
    pub duty: Duty,
    /// Greatest imbalance of all ways: where two meet, the difference of what they take behind, over what the pump's head leaves
    /// there; at the pump, of its head and what the tree takes.
    pub residual: f64,
    /// Index of the end whose way is furthest off where it meets another.
    pub worst_end: usize,
    /// By how much: what the other takes there, less what it takes itself (Pa).
    pub worst_pa: f64,
    /// Rounds in which all flows were found together; where that did not come to an end, ways that were followed one by one.
    pub iterations: usize,
}

impl Network {
    /// Flows, heads and the pump's point of work. A unit of work is one part at one flow and beside it.
    ///
    /// All flows are sought together, by Newton's method; in a tree each of its rounds is two walks, from the ends to the pump and back.
    /// Where that does not settle they are sought one by one:
    /// with the flow of one end, all above it follows: the head at its joint, what the other ways take at that head, the flow and
    /// the drop of the section before it. So the tree comes down to one flow that is sought, and so does each way that
    /// leaves from its joints. Each such search is Newton's method on logarithms, with halving where that does not get on.
    ///
    /// # Source
    /// Conservation of mass at every joint, and no sum of pressures round any way; [`Part::pressure_drop`], and
    /// [`pump_laws::head_at`](super::pump_laws::head_at).
    /// # Units
    /// See [`Part`], [`Pump`] and [`Solution`].
    /// # Validity
    /// Steady flow in full tubes; water that stands does not turn by its own weight (no lift by warmth). Tees lose what
    /// the `zeta` of the sections behind them says, however the flow divides. A valve of Kv 0 is shut, and what lies behind it
    /// carries nothing. The pump's curve is nowhere as steep upward as a line from no flow and no head.
    /// A Kv holds for turbulent flow: where the head comes down to a pascal before many wide valves along laminar tubes, the law
    /// lets each leave the next all but nothing, and a flow of 1e-140 kg/s is not followed any more.
    /// # Errors
    /// [`MethodError::Impossible`] where a part or the tree is not sound, nothing is open, or the pump has no head;
    /// [`MethodError::OutOfRange`] where the point of work lies beyond either end of the pump's curve, with the flow that the
    /// tree would take at the head of that end, or where friction is not given; [`MethodError::NotConverged`] should the search not
    /// end, or come down to such a flow; those of the budget.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::network_flow::{Drive, End, Network, Part, Pump, Section};
    /// # use tundish_engine::methods::{Budget, Off};
    /// let valve = |kv_m3_h| vec![Part::Valve { kv_m3_h, density_kg_m3: 1000.0 }];
    /// // plant of Kv 5, and behind it radiators of Kv 0.5, 0.3 and one that is shut
    /// let network = Network {
    ///     sections: vec![Section { from: None, parts: valve(5.0) }],
    ///     ends: [0.5, 0.3, 0.0].map(|kv_m3_h| End { at: Some(0), parts: valve(kv_m3_h) }).to_vec(),
    /// };
    /// let pump = Pump { drive: Drive::Constant { head_pa: 10_000.0 }, density_kg_m3: 1000.0 };
    /// let found = network.solve(&pump, &Budget::unbounded(), &mut Off)?;
    /// // Kv 0.8 behind Kv 5: together 0.78994, at 0.1 bar 249.8 l/h, five eighths of them through the first
    /// assert!((found.duty.flow_l_h - 249.80).abs() < 0.01);
    /// assert!((found.ends[0].flow_l_h - 156.12).abs() < 0.01);
    /// assert_eq!(found.ends[2].flow_l_h, 0.0);
    /// assert!(found.residual < 1e-9);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn solve(&self, pump: &Pump<'_>, budget: &Budget, w: &mut impl Workings) -> Result<Solution, MethodError> {
        let ways = Ways::new(self)?;
        pump.check()?;
        let Found { carrying, balance, given_pa, rounds: iterations } = match together::solve(&ways, pump, budget)? {
            Some(found) => found,
            None => search::solve(&ways, pump, budget)?,
        };
        let residual = max(balance.worst.2, balance.off(given_pa));
        if residual.is_nan() || residual > MOST_RESIDUAL {
            return Err(MethodError::NotConverged { what: WHAT, iterations, residual });
        }
        let mass_flow_kg_s = carrying.total_kg_s(self);
        let Carrying { sections: of_sections, ends: of_ends } = carrying;
        let Balance { heads_pa, head_pa, worst: (worst_end, worst_pa, _) } = balance;
        let carried = |parts: &[Part], mass_flow_kg_s: f64, head_pa: f64| {
            let density_kg_m3 = parts.first().map_or(pump.density_kg_m3, Part::density_kg_m3);
            Carried { mass_flow_kg_s, flow_l_h: volume_flow(mass_flow_kg_s, density_kg_m3, &mut Off), head_pa }
        };
        let each = self.sections.iter().zip(of_sections.iter().zip(&heads_pa));
        let sections: Vec<_> =
            each.map(|(section, (line, head_pa))| carried(&section.parts, line.flow_kg_s, *head_pa)).collect();
        let before_pa = |end: &End| end.at.map_or(head_pa, |section| heads_pa[section]);
        let each = self.ends.iter().zip(&of_ends);
        let ends: Vec<_> = each.map(|(end, line)| carried(&end.parts, line.flow_kg_s, before_pa(end))).collect();
        if w.listens() {
            // what the flows rest on; each way is shown where its figure is, by `drop_of`
            let ways = self.sections.iter().map(|section| &section.parts).chain(self.ends.iter().map(|end| &end.parts));
            for (parts, carried) in ways.zip(sections.iter().chain(&ends)) {
                if carried.mass_flow_kg_s > 0.0 {
                    drop_of(parts, carried.mass_flow_kg_s, &mut w.unshown())?;
                }
            }
        }
        let duty = pump.duty(mass_flow_kg_s, head_pa, w)?;
        Ok(Solution { sections, ends, duty, residual, worst_end, worst_pa, iterations })
    }
}
