//! A folder looked at from outside, and everything in it that is whole brought out.

use std::io::{self, Write};
use std::path::Path;

use super::copy::{self, Copy};
use super::journal::Journal;
use super::mend::Parts;
use super::register::Register;
use super::told::Lost;
use super::{StoreError, folder};

/// What a folder holds.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Examined {
    /// Records that there are, with those that are lost.
    pub records: u64,
    /// Records that are whole in the journal.
    pub in_journal: u64,
    /// Records that are whole in the working copy.
    pub in_copy: u64,
    /// Records that the register knows.
    pub in_register: u64,
    /// Records that are in neither.
    pub lost: Vec<Lost>,
}

impl Examined {
    /// Whether all parts have everything.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        [self.in_journal, self.in_copy, self.in_register].iter().all(|found| *found == self.records)
    }
}

/// Looks at a folder that no service uses, and mends nothing; a part that is not there is begun empty.
///
/// # Errors
/// [`StoreError::Folder`] if the folder is not ours, in use or cannot be read.
pub fn examine(path: &Path) -> Result<Examined, StoreError> {
    look(path, |_| Ok(()))
}

/// Writes every record of a folder that is whole in one part or another, in the order of commits, as the journal has them: put
/// as `journal` into an empty folder they are a store.
///
/// # Errors
/// [`StoreError::Folder`], or what cannot be written.
pub fn export(path: &Path, out: &mut impl Write) -> Result<Examined, StoreError> {
    look(path, |line| out.write_all(line.as_bytes()))
}

fn look(path: &Path, each: impl FnMut(&str) -> io::Result<()>) -> Result<Examined, StoreError> {
    looked(path, each).map_err(|error| error.in_folder(path))
}

fn looked(path: &Path, mut each: impl FnMut(&str) -> io::Result<()>) -> Result<Examined, StoreError> {
    let (_lock, holds) = folder::look_into(path)?;
    if holds == folder::Holds::FirstForm {
        let reason = "it is of the first form; serve it once, and it has a journal".to_owned();
        return Err(StoreError::Folder { folder: path.to_owned(), reason });
    }
    let (_, entries, _) = Register::open(path)?;
    let journal = Journal::open(path)?;
    // what cannot be read of a damaged copy is not there
    let copy = if path.join(copy::NAME).exists() { Copy::open(path).ok() } else { None };
    let parts = Parts::of(&journal, copy.as_ref(), &entries).or_else(|_| Parts::of(&journal, None, &entries))?;
    let mut found = Examined { records: parts.last(), ..Examined::default() };
    found.in_register = parts.registered.iter().filter(|entry| entry.n <= found.records).count() as u64;
    for n in 1..=found.records {
        let (journaled, copied) = (parts.journaled(n)?, parts.copied(n));
        found.in_journal += u64::from(journaled.is_some());
        found.in_copy += u64::from(copied.is_some());
        match journaled.or(copied) {
            Some(record) => each(&record.line())?,
            None => found.lost.push(Lost { n: Some(n), what: parts.what(n) }),
        }
    }
    Ok(found)
}
