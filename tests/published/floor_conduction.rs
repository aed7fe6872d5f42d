//! Conduction through heated floors against finite elements and a closed form from outside.

use serde::Deserialize;
use tundish::methods::Budget;
use tundish::methods::floor_conduction::{ACROSS_PIPE_IN_A_SEARCH, Pipe, Section, Solution, State, solve, solve_on};
use tundish::methods::math::exp;

use super::fixture::{assert_within, rows};

#[derive(Debug, Deserialize)]
struct Row {
    id: String,
    spacing_mm: f64,
    pipe_outside_mm: f64,
    pipe_wall_mm: f64,
    pipe_w_mk: f64,
    cover_mm: f64,
    screed_w_mk: f64,
    covering_m2k_w: f64,
    below_m2k_w: f64,
    surface_w_m2k: f64,
    up_w_m2k: f64,
    water_to_below_w_m2k: f64,
    below_to_room_w_m2k: f64,
    water_c: f64,
    room_c: f64,
    below_c: f64,
    up_w_m2: f64,
    down_w_m2: f64,
    surface_c: f64,
    surface_highest_c: f64,
    surface_lowest_c: f64,
    film_2000_up_w_m2k: f64,
    film_250_up_w_m2k: f64,
    raised_up_w_m2k: f64,
    raised_up_w_m2: f64,
    raised_down_w_m2: f64,
    raised_surface_highest_c: f64,
}

impl Row {
    fn section(&self) -> Section {
        Section {
            spacing_m: self.spacing_mm / 1000.0,
            pipe: Pipe {
                outside_m: self.pipe_outside_mm / 1000.0,
                wall_m: self.pipe_wall_mm / 1000.0,
                conductivity_w_mk: self.pipe_w_mk,
                sheath: None,
            },
            film_w_m2k: f64::INFINITY,
            under_m: 0.0,
            cover_m: self.cover_mm / 1000.0,
            screed_w_mk: self.screed_w_mk,
            covering_m2k_w: self.covering_m2k_w,
            surface_w_m2k: self.surface_w_m2k,
            below_m2k_w: self.below_m2k_w,
        }
    }

    fn at(&self, solution: &Solution) -> State {
        solution.response.at(self.water_c, self.room_c, self.below_c)
    }
}

/// Source: `floor_conduction.csv`, finite elements by scikit-fem; every row.
#[test]
fn heated_floors_conduct_as_finite_elements_say() {
    const TOLERANCE: f64 = 0.005;
    for row in rows::<Row>("floor_conduction.csv") {
        let solution = solve(&row.section(), &Budget::unbounded()).unwrap();
        let (response, state) = (solution.response, row.at(&solution));
        let within = |what: &str, figure: f64, published: f64| {
            assert_within(&format!("{} {what}", row.id), figure, published, TOLERANCE * published.abs());
        };
        within("up by the water", response.up_w_m2k.water, row.up_w_m2k);
        within("down by the water", response.down_w_m2k.water, row.water_to_below_w_m2k);
        within("up by what lies below", response.up_w_m2k.below, row.below_to_room_w_m2k);
        within("up", state.up_w_m2, row.up_w_m2);
        within("down", state.down_w_m2, row.down_w_m2);
        let surfaces = [
            ("surface", state.surface_c, row.surface_c),
            ("highest surface", state.surface_highest_c, row.surface_highest_c),
            ("lowest surface", state.surface_lowest_c, row.surface_lowest_c),
        ];
        for (what, figure, published) in surfaces {
            within(what, figure - row.room_c, published - row.room_c);
        }
        // the grid says no less than what it is off by
        let off = (response.up_w_m2k.water / row.up_w_m2k - 1.0).abs();
        assert!(off <= solution.grid_error && solution.grid_error < TOLERANCE, "{}: {off}", row.id);
    }
}

/// Source: `floor_conduction.csv`, finite elements by scikit-fem; films in the bore and pipes 10 mm above the insulation.
#[test]
fn films_and_raised_pipes_conduct_as_finite_elements_say() {
    const TOLERANCE: f64 = 0.005;
    for row in rows::<Row>("floor_conduction.csv") {
        let section = row.section();
        let within = |what: &str, figure: f64, published: f64| {
            assert_within(&format!("{} {what}", row.id), figure, published, TOLERANCE * published.abs());
        };
        for (film_w_m2k, published) in [(2000.0, row.film_2000_up_w_m2k), (250.0, row.film_250_up_w_m2k)] {
            let solution = solve(&Section { film_w_m2k, ..section }, &Budget::unbounded()).unwrap();
            within(&format!("with a film of {film_w_m2k}"), solution.response.up_w_m2k.water, published);
        }
        let raised = solve(&Section { under_m: 0.010, ..section }, &Budget::unbounded()).unwrap();
        let state = row.at(&raised);
        within("raised, by the water", raised.response.up_w_m2k.water, row.raised_up_w_m2k);
        within("raised, up", state.up_w_m2, row.raised_up_w_m2);
        within("raised, down", state.down_w_m2, row.raised_down_w_m2);
        let excess_k = state.surface_highest_c - row.room_c;
        within("raised, highest surface", excess_k, row.raised_surface_highest_c - row.room_c);
    }
}

/// Source: a row of cylinders under an even surface, by series of multipoles and their images about each, collocated
/// round the cylinder with numpy (the potential is met to 1e-12); no code of this program. The handbooks' formula for
/// small cylinders, S = 2π/ln((2w/πD)·sinh(2πz/w)), from memory, gives 16.052, 7.2623 and 6.9322 for the same.
#[test]
fn a_row_of_pipes_under_an_even_surface_conducts_as_its_series_says() {
    let cases = [(0.16, 0.05, 16.173_059), (0.3, 0.1, 7.275_478), (0.2, 0.15, 6.949_393)];
    for (spacing_m, cover_m, expected_w_m2k) in cases {
        let section = Section {
            spacing_m,
            pipe: Pipe { outside_m: 0.016, wall_m: 1e-6, conductivity_w_mk: 1e6, sheath: None },
            film_w_m2k: f64::INFINITY,
            // deep enough that nothing below is felt
            under_m: 0.2,
            cover_m,
            screed_w_mk: 1.4,
            covering_m2k_w: 0.0,
            surface_w_m2k: 1e9,
            below_m2k_w: 1e9,
        };
        let found = solve(&section, &Budget::unbounded()).unwrap().response.up_w_m2k.water;
        assert_within(&format!("{spacing_m} m apart, {cover_m} m deep"), found, expected_w_m2k, 0.002 * expected_w_m2k);
    }
}

/// Source: 45 W/m² at 21 °C on bare tile at 150 mm (d05 of `floor_conduction.csv`) with a drop of 5 K needs a flow of
/// 32.67 °C with what lies below as warm as the room, 33.14 °C with 10 °C below, 33.53 °C with a laminar film of
/// 250 W/(m²K); from the coefficients of the finite elements and the logarithmic mean, to two decimals. With film and
/// 10 °C below it is 34.15 °C: behind a film of 250·π·0.012/0.15 = 62.83 W/(m²K) what lies below draws on the room with
/// 0.2236 + 5.036·0.5478/(5.036 + 0.5478 + 62.83) = 0.2640 W/(m²K) (34.05 °C if it drew as without a film).
#[test]
fn a_quoted_floor_needs_its_flow_temperature() {
    const ROOM_C: f64 = 21.0;
    const DROP_K: f64 = 5.0;
    let row = rows::<Row>("floor_conduction.csv").into_iter().find(|row| row.id == "d05").unwrap();
    let cases =
        [(f64::INFINITY, ROOM_C, 32.67), (f64::INFINITY, 10.0, 33.14), (250.0, ROOM_C, 33.53), (250.0, 10.0, 34.15)];
    for (film_w_m2k, below_c, published_c) in cases {
        let response = solve(&Section { film_w_m2k, ..row.section() }, &Budget::unbounded()).unwrap().response;
        let excess_k = (45.0 - response.up_w_m2k.below * (below_c - ROOM_C)) / response.up_w_m2k.water;
        let flow_c = ROOM_C + DROP_K / (1.0 - exp(-DROP_K / excess_k));
        assert_within(&format!("film {film_w_m2k}, {below_c} °C below"), flow_c, published_c, 0.05);
    }
}

/// Conservation and reciprocity, of every row with a film and a raised pipe.
#[test]
fn heat_is_conserved_and_goes_both_ways_alike() {
    for row in rows::<Row>("floor_conduction.csv") {
        let section = Section { film_w_m2k: 700.0, under_m: 0.007, ..row.section() };
        let response = solve(&section, &Budget::unbounded()).unwrap().response;
        for (water_c, room_c, below_c) in [(40.0, 20.0, 10.0), (20.0, 24.0, 24.0), (30.0, 20.0, 35.0)] {
            let State { up_w_m2, down_w_m2, water_w_m2, .. } = response.at(water_c, room_c, below_c);
            let size = up_w_m2.abs() + down_w_m2.abs() + water_w_m2.abs();
            assert!((up_w_m2 + down_w_m2 - water_w_m2).abs() < 1e-10 * size, "{}: {water_w_m2}", row.id);
        }
        // at one temperature all over nothing flows; what lies below gives the room what the room would give it
        let one = response.at(1.0, 0.0, 1.0);
        assert!((one.down_w_m2 + response.up_w_m2k.below).abs() < 1e-10, "{}: {one:?}", row.id);
    }
}

/// Source: `floor_conduction.csv`, finite elements by scikit-fem. The grid of a search is coarser, and one solution
/// behind a middling film serves every film: both together stay within the one per cent that is asked.
#[test]
fn one_section_of_a_search_serves_every_film() {
    const TOLERANCE: f64 = 0.01;
    for row in rows::<Row>("floor_conduction.csv") {
        let section = Section { film_w_m2k: 700.0, ..row.section() };
        let solved = solve_on(&section, ACROSS_PIPE_IN_A_SEARCH, &Budget::unbounded()).unwrap();
        let behind = |film_w_m2k| solved.response.behind_pipe(section.pipe.resistance_m2k_w(film_w_m2k));
        let films = [(f64::INFINITY, row.up_w_m2k), (2000.0, row.film_2000_up_w_m2k), (250.0, row.film_250_up_w_m2k)];
        for (film_w_m2k, published) in films {
            let found = behind(film_w_m2k).up_w_m2k.water;
            assert_within(&format!("{} film {film_w_m2k}", row.id), found, published, TOLERANCE * published);
        }
        let bare = behind(f64::INFINITY);
        let state = bare.at(row.water_c, row.room_c, row.below_c);
        let within = |what: &str, figure: f64, published: f64| {
            assert_within(&format!("{} {what}", row.id), figure, published, TOLERANCE * published.abs());
        };
        within("up", state.up_w_m2, row.up_w_m2);
        within("down", state.down_w_m2, row.down_w_m2);
        within("up by what lies below", bare.up_w_m2k.below, row.below_to_room_w_m2k);
        within("highest surface", state.surface_highest_c - row.room_c, row.surface_highest_c - row.room_c);
        within("lowest surface", state.surface_lowest_c - row.room_c, row.surface_lowest_c - row.room_c);
        let raised =
            solve_on(&Section { under_m: 0.010, ..section }, ACROSS_PIPE_IN_A_SEARCH, &Budget::unbounded()).unwrap();
        let raised = raised.response.behind_pipe(section.pipe.resistance_m2k_w(f64::INFINITY));
        let at_rest = raised.at(row.water_c, row.room_c, row.below_c);
        within("raised, up", at_rest.up_w_m2, row.raised_up_w_m2);
        within("raised, down", at_rest.down_w_m2, row.raised_down_w_m2);
        let highest_k = at_rest.surface_highest_c - row.room_c;
        within("raised, highest surface", highest_k, row.raised_surface_highest_c - row.room_c);
        let balance_w_m2 = state.up_w_m2 + state.down_w_m2 - state.water_w_m2;
        assert!(balance_w_m2.abs() < 1e-10 * state.water_w_m2.abs(), "{}: {balance_w_m2}", row.id);
    }
}
