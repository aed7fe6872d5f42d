//! Documents that mean harm are read in memory of their own size and told in few faults. What they take of time stands in a bench.

#![expect(clippy::unwrap_used, reason = "what helps tests may fail as they do")]

#[path = "bench/evil.rs"]
mod evil;

use evil::{EVIL, MOST_BYTES};
use peak_alloc::PeakAlloc;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use tundish::catalogue::Catalogue;
use tundish::intake::Gate;
use tundish::job::Job;
use tundish::proposal::{self, Needs};

#[global_allocator]
static ALLOCATOR: PeakAlloc = PeakAlloc;

/// What reading a document of the greatest size may hold at a time (MB).
const MOST_MB: f64 = 64.0;

/// Faults that are told, and one that says that there are more.
const MOST_FAULTS: usize = 501;

/// Faults of a document, and the greatest that reading it held (MB).
fn read(gate: &Gate, catalogue: &Catalogue, text: &str) -> (Vec<String>, f64) {
    let before = ALLOCATOR.current_usage_as_mb();
    ALLOCATOR.reset_peak_usage();
    let faults = match proposal::read(gate, catalogue, text.as_bytes(), Needs::Money) {
        Ok(_) => Vec::new(),
        Err(error) => error.into_faults().unwrap().iter().map(|fault| fault.code.to_string()).collect(),
    };
    (faults, f64::from(ALLOCATOR.peak_usage_as_mb() - before))
}

/// In one test: an allocator counts for all that runs beside it.
#[test]
fn a_document_that_means_harm_is_read_in_memory_of_its_own_size() {
    let (gate, catalogue) = (Gate::for_type::<Job>().unwrap(), Catalogue::try_built_in().unwrap());
    for (name, of_size) in EVIL {
        let text = of_size(MOST_BYTES);
        assert!(text.len() <= MOST_BYTES && text.len() > MOST_BYTES - 200, "{name}: {}", text.len());
        let (faults, peak_mb) = read(&gate, &catalogue, &text);
        println!("{name}: {} faults, {peak_mb:.0} MB", faults.len());
        assert!(!faults.is_empty() && faults.len() <= MOST_FAULTS, "{name}: {} faults", faults.len());
        // what says that there are more comes last and once
        let more: Vec<usize> = (0..faults.len()).filter(|place| faults[*place] == "more_faults").collect();
        assert_eq!(more, if faults.len() == MOST_FAULTS { vec![MOST_FAULTS - 1] } else { vec![] }, "{name}");
        assert!(peak_mb < MOST_MB, "{name}: {peak_mb} MB");
    }
    // smaller ones of two kinds, one within the other, hold no more than so many times their size and a little beside
    let mut runner =
        TestRunner::new(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() });
    let drawn = (0..EVIL.len(), 0..EVIL.len(), 100..60_000_usize);
    runner
        .run(&drawn, |(outer, inner, bytes)| {
            let inner = EVIL[inner].1(bytes);
            let text = EVIL[outer].1(bytes + 1000).replacen(":0", &format!(":{inner}"), 1);
            let (faults, peak_mb) = read(&gate, &catalogue, &text);
            prop_assert!(!faults.is_empty() && faults.len() <= MOST_FAULTS);
            let size_mb = f64::from(u32::try_from(text.len()).unwrap()) / 1e6;
            prop_assert!(peak_mb < 2.0 + MOST_MB / 2.0 * size_mb, "{peak_mb} MB for {size_mb} MB");
            Ok(())
        })
        .unwrap();
}
