//! Journal, working copy and register are held against each other: whatever one of them has lost is made from the others.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{self, BufWriter, Write as _};
use std::path::Path;

use uuid::Uuid;

use super::copy::{Copied, Copy};
use super::index::Index;
use super::journal::{self, Journal, Reader};
use super::record::{Record, Sum};
use super::register::{Entry, Register};
use super::told::{Lost, Told};
use super::{StoreError, folder};

/// Bytes that are put into the working copy at once.
const AT_ONCE: usize = 4 * 1024 * 1024;

/// A store whose three parts say the same, save what is lost in all that could hold it.
#[derive(Debug)]
pub(super) struct Whole {
    pub(super) journal: Journal,
    pub(super) register: Register,
    pub(super) index: Index,
    /// Number of the last record.
    pub(super) last: u64,
    /// Whether the working copy cannot be read everywhere: it is to be made anew from the journal, which is whole.
    pub(super) is_copy_bad: bool,
}

/// What the journal says.
#[derive(Default)]
struct Found {
    /// Where each whole record stands, and its checksum.
    lines: BTreeMap<u64, (u64, u64, Sum)>,
    /// Where lines begin that are no record of ours, or one that stands there already.
    stray: Vec<u64>,
    /// Whether records stand in the order of their numbers.
    is_ordered: bool,
}

fn find(journal: &Journal) -> io::Result<Found> {
    let (mut found, mut before) = (Found { is_ordered: true, ..Found::default() }, 0);
    journal.reader().lines(journal.length, |line| {
        match line.record {
            Some(record) if !found.lines.contains_key(&record.head.n) => {
                let n = record.head.n;
                found.is_ordered &= n > before;
                before = n;
                found.lines.insert(n, (line.offset, line.length, record.sum));
            }
            Some(_) | None => found.stray.push(line.offset),
        }
        Ok(())
    })?;
    Ok(found)
}

/// The parts as they were found.
pub(super) struct Parts<'p> {
    found: Found,
    reader: Reader,
    copy: Option<&'p Copy>,
    /// Whether a part of the copy could not be read.
    is_copy_bad: Cell<bool>,
    /// Records that the register or the working copy know of.
    known: BTreeMap<u64, Entry>,
    /// Records that the register knows of.
    pub(super) registered: BTreeSet<Entry>,
}

impl<'p> Parts<'p> {
    pub(super) fn of(journal: &Journal, copy: Option<&'p Copy>, entries: &[Entry]) -> Result<Self, StoreError> {
        let mut known = BTreeMap::new();
        if let Some(copy) = copy {
            known.extend(copy.revisions()?.into_iter().flatten().map(|Copied { entry, .. }| (entry.n, entry)));
        }
        known.extend(entries.iter().map(|entry| (entry.n, *entry)));
        let registered = entries.iter().copied().collect();
        let (found, is_copy_bad) = (find(journal)?, Cell::new(false));
        Ok(Self { found, reader: journal.reader(), copy, is_copy_bad, known, registered })
    }

    /// Where the journal has a record. One that register and working copy both know as another is not had.
    fn line(&self, n: u64) -> Option<(u64, u64)> {
        let (offset, length, sum) = *self.found.lines.get(&n)?;
        let entry = self.known.get(&n).filter(|entry| entry.sum != sum && self.registered.contains(entry));
        let is_another = entry.is_some_and(|entry| self.copied(n).is_some_and(|copied| copied.sum == entry.sum));
        (!is_another).then_some((offset, length))
    }

    /// A record as the journal has it.
    pub(super) fn journaled(&self, n: u64) -> io::Result<Option<Record>> {
        self.line(n).map_or(Ok(None), |(offset, length)| self.reader.at(offset, length))
    }

    /// A record as the working copy has it; nothing where the copy cannot be read there.
    pub(super) fn copied(&self, n: u64) -> Option<Record> {
        let (entry, copy) = (self.known.get(&n)?, self.copy?);
        let record = copy.record(entry.id, entry.revision).unwrap_or_else(|_| {
            self.is_copy_bad.set(true);
            None
        });
        record.filter(|record| record.head.n == n)
    }

    /// Which revision a record was, if the register or the working copy know.
    pub(super) fn what(&self, n: u64) -> Option<(Uuid, u32)> {
        self.known.get(&n).map(|entry| (entry.id, entry.revision))
    }

    /// Number of the last record that may have been acknowledged: what is whole in the journal behind something that is not was
    /// written after it, and only the last may be a tear.
    pub(super) fn last(&self) -> u64 {
        let [known, found] = [self.known.keys().next_back(), self.found.lines.keys().next_back()];
        known.max(found).copied().unwrap_or(0)
    }

    /// Whether the journal has all that can be had, in order, and nothing between.
    fn is_right(&self, last: u64) -> bool {
        let end = self.found.lines.values().map(|(offset, length, _)| offset + length).max().unwrap_or(0);
        let has_strays = self.found.stray.iter().any(|offset| *offset < end);
        let mut lacking = (1..=last).filter(|n| self.line(*n).is_none());
        self.found.is_ordered && !has_strays && !lacking.any(|n| self.copied(n).is_some())
    }

    /// Refuses a journal of which nothing is whole where nothing else knows what it held: it may be anybody's.
    fn refuse_nonsense(&self, journal: &Journal) -> Result<(), StoreError> {
        if journal.length > 0 && self.found.lines.is_empty() && self.known.is_empty() && self.found.stray.len() > 1 {
            return Err(StoreError::Failed("its journal holds no whole record, and nothing else does".to_owned()));
        }
        Ok(())
    }
}

/// Makes all three say the same.
pub(super) fn mend(
    folder: &Path,
    journal: Journal,
    copy: &Copy,
    entries: &[Entry],
    told: &mut Told,
) -> Result<Whole, StoreError> {
    let parts = Parts::of(&journal, Some(copy), entries)?;
    parts.refuse_nonsense(&journal)?;
    let last = parts.last();
    let anew = if parts.is_right(last) { None } else { Some(Anew::begin(folder)?) };
    let (index, entries, behind) = (Index::default(), Vec::new(), Vec::new());
    let mut all = All { parts, copy, anew, index, entries, behind, end: 0, told };
    for n in 1..=last {
        all.take(n)?;
    }
    all.finish(folder, journal, last)
}

/// Everything that is kept, record by record.
struct All<'p> {
    parts: Parts<'p>,
    copy: &'p Copy,
    /// The journal that is written in the place of one that is not right.
    anew: Option<Anew>,
    index: Index,
    entries: Vec<Entry>,
    /// Records that the working copy lacks.
    behind: Vec<Record>,
    /// Where the journal ends, so far.
    end: u64,
    told: &'p mut Told,
}

impl All<'_> {
    fn take(&mut self, n: u64) -> Result<(), StoreError> {
        let (journaled, copied) = (self.parts.journaled(n)?, self.parts.copied(n));
        self.told.restored.journal += u64::from(journaled.is_none() && copied.is_some());
        let is_copied =
            copied.as_ref().is_some_and(|copied| journaled.as_ref().is_none_or(|line| line.sum == copied.sum));
        let Some(record) = journaled.or(copied) else {
            let known = self.parts.known.get(&n).copied();
            self.told.lost.push(Lost { n: Some(n), what: self.parts.what(n) });
            self.entries.extend(known);
            if let Some(entry) = known {
                self.index.lose(entry.id, entry.revision);
            }
            return Ok(());
        };
        let length = record.line_length();
        if let Some(anew) = &mut self.anew {
            anew.file.write_all(record.line().as_bytes())?;
        }
        self.index.take(&record.head, (self.end, length));
        self.end += length;
        self.entries.push(Entry::of(&record));
        if !is_copied {
            self.told.restored.copy += 1;
            self.behind.push(record);
            if self.behind.iter().map(|record| record.packed.as_ref().map_or(0, Vec::len)).sum::<usize>() > AT_ONCE {
                self.catch_up()?;
            }
        }
        Ok(())
    }

    fn catch_up(&mut self) -> Result<(), StoreError> {
        // one that cannot be read is not written either: it is made anew once the journal is whole
        if !self.parts.is_copy_bad.get() {
            self.copy.put(self.behind.iter())?;
        }
        self.behind.clear();
        Ok(())
    }

    fn finish(mut self, folder: &Path, mut journal: Journal, last: u64) -> Result<Whole, StoreError> {
        self.catch_up()?;
        self.copy.sync()?;
        if let Some(anew) = self.anew {
            let aside = if journal.length > 0 { folder::set_aside(folder, journal::NAME)? } else { None };
            self.told.aside.extend(aside);
            journal = anew.named(folder)?;
        } else if journal.length != self.end {
            self.told.torn = true;
            if self.parts.found.stray.len() > 1 {
                // more than the line that was being written: it is not thrown away
                let aside = folder::copy_aside(folder, journal::NAME)?;
                self.told.aside.push(aside);
            }
            journal.cut(self.end)?;
        }
        let registered = &self.parts.registered;
        self.told.restored.register += self.entries.iter().filter(|entry| !registered.contains(entry)).count() as u64;
        let register = Register::anew(folder, self.entries.iter())?;
        let is_copy_bad = self.parts.is_copy_bad.get();
        Ok(Whole { journal, register, index: self.index, last, is_copy_bad })
    }
}

/// A journal that is written anew, beside its place until it is whole.
struct Anew {
    file: BufWriter<File>,
}

impl Anew {
    fn begin(folder: &Path) -> io::Result<Self> {
        let file = folder::open_private(&folder.join(journal::ANEW))?;
        file.set_len(0)?;
        Ok(Self { file: BufWriter::new(file) })
    }

    fn named(mut self, folder: &Path) -> io::Result<Journal> {
        self.file.flush()?;
        self.file.get_ref().sync_all()?;
        std::fs::rename(folder.join(journal::ANEW), folder.join(journal::NAME))?;
        folder::sync(folder)?;
        Journal::open(folder)
    }
}
