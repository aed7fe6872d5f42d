//! The heat source on days milder than the design day.

use super::{Source, read_at};
use crate::design::DesignError;
use crate::design::heat_loss::HeatLoss;
use crate::methods::carried_heat::Mixed;
use crate::methods::performance_map::PerformanceMap;
use crate::methods::{Off, carried_heat, part_load, where_it_holds};
use crate::survey::{Survey, grid};

/// A heat source on a day milder than the design day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartLoad {
    /// Outside temperature (°C).
    pub outside_c: f64,
    /// Flow temperature by the heating curve (°C).
    pub flow_c: f64,
    /// Flow temperature that its data are read at: their lowest, where the curve goes below (°C).
    pub read_at_c: f64,
    /// Load of the house (W).
    pub load_w: f64,
    /// Full output there (W).
    pub capacity_w: f64,
    /// Coefficient of performance there, at full output.
    pub cop: f64,
}

impl Source {
    /// The heat source at an outside temperature; nothing where its data do not reach, or there is none.
    ///
    /// # Errors
    /// [`DesignError::Method`] if the house is no warmer inside than outside.
    pub fn part_load(&self, survey: &Survey, loss: &HeatLoss, outside_c: f64) -> Result<Option<PartLoad>, DesignError> {
        let Some(reckoned) = self.reckoned() else { return Ok(None) };
        let rooms = survey.rooms.iter().map(|room| (room.floor_area_m2, room.inside_c));
        let Some(Mixed { mean_c: inside_c, .. }) = carried_heat::mixed(rooms, &mut Off) else { return Ok(None) };
        let share = part_load::load_share(inside_c, loss.outside_design_c, outside_c, &mut Off)
            .map_err(DesignError::at("/site"))?;
        let flow_c = part_load::flow_temperature(self.flow_c, inside_c, share, &mut Off);
        let map = PerformanceMap::new(grid(&survey.offer.heat_sources[reckoned].points))
            .map_err(DesignError::at("/plant"))?;
        let read_at_c = read_at(&map, (outside_c, flow_c));
        let found = where_it_holds(map.at(outside_c, read_at_c, &mut Off)).map_err(DesignError::at("/plant"))?;
        Ok(found.map(|found| PartLoad {
            outside_c,
            flow_c,
            read_at_c,
            load_w: part_load::part_of(share, self.load_w, &mut Off),
            capacity_w: found.capacity_w,
            cop: found.cop,
        }))
    }
}
