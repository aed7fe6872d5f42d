//! The service: actix-web, one file per resource, and the edge that every request passes.

mod answer;
mod auth;
mod docs;
mod edge;
mod error;
mod health;
mod hosts;
mod listen;
mod openapi;
mod outline;
mod problem_codes;
mod problems;
mod quotes;
mod request;
mod routes;
mod serve;
mod service;
mod stages;
mod tally;
mod wire;
mod work;

pub use openapi::document as openapi_document;
pub use serve::{Running, ServeError, Stopper, start};

/// Largest body of a request (bytes).
pub const BODY_LIMIT: usize = 2 * 1024 * 1024;
/// Longest target of a request, path and query (bytes).
pub const TARGET_LIMIT: usize = 8 * 1024;
