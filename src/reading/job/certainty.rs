//! How sure the job is of what it says.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::intake::ByPointer;

/// How parts of the job are known, by JSON Pointer to the part; the longest pointer that is a prefix wins.
pub type Basis = ByPointer<KnownBy, 500>;

/// How a part of the job is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KnownBy {
    /// How it is known.
    pub known: Known,
    /// Relative standard deviation (0–1); by how it is known when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 1.0)]
    pub spread: Option<f64>,
    /// What the areas that it speaks of were taken from, such as one drawing or a tape that was read by one person. Areas that name
    /// the same source are too large or too small together; each is drawn for itself when left out. It counts for areas alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(min_length = 1, max_length = 100)]
    pub source: Option<String>,
}

/// How something is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// Measured on the spot.
    Measured,
    /// From drawings, certificates or data sheets.
    Documented,
    /// Taken by judgement.
    Assumed,
}

/// That the answer shall tell how sure its figures are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Number of draws; `default:draws` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 100, maximum = 20_000)]
    pub draws: Option<u32>,
    /// Seed of the draws; `default:draws_seed` when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 4_294_967_295_u64)]
    pub seed: Option<u32>,
}
