//! What may come to lie on a floor: the greatest covering under which it carries its room.

use super::Look;
use super::laid::Way;
use super::zone::Plan;
use crate::methods::en_1264_2::COVERING;
use crate::methods::{MethodError, root};
use crate::survey::FloorSystem;

/// Relative shortfall of the output at which the search ends: a tenth of what the forward design must agree to.
const TOLERANCE: f64 = 1e-6;

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
        // the less a floor gives, the straighter its reciprocal goes with the covering
        let short = |covering_m2k_w: f64| -> Result<f64, MethodError> {
            let capacity_w = self.under(plans, covering_m2k_w, limit_c)?;
            Ok(if capacity_w > 0.0 { load_w / capacity_w - 1.0 } else { f64::MAX })
        };
        let (none, most) = (COVERING.min, self.most_covering_m2k_w());
        if short(most)? <= 0.0 {
            return Ok(Some(Greatest { covering_m2k_w: most, tables_end: true }));
        }
        // a floor at its surface limit may carry more under some covering than under none
        let carries = [self.floor.covering_m2k_w, none];
        let mut from = None;
        for covering_m2k_w in carries {
            if from.is_none() && covering_m2k_w < most && short(covering_m2k_w)? <= TOLERANCE {
                from = Some(covering_m2k_w);
            }
        }
        let Some(from) = from else { return Ok(None) };
        if short(from)? >= 0.0 {
            return Ok(Some(Greatest { covering_m2k_w: from, tables_end: false }));
        }
        let found = root::between("the greatest covering", (from, most), TOLERANCE, short)?;
        Ok(Some(Greatest { covering_m2k_w: found.at, tables_end: false }))
    }

    /// Where the tables of the floor's kind end (m²K/W).
    fn most_covering_m2k_w(&self) -> f64 {
        match &self.floor.system {
            FloorSystem::TestedBoards { outputs, .. } => outputs.last().map_or(0.0, |row| row.covering_m2k_w),
            FloorSystem::InScreed(_) | FloorSystem::UnderPlates(_) | FloorSystem::PlaneSection => COVERING.max,
        }
    }

    /// What the floor gives under the worst covering that the job names (W).
    pub(super) fn under_worst(&self, plans: &[Plan]) -> Result<Option<f64>, MethodError> {
        let floor = self.floor;
        let worst = floor.worst_covering_m2k_w.map(|covering_m2k_w| {
            let limit_c = floor.worst_surface_limit_c;
            self.under(plans, covering_m2k_w, Some(limit_c))
        });
        worst.transpose()
    }

    /// What the zones give under a covering at the common flow temperature (W).
    fn under(&self, plans: &[Plan], covering_m2k_w: f64, limit_c: Option<f64>) -> Result<f64, MethodError> {
        let otherwise = |way: Way| Way {
            covering_m2k_w,
            surface_limit_c: limit_c.map_or(way.surface_limit_c, |limit_c| way.surface_limit_c.min(limit_c)),
            ..way
        };
        self.capacity_w(plans, self.common.flow_c(), Some(&otherwise))
    }
}
