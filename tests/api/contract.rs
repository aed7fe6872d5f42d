//! What clients are made of: names, descriptions and null in the published document.

use std::collections::BTreeSet;

use serde_json::{Map, Value};
use tundish::http::openapi_document;

/// Looks at every object of a value, with its place.
fn objects(value: &Value, place: &str, look: &mut impl FnMut(&str, &Map<String, Value>)) {
    match value {
        Value::Object(members) => {
            look(place, members);
            members.iter().for_each(|(name, inner)| objects(inner, &format!("{place}/{name}"), look));
        }
        Value::Array(items) => {
            items.iter().enumerate().for_each(|(index, inner)| objects(inner, &format!("{place}/{index}"), look));
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// The name that a schema refers to.
fn referred(schema: &Value) -> Option<&str> {
    schema["$ref"].as_str()?.strip_prefix("#/components/schemas/")
}

fn is_null(schema: &Value) -> bool {
    schema["type"] == "null"
}

#[test]
fn every_member_of_a_union_has_a_name_a_title_and_a_kind_that_finds_it() {
    let document = openapi_document();
    let schemas = &document["components"]["schemas"];
    let (mut members, mut unions) = (0, 0);
    objects(schemas, "", &mut |place, schema| {
        let Some(choices) = schema.get("oneOf").and_then(Value::as_array) else { return };
        if choices.iter().any(is_null) {
            assert!(choices.len() == 2 && choices.iter().any(|choice| referred(choice).is_some()), "{place}");
            return;
        }
        if choices
            .iter()
            .all(|choice| ["number", "string", "boolean", "array"].iter().any(|kind| choice["type"] == *kind))
        {
            return; // a figure, a word, a yes or no, or a list of such
        }
        unions += 1;
        assert_eq!(schema["discriminator"]["propertyName"], "kind", "{place}");
        let mapping = schema["discriminator"]["mapping"].as_object().unwrap();
        assert_eq!(mapping.len(), choices.len(), "{place}");
        for choice in choices {
            let name = referred(choice).unwrap_or_else(|| panic!("{place} has a member without a name: {choice}"));
            let member = &schemas[name];
            assert_eq!(member["title"], name, "{place}");
            let kind = member["properties"]["kind"]["const"].as_str().unwrap();
            assert_eq!(mapping[kind], choice["$ref"], "{place}");
            assert!(member["required"].as_array().unwrap().iter().any(|required| required == "kind"), "{name}");
            members += 1;
        }
    });
    assert!(members > 100 && unions > 25, "{members} members of {unions} unions");
}

#[test]
fn no_description_hides_within_the_choice_that_something_may_be_null_by() {
    let (mut choices, mut described) = (0, 0);
    objects(&openapi_document(), "", &mut |place, schema| {
        let Some(either) = schema.get("oneOf").and_then(Value::as_array) else { return };
        assert!(either.iter().all(|choice| choice.get("description").is_none()), "{place}");
        choices += usize::from(either.iter().any(is_null));
        described += usize::from(either.iter().any(is_null) && schema.contains_key("description"));
    });
    assert!(described > 80, "{described} of {choices} are described");
}

/// The schemas that a place leads to.
fn reach(place: &Value, schemas: &Value, reached: &mut BTreeSet<String>) {
    let mut found = Vec::new();
    objects(place, "", &mut |_, schema| {
        let name = schema.get("$ref").and_then(Value::as_str).and_then(|path| path.rsplit_once("/schemas/"));
        found.extend(name.map(|(_, name)| name.to_owned()));
    });
    for name in found {
        if reached.insert(name.clone()) {
            reach(&schemas[&name], schemas, reached);
        }
    }
}

#[test]
fn nothing_that_is_only_answered_may_be_null() {
    let document = openapi_document();
    let schemas = &document["components"]["schemas"];
    let mut brought = BTreeSet::new();
    for operation in document["paths"].as_object().unwrap().values().flat_map(|path| path.as_object().unwrap().values())
    {
        reach(&operation["requestBody"], schemas, &mut brought);
    }
    let (mut told, mut asked) = (0, 0);
    for (name, schema) in schemas.as_object().unwrap() {
        objects(schema, name, &mut |place, schema| {
            let may_be_null = schema.get("type").is_some_and(|kind| *kind == "null" || has_null(kind))
                || schema.get("enum").is_some_and(has_null);
            assert!(brought.contains(name) || !may_be_null, "{place}");
            asked += usize::from(may_be_null);
        });
        told += usize::from(!brought.contains(name));
    }
    assert!(told > 80 && asked > 200, "{told} schemas of answers, {asked} places of requests that may be null");
}

fn has_null(values: &Value) -> bool {
    values.as_array().is_some_and(|values| values.iter().any(|value| value.is_null() || value == "null"))
}
