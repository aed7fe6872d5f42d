//! Unions whose members say first which of them they are are read member by member, and nothing is kept aside.
//!
//! What serde derives for an internally tagged enum first takes a whole object apart into a tree of its own, for the tag may
//! stand anywhere in it. [`by_kind!`] declares the same enum, read so that only an object that says
//! its kind later is.

use std::{fmt, iter};

use serde::de::value::MapDeserializer;
use serde::de::{DeserializeSeed, Deserializer, EnumAccess, Error, MapAccess, VariantAccess, Visitor};
use serde::forward_to_deserialize_any;
use serde_json::Value;

use super::walk::KIND;

/// Applied to an enum of struct variants told apart by `kind`: derives [`serde::Deserialize`] for it. Attributes stand
/// in the order of documentation, `expect`, `derive`, and of a member in that of documentation, `serde`, `schema`.
macro_rules! by_kind {
    (
        $(#[doc = $about:literal])*
        $(#[expect($($expected:tt)*)])?
        #[derive($($derived:tt)*)]
        $seen:vis enum $name:ident {
            $($(#[$of_kind:meta])* $kind:ident {
                $($(#[doc = $doc:literal])* $(#[serde($($serde:tt)*)])? $(#[schema($($schema:tt)*)])? $member:ident: $of:ty),* $(,)?
            }),* $(,)?
        }
    ) => {
        $(#[doc = $about])*
        $(#[expect($($expected)*)])?
        #[derive($($derived)*, serde::Serialize, utoipa::ToSchema)]
        #[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
        $seen enum $name {
            $($(#[$of_kind])* $kind {
                $($(#[doc = $doc])* $(#[serde($($serde)*)])? $(#[schema($($schema)*)])? $member: $of,)*
            },)*
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                type Told = $name;
                /// The same, as serde would have it told apart by a key round it.
                $(#[expect($($expected)*)])?
                #[derive(serde::Deserialize)]
                #[serde(remote = "Told", rename_all = "snake_case", deny_unknown_fields)]
                enum Keyed {
                    $($kind { $($(#[serde($($serde)*)])? $member: $of,)* },)*
                }
                Keyed::deserialize($crate::intake::by_kind::ByKind(deserializer))
            }
        }
    };
}

/// Hands an object to an enum as if its kind stood round it.
#[derive(Debug)]
pub struct ByKind<D>(pub D);

impl<'de, D: Deserializer<'de>> Deserializer<'de> for ByKind<D> {
    type Error = D::Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_map(OfAKind(visitor))
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct
        newtype_struct seq tuple tuple_struct map struct enum identifier ignored_any
    }
}

pub(crate) use by_kind;

/// What takes the object apart.
struct OfAKind<V>(V);

impl<'de, V: Visitor<'de>> Visitor<'de> for OfAKind<V> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "an object that says its {KIND}")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<V::Value, A::Error> {
        match members.next_key_seed(First)? {
            Some(None) => self.0.visit_enum(AtItsKind(members)),
            Some(Some(first)) => {
                let members = MapDeserializer::new(kind_first(first, members)?);
                self.visit_map(members).map_err(|error: serde_json::Error| A::Error::custom(error))
            }
            None => Err(A::Error::missing_field(KIND)),
        }
    }
}

/// The members of an object that says its kind only after something else, kept aside until all are there.
fn kind_first<'de, A: MapAccess<'de>>(
    first: String,
    mut members: A,
) -> Result<impl Iterator<Item = (String, Value)>, A::Error> {
    let mut others = vec![(first, members.next_value()?)];
    let mut kind = None;
    while let Some(member) = members.next_entry::<String, Value>()? {
        if member.0 != KIND {
            others.push(member);
        } else if kind.replace(member).is_some() {
            return Err(A::Error::duplicate_field(KIND));
        }
    }
    let kind = kind.ok_or_else(|| A::Error::missing_field(KIND))?;
    Ok(iter::once(kind).chain(others))
}

/// The first name of an object; nothing if it is [`KIND`].
struct First;

impl<'de> DeserializeSeed<'de> for First {
    type Value = Option<String>;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Option<String>, D::Error> {
        deserializer.deserialize_identifier(self)
    }
}

impl Visitor<'_> for First {
    type Value = Option<String>;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a name")
    }

    fn visit_str<E: Error>(self, name: &str) -> Result<Option<String>, E> {
        Ok((name != KIND).then(|| name.to_owned()))
    }
}

/// The members of an object, of which the kind comes next.
struct AtItsKind<A>(A);

impl<'de, A: MapAccess<'de>> EnumAccess<'de> for AtItsKind<A> {
    type Error = A::Error;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(mut self, seed: S) -> Result<(S::Value, Self), A::Error> {
        Ok((self.0.next_value_seed(seed)?, self))
    }
}

impl<'de, A: MapAccess<'de>> VariantAccess<'de> for AtItsKind<A> {
    type Error = A::Error;

    fn struct_variant<V: Visitor<'de>>(self, _: &'static [&'static str], visitor: V) -> Result<V::Value, A::Error> {
        visitor.visit_map(self.0)
    }

    // every kind has members, if only none
    fn unit_variant(self) -> Result<(), A::Error> {
        Err(A::Error::custom("a kind without members"))
    }
    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, _: S) -> Result<S::Value, A::Error> {
        Err(A::Error::custom("a kind round a value"))
    }
    fn tuple_variant<V: Visitor<'de>>(self, _: usize, _: V) -> Result<V::Value, A::Error> {
        Err(A::Error::custom("a kind round a list"))
    }
}

#[cfg(test)]
mod tests {
    use macro_rules_attribute::apply;
    use serde_json::json;

    /// A shape.
    #[apply(by_kind)]
    #[derive(Debug, PartialEq)]
    enum Shape {
        /// Round.
        Round {
            /// Its radius.
            #[schema(minimum = 0.0)]
            radius_m: f64,
        },
        /// With corners.
        WithCorners {
            /// How many.
            corners: u8,
            /// What it is called.
            #[serde(skip_serializing_if = "Option::is_none")]
            #[schema(max_length = 20)]
            name: Option<String>,
        },
        /// None.
        None {},
    }

    #[test]
    fn reads_what_it_writes_wherever_the_kind_stands() {
        let square = Shape::WithCorners { corners: 4, name: Some("square".to_owned()) };
        let text = serde_json::to_string(&square).unwrap();
        assert_eq!(text, r#"{"kind":"with_corners","corners":4,"name":"square"}"#);
        for text in [
            &text,
            r#"{"corners":4,"kind":"with_corners","name":"square"}"#,
            r#"{"corners":4,"name":"square","kind":"with_corners"}"#,
        ] {
            assert_eq!(serde_json::from_str::<Shape>(text).unwrap(), square, "{text}");
            assert_eq!(serde_json::from_value::<Shape>(serde_json::from_str(text).unwrap()).unwrap(), square, "{text}");
        }
        for shape in [Shape::Round { radius_m: 1.5 }, Shape::None {}, Shape::WithCorners { corners: 3, name: None }] {
            let text = serde_json::to_string(&shape).unwrap();
            assert_eq!(serde_json::from_str::<Shape>(&text).unwrap(), shape, "{text}");
        }
    }

    #[test]
    fn refuses_what_serde_refuses_of_a_tagged_enum() {
        for (wrong, why) in [
            (json!({}), "missing field `kind`"),
            (json!({"corners": 4}), "missing field `kind`"),
            (json!({"kind": "flat"}), "unknown variant `flat`"),
            (json!({"kind": "round"}), "missing field `radius_m`"),
            (json!({"kind": "round", "radius_m": 1.0, "corners": 4}), "unknown field `corners`"),
            (json!({"corners": 4, "kind": "round", "radius_m": 1.0}), "unknown field `corners`"),
            (json!({"kind": "none", "radius_m": 1.0}), "unknown field `radius_m`"),
            (json!([1]), "an object that says its kind"),
            (json!("round"), "an object that says its kind"),
        ] {
            let refused = serde_json::from_value::<Shape>(wrong.clone()).unwrap_err().to_string();
            assert!(refused.contains(why), "{wrong}: {refused}");
            let refused = serde_json::from_str::<Shape>(&wrong.to_string()).unwrap_err().to_string();
            assert!(refused.contains(why), "{wrong}: {refused}");
        }
        for twice in [
            r#"{"kind":"round","kind":"round","radius_m":1}"#,
            r#"{"radius_m":1,"kind":"round","kind":"round"}"#,
            r#"{"radius_m":1,"radius_m":1,"kind":"round"}"#,
        ] {
            assert!(serde_json::from_str::<Shape>(twice).is_err(), "{twice}");
        }
    }
}
