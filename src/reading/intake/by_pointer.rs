//! What is said of parts of a document: maps from JSON Pointer to object.

use std::borrow::Cow;
use std::ops::Deref;

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use utoipa::openapi::schema::AdditionalProperties;
use utoipa::openapi::{ObjectBuilder, RefOr, Schema, Type};
use utoipa::{PartialSchema, ToSchema};

/// What a pointer to a part looks like: one step at least, twelve at most.
pub const POINTER_PATTERN: &str = "^(/[^/]{1,80}){1,12}$";

/// A map from JSON Pointer to object that keeps its order, with `MAX` entries at most.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ByPointer<T, const MAX: usize>(IndexMap<String, T>);

impl<T, const MAX: usize> ByPointer<T, MAX> {
    /// Whether nothing is said.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// What is said of a place: by its own pointer, or by the longest that leads towards it.
    #[must_use]
    pub fn nearest(&self, place: &str) -> Option<&T> {
        let mut pointer = place;
        loop {
            if let Some(said) = self.0.get(pointer) {
                return Some(said);
            }
            pointer = &pointer[..pointer.rfind('/')?];
        }
    }
}

impl<T, const MAX: usize> Default for ByPointer<T, MAX> {
    fn default() -> Self {
        Self(IndexMap::new())
    }
}

impl<T, const MAX: usize> Deref for ByPointer<T, MAX> {
    type Target = IndexMap<String, T>;
    fn deref(&self) -> &IndexMap<String, T> {
        &self.0
    }
}

impl<T, const MAX: usize> FromIterator<(String, T)> for ByPointer<T, MAX> {
    fn from_iter<I: IntoIterator<Item = (String, T)>>(entries: I) -> Self {
        Self(entries.into_iter().collect())
    }
}

impl<T: ToSchema, const MAX: usize> PartialSchema for ByPointer<T, MAX> {
    fn schema() -> RefOr<Schema> {
        let name = ObjectBuilder::new().schema_type(Type::String).pattern(Some(POINTER_PATTERN)).build();
        ObjectBuilder::new()
            .property_names(Some(Schema::Object(name)))
            .additional_properties(Some(AdditionalProperties::RefOr(
                utoipa::openapi::Ref::from_schema_name(T::name()).into(),
            )))
            .max_properties(Some(MAX))
            .into()
    }
}

impl<T: ToSchema, const MAX: usize> ToSchema for ByPointer<T, MAX> {
    fn name() -> Cow<'static, str> {
        Cow::Owned(format!("{}ByPointer", T::name()))
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((T::name().into_owned(), T::schema()));
        T::schemas(schemas);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_pointer_that_leads_to_a_place_speaks_for_it() {
        let said: ByPointer<i32, 9> = [("/rooms", 1), ("/rooms/hall", 2), ("/rooms/hall/surfaces/a", 3)]
            .map(|(at, n)| (at.to_owned(), n))
            .into_iter()
            .collect();
        for (place, expected) in [
            ("/rooms/hall/surfaces/a/area_m2", Some(&3)),
            ("/rooms/hall/surfaces/ab", Some(&2)),
            ("/rooms/hall", Some(&2)),
            ("/rooms/halls", Some(&1)),
            ("/site", None),
        ] {
            assert_eq!(said.nearest(place), expected, "{place}");
        }
    }
}
