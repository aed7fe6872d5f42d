//! Names that stood already in an object that is read.

use std::collections::HashSet;

/// Names that stood already.
#[derive(Default)]
pub(super) struct Seen<'de> {
    /// While they are few.
    few: Vec<&'de str>,
    many: HashSet<&'de str>,
}

impl<'de> Seen<'de> {
    /// Whether a name is new.
    pub(super) fn is_new(&mut self, name: &'de str) -> bool {
        const FEW: usize = 24;
        if self.few.len() < FEW {
            let is_new = !self.few.contains(&name);
            self.few.push(name);
            return is_new;
        }
        if self.many.is_empty() {
            self.many.extend(&self.few);
        }
        self.many.insert(name)
    }

    pub(super) fn count(&self) -> usize {
        self.few.len().max(self.many.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_stands_twice_among_many_is_found() {
        let mut seen = Seen::default();
        let names: Vec<String> = (0..200).map(|number| format!("name_{number}")).collect();
        assert!(names.iter().all(|name| seen.is_new(name)));
        assert_eq!(seen.count(), 200);
        assert!(!names.iter().any(|name| seen.is_new(name)));
    }
}
