//! A JSON text as a tree that remembers what a typed reading would forget: keys that stand twice, and order.

use std::borrow::Cow;
use std::collections::HashSet;
use std::fmt;

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
}

/// The members of an object.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Members<'a> {
    /// Names and values, in order; of a name that stands twice, the first.
    pub entries: Vec<(Cow<'a, str>, Node<'a>)>,
    /// Names that stood more than once.
    pub repeated: Vec<Cow<'a, str>>,
}

impl<'a> Members<'a> {
    /// The member of this name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Node<'a>> {
        self.entries.iter().find(|(key, _)| key == name).map(|(_, node)| node)
    }

    /// The member of this name, to be changed.
    pub fn get_mut(&mut self, name: &str) -> Option<&mut Node<'a>> {
        self.entries.iter_mut().find(|(key, _)| key == name).map(|(_, node)| node)
    }
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
            if seen.is_new(&members, &name) {
                members.entries.push((name, node));
            } else if !members.repeated.contains(&name) {
                members.repeated.push(name);
            }
        }
        Ok(Node::Obj(members))
    }
}

/// Names already seen: looked up one by one while they are few, by hash when they are many.
#[derive(Default)]
struct Names<'a>(HashSet<Cow<'a, str>>);

impl<'a> Names<'a> {
    fn is_new(&mut self, members: &Members<'a>, name: &str) -> bool {
        const FEW: usize = 24;
        if members.entries.len() < FEW {
            return members.get(name).is_none();
        }
        if self.0.is_empty() {
            self.0.extend(members.entries.iter().map(|(key, _)| key.clone()));
        }
        self.0.insert(Cow::Owned(name.to_owned()))
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
        let Ok(Node::Obj(members)) = Node::parse(br#"{"a":1,"b":2,"\u0061":3,"a":4}"#) else { panic!("an object") };
        assert_eq!(members.repeated, ["a"]);
        assert_eq!(members.get("a"), Some(&Node::Num(1.0)));
        let many = (0..60).map(|i| format!("\"k{i}\":0,")).collect::<Vec<_>>().concat();
        let text = format!("{{{many}\"k7\":1}}");
        let Ok(Node::Obj(members)) = Node::parse(text.as_bytes()) else { panic!("an object") };
        assert_eq!(members.repeated, ["k7"]);
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
