//! The figures and words of a finding beside its sentence, so that no client reads prose.

use std::borrow::Cow;

use indexmap::IndexMap;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use utoipa::openapi::schema::{AdditionalProperties, ArrayBuilder, OneOfBuilder};
use utoipa::openapi::{ObjectBuilder, RefOr, Schema, Type};
use utoipa::{PartialSchema, ToSchema};

use crate::money::Money;

/// A figure, a word, a yes or no, or a list of such.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Value {
    /// A count.
    Whole(u64),
    /// A figure, in the unit that its name ends in.
    Figure(f64),
    /// Yes or no.
    Flag(bool),
    /// An id of the job, or a word.
    Word(Cow<'static, str>),
    /// Several of them.
    List(Vec<Value>),
}

impl Value {
    /// The word that it is, if it is one.
    fn word(&self) -> Option<&str> {
        match self {
            Self::Word(word) => Some(word),
            Self::Whole(_) | Self::Figure(_) | Self::Flag(_) | Self::List(_) => None,
        }
    }

    /// A list of words.
    pub fn words(words: impl IntoIterator<Item = impl Into<Cow<'static, str>>>) -> Self {
        Self::List(words.into_iter().map(|word| Self::Word(word.into())).collect())
    }
}

/// Values by their names, in the order in which the finding declares them.
///
/// There are a handful at most, so they are a list: a map would hash each name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Values(Vec<(Cow<'static, str>, Value)>);

impl Values {
    /// Adds a value, in the place of one of that name.
    pub fn put(&mut self, name: &'static str, value: Value) {
        match self.0.iter_mut().find(|(known, _)| known == name) {
            Some((_, known)) => *known = value,
            None => self.0.push((Cow::Borrowed(name), value)),
        }
    }

    /// The same with those of a field.
    #[must_use]
    pub fn with<C: ?Sized, F: Field<C>>(mut self, name: &'static str, field: &F, context: &C) -> Self {
        field.put(name, context, &mut self);
        self
    }

    /// A value by its name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Value> {
        self.0.iter().find(|(known, _)| known == name).map(|(_, value)| value)
    }

    /// A word by its name.
    #[must_use]
    pub fn word(&self, name: &str) -> Option<&str> {
        self.get(name)?.word()
    }

    /// The words of a list by its name; none where there is no such list.
    #[must_use]
    pub fn words(&self, name: &str) -> Vec<&str> {
        match self.get(name) {
            Some(Value::List(list)) => list.iter().filter_map(Value::word).collect(),
            Some(Value::Whole(_) | Value::Figure(_) | Value::Flag(_) | Value::Word(_)) | None => Vec::new(),
        }
    }

    /// All of them by name, in their order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Value)> {
        self.0.iter().map(|(name, value)| (name.as_ref(), value))
    }
}

impl Serialize for Values {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, value)| (name, value)))
    }
}

impl<'de> Deserialize<'de> for Values {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let values: IndexMap<String, Value> = IndexMap::deserialize(deserializer)?;
        Ok(Self(values.into_iter().map(|(name, value)| (Cow::Owned(name), value)).collect()))
    }
}

impl PartialSchema for Values {
    fn schema() -> RefOr<Schema> {
        let of = |kind: Type| ObjectBuilder::new().schema_type(kind);
        let plain = || OneOfBuilder::new().item(of(Type::Number)).item(of(Type::String)).item(of(Type::Boolean));
        let list = ArrayBuilder::new().items(RefOr::T(Schema::OneOf(plain().build())));
        let any: RefOr<Schema> = Schema::OneOf(plain().item(list).build()).into();
        let description = "The figures, ids and words of the sentence by name, units in the names: which there are for each \
                           code stands in the table of codes.";
        let object = of(Type::Object).additional_properties(Some(AdditionalProperties::RefOr(any)));
        Schema::Object(object.description(Some(description)).build()).into()
    }
}

impl ToSchema for Values {}

/// What a finding can hold, in a context that knows what things are called.
pub trait Field<C: ?Sized> {
    /// What its sentence says of it.
    type Said<'f>
    where
        Self: 'f,
        C: 'f;

    /// Names of its values where it is called so.
    #[must_use]
    fn names(name: &'static str) -> Vec<&'static str> {
        vec![name]
    }

    /// The words that it may take, where they are a closed set.
    #[must_use]
    fn terms() -> Vec<&'static str> {
        Vec::new()
    }

    /// What its sentence says of it.
    fn said<'f>(&'f self, context: &'f C) -> Self::Said<'f>;

    /// Adds its values.
    fn put(&self, name: &'static str, context: &C, values: &mut Values);
}

/// Fields that are the same wherever they stand.
macro_rules! plain {
    ($($type:ty => $said:ty, |$field:ident| $text:expr, $value:expr;)*) => {
        $(impl<C: ?Sized> Field<C> for $type {
            type Said<'f> = $said where C: 'f;

            fn said<'f>(&'f self, _: &'f C) -> Self::Said<'f> {
                let $field = self;
                $text
            }

            fn put(&self, name: &'static str, _: &C, values: &mut Values) {
                let $field = self;
                values.put(name, $value);
            }
        })*
    };
}

plain! {
    f64 => f64, |figure| *figure, Value::Figure(*figure);
    u32 => u32, |count| *count, Value::Whole(u64::from(*count));
    i32 => i32, |count| *count, Value::Figure(f64::from(*count));
    usize => usize, |count| *count, Value::Whole(*count as u64);
    bool => bool, |flag| *flag, Value::Flag(*flag);
    Money => Money, |amount| *amount, Value::Figure(amount.as_f64());
    String => &'f str, |word| word.as_str(), Value::Word(Cow::Owned(word.clone()));
    &'static str => &'static str, |word| *word, Value::Word(Cow::Borrowed(*word));
}

/// One of a closed set: a word among the values.
pub trait Term: Sized + 'static {
    /// All of them.
    const ALL: &'static [Self];

    /// How it is written as a value, in snake case.
    fn code(&self) -> &'static str;

    /// What a sentence says of it.
    fn words(&self) -> &'static str;
}

/// Makes an enum a closed set of words: each variant with its code and with what a sentence says of it. Of one whose words
/// hang on the job, the codes alone.
#[macro_export]
macro_rules! terms {
    (codes of $name:ty { $($variant:ident: $code:literal;)+ }) => {
        impl $name {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The codes of all of them.
            pub const CODES: &'static [&'static str] = &[$($code),+];

            /// Stable name, in snake case.
            #[must_use]
            pub fn code(self) -> &'static str {
                match self {
                    $(Self::$variant => $code,)+
                }
            }
        }
    };
    ($name:ty { $($variant:ident: $code:literal, $words:literal;)+ }) => {
        impl $crate::notes::Term for $name {
            const ALL: &'static [Self] = &[$(Self::$variant),+];

            fn code(&self) -> &'static str {
                match self {
                    $(Self::$variant => $code,)+
                }
            }

            fn words(&self) -> &'static str {
                match self {
                    $(Self::$variant => $words,)+
                }
            }
        }
    };
}

impl<C: ?Sized, T: Term> Field<C> for T {
    type Said<'f>
        = &'static str
    where
        T: 'f,
        C: 'f;

    fn terms() -> Vec<&'static str> {
        T::ALL.iter().map(Term::code).collect()
    }

    fn said<'f>(&'f self, _: &'f C) -> &'static str {
        self.words()
    }

    fn put(&self, name: &'static str, _: &C, values: &mut Values) {
        values.put(name, Value::Word(Cow::Borrowed(self.code())));
    }
}

/// Several of a closed set: a list in the sentence as among the values.
impl<C: ?Sized, T: Term> Field<C> for Vec<T> {
    type Said<'f>
        = String
    where
        T: 'f,
        C: 'f;

    fn terms() -> Vec<&'static str> {
        T::ALL.iter().map(Term::code).collect()
    }

    fn said<'f>(&'f self, _: &'f C) -> String {
        let words: Vec<&str> = self.iter().map(Term::words).collect();
        match words.split_last() {
            Some((last, before)) if !before.is_empty() => format!("{} and {last}", before.join(", ")),
            Some(_) | None => words.concat(),
        }
    }

    fn put(&self, name: &'static str, _: &C, values: &mut Values) {
        values.put(name, Value::words(self.iter().map(Term::code)));
    }
}

/// Several names.
impl<C: ?Sized> Field<C> for Vec<String> {
    type Said<'f>
        = String
    where
        C: 'f;

    fn said<'f>(&'f self, _: &'f C) -> String {
        self.join(", ")
    }

    fn put(&self, name: &'static str, _: &C, values: &mut Values) {
        values.put(name, Value::words(self.iter().cloned()));
    }
}

/// What may be absent has no value then.
impl<C: ?Sized, F: Field<C>> Field<C> for Option<F> {
    type Said<'f>
        = Option<F::Said<'f>>
    where
        F: 'f,
        C: 'f;

    fn names(name: &'static str) -> Vec<&'static str> {
        F::names(name)
    }

    fn terms() -> Vec<&'static str> {
        F::terms()
    }

    fn said<'f>(&'f self, context: &'f C) -> Self::Said<'f> {
        self.as_ref().map(|field| field.said(context))
    }

    fn put(&self, name: &'static str, context: &C, values: &mut Values) {
        if let Some(field) = self {
            field.put(name, context, values);
        }
    }
}

/// A place in the job that a note is about. It is its pointer, and no value beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct At(String);

impl From<&str> for At {
    fn from(pointer: &str) -> Self {
        Self(pointer.to_owned())
    }
}

impl From<String> for At {
    fn from(pointer: String) -> Self {
        Self(pointer)
    }
}

impl<C: ?Sized> Field<C> for At {
    type Said<'f>
        = &'f str
    where
        C: 'f;

    fn names(_: &'static str) -> Vec<&'static str> {
        Vec::new()
    }

    fn said<'f>(&'f self, _: &'f C) -> &'f str {
        &self.0
    }

    fn put(&self, _: &'static str, _: &C, _: &mut Values) {}
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_written_in_their_order_and_read_back() {
        let mut values = Values::default();
        values.put("room", Value::Word("bath".into()));
        values.put("need_w", Value::Figure(3.0));
        values.put("loops", Value::Whole(2));
        values.put("room", Value::Word("hall".into()));
        let text = serde_json::to_string(&values).unwrap();
        assert_eq!(text, r#"{"room":"hall","need_w":3.0,"loops":2}"#);
        let read: Values = serde_json::from_str(&text).unwrap();
        assert_eq!((serde_json::to_string(&read).unwrap(), &read), (text, &values));
        assert_eq!(
            (values.word("room"), values.get("loops"), values.get("none")),
            (Some("hall"), Some(&Value::Whole(2)), None)
        );
    }
}
