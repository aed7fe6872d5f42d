//! The stage as it is answered, the heat source among it.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Plant;
use crate::catalogue::products::Product;
use crate::design::findings::{self, Pointed, UnmetRow};
use crate::design::source::{HeatSourceAnswer, Source};
use crate::list::Index;
use crate::survey::Survey;

/// Heat source, cylinder, water content and expansion vessel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlantAnswer {
    /// The heat source, by the day's balance.
    pub heat_source: HeatSourceAnswer,
    /// The cylinder.
    pub cylinder: CylinderAnswer,
    /// Water content of the system.
    pub water_content: WaterContent,
    /// The expansion vessel, on the highest temperature of the whole system.
    pub expansion_vessel: VesselAnswer,
    /// Needs that the design does not meet.
    pub unmet: Vec<UnmetRow>,
    /// Whether heat source, cylinder, manifolds and vessel are met.
    pub complete: bool,
}

/// The cylinder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CylinderAnswer {
    /// Code of the cylinder; absent where none that may be taken is large enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Code of the largest, where none is large enough: the water content is reckoned with it, and it is not in the bill.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub largest: Option<String>,
    /// Storage temperature (°C).
    pub storage_temperature_c: f64,
    /// Volume that the hot water needs at the storage temperature (l).
    pub needed_l: f64,
    /// Volume of the cylinder (l).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<f64>,
    /// How it is heated against legionella every so often; absent where it is kept warm enough, and where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub disinfection: Option<Disinfection>,
}

/// Heating of the whole store against legionella, which a store below that temperature cannot do without.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Disinfection {
    /// Temperature that the whole store is heated to (°C).
    pub to_c: f64,
    /// How long it is kept there (h).
    pub held_h: f64,
    /// From one time to the next (days).
    pub every_days: u32,
    /// Heat that it takes each time, from the storage temperature on (kWh); from an immersion heater, which makes one part of heat
    /// of each part of current, where the heat source does not get that hot.
    pub heat_kwh: f64,
}

/// Water content of the system.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WaterContent {
    /// Radiators and fan convectors (l).
    pub radiators_l: f64,
    /// Loops of heated floors (l).
    pub loops_l: f64,
    /// Runs, flow and return (l).
    pub runs_l: f64,
    /// The circuits of the plant, primary and hot water (l).
    pub circuits_l: f64,
    /// A buffer vessel (l).
    pub buffer_vessel_l: f64,
    /// Manifolds (l).
    pub manifolds_l: f64,
    /// Heat source (l).
    pub heat_source_l: f64,
    /// Coil of the cylinder (l).
    pub cylinder_coil_l: f64,
    /// The whole (l).
    pub total_l: f64,
}

/// The expansion vessel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct VesselAnswer {
    /// Code of the vessel; absent where none on offer is large enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Highest temperature of the whole system (°C).
    pub highest_temperature_c: f64,
    /// Expansion of the water from 10 °C to that (a ratio).
    pub expansion: f64,
    /// Expansion volume (l).
    pub expansion_volume_l: f64,
    /// Water reserve (l).
    pub reserve_l: f64,
    /// Charge pressure of the gas side (bar, gauge).
    pub charge_pressure_bar: f64,
    /// Final pressure (bar, gauge).
    pub final_pressure_bar: f64,
    /// Volume that the vessel needs (l).
    pub needed_l: f64,
}

impl Plant {
    /// The result with the names of the price book.
    #[must_use]
    pub fn answer(&self, survey: &Survey, source: &Source) -> PlantAnswer {
        let code = |product: Index<Product>| survey.book.product(product).0.to_owned();
        let cylinder = self.cylinder.map(|index| &survey.offer.cylinders[index]);
        let (vessel, content) = (&self.vessel, &self.content);
        PlantAnswer {
            heat_source: source.answer(survey),
            cylinder: CylinderAnswer {
                product: cylinder.map(|cylinder| code(cylinder.product)),
                largest: self.largest_cylinder.map(|index| code(survey.offer.cylinders[index].product)),
                storage_temperature_c: survey.plant.hot_water.storage_c,
                needed_l: self.stored_l,
                volume_l: cylinder.map(|cylinder| cylinder.volume_l),
                disinfection: self.disinfection_kwh.map(|heat_kwh| Disinfection {
                    to_c: survey.defaults.disinfection_c.value,
                    held_h: survey.defaults.disinfection_h.value,
                    every_days: survey.defaults.disinfection_days.value,
                    heat_kwh,
                }),
            },
            water_content: WaterContent {
                radiators_l: content.radiators_l,
                loops_l: content.loops_l,
                runs_l: content.runs_l,
                circuits_l: content.circuits_l,
                buffer_vessel_l: content.buffer_l,
                manifolds_l: content.manifolds_l,
                heat_source_l: content.heat_source_l,
                cylinder_coil_l: content.coil_l,
                total_l: content.total_l(),
            },
            expansion_vessel: VesselAnswer {
                product: vessel.chosen.map(|index| code(survey.offer.vessels[index].product)),
                highest_temperature_c: vessel.highest_c,
                expansion: vessel.expansion,
                expansion_volume_l: vessel.expansion_l,
                reserve_l: vessel.reserve_l,
                charge_pressure_bar: vessel.charge_bar,
                final_pressure_bar: vessel.final_bar,
                needed_l: vessel.needed_l,
            },
            unmet: [findings::rows(survey, &source.unmet), findings::rows(survey, &self.unmet)].concat(),
            complete: source.unmet.is_empty() && self.unmet.is_empty(),
        }
    }
}

impl Pointed for PlantAnswer {
    fn pointers(&mut self) -> Vec<&mut String> {
        self.unmet.iter_mut().map(|row| &mut row.pointer).collect()
    }
}
