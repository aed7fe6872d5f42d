//! Which of the products that fit is taken.

use std::cmp::Ordering;

use crate::job::heating::EmitterChoice;
use crate::money::Money;

/// Whether height, length and depth are within their limits (mm).
pub(super) fn fits(size_mm: [f64; 3], fit_mm: [f64; 3]) -> bool {
    size_mm.iter().zip(fit_mm).all(|(size_mm, limit_mm)| *size_mm <= limit_mm)
}

/// A product that fits, with what it is chosen by.
pub(super) struct Candidate<T> {
    /// What is chosen.
    pub what: T,
    /// What it can give at the nominal drop (W).
    pub capacity_w: f64,
    /// Its size: the rated output of a radiator, the capacity of a fan convector (W).
    pub size_w: f64,
    /// What it costs the firm.
    pub cost: Money,
}

/// What is asked of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    /// What it should carry (W).
    pub load_w: f64,
    /// Ratio of capacity to load above which one is only taken where nothing else is enough; infinite where none is.
    pub oversize_max: f64,
    /// What decides among those that are enough.
    pub by: EmitterChoice,
}

/// How well a candidate serves, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Serves {
    /// It is enough, and no larger than is wanted.
    Well,
    /// It is enough, and larger than is wanted.
    Amply,
    /// It is not enough.
    Short,
}

impl Asked {
    fn serves<T>(&self, one: &Candidate<T>) -> Serves {
        if one.capacity_w < self.load_w {
            Serves::Short
        } else if self.load_w > 0.0 && one.capacity_w > self.oversize_max * self.load_w {
            Serves::Amply
        } else {
            Serves::Well
        }
    }

    fn better<T>(&self, a: &Candidate<T>, b: &Candidate<T>) -> Ordering {
        let cost = || a.cost.cmp(&b.cost);
        let size = || a.size_w.total_cmp(&b.size_w);
        let serves = self.serves(a);
        serves.cmp(&self.serves(b)).then_with(|| match (serves, self.by) {
            (Serves::Well, EmitterChoice::LeastCost) => cost().then_with(size),
            (Serves::Well, EmitterChoice::LeastOutput) => size().then_with(cost),
            (Serves::Amply, _) => a.capacity_w.total_cmp(&b.capacity_w).then_with(cost),
            (Serves::Short, _) => b.capacity_w.total_cmp(&a.capacity_w).then_with(cost),
        })
    }

    /// The one that is taken: of those that are enough the cheapest, or that of the lowest output, as the job says; where
    /// none is, the strongest.
    pub(super) fn best<T>(&self, candidates: impl Iterator<Item = Candidate<T>>) -> Option<T> {
        candidates.min_by(|a, b| self.better(a, b)).map(|found| found.what)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(what: &'static str, capacity_w: f64, pounds: i64) -> Candidate<&'static str> {
        let cost = Money::from_pennies(100 * pounds);
        Candidate { what, capacity_w, size_w: 3.0 * capacity_w, cost }
    }

    fn taken(load_w: f64, oversize_max: f64, by: EmitterChoice) -> &'static str {
        let offered =
            [one("small", 300.0, 60), one("short wall", 500.0, 95), one("long", 560.0, 80), one("large", 900.0, 70)];
        Asked { load_w, oversize_max, by }.best(offered.into_iter()).unwrap()
    }

    #[test]
    fn the_cheapest_or_the_smallest_of_those_that_are_enough() {
        assert_eq!(taken(450.0, f64::INFINITY, EmitterChoice::LeastCost), "large");
        assert_eq!(taken(450.0, f64::INFINITY, EmitterChoice::LeastOutput), "short wall");
        assert_eq!(taken(100.0, f64::INFINITY, EmitterChoice::LeastCost), "small");
    }

    #[test]
    fn one_that_is_too_large_is_taken_last_and_then_the_least_so() {
        assert_eq!(taken(450.0, 1.5, EmitterChoice::LeastCost), "long");
        assert_eq!(taken(600.0, 1.2, EmitterChoice::LeastCost), "large");
        assert_eq!(taken(100.0, 1.5, EmitterChoice::LeastCost), "small");
    }

    #[test]
    fn where_none_is_enough_the_strongest() {
        for by in [EmitterChoice::LeastCost, EmitterChoice::LeastOutput] {
            assert_eq!(taken(1000.0, 1.5, by), "large");
        }
        assert!(
            Asked { load_w: 1.0, oversize_max: 2.0, by: EmitterChoice::LeastCost }
                .best(std::iter::empty::<Candidate<()>>())
                .is_none()
        );
    }
}
