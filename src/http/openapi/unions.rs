//! Unions whose members have names: a schema of its own for each, told apart by `kind`.
//!
//! utoipa writes the members of a tagged enum within it, and generators number what has no name. The gate reads the
//! schemas before this.

use serde_json::{Map, Value, json};

use crate::intake::schema::PREFIX;

/// What tells the members of a union apart.
const TAG: &str = "kind";

/// Gives every member of every named union a schema of its own, and the union its `discriminator`.
pub fn name_members(schemas: &mut Map<String, Value>) {
    let unions: Vec<String> = schemas.iter().filter(|(_, schema)| schema.get("oneOf").is_some()).map(name).collect();
    for union in unions {
        let Some(kinds) = schemas.get(&union).and_then(kinds) else { continue };
        let names: Vec<String> = kinds.iter().map(|kind| format!("{union}{}", pascal_case(kind))).collect();
        // a name that is taken stays with what has it, and a test finds the union
        if names.iter().any(|name| schemas.contains_key(name)) {
            continue;
        }
        let Some(schema) = schemas.get_mut(&union).and_then(Value::as_object_mut) else { continue };
        let places: Vec<String> = names.iter().map(|name| format!("{PREFIX}{name}")).collect();
        let references = places.iter().map(|place| json!({"$ref": place})).collect();
        let members = schema.insert("oneOf".to_owned(), Value::Array(references));
        let mapping: Map<String, Value> = kinds.into_iter().zip(places.into_iter().map(Value::from)).collect();
        schema.insert("discriminator".to_owned(), json!({"propertyName": TAG, "mapping": mapping}));
        let Some(Value::Array(members)) = members else { continue };
        schemas.extend(names.into_iter().zip(members).map(|(name, member)| titled(name, member)));
    }
}

fn name((name, _): (&String, &Value)) -> String {
    name.clone()
}

/// The kinds of a union of objects, if it is one: each has a `kind` of one value.
fn kinds(union: &Value) -> Option<Vec<String>> {
    union.get("oneOf")?.as_array()?.iter().map(kind).collect()
}

fn kind(member: &Value) -> Option<String> {
    let values = member.pointer("/properties/kind/enum")?.as_array()?;
    let [Value::String(kind)] = values.as_slice() else { return None };
    Some(kind.clone())
}

/// A member by itself: its name for a title, and its kind as a constant, which clients write as such and need no name for.
fn titled(name: String, mut member: Value) -> (String, Value) {
    if let Some(tag) = member.pointer_mut("/properties/kind").and_then(Value::as_object_mut)
        && let Some(kind) = tag.shift_remove("enum")
    {
        tag.insert("const".to_owned(), kind[0].clone());
    }
    if let Value::Object(members) = &mut member {
        members.shift_insert(0, "title".to_owned(), Value::from(name.as_str()));
    }
    (name, member)
}

/// `heated_floor` as `HeatedFloor`.
fn pascal_case(kind: &str) -> String {
    let capital = |word: &str| {
        let mut letters = word.chars();
        letters.next().map(|first| first.to_ascii_uppercase()).into_iter().chain(letters).collect::<String>()
    };
    kind.split('_').map(capital).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn member(kind: &str) -> Value {
        json!({"type": "object", "required": ["kind"], "properties": {"kind": {"type": "string", "enum": [kind]}}})
    }

    fn named(schemas: Value) -> Map<String, Value> {
        let Value::Object(mut schemas) = schemas else { panic!("not a map") };
        name_members(&mut schemas);
        schemas
    }

    #[test]
    fn members_get_a_name_a_title_and_a_place_in_the_mapping() {
        let schemas = named(json!({"Emitter": {"oneOf": [member("radiator"), member("heated_floor")]}}));
        assert_eq!(schemas["Emitter"]["oneOf"][1], json!({"$ref": "#/components/schemas/EmitterHeatedFloor"}));
        assert_eq!(schemas["Emitter"]["discriminator"]["mapping"]["radiator"], "#/components/schemas/EmitterRadiator");
        assert_eq!(schemas["EmitterRadiator"]["title"], "EmitterRadiator");
        assert_eq!(schemas["EmitterRadiator"]["properties"]["kind"], json!({"type": "string", "const": "radiator"}));
    }

    #[test]
    fn a_name_that_is_taken_and_a_choice_between_null_and_something_stay() {
        let taken = json!({"Layer": {"oneOf": [member("air")]}, "LayerAir": {"type": "number"}});
        let maybe = json!({"Row": {"oneOf": [{"type": "null"}, {"$ref": "#/components/schemas/Other"}]}});
        for schemas in [taken, maybe] {
            assert_eq!(Value::Object(named(schemas.clone())), schemas);
        }
    }
}
