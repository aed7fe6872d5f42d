//! The embedded store, on sled 0.34.
//!
//! sled's own flush starts writing and does not wait for the disk, and values above 128 KiB a leaf go to files
//! that it never syncs. So values lie in parts of at most 4 KiB, a revision and its parts go in as one batch, and
//! the batch is followed by a flush and a sync of the database file before anything is acknowledged.

use std::fs::File;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use sled::{Batch, Db};
use uuid::Uuid;

use super::{Kept, StoreError, folder};

/// Largest part of a value (bytes).
const PART: usize = 4096;
/// Memory that the store may use as a cache (bytes).
const CACHE: u64 = 64 * 1024 * 1024;
/// How often a lock is asked for, and how long between.
const LOCK_TRIES: u32 = 10;
const LOCK_PAUSE: Duration = Duration::from_millis(50);

/// The embedded store.
#[derive(Debug)]
pub(super) struct Embedded {
    db: Db,
    /// The database file, to be synced.
    file: File,
    /// One writer at a time: what is compared is what is written over.
    writing: Mutex<()>,
    /// A write or sync has failed: what is on the disk is not known any more.
    failed: AtomicBool,
}

/// Opens the database. sled gives its lock back a moment after it is dropped, when its own threads have ended, so a
/// lock is asked for again before it is taken for another process's.
fn database(path: &Path) -> Result<Db, StoreError> {
    let config = sled::Config::new().path(path.join("sled")).cache_capacity(CACHE).flush_every_ms(None);
    for _ in 1..LOCK_TRIES {
        match once(path, &config)? {
            Err(error) if is_locked(&error) => std::thread::sleep(LOCK_PAUSE),
            opened => return opened.map_err(|error| refused(path, &error)),
        }
    }
    once(path, &config)?.map_err(|error| refused(path, &error))
}

/// One try; sled can panic on a damaged file.
fn once(path: &Path, config: &sled::Config) -> Result<sled::Result<Db>, StoreError> {
    catch_unwind(AssertUnwindSafe(|| config.open()))
        .map_err(|_| StoreError::Damaged(format!("{} cannot be opened", path.display())))
}

impl Embedded {
    pub(super) fn open(path: &Path) -> Result<Self, StoreError> {
        folder::claim(path)?;
        let db = database(path)?;
        let file = File::open(path.join("sled").join("db")).map_err(failed)?;
        // a synced file is lost all the same if the entry that leads to it is not on the disk
        folder::sync(&path.join("sled")).and_then(|()| folder::sync(path)).map_err(failed)?;
        Ok(Self { db, file, writing: Mutex::new(()), failed: AtomicBool::new(false) })
    }

    pub(super) fn put_revision(&self, id: Uuid, expected: u32, value: &[u8]) -> Result<u32, StoreError> {
        self.check()?;
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let found = self.head(id)?.map_or(0, |(revision, _)| revision);
        if found != expected {
            return Err(StoreError::Moved { expected, found });
        }
        let revision =
            found.checked_add(1).ok_or_else(|| StoreError::Failed("there are no more revision numbers".to_owned()))?;
        let length = u64::try_from(value.len()).map_err(failed)?;
        let mut batch = Batch::default();
        for (part, bytes) in value.chunks(PART).enumerate() {
            let part = u32::try_from(part).map_err(failed)?;
            batch.insert(part_key(id, revision, part), bytes);
        }
        batch.insert(head_key(id), [&revision.to_be_bytes()[..], &length.to_be_bytes()].concat());
        let written = self.db.apply_batch(batch).and_then(|()| self.db.flush()).map_err(failed);
        written
            .and_then(|_| self.file.sync_data().map_err(failed))
            .inspect_err(|_| self.failed.store(true, Ordering::SeqCst))?;
        Ok(revision)
    }

    pub(super) fn latest(&self, id: Uuid) -> Result<Option<Kept>, StoreError> {
        let Some((revision, length)) = self.head(id)? else { return Ok(None) };
        let mut value = Vec::with_capacity(length);
        for part in self.db.scan_prefix(revision_key(id, revision)) {
            value.extend_from_slice(&part.map_err(failed)?.1);
        }
        if value.len() != length {
            return Err(StoreError::Damaged(format!(
                "revision {revision} of {id} has {} bytes of {length}",
                value.len()
            )));
        }
        Ok(Some(Kept { revision, value }))
    }

    pub(super) fn check(&self) -> Result<(), StoreError> {
        if self.failed.load(Ordering::SeqCst) {
            return Err(StoreError::Failed(
                "an earlier write did not reach the disk; start the service again".to_owned(),
            ));
        }
        Ok(())
    }

    /// Number and length of the latest revision.
    fn head(&self, id: Uuid) -> Result<Option<(u32, usize)>, StoreError> {
        let Some(head) = self.db.get(head_key(id)).map_err(failed)? else { return Ok(None) };
        let damaged = || StoreError::Damaged(format!("the head of {id} cannot be read"));
        let (revision, length) = head.split_first_chunk::<4>().ok_or_else(damaged)?;
        let length: [u8; 8] = length.try_into().map_err(|_| damaged())?;
        let length = usize::try_from(u64::from_be_bytes(length)).map_err(|_| damaged())?;
        Ok(Some((u32::from_be_bytes(*revision), length)))
    }
}

fn head_key(id: Uuid) -> Vec<u8> {
    [b"h", &id.as_bytes()[..]].concat()
}

fn revision_key(id: Uuid, revision: u32) -> Vec<u8> {
    [b"r", &id.as_bytes()[..], &revision.to_be_bytes()].concat()
}

fn part_key(id: Uuid, revision: u32, part: u32) -> Vec<u8> {
    [&revision_key(id, revision)[..], &part.to_be_bytes()].concat()
}

fn failed(error: impl std::fmt::Display) -> StoreError {
    StoreError::Failed(error.to_string())
}

fn refused(path: &Path, error: &sled::Error) -> StoreError {
    if is_locked(error) {
        return StoreError::Folder { folder: path.to_owned(), reason: "another process uses it".to_owned() };
    }
    StoreError::Damaged(error.to_string())
}

/// sled has no kind of its own for a lock that it does not get.
fn is_locked(error: &sled::Error) -> bool {
    error.to_string().contains("could not acquire lock")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keeps_revisions_of_any_size_and_finds_them_again() {
        let folder = tempfile::tempdir().unwrap();
        let id = Uuid::now_v7();
        let large: Vec<u8> = (0..700_000_u32).map(|i| u8::try_from(i % 251).unwrap()).collect();
        {
            let store = Embedded::open(folder.path()).unwrap();
            assert_eq!(store.latest(id).unwrap(), None);
            assert_eq!(store.put_revision(id, 0, b"").unwrap(), 1);
            assert_eq!(store.latest(id).unwrap(), Some(Kept { revision: 1, value: Vec::new() }));
            assert_eq!(store.put_revision(id, 1, &large).unwrap(), 2);
            assert!(matches!(store.put_revision(id, 1, b"late"), Err(StoreError::Moved { expected: 1, found: 2 })));
            assert!(matches!(
                store.put_revision(Uuid::now_v7(), 1, b""),
                Err(StoreError::Moved { expected: 1, found: 0 })
            ));
        }
        let store = Embedded::open(folder.path()).unwrap();
        assert_eq!(store.latest(id).unwrap(), Some(Kept { revision: 2, value: large }));
    }

    #[test]
    fn refuses_a_foreign_folder_a_second_process_and_another_format() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("letter.txt"), "dear client").unwrap();
        let refused = Embedded::open(folder.path()).unwrap_err().to_string();
        assert!(refused.contains("other things"), "{refused}");
        let ours = tempfile::tempdir().unwrap();
        let open = Embedded::open(ours.path()).unwrap();
        let refused = Embedded::open(ours.path()).unwrap_err().to_string();
        assert!(refused.contains("another process"), "{refused}");
        drop(open);
        std::fs::write(ours.path().join("tundish-store"), "tundish store, format 9\n").unwrap();
        assert!(Embedded::open(ours.path()).unwrap_err().to_string().contains("another format"));
    }

    #[test]
    fn a_damaged_file_is_told_and_not_a_crash() {
        let folder = tempfile::tempdir().unwrap();
        let id = Uuid::now_v7();
        {
            let store = Embedded::open(folder.path()).unwrap();
            for revision in 0..20 {
                store.put_revision(id, revision, &vec![7; 20_000]).unwrap();
            }
        }
        let file = folder.path().join("sled").join("db");
        let mut bytes = std::fs::read(&file).unwrap();
        let middle = bytes.len() / 2;
        bytes[middle..middle + 4096].fill(0xa5);
        bytes[..4096].fill(0xa5);
        std::fs::write(&file, bytes).unwrap();
        // whatever sled makes of it, it is an answer and never a panic that reaches us, nor other bytes than were kept
        if let Ok(store) = Embedded::open(folder.path()) {
            if let Ok(Some(kept)) = store.latest(id) {
                assert_eq!(kept.value, vec![7; 20_000]);
            }
        }
    }
}
