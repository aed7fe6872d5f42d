//! How a rule within one object says that it is broken.

use crate::intake::FaultCode;
use std::borrow::Cow;

use validator::{ValidationError, ValidationErrors};

/// Name of the parameter that carries the field at fault, as a JSON Pointer below the object.
pub const FIELD: &str = "field";
/// Name of the parameter that carries the limit that was broken.
pub const LIMIT: &str = "limit";

/// A broken rule on its way to becoming a [`ValidationError`].
#[derive(Debug)]
pub struct Broken(ValidationError);

impl Broken {
    /// A broken rule with its stable code.
    #[must_use]
    pub fn new(code: FaultCode) -> Self {
        Self(ValidationError::new(code.code()))
    }

    /// The field at fault, relative to the object (a member's name, or a pointer without its first slash).
    #[must_use]
    pub fn at(mut self, field: impl Into<String>) -> Self {
        self.0.add_param(Cow::Borrowed(FIELD), &field.into());
        self
    }

    /// What is wrong, in plain words.
    #[must_use]
    pub fn says(mut self, detail: impl Into<String>) -> Self {
        self.0.message = Some(Cow::Owned(detail.into()));
        self
    }

    /// The limit that was broken.
    #[must_use]
    pub fn limit(mut self, limit: f64) -> Self {
        self.0.add_param(Cow::Borrowed(LIMIT), &limit);
        self
    }
}

impl From<Broken> for ValidationError {
    fn from(broken: Broken) -> Self {
        broken.0
    }
}

/// The result of rules about a whole object, for types that cannot derive [`validator::Validate`].
///
/// # Errors
/// The broken rules.
pub fn of_object(broken: impl IntoIterator<Item = Broken>) -> Result<(), ValidationErrors> {
    let mut errors = ValidationErrors::new();
    for Broken(error) in broken {
        errors.add("__all__", error);
    }
    if errors.is_empty() { Ok(()) } else { Err(errors) }
}
