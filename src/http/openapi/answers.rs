//! Answers are never null: what is not there is left out. Requests may say null for what they leave out.

use std::collections::BTreeSet;

use serde_json::{Map, Value};

use super::walk::{is_null, mend_objects, reach};

/// Takes null from every schema that no request brings.
pub fn never_null(document: &mut Value) {
    let Some(schemas) = document.pointer("/components/schemas").and_then(Value::as_object) else { return };
    let mut brought = BTreeSet::new();
    let operations = document["paths"].as_object().into_iter().flat_map(|paths| paths.values());
    for operation in operations.filter_map(Value::as_object).flat_map(|path| path.values()) {
        reach(&operation["requestBody"], schemas, &mut brought);
    }
    let Some(schemas) = document.pointer_mut("/components/schemas").and_then(Value::as_object_mut) else { return };
    for (_, schema) in schemas.iter_mut().filter(|(name, _)| !brought.contains(*name)) {
        mend_objects(schema, &mut without_null);
    }
}

fn without_null(schema: &mut Map<String, Value>) {
    if let Some(Value::Array(kinds)) = schema.get_mut("type") {
        kinds.retain(|kind| kind != "null");
        if let [only] = kinds.as_slice() {
            let only = only.clone();
            schema.insert("type".to_owned(), only);
        }
    }
    if let Some(Value::Array(values)) = schema.get_mut("enum") {
        values.retain(|value| !value.is_null());
    }
    let Some(Value::Array(choices)) = schema.get_mut("oneOf") else { return };
    choices.retain(|choice| !is_null(choice));
    if let [only] = choices.as_mut_slice() {
        let only = std::mem::take(only);
        schema.shift_remove("oneOf");
        let Value::Object(only) = only else { return };
        let said = std::mem::replace(schema, only);
        schema.extend(said);
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn answers_lose_null_and_requests_keep_it() {
        let row = json!({"type": "object", "properties": {
            "a_w": {"type": ["number", "null"], "description": "a"},
            "b": {"oneOf": [{"type": "null"}, {"$ref": "#/components/schemas/B"}], "description": "b"},
            "c": {"type": ["string", "null"], "enum": ["x", null]}}});
        let mut document = json!({
            "paths": {"/": {"post": {
                "requestBody": {"schema": {"$ref": "#/components/schemas/Asked"}},
                "responses": {"200": {"schema": {"$ref": "#/components/schemas/Told"}}}}}},
            "components": {"schemas": {"Asked": row, "Told": row, "B": {"type": "string"}}}});
        never_null(&mut document);
        assert_eq!(document.pointer("/components/schemas/Asked"), Some(&row));
        let told = json!({"type": "object", "properties": {
            "a_w": {"type": "number", "description": "a"},
            "b": {"$ref": "#/components/schemas/B", "description": "b"},
            "c": {"type": "string", "enum": ["x"]}}});
        assert_eq!(document.pointer("/components/schemas/Told"), Some(&told));
    }
}
