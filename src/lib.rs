#![doc = include_str!("../README.md")]

/// The service's own client.
pub mod client;
/// What the commands of the command line do.
pub mod console;
/// The service.
pub mod http;
/// From a few facts to a whole job document.
pub mod outline;
/// Quotes: a job and its proposal, kept together as numbered revisions.
pub mod quotes;
/// The register of codes.
pub mod register;
/// Results as text.
pub mod render;
/// Flags, environment and defaults.
pub mod settings;
/// Where quotes lie.
pub mod store;

pub use tundish_engine::{methods, sources};
pub use tundish_reading::{catalogue, codes, findings, intake, job, list, money, notes, patch, survey, terms};
pub use tundish_stages::{design, estimate, proposal};
