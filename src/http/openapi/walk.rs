//! Every place of a document, to be mended or looked at.

use std::collections::BTreeSet;

use serde_json::{Map, Value};

use crate::intake::schema::PREFIX;

/// Mends every object of a value, those within first.
pub fn mend_objects(value: &mut Value, mend: &mut impl FnMut(&mut Map<String, Value>)) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| mend_objects(item, mend)),
        Value::Object(members) => {
            members.values_mut().for_each(|member| mend_objects(member, mend));
            mend(members);
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// Adds the names of the schemas that a place refers to, and of those that these refer to.
pub fn reach(place: &Value, schemas: &Map<String, Value>, reached: &mut BTreeSet<String>) {
    match place {
        Value::Array(items) => items.iter().for_each(|item| reach(item, schemas, reached)),
        Value::Object(members) => {
            if let Some(name) = members.get("$ref").and_then(Value::as_str).and_then(|path| path.strip_prefix(PREFIX))
                && reached.insert(name.to_owned())
                && let Some(schema) = schemas.get(name)
            {
                reach(schema, schemas, reached);
            }
            members.values().for_each(|member| reach(member, schemas, reached));
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// Whether a schema says that something is null.
pub fn is_null(schema: &Value) -> bool {
    schema.get("type").is_some_and(|kind| kind == "null")
}
