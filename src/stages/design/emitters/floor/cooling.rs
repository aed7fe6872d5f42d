//! What a floor takes from its room in summer.

use super::Look;
use super::characteristic::{self, Way, slope};
use super::sections;
use super::zone::Plan;
use crate::list::Index;
use crate::methods::floor_conduction::{Response, Section};
use crate::methods::{MethodError, Off, Workings, iso_11855_2, iso_13788, last_steps, sums};
use crate::survey::FloorSystem;
use crate::survey::Room;

/// Cooling of a floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloorCooling {
    /// What it takes from the room (W).
    pub output_w: f64,
    /// The same by area (W/m²).
    pub output_w_m2: f64,
    /// Mean surface temperature of the coldest zone (°C).
    pub surface_c: f64,
    /// Coldest spot, above a pipe where the water comes in (°C); nothing where the section is not solved.
    pub surface_lowest_c: Option<f64>,
    /// Dew point of the room's air (°C).
    pub dew_point_c: f64,
    /// Lowest surface temperature that is allowed (°C).
    pub surface_min_c: f64,
    /// Coldest flow temperature at which the surface stays at that or above (°C).
    pub flow_least_c: f64,
    /// Whether the output is held back by the surface.
    pub held_back: bool,
}

impl Look<'_> {
    /// The section of a floor with pipes in the screed as it cools: the surface passes less heat then.
    fn cooled_section(&self, way: Way) -> Result<Option<Response>, MethodError> {
        let FloorSystem::InScreed(under_m) = self.floor.system else { return Ok(None) };
        let surface_w_m2k = iso_11855_2::Surface::FloorCooling.coefficient_w_m2k();
        let section = Section { surface_w_m2k, ..characteristic::section(self.floor, self.site, way, under_m) };
        let bare_m2k_w = section.pipe.resistance_m2k_w(f64::INFINITY);
        Ok(Some(sections::solved(&section, self.common.budget)?.response.behind_pipe(bare_m2k_w)))
    }
}

/// What a floor takes from its room, where the job asks for that. Boards whose test does not reach from no covering to
/// 0.15 m²K/W cannot be told.
pub(super) fn cooling<W: Workings>(
    look: Look<'_>,
    room: Index<Room>,
    plans: &[Plan],
    w: &mut W,
) -> Result<Option<FloorCooling>, MethodError> {
    let Some(wanted) = look.common.survey.cooling.as_ref().filter(|cooling| cooling.rooms[room]) else {
        return Ok(None);
    };
    if let FloorSystem::TestedBoards { outputs, .. } = &look.floor.system {
        let reaches =
            |covering_m2k_w: f64| outputs.iter().any(|row| (row.covering_m2k_w - covering_m2k_w).abs() < 1e-9);
        if !(reaches(iso_11855_2::COVERING.min) && reaches(iso_11855_2::COVERING.max)) {
            return Ok(None);
        }
    }
    let mut w = w.within("cooling");
    let dew_point_c = iso_13788::dew_point(wanted.inside_c, wanted.relative_humidity, &mut w.within("dew_point_c"))?;
    let surface_min_c = {
        let mut w = w.within("floor_surface_min_c");
        let no_dew_c = last_steps::warmer_by(dew_point_c, wanted.dew_point_margin_k, &mut w);
        last_steps::no_cooler(wanted.surface_min_c, no_dew_c, &mut w)
    };
    let mut found = FloorCooling {
        output_w: 0.0,
        output_w_m2: 0.0,
        surface_c: wanted.inside_c,
        surface_lowest_c: None,
        dew_point_c,
        surface_min_c,
        flow_least_c: f64::NEG_INFINITY,
        held_back: false,
    };
    // the coldest spot lies above a pipe where the water comes in, and no film helps it; all zones have the same water
    let mut zones = Vec::with_capacity(plans.len());
    for plan in plans {
        zones.push((plan, look.cooled_section(plan.way)?));
    }
    let room_c = wanted.inside_c;
    let spots = zones.iter().filter_map(|(_, section)| Some(section.as_ref()?.coldest_water(surface_min_c, room_c)));
    let spot_c = spots.fold(f64::NEG_INFINITY, f64::max);
    for (plan, section) in zones {
        let bare = |covering_m2k_w: f64| slope(look.floor, Way { covering_m2k_w, ..plan.way }, &mut Off);
        let ends = (bare(iso_11855_2::COVERING.min), bare(iso_11855_2::COVERING.max));
        // conversion goes by the floor's standard, and where that ends nothing can be told
        let (Ok(kf_w_m2k), Ok(kf_star_w_m2k)) = ends else { return Ok(None) };
        let mut to_output = w.within("output_w");
        let surface_w_m2k = iso_11855_2::Surface::FloorCooling.coefficient_w_m2k();
        let covering_m2k_w = plan.way.covering_m2k_w;
        let kh_w_m2k = iso_11855_2::convert(kf_w_m2k, kf_star_w_m2k, surface_w_m2k, covering_m2k_w, &mut to_output)?;
        let rise_k = wanted.rise_k;
        let flow_c = wanted.flow_c.max(spot_c);
        if flow_c >= room_c {
            found.flow_least_c = found.flow_least_c.max(room_c);
            found.held_back = true;
            continue;
        }
        let water = iso_11855_2::Cooled { room_c, flow_c, rise_k, surface_min_c };
        drop(to_output);
        let cooled = iso_11855_2::cool(kh_w_m2k, water, &mut w)?;
        if let Some(section) = section {
            let lowest_c = section.coldest_spot(flow_c.max(cooled.flow_least_c), room_c);
            found.surface_lowest_c = Some(found.surface_lowest_c.map_or(lowest_c, |other: f64| other.min(lowest_c)));
        }
        let mut to_output = w.within("output_w");
        let zone_w = last_steps::over_area(plan.area_m2, cooled.output_w_m2, &mut to_output);
        found.output_w = sums::and_w(found.output_w, zone_w, &mut to_output);
        drop(to_output);
        found.surface_c = last_steps::no_warmer(found.surface_c, cooled.surface_c, &mut w.within("floor_surface_c"));
        found.flow_least_c = [cooled.flow_least_c, spot_c].into_iter().fold(found.flow_least_c, |so_far_c, least_c| {
            if so_far_c.is_finite() && least_c.is_finite() {
                last_steps::no_cooler(so_far_c, least_c, &mut w.within("flow_temperature_least_c"))
            } else {
                so_far_c.max(least_c)
            }
        });
        found.held_back |= cooled.held_back || spot_c > wanted.flow_c;
    }
    let area_m2 = plans.iter().map(|plan| plan.area_m2).sum();
    found.output_w_m2 = last_steps::by_area(found.output_w, area_m2, &mut w.within("output_w_m2"));
    Ok(Some(found))
}
