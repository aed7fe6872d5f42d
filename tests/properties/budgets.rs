//! Searches that are given just as much work as they take, and a unit less.

use std::fmt::Debug;
use std::time::Instant;

use proptest::prelude::*;
use serde_json::{Value, json};
use tundish::design::stage::Tells;
use tundish::design::{emitters, heat_loss, pipework, source};
use tundish::methods::cutting::{Coil, cut};
use tundish::methods::floor_conduction::{ACROSS_PIPE_IN_A_SEARCH, Pipe, Section as Floor, solve_on};
use tundish::methods::friction::Bore;
use tundish::methods::hidden_tube::{Lengths, Reading, Spread, Tried, pairs};
use tundish::methods::least_cost_tree::{Choice, Section, front};
use tundish::methods::network_flow::{Drive, End, Network, Part, Pump, Section as Joint, Tube};
use tundish::methods::water::water;
use tundish::methods::{Budget, MethodError, Off};
use tundish::survey::Survey;

use super::houses::{asked, prepared};

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
    fn flows_of_a_tree(
        rows in prop::collection::vec((any::<prop::sample::Index>(), 0.01..3.0_f64, 1.0..40.0_f64), 1..9), speed in 0.4..1.0_f64,
    ) {
        let bore = Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 };
        let liquid = water(40.0).unwrap();
        let mut network = Network::default();
        for (from, kv_m3_h, length_m) in rows {
            let from = from.index(network.sections.len() + 1).checked_sub(1);
            network.sections.push(Joint { from, parts: vec![Part::Tube(Tube { bore, length_m, zeta: 3.0, liquid })] });
            let valve = Part::Valve { kv_m3_h, density_kg_m3: 990.0 };
            network.ends.push(End { at: Some(network.sections.len() - 1), parts: vec![valve] });
        }
        let drive = Drive::Curve { points: &[(0.0, 60.0), (3000.0, 0.0)], speed };
        let pump = Pump { drive, density_kg_m3: 990.0 };
        prop_assert!(just_enough(|budget| network.solve(&pump, budget, &mut Off))? > 0);
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
        read in prop::collection::vec((0.02..0.2_f64, 500.0..20_000.0_f64), 1..4), zeta in 0.0..20.0_f64,
    ) {
        let (liquid, spread) = (water(40.0).unwrap(), Spread { flow: 0.05, drop: 0.05 });
        let readings: Vec<Reading> =
            read.into_iter().map(|(flow_kg_s, drop_pa)| Reading { flow_kg_s, drop_pa, liquid }).collect();
        let tried = [8.8, 13.6, 20.2]
            .map(|inside_diameter_mm| Tried { bore: Bore { inside_diameter_mm, roughness_mm: 0.0015 }, zeta });
        let lengths = Lengths { min_m: 1.0, max_m: 500.0, spread: 0.05 };
        let units = just_enough(|budget| pairs(&readings, spread, &tried, lengths, budget))?;
        // five for each reading with each of three bores
        prop_assert_eq!(units, 3 * 5 * readings.len() as u64);
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

/// Twenty times the tubes on offer is twenty times the work for each of eight runs, a unit a tube; and as they are the same
/// tubes, nothing else is chosen.
#[test]
fn every_tube_that_a_run_may_have_is_work() {
    let text = include_str!("../../fixtures/published/hand_house.json");
    let mut survey = prepared(&serde_json::from_str(text).unwrap()).survey;
    let (runs, tubes) = (survey.pipes.runs.len(), survey.pipes.tubes.len());
    assert_eq!(runs, 8);
    let sized = |survey: &Survey| {
        let loss = heat_loss::compute(survey, &mut Off).unwrap();
        let before = Budget::unbounded();
        let emitters = emitters::compute(asked(survey, Tells::Duty, &before), &loss, &mut Off).unwrap();
        let source = source::compute(survey, &loss, &emitters, &mut Off).unwrap();
        let budget = Budget::unbounded();
        let found = pipework::compute(asked(survey, Tells::Duty, &budget), &emitters, &source, &mut Off).unwrap();
        (found.sections, budget.spent())
    };
    let (few, work) = sized(&survey);
    survey.pipes.tubes = survey.pipes.tubes.repeat(20);
    let (many, more_work) = sized(&survey);
    assert_eq!(few, many);
    let tried = (runs * tubes) as u64;
    assert!(work >= tried && more_work >= work + 19 * tried, "{work} and {more_work} units for {tried} candidates");
}

/// A room of 14 m² that loses 720 W, and no more.
fn one_room(emitter: &Value) -> Value {
    json!({"schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -3, "annual_mean_outside_c": 10}},
        "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0}},
        "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 1}, "floor": {"kind": "known", "u_value_w_m2k": 0.2}},
        "rooms": {"room": {"use": "living", "floor_area_m2": 14, "height_m": 2.4, "inside_design_c": 21, "air_changes_per_h": 0,
            "surfaces": {"wall": {"part": "wall", "construction": "wall", "area_m2": 30, "faces": {"kind": "outside"}},
                "floor": {"part": "floor", "construction": "floor", "area_m2": 14,
                    "faces": {"kind": "temperature", "temperature_c": 21}}},
            "emitters": {"floor": emitter}}},
        "heating": {"flow_temperature": {"kind": "fixed", "flow_temperature_c": 38}, "drop_k": 5},
        "pipework": {"manifolds": {"m": {}}}})
}

/// Counted by hand: an emitter, which looks through no radiators or fan convectors where it is a floor, the section of each zone as
/// it is solved by itself (what it gives by conduction is told beside the standard), and eight units a zone.
#[test]
fn every_zone_of_a_floor_is_work() {
    let pipe = Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };
    let solved = |spacing_mm: f64| {
        let section = Floor {
            spacing_m: spacing_mm / 1000.0,
            pipe,
            film_w_m2k: 700.0,
            under_m: 0.0,
            cover_m: 0.045,
            screed_w_mk: 1.2,
            covering_m2k_w: 0.0,
            surface_w_m2k: 10.8,
            below_m2k_w: 5.0,
        };
        let budget = Budget::unbounded();
        solve_on(&section, ACROSS_PIPE_IN_A_SEARCH, &budget).unwrap();
        budget.spent()
    };
    let work = |edge: Value| {
        let mut floor = json!({"kind": "heated_floor", "tube": "floor_tube_16", "tail_m": 3, "spacings_mm": [150],
            "screed": {"cover_mm": 45}, "design_on": {"kind": "standard"}});
        floor.as_object_mut().unwrap().extend(edge.as_object().unwrap().clone());
        let survey = prepared(&one_room(&floor)).survey;
        let loss = heat_loss::compute(&survey, &mut Off).unwrap();
        let budget = Budget::unbounded();
        emitters::at(asked(&survey, Tells::Duty, &budget), &loss, 38.0, &mut Off).unwrap();
        budget.spent() - 64 / 8
    };
    assert_eq!(work(json!({})), solved(150.0) + 8);
    assert_eq!(work(json!({"edge_area_m2": 3, "edge_spacing_mm": 100})), solved(150.0) + solved(100.0) + 16);
}
