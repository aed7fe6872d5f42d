//! What a stage computed of a room before, in one question: its searches come back to the same figures again and again, in one
//! house and in others that differ from it in a room.

use std::any::Any;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::fmt;
use std::rc::Rc;

use crate::list::Index;
use crate::survey::{Room, Survey};

/// By what something is found again: its room, and the figures that it was computed from, to the bit.
pub(in crate::design) type Key = (Index<Room>, [u64; 2]);

/// What was computed of the rooms of a house.
pub struct Known<'s> {
    survey: &'s Survey,
    kept: RefCell<BTreeMap<Key, Rc<dyn Any>>>,
}

impl fmt::Debug for Known<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Known").field("kept", &self.kept.borrow().len()).finish()
    }
}

impl<'s> Known<'s> {
    /// Rooms of whose results are kept, so many at most: some ten megabytes.
    const MOST: usize = 8192;

    /// Nothing yet of a house.
    #[must_use]
    pub fn of(survey: &'s Survey) -> Self {
        Self { survey, kept: RefCell::default() }
    }

    /// Whether a room of a house is as it is in this one. Other houses of a question differ from it in what hangs or lies in
    /// some of their rooms, and in nothing else that a survey holds.
    pub(in crate::design) fn has(&self, survey: &Survey, room: Index<Room>) -> bool {
        std::ptr::eq(survey, self.survey) || survey.rooms[room] == self.survey.rooms[room]
    }

    /// What was kept by a key.
    pub(in crate::design) fn get<T: 'static>(&self, key: &Key) -> Option<Rc<T>> {
        self.kept.borrow().get(key).cloned()?.downcast().ok()
    }

    /// Keeps something by a key, while there is room.
    pub(in crate::design) fn keep<T: 'static>(&self, key: Key, kept: T) {
        let mut all = self.kept.borrow_mut();
        if all.len() < Self::MOST {
            all.insert(key, Rc::new(kept));
        }
    }
}
