//! What the emitters of a house of heated floors cost, with its sections solved before and not, and all its flow
//! temperatures.
#![expect(clippy::unwrap_used, reason = "a bench has nobody to hand an error to")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use serde_json::{Map, Value, json};
use tundish::catalogue::Catalogue;
use tundish::design::emitters::compute;
use tundish::design::heat_loss::{self, HeatLoss};
use tundish::design::stage::{Asked, Tells};
use tundish::intake::Gate;
use tundish::job::Job;
use tundish::methods::{Budget, Off};
use tundish::proposal::{self, Prepared, flow_candidate};
use tundish::survey::{EmitterKind, Survey};

const ROOMS: u8 = 15;

/// A house of so many rooms over the ground, each a little different: heated floors under three coverings, and in every
/// so-manyth room a radiator.
fn house(rooms: u8, radiators: u8, design_on: &str) -> (Prepared, HeatLoss) {
    let rooms: Map<String, Value> = (0..rooms)
        .map(|i| {
            let area_m2 = 8.0 + 1.5 * f64::from(i % ROOMS);
            let thickness_mm = [4, 8, 14][usize::from(i % 3)];
            let covering = json!({"thickness_mm": thickness_mm, "conductivity_w_mk": 0.17});
            let floor = json!({"kind": "heated_floor", "tube": "floor_tube_16", "covering": covering,
                "screed": {"conductivity_w_mk": 1.2, "cover_mm": 45}, "design_on": {"kind": design_on}});
            let emitter = if radiators > 0 && i % radiators == 0 { json!({"kind": "radiator"}) } else { floor };
            let room = json!({
                "use": "living", "floor_area_m2": area_m2, "height_m": 2.5, "inside_design_c": 21, "air_changes_per_h": 0.6,
                "surfaces": {
                    "wall": {"part": "wall", "construction": "wall", "area_m2": 1.6 * area_m2, "faces": {"kind": "outside"}},
                    "floor": {"part": "floor", "construction": "floor", "area_m2": area_m2, "faces": {"kind": "ground"}}},
                "emitters": {"one": emitter}
            });
            (format!("r{i}"), room)
        })
        .collect();
    let job = json!({
        "schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -3.0, "annual_mean_outside_c": 10.0}},
        "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0.05}, "air_heat_wh_m3k": 0.34},
        "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 0.5}, "floor": {"kind": "known", "u_value_w_m2k": 0.2}},
        "rooms": rooms,
        "heating": {"flow_temperature": {"kind": "fixed", "flow_temperature_c": 37}, "drop_k": 5},
        "pipework": {"manifolds": {"m": {}}}
    });
    let gate = Gate::for_type::<Job>().unwrap();
    let catalogue = Catalogue::try_built_in().unwrap();
    let prepared = proposal::read(&gate, &catalogue, job.to_string().as_bytes(), proposal::Needs::Design).unwrap();
    let loss = heat_loss::compute(&prepared.survey, &mut Off).unwrap();
    (prepared, loss)
}

fn asked<'s>(survey: &'s Survey, tells: Tells, budget: &'s Budget) -> Asked<'s> {
    Asked { survey, tells, budget, known: None }
}

fn fifteen_rooms(c: &mut Criterion) {
    let budget = Budget::unbounded();
    let mut group = c.benchmark_group("emitters of 15 rooms with heated floors");
    let (Prepared { survey, .. }, loss) = house(ROOMS, 0, "standard");
    group.bench_function("by the standard", |b| {
        b.iter(|| compute(asked(black_box(&survey), Tells::All, &budget), &loss, &mut Off).unwrap());
    });
    let (Prepared { survey, .. }, loss) = house(ROOMS, 0, "lower");
    group.bench_function("by the lower, sections solved before", |b| {
        b.iter(|| compute(asked(black_box(&survey), Tells::All, &budget), &loss, &mut Off).unwrap());
    });
    group.bench_function("the same, how they run alone", |b| {
        b.iter(|| compute(asked(black_box(&survey), Tells::Duty, &budget), &loss, &mut Off).unwrap());
    });
    let (Prepared { mut survey, .. }, loss) = house(ROOMS, 0, "lower");
    group.sample_size(20).bench_function("by the lower, no section solved before", |b| {
        b.iter(|| {
            // another screed each time, so that nothing is known of it
            for emitter in survey.rooms.iter_mut().flat_map(|room| &mut room.emitters) {
                if let EmitterKind::HeatedFloor(floor) = &mut emitter.kind {
                    floor.screed_w_mk += 1e-7;
                }
            }
            compute(asked(black_box(&survey), Tells::All, &budget), &loss, &mut Off).unwrap()
        });
    });
    group.finish();
}

/// Every flow temperature from 30 to 55 °C: emitters, their cost, the heat source.
fn flow_temperatures(c: &mut Criterion) {
    let budget = Budget::unbounded();
    let mut group = c.benchmark_group("26 flow temperatures, sections solved before");
    for rooms in [ROOMS, 4 * ROOMS] {
        let (prepared, loss) = house(rooms, 3, "lower");
        let survey = &prepared.survey;
        group.sample_size(20).bench_function(format!("{rooms} rooms"), |b| {
            b.iter(|| {
                let flows = (0..26).map(|step| 30.0 + f64::from(step));
                flows
                    .map(|flow_c| {
                        flow_candidate(asked(black_box(survey), Tells::Duty, &budget), &loss, flow_c).unwrap()
                    })
                    .collect::<Vec<_>>()
            });
        });
        group.bench_function(format!("{rooms} rooms, with the lowest and what would lower it next"), |b| {
            b.iter(|| proposal::flow_temperatures(&black_box(prepared.clone()), false).unwrap());
        });
    }
    group.finish();
}

criterion_group!(benches, fifteen_rooms, flow_temperatures);
criterion_main!(benches);
