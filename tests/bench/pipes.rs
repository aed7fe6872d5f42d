//! What it costs to size a tree of sixty sections exactly, and to cut the loops of a house from coils.
#![expect(clippy::unwrap_used, reason = "a bench has nobody to hand an error to")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use tundish::methods::cutting::{Coil, cut};
use tundish::methods::friction::{Bore, in_tube};
use tundish::methods::least_cost_tree::{Choice, Section, front};
use tundish::methods::water::water;
use tundish::methods::{Budget, Off};

/// Copper: bore (mm) and what a metre costs.
const TUBES: [(f64, f64); 6] = [(8.8, 3.28), (10.8, 3.73), (13.6, 4.48), (20.2, 8.30), (26.2, 11.38), (32.6, 20.60)];

/// A trunk with a branch at each of its joints and a leaf or two on every branch; the lengths all differ. `joints` sets
/// how deep it is.
fn tree(joints: u32) -> Vec<Section> {
    let mut parents: Vec<(Option<usize>, f64)> = Vec::new();
    let (mut last, mut joint) = (None, 0);
    while parents.len() < 60 {
        let count = f64::from(joint);
        if joint < joints {
            parents.push((last, 1.7 + 0.31 * count));
            last = Some(parents.len() - 1);
        }
        for leaf in 0..4_u32 {
            let from = if leaf % 2 == 0 { last } else { Some(parents.len() - 1) };
            parents.push((from, 2.3 + 0.17 * count + 0.7 * f64::from(leaf)));
        }
        joint += 1;
    }
    parents.truncate(60);
    let mut flows_kg_s = vec![0.0; 60];
    for index in (0..60).rev() {
        if flows_kg_s[index] == 0.0 {
            flows_kg_s[index] = 0.018;
        }
        if let Some(from) = parents[index].0 {
            let flow = flows_kg_s[index];
            flows_kg_s[from] += flow;
        }
    }
    let water = water(37.5).unwrap();
    let sections = parents.iter().zip(flows_kg_s).map(|(&(from, length_m), flow_kg_s)| {
        let choices = TUBES.iter().filter_map(|&(inside_diameter_mm, per_m)| {
            let found =
                in_tube(Bore { inside_diameter_mm, roughness_mm: 0.0015 }, &water, flow_kg_s, &mut Off).unwrap();
            let choice = Choice { drop_pa: 2.0 * length_m * found.gradient_pa_m, cost: 2.0 * length_m * per_m };
            (found.velocity_m_s <= 1.0).then_some(choice)
        });
        Section { from, choices: choices.collect(), end_pa: 2000.0 }
    });
    sections.collect()
}

fn sizes(c: &mut Criterion) {
    let mut group = c.benchmark_group("tubes of 60 sections at least cost");
    for joints in [4, 12] {
        let tree = tree(joints);
        let found = front(&tree, 40_000.0, &Budget::unbounded()).unwrap();
        group.bench_function(format!("{joints} joints deep, {} points", found.points.len()), |b| {
            b.iter(|| front(black_box(&tree), 40_000.0, &Budget::unbounded()).unwrap());
        });
    }
    group.finish();
}

fn coils(c: &mut Criterion) {
    let coils = [(120.0, 9300), (200.0, 14_300), (240.0, 16_900)].map(|(length_m, cost)| Coil { length_m, cost });
    let mut group = c.benchmark_group("floor loops from three lengths of coil");
    for count in [8_u32, 16] {
        let loops_m: Vec<f64> = (0..count).map(|index| 52.0 + f64::from(index * 37 % 47)).collect();
        group.bench_function(format!("{count} loops"), |b| {
            b.iter(|| cut(black_box(&loops_m), &coils, &Budget::unbounded()).unwrap());
        });
    }
    group.finish();
}

criterion_group!(benches, sizes, coils);
criterion_main!(benches);
