//! Pipe runs from the plant to emitters and manifolds.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::Validate;

use super::circuits::{FreezeProtection, HotWaterCircuit, Primary};
use super::rooms::Position;
pub use super::runs::{Insulation, Place, Run, Runs, Served};
use crate::catalogue::products::TubeMaterial;
use crate::intake::{ById, Id, by_kind};

/// Manifolds by id.
pub type Manifolds = ById<Manifold, 0, 50>;

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
    /// Codes of the tubes that may be used; when left out those of the material that the price book begins with.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 50)]
    pub tubes: Vec<Id>,
    /// Flow coefficient of a radiator with its valves (m³/h at 1 bar).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.01, maximum = 100.0)]
    pub radiator_kv_m3_h: Option<f64>,
    /// Flow coefficient of the plant room at the whole flow (m³/h at 1 bar); when left out `default:plant_kv_m3_h`, and no less than
    /// `default:plant_kv_times_flow` times the flow in m³/h.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.01, maximum = 1000.0)]
    pub plant_kv_m3_h: Option<f64>,
    /// Manifolds of heated floors.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    pub manifolds: Manifolds,
    /// Where the plant stands, from which runs that the job does not draw are estimated: the utility room when left out, and without
    /// one the middle of what they are to reach.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub riser: Option<Riser>,
    /// Tubes of the system before, where they stay and are not drawn run by run.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing: Option<ExistingTubes>,
    /// The circuit between the outdoor unit and the plant room. Where it is left out, the flow coefficient of the plant room
    /// stands for it as well.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub primary: Option<Primary>,
    /// The circuit from the diverting valve to the cylinder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hot_water_circuit: Option<HotWaterCircuit>,
    /// What keeps plain water from freezing outdoors.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub freeze_protection: Option<FreezeProtection>,
    /// Emitters, heated floors among them, and manifolds with all their loops that stay open whatever thermostats shut; none where
    /// the list is empty. Left out it is chosen, as far as the heat source needs it: what nothing shuts, then bathrooms and halls,
    /// then living rooms and kitchens.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_items = 100)]
    #[validate(nested)]
    pub stays_open: Option<Vec<Served>>,
    /// What runs are insulated with that do not say so themselves; nothing when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub insulation: Option<Insulation>,
    /// Runs of the two-pipe tree; each stands for a flow and a return tube. What none of them serves hangs on a tree that is
    /// estimated storey by storey.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    #[validate(nested)]
    pub runs: Runs,
}

/// How tube sizes are chosen. Either way the answer compares the two.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Sizing {
    /// The tubes that cost least over a life, tube and pump electricity together, within velocities and the pump's head.
    LeastCost {
        /// Greatest velocity in occupied places (m/s); bedrooms may have three quarters of it, plant rooms, unheated places
        /// and the open half as much again, none more than its tube bears. `default:velocity_max_m_s` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.1, maximum = 3.0)]
        velocity_max_m_s: Option<f64>,
        /// Least velocity that carries air along (m/s); a run too small for it gets the narrowest tube. Not asked for when
        /// left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 1.0)]
        velocity_min_m_s: Option<f64>,
        /// Years that tube and electricity are added up over; `default:life_years` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 1, maximum = 100)]
        life_years: Option<u32>,
        /// What a kilowatt-hour of electricity costs, in the currency of the price book; `default:electricity_per_kwh` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 100.0)]
        electricity_per_kwh: Option<f64>,
        /// Hours that the pump runs in a year (h); `default:pump_running_h` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 8784.0)]
        pump_running_h: Option<f64>,
        /// Power that the water takes over the electricity of the pump (0–1); `default:pump_efficiency` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.01, maximum = 1.0)]
        pump_efficiency: Option<f64>,
    },
    /// The smallest bore within a pressure gradient and a velocity.
    Gradient {
        /// Greatest pressure gradient (Pa/m).
        #[schema(minimum = 10.0, maximum = 2000.0)]
        gradient_max_pa_m: f64,
        /// Greatest velocity in occupied places (m/s), and by it in the other places as under `least_cost`.
        #[schema(minimum = 0.1, maximum = 3.0)]
        velocity_max_m_s: f64,
    },
}

/// Where the plant stands and its riser begins.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Riser {
    /// Id of the room that it stands in, or that it stands beside on the same storey. What lies on storeys below it stands under
    /// more pressure than the safety valve.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<Id>,
    /// Where it stands on the plan; in the middle of its room when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position: Option<Position>,
}

/// Tubes of the system before.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum ExistingTubes {
    /// They stay: what led to emitters that are `existing` lies there already, is judged by what it is to carry now, and costs nothing;
    /// new tube is laid only to what is new, a manifold or an emitter where none hung.
    Kept {
        /// Outside diameters that were seen (mm), each of a tube of the price book.
        #[schema(min_items = 1, max_items = 10)]
        outside_diameters_mm: Vec<OutsideDiameter>,
        /// What they are made of; the material of new runs when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        material: Option<TubeMaterial>,
    },
}

/// An outside diameter of a tube (mm).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(minimum = 4.0, maximum = 200.0)]
pub struct OutsideDiameter(pub f64);

/// How the pressure loss of bends and tees is counted.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Fittings {
    /// By loss coefficients at the run's own velocity: the tee is charged to the run that leaves by it.
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
    /// Where it hangs on the plan, for tails and for runs that the job does not draw; the middle of its room when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position: Option<Position>,
}
