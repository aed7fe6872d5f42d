//! Defaults, written where descriptions name them.

use serde_json::Value;

use crate::catalogue::Defaults;

/// How a doc comment begins the name of a default.
const BEFORE_NAME: &str = "`default:";

/// Puts defaults where descriptions name them; a name that no default has stays, and a test finds it.
pub fn fill(document: &mut Value, defaults: &Defaults) {
    match document {
        Value::Array(items) => items.iter_mut().for_each(|item| fill(item, defaults)),
        Value::Object(members) => members.values_mut().for_each(|member| fill(member, defaults)),
        Value::String(text) if text.contains(BEFORE_NAME) => *text = filled(text, defaults),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

fn filled(text: &str, defaults: &Defaults) -> String {
    let mut parts = text.split(BEFORE_NAME);
    let mut filled = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let known = part.split_once('`').and_then(|(name, rest)| Some((defaults.written(name)?, rest)));
        match known {
            Some((written, rest)) => filled.extend([written, rest]),
            None => filled.extend([BEFORE_NAME, part]),
        }
    }
    filled
}
