//! The common way: a text that has no fault becomes a typed document in one pass, held against its gate value by value as it is
//! read. It never says what is wrong: whatever is not plainly right is read again as a tree, which tells every fault.

use std::fmt;

use serde::de::value::BorrowedStrDeserializer;
use serde::de::{DeserializeSeed, Deserializer, EnumAccess, Error, MapAccess, SeqAccess, Visitor};

use super::gate::{Count, Gate, Object, Rule};
use super::node::whole_as;
use super::read::Document;
use super::seen::Seen;
use super::walk::{KIND, is_right_number, is_right_text};

/// The document of a text that has no fault of the gate. Nothing for any other, and for some few that have none: a name with
/// an escape in it, a union that does not say first which it is, null for a member that would be left out otherwise.
pub(super) fn read<T: Document>(gate: &Gate, text: &str) -> Option<T> {
    let mut json = serde_json::Deserializer::from_str(text);
    let document = T::deserialize(Held::new(gate, gate.root, &mut json)).ok()?;
    json.end().ok()?;
    Some(document)
}

/// Why a text is not plainly right; nobody is told.
fn not_plain<E: Error>() -> E {
    E::custom("not plainly right")
}

/// A deserializer or a visitor, held against a rule.
#[derive(Clone, Copy)]
struct Held<'g, I> {
    gate: &'g Gate,
    /// The rule, behind what says that it may be null.
    rule: &'g Rule,
    /// Whether it may be null.
    or_null: bool,
    inner: I,
}

impl<'g, I> Held<'g, I> {
    /// Held against the rule of a place of the gate.
    fn new(gate: &'g Gate, rule: usize, inner: I) -> Self {
        let (mut rule, mut or_null) = (&gate.rules[rule], false);
        while let Rule::OrNull(behind) = rule {
            (rule, or_null) = (&gate.rules[*behind], true);
        }
        Self { gate, rule, or_null, inner }
    }

    /// Something else held against the same rule.
    fn with<J>(&self, inner: J) -> Held<'g, J> {
        Held { gate: self.gate, rule: self.rule, or_null: self.or_null, inner }
    }
}

/// Hands a request for a kind of value on, with a visitor that holds what comes.
macro_rules! hand_on {
    ($($name:ident)+) => {$(
        fn $name<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
            let visitor = self.with(visitor);
            self.inner.$name(visitor)
        }
    )+};
}

impl<'de, D: Deserializer<'de>> Deserializer<'de> for Held<'_, D> {
    type Error = D::Error;

    hand_on! {
        deserialize_any deserialize_bool deserialize_i8 deserialize_i16 deserialize_i32 deserialize_i64 deserialize_u8
        deserialize_u16 deserialize_u32 deserialize_u64 deserialize_f32 deserialize_f64 deserialize_str deserialize_string
        deserialize_option deserialize_seq deserialize_map deserialize_identifier
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        let visitor = self.with(visitor);
        self.inner.deserialize_struct(name, fields, visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, D::Error> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        /// A choice that is written as text.
        struct Choice<V>(&'static str, &'static [&'static str], V);
        impl<'de, V: Visitor<'de>> Visitor<'de> for Choice<V> {
            type Value = V::Value;
            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("a choice")
            }
            fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<V::Value, E> {
                BorrowedStrDeserializer::new(text).deserialize_enum(self.0, self.1, self.2)
            }
        }
        let visitor = self.with(Choice(name, variants, visitor));
        self.inner.deserialize_str(visitor)
    }

    // no document of ours asks for any of these
    fn deserialize_char<V: Visitor<'de>>(self, _: V) -> Result<V::Value, D::Error> {
        Err(not_plain())
    }
    fn deserialize_bytes<V: Visitor<'de>>(self, _: V) -> Result<V::Value, D::Error> {
        Err(not_plain())
    }
    fn deserialize_byte_buf<V: Visitor<'de>>(self, _: V) -> Result<V::Value, D::Error> {
        Err(not_plain())
    }
    fn deserialize_unit<V: Visitor<'de>>(self, _: V) -> Result<V::Value, D::Error> {
        Err(not_plain())
    }
    fn deserialize_unit_struct<V: Visitor<'de>>(self, _: &'static str, _: V) -> Result<V::Value, D::Error> {
        Err(not_plain())
    }
    fn deserialize_tuple<V: Visitor<'de>>(self, _: usize, _: V) -> Result<V::Value, D::Error> {
        Err(not_plain())
    }
    fn deserialize_tuple_struct<V: Visitor<'de>>(self, _: &'static str, _: usize, _: V) -> Result<V::Value, D::Error> {
        Err(not_plain())
    }
    fn deserialize_ignored_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, D::Error> {
        Err(not_plain())
    }
}

impl<V> Held<'_, V> {
    /// A number, handed on as a tree would hand it on.
    fn number<'de, E: Error>(self, x: f64, as_whole: Option<i64>) -> Result<V::Value, E>
    where
        V: Visitor<'de>,
    {
        let Rule::Number { whole, bounds, penny } = self.rule else { return Err(not_plain()) };
        if !is_right_number(x, *whole && as_whole.is_none(), bounds, *penny) {
            return Err(not_plain());
        }
        match as_whole {
            Some(whole) => self.inner.visit_i64(whole),
            None => self.inner.visit_f64(x),
        }
    }

    fn is_right(&self, text: &str) -> bool {
        let Rule::Text { length, form, date, one_of } = self.rule else { return false };
        is_right_text(text, length, *form, *date, one_of)
    }
}

impl<'de, V: Visitor<'de>> Visitor<'de> for Held<'_, V> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        self.inner.expecting(f)
    }

    fn visit_none<E: Error>(self) -> Result<V::Value, E> {
        if self.or_null { self.inner.visit_none() } else { Err(not_plain()) }
    }

    fn visit_unit<E: Error>(self) -> Result<V::Value, E> {
        if self.or_null { self.inner.visit_unit() } else { Err(not_plain()) }
    }

    fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<V::Value, D::Error> {
        let deserializer = Held { or_null: false, ..self.with(deserializer) };
        self.inner.visit_some(deserializer)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<V::Value, E> {
        if matches!(self.rule, Rule::Bool) { self.inner.visit_bool(value) } else { Err(not_plain()) }
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<V::Value, E> {
        let whole = i32::try_from(value).map_err(|_| not_plain())?;
        self.number(whole.into(), Some(whole.into()))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<V::Value, E> {
        let whole = u32::try_from(value).map_err(|_| not_plain())?;
        self.number(whole.into(), Some(whole.into()))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<V::Value, E> {
        self.number(value, whole_as(value))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<V::Value, E> {
        if self.is_right(text) { self.inner.visit_str(text) } else { Err(not_plain()) }
    }

    fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<V::Value, E> {
        if self.is_right(text) { self.inner.visit_borrowed_str(text) } else { Err(not_plain()) }
    }

    fn visit_seq<A: SeqAccess<'de>>(self, items: A) -> Result<V::Value, A::Error> {
        let Rule::List { items: rule, count } = self.rule else { return Err(not_plain()) };
        let items = Items { held: Held::new(self.gate, *rule, items), count, so_far: 0 };
        self.inner.visit_seq(items)
    }

    fn visit_map<A: MapAccess<'de>>(self, members: A) -> Result<V::Value, A::Error> {
        match self.rule {
            Rule::Map { names, values, count } => {
                let entries = Entries {
                    held: Held::new(self.gate, *values, members),
                    holds: names.holds,
                    count,
                    seen: Seen::default(),
                };
                self.inner.visit_map(entries)
            }
            Rule::Object(object) => {
                let members = Members { gate: self.gate, inner: members, of: Of::Object(object), next: 0, seen: 0 };
                self.inner.visit_map(members)
            }
            Rule::Union(kinds) => {
                let members = Members { gate: self.gate, inner: members, of: Of::Kinds(kinds), next: 0, seen: 0 };
                self.inner.visit_map(members)
            }
            Rule::Bool
            | Rule::Number { .. }
            | Rule::Text { .. }
            | Rule::List { .. }
            | Rule::OrNull(_)
            | Rule::Pending => Err(not_plain()),
        }
    }

    fn visit_enum<A: EnumAccess<'de>>(self, _: A) -> Result<V::Value, A::Error> {
        Err(not_plain())
    }
}

/// The items of a list.
struct Items<'g, A> {
    held: Held<'g, A>,
    count: &'g Count,
    so_far: usize,
}

impl<'de, A: SeqAccess<'de>> SeqAccess<'de> for Items<'_, A> {
    type Error = A::Error;

    fn next_element_seed<T: DeserializeSeed<'de>>(&mut self, seed: T) -> Result<Option<T::Value>, A::Error> {
        let seed = self.held.with(seed);
        let item = self.held.inner.next_element_seed(seed)?;
        match item {
            Some(_) => self.so_far += 1,
            None if self.count.holds(self.so_far) => {}
            None => return Err(not_plain()),
        }
        Ok(item)
    }
}

impl<'de, T: DeserializeSeed<'de>> DeserializeSeed<'de> for Held<'_, T> {
    type Value = T::Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<T::Value, D::Error> {
        let deserializer = self.with(deserializer);
        self.inner.deserialize(deserializer)
    }
}

/// The entries of a map.
struct Entries<'g, 'de, A> {
    held: Held<'g, A>,
    holds: fn(&str) -> bool,
    count: &'g Count,
    seen: Seen<'de>,
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Entries<'_, 'de, A> {
    type Error = A::Error;

    fn next_key_seed<K: DeserializeSeed<'de>>(&mut self, seed: K) -> Result<Option<K::Value>, A::Error> {
        let Some(name) = self.held.inner.next_key::<&'de str>()? else {
            return if self.count.holds(self.seen.count()) { Ok(None) } else { Err(not_plain()) };
        };
        if !(self.holds)(name) || !self.seen.is_new(name) {
            return Err(not_plain());
        }
        seed.deserialize(BorrowedStrDeserializer::new(name)).map(Some)
    }

    fn next_value_seed<T: DeserializeSeed<'de>>(&mut self, seed: T) -> Result<T::Value, A::Error> {
        let seed = self.held.with(seed);
        self.held.inner.next_value_seed(seed)
    }
}

/// What an object is.
#[derive(Clone, Copy)]
enum Of<'g> {
    Object(&'g Object),
    /// One of a union, which says first which it is.
    Kinds(&'g [(String, Object)]),
    /// The same, once its kind is to be read.
    Kind(&'g [(String, Object)]),
}

/// The members of an object.
struct Members<'g, A> {
    gate: &'g Gate,
    inner: A,
    of: Of<'g>,
    /// The member behind the one that was read: most documents have them in the order of the schema.
    next: usize,
    /// Which stood already, a bit for each.
    seen: u64,
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Members<'_, A> {
    type Error = A::Error;

    fn next_key_seed<K: DeserializeSeed<'de>>(&mut self, seed: K) -> Result<Option<K::Value>, A::Error> {
        let name = self.inner.next_key::<&'de str>()?;
        match (self.of, name) {
            (Of::Object(object), Some(name)) => {
                let place = object.place_of(name, self.next).ok_or_else(not_plain)?;
                if place >= u64::BITS as usize || self.seen & (1 << place) != 0 {
                    return Err(not_plain());
                }
                self.seen |= 1 << place;
                self.next = place + 1;
                seed.deserialize(BorrowedStrDeserializer::new(name)).map(Some)
            }
            (Of::Object(object), None) if object.required & !self.seen == 0 => Ok(None),
            (Of::Kinds(kinds), Some(KIND)) => {
                self.of = Of::Kind(kinds);
                seed.deserialize(BorrowedStrDeserializer::new(KIND)).map(Some)
            }
            (Of::Object(_) | Of::Kinds(_) | Of::Kind(_), _) => Err(not_plain()),
        }
    }

    fn next_value_seed<T: DeserializeSeed<'de>>(&mut self, seed: T) -> Result<T::Value, A::Error> {
        match self.of {
            Of::Object(object) => {
                // the key before it was one of these
                let member = object.members.get(self.next.wrapping_sub(1)).ok_or_else(not_plain)?;
                self.inner.next_value_seed(Held::new(self.gate, member.rule, seed))
            }
            Of::Kind(kinds) => {
                let kind: &'de str = self.inner.next_value()?;
                let (_, object) = kinds.iter().find(|(name, _)| name == kind).ok_or_else(not_plain)?;
                let place = object.place_of(KIND, 0).ok_or_else(not_plain)?;
                (self.of, self.seen, self.next) = (Of::Object(object), 1 << place, place + 1);
                seed.deserialize(BorrowedStrDeserializer::new(kind))
            }
            Of::Kinds(_) => Err(not_plain()),
        }
    }
}
