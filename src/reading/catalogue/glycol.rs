//! What keeps heating water from freezing.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::methods::glycol;

/// Which glycol.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Substance {
    /// Propylene glycol, the usual one in houses: hardly poisonous.
    Propylene,
    /// Ethylene glycol: poisonous.
    Ethylene,
}

impl Substance {
    /// Density of the undiluted glycol at 20 °C (kg/m³); handbook figures, from memory, confirm.
    #[must_use]
    pub fn density_kg_m3(self) -> f64 {
        match self {
            Self::Propylene => 1036.0,
            Self::Ethylene => 1113.0,
        }
    }

    /// What it is called.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Propylene => "propylene glycol",
            Self::Ethylene => "ethylene glycol",
        }
    }
}

impl From<Substance> for glycol::Substance {
    fn from(substance: Substance) -> Self {
        match substance {
            Substance::Propylene => Self::Propylene,
            Substance::Ethylene => Self::Ethylene,
        }
    }
}
