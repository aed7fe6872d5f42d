//! Where quotes lie: revisions of documents, kept once they are on the disk.
//!
//! Asked in the words of the domain. The one store so far is embedded (sled); what is acknowledged has been
//! written, flushed and synced, and is still there after the process is killed. What a disk does when its power
//! fails between is the disk's own promise.

mod embedded;
mod folder;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use uuid::Uuid;

use embedded::Embedded;

/// The store could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The folder cannot be used.
    #[error("the folder {} cannot be used for data: {reason}", folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// Why not.
        reason: String,
    },
    /// The store is damaged.
    #[error("the store is damaged: {0}")]
    Damaged(String),
    /// Writing or reading failed.
    #[error("the store failed: {0}")]
    Failed(String),
    /// The document has moved on since it was read.
    #[error("the document stands at revision {found}, not at {expected}")]
    Moved {
        /// Revision that the asker read.
        expected: u32,
        /// Revision that it stands at; 0 if there is none.
        found: u32,
    },
}

/// A kept revision of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// Its number, from 1.
    pub revision: u32,
    /// Its bytes, as they were given.
    pub value: Vec<u8>,
}

/// Where quotes lie.
#[derive(Debug, Clone)]
pub struct Store(Arc<Embedded>);

impl Store {
    /// Opens the store in a folder, which is made if it is not there.
    ///
    /// # Errors
    /// [`StoreError::Folder`] if the folder is not ours or in use, [`StoreError::Damaged`] if it cannot be read.
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        Embedded::open(folder).map(|embedded| Self(Arc::new(embedded)))
    }

    /// Keeps the next revision of a document: the first if `expected` is 0. Answers its number once it is synced.
    ///
    /// # Errors
    /// [`StoreError::Moved`] if the document does not stand at `expected`, [`StoreError::Failed`].
    pub async fn put_revision(&self, id: Uuid, expected: u32, value: Vec<u8>) -> Result<u32, StoreError> {
        self.blocking(move |store| store.put_revision(id, expected, &value)).await
    }

    /// The latest revision of a document, read on the thread that asks: ask where waiting for a disk holds nobody up.
    ///
    /// # Errors
    /// [`StoreError::Failed`], [`StoreError::Damaged`].
    pub fn latest(&self, id: Uuid) -> Result<Option<Kept>, StoreError> {
        self.0.latest(id)
    }

    /// Whether the store still works.
    ///
    /// # Errors
    /// [`StoreError::Failed`] if a write has failed since it was opened.
    pub async fn check(&self) -> Result<(), StoreError> {
        self.blocking(Embedded::check).await
    }

    async fn blocking<T: Send + 'static>(
        &self,
        ask: impl FnOnce(&Embedded) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, StoreError> {
        let store = Arc::clone(&self.0);
        let asked = tokio::task::spawn_blocking(move || ask(&store));
        asked.await.unwrap_or_else(|error| Err(StoreError::Failed(error.to_string())))
    }
}
