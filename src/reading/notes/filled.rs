//! Several things that one note fills in.

use std::marker::PhantomData;

use super::values::{Field, Value, Values};

/// The value that names the documents which a note recalls, each to be looked up again.
pub const FROM_MEMORY: &str = "from_memory";

/// What a note may fill in.
pub trait Fills {
    /// Names of the values, units in them.
    const NAMES: &'static [&'static str];
}

/// What a note fills in: each with its words, and with its figure where it has one.
#[derive(Debug, Clone, PartialEq)]
pub struct Filled<F> {
    words: Vec<String>,
    values: Vec<(&'static str, Value)>,
    of: PhantomData<F>,
}

impl<F> Default for Filled<F> {
    fn default() -> Self {
        Self { words: Vec::new(), values: Vec::new(), of: PhantomData }
    }
}

impl<F: Fills> Filled<F> {
    /// Something without a figure.
    pub fn words(&mut self, words: impl Into<String>) {
        self.words.push(words.into());
    }

    /// A figure or a word by its name, with its sentence; the same words are said once. A name that is none of
    /// [`Fills::NAMES`] has no value.
    pub fn value(&mut self, name: &'static str, value: Value, words: impl Into<String>) {
        let words = words.into();
        if !self.words.contains(&words) {
            self.words.push(words);
        }
        self.put(name, value);
    }

    /// A figure by its name, with its sentence.
    pub fn figure(&mut self, name: &'static str, figure: f64, words: impl Into<String>) {
        self.value(name, Value::Figure(figure), words);
    }

    /// A figure or a word whose sentence is said already.
    pub fn put(&mut self, name: &'static str, value: Value) {
        debug_assert!(F::NAMES.contains(&name), "{name} is not registered");
        self.values.push((name, value));
    }

    /// That something that was filled in is recalled from a document.
    pub fn from_memory(&mut self, source: &str) {
        let known = self.values.iter_mut().find(|(name, _)| *name == FROM_MEMORY);
        match known {
            Some((_, Value::List(sources))) => {
                let source = Value::Word(source.to_owned().into());
                if !sources.contains(&source) {
                    sources.push(source);
                }
            }
            Some(_) | None => self.values.push((FROM_MEMORY, Value::words([source.to_owned()]))),
        }
    }

    /// Whether nothing was filled in.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.words.is_empty()
    }
}

/// Said as a list.
impl<C: ?Sized, F: Fills> Field<C> for Filled<F> {
    type Said<'f>
        = &'f [String]
    where
        C: 'f,
        F: 'f;

    fn names(_: &'static str) -> Vec<&'static str> {
        [F::NAMES, &[FROM_MEMORY]].concat()
    }

    fn said<'f>(&'f self, _: &'f C) -> &'f [String] {
        &self.words
    }

    fn put(&self, _: &'static str, _: &C, values: &mut Values) {
        self.values.iter().for_each(|(name, value)| values.put(name, value.clone()));
    }
}
