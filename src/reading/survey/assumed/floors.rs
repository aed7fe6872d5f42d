//! What is filled in about heated floors.

use crate::catalogue::provenance::Provenance;
use crate::findings;
use crate::notes::{At, Filled, Fills};

findings! {
    /// What is filled in about heated floors.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Floors: Assumption of nothing: () {
        /// How a heated floor is built, laid and limited.
        "heated_floor" HeatedFloor { at: At, filled: Filled<FilledFloor> }
        at "{at}"
        says { filled.join("; ") };

        /// The part of a kitchen's floor under its furniture.
        "unheated_floor" UnheatedFloor { at: At, unheated_m2: f64, origin: Provenance }
        at "{at}"
        says "{unheated_m2:.2} m² of the floor lie under furniture and are not heated ({origin})";
    }
}

/// What is filled in about a heated floor.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledFloor;

impl Fills for FilledFloor {
    const NAMES: &'static [&'static str] = &[
        "binder",
        "conductivity_w_mk",
        "cover_mm",
        "spacing_least_mm",
        "spacing_most_mm",
        "spacing_step_mm",
        "manifold",
        "tail_m",
        "lines_apart_mm",
        "loop_max_m",
        "loop_pressure_drop_max_kpa",
        "surface_limit_c",
        "edge_surface_limit_c",
    ];
}
