//! Problems, published once for all operations, with their headers and examples.

use serde_json::{Map, Value, json};

use super::examples;
use crate::http::problems::{SHARED, Shared};
use crate::intake::schema::PREFIX;

/// Every shared answer by name.
pub fn components() -> Value {
    SHARED.iter().map(|problem| (problem.name(), component(*problem))).collect::<Map<_, _>>().into()
}

fn component(problem: Shared) -> Value {
    let (_, description) = problem.told();
    let mut component = json!({"description": description});
    if let Some(header) = problem.header() {
        let told = json!({"description": header.says, "required": true, "schema": {"type": header.kind}});
        component["headers"] = json!({header.name: told});
    }
    component["content"] = json!({"application/problem+json": {
        "schema": {"$ref": format!("{PREFIX}Problem")},
        "examples": examples::of_problem(problem),
    }});
    component
}
