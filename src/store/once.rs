//! Questions that are asked twice and done once.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// A key that the asker gave to a question, so that it can be asked twice and is done once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Once {
    /// The key.
    pub key: String,
    /// Digest of the question.
    pub asked: String,
    /// Until when the answer is kept.
    pub until: Timestamp,
}
