//! How a row is known: its source, and how far it is to be trusted.

use std::fmt;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::notes::{FROM_MEMORY, Field, Filled, Fills, Value, Values};

/// How far a row of data is to be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
pub enum Confidence {
    /// Read in the document that its source names, or in another that carries the document's figures, which the source names then.
    #[serde(rename = "published")]
    Published,
    /// What the trade does; no document says so.
    #[serde(rename = "common practice")]
    CommonPractice,
    /// Recalled: to be checked against the document that its source names. An answer that used it says so.
    #[serde(rename = "from memory, confirm")]
    FromMemory,
    /// Made up, to have something to work with.
    #[serde(rename = "invented")]
    Invented,
}

impl Confidence {
    /// The words that stand in the data.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::CommonPractice => "common practice",
            Self::FromMemory => "from memory, confirm",
            Self::Invented => "invented",
        }
    }
}

/// Where a row comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Provenance {
    /// Document, scheme or practice that the row comes from.
    #[schema(min_length = 1, max_length = 200)]
    pub source: String,
    /// How far it is to be trusted.
    pub confidence: Confidence,
}

impl Provenance {
    /// Recalled from a document.
    #[must_use]
    pub fn from_memory(source: &str) -> Self {
        Self { source: source.to_owned(), confidence: Confidence::FromMemory }
    }

    /// Read in a document, or in another that carries its figures and is named with it.
    #[must_use]
    pub fn published(source: &str) -> Self {
        Self { source: source.to_owned(), confidence: Confidence::Published }
    }

    /// The document that it is recalled from, to be looked up again; nothing where it is known otherwise.
    #[must_use]
    pub fn recalled(&self) -> Option<&str> {
        Some(self.source.as_str()).filter(|_| self.confidence == Confidence::FromMemory)
    }

    /// Tells a note that fills something in by it, where it is recalled.
    pub fn tell<F: Fills>(&self, filled: &mut Filled<F>) {
        if let Some(source) = self.recalled() {
            filled.from_memory(source);
        }
    }

    /// What the trade does.
    #[must_use]
    pub fn common_practice() -> Self {
        let confidence = Confidence::CommonPractice;
        Self { source: confidence.words().to_owned(), confidence }
    }
}

/// How it is known, as an assumption tells it: by its source, by common practice, or by a source that is to be looked up
/// again.
impl fmt::Display for Provenance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { source, confidence } = self;
        match confidence {
            Confidence::Published | Confidence::Invented => f.write_str(source),
            Confidence::CommonPractice => f.write_str(confidence.words()),
            Confidence::FromMemory => write!(f, "{source}; {}", confidence.words()),
        }
    }
}

impl<C: ?Sized> Field<C> for Provenance {
    type Said<'f>
        = &'f Self
    where
        C: 'f;

    fn names(_: &'static str) -> Vec<&'static str> {
        vec!["source", "confidence"]
    }

    fn said<'f>(&'f self, _: &'f C) -> &'f Self {
        self
    }

    fn put(&self, _: &'static str, _: &C, values: &mut Values) {
        values.put("source", Value::Word(self.source.clone().into()));
        values.put("confidence", Value::Word(self.confidence.words().into()));
    }
}

/// A document that something is recalled from, where its sentence says no more of it than that.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Recalled(pub &'static str);

impl<C: ?Sized> Field<C> for Recalled {
    type Said<'f>
        = &'static str
    where
        C: 'f;

    fn names(_: &'static str) -> Vec<&'static str> {
        vec![FROM_MEMORY]
    }

    fn said<'f>(&'f self, _: &'f C) -> &'static str {
        self.0
    }

    fn put(&self, _: &'static str, _: &C, values: &mut Values) {
        values.put(FROM_MEMORY, Value::words([self.0]));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_are_those_on_the_wire() {
        for confidence in
            [Confidence::Published, Confidence::CommonPractice, Confidence::FromMemory, Confidence::Invented]
        {
            let json = serde_json::to_string(&confidence).unwrap();
            assert_eq!(json, format!("\"{}\"", confidence.words()));
            assert_eq!(serde_json::from_str::<Confidence>(&json).unwrap(), confidence);
        }
        assert!(serde_json::from_str::<Confidence>("\"certain\"").is_err());
    }
}
