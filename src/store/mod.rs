//! Where quotes lie: numbered revisions of documents, kept once they are on the disk.
//!
//! Asked in the words of the domain. A store is a folder with three parts, so that any one of them can be made again from the
//! others: the journal, a line of JSON with its checksum for each revision in the order of commits, which is what is
//! acknowledged; a working copy on sled, where everything is found at once; and a register of what there
//! is. What is acknowledged has been written and synced, and is still there after the process is killed. What a disk does when
//! its power fails between is the disk's own promise.

mod copier;
mod copy;
mod examine;
mod first_form;
mod folder;
mod index;
mod journal;
mod mend;
mod once;
mod open;
mod packed;
mod quiet;
mod record;
mod register;
mod shared;
mod told;
mod verify;
mod words;
mod writer;

use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;
use std::sync::mpsc::{self, Sender};
use std::sync::{Arc, Mutex};
use std::thread::{self, JoinHandle};
use std::time::Instant;

use jiff::Timestamp;
use tokio::sync::oneshot;
use uuid::Uuid;

pub use examine::{Examined, examine, export};
pub use index::{Answered, Asked, Listed};
pub use once::Once;
pub use told::{Lost, Restored, Told};

use crate::quotes::Card;
use copier::Copier;
use open::Opened;
use shared::Shared;
use writer::{Order, Writer};

/// The store could not do what was asked.
#[derive(Debug, Clone, thiserror::Error)]
pub enum StoreError {
    /// The folder cannot be used.
    #[error("the folder {} cannot be used for data: {reason}", folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// Why not.
        reason: String,
    },
    /// A part of the store is damaged.
    #[error("the store is damaged: {0}")]
    Damaged(String),
    /// A document is lost in every part of the store.
    #[error("the document {id} is lost")]
    Lost {
        /// The document.
        id: Uuid,
    },
    /// The disk is full.
    #[error("the disk is full")]
    Full,
    /// The disk can only be read.
    #[error("the disk can only be read")]
    ReadOnly,
    /// Writing or reading failed.
    #[error("the store failed: {0}")]
    Failed(String),
    /// The question was answered already, by its key.
    #[error("the question of this key is answered already")]
    Answered,
    /// The document has moved on since it was read.
    #[error("the document stands at revision {found}, not at {expected}")]
    Moved {
        /// Revision that the asker read.
        expected: u32,
        /// Revision that it stands at; 0 if there is none.
        found: u32,
    },
}

impl From<io::Error> for StoreError {
    fn from(error: io::Error) -> Self {
        if matches!(
            error.kind(),
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge
        ) {
            return Self::Full;
        }
        if error.kind() == io::ErrorKind::ReadOnlyFilesystem {
            return Self::ReadOnly;
        }
        Self::Failed(error.to_string())
    }
}

impl From<copy::Unusable> for StoreError {
    fn from(error: copy::Unusable) -> Self {
        Self::Damaged(error.to_string())
    }
}

impl From<serde_json::Error> for StoreError {
    fn from(error: serde_json::Error) -> Self {
        Self::Failed(error.to_string())
    }
}

impl StoreError {
    /// Why a folder cannot be used.
    fn of_folder(folder: &Path, error: &io::Error) -> Self {
        Self::Folder { folder: folder.to_owned(), reason: error.to_string() }
    }

    /// The same, told of the folder that it is about.
    fn in_folder(self, folder: &Path) -> Self {
        match self {
            Self::Damaged(reason) | Self::Failed(reason) => Self::Folder { folder: folder.to_owned(), reason },
            Self::Full => Self::Folder { folder: folder.to_owned(), reason: "the disk is full".to_owned() },
            Self::ReadOnly => {
                Self::Folder { folder: folder.to_owned(), reason: "the disk can only be read".to_owned() }
            }
            Self::Folder { .. } | Self::Lost { .. } | Self::Answered | Self::Moved { .. } => self,
        }
    }
}

/// A kept revision of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// Its number, from 1.
    pub revision: u32,
    /// When it was written.
    pub at: Timestamp,
    /// What it is found by; nothing where it says that the document is taken away, and has no bytes.
    pub card: Option<Card>,
    /// Its bytes, as they were given.
    pub value: Vec<u8>,
}

/// The next revision of a document.
#[derive(Debug, Clone)]
pub struct Put {
    id: Uuid,
    expected: u32,
    card: Option<Card>,
    packed: Option<Vec<u8>>,
    length: u64,
    once: Option<Once>,
}

impl Put {
    /// A revision of a document that stands at `expected`, which is 0 before its first. Packs the bytes: that takes a while.
    #[must_use]
    pub fn new(id: Uuid, expected: u32, card: Card, value: &[u8]) -> Self {
        let length = value.len() as u64;
        Self { id, expected, card: Some(card), packed: Some(packed::pack(value)), length, once: None }
    }

    /// A revision that takes a document away.
    #[must_use]
    pub fn taking_away(id: Uuid, expected: u32) -> Self {
        Self { id, expected, card: None, packed: None, length: 0, once: None }
    }

    /// The same revision of another document.
    #[must_use]
    pub fn of(self, id: Uuid) -> Self {
        Self { id, ..self }
    }

    /// The same, as the answer to a question that had a key.
    #[must_use]
    pub fn once(self, once: Option<Once>) -> Self {
        Self { once, ..self }
    }
}

/// Where quotes lie.
#[derive(Debug, Clone)]
pub struct Store(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    shared: Arc<Shared>,
    /// Nothing once the store is let go.
    orders: Mutex<Option<Sender<Order>>>,
    threads: Mutex<Vec<JoinHandle<()>>>,
    _lock: std::fs::File,
}

impl Store {
    /// Opens the store in a folder, which is made if it is not there. What one part has lost is restored from the others; what
    /// none has is told.
    ///
    /// # Errors
    /// [`StoreError::Folder`] if the folder is not ours, in use or cannot be read or written.
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        let Opened { lock, copy, whole, told } = open::open(folder)?;
        let mut index = whole.index;
        index.forget_keys(Timestamp::now());
        let shared = Arc::new(Shared::new(folder.to_owned(), whole.journal.reader(), copy, index, told));
        let (orders, receiver) = mpsc::channel();
        let end = whole.journal.length;
        let writer = Writer {
            shared: shared.clone(),
            journal: whole.journal,
            register: whole.register,
            last: whole.last,
            keys_looked_at: Instant::now(),
            copier: Copier::begin().map_err(|error| StoreError::of_folder(folder, &error))?,
            lines: Vec::new(),
        };
        let (verified, to_writer) = (shared.clone(), orders.clone());
        let spawned = |name: &str, work: Box<dyn FnOnce() + Send>| {
            let thread = thread::Builder::new().name(name.to_owned()).spawn(work);
            thread.map_err(|error| StoreError::of_folder(folder, &error))
        };
        let threads = vec![
            spawned("store-writer", Box::new(move || writer.run(&receiver)))?,
            spawned("store-verifier", Box::new(move || verify::verify(&verified, end, &to_writer)))?,
        ];
        let inner = Inner { shared, orders: Mutex::new(Some(orders)), threads: Mutex::new(threads), _lock: lock };
        Ok(Self(Arc::new(inner)))
    }

    /// Keeps the next revision of a document. Answers its number once it is synced.
    ///
    /// # Errors
    /// [`StoreError::Moved`] if the document does not stand where the asker thinks, [`StoreError::Lost`], [`StoreError::Full`],
    /// [`StoreError::ReadOnly`], [`StoreError::Failed`].
    pub async fn put(&self, put: Put) -> Result<u32, StoreError> {
        let gone = || StoreError::Failed("nobody writes any more".to_owned());
        let (reply, written) = oneshot::channel();
        self.0.order(Order::Commit(Box::new(put), reply)).ok_or_else(gone)?;
        written.await.unwrap_or_else(|_| Err(gone()))
    }

    /// The latest revision of a document, read on the thread that asks: ask where waiting for a disk holds nobody up.
    ///
    /// # Errors
    /// [`StoreError::Lost`], [`StoreError::Failed`].
    pub fn latest(&self, id: Uuid) -> Result<Option<Kept>, StoreError> {
        self.0.shared.latest(id)
    }

    /// A revision of a document, read on the thread that asks.
    ///
    /// # Errors
    /// [`StoreError::Lost`], [`StoreError::Failed`].
    pub fn revision(&self, id: Uuid, revision: u32) -> Result<Option<Kept>, StoreError> {
        self.0.shared.revision(id, revision)
    }

    /// Documents that are asked for, the latest first, and whether there are more.
    #[must_use]
    pub fn list(&self, asked: &Asked) -> (Vec<Listed>, bool) {
        self.0.shared.index(|index| index.list(asked))
    }

    /// How many documents there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.0.shared.index(index::Index::count)
    }

    /// What was answered to a question of this key, as long as that is kept.
    #[must_use]
    pub fn answered(&self, key: &str, now: Timestamp) -> Option<Answered> {
        self.0.shared.index(|index| index.answered(key, now).cloned())
    }

    /// What was restored since the store was opened, and what is missing.
    #[must_use]
    pub fn told(&self) -> Told {
        self.0.shared.told()
    }

    /// Whether the store still works.
    ///
    /// # Errors
    /// [`StoreError::Failed`] if a write has failed since it was opened, [`StoreError::Full`] or [`StoreError::ReadOnly`] if the disk
    /// took nothing the last time.
    pub fn check(&self) -> Result<(), StoreError> {
        self.0.shared.check()
    }
}

impl Inner {
    fn order(&self, order: Order) -> Option<()> {
        let orders = self.orders.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        orders.as_ref()?.send(order).ok()
    }
}

#[cfg(test)]
impl Inner {
    /// Waits until every line and every value was looked at, and what was damaged is mended.
    fn verified(&self) {
        let verifier = self.threads.lock().unwrap().pop();
        if let Some(thread) = verifier {
            thread.join().unwrap();
        }
        let (reply, mended) = oneshot::channel();
        self.order(Order::Commit(Box::new(Put::taking_away(Uuid::nil(), u32::MAX)), reply)).unwrap();
        // the one who writes has come as far as this order
        assert!(mended.blocking_recv().unwrap().is_err());
    }
}

impl Drop for Inner {
    /// Waits until copy and register are on the disk, and the folder is free for another.
    fn drop(&mut self) {
        self.shared.closing.store(true, Ordering::SeqCst);
        let threads = self.threads.get_mut().unwrap_or_else(std::sync::PoisonError::into_inner);
        *self.orders.get_mut().unwrap_or_else(std::sync::PoisonError::into_inner) = None;
        for thread in threads.drain(..) {
            // a thread that has panicked has ended
            _ = thread.join();
        }
    }
}

#[cfg(test)]
mod tests;
