//! Commits by one, four and sixteen who write at once, beside a loop that writes as many bytes with one sync for as many;
//! reading and listing among 1,000 to 100,000 quotes, and opening a store of so many.
#![expect(clippy::unwrap_used, reason = "a bench has nobody to hand an error to")]

use std::fs::File;
use std::hint::black_box;
use std::io::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use tundish::money::Money;
use tundish::quotes::{Card, State, now};
use tundish::store::{Asked, Put, Store};
use uuid::Uuid;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// A proposal, kept with its job: what a quote of a terrace holds.
const QUOTE: &[u8] = include_bytes!("../../fixtures/jobs/terrace.json");
/// A quote's length (bytes).
const LENGTH: usize = 86_000;

fn card(number: usize) -> Card {
    let now = now();
    let title = Some(format!("House {number} in lane{}", number % 97));
    let reference = Some(format!("Q-{number}"));
    let client = Some(if number % 1000 == 7 { "Rare Client" } else { "A Client" }.to_owned());
    let payable = Money::from_pennies(1_234_500);
    let state = if number.is_multiple_of(3) { State::Issued } else { State::Draft };
    Card {
        state,
        title,
        reference,
        client,
        created_at: now,
        changed_at: now,
        valid_until: None,
        payable,
        complete: true,
    }
}

fn value() -> Vec<u8> {
    QUOTE
        .iter()
        .copied()
        .cycle()
        .enumerate()
        .map(|(at, byte)| if at % 61 == 0 { b'0' + u8::try_from(at / 61 % 10).unwrap() } else { byte })
        .take(LENGTH)
        .collect()
}

/// Keeps so many quotes, by so many who write at once.
fn keep(store: &Store, quotes: usize, writers: usize, put: &(impl Fn(usize) -> Put + Sync)) -> Vec<Duration> {
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..writers)
            .map(|writer| {
                scope.spawn(move || {
                    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
                    let mut took = Vec::new();
                    for number in (writer..quotes).step_by(writers) {
                        let put = put(number);
                        let begun = Instant::now();
                        runtime.block_on(store.put(put)).unwrap();
                        took.push(begun.elapsed());
                    }
                    took
                })
            })
            .collect();
        threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect()
    })
}

fn commits(criterion: &mut Criterion) {
    let packed = Put::new(Uuid::now_v7(), 0, card(0), &value());
    let mut group = criterion.benchmark_group("commit");
    group.sample_size(10).measurement_time(Duration::from_secs(4)).throughput(Throughput::Elements(1));
    for writers in [1, 4, 16] {
        group.bench_function(BenchmarkId::new("quotes", writers), |bencher| {
            let folder = tempfile::tempdir_in(".").unwrap();
            let store = Store::open(folder.path()).unwrap();
            let mut all = Vec::new();
            bencher.iter_custom(|count| {
                let count = usize::try_from(count).unwrap();
                let begun = Instant::now();
                all.extend(keep(&store, count, writers, &|_| packed.clone().of(Uuid::now_v7())));
                begun.elapsed()
            });
            all.sort();
            println!("{writers} writers: p50 {:?}, p99 {:?}", all[all.len() / 2], all[all.len() * 99 / 100]);
        });
        group.bench_function(BenchmarkId::new("raw", writers), |bencher| {
            let folder = tempfile::tempdir_in(".").unwrap();
            let line = std::fs::read(one_line(folder.path())).unwrap();
            let mut file = File::create(folder.path().join("raw")).unwrap();
            bencher.iter_custom(|count| {
                let begun = Instant::now();
                for _ in 0..usize::try_from(count).unwrap().div_ceil(writers) {
                    file.write_all(&line.repeat(writers)).unwrap();
                    file.sync_data().unwrap();
                }
                begun.elapsed()
            });
        });
    }
    group.finish();
}

/// The journal of a store with one quote.
fn one_line(folder: &Path) -> std::path::PathBuf {
    let store = Store::open(&folder.join("one")).unwrap();
    keep(&store, 1, 1, &|_| Put::new(Uuid::now_v7(), 0, card(0), &value()));
    folder.join("one").join("journal")
}

fn many(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("among");
    group.sample_size(10).measurement_time(Duration::from_secs(2));
    for count in [1_000, 10_000, 100_000] {
        let folder = tempfile::tempdir_in(".").unwrap();
        let store = Store::open(folder.path()).unwrap();
        let begun = Instant::now();
        keep(&store, count, 64, &|number| Put::new(Uuid::now_v7(), 0, card(number), &value()[..14_000]));
        println!("{count} kept in {:?}", begun.elapsed());
        let asked = |text: &str, reference: Option<&str>| Asked {
            text: Some(text.to_owned()).filter(|text| !text.is_empty()),
            reference: reference.map(str::to_owned),
            limit: 50,
            ..Asked::default()
        };
        let ids: Vec<Uuid> =
            store.list(&Asked { limit: count, ..Asked::default() }).0.iter().map(|row| row.id).collect();
        let mut next = ids.iter().step_by(7919 % count).cycle();
        group.bench_function(BenchmarkId::new("read", count), |bencher| {
            bencher.iter(|| store.latest(*next.next().unwrap()).unwrap().unwrap());
        });
        for (name, asked) in [
            ("all", asked("", None)),
            ("words", asked("house lane1", None)),
            ("rare", asked("rare hou", None)),
            ("none", asked("client nobody", None)),
            ("reference", asked("", Some("q-500"))),
            ("state", Asked { state: Some(State::Issued), ..asked("", None) }),
            ("behind", Asked { after: Some(ids[count / 2]), ..asked("client", None) }),
        ] {
            group.bench_function(BenchmarkId::new(format!("list {name}"), count), |bencher| {
                bencher.iter(|| black_box(store.list(&asked)));
            });
        }
        drop(store);
        let begun = Instant::now();
        let store = Store::open(folder.path()).unwrap();
        println!("{count} opened in {:?}, {} there; {}", begun.elapsed(), store.count(), memory());
    }
    group.finish();
}

/// Memory that the process holds, as the system tells it.
fn memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    status.lines().find(|line| line.starts_with("VmRSS")).unwrap_or_default().to_owned()
}

criterion_group!(benches, commits, many);
criterion_main!(benches);
