//! Sources and workings as they are answered.

use std::borrow::Cow;

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::methods::Step;
use crate::sources::Source;

/// A published source that figures of the answer rest on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct CitedSource {
    /// Its key, as the workings name it.
    pub key: Cow<'static, str>,
    /// Its title.
    pub title: Cow<'static, str>,
    /// Year of the edition.
    #[schema(value_type = i32)]
    pub year: u16,
}

impl From<&'static Source> for CitedSource {
    fn from(source: &'static Source) -> Self {
        Self { key: source.key.into(), title: source.title.into(), year: source.year }
    }
}

/// One equation: what was computed, from what, by which source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Working {
    /// JSON Pointer into this answer, to the figure that the equation belongs to: always a number, never a row. Of the equations of
    /// one pointer the last one gives the figure itself, in its unit; those before it lead there.
    pub figure: String,
    /// Name of the computed quantity, with its unit.
    pub name: Cow<'static, str>,
    /// The equation's right-hand side.
    pub formula: Cow<'static, str>,
    /// Each name in the formula with its value.
    #[schema(value_type = std::collections::BTreeMap<String, f64>)]
    pub values: IndexMap<Cow<'static, str>, f64>,
    /// What came out.
    pub result: f64,
    /// Key of the source.
    pub source: Cow<'static, str>,
    /// Clause, equation or table of the source, where it is known.
    #[serde(default, skip_serializing_if = "str::is_empty")]
    #[schema(required = false)]
    pub clause: Cow<'static, str>,
}

impl From<Step> for Working {
    fn from(step: Step) -> Self {
        Self {
            figure: step.figure,
            name: step.name.into(),
            formula: step.formula.into(),
            values: step.values.into_iter().map(|(name, value)| (name.into(), value)).collect(),
            result: step.result,
            source: step.source.key.into(),
            clause: step.clause.into(),
        }
    }
}
