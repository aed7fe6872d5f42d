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
use super::told::Told;
use super::{Kept, StoreError};

/// What readers and the writer share.
#[derive(Debug)]
pub(super) struct Shared {
    pub(super) folder: PathBuf,
    pub(super) reader: Reader,
    pub(super) copy: Arc<Copy>,
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
        let copied = self.copy.record(id, revision).unwrap_or_else(|error| {
            tracing::warn!(%error, "the journal is read instead");
            None
        });
        let record = match copied {
            Some(record) => Some(record),
            None => find(&self.reader)?.filter(is_it),
        };
        let record = record.ok_or(StoreError::Lost { id })?;
        let packed = record.packed.as_deref();
        let value = packed.map_or_else(|| Ok(Vec::new()), |packed| unpack(packed, record.head.length));
        let value = value.map_err(|_| StoreError::Lost { id })?;
        Ok(Kept { revision, at: record.head.at, card: record.head.card, value })
    }
}
