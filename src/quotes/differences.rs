//! What is another in one document than in another, place by place.

use serde::Serialize;
use serde_json::Value;
use utoipa::openapi::{ObjectBuilder, OneOfBuilder, RefOr, Schema, Type};
use utoipa::{PartialSchema, ToSchema};

use crate::patch::{escaped, is_same};

/// Differences that are told at most.
const MOST: usize = 1_000;

/// Something that is another, or is there in one of two documents only.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Difference {
    /// JSON Pointer to its place.
    pub pointer: String,
    /// What it is now.
    pub is: Is,
    /// What stood there, where that is plain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<Plain>,
    /// What stands there, where that is plain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<Plain>,
}

/// What became of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Is {
    /// It is new.
    Added,
    /// It is gone.
    Removed,
    /// Something else stands there.
    Changed,
}

/// A plain value: text, a number, or yes or no.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Plain {
    /// Text.
    Text(String),
    /// A number.
    Number(f64),
    /// Yes or no.
    Truth(bool),
}

impl PartialSchema for Plain {
    fn schema() -> RefOr<Schema> {
        let one = [Type::String, Type::Number, Type::Boolean];
        let one =
            one.into_iter().fold(OneOfBuilder::new(), |one, kind| one.item(ObjectBuilder::new().schema_type(kind)));
        one.description(Some("A plain value: text, a number, or yes or no.")).into()
    }
}

impl ToSchema for Plain {}

impl Plain {
    fn of(value: &Value) -> Option<Self> {
        match value {
            Value::String(text) => Some(Self::Text(text.clone())),
            Value::Number(number) => number.as_f64().map(Self::Number),
            Value::Bool(truth) => Some(Self::Truth(*truth)),
            Value::Null | Value::Array(_) | Value::Object(_) => None,
        }
    }
}

/// Every place where two documents are not the same, the first thousand. Null stands for what is not there.
pub(super) fn differences(from: &Value, to: &Value) -> Vec<Difference> {
    let mut found = Vec::new();
    look(Some(from), Some(to), String::new(), &mut found);
    found
}

fn look(from: Option<&Value>, to: Option<&Value>, pointer: String, found: &mut Vec<Difference>) {
    if found.len() >= MOST {
        return;
    }
    let (from, to) = (from.filter(|value| !value.is_null()), to.filter(|value| !value.is_null()));
    match (from, to) {
        (None, None) => {}
        (Some(Value::Object(one)), Some(Value::Object(other))) => {
            let new = other.keys().filter(|name| !one.contains_key(*name));
            for name in one.keys().chain(new) {
                look(one.get(name), other.get(name), format!("{pointer}/{}", escaped(name)), found);
            }
        }
        (Some(Value::Array(one)), Some(Value::Array(other))) => {
            for place in 0..one.len().max(other.len()) {
                look(one.get(place), other.get(place), format!("{pointer}/{place}"), found);
            }
        }
        (Some(one), Some(other)) if is_same(one, other) => {}
        (one, other) => {
            let is = match (one, other) {
                (None, _) => Is::Added,
                (_, None) => Is::Removed,
                (Some(_), Some(_)) => Is::Changed,
            };
            found.push(Difference { pointer, is, from: one.and_then(Plain::of), to: other.and_then(Plain::of) });
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn every_place_is_told_once_and_what_is_the_same_is_not() {
        let from =
            json!({"a": 1, "b": {"c/d": "x", "e": null}, "list": [1, 2, 3], "gone": {"deep": true}, "same": 2.0});
        let to = json!({"same": 2, "a": 1.5, "b": {"c/d": "y", "f": false}, "list": [1, 4], "new": [1]});
        let text = serde_json::to_string(&differences(&from, &to)).unwrap();
        let expected = json!([
            {"pointer": "/a", "is": "changed", "from": 1.0, "to": 1.5},
            {"pointer": "/b/c~1d", "is": "changed", "from": "x", "to": "y"},
            {"pointer": "/b/f", "is": "added", "to": false},
            {"pointer": "/list/1", "is": "changed", "from": 2.0, "to": 4.0},
            {"pointer": "/list/2", "is": "removed", "from": 3.0},
            {"pointer": "/gone", "is": "removed"},
            {"pointer": "/new", "is": "added"},
        ]);
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), expected);
        assert!(differences(&from, &from).is_empty());
        let long = |from: i32| Value::from((0..5000).map(|place| place + from).collect::<Vec<_>>());
        assert_eq!(differences(&long(0), &long(1)).len(), MOST);
    }
}
