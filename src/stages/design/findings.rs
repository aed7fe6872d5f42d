//! Needs that a design does not meet as they are answered, and what stages share in wording what they find.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::notes::{Finding, Need, Values};
use crate::survey::Survey;

/// A need that the design does not meet, as it is answered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UnmetRow {
    /// Stable name of what is wanting, in snake case.
    pub code: Cow<'static, str>,
    /// JSON Pointer into the job, to the place.
    pub pointer: String,
    /// The need in plain words.
    pub detail: String,
    /// What is needed, in the unit beside it.
    pub need: f64,
    /// What was reached, in the unit beside it.
    pub reached: f64,
    /// Unit of the two figures.
    pub unit: Cow<'static, str>,
    /// The figures, ids and words of the sentence.
    #[serde(default)]
    #[schema(required = true)]
    pub values: Values,
}

/// A need as it is answered; nothing for what is no need in figures.
#[must_use]
pub fn row<U: Finding<Survey>>(survey: &Survey, unmet: &U) -> Option<UnmetRow> {
    let Need { need, reached, unit } = unmet.need()?;
    let (code, pointer) = (unmet.code().into(), unmet.pointer(survey));
    Some(UnmetRow { code, pointer, detail: unmet.detail(survey), need, reached, unit, values: unmet.values(survey) })
}

/// Needs of a stage as they are answered.
#[must_use]
pub fn rows<'u, U: Finding<Survey> + 'u>(survey: &Survey, unmet: impl IntoIterator<Item = &'u U>) -> Vec<UnmetRow> {
    unmet.into_iter().filter_map(|unmet| row(survey, unmet)).collect()
}

/// An answer that points into the job.
pub trait Pointed {
    /// Every JSON Pointer into the job that it holds, to be settled on places that the job has.
    fn pointers(&mut self) -> Vec<&mut String> {
        Vec::new()
    }
}

/// Two figures with as many decimals as it takes to tell them apart, three at most.
pub(super) fn distinct_within_three_decimals(need: f64, reached: f64) -> [String; 2] {
    let written = |decimals: usize| [need, reached].map(|figure| format!("{figure:.decimals$}"));
    (0..3).map(written).find(|[need, reached]| need != reached).unwrap_or_else(|| written(3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_written_so_that_they_differ() {
        assert_eq!(distinct_within_three_decimals(540.2, 531.4), ["540", "531"]);
        assert_eq!(distinct_within_three_decimals(203.95, 203.56), ["203.9", "203.6"]);
        assert_eq!(distinct_within_three_decimals(203.95, 203.948), ["203.950", "203.948"]);
        assert_eq!(distinct_within_three_decimals(1.0, 1.0), ["1.000", "1.000"]);
    }
}
