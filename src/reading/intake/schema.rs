//! The schema of a request, as it is published and as the gate takes it.
//!
//! utoipa takes it from the types; what the types cannot say is mended here, for both readers alike: objects
//! are closed, null means absent wherever a member may be left out, and free text has no control characters.

use serde_json::{Map, Value, json};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

use super::form::TEXT_PATTERN;

/// Where named schemas stand in the published document.
pub const PREFIX: &str = "#/components/schemas/";

/// A request schema with everything it refers to.
#[derive(Debug, Clone)]
pub struct RequestSchema {
    /// Name of the document itself.
    pub name: String,
    /// Every schema by name, mended, the document's own among them.
    pub named: Map<String, Value>,
}

/// The schema of a type that is read from requests.
#[must_use]
pub fn of_type<T: ToSchema>() -> RequestSchema {
    let mut all: Vec<(String, RefOr<Schema>)> = vec![(T::name().into_owned(), T::schema())];
    T::schemas(&mut all);
    let mut named = Map::new();
    for (name, schema) in all {
        // a schema is made of strings, numbers and maps: it always has a JSON form
        let mut value = serde_json::to_value(&schema).unwrap_or(Value::Null);
        mend(&mut value);
        named.insert(name, value);
    }
    RequestSchema { name: T::name().into_owned(), named }
}

/// Closes objects, lets null stand for absent and keeps free text free of control characters, throughout a request schema.
pub fn mend(schema: &mut Value) {
    match schema {
        Value::Array(items) => items.iter_mut().for_each(mend),
        Value::Object(members) => {
            members.values_mut().for_each(mend);
            if members.get("properties").is_some_and(Value::is_object) {
                close(members);
            }
            if is_free_text(members) {
                members.insert("pattern".to_owned(), json!(TEXT_PATTERN));
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// Whether a schema is that of text of no particular form.
fn is_free_text(members: &Map<String, Value>) -> bool {
    let is_text = match members.get("type") {
        Some(Value::String(kind)) => kind == "string",
        Some(Value::Array(kinds)) => kinds.contains(&json!("string")),
        _ => false,
    };
    is_text && !["enum", "pattern", "format"].iter().any(|word| members.contains_key(*word))
}

fn close(object: &mut Map<String, Value>) {
    object.insert("additionalProperties".to_owned(), Value::Bool(false));
    let required: Vec<String> = object
        .get("required")
        .and_then(Value::as_array)
        .map(|names| names.iter().filter_map(|name| name.as_str().map(str::to_owned)).collect())
        .unwrap_or_default();
    let Some(Value::Object(properties)) = object.get_mut("properties") else { return };
    properties.iter_mut().filter(|(name, _)| !required.contains(name)).for_each(|(_, property)| or_null(property));
}

fn or_null(property: &mut Value) {
    let Value::Object(members) = property else { return };
    if let Some(kind) = members.get_mut("type") {
        match kind {
            Value::String(one) => *kind = json!([one.clone(), "null"]),
            Value::Array(kinds) if !kinds.contains(&json!("null")) => kinds.push(json!("null")),
            Value::Array(_) | Value::Null | Value::Bool(_) | Value::Number(_) | Value::Object(_) => {}
        }
        if let Some(Value::Array(values)) = members.get_mut("enum")
            && !values.contains(&Value::Null)
        {
            values.push(Value::Null);
        }
    } else if members.contains_key("$ref") {
        let mut inner = Map::new();
        if let Some(reference) = members.shift_remove("$ref") {
            inner.insert("$ref".to_owned(), reference);
        }
        members.insert("oneOf".to_owned(), json!([{"type": "null"}, inner]));
    }
}
