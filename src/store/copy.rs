//! The working copy, on sled 0.34: every revision again, where it is found at once.
//!
//! sled's own flush starts writing and does not wait for the disk, values above 128 KiB a leaf go to files that it never
//! syncs, and of a damaged file it may lose what it does not understand without a word, or panic. So values lie in parts of at
//! most 4 KiB, nothing is acknowledged that is not in the journal, and whatever is read from here is held against the checksum
//! of its line.

use std::fs::File;
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::Path;
use std::thread;
use std::time::Duration;

use sled::{Batch, Db};
use uuid::Uuid;

use super::quiet;
use super::record::{self, Head, Record, Sum};
use super::register::Entry;

/// Name of its folder.
pub(super) const NAME: &str = "copy";
/// Largest part of a value (bytes).
const PART: usize = 4096;
/// Memory that it may use as a cache (bytes).
const CACHE: u64 = 64 * 1024 * 1024;
/// How often a lock is asked for, and how long between.
const LOCK_TRIES: u32 = 10;
const LOCK_PAUSE: Duration = Duration::from_millis(50);
/// Stands for the length of a document that is taken away.
const NONE: u32 = u32::MAX;

/// The working copy cannot be worked with.
#[derive(Debug, thiserror::Error)]
#[error("the working copy: {0}")]
pub(super) struct Unusable(String);

/// The working copy.
#[derive(Debug)]
pub(super) struct Copy {
    db: Db,
    /// The database file, to be synced.
    file: File,
}

/// What the copy says of a revision without its value.
#[derive(Debug)]
pub(super) struct Copied {
    /// What the register would say of it.
    pub(super) entry: Entry,
    /// What its line says before the value.
    pub(super) head: Head,
    /// The length of its line (bytes).
    pub(super) line_length: u64,
}

/// The same as it is kept.
struct Meta<'m> {
    n: u64,
    opening: &'m str,
    /// Length of its packed value; nothing where the document is taken away.
    packed: Option<usize>,
    sum: Sum,
}

/// Asks sled, which may panic at what is damaged.
pub(super) fn asked<T>(ask: impl FnOnce() -> sled::Result<T>) -> Result<T, Unusable> {
    quiet::while_doing(|| catch_unwind(AssertUnwindSafe(ask)))
        .unwrap_or_else(|_| Err(sled::Error::Unsupported("it is damaged".to_owned())))
        .map_err(|error| match error {
            // what sled says of it holds an empty backtrace
            sled::Error::Corruption { .. } => Unusable("it is damaged".to_owned()),
            sled::Error::CollectionNotFound(_)
            | sled::Error::Unsupported(_)
            | sled::Error::ReportableBug(_)
            | sled::Error::Io(_) => Unusable(error.to_string()),
        })
}

impl Copy {
    /// Opens the copy, or begins one. sled gives its lock back a moment after it is dropped, when its own threads have ended, so
    /// a lock is asked for again.
    pub(super) fn open(folder: &Path) -> Result<Self, Unusable> {
        let path = folder.join(NAME);
        let config = sled::Config::new().path(&path).cache_capacity(CACHE).flush_every_ms(None);
        let mut tries = 1;
        let db = loop {
            match asked(|| config.open()) {
                Err(Unusable(why)) if why.contains("could not acquire lock") && tries < LOCK_TRIES => {
                    thread::sleep(LOCK_PAUSE);
                    tries += 1;
                }
                opened => break opened?,
            }
        };
        let file = File::open(path.join("db")).map_err(|error| Unusable(error.to_string()))?;
        Ok(Self { db, file })
    }

    /// Keeps records, all of them or none.
    pub(super) fn put<'r>(&self, records: impl Iterator<Item = &'r Record>) -> Result<(), Unusable> {
        let mut batch = Batch::default();
        for record in records {
            let (id, revision) = (record.head.id, record.head.revision);
            let length = record.packed.as_ref().map_or(Ok(NONE), |packed| u32::try_from(packed.len()));
            let length = length.map_err(|error| Unusable(error.to_string()))?;
            let meta =
                [&record.head.n.to_be_bytes()[..], &length.to_be_bytes(), &record.sum.0, record.opening.as_bytes()];
            batch.insert(key(b'm', id, revision), meta.concat());
            for (part, bytes) in (0_u32..).zip(record.packed.iter().flat_map(|packed| packed.chunks(PART))) {
                batch.insert([&key(b'v', id, revision)[..], &part.to_be_bytes()].concat(), bytes);
            }
        }
        asked(|| self.db.apply_batch(batch).and_then(|()| self.db.flush()))?;
        Ok(())
    }

    /// What it says of every revision, by document; nothing of one where that cannot be read.
    pub(super) fn revisions(&self) -> Result<Vec<Option<Copied>>, Unusable> {
        let metas: Vec<sled::IVec> =
            asked(|| self.db.scan_prefix(b"m").map(|entry| entry.map(|(_, meta)| meta)).collect())?;
        let copied = |metas: &[sled::IVec]| -> Vec<Option<Copied>> {
            metas.iter().map(|meta| Meta::read(meta).and_then(Meta::copied)).collect()
        };
        // half of them beside the others: that is most of opening a large store
        let (some, others) = metas.split_at(metas.len() / 2);
        Ok(thread::scope(|scope| {
            let others = scope.spawn(|| copied(others));
            let mut all = copied(some);
            all.extend(others.join().unwrap_or_else(|panic| resume_unwind(panic)));
            all
        }))
    }

    /// The record of a revision, if it is whole.
    pub(super) fn record(&self, id: Uuid, revision: u32) -> Result<Option<Record>, Unusable> {
        let meta = asked(|| self.db.get(key(b'm', id, revision)))?;
        let Some(meta) = meta.as_deref().and_then(Meta::read) else { return Ok(None) };
        let packed = match meta.packed {
            None => None,
            Some(length) => {
                let mut packed = Vec::with_capacity(length);
                let mut parts = self.db.scan_prefix(key(b'v', id, revision));
                asked(|| parts.try_for_each(|part| part.map(|(_, bytes)| packed.extend_from_slice(&bytes))))?;
                Some(packed)
            }
        };
        let record = Record::from_parts(meta.opening.to_owned(), packed, meta.sum).ok();
        Ok(record.filter(|record| (record.head.id, record.head.revision) == (id, revision)))
    }

    /// Waits until it is on the disk.
    pub(super) fn sync(&self) -> io::Result<()> {
        self.file.sync_data()
    }
}

impl<'m> Meta<'m> {
    fn copied(self) -> Option<Copied> {
        let head = record::head(self.opening).filter(|head| head.n == self.n)?;
        let entry = Entry { n: self.n, id: head.id, revision: head.revision, sum: self.sum };
        Some(Copied { entry, head, line_length: record::line_length(self.opening, self.packed) })
    }

    fn read(meta: &'m [u8]) -> Option<Self> {
        let (n, rest) = meta.split_first_chunk::<8>()?;
        let (length, rest) = rest.split_first_chunk::<4>()?;
        let (sum, opening) = rest.split_first_chunk::<16>()?;
        let length = u32::from_be_bytes(*length);
        Some(Self {
            n: u64::from_be_bytes(*n),
            opening: str::from_utf8(opening).ok()?,
            packed: if length == NONE { None } else { Some(usize::try_from(length).ok()?) },
            sum: Sum(*sum),
        })
    }
}

fn key(kind: u8, id: Uuid, revision: u32) -> Vec<u8> {
    [&[kind][..], id.as_bytes(), &revision.to_be_bytes()].concat()
}
