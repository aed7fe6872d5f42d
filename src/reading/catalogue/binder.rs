//! What binds a screed.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::notes::{Field, Value, Values};

/// What binds a screed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Binder {
    /// Cement.
    Cement,
    /// Calcium sulphate, mostly laid liquid.
    CalciumSulphate,
}

impl Binder {
    /// What it is called in a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Cement => "cement",
            Self::CalciumSulphate => "calcium sulphate",
        }
    }

    /// How a job and a price book write it.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Cement => "cement",
            Self::CalciumSulphate => "calcium_sulphate",
        }
    }
}

impl<C: ?Sized> Field<C> for Binder {
    type Said<'f>
        = &'static str
    where
        C: 'f;

    fn said<'f>(&'f self, _: &'f C) -> &'static str {
        self.words()
    }

    fn put(&self, name: &'static str, _: &C, values: &mut Values) {
        values.put(name, Value::Word(self.code().into()));
    }
}
