//! Flow temperature, drop and fluid of the heating circuit.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::catalogue::glycol::Substance;
use crate::intake::by_kind;

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
    /// What flow each emitter is set to; `by_drop` when left out. Flow temperature, emitters and heat source hang on neither.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_rule: Option<FlowRule>,
    /// The least that an emitter is set to, under `by_drop`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_flow: Option<LeastFlow>,
}

/// What flow each emitter is set to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FlowRule {
    /// A radiator to the flow that carries its load at the nominal drop, or what its load takes if that is more; a fan convector to
    /// what its speed gives at the nominal drop; a heated floor to what its load takes, and where a room thermostat of its own
    /// shuts its loops to the nominal drop as far as its surface bears that. None to less than the least.
    ByDrop,
    /// Each to exactly what its load takes.
    ByLoad,
}

/// The least flow that an emitter is set to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LeastFlow {
    /// Of a radiator (l/h); `default:least_radiator_flow_l_h` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 500.0)]
    pub radiator_l_h: Option<f64>,
    /// Of a loop of a heated floor (l/h); `default:least_loop_flow_l_h` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 500.0)]
    pub loop_l_h: Option<f64>,
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
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
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
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
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
