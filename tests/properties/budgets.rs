//! Searches that are given just as much work as they take, and a unit less.

use std::fmt::Debug;
use std::time::Instant;

use proptest::prelude::*;
use tundish::methods::cutting::{Coil, cut};
use tundish::methods::floor_conduction::{Pipe, Section as Floor, solve_on};
use tundish::methods::friction::Bore;
use tundish::methods::hidden_tube::{Lengths, Reading, Spread, flow_at, pairs};
use tundish::methods::least_cost_tree::{Choice, Section, front};
use tundish::methods::water::water;
use tundish::methods::{Budget, MethodError};

/// With just the work that it takes, a search answers what it does with any amount, to the last bit; with a unit less it
/// says so, and so it does where the time is over. What it takes is the same each time. Gives that back.
fn just_enough<T: Debug>(search: impl Fn(&Budget) -> Result<T, MethodError>) -> Result<u64, TestCaseError> {
    let plenty = Budget::unbounded();
    // a double is written so that no other is written alike
    let answer = format!("{:?}", search(&plenty).unwrap());
    let units = plenty.spent();
    let enough = Budget::units(units);
    prop_assert_eq!(format!("{:?}", search(&enough).unwrap()), answer);
    prop_assert_eq!(enough.spent(), units);
    if let Some(granted) = units.checked_sub(1) {
        prop_assert_eq!(search(&Budget::units(granted)).unwrap_err(), MethodError::TooMuchWork { granted });
        let late = Budget::unbounded().until(Instant::now());
        prop_assert_eq!(search(&late).unwrap_err(), MethodError::OutOfTime);
    }
    Ok(units)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn tubes_of_a_tree(
        rows in prop::collection::vec((any::<prop::sample::Index>(), prop::collection::vec((0.0..40.0_f64, 0.0..60.0_f64), 1..6)), 1..24),
        most_pa in 40.0..400.0_f64,
    ) {
        let mut sections: Vec<Section> = Vec::new();
        for (parent, choices) in rows {
            let from = parent.index(sections.len() + 1).checked_sub(1);
            let choices = choices.into_iter().map(|(drop_pa, cost)| Choice { drop_pa, cost }).collect();
            sections.push(Section { from, choices, end_pa: 3.0 });
        }
        prop_assert!(just_enough(|budget| front(&sections, most_pa, budget))? > 0);
    }

    #[test]
    fn loops_from_coils(
        loops_m in prop::collection::vec(30.0..110.0_f64, 1..16),
        coils in prop::collection::vec((110.0..260.0_f64, 4000_u64..20_000), 1..4),
    ) {
        let coils: Vec<Coil> = coils.into_iter().map(|(length_m, cost)| Coil { length_m, cost }).collect();
        prop_assert!(just_enough(|budget| cut(&loops_m, &coils, budget))? > 0);
    }

    #[test]
    fn a_hidden_tube(
        read in prop::collection::vec((0.02..0.2_f64, 500.0..20_000.0_f64), 1..4), drop_pa in 100.0..9000.0_f64,
    ) {
        let (liquid, spread) = (water(40.0).unwrap(), Spread { flow: 0.05, drop: 0.05 });
        let readings: Vec<Reading> =
            read.into_iter().map(|(flow_kg_s, drop_pa)| Reading { flow_kg_s, drop_pa, liquid }).collect();
        let bores = [8.8, 13.6, 20.2].map(|inside_diameter_mm| Bore { inside_diameter_mm, roughness_mm: 0.0015 });
        let lengths = Lengths { min_m: 1.0, max_m: 500.0 };
        let units = just_enough(|budget| pairs(&readings, spread, &bores, lengths, budget))?;
        // one for each reading with each of three bores
        prop_assert_eq!(units, 3 * readings.len() as u64);
        prop_assert!(just_enough(|budget| flow_at(drop_pa, 18.0, bores[1], 1.0, &liquid, budget))? > 1);
    }

    #[test]
    fn a_heated_floor(spacing_m in 0.06..0.4_f64, under_m in 0.0..0.03_f64, cover_m in 0.015..0.09_f64) {
        let pipe = Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };
        let section = Floor {
            spacing_m, pipe, under_m, cover_m, film_w_m2k: 700.0, screed_w_mk: 1.2, covering_m2k_w: 0.05,
            surface_w_m2k: 10.8, below_m2k_w: 1.25,
        };
        prop_assert!(just_enough(|budget| solve_on(&section, 8, budget))? > 0);
    }
}

/// Counted by hand: the two choices of one section are merged with nothing and with one point (a unit each, as begun), the
/// two points that come of it are joined at the plant (one) and read out (one).
#[test]
fn a_section_with_two_choices_is_four_units() {
    let choices = [(700.0, 9.0), (300.0, 12.0)].map(|(drop_pa, cost)| Choice { drop_pa, cost });
    let sections = [Section { from: None, choices: choices.to_vec(), end_pa: 0.0 }];
    assert_eq!(just_enough(|budget| front(&sections, 1000.0, budget)).unwrap(), 4);
}

/// Many loops in coils that they do not fill evenly: a search that stops at its own bound, undecided, takes the same work and
/// gives the same cutting each time, and is no error.
#[test]
fn a_search_that_stops_by_itself_is_not_out_of_work() {
    let loops_m: Vec<f64> = (0..40_u32).map(|index| 52.0 + 1.13 * f64::from(index * 37 % 47)).collect();
    let coils = [(120.0, 9300), (200.0, 14_300), (240.0, 16_900)].map(|(length_m, cost)| Coil { length_m, cost });
    let units = just_enough(|budget| cut(&loops_m, &coils, budget)).unwrap();
    let found = cut(&loops_m, &coils, &Budget::units(units)).unwrap().unwrap();
    assert!(!found.is_proven && units > 1000, "{units} units");
}
