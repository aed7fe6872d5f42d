//! A run of the two-pipe tree, and what a run can have about it.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError};

use super::emitters::Keep;
use super::rules::Broken;
use crate::intake::{ById, FaultCode, Id, by_kind};

/// Runs by id.
pub type Runs = ById<Run, 0, 400>;

/// A run of flow and return tube between two branchings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[validate(schema(function = "a_kept_tube_lies_there", skip_on_field_errors = false))]
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
    /// Other fittings and valves, flow and return together.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 50)]
    pub fittings: Vec<Fitting>,
    /// Where the run lies, which sets the velocity that it may have; occupied when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// Temperature of what surrounds it (°C), for its heat loss; by its place when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = -40.0, maximum = 60.0)]
    pub surrounding_c: Option<f64>,
    /// What it is insulated with; what the pipework has in common when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub insulation: Option<Insulation>,
    /// Joists that it runs across, through holes or notches.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crosses_joists: Option<CrossedJoists>,
    /// Code of the tube that lies there already.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing_tube: Option<Id>,
    /// When a tube that lies there stays; always when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keep: Option<Keep>,
    /// Readings of a tube that lies there and that nobody can see, in place of its code. They stand for flow and return
    /// together, with everything between the two gauges.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[validate(nested)]
    pub readings: Option<Readings>,
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
    /// Through bedrooms, where it is to be heard least.
    Bedroom,
    /// Through other rooms that people live in.
    Occupied,
    /// In a loft over rooms.
    Loft,
    /// In the plant room.
    PlantRoom,
    /// In a cellar or garage outside the heated rooms.
    Unheated,
    /// In the open.
    Outdoors,
}

/// A fitting or valve, by what it loses.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Fitting {
    /// By a loss coefficient at the velocity in the run's own tube.
    Zeta {
        /// Loss coefficient of one.
        #[schema(minimum = 0.0, maximum = 1000.0)]
        zeta: f64,
        /// How many there are, in flow and return together.
        #[schema(minimum = 1, maximum = 200)]
        count: u32,
    },
    /// By a flow coefficient, whatever the tube: a valve, a strainer, a flexible hose.
    Kv {
        /// Flow coefficient of one (m³/h at 1 bar).
        #[schema(minimum = 0.01, maximum = 1000.0)]
        kv_m3_h: f64,
        /// How many there are, in flow and return together.
        #[schema(minimum = 1, maximum = 200)]
        count: u32,
    },
    /// By its name, with the loss coefficient of a handbook for the bore of the run's own tube.
    Named {
        /// What it is.
        name: FittingName,
        /// How many there are, in flow and return together.
        #[schema(minimum = 1, maximum = 200)]
        count: u32,
    },
}

/// What a fitting is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FittingName {
    /// A sharp elbow of 90°.
    SharpElbow,
    /// A long bend of 90°.
    LongBend,
    /// A straight globe valve.
    GlobeValve,
    /// An angle valve.
    AngleValve,
    /// A gate valve.
    GateValve,
    /// A ball valve with the full bore.
    BallValve,
    /// Where a tube enters a vessel.
    VesselEntry,
    /// Where a tube leaves a vessel.
    VesselExit,
    /// A bend of 180°.
    ReturnBend,
    /// A bend of 45°.
    EighthBend,
    /// A tee, straight through.
    TeeThrough,
    /// A tee, into or out of its branch.
    TeeBranch,
    /// A panel radiator.
    PanelRadiator,
    /// A column radiator.
    ColumnRadiator,
    /// A welded joint of a plastic tube.
    PlasticWeld,
    /// A flanged joint.
    FlangedJoint,
}

/// What a run is insulated with.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Insulation {
    /// Nothing.
    Bare {},
    /// A thickness of a conductivity.
    Given {
        /// Thickness (mm).
        #[schema(minimum = 1.0, maximum = 200.0)]
        thickness_mm: f64,
        /// Thermal conductivity (W/(mK)).
        #[schema(minimum = 0.005, maximum = 1.0)]
        conductivity_w_mk: f64,
    },
    /// As thick as is usual for the place and the service, of the price book.
    ByPlace {},
}

/// Joists that a run crosses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CrossedJoists {
    /// Depth of a joist (mm).
    #[schema(minimum = 50.0, maximum = 400.0)]
    pub depth_mm: f64,
    /// Clear span of a joist (m).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.5, maximum = 10.0)]
    pub span_m: Option<f64>,
}

/// Readings of flow and pressure difference between the two ends of a tube.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
pub struct Readings {
    /// The readings; two flows or more tell bores apart that one does not.
    #[schema(min_items = 1, max_items = 50)]
    pub points: Vec<Reading>,
    /// Relative standard deviation of a flow reading; `default:reading_spread` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.001, maximum = 0.5)]
    pub flow_spread: Option<f64>,
    /// Relative standard deviation of a reading of pressure difference; `default:reading_spread` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.001, maximum = 0.5)]
    pub pressure_spread: Option<f64>,
}

/// A reading of flow and pressure difference.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Flow (l/h).
    #[schema(exclusive_minimum = 0.0, maximum = 20000.0)]
    pub flow_l_h: f64,
    /// Pressure difference between the two gauges (kPa).
    #[schema(exclusive_minimum = 0.0, maximum = 500.0)]
    pub pressure_difference_kpa: f64,
    /// Temperature of the water that flowed (°C); `default:reading_water_c` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1.0, maximum = 95.0)]
    pub temperature_c: Option<f64>,
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
        _ => Err(Broken::new(FaultCode::ServesUnclear)
            .says("name either a manifold, or a room together with its emitter")
            .into()),
    }
}

/// What is kept lies there already, known by its code or by readings and not by both.
fn a_kept_tube_lies_there(run: &Run) -> Result<(), ValidationError> {
    match (&run.existing_tube, &run.readings, run.keep) {
        (Some(_), Some(_), _) => Err(Broken::new(FaultCode::TubeKnownTwice)
            .says("a tube that can be seen is known by its code, one that cannot by readings: give one of the two")
            .into()),
        (None, None, Some(_)) => Err(Broken::new(FaultCode::NothingToKeep)
            .says("keep is about a tube that lies there: give its code or readings")
            .into()),
        (Some(_), None, _) | (None, Some(_), _) | (None, None, None) => Ok(()),
    }
}
