//! A mild day: thermostats have shut what they shut, and the pump works on what is left.

use super::ends::End;
use super::laying::Laying;
use super::network::{FreeTree, Stand};
use crate::design::emitters::{Emitters, Kind};
use crate::list::Index;
use crate::methods::network_flow::{Drive, Pump, Solution};
use crate::methods::tube::{content_l, inside_diameter};
use crate::methods::{Budget, MethodError, Off, root};
use crate::survey::{EmitterAt, Run, Survey};

/// How near the pressure across a radiator's valves comes to where it is heard, relative.
const TOLERANCE: f64 = 1e-6;

/// What is left to the heat source on a mild day.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Mild {
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Water that is open to it, its own among it (l).
    pub water_l: f64,
    /// Whether more would flow, were it not heard in a valve.
    pub is_hushed: bool,
}

/// Flow at a head at which no radiator's valves are heard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Quiet {
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// That head (Pa).
    pub head_pa: f64,
}

impl Laying<'_> {
    /// What is left where only some emitters are open, with so much water in the heat source (l).
    pub(super) fn mild(&self, unit_l: f64, open: &[EmitterAt], budget: &Budget) -> Result<Mild, MethodError> {
        let (flow_l_h, is_hushed) = self.mild_flow(open, budget)?;
        Ok(Mild { flow_l_h, water_l: unit_l + self.open_water_l(open), is_hushed })
    }

    /// Flow through what is open (l/h), and whether that is held down: at the pump's full speed, turned down to where no radiator's
    /// valves are heard. Where the pump's data do not reach so far, or there is none, at the head of the whole system.
    fn mild_flow(&self, open: &[EmitterAt], budget: &Budget) -> Result<(f64, bool), MethodError> {
        let tree = self.opened(open, !self.is_separated)?;
        if tree.ends.is_empty() {
            return Ok((0.0, false));
        }
        let density_kg_m3 = self.emitters.water.density_kg_m3;
        let on_curve = self.curve.as_deref().map(|points| {
            let drive = Drive::Curve { points, speed: 1.0 };
            tree.network.solve(&Pump { drive, density_kg_m3 }, budget, &mut Off)
        });
        let head_pa = match on_curve {
            Some(Err(MethodError::OutOfRange { .. })) | None => {
                self.circuits.iter().map(|circuit| circuit.drop_pa).fold(0.0, f64::max)
            }
            Some(found) => found?.duty.head_pa,
        };
        let Quiet { flow_l_h, head_pa: quiet_pa } = self.quiet(&tree, head_pa, budget)?;
        Ok((flow_l_h, quiet_pa < head_pa))
    }

    /// The tree with what is open and flows.
    fn opened(&self, open: &[EmitterAt], has_before: bool) -> Result<FreeTree, MethodError> {
        self.free_tree((Stand::Exactly, has_before), |at| open.contains(&at) && self.flows(at))
    }

    /// Flow through what is open beside a bypass, where plant room and primary leave so much head (Pa), and the head that the bypass
    /// holds: where radiators or fan convectors hang, no more than their valves take without being heard, for one that is about to shut
    /// meets nearly all of it.
    pub(super) fn beside_bypass(
        &self,
        open: &[EmitterAt],
        left_pa: f64,
        budget: &Budget,
    ) -> Result<Quiet, MethodError> {
        let is_hung = self.emitters.each().any(|(_, emitter)| emitter.kind.is_hung() && emitter.set.flow_kg_s > 0.0);
        let head_pa = if is_hung { left_pa.min(self.most_quiet_pa()) } else { left_pa };
        let tree = self.opened(open, false)?;
        if tree.ends.is_empty() {
            return Ok(Quiet { flow_l_h: 0.0, head_pa });
        }
        self.quiet(&tree, head_pa, budget)
    }

    /// Pressure across a radiator's valves that is not heard (Pa).
    fn most_quiet_pa(&self) -> f64 {
        1000.0 * self.survey.defaults.valve_quiet_kpa.value
    }

    /// Flow of a tree at a head (Pa), or at the greatest at which no radiator's valves are heard.
    fn quiet(&self, tree: &FreeTree, head_pa: f64, budget: &Budget) -> Result<Quiet, MethodError> {
        let density_kg_m3 = self.emitters.water.density_kg_m3;
        let at_head = |head_pa: f64| {
            let drive = Drive::Constant { head_pa };
            tree.network.solve(&Pump { drive, density_kg_m3 }, budget, &mut Off)
        };
        let most_pa = self.most_quiet_pa();
        let found = at_head(head_pa)?;
        if self.loudest_pa(tree, &found) <= most_pa * (1.0 + TOLERANCE) {
            return Ok(Quiet { flow_l_h: found.duty.flow_l_h, head_pa });
        }
        let quiet =
            root::between("the head at which valves are not heard", (most_pa, head_pa), TOLERANCE, |head_pa| {
                Ok(self.loudest_pa(tree, &at_head(head_pa)?) / most_pa - 1.0)
            })?;
        Ok(Quiet { flow_l_h: at_head(quiet.at)?.duty.flow_l_h, head_pa: quiet.at })
    }

    /// Greatest pressure across the valves of a radiator or fan convector (Pa).
    fn loudest_pa(&self, tree: &FreeTree, found: &Solution) -> f64 {
        let ends = tree.ends.iter().zip(&found.ends);
        let hung = ends.filter(|(at, _)| self.survey.emitter(**at).floor().is_none());
        hung.map(|(_, carried)| carried.head_pa).fold(0.0, f64::max)
    }

    /// Whether water flows in an emitter as it is set.
    pub(super) fn flows(&self, at: EmitterAt) -> bool {
        self.emitters.emitter(at).set.flow_kg_s > 0.0
    }

    /// Water of the primary, of the runs on the way to what is open, and in that (l).
    fn open_water_l(&self, open: &[EmitterAt]) -> f64 {
        let leads_to = |end: End| match end {
            End::Radiator(at) => open.contains(&at),
            End::Manifold(manifold) => {
                let mut floors = open.iter().filter_map(|at| self.survey.emitter(*at).floor());
                floors.any(|floor| floor.laying.manifold == manifold)
            }
        };
        let ways = self.circuits.iter().filter(|circuit| leads_to(circuit.end));
        let mut on_the_way: Vec<Index<Run>> = ways.flat_map(|circuit| circuit.sections.iter().copied()).collect();
        on_the_way.sort_unstable();
        on_the_way.dedup();
        let runs_l: f64 = on_the_way.into_iter().map(|section| self.sections[section].content_l).sum();
        let ends_l: f64 = open.iter().map(|at| held_l(self.survey, self.emitters, *at)).sum();
        self.primary_l() + runs_l + ends_l
    }

    /// Water in the primary (l).
    pub(super) fn primary_l(&self) -> f64 {
        self.primary.as_ref().map_or(0.0, |primary| primary.content_l)
    }
}

/// Water in an emitter (l).
fn held_l(survey: &Survey, emitters: &Emitters, at: EmitterAt) -> f64 {
    match &emitters.emitter(at).kind {
        Kind::Radiator(radiator) => radiator.map_or(0.0, |radiator| radiator.water_l),
        Kind::FanConvector(unit) => unit.map_or(0.0, |unit| unit.water_l),
        Kind::BeyondTables(_) => 0.0,
        Kind::Floor(floor) => survey.emitter(at).floor().map_or(0.0, |written| {
            let tube = written.tube;
            content_l(inside_diameter(tube.outside_m, tube.wall_m, &mut Off), floor.tube_m(), &mut Off)
        }),
    }
}
