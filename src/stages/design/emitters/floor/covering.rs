//! What may come to lie on a floor: the greatest covering under which it carries its room.

use super::Look;
use super::characteristic::{Beyond, Conduct, Way};
use super::zone::Plan;
use crate::methods::en_1264_2::COVERING;
use crate::methods::{MethodError, root};
use crate::survey::FloorSystem;

/// Shortfall at which the search ends, relative.
const TOLERANCE: f64 = 1e-7;

/// What a covering is told below the one found, so that it does when it is read back rounded, relative.
const SAFE_SIDE: f64 = 2e-6;

/// Coverings that are looked at where a floor carries its room neither under its own nor under none, as one does whose
/// surface limit holds it until something evens out its warm spots.
const STEPS: u32 = 15;

/// The greatest covering.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Greatest {
    /// Its resistance (m²K/W).
    pub covering_m2k_w: f64,
    /// Whether the tables end there, and the floor would carry its room under more.
    pub tables_end: bool,
}

impl Look<'_> {
    /// Greatest covering under which the zones, laid as they are, carry a load at the common flow temperature; with the
    /// surface held to a limit, where one is given (°C). Nothing where they do so under none.
    pub(super) fn greatest_covering(
        &self,
        plans: &[Plan],
        load_w: f64,
        limit_c: Option<f64>,
    ) -> Result<Option<Greatest>, MethodError> {
        if load_w <= 0.0 || limit_c.is_some_and(|limit_c| limit_c <= self.site.room_c) {
            return Ok(None);
        }
        let flow_c = self.common.flow_c;
        let short = |covering_m2k_w: f64| self.shortfall(&under(plans, covering_m2k_w, limit_c), flow_c, load_w);
        let most = self.most_covering_m2k_w();
        if short(most)? <= 0.0 {
            return Ok(Some(Greatest { covering_m2k_w: most, tables_end: true }));
        }
        let steps = (1..STEPS).rev().map(|step| most * f64::from(step) / f64::from(STEPS));
        let mut from = None;
        for covering_m2k_w in [self.floor.covering_m2k_w, COVERING.min].into_iter().chain(steps) {
            if covering_m2k_w < most && short(covering_m2k_w)? <= TOLERANCE {
                from = Some(covering_m2k_w);
                break;
            }
        }
        let Some(from) = from else { return Ok(None) };
        if short(from)? >= 0.0 {
            return Ok(Some(Greatest { covering_m2k_w: from, tables_end: false }));
        }
        let found = root::between("the greatest covering", (from, most), TOLERANCE, short)?;
        Ok(Some(Greatest { covering_m2k_w: found.at * (1.0 - SAFE_SIDE), tables_end: false }))
    }

    /// Where the tables of the floor's kind end (m²K/W).
    fn most_covering_m2k_w(&self) -> f64 {
        match &self.floor.system {
            FloorSystem::TestedBoards { outputs, .. } => outputs.last().map_or(0.0, |row| row.covering_m2k_w),
            FloorSystem::InScreed(_) | FloorSystem::UnderPlates(_) | FloorSystem::PlaneSection => COVERING.max,
        }
    }

    /// What the floor can give under the worst covering that the job names, whatever its loops take in pressure (W), or where the
    /// tables end that do not reach it.
    pub(super) fn under_worst(&self, plans: &[Plan]) -> Result<Option<Result<f64, Beyond>>, MethodError> {
        let Some(covering_m2k_w) = self.floor.worst_covering_m2k_w else { return Ok(None) };
        let limits_c = self.floor.worst_limits_c;
        let held = |plan: &Plan| {
            let surface_limit_c = limits_c[usize::from(plan.edge)];
            Plan { way: Way { covering_m2k_w, surface_limit_c, ..plan.way }, ..*plan }
        };
        let plans: Vec<Plan> = plans.iter().map(held).collect();
        let conduct = if self.conduct == Conduct::No { Conduct::No } else { Conduct::AlsoBeyond };
        match (Self { conduct, ..*self }).performance(&plans, self.common.flow_c, 0.0) {
            Ok(found) => Ok(Some(Ok(found.capacity_w))),
            Err(error) => Ok(Some(Err(Beyond::of(&error).ok_or(error)?))),
        }
    }
}

/// The zones under another covering, their surfaces held to a limit besides their own (m²K/W, °C).
fn under(plans: &[Plan], covering_m2k_w: f64, limit_c: Option<f64>) -> Vec<Plan> {
    let held = |way: Way| Way {
        covering_m2k_w,
        surface_limit_c: limit_c.map_or(way.surface_limit_c, |limit_c| way.surface_limit_c.min(limit_c)),
        ..way
    };
    plans.iter().map(|plan| Plan { way: held(plan.way), ..*plan }).collect()
}
