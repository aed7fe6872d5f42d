//! A tree that passed the gate becomes a typed document.

use serde::de::value::{BorrowedStrDeserializer, Error, MapDeserializer, SeqDeserializer};
use serde::de::{IntoDeserializer, Visitor};
use serde::{Deserializer, forward_to_deserialize_any};

use super::node::{Node, whole_as};

impl<'de, 'a: 'de> IntoDeserializer<'de, Error> for &'de Node<'a> {
    type Deserializer = Self;
    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de, 'a: 'de> Deserializer<'de> for &'de Node<'a> {
    type Error = Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self {
            Node::Null => visitor.visit_unit(),
            Node::Bool(value) => visitor.visit_bool(*value),
            Node::Num(value) => match whole_as(*value) {
                Some(whole) => visitor.visit_i64(whole),
                None => visitor.visit_f64(*value),
            },
            Node::Str(text) => visitor.visit_borrowed_str(text),
            Node::Arr(items) => visitor.visit_seq(SeqDeserializer::new(items.iter())),
            // null means absent: a member that is null is not there
            Node::Obj(members) => visitor.visit_map(MapDeserializer::new(
                members
                    .0
                    .iter()
                    .filter(|(_, node)| !node.is_null())
                    .map(|(name, node)| (BorrowedStrDeserializer::new(name), node)),
            )),
            Node::Twice(first) => first.deserialize_any(visitor),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self {
            Node::Null => visitor.visit_none(),
            Node::Twice(first) => first.deserialize_option(visitor),
            Node::Bool(_) | Node::Num(_) | Node::Str(_) | Node::Arr(_) | Node::Obj(_) => visitor.visit_some(self),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match self {
            Node::Str(text) => BorrowedStrDeserializer::new(text).deserialize_enum(name, variants, visitor),
            Node::Twice(first) => first.deserialize_enum(name, variants, visitor),
            Node::Null | Node::Bool(_) | Node::Num(_) | Node::Arr(_) | Node::Obj(_) => {
                Err(serde::de::Error::custom("a choice is written as text"))
            }
        }
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf
        unit unit_struct seq tuple tuple_struct map struct identifier ignored_any
    }
}
