//! Changes to a document, in either of two forms: a JSON Merge Patch (RFC 7396) or a JSON Patch (RFC 6902).
//!
//! Members keep their order: what is taken away leaves the others as they stood, and what is new comes last.

mod merge;
mod operations;
mod pointer;
#[cfg(test)]
mod tests;

use serde_json::Value;

pub use merge::merge;
pub use operations::{Operation, operate, operations};
pub use pointer::escaped;

use crate::intake::Node;

/// A patch cannot be read, or cannot be applied.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{detail}")]
pub struct PatchError {
    /// JSON Pointer into the patch.
    pub pointer: String,
    /// What is wrong, in plain words.
    pub detail: String,
}

impl PatchError {
    fn new(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { pointer: pointer.into(), detail: detail.into() }
    }
}

/// Where a name stands twice in an object of a text: what it says is then not known.
#[must_use]
pub fn repeated(node: &Node<'_>) -> Option<String> {
    match node {
        Node::Twice(_) => Some(String::new()),
        Node::Arr(items) => (0..).zip(items).find_map(|(place, item)| Some(format!("/{place}{}", repeated(item)?))),
        Node::Obj(members) => {
            let mut found = members.0.iter().map(|(name, node)| (name, repeated(node)));
            found.find_map(|(name, inner)| Some(format!("/{}{}", pointer::escaped(name), inner?)))
        }
        Node::Null | Node::Bool(_) | Node::Num(_) | Node::Str(_) => None,
    }
}

/// Whether two values say the same: numbers by their value, objects whatever the order of their members (RFC 6902, 4.6).
#[must_use]
pub fn is_same(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => one == other || one.as_f64() == other.as_f64(),
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| is_same(one, other))
        }
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one.iter().all(|(name, one)| other.get(name).is_some_and(|other| is_same(one, other)))
        }
        (Value::Null | Value::Bool(_) | Value::String(_), _) => one == other,
        (Value::Number(_) | Value::Array(_) | Value::Object(_), _) => false,
    }
}
