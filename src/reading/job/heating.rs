//! Flow temperature, drop and fluid of the heating circuit.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::catalogue::glycol::Substance;

/// What the heating circuit is run at.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Heating {
    /// How the flow temperature is found.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_temperature: Option<FlowTemperature>,
    /// Nominal difference between flow and return (K).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1.0, maximum = 30.0)]
    pub drop_k: Option<f64>,
    /// What flows in the circuit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fluid: Option<Fluid>,
    /// Mean of the excess of flow and return over the room that radiators are reckoned by; logarithmic when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub radiator_mean: Option<RadiatorMean>,
    /// Which radiator or fan convector is taken of those that fit and are enough; the cheapest when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub emitter_choice: Option<EmitterChoice>,
}

/// Which radiator or fan convector is taken of those that fit and are enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum EmitterChoice {
    /// The one that costs least; of two at one cost the smaller.
    LeastCost,
    /// The one of the lowest rated output; of two alike the cheaper.
    LeastOutput,
}

/// Mean of the excess of flow and return over the room. Each is compared with its own figure at 75/65/20 °C.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RadiatorMean {
    /// The logarithmic mean, 49.833 K at 75/65/20 °C.
    Logarithmic,
    /// The arithmetic mean, 50 K at 75/65/20 °C. It gives too much where the return comes near the room.
    Arithmetic,
}

/// How the common flow temperature is found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum FlowTemperature {
    /// Given outright.
    Fixed {
        /// Flow temperature at the outside design temperature (°C).
        #[schema(minimum = 20.0, maximum = 80.0)]
        flow_temperature_c: f64,
    },
    /// The lowest, to half a kelvin, at which every room is carried that sets it. Bathrooms do not, nor what no warmer water mends:
    /// a room without an emitter, a floor beyond the flow that takes it to its surface limit, what is too weak even at the hottest.
    Lowest {
        /// Lowest that is looked at (°C); `default:lowest_flow_from_c` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 20.0, maximum = 80.0)]
        least_c: Option<f64>,
        /// Highest that is looked at (°C), and taken where none carries every room that sets it; `default:lowest_flow_to_c` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 20.0, maximum = 80.0)]
        most_c: Option<f64>,
    },
}

/// What flows in the heating circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Fluid {
    /// Treated water.
    Water {},
    /// Water with glycol, which keeps it from freezing.
    Glycol {
        /// Which glycol.
        substance: Substance,
        /// Mass of glycol over the mass of the mixture (0–1).
        #[schema(minimum = 0.1, maximum = 0.6)]
        fraction: f64,
    },
}
