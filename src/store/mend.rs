//! Journal, working copy and register are held against each other: whatever one of them has lost is made from the others.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{self, BufWriter, Write as _};
use std::path::Path;

use uuid::Uuid;

use super::copy::Copy;
use super::index::Index;
use super::journal::{self, Journal, Reader};
use super::record::Record;
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
}

/// What the journal says.
#[derive(Default)]
struct Found {
    /// Where each whole record stands.
    lines: BTreeMap<u64, (u64, u64)>,
    /// Number of the last record that was surely on the disk when a later one was written.
    synced: u64,
    /// Where lines begin that are no record of ours, or stand out of order.
    stray: Vec<u64>,
}

fn find(journal: &Journal) -> io::Result<Found> {
    let (mut found, mut before) = (Found::default(), 0);
    journal.reader().lines(journal.length, |line| {
        match line.record {
            Some(record) if record.head.n > before => {
                before = record.head.n;
                found.synced = found.synced.max(record.head.synced);
                found.lines.insert(before, (line.offset, line.length));
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
    /// Records that the register or the working copy know of.
    known: BTreeMap<u64, Entry>,
    /// Records that the register knows of.
    pub(super) registered: BTreeSet<Entry>,
}

impl<'p> Parts<'p> {
    pub(super) fn of(journal: &Journal, copy: Option<&'p Copy>, entries: &[Entry]) -> Result<Self, StoreError> {
        let mut known = BTreeMap::new();
        if let Some(copy) = copy {
            copy.metas(|meta| _ = meta.and_then(|meta| meta.entry()).map(|entry| known.insert(entry.n, entry)))?;
        }
        known.extend(entries.iter().map(|entry| (entry.n, *entry)));
        let registered = entries.iter().copied().collect();
        Ok(Self { found: find(journal)?, reader: journal.reader(), copy, known, registered })
    }

    /// A record as the journal has it.
    pub(super) fn journaled(&self, n: u64) -> io::Result<Option<Record>> {
        self.found.lines.get(&n).map_or(Ok(None), |(offset, length)| self.reader.at(*offset, *length))
    }

    /// A record as the working copy has it.
    pub(super) fn copied(&self, n: u64) -> Result<Option<Record>, StoreError> {
        let (Some(entry), Some(copy)) = (self.known.get(&n), self.copy) else { return Ok(None) };
        let record = copy.record(entry.id, entry.revision)?;
        Ok(record.filter(|record| record.head.n == n))
    }

    /// Which revision a record was, if the register or the working copy know.
    pub(super) fn what(&self, n: u64) -> Option<(Uuid, u32)> {
        self.known.get(&n).map(|entry| (entry.id, entry.revision))
    }

    /// Number of the last record that may have been acknowledged.
    pub(super) fn last(&self) -> u64 {
        let known = self.known.keys().next_back().copied().unwrap_or(0).max(self.found.synced);
        // what is whole behind that may have been; what stands behind a gap there was not
        let behind = (known + 1..).zip(self.found.lines.range(known + 1..)).take_while(|(n, (line, _))| n == *line);
        behind.last().map_or(known, |(n, _)| n)
    }

    /// Whether the journal has all that can be had, in order, and nothing between.
    fn is_right(&self, last: u64) -> Result<bool, StoreError> {
        let end = self.found.lines.range(..=last).next_back().map_or(0, |(_, (offset, length))| offset + length);
        if self.found.stray.iter().any(|offset| *offset < end) {
            return Ok(false);
        }
        for n in (1..=last).filter(|n| !self.found.lines.contains_key(n)) {
            if self.copied(n)?.is_some() {
                return Ok(false);
            }
        }
        Ok(true)
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
    let last = parts.last();
    let anew = if parts.is_right(last)? { None } else { Some(Anew::begin(folder)?) };
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
        let (journaled, copied) = (self.parts.journaled(n)?, self.parts.copied(n)?);
        self.told.restored.journal += u64::from(journaled.is_none() && copied.is_some());
        let is_copied =
            copied.as_ref().is_some_and(|copied| journaled.as_ref().is_none_or(|line| line.sum == copied.sum));
        let Some(record) = journaled.or(copied) else {
            let known = self.parts.known.get(&n).copied();
            self.told.lost.push(Lost { n, what: self.parts.what(n) });
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
        self.copy.put(self.behind.iter())?;
        self.behind.clear();
        Ok(())
    }

    fn finish(mut self, folder: &Path, mut journal: Journal, last: u64) -> Result<Whole, StoreError> {
        self.catch_up()?;
        self.copy.sync()?;
        if let Some(anew) = self.anew {
            let aside = if journal.length > 0 { folder::set_aside(folder, journal::NAME)? } else { None };
            self.told.aside.extend(aside.map(|path| path.display().to_string()));
            journal = anew.named(folder)?;
        } else if journal.length != self.end {
            self.told.torn = true;
            journal.cut(self.end)?;
        }
        let registered = &self.parts.registered;
        self.told.restored.register += self.entries.iter().filter(|entry| !registered.contains(entry)).count() as u64;
        let register = Register::anew(folder, self.entries.iter())?;
        Ok(Whole { journal, register, index: self.index, last })
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
