//! Results as text for machines and people.

/// Answers as JSON.
pub mod json;
/// A proposal as a readable summary.
pub mod summary;
/// Aligned tables and figures as people read them.
mod table;
