//! The register: which records there are, in a third place. It holds no document; where journal and working copy have both
//! lost one, it says which.

use std::fs::File;
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::Path;

use uuid::Uuid;

use super::folder;
use super::record::{Record, Sum};

/// Name of its file.
pub(super) const NAME: &str = "register";
/// Digits of the checksum of an entry.
const CHECK: usize = 8;

/// One record, as it is registered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Entry {
    /// Number of the record.
    pub(super) n: u64,
    /// The document.
    pub(super) id: Uuid,
    /// Number of its revision.
    pub(super) revision: u32,
    /// The checksum of its line.
    pub(super) sum: Sum,
}

impl Entry {
    pub(super) fn of(record: &Record) -> Self {
        Self { n: record.head.n, id: record.head.id, revision: record.head.revision, sum: record.sum }
    }

    fn line(&self) -> String {
        let text = format!("{} {} {} {}", self.n, self.id, self.revision, self.sum.text());
        let check = Sum::of(text.as_bytes()).text();
        format!("{text} {}\n", &check[..CHECK])
    }

    fn read(line: &str) -> Option<Self> {
        let (text, check) = line.rsplit_once(' ')?;
        if check.len() != CHECK || !Sum::of(text.as_bytes()).begins_with(check) {
            return None;
        }
        let mut parts = text.split(' ');
        let mut next = || parts.next();
        Some(Self {
            n: next()?.parse().ok()?,
            id: Uuid::try_parse(next()?).ok()?,
            revision: next()?.parse().ok()?,
            sum: Sum::read(next()?)?,
        })
    }
}

/// The register, open at its end.
#[derive(Debug)]
pub(super) struct Register {
    file: File,
    length: u64,
    /// Entries that could not be written yet.
    behind: String,
}

impl Register {
    /// Opens the register or begins one: what can be read of it, and whether that is all of it.
    pub(super) fn open(folder: &Path) -> io::Result<(Self, Vec<Entry>, bool)> {
        let mut file = folder::open_private(&folder.join(NAME))?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes)?;
        let lines = bytes.split_inclusive(|byte| *byte == b'\n');
        let read = |line: &[u8]| Entry::read(std::str::from_utf8(line.strip_suffix(b"\n")?).ok()?);
        let all: Vec<Option<Entry>> = lines.map(read).collect();
        let is_whole = (1..).zip(&all).all(|(n, entry)| entry.is_some_and(|entry| entry.n == n));
        Ok((
            Self { file, length: bytes.len() as u64, behind: String::new() },
            all.into_iter().flatten().collect(),
            is_whole,
        ))
    }

    /// Writes a register anew.
    pub(super) fn anew<'e>(folder: &Path, entries: impl Iterator<Item = &'e Entry>) -> io::Result<Self> {
        let text: String = entries.map(Entry::line).collect();
        folder::write_whole(folder, NAME, text.as_bytes())?;
        let file = folder::open_private(&folder.join(NAME))?;
        Ok(Self { file, length: text.len() as u64, behind: String::new() })
    }

    /// Registers records. What cannot be written now is with the next.
    pub(super) fn append(&mut self, entries: impl Iterator<Item = Entry>) -> io::Result<()> {
        self.behind.extend(entries.map(|entry| entry.line()));
        self.file.seek(SeekFrom::Start(self.length))?;
        self.file.write_all(self.behind.as_bytes())?;
        self.length += self.behind.len() as u64;
        self.behind.clear();
        Ok(())
    }

    /// Waits until it is on the disk.
    pub(super) fn sync(&self) -> io::Result<()> {
        self.file.sync_data()
    }
}
