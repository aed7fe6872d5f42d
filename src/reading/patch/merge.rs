//! JSON Merge Patch (RFC 7396).

use serde_json::{Map, Value};

/// Applies a merge patch: members of the patch replace those of the document, null takes them away, objects are gone into.
///
/// # Source
/// RFC 7396, section 2.
///
/// # Examples
/// ```
/// use serde_json::json;
/// let mut job = json!({"rooms": {"hall": {"height_m": 2.4}, "study": {}}, "title": "A house"});
/// tundish_reading::patch::merge(&mut job, json!({"rooms": {"hall": {"height_m": 2.6}, "study": null}}));
/// assert_eq!(job, json!({"rooms": {"hall": {"height_m": 2.6}}, "title": "A house"}));
/// ```
pub fn merge(document: &mut Value, patch: Value) {
    let Value::Object(patch) = patch else {
        *document = patch;
        return;
    };
    if !document.is_object() {
        *document = Value::Object(Map::new());
    }
    let Value::Object(members) = document else { return };
    for (name, value) in patch {
        if value.is_null() {
            members.shift_remove(&name);
        } else {
            merge(members.entry(name).or_insert(Value::Null), value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 7396, appendix A (from memory): original, patch, result.
    const CASES: [[&str; 3]; 15] = [
        [r#"{"a":"b"}"#, r#"{"a":"c"}"#, r#"{"a":"c"}"#],
        [r#"{"a":"b"}"#, r#"{"b":"c"}"#, r#"{"a":"b","b":"c"}"#],
        [r#"{"a":"b"}"#, r#"{"a":null}"#, "{}"],
        [r#"{"a":"b","b":"c"}"#, r#"{"a":null}"#, r#"{"b":"c"}"#],
        [r#"{"a":["b"]}"#, r#"{"a":"c"}"#, r#"{"a":"c"}"#],
        [r#"{"a":"c"}"#, r#"{"a":["b"]}"#, r#"{"a":["b"]}"#],
        [r#"{"a":{"b":"c"}}"#, r#"{"a":{"b":"d","c":null}}"#, r#"{"a":{"b":"d"}}"#],
        [r#"{"a":[{"b":"c"}]}"#, r#"{"a":[1]}"#, r#"{"a":[1]}"#],
        [r#"["a","b"]"#, r#"["c","d"]"#, r#"["c","d"]"#],
        [r#"{"a":"b"}"#, r#"["c"]"#, r#"["c"]"#],
        [r#"{"a":"foo"}"#, "null", "null"],
        [r#"{"a":"foo"}"#, r#""bar""#, r#""bar""#],
        [r#"{"e":null}"#, r#"{"a":1}"#, r#"{"e":null,"a":1}"#],
        ["[1,2]", r#"{"a":"b","c":null}"#, r#"{"a":"b"}"#],
        ["{}", r#"{"a":{"bb":{"ccc":null}}}"#, r#"{"a":{"bb":{}}}"#],
    ];

    #[test]
    fn does_what_the_examples_of_the_standard_do() {
        for [original, patch, result] in CASES {
            let mut document = serde_json::from_str(original).unwrap();
            merge(&mut document, serde_json::from_str(patch).unwrap());
            assert_eq!(document.to_string(), result, "{original} {patch}");
        }
    }

    #[test]
    fn what_stays_keeps_its_order() {
        let mut document: Value = serde_json::from_str(r#"{"a":1,"b":2,"c":3,"d":4}"#).unwrap();
        merge(&mut document, serde_json::from_str(r#"{"b":null,"e":5,"a":6}"#).unwrap());
        assert_eq!(document.to_string(), r#"{"a":6,"c":3,"d":4,"e":5}"#);
    }
}
