//! Unheated spaces that several rooms meet: a garage, a loft, a cellar.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError};

use super::rooms::{Openings, Part, openings_within};
use crate::intake::{ById, Id, by_kind};

/// Outer surfaces of an unheated space by id.
pub type SpaceSurfaces = ById<SpaceSurface, 1, 64>;

/// One unheated space. What it shares with heated rooms stands in those rooms, as surfaces that face it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
pub struct UnheatedSpace {
    /// What the space is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200)]
    pub name: Option<String>,
    /// Volume (m³).
    #[schema(exclusive_minimum = 0.0, maximum = 100_000.0)]
    pub volume_m3: f64,
    /// Changes of its air with outside (1/h).
    #[schema(minimum = 0.0, maximum = 50.0)]
    pub air_changes_per_h: f64,
    /// What bounds it towards outside and the ground.
    #[validate(nested)]
    pub surfaces: SpaceSurfaces,
}

/// An outer surface of an unheated space.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[validate(schema(function = "openings_fit", skip_on_field_errors = false))]
pub struct SpaceSurface {
    /// What part of the space it is, which gives the direction of heat flow.
    pub part: Part,
    /// Id of its construction.
    pub construction: Id,
    /// Gross area inside, openings included (m²).
    #[schema(exclusive_minimum = 0.0, maximum = 5000.0)]
    pub area_m2: f64,
    /// Windows and doors, whose areas are taken from the gross area.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    pub openings: Openings,
    /// What lies on the other side; outside when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub faces: Option<SpaceFaces>,
}

/// What lies on the other side of an outer surface of an unheated space.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum SpaceFaces {
    /// Outside air.
    Outside {},
    /// The ground.
    Ground {},
    /// A space of given temperature.
    Temperature {
        /// Temperature on the other side (°C).
        #[schema(minimum = -40.0, maximum = 60.0)]
        temperature_c: f64,
    },
}

fn openings_fit(surface: &SpaceSurface) -> Result<(), ValidationError> {
    openings_within(&surface.openings, surface.area_m2)
}
