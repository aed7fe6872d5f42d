//! A heated floor as it is answered, beyond what every emitter tells.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::covering::Greatest;
use super::{Floor, FloorCooling, Zone};
use crate::design::emitters::LoopRow;
use crate::design::units::{flow_l_h, kpa, mm};
use crate::methods::Off;
use crate::methods::tube::{content_l, inside_diameter};
use crate::methods::water::Liquid;
use crate::survey::{HeatedFloor, Survey};

/// Resistance of one tog (m²K/W), BS 4745.
const TOG_M2K_W: f64 = 0.1;

/// A heated floor in detail.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FloorRow {
    /// Id of the manifold that it hangs on.
    pub manifold: String,
    /// The zone that people live in, by the standard and by conduction. Absent where all of the floor is edge zone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub occupied_zone: Option<ZoneRow>,
    /// The edge zone, if there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edge_zone: Option<ZoneRow>,
    /// Lowest flow temperature at which the floor carries its share at the nominal drop, laid as it is (°C). Absent where
    /// its limits do not let it, or nothing is to be carried.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_temperature_least_c: Option<f64>,
    /// The same, laid at the closest spacing that it may have (°C).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_temperature_least_if_closest_c: Option<f64>,
    /// Greatest covering under which it carries its share at the common flow temperature, under the surface limit that it
    /// is designed for. Absent where it does so under none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub greatest_covering: Option<CoveringRow>,
    /// The same under timber or laminate, with the surface held to 27 °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub greatest_timber_covering: Option<CoveringRow>,
    /// What it could give under `worst_covering` of the job (W).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub output_under_worst_covering_w: Option<f64>,
    /// Water in its loops (l).
    pub water_l: f64,
    /// Lines through other rooms, and what they give there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub lines: Vec<LineRow>,
    /// What it takes from its room in summer, where the job asks for cooling.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cooling: Option<CoolingRow>,
}

/// A zone of a heated floor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ZoneRow {
    /// Heated area (m²).
    pub area_m2: f64,
    /// What it can give at the nominal drop (W).
    pub capacity_w: f64,
    /// Length of each of its loops, tails included (m).
    pub loop_length_m: f64,
    /// Pipe spacing (mm).
    pub spacing_mm: f64,
    /// What its output goes by here: `standard` or `conduction`.
    pub goes_by: Cow<'static, str>,
    /// Output (W/m²).
    pub output_w_m2: f64,
    /// Greatest output by its limits (W/m²).
    pub limit_w_m2: f64,
    /// Mean excess of the water over the room (K).
    pub excess_k: f64,
    /// Return temperature at the manifold (°C).
    pub return_temperature_c: f64,
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Mean surface temperature, by the standard's law q = 8.92·(θF − θi)^1.1 (°C).
    pub floor_surface_c: f64,
    /// Heat downward, without that of lines (W).
    pub downward_w: f64,
    /// By its standard or its test, of the same water; where its tables end, nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_standard: Option<StandardRow>,
    /// By conduction through its section, of the same water; for pipes in the screed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_conduction: Option<ConductionRow>,
}

/// A zone by its standard or its test.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StandardRow {
    /// Output by kelvin of mean excess of the water, KH (W/(m²K)).
    pub output_w_m2k: f64,
    /// Output (W/m²).
    pub output_w_m2: f64,
}

/// A zone by conduction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ConductionRow {
    /// Output (W/m²).
    pub output_w_m2: f64,
    /// Heat downward (W/m²).
    pub downward_w_m2: f64,
    /// Mean surface temperature, by a constant 10.8 W/(m²K) as conduction takes it (°C): at outputs below 75 W/m² some tenths of
    /// a kelvin below that of the standard's law, which the zone tells.
    pub floor_surface_c: f64,
    /// Highest surface temperature, by the same constant (°C): never below the mean beside it.
    pub floor_surface_highest_c: f64,
    /// Heat transfer coefficient of the film of water in the tube (W/(m²K)).
    pub film_w_m2k: f64,
    /// By how much the last refinement of the grid changed the output (0–1).
    pub grid_error: f64,
}

/// A covering that may come to lie on a floor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CoveringRow {
    /// Resistance (m²K/W).
    pub resistance_m2k_w: f64,
    /// The same in tog.
    pub tog: f64,
    /// Whether the tables of the method end at this covering, so that the floor may well carry its room under more.
    pub tables_end: bool,
}

/// Lines of a floor through another room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LineRow {
    /// Id of the room that they pass.
    pub room: String,
    /// Length of the way there (m).
    pub length_m: f64,
    /// What they give to that room (W).
    pub output_w: f64,
}

/// Cooling of a floor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CoolingRow {
    /// What it takes from the room (W).
    pub output_w: f64,
    /// The same by area (W/m²).
    pub output_w_m2: f64,
    /// Mean surface temperature (°C).
    pub floor_surface_c: f64,
    /// Coldest spot, above a pipe where the water comes in (°C); for pipes in the screed, of others the mean is held.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor_surface_lowest_c: Option<f64>,
    /// Dew point of the room's air (°C).
    pub dew_point_c: f64,
    /// Lowest surface temperature that is allowed: the job's, or the dew point with its margin where that is
    /// higher (°C).
    pub floor_surface_min_c: f64,
    /// Coldest flow temperature at which the surface stays allowed (°C).
    pub flow_temperature_least_c: f64,
    /// Whether the surface holds the output back: colder water than that must not come.
    pub held_back: bool,
}

impl Zone {
    fn row(&self, water: &Liquid) -> ZoneRow {
        let (area_m2, state) = (self.plan.area_m2, &self.state);
        ZoneRow {
            area_m2,
            capacity_w: area_m2 * self.capacity_w_m2,
            loop_length_m: self.loops.length_m,
            spacing_mm: mm(self.plan.way.spacing_m),
            goes_by: if self.goes_by_conduction { "conduction" } else { "standard" }.into(),
            output_w_m2: state.output_w_m2,
            limit_w_m2: self.limit_w_m2,
            excess_k: state.excess_k,
            return_temperature_c: state.return_c,
            flow_l_h: flow_l_h(state.mass_flow_kg_s, water.density_kg_m3),
            floor_surface_c: self.surface_c,
            downward_w: area_m2 * state.downward_w_m2,
            by_standard: self.by_standard.map(|(output_w_m2k, output_w_m2)| StandardRow { output_w_m2k, output_w_m2 }),
            by_conduction: self.by_conduction.map(|found| ConductionRow {
                output_w_m2: found.output_w_m2,
                downward_w_m2: found.downward_w_m2,
                floor_surface_c: found.surface_c,
                floor_surface_highest_c: found.surface_highest_c,
                film_w_m2k: found.film_w_m2k,
                grid_error: found.grid_error,
            }),
        }
    }
}

impl From<Greatest> for CoveringRow {
    fn from(found: Greatest) -> Self {
        let Greatest { covering_m2k_w, tables_end } = found;
        Self { resistance_m2k_w: covering_m2k_w, tog: covering_m2k_w / TOG_M2K_W, tables_end }
    }
}

impl From<FloorCooling> for CoolingRow {
    fn from(found: FloorCooling) -> Self {
        Self {
            output_w: found.output_w,
            output_w_m2: found.output_w_m2,
            floor_surface_c: found.surface_c,
            floor_surface_lowest_c: found.surface_lowest_c,
            dew_point_c: found.dew_point_c,
            floor_surface_min_c: found.surface_min_c,
            flow_temperature_least_c: found.flow_least_c,
            held_back: found.held_back,
        }
    }
}

impl Floor {
    /// The floor with the names of the job.
    pub(in crate::design::emitters) fn row(&self, survey: &Survey, written: &HeatedFloor, water: &Liquid) -> FloorRow {
        let zone = |edge: bool| self.zones.iter().find(|zone| zone.plan.edge == edge).map(|zone| zone.row(water));
        let passes = written.laying.passes.iter().zip(&self.besides.lines_w);
        FloorRow {
            manifold: survey.names.manifolds[written.laying.manifold].clone(),
            occupied_zone: zone(false),
            edge_zone: zone(true),
            flow_temperature_least_c: self.least_flow_c,
            flow_temperature_least_if_closest_c: self.least_flow_if_closest_c,
            greatest_covering: self.greatest_covering.map(CoveringRow::from),
            greatest_timber_covering: self.greatest_timber.map(CoveringRow::from),
            output_under_worst_covering_w: self.under_worst_w.and_then(Result::ok),
            water_l: content_l(
                inside_diameter(written.tube.outside_m, written.tube.wall_m, &mut Off),
                self.tube_m(),
                &mut Off,
            ),
            lines: passes
                .map(|(&(room, length_m), &(_, output_w))| LineRow {
                    room: survey.names.rooms[room].clone(),
                    length_m,
                    output_w,
                })
                .collect(),
            cooling: self.cooling.map(CoolingRow::from),
        }
    }

    /// Its loops. A manifold drops as much as its worst loop, and every other takes the rest at its valve (Pa).
    pub(in crate::design::emitters) fn loop_rows(&self, water: &Liquid, manifold_pa: f64) -> Vec<LoopRow> {
        let rows = self.zones.iter().flat_map(|zone| {
            let count = f64::from(zone.loops.count);
            let row = LoopRow {
                length_m: zone.loops.length_m,
                flow_l_min: flow_l_h(zone.state.mass_flow_kg_s, water.density_kg_m3) / 60.0 / count,
                pressure_drop_kpa: kpa(zone.loop_pa),
                to_throttle_kpa: kpa((manifold_pa - zone.loop_pa).max(0.0)),
            };
            (0..zone.loops.count).map(move |_| row)
        });
        rows.collect()
    }
}
