//! What can go wrong inside a method, without knowing who asked.

use crate::sources::Source;

use super::unit_names::words_and_unit;

/// A method could not give a figure.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MethodError {
    /// An input lies outside the range that the method holds for.
    #[error("{}, and {} holds from {} to {}", said(quantity, *value), published.title, short(*min), short(*max))]
    OutOfRange {
        /// Name of the quantity, with its unit.
        quantity: &'static str,
        /// What was given.
        value: f64,
        /// Least value of the range.
        min: f64,
        /// Greatest value of the range.
        max: f64,
        /// The document that sets the range.
        published: &'static Source,
    },
    /// The inputs together describe nothing physical.
    #[error("{reason}")]
    Impossible {
        /// What is impossible about them, in plain words.
        reason: &'static str,
    },
    /// An iteration did not settle.
    #[error("{what} did not settle in {iterations} steps; what was left over is {residual}")]
    NotConverged {
        /// What was sought.
        what: &'static str,
        /// Steps taken.
        iterations: usize,
        /// Imbalance that was left.
        residual: f64,
    },
    /// A search would take more work than its [`Budget`](super::Budget) grants: the same on every machine.
    #[error("this takes more work than a question is granted, which is {granted} units")]
    TooMuchWork {
        /// Units that the budget granted.
        granted: u64,
    },
    /// The deadline of a [`Budget`](super::Budget) passed before a search had ended.
    #[error("the time for this question is over")]
    OutOfTime,
}

/// A quantity and its value in words: `cover_m` at 0.3 is "cover is 0.3 m".
fn said(quantity: &str, value: f64) -> String {
    let (name, unit) = words_and_unit(quantity);
    let gap = if unit.is_empty() { "" } else { " " };
    format!("{name} is {}{gap}{unit}", short(value))
}

/// A figure with five significant digits, enough for a sentence.
fn short(value: f64) -> f64 {
    // what does not come back from text is shown as it is
    format!("{value:.4e}").parse().unwrap_or(value)
}

/// A range of validity, as data that the code asks.
#[derive(Debug, Clone, Copy)]
pub struct Range {
    /// Name of the quantity, with its unit.
    pub quantity: &'static str,
    /// Least valid value.
    pub min: f64,
    /// Greatest valid value.
    pub max: f64,
    /// The document that sets the range.
    pub published: &'static Source,
}

impl Range {
    /// The value itself if it lies in the range.
    ///
    /// # Errors
    /// [`MethodError::OutOfRange`] if it does not, or if it is not a number.
    pub fn check(&self, value: f64) -> Result<f64, MethodError> {
        let Self { quantity, min, max, published } = *self;
        if (min..=max).contains(&value) {
            Ok(value)
        } else {
            Err(MethodError::OutOfRange { quantity, value, min, max, published })
        }
    }
}

/// What a method gives where it holds; nothing where an input lies outside its range, or the inputs describe nothing physical.
///
/// # Errors
/// Every other error: a search that did not settle, or ran out of work or of time, says nothing of the inputs.
///
/// # Examples
/// ```
/// use tundish_engine::methods::{MethodError, Off, performance_map::pump_head, where_it_holds};
/// let curve = [(0.0, 60.0), (1000.0, 20.0)];
/// assert_eq!(where_it_holds(pump_head(&curve, 500.0, &mut Off))?, Some(40.0));
/// assert_eq!(where_it_holds(pump_head(&curve, 2000.0, &mut Off))?, None);
/// assert_eq!(where_it_holds::<f64>(Err(MethodError::OutOfTime)), Err(MethodError::OutOfTime));
/// # Ok::<(), MethodError>(())
/// ```
pub fn where_it_holds<T>(found: Result<T, MethodError>) -> Result<Option<T>, MethodError> {
    match found {
        Ok(found) => Ok(Some(found)),
        Err(MethodError::OutOfRange { .. } | MethodError::Impossible { .. }) => Ok(None),
        Err(error @ (MethodError::NotConverged { .. } | MethodError::TooMuchWork { .. } | MethodError::OutOfTime)) => {
            Err(error)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sources::EN_442;

    #[test]
    fn a_quantity_is_said_in_words() {
        assert_eq!(said("cover_resistance_m2k_w", 0.00833), "cover resistance is 0.00833 m²K/W");
        assert_eq!(said("reynolds", 1e9), "reynolds is 1000000000");
        assert_eq!(said("pipe_outside_m", 0.05), "pipe outside is 0.05 m");
    }

    #[test]
    fn a_range_takes_its_ends_and_refuses_what_is_not_a_number() {
        let range = Range { quantity: "excess_k", min: 1.0, max: 2.0, published: &EN_442 };
        assert_eq!((range.check(1.0), range.check(2.0)), (Ok(1.0), Ok(2.0)));
        assert!(range.check(2.000_001).is_err());
        assert!(range.check(f64::NAN).is_err());
    }
}
