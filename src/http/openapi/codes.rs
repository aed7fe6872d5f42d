//! The register of codes in the document: a tag without operations, whose description is its table.

use serde_json::{Value, json};

use crate::http::problem_codes::ProblemCode;
use crate::register::{self, Of, told};

/// Adds the table.
pub(super) fn add(document: &mut Value) {
    let problems = ProblemCode::ALL.iter().map(|problem| told(Of::Problem, problem.code(), problem.meaning()));
    let description = format!(
        "What answers and problems are told by: stable names, what each means, and the values that stand beside its \
         sentence. A client goes by code and values; sentences are for people. New codes may come; a client passes over \
         one that it does not know.\n\n{}",
        register::table(register::codes().into_iter().chain(problems))
    );
    if let Some(tags) = document["tags"].as_array_mut() {
        tags.push(json!({"name": "codes", "description": description}));
    }
}
