//! Lists whose indices cannot be mixed: an index of a room finds nothing in the list of tubes.

use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::iter::Enumerate;
use std::marker::PhantomData;
use std::ops;
use std::{slice, vec};

/// Where a `K` stands among its kind, from 0.
pub struct Index<K> {
    number: usize,
    of: PhantomData<fn() -> K>,
}

impl<K> Index<K> {
    /// The index of this number.
    #[must_use]
    pub const fn new(number: usize) -> Self {
        Self { number, of: PhantomData }
    }

    /// Its number, for what knows no kinds: a pointer into an answer, a method.
    #[must_use]
    pub const fn number(self) -> usize {
        self.number
    }
}

// by hand, for a derive would ask the same of `K`
impl<K> Clone for Index<K> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<K> Copy for Index<K> {}

impl<K> PartialEq for Index<K> {
    fn eq(&self, other: &Self) -> bool {
        self.number == other.number
    }
}

impl<K> Eq for Index<K> {}

impl<K> PartialOrd for Index<K> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<K> Ord for Index<K> {
    fn cmp(&self, other: &Self) -> Ordering {
        self.number.cmp(&other.number)
    }
}

impl<K> Hash for Index<K> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.number.hash(state);
    }
}

impl<K> fmt::Debug for Index<K> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.number.fmt(f)
    }
}

/// As its number: for a pointer into an answer.
impl<K> fmt::Display for Index<K> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.number.fmt(f)
    }
}

/// What comes in the order of a list, each with its index there.
pub fn indexed<K, I: IntoIterator>(all: I) -> impl Iterator<Item = (Index<K>, I::Item)> {
    all.into_iter().enumerate().map(|(number, one)| (Index::new(number), one))
}

/// One `T` for each `K`: the things themselves, or what is known of each in their order.
pub struct List<K, T = K> {
    all: Vec<T>,
    of: PhantomData<fn() -> K>,
}

impl<K, T> List<K, T> {
    /// Adds one at the end.
    pub fn push(&mut self, one: T) {
        self.all.push(one);
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// The one at an index, if the list is that long.
    #[must_use]
    pub fn get(&self, index: Index<K>) -> Option<&T> {
        self.all.get(index.number)
    }

    /// The last.
    #[must_use]
    pub fn last(&self) -> Option<&T> {
        self.all.last()
    }

    /// All, in order.
    pub fn iter(&self) -> slice::Iter<'_, T> {
        self.all.iter()
    }

    /// All, in order, to be changed.
    pub fn iter_mut(&mut self) -> slice::IterMut<'_, T> {
        self.all.iter_mut()
    }

    /// The index of each.
    pub fn indices(&self) -> impl DoubleEndedIterator<Item = Index<K>> + ExactSizeIterator + Clone + use<K, T> {
        (0..self.all.len()).map(Index::new)
    }

    /// A list that holds the same for each.
    #[must_use]
    pub fn filled<U: Clone>(&self, one: U) -> List<K, U> {
        List::from(vec![one; self.all.len()])
    }

    /// Each with its index.
    #[must_use]
    pub fn enumerate(&self) -> Indexed<'_, K, T> {
        Indexed { all: self.all.iter().enumerate(), of: PhantomData }
    }

    /// Where the first stands of which something holds.
    pub fn position(&self, is: impl FnMut(&T) -> bool) -> Option<Index<K>> {
        self.all.iter().position(is).map(Index::new)
    }

    /// Brings them into an order; those alike stay in the order that they had.
    pub fn sort_by(&mut self, order: impl FnMut(&T, &T) -> Ordering) {
        self.all.sort_by(order);
    }
}

impl<K, T> ops::Index<Index<K>> for List<K, T> {
    type Output = T;

    fn index(&self, index: Index<K>) -> &T {
        &self.all[index.number]
    }
}

impl<K, T> ops::IndexMut<Index<K>> for List<K, T> {
    fn index_mut(&mut self, index: Index<K>) -> &mut T {
        &mut self.all[index.number]
    }
}

impl<K, T> Default for List<K, T> {
    fn default() -> Self {
        Self { all: Vec::new(), of: PhantomData }
    }
}

impl<K, T: Clone> Clone for List<K, T> {
    fn clone(&self) -> Self {
        Self { all: self.all.clone(), of: PhantomData }
    }
}

impl<K, T: PartialEq> PartialEq for List<K, T> {
    fn eq(&self, other: &Self) -> bool {
        self.all == other.all
    }
}

impl<K, T: Eq> Eq for List<K, T> {}

impl<K, T: fmt::Debug> fmt::Debug for List<K, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.all.fmt(f)
    }
}

impl<K, T> From<Vec<T>> for List<K, T> {
    fn from(all: Vec<T>) -> Self {
        Self { all, of: PhantomData }
    }
}

impl<K, T> FromIterator<T> for List<K, T> {
    fn from_iter<I: IntoIterator<Item = T>>(all: I) -> Self {
        Self::from(Vec::from_iter(all))
    }
}

impl<K, T> IntoIterator for List<K, T> {
    type Item = T;
    type IntoIter = vec::IntoIter<T>;

    fn into_iter(self) -> Self::IntoIter {
        self.all.into_iter()
    }
}

impl<'a, K, T> IntoIterator for &'a List<K, T> {
    type Item = &'a T;
    type IntoIter = slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl<'a, K, T> IntoIterator for &'a mut List<K, T> {
    type Item = &'a mut T;
    type IntoIter = slice::IterMut<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter_mut()
    }
}

/// Each of a list with its index.
pub struct Indexed<'l, K, T> {
    all: Enumerate<slice::Iter<'l, T>>,
    of: PhantomData<fn() -> K>,
}

impl<K, T> Clone for Indexed<'_, K, T> {
    fn clone(&self) -> Self {
        Self { all: self.all.clone(), of: PhantomData }
    }
}

impl<'l, K, T> Iterator for Indexed<'l, K, T> {
    type Item = (Index<K>, &'l T);

    fn next(&mut self) -> Option<Self::Item> {
        self.all.next().map(|(number, one)| (Index::new(number), one))
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        self.all.size_hint()
    }
}

impl<K, T> DoubleEndedIterator for Indexed<'_, K, T> {
    fn next_back(&mut self) -> Option<Self::Item> {
        self.all.next_back().map(|(number, one)| (Index::new(number), one))
    }
}

impl<K, T> ExactSizeIterator for Indexed<'_, K, T> {}

#[cfg(test)]
mod tests {
    use super::*;

    struct Room;

    #[test]
    fn an_index_finds_what_was_put_there() {
        let mut names: List<Room, &str> = List::default();
        names.push("hall");
        names.push("study");
        let (hall, study) = (Index::new(0), Index::new(1));
        assert_eq!((names[hall], names[study]), ("hall", "study"));
        assert_eq!(names.position(|name| *name == "study"), Some(study));
        assert_eq!(names.enumerate().next_back(), Some((study, &"study")));
        assert!(names.indices().eq([hall, study]) && hall < study);
        assert_eq!(names.get(Index::new(2)), None);
    }
}
