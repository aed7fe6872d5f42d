//! Any one part damaged, cut or gone: nothing is lost, and all of it is restored.

use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use tempfile::TempDir;

use super::*;
use crate::store::record::{Record, Sum};

/// Digests of the jobs that were sent to the program of the first form, without the blanks round them.
const TERRACE: &str = "d21e13b6eca3cdcf1be815e49595a2a6";
const BUNGALOW: &str = "f57f3ffe03087cb6dbde8708160304fc";

pub(super) fn copied(from: &Path) -> TempDir {
    let to = tempfile::tempdir().unwrap();
    copy_into(from, to.path());
    to
}

fn copy_into(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let there = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy_into(&entry.path(), &there);
        } else {
            fs::copy(entry.path(), there).unwrap();
        }
    }
}

/// Every file of a store.
pub(super) fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> =
        entries.flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] }).collect();
    files.sort();
    files
}

/// What can happen to a file.
#[derive(Debug, Clone)]
enum Damage {
    Flip { at: f64, bit: u8 },
    Overwrite { at: f64, bytes: usize },
    Zero { at: f64, bytes: usize },
    Cut { at: f64 },
    TakeOut { at: f64, bytes: usize },
    Empty,
    Gone,
}

fn damage() -> impl Strategy<Value = Damage> {
    let bytes = 1..20_000_usize;
    prop_oneof![
        (0.0..1.0, 0..8_u8).prop_map(|(at, bit)| Damage::Flip { at, bit }),
        (0.0..1.0, bytes.clone()).prop_map(|(at, bytes)| Damage::Overwrite { at, bytes }),
        (0.0..1.0, bytes.clone()).prop_map(|(at, bytes)| Damage::Zero { at, bytes }),
        (0.0..1.0).prop_map(|at| Damage::Cut { at }),
        (0.0..1.0, bytes).prop_map(|(at, bytes)| Damage::TakeOut { at, bytes }),
        Just(Damage::Empty),
        Just(Damage::Gone),
    ]
}

impl Damage {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a place within a file that a test wrote"
    )]
    fn befall(&self, file: &Path) {
        let mut bytes = fs::read(file).unwrap();
        let place = |at: &f64| (*at * bytes.len() as f64) as usize;
        match self {
            Self::Flip { at, bit } => {
                let at = place(at);
                bytes.get_mut(at).into_iter().for_each(|byte| *byte ^= 1 << bit);
            }
            Self::Overwrite { at, bytes: length } => {
                let at = place(at);
                bytes.iter_mut().skip(at).take(*length).for_each(|byte| *byte = !*byte);
            }
            Self::Zero { at, bytes: length } => {
                let at = place(at);
                bytes.iter_mut().skip(at).take(*length).for_each(|byte| *byte = 0);
            }
            Self::Cut { at } => {
                let at = place(at);
                bytes.truncate(at);
            }
            Self::TakeOut { at, bytes: length } => {
                let at = place(at);
                bytes.drain(at..(at + length).min(bytes.len()));
            }
            Self::Empty => bytes.clear(),
            Self::Gone => {
                fs::remove_file(file).unwrap();
                return;
            }
        }
        fs::write(file, bytes).unwrap();
    }
}

/// As the files stand when the process is killed: what was acknowledged is in all of them.
#[test]
fn a_copy_of_an_open_store_has_everything() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let mut all = Vec::new();
    for number in 0..20 {
        let (id, value) = (Uuid::now_v7(), value(number));
        wait(store.put(Put::new(id, 0, card("a house"), &value))).unwrap();
        all.push((id, 1, value));
        if number % 5 == 4 {
            let killed = copied(folder.path());
            let store = opened(killed.path());
            assert_eq!((missing(&store, &all), store.told()), (Vec::new(), Told::default()));
        }
    }
}

/// Looks at a damaged store twice: at once, and when it was mended and is opened again.
fn all_are_there(folder: &Path, all: &All) {
    let store = Store::open(folder).unwrap();
    assert_eq!(missing(&store, all), []);
    store.0.verified();
    assert_eq!(missing(&store, all), []);
    assert_eq!(store.told().lost, []);
    drop(store);
    assert!(examine(folder).unwrap().is_whole(), "{:?}", examine(folder));
    let store = opened(folder);
    assert_eq!(missing(&store, all), []);
    assert_eq!(store.told(), Told::default(), "it is mended already");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any one file damaged: nothing is lost, nothing is wrong, and all of it is restored.
    #[test]
    fn no_damage_of_one_file_loses_anything(which in 0..1000_usize, damage in damage()) {
        let (folder, all) = base();
        let damaged = copied(folder);
        let files = files(damaged.path());
        let file = &files[which % files.len()];
        damage.befall(file);
        all_are_there(damaged.path(), all);
    }

    /// Journal and working copy damaged together: what is lost is told, each by its name, and nothing is wrong.
    #[test]
    fn no_damage_of_both_copies_is_silent(first in damage(), second in damage(), which in 0..1000_usize) {
        let (folder, all) = base();
        let damaged = copied(folder);
        first.befall(&damaged.path().join(journal::NAME));
        let copies = files(&damaged.path().join(copy::NAME));
        second.befall(&copies[which % copies.len()]);
        let store = Store::open(damaged.path()).unwrap();
        // before and after every value was looked at: what is not there is told
        missing(&store, all);
        store.0.verified();
        let lost = missing(&store, all);
        let mut told: Vec<(Uuid, u32)> = store.told().lost.iter().filter_map(|lost| lost.what).collect();
        told.sort();
        let mut lost_too = lost.clone();
        lost_too.sort();
        prop_assert_eq!(&told, &lost_too);
        drop(store);
        // it does not forget what it lost
        let store = opened(damaged.path());
        prop_assert_eq!(missing(&store, all), lost);
        prop_assert_eq!(store.told().lost.len(), told.len());
    }
}

/// What is whole behind something that is not was written after it: it stays, and what lies between is told.
#[test]
fn a_bad_record_with_good_ones_behind_it_is_damage() {
    let folder = tempfile::tempdir().unwrap();
    let all = filled(folder.path(), 5);
    let text = fs::read_to_string(folder.path().join(journal::NAME)).unwrap();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let last = lines.len() - 1;
    lines[last - 1].replace_range(40..41, "\u{1}");
    let alone = tempfile::tempdir().unwrap();
    fs::write(alone.path().join(journal::NAME), lines.join("\n") + "\n").unwrap();
    let store = opened(alone.path());
    assert_eq!(store.told().lost, [Lost { n: Some(last as u64), what: None }]);
    let (id, revision, value) = all.last().unwrap();
    assert_eq!(&store.revision(*id, *revision).unwrap().unwrap().value, value);
    drop(store);
    assert!(alone.path().join("journal.damaged-1").exists(), "what could not be read is not thrown away");
    // records in another order are the same records
    let mixed = tempfile::tempdir().unwrap();
    let lines: Vec<&str> = text.lines().rev().collect();
    fs::write(mixed.path().join(journal::NAME), lines.join("\n") + "\n").unwrap();
    let store = opened(mixed.path());
    assert_eq!((missing(&store, &all), store.told().lost), (Vec::new(), Vec::new()));
    drop(store);
    assert_eq!(fs::read_to_string(mixed.path().join(journal::NAME)).unwrap(), text);
}

/// A line that is whole and is another than register and working copy know, as of another copy of the same store that went its
/// own way: what the two know is right.
#[test]
fn a_whole_line_of_another_store_is_noticed() {
    let folder = tempfile::tempdir().unwrap();
    let all = filled(folder.path(), 4);
    let path = folder.path().join(journal::NAME);
    let text = fs::read_to_string(&path).unwrap();
    let second = text.lines().nth(1).unwrap().to_owned() + "\n";
    let Record { head, packed, .. } = Record::read(second.as_bytes()).unwrap();
    let mut packed = packed.unwrap();
    packed[20] ^= 1;
    let (_, other) = Record::new(head, Some(packed)).unwrap();
    assert_eq!(other.len(), second.len());
    fs::write(&path, text.replace(&second, &other)).unwrap();
    assert_eq!(examine(folder.path()).unwrap().in_journal, all.len() as u64 - 1);
    all_are_there(folder.path(), &all);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

/// A journal of which no line can be read is nobody's, and nothing of it is touched.
#[test]
fn a_journal_without_a_whole_record_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    filled(folder.path(), 3);
    let text = fs::read_to_string(folder.path().join(journal::NAME)).unwrap().replace('\n', "\r\n");
    let alone = tempfile::tempdir().unwrap();
    fs::write(alone.path().join(journal::NAME), &text).unwrap();
    let refused = Store::open(alone.path()).unwrap_err().to_string();
    assert!(refused.contains("no whole record"), "{refused}");
    assert_eq!(fs::read_to_string(alone.path().join(journal::NAME)).unwrap(), text);
    let foreign = tempfile::tempdir().unwrap();
    fs::write(foreign.path().join(journal::NAME), "dear diary").unwrap();
    assert!(Store::open(foreign.path()).unwrap_err().to_string().contains("other things"));
    assert_eq!(fs::read_to_string(foreign.path().join(journal::NAME)).unwrap(), "dear diary");
}

/// Of two commits with one key that come at once, one is written.
#[test]
fn a_key_is_written_once() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let put = || {
        let until = Timestamp::now().saturating_add(jiff::SignedDuration::from_hours(1)).unwrap();
        let once = Once { key: "key".to_owned(), asked: "digest".to_owned(), until };
        store.put(Put::new(Uuid::now_v7(), 0, card("a house"), b"value").once(Some(once)))
    };
    let (one, other) = wait(async { tokio::join!(put(), put()) });
    let written = [one, other].into_iter().flatten().count();
    assert_eq!((written, store.count()), (1, 1));
    assert!(matches!(wait(put()), Err(StoreError::Answered)));
}

/// A line that was cut off before it was acknowledged is no damage; one that was acknowledged is restored.
#[test]
fn a_torn_end_is_told_from_damage() {
    let folder = tempfile::tempdir().unwrap();
    let all = filled(folder.path(), 3);
    let torn = copied(folder.path());
    let journal = torn.path().join(journal::NAME);
    let mut lines = fs::read(&journal).unwrap();
    let whole = lines.len();
    lines.extend_from_within(..700);
    fs::write(&journal, &lines).unwrap();
    let store = opened(torn.path());
    assert_eq!((missing(&store, &all), store.told()), (Vec::new(), Told { torn: true, ..Told::default() }));
    drop(store);
    assert_eq!(fs::read(&journal).unwrap().len(), whole);

    let cut = copied(folder.path());
    let journal = cut.path().join(journal::NAME);
    fs::write(&journal, &lines[..whole - 700]).unwrap();
    let store = opened(cut.path());
    let told = store.told();
    assert_eq!((missing(&store, &all), told.restored.journal, told.torn), (Vec::new(), 1, false));
    drop(store);
    assert_eq!(fs::read(&journal).unwrap(), lines[..whole], "the same line to the byte");
}

/// What was synced in the journal and had not reached copy and register when the power failed is no damage either.
#[test]
fn copy_and_register_catch_up_with_the_journal() {
    let folder = tempfile::tempdir().unwrap();
    let mut all = filled(folder.path(), 2);
    let behind = copied(folder.path());
    let store = Store::open(folder.path()).unwrap();
    let id = Uuid::now_v7();
    wait(store.put(Put::new(id, 0, card("a house"), b"late"))).unwrap();
    drop(store);
    all.push((id, 1, b"late".to_vec()));
    fs::copy(folder.path().join(journal::NAME), behind.path().join(journal::NAME)).unwrap();
    let store = opened(behind.path());
    let told = store.told();
    assert_eq!(missing(&store, &all), []);
    assert_eq!((told.restored.journal, told.restored.copy, told.restored.register), (0, 1, 1));
    assert_eq!(store.list(&Asked { limit: 1, ..Asked::default() }).0[0].id, id);
}

/// A journal alone is a store.
#[test]
fn what_is_exported_is_a_store_again() {
    let (folder, all) = base();
    let damaged = copied(folder);
    let mut line = fs::read(damaged.path().join(journal::NAME)).unwrap();
    line[2000] ^= 1;
    fs::write(damaged.path().join(journal::NAME), line).unwrap();
    let mut out = Vec::new();
    let found = export(damaged.path(), &mut out).unwrap();
    assert_eq!((found.in_journal + 1, found.in_copy, found.lost.len()), (found.records, found.records, 0));
    assert_eq!(out, fs::read(folder.join(journal::NAME)).unwrap());
    for line in String::from_utf8(out.clone()).unwrap().lines() {
        let line: serde_json::Value = serde_json::from_str(line).unwrap();
        assert!(line["card"]["title"].as_str().unwrap().starts_with("house "));
    }
    let anew = tempfile::tempdir().unwrap();
    fs::write(anew.path().join(journal::NAME), out).unwrap();
    let store = opened(anew.path());
    assert_eq!((missing(&store, all), store.told().lost.len()), (Vec::new(), 0));
}

/// A store that a program of the first form wrote: everything is there, and it has a journal now.
#[test]
fn a_store_of_the_first_form_gains_a_journal() {
    let first = copied(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/stores/form_1")));
    assert!(examine(first.path()).unwrap_err().to_string().contains("first form"));
    for look in 0..2 {
        let store = opened(first.path());
        let (listed, more) = store.list(&Asked { limit: 9, ..Asked::default() });
        let told: Vec<_> = listed.iter().map(|listed| (listed.card.reference.as_deref(), listed.revision)).collect();
        assert_eq!((told, more), (vec![(Some("terrace"), 1), (Some("bungalow"), 1)], false), "look {look}");
        for (listed, job) in listed.iter().zip([TERRACE, BUNGALOW]) {
            let kept = store.latest(listed.id).unwrap().unwrap();
            let revision = crate::quotes::Revision::from_bytes(&kept.value).unwrap();
            assert_eq!(Sum::of(revision.job.get().as_bytes()).text(), job, "the job as it was sent");
            assert_eq!(listed.card.created_at, listed.card.changed_at);
            assert_eq!(listed.card.created_at.to_string().get(..10), Some("2026-11-30"));
        }
        assert!(store.told().lost.is_empty());
    }
    assert!(examine(first.path()).unwrap().is_whole());
    assert!(!first.path().join("sled").exists());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// A store of the first form has one part alone, so a damaged one is refused with a sentence, or what is left of it is served
    /// as it was written; the damaged file stays where it is or lies aside.
    #[test]
    fn a_damaged_store_of_the_first_form_serves_nothing_wrong(damage in damage()) {
        let first = copied(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/stores/form_1")));
        let file = first.path().join("sled").join("db");
        damage.befall(&file);
        match Store::open(first.path()) {
            Ok(store) => {
                for listed in store.list(&Asked { limit: 9, ..Asked::default() }).0 {
                    let kept = store.latest(listed.id).unwrap().unwrap();
                    let revision = crate::quotes::Revision::from_bytes(&kept.value).unwrap();
                    let job = Sum::of(revision.job.get().as_bytes()).text();
                    prop_assert!([TERRACE, BUNGALOW].contains(&&*job));
                }
            }
            Err(error) => prop_assert!(!error.to_string().contains(['\n', '{']), "{error}"),
        }
    }
}
