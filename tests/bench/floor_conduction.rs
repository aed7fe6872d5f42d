//! What a section of a heated floor costs, by conduction.
#![expect(clippy::unwrap_used, reason = "a bench has nobody to hand an error to")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use tundish::methods::Budget;
use tundish::methods::floor_conduction::{ACROSS_PIPE_IN_A_SEARCH, Pipe, Section, solve, solve_on};

fn section(spacing_m: f64) -> Section {
    Section {
        spacing_m,
        pipe: Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None },
        film_w_m2k: 600.0,
        under_m: 0.0,
        cover_m: 0.045,
        screed_w_mk: 1.2,
        covering_m2k_w: 0.05,
        surface_w_m2k: 10.8,
        below_m2k_w: 1.25,
    }
}

fn floors(c: &mut Criterion) {
    let mut group = c.benchmark_group("section of a heated floor");
    for spacing_m in [0.1, 0.3] {
        let section = section(spacing_m);
        group.bench_function(format!("{spacing_m} m, two grids"), |b| {
            b.iter(|| solve(black_box(&section), &Budget::unbounded()).unwrap());
        });
        group.bench_function(format!("{spacing_m} m, as in a search"), |b| {
            b.iter(|| solve_on(black_box(&section), ACROSS_PIPE_IN_A_SEARCH, &Budget::unbounded()).unwrap());
        });
    }
    let response = solve(&section(0.15), &Budget::unbounded()).unwrap().response;
    group.bench_function("once solved, at other temperatures", |b| {
        b.iter(|| response.at(black_box(38.0), black_box(20.0), black_box(10.0)));
    });
    group.finish();
}

criterion_group!(benches, floors);
criterion_main!(benches);
