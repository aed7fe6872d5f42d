//! Amounts of money, said so that a general validator takes right ones.
//!
//! A validator divides doubles: to it 12.34 is no multiple of 0.01. That there are two decimals stands in the description,
//! and the gate, which reads the schema before this, refuses more by the text of the number.

use serde_json::{Map, Value};

use super::walk::mend_objects;

/// Leaves the step of an amount to its description.
pub fn in_words(document: &mut Value) {
    mend_objects(document, &mut |schema: &mut Map<String, Value>| {
        if schema.get("type").is_some_and(|kind| kind == "number") {
            schema.shift_remove("multipleOf");
        }
    });
}
