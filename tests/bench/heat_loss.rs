//! What heat loss costs: with workings off it must cost what hand-written code costs, and a whole question must stay
//! near the price of reading and writing the same documents.
#![expect(clippy::unwrap_used, reason = "a bench has nobody to hand an error to")]
#![expect(clippy::float_cmp, reason = "the same formulas give the same bits")]

use std::hint::black_box;
use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use serde_json::{Map, Value, json};
use tundish::catalogue::Catalogue;
use tundish::design::heat_loss::{compute, uncertainty};
use tundish::design::stage::{Asked, Tells};
use tundish::intake::Gate;
use tundish::job::Job;
use tundish::methods::{Book, Budget, Off};
use tundish::proposal;
use tundish::render::json::to_string;
use tundish::survey::{Bridging, Construction, Faces, OutsideDesign, RoomAirKind, Survey};

const ROOMS: usize = 15;
const ELEMENTS: usize = 8;

/// A house of fifteen rooms with eight elements each, all to outside, at a U-value of its own each.
fn house() -> Value {
    let constructions: Map<String, Value> = (0..ELEMENTS)
        .map(|i| {
            (
                format!("c{i}"),
                json!({"kind": "known", "u_value_w_m2k": 0.2 + 0.1 * f64::from(u8::try_from(i).unwrap())}),
            )
        })
        .collect();
    let surfaces: Map<String, Value> = (0..ELEMENTS)
        .map(|i| {
            let surface =
                json!({"part": "wall", "construction": format!("c{i}"), "area_m2": 8.0, "faces": {"kind": "outside"}});
            (format!("s{i}"), surface)
        })
        .collect();
    let room = json!({
        "use": "living", "floor_area_m2": 16.0, "height_m": 2.5, "inside_design_c": 21.0, "air_changes_per_h": 0.6,
        "surfaces": surfaces
    });
    let rooms: Map<String, Value> = (0..ROOMS).map(|i| (format!("r{i}"), room.clone())).collect();
    json!({
        "schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -3.0, "annual_mean_outside_c": 10.0}},
        "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0.05}, "air_heat_wh_m3k": 0.34},
        "constructions": constructions,
        "rooms": rooms
    })
}

/// What the hand-written code keeps of a room: as much as the stage keeps.
struct Plain {
    elements: Vec<[f64; 3]>,
    thermal_bridging_w: f64,
    to_rooms_w: f64,
    transmission_w: f64,
    air_flow_m3_h: f64,
    ventilation_w: f64,
    design_heat_loss_w: f64,
}

/// The same figures from the same survey, as somebody would write them who never heard of workings; only what the
/// house of this bench needs.
fn by_hand(survey: &Survey) -> (Vec<f64>, Vec<Plain>, [f64; 5]) {
    let OutsideDesign::Given(outside_c) = survey.climate.outside else { unreachable!("given above") };
    let Bridging::Allowance(allowance) = survey.bridging else { unreachable!("given above") };
    let u_value = |construction: &Construction| match construction {
        Construction::Known(u_value) => *u_value,
        Construction::Layered(_)
        | Construction::Window(_)
        | Construction::GroundFloor { .. }
        | Construction::SuspendedFloor { .. }
        | Construction::Basement { .. } => unreachable!("every U-value is known here"),
    };
    let u_values: Vec<f64> = survey.constructions.iter().map(u_value).collect();
    let mut dwelling = [0.0; 5];
    let mut rooms = Vec::with_capacity(survey.rooms.len());
    for room in &survey.rooms {
        let elements: Vec<[f64; 3]> = room
            .elements
            .iter()
            .map(|element| {
                let difference = match element.faces {
                    Faces::Room(other) => room.inside_c - survey.rooms[other].inside_c,
                    Faces::Unheated(factor) => factor * (room.inside_c - outside_c),
                    Faces::Temperature(other_c) => room.inside_c - other_c,
                    Faces::Outside | Faces::Ground | Faces::UnheatedSpace(_) | Faces::AdjoiningDwelling => {
                        room.inside_c - outside_c
                    }
                };
                let bridging = match element.faces {
                    Faces::Outside | Faces::Unheated(_) => element.area_m2 * allowance * difference,
                    Faces::Room(_)
                    | Faces::UnheatedSpace(_)
                    | Faces::Temperature(_)
                    | Faces::Ground
                    | Faces::AdjoiningDwelling => 0.0,
                };
                [difference, element.area_m2 * u_values[element.construction.number()] * difference, bridging]
            })
            .collect();
        let thermal_bridging_w: f64 = elements.iter().map(|element| element[2]).sum();
        let transmission_w = thermal_bridging_w + elements.iter().map(|element| element[1]).sum::<f64>();
        let pairs = room.elements.iter().zip(&elements);
        let to_rooms_w: f64 =
            pairs.filter(|(element, _)| matches!(element.faces, Faces::Room(_))).map(|(_, loss)| loss[1]).sum();
        let RoomAirKind::AirChanges(air_changes) = room.air.kind else { unreachable!("given above") };
        let air_flow_m3_h = air_changes * (room.floor_area_m2 * room.height_m);
        let ventilation_w = survey.air_heat_wh_m3k * air_flow_m3_h * (room.inside_c - outside_c);
        let design_heat_loss_w = transmission_w + ventilation_w;
        let outer_w = transmission_w - to_rooms_w;
        dwelling[0] += outer_w;
        dwelling[1] += ventilation_w;
        dwelling[2] += outer_w / (room.inside_c - outside_c);
        dwelling[3] += ventilation_w / (room.inside_c - outside_c);
        rooms.push(Plain {
            elements,
            thermal_bridging_w,
            to_rooms_w,
            transmission_w,
            air_flow_m3_h,
            ventilation_w,
            design_heat_loss_w,
        });
    }
    dwelling[4] = dwelling[0] + dwelling[1];
    (u_values, rooms, dwelling)
}

fn survey(gate: &Gate, text: &str) -> Survey {
    proposal::read(gate, &Catalogue::try_built_in().unwrap(), text.as_bytes(), proposal::Needs::Design).unwrap().survey
}

fn stage(c: &mut Criterion) {
    let gate = Gate::for_type::<Job>().unwrap();
    let survey = survey(&gate, &house().to_string());
    let stage = compute(&survey, &mut Off).unwrap();
    let (_, hand, dwelling) = by_hand(&survey);
    assert_eq!(stage.dwelling.design_heat_loss_w, dwelling[4], "the two compute the same");
    for (room, plain) in stage.rooms.iter().zip(&hand) {
        let kept = [room.thermal_bridging_w, room.to_rooms_w, room.transmission_w, room.air_flow_m3_h];
        assert_eq!(kept, [plain.thermal_bridging_w, plain.to_rooms_w, plain.transmission_w, plain.air_flow_m3_h]);
        assert_eq!((room.ventilation_w, room.design_heat_loss_w), (plain.ventilation_w, plain.design_heat_loss_w));
        for (element, plain) in room.elements.iter().zip(&plain.elements) {
            assert_eq!(&[element.difference_k, element.transmission_w, element.thermal_bridging_w], plain);
        }
    }

    let mut group = c.benchmark_group("fifteen rooms of eight elements");
    group.bench_function("written by hand", |b| b.iter(|| by_hand(black_box(&survey))));
    group.bench_function("workings off", |b| b.iter(|| compute(black_box(&survey), &mut Off).unwrap()));
    group.bench_function("workings kept", |b| {
        b.iter(|| {
            let mut steps = Vec::new();
            (compute(black_box(&survey), &mut Book::new(&mut steps)).unwrap(), steps)
        });
    });
    let text = house().to_string();
    let catalogue = Catalogue::try_built_in().unwrap();
    group.bench_function("text to answer", |b| {
        b.iter(|| {
            let prepared =
                proposal::read(&gate, &catalogue, black_box(text.as_bytes()), proposal::Needs::Design).unwrap();
            to_string(&proposal::heat_loss(&prepared, false).unwrap()).unwrap()
        });
    });
    // resolved once: two thousand draws of it are two thousand runs of the stage
    let mut unsure = house();
    unsure["uncertainty"] = json!({"draws": 2000});
    let unsure = self::survey(&gate, &unsure.to_string());
    group.bench_function("percentiles of 2,000 draws", |b| {
        let budget = Budget::unbounded();
        let asked = Asked { survey: &unsure, tells: Tells::Duty, budget: &budget, known: None };
        b.iter(|| uncertainty(black_box(asked), &stage).unwrap());
    });
    group.finish();
}

fn question(c: &mut Criterion) {
    let gate = Gate::for_type::<Job>().unwrap();
    let catalogue = Catalogue::try_built_in().unwrap();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/jobs/chapel.json");
    let text = std::fs::read_to_string(path).unwrap();
    let answered = |workings: bool| {
        let prepared = proposal::read(&gate, &catalogue, black_box(text.as_bytes()), proposal::Needs::Design).unwrap();
        to_string(&proposal::heat_loss(&prepared, workings).unwrap()).unwrap()
    };
    let answer = answered(false);
    let size = |text: &str| text.len() / 1024;
    println!("chapel: {} KiB in, {} KiB out, {} KiB with workings", size(&text), size(&answer), size(&answered(true)));

    let mut group = c.benchmark_group("chapel");
    // the ceiling: the same document parsed into anything, and an answer of the same size written
    group.bench_function("parse alone", |b| b.iter(|| serde_json::from_str::<Value>(black_box(&text)).unwrap()));
    let tree: Value = serde_json::from_str(&answer).unwrap();
    group.bench_function("parse, and write an answer of the same size", |b| {
        b.iter(|| {
            (serde_json::from_str::<Value>(black_box(&text)).unwrap(), serde_json::to_string(black_box(&tree)).unwrap())
        });
    });
    group.bench_function("typed parse that stops at the first fault", |b| {
        b.iter(|| serde_json::from_str::<Job>(black_box(&text)).unwrap());
    });
    group.bench_function("read and resolved", |b| {
        b.iter(|| proposal::read(&gate, &catalogue, black_box(text.as_bytes()), proposal::Needs::Design).unwrap());
    });
    group.bench_function("text to answer", |b| b.iter(|| answered(false)));
    group.bench_function("text to answer with workings", |b| b.iter(|| answered(true)));
    group.bench_function("text to answer of every stage", |b| {
        b.iter(|| {
            let prepared =
                proposal::read(&gate, &catalogue, black_box(text.as_bytes()), proposal::Needs::Money).unwrap();
            to_string(&proposal::proposal(&prepared, false).unwrap()).unwrap()
        });
    });
    group.sample_size(30).bench_function("text to answer of 26 flow temperatures", |b| {
        b.iter(|| {
            let prepared =
                proposal::read(&gate, &catalogue, black_box(text.as_bytes()), proposal::Needs::Design).unwrap();
            to_string(&proposal::flow_temperatures(&prepared, false).unwrap()).unwrap()
        });
    });
    group.finish();
}

criterion_group!(benches, stage, question);
criterion_main!(benches);
