//! Pipe runs from the plant to emitters and manifolds.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError};

use super::rooms::Position;
use super::rules::Broken;
use crate::intake::{ById, Id};

/// Manifolds by id.
pub type Manifolds = ById<Manifold, 0, 50>;

/// Runs by id.
pub type Runs = ById<Run, 0, 400>;

/// Pipe runs, how they are sized and what hangs at their ends.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
pub struct Pipework {
    /// How tube sizes are chosen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sizing: Option<Sizing>,
    /// How bends and tees are counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fittings: Option<Fittings>,
    /// Codes of the tubes that may be used; every tube of the price book when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 50)]
    pub tubes: Vec<Id>,
    /// Flow coefficient of a radiator with its valves (m³/h at 1 bar).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.01, maximum = 100.0)]
    pub radiator_kv_m3_h: Option<f64>,
    /// Flow coefficient of the plant room at the whole flow (m³/h at 1 bar).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.01, maximum = 1000.0)]
    pub plant_kv_m3_h: Option<f64>,
    /// Manifolds of heated floors.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    pub manifolds: Manifolds,
    /// Runs of the two-pipe tree; each stands for a flow and a return tube.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    #[validate(nested)]
    pub runs: Runs,
}

/// How tube sizes are chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Sizing {
    /// The smallest bore within a pressure gradient and a velocity.
    Gradient {
        /// Greatest pressure gradient (Pa/m).
        #[schema(minimum = 10.0, maximum = 2000.0)]
        gradient_max_pa_m: f64,
        /// Greatest velocity in occupied places (m/s); plant rooms may have half as much again.
        #[schema(minimum = 0.1, maximum = 3.0)]
        velocity_max_m_s: f64,
    },
}

/// How the pressure loss of bends and tees is counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Fittings {
    /// By loss coefficients at the run's own velocity.
    Zeta {
        /// Loss coefficient of a bend.
        #[schema(minimum = 0.0, maximum = 20.0)]
        bend_zeta: f64,
        /// Loss coefficient of the tee that a run leaves by.
        #[schema(minimum = 0.0, maximum = 20.0)]
        tee_zeta: f64,
    },
}

/// A manifold of heated floors.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Manifold {
    /// Flow coefficient of one loop's two valves (m³/h at 1 bar).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.01, maximum = 100.0)]
    pub loop_kv_m3_h: Option<f64>,
    /// Id of the room that it hangs in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<Id>,
    /// Where it hangs on the plan; the middle of its room when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position: Option<Position>,
}

/// A run of flow and return tube between two branchings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// Id of the run that this one leaves from, or `plant`.
    pub from: Id,
    /// Length of the route, one way (m); flow and return double it.
    #[schema(exclusive_minimum = 0.0, maximum = 500.0)]
    pub length_m: f64,
    /// Bends, one way.
    #[serde(default)]
    #[schema(minimum = 0, maximum = 200)]
    pub bends: u32,
    /// Where the run lies, which sets the velocity that it may have; occupied when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// Code of the tube that lies there already and stays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing_tube: Option<Id>,
    /// What the run's end serves.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 50)]
    #[validate(nested)]
    pub serves: Vec<Served>,
}

/// Where a run lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Through rooms that people live in.
    Occupied,
    /// In the plant room.
    PlantRoom,
    /// In a loft, cellar or garage outside the heated rooms.
    Unheated,
}

/// What a run serves: one emitter of a room, or one manifold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[validate(schema(function = "one_thing_is_served", skip_on_field_errors = false))]
pub struct Served {
    /// Id of the room whose emitter is served.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<Id>,
    /// Id of the emitter within that room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub emitter: Option<Id>,
    /// Id of the manifold that is served.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub manifold: Option<Id>,
}

/// A run serves a manifold, or an emitter named with its room, and not both.
fn one_thing_is_served(served: &Served) -> Result<(), ValidationError> {
    match (&served.room, &served.emitter, &served.manifold) {
        (Some(_), Some(_), None) | (None, None, Some(_)) => Ok(()),
        _ => Err(Broken::new("serves_unclear")
            .says("name either a manifold, or a room together with its emitter")
            .into()),
    }
}
