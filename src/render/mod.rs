//! Results as text for machines and people.

/// Answers as JSON.
pub mod json;
