//! What a run serves, as the job names it.

use crate::notes::{Field, Value, Values};

/// What a run serves, as the job names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Serves {
    /// A manifold, by its id.
    Manifold(String),
    /// An emitter, by the ids of its room and its own.
    Emitter {
        /// Its room.
        room: String,
        /// Its own id.
        emitter: String,
    },
}

impl Serves {
    /// Both ids in one word.
    #[must_use]
    pub fn word(&self) -> String {
        match self {
            Self::Manifold(id) => id.clone(),
            Self::Emitter { room, emitter } => format!("{room}-{emitter}"),
        }
    }
}

impl<C: ?Sized> Field<C> for Serves {
    type Said<'f>
        = String
    where
        C: 'f;

    fn names(_: &'static str) -> Vec<&'static str> {
        vec!["manifold", "room", "emitter"]
    }

    fn said<'f>(&'f self, _: &'f C) -> String {
        self.word()
    }

    fn put(&self, _: &'static str, _: &C, values: &mut Values) {
        let word = |id: &String| Value::Word(id.clone().into());
        match self {
            Self::Manifold(id) => values.put("manifold", word(id)),
            Self::Emitter { room, emitter } => {
                values.put("room", word(room));
                values.put("emitter", word(emitter));
            }
        }
    }
}
