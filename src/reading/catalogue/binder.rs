//! What binds a screed.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::terms;

/// What binds a screed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Binder {
    /// Cement.
    Cement,
    /// Calcium sulphate, mostly laid liquid.
    CalciumSulphate,
}

terms! {
    Binder {
        Cement: "cement", "cement";
        CalciumSulphate: "calcium_sulphate", "calcium sulphate";
    }
}
