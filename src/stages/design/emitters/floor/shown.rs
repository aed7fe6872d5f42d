//! The last steps of a floor: from its zones to the whole of it, and to its loops.

use super::loops::loop_drop;
use super::{Look, Zone, first_loops};
use crate::methods::floor_loops::flow_of_each;
use crate::methods::tube::{content_l, inside_diameter};
use crate::methods::{MethodError, Workings, carried_heat, friction, last_steps, sums};

impl Look<'_> {
    /// Tells the floor as a whole, as it is set and at its load, where it carries so much (W).
    pub(super) fn show_whole<W: Workings>(
        &self,
        zones: &[Zone],
        at_load: &[Zone],
        carried_w: f64,
        w: &mut W,
    ) -> Result<(), MethodError> {
        if !w.records() {
            return Ok(());
        }
        show_state(zones, w);
        let output_w = zones.iter().map(|zone| zone.plan.area_m2 * zone.state.output_w_m2).sum();
        last_steps::no_less(output_w, carried_w, &mut w.within("output_w"));
        for zone in at_load {
            let mut w = w.within("at_load");
            last_steps::over_area(zone.plan.area_m2, zone.state.downward_w_m2, &mut w.within("downward_w"));
        }
        show_state(at_load, &mut w.within("at_load"));
        if zones.len() > 1 {
            let each_w = zones.iter().map(|zone| zone.plan.area_m2 * zone.capacity_w_m2);
            sums::sum(each_w, sums::and_w, &mut w.within("capacity_w"));
        }
        let tube = &self.floor.tube;
        let mut to_water = w.within("floor/water_l");
        let tube_m = zones.iter().map(|zone| f64::from(zone.loops.count) * zone.loops.length_m).sum();
        let bore_m = inside_diameter(tube.outside_m, tube.wall_m, &mut to_water);
        content_l(bore_m, tube_m, &mut to_water);
        drop(to_water);
        self.show_loops(zones, w)
    }

    /// Tells of the first loop of every zone, which those beside it are like.
    fn show_loops<W: Workings>(&self, zones: &[Zone], w: &mut W) -> Result<(), MethodError> {
        for (first, zone) in first_loops(zones) {
            let mut row = w.row("loops", first);
            let (whole_kg_s, count) = (zone.state.mass_flow_kg_s, f64::from(zone.loops.count));
            let mut to_flow = row.within("flow_l_min");
            let flow_l_h = friction::volume_flow(whole_kg_s, self.common.water.density_kg_m3, &mut to_flow);
            last_steps::each_l_min(flow_l_h, count, &mut to_flow);
            drop(to_flow);
            let mut to_drop = row.within("pressure_drop_kpa");
            let each_kg_s = flow_of_each(whole_kg_s, count, &mut to_drop);
            let one = (zone.loops.length_m, each_kg_s);
            let loop_pa = loop_drop(self.common.survey, self.floor, one, &zone.water, &mut to_drop)?;
            last_steps::kpa(loop_pa, &mut to_drop);
        }
        Ok(())
    }
}

/// Output, heat downward, flow and return of zones together in one state.
fn show_state<W: Workings>(zones: &[Zone], w: &mut W) {
    let mut to_output = w.within("output_w");
    let mut output_w = 0.0;
    for (number, zone) in zones.iter().enumerate() {
        let zone_w = last_steps::over_area(zone.plan.area_m2, zone.state.output_w_m2, &mut to_output);
        output_w = if number == 0 { zone_w } else { sums::and_w(output_w, zone_w, &mut to_output) };
    }
    drop(to_output);
    let lines_w: f64 = zones.iter().map(|zone| zone.state.lines_down_w).sum();
    if zones.len() > 1 || lines_w != 0.0 {
        let each_w = zones.iter().map(|zone| zone.plan.area_m2 * zone.state.downward_w_m2 + zone.state.lines_down_w);
        sums::sum(each_w, sums::and_w, &mut w.within("downward_w"));
    }
    if zones.len() > 1 {
        let each_kg_s = zones.iter().map(|zone| zone.state.mass_flow_kg_s);
        sums::sum(each_kg_s, sums::and_kg_s, &mut w.within("flow_l_h"));
        let returns = zones.iter().map(|zone| (zone.state.mass_flow_kg_s, zone.state.return_c));
        carried_heat::mixed(returns, &mut w.within("return_temperature_c"));
    }
}
