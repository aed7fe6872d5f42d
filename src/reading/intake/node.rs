//! A JSON text as a tree that remembers what a typed reading would forget: keys that stand twice, and order.

use std::borrow::Cow;
use std::fmt;
use std::hash::{BuildHasher as _, RandomState};

use hashbrown::HashTable;
use serde::de::{DeserializeSeed, Error, MapAccess, SeqAccess, Visitor};

use super::FaultCode;
use super::fault::Fault;
use super::not_json;

/// Deepest nesting that a document may have; no schema of ours needs half of it.
pub const MAX_DEPTH: u8 = 32;

/// A JSON value.
#[derive(Debug, Clone, PartialEq)]
pub enum Node<'a> {
    /// `null`.
    Null,
    /// `true` or `false`.
    Bool(bool),
    /// A number.
    Num(f64),
    /// Text.
    Str(Cow<'a, str>),
    /// A list.
    Arr(Vec<Node<'a>>),
    /// An object.
    Obj(Members<'a>),
    /// The first value of a name that stands more than once in its object.
    Twice(Box<Node<'a>>),
}

/// The members of an object: names and values, in order; of a name that stands more than once, the first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Members<'a>(pub Vec<(Cow<'a, str>, Node<'a>)>);

impl<'a> Members<'a> {
    /// The member of this name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Node<'a>> {
        self.place_of(name).map(|place| &self.0[place].1)
    }

    /// Where the member of this name stands among all.
    #[must_use]
    pub fn place_of(&self, name: &str) -> Option<usize> {
        self.0.iter().position(|(key, _)| key == name)
    }

    /// Says of a member that its name stands more than once.
    pub fn repeat(&mut self, place: usize) {
        let (_, node) = &mut self.0[place];
        if !matches!(node, Node::Twice(_)) {
            *node = Node::Twice(Box::new(std::mem::replace(node, Node::Null)));
        }
    }
}

/// Numbers up to this size are whole or not without doubt.
const WHOLE: f64 = 9_007_199_254_740_992.0;

/// A number as the whole one that it is, if it is.
#[expect(clippy::cast_possible_truncation, reason = "whole and within 2^53")]
pub(super) fn whole_as(x: f64) -> Option<i64> {
    (x.fract().abs() <= 0.0 && x.abs() < WHOLE).then_some(x as i64)
}

/// What was sent as text: UTF-8, without a byte order mark before it.
///
/// # Errors
/// One unreadable fault: not UTF-8.
pub fn utf8(bytes: &[u8]) -> Result<&str, Fault> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        Fault::unreadable("", FaultCode::NotUtf8, format!("the text is not UTF-8 from byte {} on", error.valid_up_to()))
    })
}

impl<'a> Node<'a> {
    /// Reads a JSON text. The text must be UTF-8; a byte order mark before it is taken for what it is.
    ///
    /// # Errors
    /// One unreadable fault: not UTF-8, not JSON, or nested too deep.
    pub fn parse(text: &'a [u8]) -> Result<Self, Fault> {
        let text = utf8(text)?;
        let mut json = serde_json::Deserializer::from_str(text);
        let node = Depth(0).deserialize(&mut json).and_then(|node| json.end().map(|()| node));
        node.map_err(|error| {
            if error.to_string().starts_with(TOO_DEEP) {
                return Fault::unreadable(
                    "",
                    FaultCode::TooDeep,
                    format!("the text is nested more than {MAX_DEPTH} levels deep"),
                )
                .limit(f64::from(MAX_DEPTH));
            }
            let (line, column) = (error.line(), error.column());
            let why = not_json::why(text);
            let why = why.unwrap_or_else(|| format!("the text is not JSON from line {line}, column {column} on"));
            Fault::unreadable("", FaultCode::NotJson, why)
        })
    }

    /// What it is itself, whether or not its name stands more than once.
    #[must_use]
    pub fn first(&self) -> &Self {
        match self {
            Self::Twice(first) => first,
            Self::Null | Self::Bool(_) | Self::Num(_) | Self::Str(_) | Self::Arr(_) | Self::Obj(_) => self,
        }
    }

    /// Whether it is `null`.
    #[must_use]
    pub fn is_null(&self) -> bool {
        *self.first() == Self::Null
    }

    /// What kind of value this is, in plain words.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Null => "null",
            Self::Bool(_) => "true or false",
            Self::Num(_) => "a number",
            Self::Str(_) => "text",
            Self::Arr(_) => "a list",
            Self::Obj(_) => "an object",
            Self::Twice(first) => first.kind(),
        }
    }
}

const TOO_DEEP: &str = "nested too deep";

/// Reads a value at some depth.
struct Depth(u8);

impl<'de> DeserializeSeed<'de> for Depth {
    type Value = Node<'de>;
    fn deserialize<D: serde::Deserializer<'de>>(self, deserializer: D) -> Result<Node<'de>, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl Depth {
    fn below<E: Error>(&self) -> Result<u8, E> {
        if self.0 < MAX_DEPTH { Ok(self.0 + 1) } else { Err(E::custom(TOO_DEEP)) }
    }
}

impl<'de> Visitor<'de> for Depth {
    type Value = Node<'de>;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("JSON")
    }
    fn visit_unit<E>(self) -> Result<Node<'de>, E> {
        Ok(Node::Null)
    }
    fn visit_bool<E>(self, value: bool) -> Result<Node<'de>, E> {
        Ok(Node::Bool(value))
    }
    #[expect(
        clippy::cast_precision_loss,
        reason = "a JSON number is a double to us, as to every client that was measured"
    )]
    fn visit_i64<E>(self, value: i64) -> Result<Node<'de>, E> {
        Ok(Node::Num(value as f64))
    }
    #[expect(
        clippy::cast_precision_loss,
        reason = "a JSON number is a double to us, as to every client that was measured"
    )]
    fn visit_u64<E>(self, value: u64) -> Result<Node<'de>, E> {
        Ok(Node::Num(value as f64))
    }
    fn visit_f64<E>(self, value: f64) -> Result<Node<'de>, E> {
        Ok(Node::Num(value))
    }
    fn visit_borrowed_str<E>(self, value: &'de str) -> Result<Node<'de>, E> {
        Ok(Node::Str(Cow::Borrowed(value)))
    }
    fn visit_str<E>(self, value: &str) -> Result<Node<'de>, E> {
        Ok(Node::Str(Cow::Owned(value.to_owned())))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Node<'de>, A::Error> {
        let depth = self.below()?;
        let mut items = Vec::new();
        while let Some(item) = seq.next_element_seed(Depth(depth))? {
            // a million lists of one each take room for one
            items.reserve_exact(usize::from(items.is_empty()));
            items.push(item);
        }
        Ok(Node::Arr(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Node<'de>, A::Error> {
        let depth = self.below()?;
        let mut members = Members::default();
        let mut seen = Names::default();
        while let Some(Key(name)) = map.next_key()? {
            let node = map.next_value_seed(Depth(depth))?;
            match seen.place_of(&members, &name) {
                Some(place) => members.repeat(place),
                None => {
                    members.0.reserve_exact(usize::from(members.0.is_empty()));
                    members.0.push((name, node));
                }
            }
        }
        Ok(Node::Obj(members))
    }
}

/// Places of names already seen: looked up one by one while they are few, by hash when they are many.
#[derive(Default)]
struct Names {
    hasher: RandomState,
    places: HashTable<usize>,
}

impl Names {
    /// Where a name has been seen; one that has not is to be the next.
    fn place_of(&mut self, members: &Members<'_>, name: &str) -> Option<usize> {
        const FEW: usize = 24;
        let next = members.0.len();
        if next < FEW {
            return members.place_of(name);
        }
        let Self { hasher, places } = self;
        let hash = |place: &usize| hasher.hash_one(&*members.0[*place].0);
        if places.is_empty() {
            (0..next).for_each(|place| _ = places.insert_unique(hash(&place), place, hash));
        }
        let own = hasher.hash_one(name);
        let seen = places.find(own, |place| members.0[*place].0 == name).copied();
        if seen.is_none() {
            // the next is hashed by its name, which is not among the members yet
            places.insert_unique(own, next, |place| if *place == next { own } else { hash(place) });
        }
        seen
    }
}

/// A member's name, borrowed where the text has no escapes.
struct Key<'a>(Cow<'a, str>);

impl<'de> serde::Deserialize<'de> for Key<'de> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Name;
        impl<'de> Visitor<'de> for Name {
            type Value = Key<'de>;
            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("a name")
            }
            fn visit_borrowed_str<E>(self, name: &'de str) -> Result<Key<'de>, E> {
                Ok(Key(Cow::Borrowed(name)))
            }
            fn visit_str<E>(self, name: &str) -> Result<Key<'de>, E> {
                Ok(Key(Cow::Owned(name.to_owned())))
            }
        }
        deserializer.deserialize_str(Name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remembers_keys_that_stand_twice_also_when_escaped() {
        let twice = |text: &str| {
            let Ok(Node::Obj(members)) = Node::parse(text.as_bytes()) else { panic!("an object") };
            let told = members.0.iter().filter(|(_, node)| matches!(node, Node::Twice(_)));
            told.map(|(name, first)| format!("{name} {first:?}")).collect::<Vec<_>>()
        };
        let first = |name: &str, x: f64| format!("{name} {:?}", Node::Twice(Box::new(Node::Num(x))));
        assert_eq!(twice(r#"{"a":1,"b":2,"\u0061":3,"a":4}"#), [first("a", 1.0)]);
        let many = (0..60).map(|i| format!("\"k{i}\":{i},")).collect::<Vec<_>>().concat();
        assert_eq!(twice(&format!("{{{many}\"k7\":1,\"k33\":2,\"k7\":3}}")), [first("k7", 7.0), first("k33", 33.0)]);
    }

    /// Two million bytes of the shortest items must fit where a service holds several documents.
    #[test]
    fn an_item_takes_few_bytes() {
        assert!(size_of::<Node<'_>>() <= 32, "{}", size_of::<Node<'_>>());
    }

    #[test]
    fn tells_unreadable_texts_apart() {
        let code = |text: &[u8]| Node::parse(text).unwrap_err().code;
        assert_eq!(code(b"{"), "not_json");
        assert_eq!(code(b"{} {}"), "not_json");
        assert_eq!(code(b"NaN"), "not_json");
        assert_eq!(code(b"1e400"), "not_json");
        assert_eq!(code(b"\"\xff\""), "not_utf8");
        assert_eq!(code("[".repeat(200).as_bytes()), "too_deep");
        assert!(
            Node::parse(format!("{}{}", "[".repeat(MAX_DEPTH.into()), "]".repeat(MAX_DEPTH.into())).as_bytes()).is_ok()
        );
    }

    #[test]
    fn takes_a_byte_order_mark() {
        assert_eq!(Node::parse(b"\xef\xbb\xbf[]"), Ok(Node::Arr(vec![])));
    }
}
