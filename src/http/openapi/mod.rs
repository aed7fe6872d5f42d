//! The published document: generated from the code, mended where the generator cannot know better.

mod amounts;
mod answers;
mod codes;
mod defaults;
mod descriptions;
mod example_quotes;
mod examples;
mod problems;
mod unions;
mod walk;

use std::sync::LazyLock;

use serde_json::{Map, Value, json};
use utoipa::OpenApi as _;
use utoipa::openapi::OpenApi;

use crate::catalogue::Defaults;
use crate::http::error::Problem;
use crate::http::routes;
use crate::intake::schema;
use crate::job::Job;
use crate::outline::Facts;

#[derive(utoipa::OpenApi)]
#[openapi(
    info(
        title = "tundish",
        description = "The whole job of a small heating firm: a surveyed house in; heat loss, emitters, pipes, plant, bill, programme and a priced quote out.\n\nFigures are design practice for competent people. Where work can scald, poison, burst, shock, burn or collapse, local codes and registered trades decide.\n\nA path that is not there is answered with 404, a method that a path does not have with 405 and `Allow`, both with a problem, and so is what is no HTTP (400), too long a head (431) or one that stops coming (408); no operation sends these of itself.",
        license(name = "MIT OR Apache-2.0", identifier = "MIT OR Apache-2.0")
    ),
    tags(
        (name = "design", description = "One job in, one stage out; nothing is kept."),
        (name = "quotes", description = "Jobs kept with their proposals."),
        (name = "operation", description = "For those who run the service."),
    ),
    components(schemas(Problem))
)]
struct Base;

/// The document as generated: its paths are the paths of the service. Made once a process.
pub(super) static GENERATED: LazyLock<OpenApi> = LazyLock::new(|| {
    let mut document = Base::openapi();
    document.merge(routes::paths());
    document
});

/// The document as published, as text. Made once a process.
pub(super) static PUBLISHED: LazyLock<String> = LazyLock::new(|| document().to_string());

/// The document as published, as a JSON value.
#[must_use]
pub fn document() -> Value {
    // a document is made of text, numbers and maps: it always has a JSON form
    let mut document = serde_json::to_value(&*GENERATED).unwrap_or(Value::Null);
    lock(&mut document);
    codes::add(&mut document);
    if let Some(components) = document.get_mut("components").and_then(Value::as_object_mut) {
        components.insert("responses".to_owned(), problems::components());
        components.insert("securitySchemes".to_owned(), json!({"key": {"type": "http", "scheme": "bearer"}}));
        if let Some(schemas) = components.get_mut("schemas").and_then(Value::as_object_mut) {
            close_requests(schemas);
            unions::name_members(schemas);
            schemas.sort_keys();
        }
    }
    if let Ok(defaults) = Defaults::try_built_in() {
        defaults::fill(&mut document, &defaults);
    }
    amounts::in_words(&mut document);
    descriptions::lift(&mut document);
    answers::never_null(&mut document);
    if let Err(error) = examples::add(&mut document) {
        tracing::error!(error, "the document lacks its examples");
    }
    document
}

/// Says which operations take the key: those below `/v1`, where the service has one.
fn lock(document: &mut Value) {
    document["security"] = json!([{}, {"key": []}]);
    let paths = document["paths"].as_object_mut().into_iter().flatten();
    let open = paths.filter(|(path, _)| !path.starts_with("/v1/")).filter_map(|(_, path)| path.as_object_mut());
    open.flat_map(Map::values_mut).for_each(|operation| operation["security"] = json!([]));
}

/// Every operation.
fn operations(document: &mut Value) -> impl Iterator<Item = &mut Value> {
    let paths = document["paths"].as_object_mut().into_iter().flat_map(Map::values_mut);
    paths.filter_map(Value::as_object_mut).flat_map(Map::values_mut)
}

/// Puts what requests are read by in the place of what was generated: closed objects, null for absent.
fn close_requests(schemas: &mut Map<String, Value>) {
    for (name, schema) in schema::of_type::<Job>().named.into_iter().chain(schema::of_type::<Facts>().named) {
        schemas.insert(name, schema);
    }
}
