//! What an answer costs beside the least that it could: a lenient typed parse of the same job, and the same answer, kept as a
//! tree, written again. `cargo bench --bench ceiling`; of each pair the second over the first is how near the ceiling is.
#![expect(clippy::unwrap_used, reason = "a bench has nobody to hand an error to")]

#[expect(
    dead_code,
    clippy::struct_field_names,
    reason = "what was parsed is dropped, and members are named as a job names them"
)]
mod types;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use serde_json::Value;
use tundish::catalogue::Catalogue;
use tundish::intake::Gate;
use tundish::job::Job;
use tundish::proposal::{self, Needs, Prepared};
use tundish::render::json;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Every fixture, by its name.
const JOBS: [(&str, &[u8]); 4] = [
    ("bungalow", include_bytes!("../../../fixtures/jobs/bungalow.json")),
    ("chapel", include_bytes!("../../../fixtures/jobs/chapel.json")),
    ("farmhouse", include_bytes!("../../../fixtures/jobs/farmhouse.json")),
    ("terrace", include_bytes!("../../../fixtures/jobs/terrace.json")),
];

/// The answer to a job, written.
type Answer = fn(&Prepared) -> String;

/// Every question that is held against the ceiling, by its name, and what it needs of a job.
const QUESTIONS: [(&str, Needs, Answer); 5] = [
    ("heat loss", Needs::Design, |job| json::to_string(&proposal::heat_loss(job, false).unwrap()).unwrap()),
    ("price", Needs::Money, |job| json::to_string(&proposal::price(job, false).unwrap()).unwrap()),
    ("emitters", Needs::Design, |job| json::to_string(&proposal::emitters(job, false).unwrap()).unwrap()),
    ("flow temperatures", Needs::Design, |job| {
        json::to_string(&proposal::flow_temperatures(job, false).unwrap()).unwrap()
    }),
    ("proposal", Needs::Money, |job| json::to_string(&proposal::proposal(job, false).unwrap()).unwrap()),
];

fn lenient(text: &[u8]) -> types::Job {
    serde_json::from_slice(text).unwrap()
}

fn ceiling(criterion: &mut Criterion) {
    let (gate, catalogue) = (Gate::for_type::<Job>().unwrap(), Catalogue::try_built_in().unwrap());
    let mut group = criterion.benchmark_group("ceiling");
    for (name, text) in JOBS {
        group.bench_function(format!("{name}: lenient parse"), |bencher| bencher.iter(|| lenient(black_box(text))));
        group.bench_function(format!("{name}: read strictly"), |bencher| {
            bencher.iter(|| tundish::intake::read::<Job>(&gate, black_box(text)));
        });
        group.bench_function(format!("{name}: read and resolved"), |bencher| {
            bencher.iter(|| proposal::read(&gate, &catalogue, black_box(text), Needs::Money).unwrap());
        });
        for (question, needs, answer) in QUESTIONS {
            let answered = |text: &[u8]| answer(&proposal::read(&gate, &catalogue, text, needs).unwrap());
            let kept: Value = serde_json::from_str(&answered(text)).unwrap();
            group.bench_function(format!("{name}, {question}: ceiling"), |bencher| {
                bencher.iter(|| (lenient(black_box(text)), serde_json::to_string(&kept).unwrap()));
            });
            group.bench_function(format!("{name}, {question}: answered"), |bencher| {
                bencher.iter(|| answered(black_box(text)));
            });
        }
    }
    group.finish();
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).warm_up_time(std::time::Duration::from_millis(300)).measurement_time(std::time::Duration::from_secs(1));
    targets = ceiling
}
criterion_main!(benches);
