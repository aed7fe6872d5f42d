//! The power fails: of what was not synced any block of 512 bytes may have reached the disk, or not.

use std::fs;
use std::path::Path;

use proptest::prelude::*;

use super::damage::{copied, files};
use super::*;

/// What a disk writes whole (bytes).
const BLOCK: usize = 512;

/// A file of which some blocks are as they were and some as they should be, and the end is anywhere between.
fn torn(before: &[u8], after: &[u8], random: &mut impl FnMut() -> u64) -> Vec<u8> {
    let (least, most) = (before.len().min(after.len()), before.len().max(after.len()));
    let length = least + usize::try_from(random()).unwrap_or(usize::MAX) % (most - least + 1);
    let mut found = Vec::with_capacity(length);
    for start in (0..length).step_by(BLOCK) {
        let end = (start + BLOCK).min(length);
        let from = if random().is_multiple_of(2) { before } else { after };
        let have = from.get(start..end.min(from.len())).unwrap_or_default();
        found.extend_from_slice(have);
        // what a file was made longer by and was never written is nothing
        found.resize(end, 0);
    }
    found
}

/// As the files lie after the power has failed: the journal was synced up to what was acknowledged, and the rest was not since the
/// first of the two.
fn failed(synced: &Path, after: &Path, begun: &[u8], seed: u64) -> TempDir {
    let mut state = seed | 1;
    let mut random = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state >> 11
    };
    let image = copied(after);
    for file in files(image.path()) {
        let name = file.strip_prefix(image.path()).unwrap();
        let before = fs::read(synced.join(name)).unwrap_or_default();
        let now = fs::read(&file).unwrap();
        let bytes = if name == Path::new(journal::NAME) {
            // a line that was begun, and not acknowledged
            let tail = torn(&[], begun, &mut random);
            [now, tail].concat()
        } else {
            torn(&before, &now, &mut random)
        };
        fs::write(file, bytes).unwrap();
    }
    image
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 50, failure_persistence: None, ..ProptestConfig::default() })]

    /// Nothing that was acknowledged is lost, and nothing else is told as lost.
    #[test]
    fn what_is_acknowledged_is_there_when_the_power_fails(seed in any::<u64>(), more in 1..12_u32) {
        let (folder, kept) = base();
        let synced = copied(folder);
        let after = copied(folder);
        let mut all = kept.clone();
        let begun = {
            let store = Store::open(after.path()).unwrap();
            for number in 0..more {
                let (id, value) = (Uuid::now_v7(), value(1000 + number));
                wait(store.put(Put::new(id, 0, card("late"), &value))).unwrap();
                all.push((id, 1, value));
            }
            // as the files stand while it is open
            let journal = fs::read(after.path().join(journal::NAME)).unwrap();
            let image = failed(synced.path(), after.path(), &journal[..5000], seed);
            drop(store);
            image
        };
        let store = Store::open(begun.path()).unwrap();
        prop_assert_eq!(missing(&store, &all), []);
        store.0.verified();
        prop_assert_eq!(missing(&store, &all), []);
        prop_assert_eq!(store.told().lost, []);
        drop(store);
        prop_assert!(examine(begun.path()).unwrap().is_whole());
    }
}
