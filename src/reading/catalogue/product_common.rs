//! What every product has in common, whatever its kind.

use super::products::Product;
use crate::money::Money;

/// Declares what every variant has in common from one list of them: a new variant that is not on it does not
/// compile.
macro_rules! common {
    ($($variant:ident = $kind:literal),+ $(,)?) => {
        impl Product {
            /// Every kind, as it is written in a document.
            pub const KINDS: &[&str] = &[$($kind),+];

            /// Its kind, as it is written in a document.
            #[must_use]
            pub fn kind(&self) -> &'static str {
                match self {
                    $(Self::$variant { .. } => $kind),+
                }
            }

            /// What it is, in plain words.
            #[must_use]
            pub fn description(&self) -> &str {
                match self {
                    $(Self::$variant { description, .. })|+ => description,
                }
            }

            /// What one is sold as.
            #[must_use]
            pub fn unit(&self) -> &str {
                match self {
                    $(Self::$variant { unit, .. })|+ => unit,
                }
            }

            /// What one unit costs the firm, before tax.
            #[must_use]
            pub fn unit_cost(&self) -> Money {
                match self {
                    $(Self::$variant { unit_cost, .. })|+ => *unit_cost,
                }
            }
        }
    };
}

common! {
    Radiator = "radiator",
    FanConvector = "fan_convector",
    RadiatorValves = "radiator_valves",
    FusedSpur = "fused_spur",
    Manifold = "manifold",
    FlowLimiter = "flow_limiter",
    FloorTube = "floor_tube",
    FloorBoard = "floor_board",
    ConductingPlate = "conducting_plate",
    InsulationBoard = "insulation_board",
    SeparatingLayer = "separating_layer",
    EdgeStrip = "edge_strip",
    Screed = "screed",
    Tube = "tube",
    HeatSource = "heat_source",
    Cylinder = "cylinder",
    ExpansionVessel = "expansion_vessel",
    PlantKit = "plant_kit",
    Inhibitor = "inhibitor",
    PipeInsulation = "pipe_insulation",
    Circulator = "circulator",
    BufferVessel = "buffer_vessel",
    BypassValve = "bypass_valve",
    LoopActuator = "loop_actuator",
    RoomThermostat = "room_thermostat",
    FreezeValve = "freeze_valve",
    FlexibleHose = "flexible_hose",
    Antifreeze = "antifreeze",
}
