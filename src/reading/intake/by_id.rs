//! Things with an identity: maps from id to object, order kept.

use std::borrow::Cow;
use std::fmt;
use std::ops::{Deref, DerefMut};

use foldhash::fast::RandomState;
use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use utoipa::openapi::schema::AdditionalProperties;
use utoipa::openapi::{ObjectBuilder, RefOr, Schema, Type};
use utoipa::{PartialSchema, ToSchema};
use validator::{Validate, ValidationErrors, ValidationErrorsKind};

/// What an id looks like.
pub const ID_PATTERN: &str = "^[a-z0-9][a-z0-9_-]{0,63}$";

/// An id: of a room, a surface, a run, or a code of the catalogue.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Id(pub String);

impl Deref for Id {
    type Target = str;
    fn deref(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl From<&str> for Id {
    fn from(id: &str) -> Self {
        Self(id.to_owned())
    }
}

impl PartialSchema for Id {
    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some(ID_PATTERN))
            .description(Some(
                "An id: lower-case letters, digits, `_` and `-`, at most 64, beginning with a letter or digit.",
            ))
            .into()
    }
}

impl ToSchema for Id {}

/// Entries by their id, in their order; which ids fall together in it nobody outside can tell.
type Entries<T> = IndexMap<String, T, RandomState>;

/// A map from id to object that keeps its order, with between `MIN` and `MAX` entries.
///
/// Two of the same id are a duplicate key, a merge patch can change one entry of many, and a pointer to an
/// entry survives an insertion before it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ById<T, const MIN: usize, const MAX: usize>(Entries<T>);

impl<T, const MIN: usize, const MAX: usize> ById<T, MIN, MAX> {
    /// Whether there is no entry.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<T, const MIN: usize, const MAX: usize> Default for ById<T, MIN, MAX> {
    fn default() -> Self {
        Self(Entries::default())
    }
}

impl<T, const MIN: usize, const MAX: usize> Deref for ById<T, MIN, MAX> {
    type Target = Entries<T>;
    fn deref(&self) -> &Entries<T> {
        &self.0
    }
}

impl<T, const MIN: usize, const MAX: usize> DerefMut for ById<T, MIN, MAX> {
    fn deref_mut(&mut self) -> &mut Entries<T> {
        &mut self.0
    }
}

impl<T, const MIN: usize, const MAX: usize> IntoIterator for ById<T, MIN, MAX> {
    type Item = (String, T);
    type IntoIter = indexmap::map::IntoIter<String, T>;
    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'a, T, const MIN: usize, const MAX: usize> IntoIterator for &'a ById<T, MIN, MAX> {
    type Item = (&'a String, &'a T);
    type IntoIter = indexmap::map::Iter<'a, String, T>;
    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

impl<T, const MIN: usize, const MAX: usize> FromIterator<(String, T)> for ById<T, MIN, MAX> {
    fn from_iter<I: IntoIterator<Item = (String, T)>>(entries: I) -> Self {
        Self(entries.into_iter().collect())
    }
}

impl<T: ToSchema, const MIN: usize, const MAX: usize> PartialSchema for ById<T, MIN, MAX> {
    fn schema() -> RefOr<Schema> {
        let name = ObjectBuilder::new().schema_type(Type::String).pattern(Some(ID_PATTERN)).build();
        ObjectBuilder::new()
            .property_names(Some(Schema::Object(name)))
            .additional_properties(Some(AdditionalProperties::RefOr(
                utoipa::openapi::Ref::from_schema_name(T::name()).into(),
            )))
            .min_properties((MIN > 0).then_some(MIN))
            .max_properties(Some(MAX))
            .into()
    }
}

impl<T: ToSchema, const MIN: usize, const MAX: usize> ToSchema for ById<T, MIN, MAX> {
    fn name() -> Cow<'static, str> {
        Cow::Owned(format!("{}ById", T::name()))
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((T::name().into_owned(), T::schema()));
        T::schemas(schemas);
    }
}

impl<T: Validate, const MIN: usize, const MAX: usize> Validate for ById<T, MIN, MAX> {
    fn validate(&self) -> Result<(), ValidationErrors> {
        let broken: Vec<_> =
            self.0.iter().filter_map(|(id, entry)| entry.validate().err().map(|errors| (id, errors))).collect();
        if broken.is_empty() {
            return Ok(());
        }
        let mut all = ValidationErrors::new();
        for (id, errors) in broken {
            all.0.insert(Cow::Owned(id.clone()), ValidationErrorsKind::Struct(Box::new(errors)));
        }
        Err(all)
    }
}
