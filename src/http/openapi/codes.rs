//! The register of codes in the document: a tag without operations, whose description is its table.

use serde_json::{Value, json};

use crate::register;

/// Adds the table.
pub(super) fn add(document: &mut Value) {
    let description = format!(
        "What answers and problems are told by: stable names, what each means, and the values that stand beside its \
         sentence. A client goes by code and values; sentences are for people. New codes may come; a client passes over \
         one that it does not know.\n\n{}",
        register::table()
    );
    if let Some(tags) = document["tags"].as_array_mut() {
        tags.push(json!({"name": "codes", "description": description}));
    }
}
