#![doc = include_str!("../README.md")]
#![cfg_attr(test, expect(clippy::float_cmp, reason = "a test compares exactly where the value is exact"))]

/// Products, materials, prices, labour norms, climate and dated rules that the program ships.
pub mod catalogue;
/// The service's own client.
pub mod client;
/// What the commands of the command line do.
pub mod console;
/// The stages up to the plant.
pub mod design;
/// From a design to money and days.
pub mod estimate;
/// The service.
pub mod http;
/// From JSON text to a typed document, every fault at once.
pub mod intake;
/// The job document as written.
pub mod job;
/// One file per published method: pure engineering.
pub mod methods;
/// Exact money.
pub mod money;
/// What an answer says beside its figures.
pub mod notes;
/// From a few facts to a whole job document.
pub mod outline;
/// The only place that runs stages in order.
pub mod proposal;
/// Quotes: a job and its proposal, kept together as numbered revisions.
pub mod quotes;
/// Results as text.
pub mod render;
/// Flags, environment and defaults.
pub mod settings;
/// Every published source, as the only citation keys.
pub mod sources;
/// Where quotes lie.
pub mod store;
/// The job as meant: defaults filled, agreement checked.
pub mod survey;
