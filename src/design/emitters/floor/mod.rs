//! One heated floor: the widest spacing that carries its share within the limits, and how it runs.

mod answer;
mod cooling;
mod covering;
mod laid;
mod loops;
mod sections;
mod site;
mod zone;

pub use answer::{CoolingRow, CoveringRow, FloorRow, LineRow, ZoneRow};
pub use cooling::FloorCooling;
pub(in crate::design) use loops::loop_drop;
pub use zone::{ByConduction, Zone};

use self::laid::Way;
use self::site::Site;
use self::zone::Plan;
use super::{Common, Emitter, Kind};
use crate::methods::{MethodError, Off, Workings, root};
use crate::survey::{HeatedFloor, TIMBER_LIMIT_C};

/// Area below which a zone is what rounding left of it (m²).
const LEAST_AREA_M2: f64 = 1e-6;

/// Hottest flow that is looked at where the lowest is sought (°C).
const HOTTEST_FLOW_C: f64 = 90.0;

/// What leads over a step of the output, where the approximation of EN 1264-3 begins (K).
const PAST_A_STEP_K: f64 = 1e-7;

/// A heated floor that was designed.
#[derive(Debug, Clone, PartialEq)]
pub struct Floor {
    /// Its zones: the occupied one, then the edge zone if there is one.
    pub zones: Vec<Zone>,
    /// Lowest flow temperature at which it carries its share at the nominal drop, laid as it is (°C); nothing where its
    /// limits do not let it.
    pub least_flow_c: Option<f64>,
    /// Greatest covering under which it carries its share at the common flow temperature.
    pub greatest_covering: Option<covering::Greatest>,
    /// The same under timber.
    pub greatest_timber: Option<covering::Greatest>,
    /// What it gives under the worst covering that the job names (W).
    pub under_worst_w: Option<f64>,
    /// What it takes from its room in summer, where the job asks.
    pub cooling: Option<FloorCooling>,
    /// Heat downward, that of its lines among it (W).
    pub downward_w: f64,
    /// Heat that its lines give to the rooms that they pass, by room (W).
    pub lines_w: Vec<(usize, f64)>,
    /// Insulation that the standard asks for, and what there is, where that is less (m²K/W).
    pub thin: Option<(f64, f64)>,
}

impl Floor {
    /// The zone that people live in.
    ///
    /// Where all of it is edge zone, that.
    #[must_use]
    pub fn occupied(&self) -> &Zone {
        &self.zones[0]
    }

    /// Its loops: length (m) and flow of each (kg/s).
    pub fn loops(&self) -> impl Iterator<Item = (f64, f64)> {
        self.zones.iter().flat_map(|zone| {
            let one = (zone.loops.length_m, zone.state.mass_flow_kg_s / f64::from(zone.loops.count));
            (0..zone.loops.count).map(move |_| one)
        })
    }

    /// How many loops it has.
    #[must_use]
    pub fn loop_count(&self) -> u32 {
        self.zones.iter().map(|zone| zone.loops.count).sum()
    }

    /// Tube in all its loops (m).
    #[must_use]
    pub fn tube_m(&self) -> f64 {
        self.zones.iter().map(|zone| f64::from(zone.loops.count) * zone.loops.length_m).sum()
    }
}

/// A floor that is looked at.
#[derive(Clone, Copy)]
struct Look<'l> {
    common: &'l Common<'l>,
    floor: &'l HeatedFloor,
    site: &'l Site,
}

/// Designs a floor and runs it at its duty.
pub(super) fn design<W: Workings>(
    common: &Common<'_>,
    room: usize,
    load_w: f64,
    floor: &HeatedFloor,
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let site = Site::of(common, room, &mut w.within("downward_w"))?;
    let look = Look { common, floor, site: &site };
    let mut best: Option<(Vec<Plan>, f64)> = None;
    for &spacing_m in &floor.spacings_m {
        let plans = look.plans(spacing_m)?;
        let capacity_w = look.capacity_w(&plans, common.flow_c(), None)?;
        if best.as_ref().is_none_or(|(_, most_w)| capacity_w > *most_w) {
            best = Some((plans.clone(), capacity_w));
        }
        if capacity_w >= load_w {
            best = Some((plans, capacity_w));
            break;
        }
    }
    let (plans, capacity_w) = best.ok_or(MethodError::Impossible { reason: "a heated floor needs a spacing" })?;
    let (zones, capacity_w) = look.run(plans, capacity_w, load_w, w)?;
    emitter(look, room, load_w, (zones, capacity_w), w)
}

/// The floor with everything that is told of it.
fn emitter<W: Workings>(
    look: Look<'_>,
    room: usize,
    load_w: f64,
    (zones, capacity_w): (Vec<Zone>, f64),
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let site = look.site;
    let plans: Vec<Plan> = zones.iter().map(|zone| zone.plan).collect();
    let sum = |of: &dyn Fn(&Zone) -> f64| zones.iter().map(of).sum::<f64>();
    let output_w = sum(&|zone| zone.plan.area_m2 * zone.state.output_w_m2);
    let flow_kg_s = sum(&|zone| zone.state.mass_flow_kg_s);
    let return_c = if flow_kg_s > 0.0 {
        sum(&|zone| zone.state.mass_flow_kg_s * zone.state.return_c) / flow_kg_s
    } else {
        site.room_c
    };
    let mut found = Floor {
        least_flow_c: None,
        greatest_covering: None,
        greatest_timber: None,
        under_worst_w: None,
        cooling: None,
        downward_w: sum(&|zone| zone.plan.area_m2 * zone.state.downward_w_m2 + zone.state.lines_down_w),
        lines_w: look.lines_w(&zones),
        thin: site.thin,
        zones,
    };
    if look.common.tells {
        found.least_flow_c = look.least_flow(&plans, load_w)?;
        found.greatest_covering = look.greatest_covering(&plans, load_w, None)?;
        found.greatest_timber = look.greatest_covering(&plans, load_w, Some(TIMBER_LIMIT_C))?;
        found.under_worst_w = look.under_worst(&plans)?;
        found.cooling = cooling::cooling(look, room, &plans, &mut w.within("floor"))?;
    }
    // a load that the floor carries to the last bit is carried
    let output_w = if output_w >= load_w * (1.0 - 1e-12) { load_w } else { output_w };
    Ok(Emitter { load_w, output_w, capacity_w, return_c, flow_kg_s, kind: Kind::Floor(Box::new(found)) })
}

impl Look<'_> {
    /// The zones at a spacing, with as few loops as their length allows.
    fn plans(&self, spacing_m: f64) -> Result<Vec<Plan>, MethodError> {
        let floor = self.floor;
        let mut plans = Vec::with_capacity(2);
        if floor.area_m2 > LEAST_AREA_M2 {
            let way = Way { spacing_m, covering_m2k_w: floor.covering_m2k_w, surface_limit_c: floor.surface_limit_c };
            plans.push(self.plan(false, floor.area_m2, way, 1)?);
        }
        if let Some(edge) = floor.edge {
            let way = Way {
                spacing_m: edge.spacing_m,
                covering_m2k_w: floor.covering_m2k_w,
                surface_limit_c: edge.surface_limit_c,
            };
            plans.push(self.plan(true, edge.area_m2, way, 1)?);
        }
        Ok(plans)
    }

    /// What the zones can give together at a flow temperature and the nominal drop (W), as they lie or otherwise.
    fn capacity_w(
        &self,
        plans: &[Plan],
        flow_c: f64,
        otherwise: Option<&dyn Fn(Way) -> Way>,
    ) -> Result<f64, MethodError> {
        let mut sum_w = 0.0;
        for plan in plans {
            let plan = match otherwise {
                Some(otherwise) => Plan { way: otherwise(plan.way), ..*plan },
                None => *plan,
            };
            let laid = self.laid(plan.way, &mut Off)?;
            sum_w += plan.area_m2 * self.capacity(&plan, &laid, flow_c)?.output_w_m2.min(laid.limit_w_m2);
        }
        Ok(sum_w)
    }

    /// Runs the zones at a load, each at the same part of what it can give, and adds loops until none takes too much
    /// pressure.
    fn run<W: Workings>(
        &self,
        mut plans: Vec<Plan>,
        mut capacity_w: f64,
        load_w: f64,
        w: &mut W,
    ) -> Result<(Vec<Zone>, f64), MethodError> {
        loop {
            let part = if capacity_w > 0.0 { (load_w / capacity_w).min(1.0) } else { 0.0 };
            let mut again = false;
            for plan in &mut plans {
                let drop_pa = self.zone(*plan, part, &mut Off)?.loop_pa;
                if drop_pa > self.floor.laying.loop_max_pa {
                    *plan = self.plan(plan.edge, plan.area_m2, plan.way, plan.loops.count + 1)?;
                    again = true;
                }
            }
            if !again {
                break;
            }
            capacity_w = self.capacity_w(&plans, self.common.flow_c(), None)?;
        }
        let part = if capacity_w > 0.0 { (load_w / capacity_w).min(1.0) } else { 0.0 };
        if let [plan] = plans[..] {
            return Ok((vec![self.zone(plan, part, w)?], capacity_w));
        }
        let mut zones = Vec::with_capacity(plans.len());
        for (plan, name) in plans.into_iter().zip(["occupied_zone", "edge_zone"]) {
            let mut w = w.within("floor");
            zones.push(self.zone(plan, part, &mut w.within(name))?);
        }
        Ok((zones, capacity_w))
    }

    /// The lowest flow temperature at which the zones carry a load at the nominal drop (°C).
    fn least_flow(&self, plans: &[Plan], load_w: f64) -> Result<Option<f64>, MethodError> {
        if load_w <= 0.0 {
            return Ok(None);
        }
        let mut laid = Vec::with_capacity(plans.len());
        for plan in plans {
            laid.push(self.laid(plan.way, &mut Off)?);
        }
        let capacity_w = |flow_c: f64| -> Result<f64, MethodError> {
            let mut sum_w = 0.0;
            for (plan, laid) in plans.iter().zip(&laid) {
                sum_w += plan.area_m2 * self.capacity(plan, laid, flow_c)?.output_w_m2.min(laid.limit_w_m2);
            }
            Ok(sum_w)
        };
        if capacity_w(HOTTEST_FLOW_C)? < load_w {
            return Ok(None);
        }
        let least_c = self.site.room_c + self.common.survey.heating.drop_k;
        let ends = (least_c, HOTTEST_FLOW_C);
        let found = root::between("the lowest flow temperature of a floor", ends, 1e-9, |flow_c| {
            Ok(capacity_w(flow_c)? / load_w - 1.0)
        })?;
        // where the output steps over the load, the warmer side of the step
        Ok(Some(if found.residual < -1e-9 { found.at + PAST_A_STEP_K } else { found.at }))
    }

    /// What the lines of all zones give to the rooms that they pass (W).
    fn lines_w(&self, zones: &[Zone]) -> Vec<(usize, f64)> {
        let passes = self.floor.laying.passes.iter().enumerate();
        passes.map(|(index, &(room, _))| (room, zones.iter().map(|zone| zone.lines_up_w(index)).sum())).collect()
    }
}
