//! What binds a screed.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::notes::Term;

/// What binds a screed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Binder {
    /// Cement.
    Cement,
    /// Calcium sulphate, mostly laid liquid.
    CalciumSulphate,
}

impl Term for Binder {
    fn code(&self) -> &'static str {
        match self {
            Self::Cement => "cement",
            Self::CalciumSulphate => "calcium_sulphate",
        }
    }

    fn words(&self) -> &'static str {
        match self {
            Self::Cement => "cement",
            Self::CalciumSulphate => "calcium sulphate",
        }
    }
}
