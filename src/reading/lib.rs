//! From JSON text to a survey in which nothing is missing: what was written, what the program ships, what is meant.
#![cfg_attr(test, expect(clippy::float_cmp, reason = "a test compares exactly where the value is exact"))]

/// Products, materials, prices, labour norms, climate and dated rules that the program ships.
pub mod catalogue;
/// From JSON text to a typed document, every fault at once.
pub mod intake;
/// The job document as written.
pub mod job;
/// Lists whose indices cannot be mixed.
pub mod list;
/// Exact money.
pub mod money;
/// What an answer says beside its figures.
pub mod notes;
/// Changes to a document.
pub mod patch;
/// The job as meant: defaults filled, agreement checked.
pub mod survey;

use tundish_engine::methods;
