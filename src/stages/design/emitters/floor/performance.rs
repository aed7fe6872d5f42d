//! The zones of a floor looked at together: what they can give, what their loops take in pressure, how many loops that
//! needs, and the flow temperature from which they carry a load.

use super::Look;
use super::characteristic::{Characteristic, Way};
use super::zone::Plan;
use crate::job::heated_floors::DropRule;
use crate::methods::floor_circuit::State;
use crate::methods::{MethodError, Off, part_load, root};

/// Area below which a zone is what rounding left of it (m²).
const LEAST_AREA_M2: f64 = 1e-6;

/// Hottest flow that is looked at where the lowest is sought (°C).
const HOTTEST_FLOW_C: f64 = 90.0;

/// What a lowest flow temperature is told above the one found, so that it does when it is read back rounded (K).
const SAFE_SIDE_K: f64 = 1e-5;

/// Shortfall at which the lowest flow temperature is found, relative.
const TOLERANCE: f64 = 1e-9;

/// Loops up to which a floor is divided for their pressure; the valves alone may take more than is allowed.
const MOST_LOOPS_BY_PRESSURE: u32 = 50;

/// Excess of a loop's pressure drop that is rounding, relative.
const ROUNDING: f64 = 1e-5;

/// What zones can give and what their loops take, at a flow temperature under a load.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Performance {
    /// What they can give together at the nominal drop (W).
    pub capacity_w: f64,
    /// How each zone runs when they carry the load, or what they can of it.
    pub runs: Vec<Run>,
}

/// Zones, and how each runs at the nominal drop, whatever they carry.
pub(super) struct Bare {
    zones: Vec<(Plan, Characteristic)>,
    free: Vec<State>,
    /// What they can give together (W).
    pub capacity_w: f64,
}

/// Zones as they are laid under a load.
pub(super) struct Laid {
    pub plans: Vec<Plan>,
    pub performance: Performance,
    /// Whether the least flow of its loops makes the surface of one warmer than its limits allow.
    pub is_too_warm: bool,
}

/// How a zone runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Run {
    /// At the nominal drop, whatever its limits.
    pub free: State,
    /// At its load.
    pub at_load: State,
    /// Flow that it is set to (kg/s).
    pub set_kg_s: f64,
    /// Pressure drop of one of its loops as it is set (Pa).
    pub drop_pa: f64,
}

/// Units of work that the performance of a zone takes: what it can give, and the drop of its loops at a load.
const UNITS_OF_A_ZONE: u64 = 8;

impl Performance {
    /// Part of what they can give that a load takes (0–1).
    pub(super) fn part(&self, load_w: f64) -> f64 {
        if self.capacity_w > 0.0 { part_load::part_taken(load_w, self.capacity_w, &mut Off) } else { 0.0 }
    }
}

impl Look<'_> {
    /// The zones at a spacing with as few loops as their length allows, whatever they carry.
    pub(super) fn bare(&self, spacing_m: f64) -> Result<Bare, MethodError> {
        self.bare_of(self.characteristics(&self.plans(spacing_m)?)?, self.common.flow_c)
    }

    /// Zones under a load, with more loops where their pressure asks for them.
    pub(super) fn lay(&self, mut bare: Bare, load_w: f64) -> Result<Laid, MethodError> {
        let flow_c = self.common.flow_c;
        loop {
            let performance = self.loaded(&bare.zones, (&bare.free, bare.capacity_w), flow_c, load_w)?;
            let most_pa = self.floor.laying.loop_max_pa * (1.0 + ROUNDING);
            let mut again = false;
            for ((plan, _), run) in bare.zones.iter_mut().zip(&performance.runs) {
                if run.drop_pa > most_pa && plan.loops.count < MOST_LOOPS_BY_PRESSURE {
                    *plan = self.plan(plan.edge, plan.area_m2, plan.way, plan.loops.count + 1)?;
                    again = true;
                }
            }
            if !again {
                let mut is_too_warm = false;
                for ((plan, characteristic), run) in bare.zones.iter().zip(&performance.runs) {
                    is_too_warm = is_too_warm || self.is_too_warm(plan, characteristic, run)?;
                }
                let plans = bare.zones.into_iter().map(|(plan, _)| plan).collect();
                return Ok(Laid { plans, performance, is_too_warm });
            }
            bare = self.bare_of(bare.zones, flow_c)?;
        }
    }

    fn bare_of(&self, zones: Vec<(Plan, Characteristic)>, flow_c: f64) -> Result<Bare, MethodError> {
        let (free, capacity_w) = self.freely(&zones, flow_c)?;
        Ok(Bare { zones, free, capacity_w })
    }

    /// How each zone runs at a flow temperature and the nominal drop, and what they can give together (W).
    fn freely(&self, zones: &[(Plan, Characteristic)], flow_c: f64) -> Result<(Vec<State>, f64), MethodError> {
        self.common.budget.spend(UNITS_OF_A_ZONE * zones.len() as u64)?;
        let (mut free, mut capacity_w) = (Vec::with_capacity(zones.len()), 0.0);
        for (plan, characteristic) in zones {
            let state = self.free(plan, characteristic, flow_c)?;
            capacity_w += plan.area_m2 * characteristic.within_limit(&state);
            free.push(state);
        }
        Ok((free, capacity_w))
    }

    /// How zones run under a load, which each carries by the same part of what it can give.
    fn loaded(
        &self,
        zones: &[(Plan, Characteristic)],
        (free, capacity_w): (&[State], f64),
        flow_c: f64,
        load_w: f64,
    ) -> Result<Performance, MethodError> {
        let mut found = Performance { capacity_w, runs: Vec::with_capacity(zones.len()) };
        let part = found.part(load_w);
        for ((plan, characteristic), free) in zones.iter().zip(free) {
            let output_w_m2 = part_load::part_of(part, characteristic.within_limit(free), &mut Off);
            found.runs.push(self.run(plan, characteristic, flow_c, (*free, output_w_m2))?);
        }
        Ok(found)
    }

    /// Zones at a flow temperature under a load.
    fn performance_of(
        &self,
        zones: &[(Plan, Characteristic)],
        flow_c: f64,
        load_w: f64,
    ) -> Result<Performance, MethodError> {
        let (free, capacity_w) = self.freely(zones, flow_c)?;
        self.loaded(zones, (&free, capacity_w), flow_c, load_w)
    }

    /// The zones at a spacing, with as few loops as their length allows.
    pub(super) fn plans(&self, spacing_m: f64) -> Result<Vec<Plan>, MethodError> {
        let floor = self.floor;
        let covering_m2k_w = floor.covering_m2k_w;
        let mut plans = Vec::with_capacity(2);
        if floor.area_m2 > LEAST_AREA_M2 {
            let way = Way { spacing_m, covering_m2k_w, surface_limit_c: floor.surface_limit_c };
            plans.push(self.plan(false, floor.area_m2, way, 1)?);
        }
        if let Some(edge) = floor.edge {
            let way = Way { spacing_m: edge.spacing_m, covering_m2k_w, surface_limit_c: edge.surface_limit_c };
            plans.push(self.plan(true, edge.area_m2, way, 1)?);
        }
        Ok(plans)
    }

    /// Zones at a flow temperature under a load.
    pub(super) fn performance(&self, plans: &[Plan], flow_c: f64, load_w: f64) -> Result<Performance, MethodError> {
        self.performance_of(&self.characteristics(plans)?, flow_c, load_w)
    }

    /// Zones with their characteristics, which hold whatever the flow temperature.
    pub(super) fn characteristics(&self, plans: &[Plan]) -> Result<Vec<(Plan, Characteristic)>, MethodError> {
        plans.iter().map(|plan| Ok((*plan, self.characteristic(plan.way, &mut Off)?))).collect()
    }

    /// How far zones are from carrying a load at a flow temperature within the pressure of their loops: nothing or below
    /// where they do, and never more than one.
    pub(super) fn shortfall(&self, plans: &[Plan], flow_c: f64, load_w: f64) -> Result<f64, MethodError> {
        self.shortfall_of(&self.characteristics(plans)?, flow_c, load_w)
    }

    fn shortfall_of(&self, zones: &[(Plan, Characteristic)], flow_c: f64, load_w: f64) -> Result<f64, MethodError> {
        let performance = self.performance_of(zones, flow_c, load_w)?;
        let worst_pa = performance.runs.iter().map(|run| run.drop_pa).fold(0.0, f64::max);
        let by_pressure = (worst_pa / self.floor.laying.loop_max_pa - 1.0).min(1.0);
        Ok((1.0 - performance.capacity_w / load_w).max(by_pressure))
    }

    /// The lowest flow temperature at which the floor, laid at its closest spacing, carries a load (°C): with the loops that
    /// the load wants at that temperature.
    pub(super) fn least_flow_if_closest(&self, load_w: f64) -> Result<Option<f64>, MethodError> {
        let closest = self.floor.spacings_m.iter().rev();
        for &spacing_m in closest {
            let mut plans = match self.plans(spacing_m) {
                Ok(plans) => plans,
                Err(MethodError::OutOfRange { .. }) => continue,
                Err(error) => return Err(error),
            };
            // loops are added until their pressure no longer asks for a warmer flow
            let mut found = match self.least_flow(&plans, load_w) {
                Err(MethodError::OutOfRange { .. }) => continue,
                found => found?,
            };
            for _ in 0..MOST_LOOPS_BY_PRESSURE {
                let mut more = Vec::with_capacity(plans.len());
                for plan in &plans {
                    more.push(self.plan(plan.edge, plan.area_m2, plan.way, plan.loops.count + 1)?);
                }
                let cooler = self.least_flow(&more, load_w)?;
                match (found, cooler) {
                    (_, None) => break,
                    (Some(now_c), Some(cooler_c)) if cooler_c >= now_c => break,
                    (_, Some(_)) => (plans, found) = (more, cooler),
                }
            }
            return Ok(found);
        }
        Ok(None)
    }

    /// The lowest flow temperature at which zones, laid as they are, carry a load at the nominal drop (°C). Nothing where
    /// none does.
    pub(super) fn least_flow(&self, plans: &[Plan], load_w: f64) -> Result<Option<f64>, MethodError> {
        let zones = self.characteristics(plans)?;
        if load_w <= 0.0 || self.shortfall_of(&zones, HOTTEST_FLOW_C, load_w)? > 0.0 {
            return Ok(None);
        }
        let mut ends = (self.site.room_c + self.common.survey.heating.drop_k, HOTTEST_FLOW_C);
        let short = |flow_c: f64| self.shortfall_of(&zones, flow_c, load_w);
        if let Some(carried_c) = self.carried_near(&zones, ends, load_w)? {
            if short(carried_c)? <= TOLERANCE {
                return Ok(Some(carried_c + SAFE_SIDE_K));
            }
            // their loops take less in warmer water
            ends.0 = carried_c;
        }
        // where the output steps over the load, the safe side is the warmer one
        Ok(Some(root::between("the lowest flow temperature of a floor", ends, TOLERANCE, short)?.at + SAFE_SIDE_K))
    }

    /// The flow temperature at which zones give a load at the nominal drop, whatever their loops take in pressure (°C); nothing
    /// where it is not found at once, and where the drop steps.
    fn carried_near(
        &self,
        zones: &[(Plan, Characteristic)],
        ends: (f64, f64),
        load_w: f64,
    ) -> Result<Option<f64>, MethodError> {
        if self.floor.drop_rule == DropRule::Approximation {
            return Ok(None);
        }
        let first_c = self.common.flow_c;
        let (_, first_w) = self.freely(zones, first_c)?;
        if first_w <= 0.0 {
            return Ok(None);
        }
        // they give about as much more as the mean of their water lies above the room
        let none_c = self.site.room_c + 0.5 * self.common.survey.heating.drop_k;
        let second_c = none_c + (first_c - none_c) * load_w / first_w;
        let short = |flow_c: f64| Ok(1.0 - self.freely(zones, flow_c)?.1 / load_w);
        let found = root::near(((first_c, 1.0 - first_w / load_w), second_c), ends, TOLERANCE, short)?;
        Ok(found.map(|found| found.at))
    }
}
