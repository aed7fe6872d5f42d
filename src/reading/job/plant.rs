//! Heat source, cylinder, expansion vessel and hot water.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::catalogue::products::{OperatingPoint, PumpPoint};
use crate::intake::{Id, by_kind};

/// The plant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Plant {
    /// Where the heat source comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_source: Option<HeatSource>,
    /// Where the cylinder comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cylinder: Option<Cylinder>,
    /// What the expansion vessel must bear.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expansion_vessel: Option<ExpansionVessel>,
}

/// Where the heat source comes from.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum HeatSource {
    /// The smallest of the catalogue or price book that carries the load.
    Choose {},
    /// One of the catalogue or price book.
    Catalogue {
        /// Its code.
        code: Id,
    },
    /// A unit by its own data; its price is not known, so it stands on the bill at nothing and is told as unmet.
    Given {
        /// What it is, in words.
        #[schema(max_length = 200)]
        description: String,
        /// Water content (l).
        #[schema(minimum = 0.0, maximum = 200.0)]
        water_l: f64,
        /// Whether the outputs have defrosting taken off.
        defrost_included: bool,
        /// Least flow that it runs with (l/h).
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 100_000.0)]
        minimum_flow_l_h: Option<f64>,
        /// Greatest flow that it bears (l/h); what its pump gives when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0.0, maximum = 100_000.0)]
        maximum_flow_l_h: Option<f64>,
        /// Least water of the system that is always open to it (l).
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 10_000.0)]
        minimum_water_l: Option<f64>,
        /// Heat that one defrost takes from the water (kWh).
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 20.0)]
        defrost_kwh: Option<f64>,
        /// Output and coefficient of performance at outside and flow temperatures: what lies inside their outline is read.
        #[schema(min_items = 3, max_items = 200)]
        points: Vec<OperatingPoint>,
        /// Pressure that the unit's own pump has left for the system, by flow.
        #[schema(min_items = 2, max_items = 50)]
        pump: Vec<PumpPoint>,
    },
}

/// Where the cylinder comes from.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cylinder {
    /// The smallest of the catalogue or price book that holds the hot water.
    Choose {},
    /// One of the catalogue or price book.
    Catalogue {
        /// Its code.
        code: Id,
    },
}

/// What the expansion vessel must bear.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ExpansionVessel {
    /// Height of the system's highest point above the vessel (m).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 50.0)]
    pub static_height_m: Option<f64>,
    /// Pressure at which the safety valve opens (bar, gauge).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1.5, maximum = 5.0)]
    pub safety_valve_bar: Option<f64>,
}

/// Hot-water demand and storage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HotWater {
    /// Hot water that a person uses in a day, as litres at 60 °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 500.0)]
    pub litres_per_person_at_60_c: Option<f64>,
    /// Temperature that the cylinder is kept at (°C).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 35.0, maximum = 75.0)]
    pub storage_temperature_c: Option<f64>,
    /// Flow temperature at which the heat source makes hot water (°C).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 35.0, maximum = 80.0)]
    pub flow_temperature_c: Option<f64>,
    /// Heat made for each part of heat drawn: what cylinder and pipes lose comes on top (at least 1).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1.0, maximum = 3.0)]
    pub loss_factor: Option<f64>,
}
