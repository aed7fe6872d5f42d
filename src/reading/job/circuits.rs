//! Circuits of the plant: between the outdoor unit and the plant room, and to the cylinder; and what keeps them from
//! freezing.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::emitters::Keep;
use super::runs::{Fitting, Insulation, Place};
use crate::intake::Id;

/// The circuit between the outdoor unit and the plant room, through which the whole flow goes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Primary {
    /// Length of the route, one way (m); flow and return double it.
    #[schema(exclusive_minimum = 0.0, maximum = 200.0)]
    pub length_m: f64,
    /// How much of that lies in the open (m), which is insulated for the open and loses to the outside air; none when left out,
    /// and all of it where its place is the open.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 200.0)]
    pub outdoor_m: Option<f64>,
    /// Bends, one way.
    #[serde(default)]
    #[schema(minimum = 0, maximum = 200)]
    pub bends: u32,
    /// Other fittings and valves, flow and return together: strainer, isolating valves. Freeze-protection valves and hoses are
    /// counted by themselves.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 50)]
    pub fittings: Vec<Fitting>,
    /// Flexible hoses at the unit, one on each leg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hoses: Option<Hoses>,
    /// The place that sets its velocity, the quietest that it runs through; occupied when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// Greatest velocity (m/s), in place of the one of its place.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 3.0)]
    pub velocity_max_m_s: Option<f64>,
    /// Temperature of what surrounds what of it does not lie in the open (°C); by its place when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = -40.0, maximum = 60.0)]
    pub surrounding_c: Option<f64>,
    /// What it is insulated with; what the pipework has in common when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub insulation: Option<Insulation>,
    /// Code of the tube that lies there already.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing_tube: Option<Id>,
    /// When a tube that lies there stays; always when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keep: Option<Keep>,
}

/// Flexible hoses, one on each leg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Hoses {
    /// Flow coefficient of one (m³/h at 1 bar).
    #[schema(minimum = 0.1, maximum = 1000.0)]
    pub kv_m3_h: f64,
    /// Length of one (m).
    #[schema(exclusive_minimum = 0.0, maximum = 10.0)]
    pub length_m: f64,
}

/// The circuit from the diverting valve to the coil of the cylinder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HotWaterCircuit {
    /// Length of the route, one way (m); flow and return double it.
    #[schema(exclusive_minimum = 0.0, maximum = 200.0)]
    pub length_m: f64,
    /// Bends, one way.
    #[serde(default)]
    #[schema(minimum = 0, maximum = 200)]
    pub bends: u32,
    /// Other fittings and valves, flow and return together.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 50)]
    pub fittings: Vec<Fitting>,
    /// Flow coefficient of the cylinder's coil (m³/h at 1 bar); `default:coil_kv_m3_h` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 1000.0)]
    pub coil_kv_m3_h: Option<f64>,
    /// Difference between flow and return while hot water is made (K); that of the heating when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1.0, maximum = 30.0)]
    pub drop_k: Option<f64>,
    /// Where it lies; in the plant room when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// What it is insulated with; what the pipework has in common when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub insulation: Option<Insulation>,
    /// Code of the tube that lies there already.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing_tube: Option<Id>,
    /// When a tube that lies there stays; always when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keep: Option<Keep>,
}

/// What keeps plain water from freezing outdoors. Antifreeze is a fluid, and stands in `heating.fluid`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FreezeProtection {
    /// Whether freeze-protection valves are fitted, one on each leg, which let the water out before it freezes. Never
    /// together with antifreeze.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub valves: Option<bool>,
    /// Coldest air that is to be reckoned with (°C); `default:coldest_air_below_design_k` K below the outside design temperature when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = -60.0, maximum = 20.0)]
    pub coldest_c: Option<f64>,
}
