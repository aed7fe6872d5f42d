//! Cooling in summer, through the floors that heat in winter.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::intake::Id;

/// Cooling through the heated floors: what they can take from their rooms.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Cooling {
    /// Flow temperature (°C).
    #[schema(minimum = 5.0, maximum = 30.0)]
    pub flow_temperature_c: f64,
    /// Rise between flow and return (K).
    #[schema(minimum = 0.5, maximum = 15.0)]
    pub rise_k: f64,
    /// Air temperature of the rooms (°C).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 15.0, maximum = 40.0)]
    pub inside_c: Option<f64>,
    /// Relative humidity of the rooms (0–1).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 1.0)]
    pub relative_humidity: Option<f64>,
    /// Lowest temperature that the surface may have (°C), besides the dew point: `default:cooled_surface_min_c` °C, or more.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 20.0, maximum = 30.0)]
    pub surface_min_c: Option<f64>,
    /// How far the surface stays above the dew point (K).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 10.0)]
    pub dew_point_margin_k: Option<f64>,
    /// Ids of the rooms that are cooled; every room with a heated floor when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 200)]
    pub rooms: Vec<Id>,
}
