//! What reading takes: a whole job, and documents that mean harm, as large as a body may be.
#![expect(clippy::unwrap_used, reason = "a bench has nobody to hand an error to")]

#[path = "evil.rs"]
mod evil;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use evil::{EVIL, MOST_BYTES};
use tundish::catalogue::Catalogue;
use tundish::intake::Gate;
use tundish::job::Job;
use tundish::proposal::{self, Needs};

fn reading(criterion: &mut Criterion) {
    let (gate, catalogue) = (Gate::for_type::<Job>().unwrap(), Catalogue::try_built_in().unwrap());
    let mut group = criterion.benchmark_group("reading");
    group.sample_size(10);
    let chapel = include_bytes!("../../fixtures/jobs/chapel.json");
    group.bench_function("chapel", |bencher| {
        bencher.iter(|| proposal::read(&gate, &catalogue, black_box(chapel), Needs::Money).unwrap());
    });
    for (name, of_size) in EVIL {
        let text = of_size(MOST_BYTES);
        group.bench_function(format!("2 MiB of {name}"), |bencher| {
            bencher.iter(|| proposal::read(&gate, &catalogue, black_box(text.as_bytes()), Needs::Money).is_err());
        });
    }
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);
