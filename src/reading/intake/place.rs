//! Whether a document has a place, without writing it: only what lies on the way to the place is looked at.

use serde::Serialize;
use serde::ser::{self, Impossible};

/// Whether what a value is written as has the place that a JSON Pointer names.
#[must_use]
pub fn holds(value: &impl Serialize, pointer: &str) -> bool {
    match pointer.strip_prefix('/') {
        Some(steps) => value.serialize(Probe { steps }).is_ok_and(|found| found),
        None => pointer.is_empty(),
    }
}

/// Looks for a place below a value; the steps are never empty, and a step may be.
#[derive(Clone, Copy)]
struct Probe<'p> {
    steps: &'p str,
}

/// A value refuses to be written. Then it has no places.
#[derive(Debug, thiserror::Error)]
#[error("it refuses to be written")]
struct Refused;

impl ser::Error for Refused {
    fn custom<T: std::fmt::Display>(_: T) -> Self {
        Self
    }
}

impl<'p> Probe<'p> {
    /// The first step and what follows it.
    fn split(self) -> (&'p str, Option<Self>) {
        match self.steps.split_once('/') {
            Some((step, steps)) => (step, Some(Self { steps })),
            None => (self.steps, None),
        }
    }

    fn members(self) -> Members<'p> {
        let (step, rest) = self.split();
        Members { step, rest, number: 0, is_next: false, found: false }
    }
}

/// The members of an object or a list, of which one may lie on the way.
struct Members<'p> {
    step: &'p str,
    rest: Option<Probe<'p>>,
    number: usize,
    is_next: bool,
    found: bool,
}

impl Members<'_> {
    fn enter<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Refused> {
        self.found = match self.rest {
            Some(rest) => value.serialize(rest)?,
            None => true,
        };
        Ok(())
    }

    /// Whether a key is the step, in which a pointer writes `~` as `~0` and `/` as `~1`.
    fn is_named(&self, key: &str) -> bool {
        self.step == key || self.step.contains('~') && self.step.replace("~1", "/").replace("~0", "~") == key
    }

    fn item<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Refused> {
        let number = self.number;
        self.number += 1;
        if self.step == number.to_string() { self.enter(value) } else { Ok(()) }
    }

    fn field<T: Serialize + ?Sized>(&mut self, key: &str, value: &T) -> Result<(), Refused> {
        if self.is_named(key) { self.enter(value) } else { Ok(()) }
    }
}

macro_rules! nothing_below {
    ($($method:ident: $of:ty),*) => {
        $(fn $method(self, _: $of) -> Result<bool, Refused> {
            Ok(false)
        })*
    };
}

impl<'p> ser::Serializer for Probe<'p> {
    type Ok = bool;
    type Error = Refused;
    type SerializeSeq = Members<'p>;
    type SerializeTuple = Members<'p>;
    type SerializeTupleStruct = Members<'p>;
    type SerializeTupleVariant = Impossible<bool, Refused>;
    type SerializeMap = Members<'p>;
    type SerializeStruct = Members<'p>;
    type SerializeStructVariant = Impossible<bool, Refused>;

    nothing_below! {
        serialize_bool: bool, serialize_i8: i8, serialize_i16: i16, serialize_i32: i32, serialize_i64: i64,
        serialize_u8: u8, serialize_u16: u16, serialize_u32: u32, serialize_u64: u64, serialize_f32: f32,
        serialize_f64: f64, serialize_char: char, serialize_str: &str, serialize_bytes: &[u8],
        serialize_unit_struct: &'static str
    }

    fn serialize_none(self) -> Result<bool, Refused> {
        Ok(false)
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<bool, Refused> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<bool, Refused> {
        Ok(false)
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, _: &'static str) -> Result<bool, Refused> {
        Ok(false)
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Result<bool, Refused> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<bool, Refused> {
        let mut members = self.members();
        members.field(variant, value)?;
        Ok(members.found)
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Members<'p>, Refused> {
        Ok(self.members())
    }

    fn serialize_tuple(self, _: usize) -> Result<Members<'p>, Refused> {
        Ok(self.members())
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Members<'p>, Refused> {
        Ok(self.members())
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleVariant, Refused> {
        Err(Refused)
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Members<'p>, Refused> {
        Ok(self.members())
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Members<'p>, Refused> {
        Ok(self.members())
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeStructVariant, Refused> {
        Err(Refused)
    }
}

macro_rules! list {
    ($($way:ident::$method:ident),*) => {
        $(impl ser::$way for Members<'_> {
            type Ok = bool;
            type Error = Refused;

            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Refused> {
                self.item(value)
            }

            fn end(self) -> Result<bool, Refused> {
                Ok(self.found)
            }
        })*
    };
}

list!(SerializeSeq::serialize_element, SerializeTuple::serialize_element, SerializeTupleStruct::serialize_field);

impl ser::SerializeStruct for Members<'_> {
    type Ok = bool;
    type Error = Refused;

    fn serialize_field<T: Serialize + ?Sized>(&mut self, key: &'static str, value: &T) -> Result<(), Refused> {
        self.field(key, value)
    }

    fn end(self) -> Result<bool, Refused> {
        Ok(self.found)
    }
}

impl ser::SerializeMap for Members<'_> {
    type Ok = bool;
    type Error = Refused;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Refused> {
        let key = serde_json::to_value(key).map_err(|_| Refused)?;
        self.is_next = key.as_str().is_some_and(|key| self.is_named(key));
        Ok(())
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Refused> {
        if self.is_next { self.enter(value) } else { Ok(()) }
    }

    fn end(self) -> Result<bool, Refused> {
        Ok(self.found)
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;

    /// Every pointer of a document, its own values and others.
    fn pointers(value: &Value, at: &str, all: &mut Vec<String>) {
        all.push(at.to_owned());
        match value {
            Value::Array(items) => {
                items.iter().enumerate().for_each(|(number, item)| pointers(item, &format!("{at}/{number}"), all));
            }
            Value::Object(members) => members.iter().for_each(|(key, member)| {
                pointers(member, &format!("{at}/{}", key.replace('~', "~0").replace('/', "~1")), all);
            }),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }

    /// The reading of pointers by `serde_json`, a general library, on the written document.
    #[test]
    fn a_place_is_there_exactly_where_the_written_document_has_it() {
        let document = json!({
            "rooms": {"hall": {"area": 3.5, "a/b": [1, {"c~d": null}], "": true}},
            "list": [[], [{"x": "y"}]],
        });
        let mut there = Vec::new();
        pointers(&document, "", &mut there);
        assert!(there.len() > 10, "{there:?}");
        for pointer in there {
            assert!(holds(&document, &pointer), "{pointer}");
            for beside in [
                format!("{pointer}/no"),
                format!("{pointer}/0"),
                format!("{pointer}x"),
                format!("{pointer}/"),
                format!("{pointer}/+1"),
                format!("{pointer}/01"),
            ] {
                assert_eq!(holds(&document, &beside), document.pointer(&beside).is_some(), "{beside}");
            }
        }
        assert!(!holds(&document, "rooms"));
    }
}
