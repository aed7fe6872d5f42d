//! Descriptions where clients see them: on the property, not within the choice that it may be null by.

use serde_json::{Map, Value};

use super::walk::{is_null, mend_objects};

/// Lifts what is said beside a reference within `oneOf` of null and that reference to the property itself.
pub fn lift(document: &mut Value) {
    mend_objects(document, &mut lift_one);
}

fn lift_one(property: &mut Map<String, Value>) {
    let Some(Value::Array(choices)) = property.get_mut("oneOf") else { return };
    let [one, other] = choices.as_mut_slice() else { return };
    let reference = match (is_null(one), is_null(other)) {
        (true, false) => other,
        (false, true) => one,
        (true, true) | (false, false) => return,
    };
    let Some(reference) = reference.as_object_mut().filter(|reference| reference.contains_key("$ref")) else { return };
    if let Some(description) = reference.shift_remove("description") {
        property.entry("description").or_insert(description);
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn what_is_said_within_the_choice_is_said_on_the_property() {
        let (null, fluid) = (json!({"type": "null"}), json!({"$ref": "#/components/schemas/Fluid"}));
        let mut said = fluid.clone();
        said["description"] = json!("What runs in it.");
        for (choices, left) in [([&null, &said], [&null, &fluid]), ([&said, &null], [&fluid, &null])] {
            let mut document = json!({"properties": {"fluid": {"oneOf": choices}}});
            lift(&mut document);
            let wanted = json!({"oneOf": left, "description": "What runs in it."});
            assert_eq!(document["properties"]["fluid"], wanted);
        }
    }

    #[test]
    fn what_a_member_of_a_union_says_of_itself_stays_with_it() {
        let union = json!({"oneOf": [{"$ref": "#/a", "description": "one"}, {"$ref": "#/b", "description": "other"}]});
        let mut document = union.clone();
        lift(&mut document);
        assert_eq!(document, union);
    }
}
