//! Figures of answers.

use serde_json::Value;

/// A figure that must be there.
pub fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}
