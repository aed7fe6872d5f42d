//! Floor coverings and their conductivity.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::CatalogueError;
use super::provenance::Confidence;
use super::rows::{self, data_file};

/// A floor covering.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Covering {
    /// Id.
    #[schema(pattern = "^[a-z0-9][a-z0-9_-]{0,63}$")]
    pub code: String,
    /// What it is, in plain words.
    #[schema(min_length = 1, max_length = 200)]
    pub description: String,
    /// Thermal conductivity, W/(m K).
    #[schema(exclusive_minimum = 0, maximum = 10)]
    pub conductivity_w_mk: f64,
    /// Document or practice that the row comes from.
    #[schema(min_length = 1, max_length = 200)]
    pub source: String,
    /// How far it is to be trusted.
    pub confidence: Confidence,
}

/// The shipped coverings.
pub(super) fn read() -> Result<Vec<Covering>, CatalogueError> {
    rows::typed(data_file!("coverings.csv"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hard_coverings_conduct_better_than_soft_ones() {
        let coverings = read().unwrap();
        let conductivity = |code: &str| coverings.iter().find(|row| row.code == code).unwrap().conductivity_w_mk;
        let order = ["stone", "tile", "timber", "carpet"].map(conductivity);
        assert!(order.is_sorted_by(|a, b| a > b));
        assert!(conductivity("vinyl") < conductivity("tile") && conductivity("laminate") < conductivity("tile"));
    }
}
