//! Work that a search may do, counted, and a time by which it must be over.
//!
//! A search that tries much spends units of a budget as it goes. Where they do not reach, it ends with
//! [`MethodError::TooMuchWork`], at the same place on every machine: counted work alone decides what is answered. A budget may
//! be watched besides: by a deadline, or by whoever knows that nobody waits for the answer any more. A watch may hold a search
//! up, and end it with [`MethodError::OutOfTime`]; it never turns it.
//!
//! A unit is about a third of a microsecond on one core of a machine of 2025. It is counted and not measured: each method says how
//! many of its own steps it takes for one, so a unit may be worth twice as much or half.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;
use std::time::Instant;

use super::error::MethodError;

/// Units between two looks at the watch: about three milliseconds, beside which a look costs nothing.
const BETWEEN_LOOKS: u64 = 10_000;

/// Whoever watches a search from outside.
pub trait Watch: fmt::Debug + Send + Sync {
    /// Whether the search may go on. It may be long until this is answered.
    fn goes_on(&self) -> bool;
}

/// A deadline.
impl Watch for Instant {
    fn goes_on(&self) -> bool {
        Instant::now() < *self
    }
}

/// Work that may still be done. One budget is handed down through all searches of a question.
///
/// # Examples
/// ```
/// use tundish_engine::methods::{Budget, MethodError};
/// let budget = Budget::units(10);
/// budget.spend(7)?;
/// assert_eq!(budget.spent(), 7);
/// assert_eq!(budget.spend(4), Err(MethodError::TooMuchWork { granted: 10 }));
/// # Ok::<(), MethodError>(())
/// ```
#[derive(Debug)]
pub struct Budget {
    granted: u64,
    /// Units that can be spent before anything is looked at.
    at_hand: Cell<u64>,
    /// Units behind these.
    behind: Cell<u64>,
    watch: Option<Arc<dyn Watch>>,
    /// What has been met in this question.
    met: RefCell<BTreeSet<Box<[u64]>>>,
}

impl Budget {
    /// So many units of work, and all the time.
    #[must_use]
    pub const fn units(units: u64) -> Self {
        let met = RefCell::new(BTreeSet::new());
        Self { granted: units, at_hand: Cell::new(units), behind: Cell::new(0), watch: None, met }
    }

    /// More work than any search does, and all the time.
    #[must_use]
    pub const fn unbounded() -> Self {
        Self::units(u64::MAX)
    }

    /// The same work, to be over by a time.
    #[must_use]
    pub fn until(self, deadline: Instant) -> Self {
        self.watched(Arc::new(deadline))
    }

    /// The same work, watched.
    #[must_use]
    pub fn watched(self, watch: Arc<dyn Watch>) -> Self {
        let left = self.at_hand.get() + self.behind.get();
        // nothing at hand: the first unit looks at the watch
        let (granted, met) = (self.granted, self.met);
        Self { granted, at_hand: Cell::new(0), behind: Cell::new(left), watch: Some(watch), met }
    }

    /// Units that were spent.
    #[must_use]
    pub fn spent(&self) -> u64 {
        self.granted - self.at_hand.get() - self.behind.get()
    }

    /// Takes units for work that is about to be done.
    ///
    /// # Errors
    /// [`MethodError::TooMuchWork`] where fewer are left, and from then on for whatever is asked;
    /// [`MethodError::OutOfTime`] where a look at the watch, once in some ten thousand units, finds that it goes on no more.
    #[inline]
    pub fn spend(&self, units: u64) -> Result<(), MethodError> {
        match self.at_hand.get().checked_sub(units) {
            Some(left) => {
                self.at_hand.set(left);
                Ok(())
            }
            None => self.look(units),
        }
    }

    /// Whether something that is kept between questions is met for the first time in this one, and so is charged in full.
    ///
    /// # Examples
    /// ```
    /// use tundish_engine::methods::Budget;
    /// let budget = Budget::unbounded();
    /// assert!(budget.is_first(&[1, 2]) && budget.is_first(&[2, 1]) && !budget.is_first(&[1, 2]));
    /// ```
    pub fn is_first(&self, what: &[u64]) -> bool {
        let mut met = self.met.borrow_mut();
        !met.contains(what) && met.insert(what.into())
    }

    /// [`Self::spend`] for steps of which some make a unit, each begun unit in full.
    ///
    /// # Errors
    /// As [`Self::spend`].
    #[inline]
    pub fn spend_steps(&self, steps: usize, steps_per_unit: usize) -> Result<(), MethodError> {
        self.spend(steps.div_ceil(steps_per_unit) as u64)
    }

    #[cold]
    fn look(&self, units: u64) -> Result<(), MethodError> {
        let Some(left) = (self.at_hand.get() + self.behind.get()).checked_sub(units) else {
            // a search that went on with smaller steps would find nothing either
            self.at_hand.set(0);
            self.behind.set(0);
            return Err(MethodError::TooMuchWork { granted: self.granted });
        };
        if self.watch.as_ref().is_some_and(|watch| !watch.goes_on()) {
            return Err(MethodError::OutOfTime);
        }
        let at_hand = if self.watch.is_some() { left.min(BETWEEN_LOOKS) } else { left };
        self.at_hand.set(at_hand);
        self.behind.set(left - at_hand);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    const ENDED: Result<(), MethodError> = Err(MethodError::TooMuchWork { granted: 5 });

    #[test]
    fn what_is_granted_can_be_spent_and_nothing_more() {
        let budget = Budget::units(5);
        assert_eq!((budget.spend(2), budget.spend(3), budget.spend(0), budget.spent()), (Ok(()), Ok(()), Ok(()), 5));
        assert_eq!((budget.spend(1), budget.spent()), (ENDED, 5));
    }

    #[test]
    fn what_was_refused_once_is_refused_in_small_steps_too() {
        let budget = Budget::units(5);
        assert_eq!((budget.spend(6), budget.spend(1)), (ENDED, ENDED));
    }

    #[test]
    fn steps_are_charged_by_begun_units() {
        let budget = Budget::units(5);
        for (steps, spent) in [(0, 0), (1, 1), (16, 2), (17, 4), (1, 5)] {
            budget.spend_steps(steps, 16).unwrap();
            assert_eq!(budget.spent(), spent);
        }
    }

    #[test]
    fn a_deadline_that_has_passed_ends_the_first_unit_and_every_one_after() {
        let budget = Budget::unbounded().until(Instant::now());
        assert_eq!((budget.spend(1), budget.spend(1)), (Err(MethodError::OutOfTime), Err(MethodError::OutOfTime)));
    }

    #[test]
    fn where_work_and_time_are_over_the_counted_work_is_told() {
        assert_eq!(Budget::units(5).until(Instant::now()).spend(6), ENDED);
    }

    #[test]
    fn a_deadline_that_is_far_off_changes_nothing_that_is_counted() {
        let all = 3 * BETWEEN_LOOKS + 7;
        let budget = Budget::units(all).until(Instant::now() + Duration::from_hours(1));
        let mut spent = 0;
        for units in [1, BETWEEN_LOOKS - 1, BETWEEN_LOOKS + 3, 2, BETWEEN_LOOKS] {
            budget.spend(units).unwrap();
            spent += units;
            assert_eq!(budget.spent(), spent);
        }
        assert_eq!(budget.spend(2), Ok(()));
        assert_eq!(budget.spend(1), Err(MethodError::TooMuchWork { granted: all }));
    }

    #[test]
    fn the_watch_is_looked_at_once_in_so_many_units() {
        let budget = Budget::unbounded().until(Instant::now() + Duration::from_millis(20));
        budget.spend(1).unwrap();
        std::thread::sleep(Duration::from_millis(25));
        // what was at hand at the first look is still given, and then the deadline is seen
        budget.spend(BETWEEN_LOOKS).unwrap();
        assert_eq!(budget.spend(1), Err(MethodError::OutOfTime));
    }
}
