//! Sections of floors that were solved, kept by their geometry.
//!
//! A section is the same for every temperature, every film and every request, so it is solved once while the program
//! runs. What is kept is a figure of its input alone: the answer does not depend on what was asked before.

use std::sync::LazyLock;

use quick_cache::sync::Cache;

use crate::methods::floor_conduction::{ACROSS_PIPE_IN_A_SEARCH, Pipe, Section, Solution, solve_on};
use crate::methods::{Budget, MethodError};

/// Sections that are kept: some hundred bytes each.
const MOST_SECTIONS: usize = 8192;

/// Film behind which sections are solved (W/(m²K)): about the middle, so that every other lies near.
const FILM_W_M2K: f64 = 700.0;

/// Every figure of a section, bit for bit.
type Key = [u64; 11];

/// A section solved, and the units of work that it took.
static SECTIONS: LazyLock<Cache<Key, (Solution, u64)>> = LazyLock::new(|| Cache::new(MOST_SECTIONS));

fn key(section: &Section) -> Key {
    let Section { spacing_m, pipe, film_w_m2k: _, under_m, cover_m, screed_w_mk, covering_m2k_w, .. } = *section;
    let Section { surface_w_m2k, below_m2k_w, .. } = *section;
    let Pipe { outside_m, wall_m, conductivity_w_mk, .. } = pipe;
    // the rest of a pipe is known by its resistance
    let pipe_m2k_w = pipe.resistance_m2k_w(FILM_W_M2K);
    let figures = [
        spacing_m,
        pipe.outermost_m(),
        pipe_m2k_w,
        outside_m - 2.0 * wall_m,
        conductivity_w_mk,
        under_m,
        cover_m,
        screed_w_mk,
        covering_m2k_w,
        surface_w_m2k,
        below_m2k_w,
    ];
    figures.map(f64::to_bits)
}

/// The section solved, behind a middling film; other films stand in series with it. One that was solved before is charged once a
/// question as one that was not: else what is answered would hang on what was asked before.
pub(super) fn solved(section: &Section, budget: &Budget) -> Result<Solution, MethodError> {
    let section = Section { film_w_m2k: FILM_W_M2K, ..*section };
    let key = key(&section);
    let mut is_charged = false;
    let (solution, units) = SECTIONS.get_or_insert_with(&key, || {
        is_charged = true;
        let before = budget.spent();
        let solution = solve_on(&section, ACROSS_PIPE_IN_A_SEARCH, budget)?;
        Ok::<_, MethodError>((solution, budget.spent() - before))
    })?;
    let is_first = budget.is_first(&key);
    // solved before, or by another question while this one waited
    if !is_charged {
        budget.spend(if is_first { units } else { 1 })?;
    }
    Ok(solution)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::sync::Barrier;

    use super::*;

    /// Many questions at once about a section that nobody has asked about: each is charged what it takes.
    #[test]
    fn a_section_costs_the_same_whoever_solves_it() {
        let pipe = Pipe { outside_m: 0.017, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };
        for spacing_m in [0.11, 0.21, 0.31] {
            let section = Section {
                spacing_m,
                pipe,
                film_w_m2k: FILM_W_M2K,
                under_m: 0.0,
                cover_m: 0.045,
                screed_w_mk: 1.2,
                covering_m2k_w: 0.0,
                surface_w_m2k: 10.8,
                below_m2k_w: 1.25,
            };
            let start = Barrier::new(8);
            let spent = || {
                start.wait();
                let budget = Budget::unbounded();
                solved(&section, &budget).unwrap();
                budget.spent()
            };
            let spent: BTreeSet<u64> = std::thread::scope(|scope| {
                let asked: Vec<_> = (0..8).map(|_| scope.spawn(spent)).collect();
                asked.into_iter().map(|one| one.join().unwrap()).collect()
            });
            assert!(spent.len() == 1 && !spent.contains(&0), "{spent:?}");
        }
    }

    #[test]
    fn a_section_comes_back_as_it_was_solved() {
        let pipe = Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };
        let section = Section {
            spacing_m: 0.15,
            pipe,
            film_w_m2k: FILM_W_M2K,
            under_m: 0.0,
            cover_m: 0.045,
            screed_w_mk: 1.2,
            covering_m2k_w: 0.0,
            surface_w_m2k: 10.8,
            below_m2k_w: 1.25,
        };
        let fresh = solve_on(&section, ACROSS_PIPE_IN_A_SEARCH, &Budget::unbounded());
        let (first, again) = (Budget::unbounded(), Budget::unbounded());
        assert_eq!(solved(&section, &first), fresh);
        assert_eq!(solved(&section, &again), fresh);
        assert_eq!(first.spent(), again.spent());
        let other = Section { covering_m2k_w: 0.05, ..section };
        assert_ne!(solved(&other, &first), fresh);
    }
}
