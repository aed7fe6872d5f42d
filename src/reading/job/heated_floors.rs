//! What a heated floor is made of, and how it is designed.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::catalogue::binder::Binder;
use crate::intake::{ById, Id, by_kind};

/// Rooms that tails pass through, by their ids.
pub type Passes = ById<Pass, 0, 16>;

/// Where the pipes of a heated floor lie.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FloorSystem {
    /// Pipes in the screed: type A.
    InScreed {},
    /// Pipes in the insulation under plates that conduct their heat, and a screed on these: type B.
    UnderPlates {
        /// Code of the plate in the catalogue or price book.
        plate: Id,
    },
    /// Water over the whole area under a screed: type D, a plane section. Its output does not depend on tube and spacing,
    /// which tell its loops alone.
    PlaneSection {},
    /// Boards with outputs of their own, as tested.
    TestedBoards {
        /// Code of the board in the catalogue or price book.
        board: Id,
    },
}

/// A pipe spacing (mm).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(minimum = 50.0, maximum = 600.0)]
pub struct Spacing(pub f64);

/// Screed above the pipes of a heated floor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Screed {
    /// Thermal conductivity (W/(mK)); by its binder when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 5.0)]
    pub conductivity_w_mk: Option<f64>,
    /// Thickness above the pipe (mm); by its binder when left out, as the whole thickness is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 10.0, maximum = 300.0)]
    pub cover_mm: Option<f64>,
    /// Whole thickness, from the insulation to the covering (mm), in place of the cover.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 10.0, maximum = 500.0)]
    pub thickness_mm: Option<f64>,
    /// What binds it; `default:screed_binder` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub binder: Option<Binder>,
}

/// Floor covering.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Covering {
    /// Thickness (mm).
    #[schema(minimum = 0.0, maximum = 100.0)]
    pub thickness_mm: f64,
    /// Thermal conductivity (W/(mK)).
    #[schema(minimum = 0.01, maximum = 10.0)]
    pub conductivity_w_mk: f64,
    /// What it is of. Timber and laminate hold the surface to `default:timber_surface_max_c` °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<CoveringMaterial>,
}

/// What a floor covering is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CoveringMaterial {
    /// Ceramic tile.
    Tile,
    /// Natural stone.
    Stone,
    /// Timber, solid or in layers.
    Timber,
    /// Laminate on a board of wood fibre.
    Laminate,
    /// Vinyl.
    Vinyl,
    /// Linoleum.
    Linoleum,
    /// Carpet.
    Carpet,
}

/// A room that tails pass through.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Pass {
    /// Length of the way in that room (m); each loop has one pipe there and one back.
    #[schema(exclusive_minimum = 0.0, maximum = 100.0)]
    pub length_m: f64,
}

/// How a circuit's own drop follows from the common flow temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DropRule {
    /// From the logarithmic mean excess itself.
    Logarithm,
    /// By the approximation of EN 1264-3.
    Approximation,
}

/// What a heated floor's output is designed on. Conduction is solved for pipes in the screed alone; other systems are
/// designed on their standard or their test.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DesignOn {
    /// The standard of its kind: EN 1264-2, ISO 11855-2, or its test.
    Standard {},
    /// Conduction through its section, in two dimensions, with the film of water in its tube.
    Conduction {},
    /// Whichever of both gives less.
    Lower {},
}
