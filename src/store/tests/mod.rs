//! What is acknowledged is there again.

mod damage;
mod list;
mod power;
mod recorded;

use std::fs;
use std::path::Path;

use tempfile::TempDir;

use super::*;
use crate::money::Money;
use crate::quotes::State;

/// A card that says what a document is called.
fn card(title: &str) -> Card {
    let now = Timestamp::now();
    let payable = Money::from_pennies(110);
    Card {
        state: State::Draft,
        title: Some(title.to_owned()),
        reference: None,
        client: None,
        created_at: now,
        changed_at: now,
        valid_until: None,
        payable,
        complete: true,
    }
}

/// A value of its own for each number, of some kilobytes.
fn value(number: u32) -> Vec<u8> {
    let mut state = number.wrapping_mul(2_654_435_761) | 1;
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        state
    };
    (0..2000 + next() % 9000).flat_map(|_| next().to_le_bytes()).take(9000).collect()
}

/// Runs a question to the store to its end.
fn wait<T>(asked: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().build().unwrap().block_on(asked)
}

/// What is kept, by document and revision.
type All = Vec<(Uuid, u32, Vec<u8>)>;

/// A store with so many documents, every third with a second revision.
fn filled(folder: &Path, count: u32) -> All {
    let store = Store::open(folder).unwrap();
    let mut all = Vec::new();
    for number in 0..count {
        let id = Uuid::now_v7();
        for revision in 0..=u32::from(number % 3 == 0) {
            let value = value(number * 2 + revision);
            let put = Put::new(id, revision, card(&format!("house {number}")), &value);
            assert_eq!(wait(store.put(put)).unwrap(), revision + 1);
            all.push((id, revision + 1, value));
        }
    }
    all
}

/// Looks for everything that is kept, and what of it is not there. Other bytes than were kept are never answered.
fn missing(store: &Store, all: &All) -> Vec<(Uuid, u32)> {
    let is_missing = |(id, revision, value): &&(Uuid, u32, Vec<u8>)| match store.revision(*id, *revision) {
        Ok(Some(kept)) => {
            assert_eq!(&kept.value, value, "other bytes than were kept");
            false
        }
        Ok(None) => panic!("revision {revision} of {id} is gone without a word"),
        Err(StoreError::Lost { .. }) => true,
        Err(error) => panic!("{error}"),
    };
    all.iter().filter(is_missing).map(|(id, revision, _)| (*id, *revision)).collect()
}

/// A store that every trial begins with, and what it keeps.
fn base() -> (&'static Path, &'static All) {
    static BASE: std::sync::OnceLock<(TempDir, All)> = std::sync::OnceLock::new();
    let (folder, all) = BASE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let all = filled(folder.path(), 24);
        // once more, so that the working copy lies as it does after a restart, and is read page by page
        drop(opened(folder.path()));
        (folder, all)
    });
    (folder.path(), all)
}

/// Opens a store and waits until every line and every value was looked at.
fn opened(folder: &Path) -> Store {
    let store = Store::open(folder).unwrap();
    store.0.verified();
    store
}

#[test]
fn keeps_revisions_of_any_size_and_finds_them_again() {
    let folder = tempfile::tempdir().unwrap();
    let id = Uuid::now_v7();
    let large: Vec<u8> = (0..700_000_u32).map(|i| u8::try_from(i % 251).unwrap()).collect();
    {
        let store = Store::open(folder.path()).unwrap();
        assert_eq!(store.latest(id).unwrap(), None);
        let put = |id, expected, value: &[u8]| wait(store.put(Put::new(id, expected, card("a house"), value)));
        assert_eq!(put(id, 0, b"").unwrap(), 1);
        assert_eq!(store.latest(id).unwrap().map(|kept| (kept.revision, kept.value)), Some((1, Vec::new())));
        assert_eq!(put(id, 1, &large).unwrap(), 2);
        assert!(matches!(put(id, 1, b"late"), Err(StoreError::Moved { expected: 1, found: 2 })));
        assert!(matches!(put(Uuid::now_v7(), 1, b""), Err(StoreError::Moved { expected: 1, found: 0 })));
        assert_eq!(store.revision(id, 1).unwrap().unwrap().value, b"");
        assert!(store.revision(id, 0).unwrap().is_none() && store.revision(id, 3).unwrap().is_none());
    }
    let store = opened(folder.path());
    assert_eq!(store.latest(id).unwrap().map(|kept| (kept.revision, kept.value)), Some((2, large)));
    assert_eq!(store.told(), Told::default());
}

#[test]
fn what_is_taken_away_is_gone_and_its_revisions_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let all = filled(folder.path(), 3);
    let (id, last, _) = all[1].clone();
    let store = Store::open(folder.path()).unwrap();
    assert_eq!(wait(store.put(Put::taking_away(id, last))).unwrap(), last + 1);
    let looks = |store: Store| {
        assert!(store.latest(id).unwrap().is_none() && store.revision(id, last + 1).unwrap().is_none());
        assert_eq!(missing(&store, &all), []);
        assert_eq!(store.count(), 2);
        assert!(store.list(&Asked { limit: 9, ..Asked::default() }).0.iter().all(|listed| listed.id != id));
    };
    looks(store);
    looks(opened(folder.path()));
}

#[test]
fn refuses_a_foreign_folder_a_second_process_and_another_format() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("letter.txt"), "dear client").unwrap();
    let refused = Store::open(folder.path()).unwrap_err().to_string();
    assert!(refused.contains("other things"), "{refused}");
    let ours = tempfile::tempdir().unwrap();
    let open = Store::open(ours.path()).unwrap();
    let refused = Store::open(ours.path()).unwrap_err().to_string();
    assert!(refused.contains("another process"), "{refused}");
    drop(open);
    let later = "tundish store, format 9";
    let sum = record::Sum::of(later.as_bytes()).text();
    fs::write(ours.path().join("tundish-store"), format!("{later} {sum}\n")).unwrap();
    assert!(Store::open(ours.path()).unwrap_err().to_string().contains("another format"));
}
