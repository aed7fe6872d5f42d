//! The one who writes: commits that wait together go into the journal together, with one sync for all of them.

use std::collections::{HashMap, HashSet};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use jiff::Timestamp;
use tokio::sync::oneshot;
use uuid::Uuid;

use super::copier::Copier;
use super::journal::Journal;
use super::mend::{self, Whole};
use super::open;
use super::record::{Head, Record};
use super::register::{Entry, Register};
use super::shared::Shared;
use super::told::Told;
use super::{Put, StoreError};

/// Commits that are written together at most.
const TOGETHER: usize = 64;
/// How long what is acknowledged may be on the disk in the journal alone.
const ALONE: Duration = Duration::from_secs(1);

/// How often keys whose time is over are forgotten.
const KEYS: Duration = Duration::from_mins(1);

/// Something to write, or to do between writes.
#[derive(Debug)]
pub(super) enum Order {
    /// Write a revision, and say which number it has.
    Commit(Box<Put>, Reply),
    /// Hold the parts of the store against each other.
    Mend,
}

/// Whoever waits for a commit.
type Reply = oneshot::Sender<Result<u32, StoreError>>;

/// The one who writes.
pub(super) struct Writer {
    pub(super) shared: Arc<Shared>,
    pub(super) journal: Journal,
    pub(super) register: Register,
    /// Number of the last record.
    pub(super) last: u64,
    /// When keys whose time is over were forgotten last.
    pub(super) keys_looked_at: Instant,
    /// The one who gives records to the working copy.
    pub(super) copier: Copier,
    /// The lines of a commit: room that is used again.
    pub(super) lines: Vec<u8>,
}

impl Writer {
    /// Writes until nobody is left who could ask for it.
    pub(super) fn run(mut self, orders: &Receiver<Order>) {
        let mut alone_since: Option<Instant> = None;
        loop {
            let order = match alone_since {
                None => orders.recv().map_err(|_| RecvTimeoutError::Disconnected),
                Some(since) => orders.recv_timeout(ALONE.saturating_sub(since.elapsed())),
            };
            match order {
                Ok(first) => {
                    let others = orders.try_iter().take(TOGETHER - 1);
                    if self.obey(std::iter::once(first).chain(others)) {
                        alone_since.get_or_insert_with(Instant::now);
                    }
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => {
                    self.put_on_disk();
                    return;
                }
            }
            if alone_since.is_some_and(|since| since.elapsed() >= ALONE) {
                self.put_on_disk();
                alone_since = None;
            }
        }
    }

    /// Copy and register follow the journal onto the disk.
    fn put_on_disk(&self) {
        if let Err(error) = self.shared.copy().sync().and_then(|()| self.register.sync()) {
            tracing::error!(%error, "the working copy did not reach the disk; the journal has it");
        }
    }

    /// Whether anything was written.
    fn obey(&mut self, orders: impl Iterator<Item = Order>) -> bool {
        let (mut puts, mut is_to_mend) = (Vec::new(), false);
        for order in orders {
            match order {
                Order::Commit(put, reply) => puts.push((put, reply)),
                Order::Mend => is_to_mend = true,
            }
        }
        let is_any = !puts.is_empty();
        self.commit(puts);
        if is_to_mend {
            self.mend();
        }
        is_any
    }

    fn commit(&mut self, puts: Vec<(Box<Put>, Reply)>) {
        let (mut records, mut replies) = (Vec::new(), Vec::new());
        let (mut ahead, mut keys) = (HashMap::new(), HashSet::new());
        let now = Timestamp::now();
        self.lines.clear();
        for (put, reply) in puts {
            let key = put.once.as_ref().map(|once| once.key.clone());
            let is_answered = key
                .is_some_and(|key| self.shared.index(|index| index.answered(&key, now).is_some()) || !keys.insert(key));
            if is_answered {
                // whoever asked twice while the first was written
                _ = reply.send(Err(StoreError::Answered));
                continue;
            }
            match self.prepared(*put, self.last + 1 + records.len() as u64, now, &ahead) {
                Ok((record, line)) => {
                    ahead.insert(record.head.id, record.head.revision);
                    self.lines.extend_from_slice(line.as_bytes());
                    records.push(record);
                    replies.push(reply);
                }
                // who asked may have left
                Err(error) => _ = reply.send(Err(error)),
            }
        }
        if records.is_empty() {
            return;
        }
        let before = self.journal.length;
        let records = Arc::new(records);
        if let Err(error) = self.written(&records) {
            tracing::error!(%error, "a commit was not written");
            self.shared.refuse(Some(error.clone()));
            for reply in replies {
                _ = reply.send(Err(error.clone()));
            }
            return;
        }
        self.shared.refuse(None);
        self.last += records.len() as u64;
        if let Err(error) = self.register.append(records.iter().map(Entry::of)) {
            tracing::error!(%error, "the register does not have a commit yet");
        }
        let are_keys_due = self.keys_looked_at.elapsed() >= KEYS;
        self.shared.change(|index| {
            let mut offset = before;
            for record in records.iter() {
                let length = record.line_length();
                index.take(&record.head, (offset, length));
                offset += length;
            }
            if are_keys_due {
                index.forget_keys(now);
            }
        });
        if are_keys_due {
            self.keys_looked_at = Instant::now();
        }
        for (record, reply) in records.iter().zip(replies) {
            _ = reply.send(Ok(record.head.revision));
        }
    }

    /// The record of a commit and its line, if the document stands where the asker thinks.
    fn prepared(
        &self,
        put: Put,
        n: u64,
        now: Timestamp,
        ahead: &HashMap<Uuid, u32>,
    ) -> Result<(Record, String), StoreError> {
        self.shared.may_write()?;
        let Put { id, expected, card, packed, length, once } = put;
        let (last, is_lost) = self.shared.index(|index| (index.last_number(id).unwrap_or(0), index.is_lost(id)));
        let found = ahead.get(&id).copied().unwrap_or(last);
        if is_lost {
            return Err(StoreError::Lost { id });
        }
        if found != expected {
            return Err(StoreError::Moved { expected, found });
        }
        let too_many = || StoreError::Failed("there are no more revision numbers".to_owned());
        let revision = found.checked_add(1).ok_or_else(too_many)?;
        let head = Head { n, id, revision, at: now, once, card, length };
        Ok(Record::new(head, packed)?)
    }

    /// Writes lines and waits until they are on the disk; meanwhile the working copy takes their records. Where that fails and the
    /// journal cannot be made as it was, nothing is written any more.
    fn written(&mut self, records: &Arc<Vec<Record>>) -> Result<(), StoreError> {
        if let Err(error) = self.journal.append(&self.lines) {
            let error = StoreError::from(error);
            // a full disk takes more once there is room, if what was begun on it was taken back
            let may_go_on =
                matches!(error, StoreError::Full | StoreError::ReadOnly) && self.journal.ends_as_it_should();
            self.shared.failed.store(!may_go_on, Ordering::SeqCst);
            return Err(error);
        }
        let copied = self.copier.give(self.shared.copy(), Arc::clone(records));
        let synced = self.journal.sync();
        // what the copy cannot take is in the journal, and it is given it when the store is opened
        match copied.wait() {
            Some(Ok(())) => {}
            Some(Err(error)) => tracing::error!(%error, "the journal alone has a commit"),
            None => tracing::error!("the working copy panicked; the journal alone has a commit"),
        }
        synced.map_err(|error| {
            self.shared.failed.store(true, Ordering::SeqCst);
            StoreError::from(error)
        })
    }

    fn mend(&mut self) {
        let mut told = Told::default();
        match mended(&self.shared.folder, &self.shared, &mut told) {
            Ok(Whole { journal, register, index, last, .. }) => {
                (self.journal, self.register, self.last) = (journal, register, last);
                self.shared.change(|old| *old = index);
                self.shared.tell(told);
            }
            Err(error) => tracing::error!(%error, "the store could not be mended while it is open"),
        }
    }
}

fn mended(folder: &Path, shared: &Shared, told: &mut Told) -> Result<Whole, StoreError> {
    let (_, entries, _) = Register::open(folder)?;
    let whole = mend::mend(folder, Journal::open(folder)?, &shared.copy(), &entries, told)?;
    if !whole.is_copy_bad {
        return Ok(whole);
    }
    let (whole, copy) = open::copied_anew(folder, told)?;
    shared.copy_anew(copy);
    Ok(whole)
}
