//! The dwelling as a whole: kind, people, ventilation, thermal bridging, neighbours.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError};

use super::rules::Broken;
use crate::catalogue::room_use::TightnessClass;
use crate::intake::{ById, FaultCode, by_kind};

/// Junctions by id.
pub type Junctions = ById<Junction, 1, 100>;

/// The dwelling as a whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[validate(schema(function = "infiltration_is_told_once", skip_on_field_errors = false))]
pub struct Dwelling {
    /// How the dwelling stands to its neighbours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<DwellingKind>,
    /// Year in which the dwelling was built.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1000, maximum = 2100)]
    pub construction_year: Option<u32>,
    /// Number of bedrooms; counted from the rooms when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 50)]
    pub bedrooms: Option<u32>,
    /// Number of people who live there.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 100)]
    pub occupants: Option<u32>,
    /// What heats the dwelling now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing_heating: Option<ExistingHeating>,
    /// Whether people live there while the work is done: visits then say what they need of a furnished house, and how many days it
    /// is without heating and hot water. Where it is left out they do where `existing_heating` names anything but `none`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lived_in: Option<bool>,
    /// How air is changed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ventilation: Option<Ventilation>,
    /// Heat that thermal bridges lose beside the plane elements.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thermal_bridging: Option<ThermalBridging>,
    /// Whether ground water stands less than a metre below the floor on the ground; deeper when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ground_water_near: Option<bool>,
    /// Temperature of adjoining dwellings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub adjoining: Option<Adjoining>,
    /// Heat that a cubic metre of air carries per kelvin (Wh/(m³K)); sources differ between 0.33 and 0.34.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.2, maximum = 0.5)]
    pub air_heat_wh_m3k: Option<f64>,
}

/// How a dwelling stands to its neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DwellingKind {
    /// A house with no neighbour built against it.
    Detached,
    /// One half of a pair.
    SemiDetached,
    /// The last house of a row.
    EndTerrace,
    /// A house with neighbours on both sides.
    MidTerrace,
    /// A house on one storey.
    Bungalow,
    /// A dwelling within a larger building.
    Flat,
}

/// What heats a dwelling before the work.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ExistingHeating {
    /// A boiler on mains gas.
    GasBoiler {},
    /// A boiler on heating oil.
    OilBoiler {},
    /// A boiler on liquefied petroleum gas.
    LpgBoiler {},
    /// Electric heaters or an electric boiler.
    Electric {},
    /// Stoves or a boiler on coal or wood.
    SolidFuel {},
    /// A heat pump.
    HeatPump {},
    /// No heating.
    None {},
}

/// How air is changed in the dwelling.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Ventilation {
    /// Prescribed air changes per room, or by use and tightness where a room gives none.
    AirChanges {
        /// Tightness class that the defaults are read from; taken from the construction year when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        tightness: Option<TightnessClass>,
    },
    /// Air that leaks in by wind and weather, by a measured or stated air permeability.
    AirPermeability {
        /// Air permeability at 50 Pa (m³/(h·m²)).
        #[schema(minimum = 0.0, maximum = 50.0)]
        q50_m3_h_m2: f64,
        /// Envelope area that the permeability is related to: floor, roof and party walls too (m²); that of the
        /// surfaces which bound the dwelling when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0.0, maximum = 100_000.0)]
        envelope_area_m2: Option<f64>,
        /// How the dwelling stands to the wind; moderate when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        shielding: Option<Shielding>,
        /// Height of the ground storey's floor above the ground (m); `default:ground_storey_height_m` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 500.0)]
        height_m: Option<f64>,
    },
    /// Mechanical supply and extract, with infiltration beside it: one of its two forms must be given.
    Mechanical {
        /// Share of the extract air's heat that is given to the supply air (0–1).
        #[schema(minimum = 0.0, maximum = 1.0)]
        heat_recovery_efficiency: f64,
        /// Infiltration beside the mechanical flows, as air changes of each room (1/h).
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 10.0)]
        infiltration_air_changes_per_h: Option<f64>,
        /// Infiltration beside the mechanical flows, by air permeability.
        #[serde(skip_serializing_if = "Option::is_none")]
        leakage: Option<Leakage>,
    },
}

/// Leakage of the envelope beside mechanical ventilation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Leakage {
    /// Air permeability at 50 Pa (m³/(h·m²)).
    #[schema(minimum = 0.0, maximum = 50.0)]
    pub q50_m3_h_m2: f64,
    /// Envelope area that the permeability is related to: floor, roof and party walls too (m²); that of the surfaces
    /// which bound the dwelling when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0.0, maximum = 100_000.0)]
    pub envelope_area_m2: Option<f64>,
    /// How the dwelling stands to the wind; moderate when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shielding: Option<Shielding>,
    /// Height of the ground storey's floor above the ground (m); `default:ground_storey_height_m` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 500.0)]
    pub height_m: Option<f64>,
}

/// How something stands to the wind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Shielding {
    /// In the open, or high among lower buildings.
    None,
    /// Among trees or other buildings; suburban.
    Moderate,
    /// Among buildings as high as itself; in a town or a wood.
    Heavy,
}

/// How the heat loss of thermal bridges is told.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum ThermalBridging {
    /// An addition to the U-value of every outer element, times area and temperature factor.
    Allowance {
        /// Addition to the U-value (W/(m²K)).
        #[schema(minimum = 0.0, maximum = 1.0)]
        allowance_w_m2k: f64,
    },
    /// Junctions by length.
    Junctions {
        /// The junctions.
        junctions: Junctions,
    },
    /// The whole heat loss coefficient of all bridges.
    Coefficient {
        /// Heat loss coefficient (W/K).
        #[schema(minimum = 0.0, maximum = 10000.0)]
        coefficient_w_k: f64,
    },
}

/// A line where elements meet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Junction {
    /// Length of the junction (m).
    #[schema(minimum = 0.0, maximum = 10000.0)]
    pub length_m: f64,
    /// Linear thermal transmittance (W/(mK)); may be negative.
    #[schema(minimum = -1.0, maximum = 5.0)]
    pub psi_w_mk: f64,
}

/// Temperature taken beyond a party wall.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Adjoining {
    /// A fixed temperature.
    Fixed {
        /// Temperature of the adjoining dwelling (°C).
        #[schema(minimum = -20.0, maximum = 30.0)]
        temperature_c: f64,
    },
    /// The mean of the room's own temperature and the annual mean outside.
    Mean {},
}

/// Infiltration beside mechanical ventilation is told in one way.
fn infiltration_is_told_once(dwelling: &Dwelling) -> Result<(), ValidationError> {
    let Some(Ventilation::Mechanical { infiltration_air_changes_per_h, leakage, .. }) = &dwelling.ventilation else {
        return Ok(());
    };
    match (infiltration_air_changes_per_h, leakage) {
        (Some(_), None) | (None, Some(_)) => Ok(()),
        (None, None) => Err(Broken::new(FaultCode::InfiltrationMissing)
            .at("ventilation")
            .says("infiltration beside mechanical ventilation is given as infiltration_air_changes_per_h or as leakage")
            .into()),
        (Some(_), Some(_)) => Err(Broken::new(FaultCode::InfiltrationToldTwice)
            .at("ventilation/leakage")
            .says("infiltration is given as infiltration_air_changes_per_h or as leakage, not as both")
            .into()),
    }
}
