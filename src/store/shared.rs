//! What everybody who asks a store shares, beside the one who writes.

use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError, RwLock};

use uuid::Uuid;

use super::copy::Copy;
use super::index::Index;
use super::journal::Reader;
use super::packed::unpack;
use super::record::Record;
use super::told::{Lost, Told};
use super::{Kept, StoreError};

/// What readers and the writer share.
#[derive(Debug)]
pub(super) struct Shared {
    pub(super) folder: PathBuf,
    pub(super) reader: Reader,
    copy: RwLock<Arc<Copy>>,
    pub(super) index: RwLock<Index>,
    pub(super) told: Mutex<Told>,
    /// A write or sync has failed: what is on the disk is not known any more.
    pub(super) failed: AtomicBool,
    /// Why the last write was refused by the disk, until one is not.
    pub(super) refused: Mutex<Option<StoreError>>,
    /// The store is let go.
    pub(super) closing: AtomicBool,
}

impl Shared {
    pub(super) fn new(folder: PathBuf, reader: Reader, copy: Copy, index: Index, told: Told) -> Self {
        Self {
            folder,
            reader,
            copy: RwLock::new(Arc::new(copy)),
            index: RwLock::new(index),
            told: Mutex::new(told),
            failed: AtomicBool::new(false),
            refused: Mutex::new(None),
            closing: AtomicBool::new(false),
        }
    }

    /// The working copy.
    pub(super) fn copy(&self) -> Arc<Copy> {
        self.copy.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Puts another working copy into the place of one that is damaged.
    pub(super) fn copy_anew(&self, copy: Copy) {
        let old = std::mem::replace(&mut *self.copy.write().unwrap_or_else(PoisonError::into_inner), Arc::new(copy));
        Arc::into_inner(old).into_iter().for_each(super::open::let_go);
    }

    /// Looks at the index.
    pub(super) fn index<R>(&self, look: impl FnOnce(&Index) -> R) -> R {
        look(&self.index.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// Changes the index.
    pub(super) fn change<R>(&self, change: impl FnOnce(&mut Index) -> R) -> R {
        change(&mut self.index.write().unwrap_or_else(PoisonError::into_inner))
    }

    /// Adds to what is told of damage.
    pub(super) fn tell(&self, later: Told) {
        later.log();
        self.told.lock().unwrap_or_else(PoisonError::into_inner).add(later);
    }

    /// Knows of a revision that was found to be lost.
    fn miss(&self, id: Uuid, revision: u32) {
        let mut told = self.told.lock().unwrap_or_else(PoisonError::into_inner);
        if !told.lost.iter().any(|lost| lost.what == Some((id, revision))) {
            tracing::error!(%id, revision, "a revision is lost in every part of the store");
            told.lost.push(Lost { n: None, what: Some((id, revision)) });
        }
    }

    pub(super) fn told(&self) -> Told {
        self.told.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Whether writing makes sense.
    ///
    /// # Errors
    /// [`StoreError::Failed`] if it is not known any more what is on the disk.
    pub(super) fn may_write(&self) -> Result<(), StoreError> {
        if self.failed.load(Ordering::SeqCst) {
            return Err(StoreError::Failed(
                "an earlier write did not reach the disk; start the service again".to_owned(),
            ));
        }
        Ok(())
    }

    /// Whether what is written is kept.
    pub(super) fn check(&self) -> Result<(), StoreError> {
        self.may_write()?;
        let refused = self.refused.lock().unwrap_or_else(PoisonError::into_inner);
        refused.clone().map_or(Ok(()), Err)
    }

    /// Says whether the disk takes what is written.
    pub(super) fn refuse(&self, why: Option<StoreError>) {
        *self.refused.lock().unwrap_or_else(PoisonError::into_inner) = why;
    }

    /// The latest revision of a document.
    pub(super) fn latest(&self, id: Uuid) -> Result<Option<Kept>, StoreError> {
        let (standing, is_lost) = self.index(|index| (index.standing(id).cloned(), index.is_lost(id)));
        if is_lost {
            return Err(StoreError::Lost { id });
        }
        let Some(standing) = standing.filter(|standing| standing.card.is_some()) else { return Ok(None) };
        let revision = standing.revision;
        self.kept(id, revision, |reader| reader.at(standing.line.0, standing.line.1)).map(Some)
    }

    /// A revision of a document.
    pub(super) fn revision(&self, id: Uuid, revision: u32) -> Result<Option<Kept>, StoreError> {
        let last = self.index(|index| index.last_number(id));
        if revision == 0 || last.is_none_or(|last| last < revision) {
            return Ok(None);
        }
        let find = |reader: &Reader| {
            let (mut found, end) = (None, u64::MAX);
            reader.lines(end, |line| {
                let is_it = |record: &Record| (record.head.id, record.head.revision) == (id, revision);
                found = line.record.filter(is_it).or(found.take());
                Ok(())
            })?;
            Ok(found)
        };
        self.kept(id, revision, find).map(|kept| Some(kept).filter(|kept| kept.card.is_some()))
    }

    /// A revision from the working copy, or from the journal where the copy has lost it.
    fn kept(
        &self,
        id: Uuid,
        revision: u32,
        find: impl FnOnce(&Reader) -> std::io::Result<Option<Record>>,
    ) -> Result<Kept, StoreError> {
        let is_it = |record: &Record| (record.head.id, record.head.revision) == (id, revision);
        let copied = self.copy().record(id, revision).unwrap_or_else(|error| {
            tracing::warn!(%error, "the journal is read instead");
            None
        });
        let record = match copied {
            Some(record) => Some(record),
            None => find(&self.reader)?.filter(is_it),
        };
        let record = record.ok_or_else(|| {
            self.miss(id, revision);
            StoreError::Lost { id }
        })?;
        let packed = record.packed.as_deref();
        let value = packed.map_or_else(|| Ok(Vec::new()), |packed| unpack(packed, record.head.length));
        let value = value.map_err(|_| StoreError::Lost { id })?;
        Ok(Kept { revision, at: record.head.at, card: record.head.card, value })
    }
}
