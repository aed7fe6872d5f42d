//! Opening a store: at once where its parts agree, and mended where they do not.

use std::fs::File;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use super::copy::{self, Copied, Copy};
use super::folder::{self, Holds};
use super::index::Index;
use super::journal::Journal;
use super::mend::{self, Whole};
use super::register::{Entry, Register};
use super::told::Told;
use super::{StoreError, first_form, quiet};

/// A store that can be worked with.
#[derive(Debug)]
pub(super) struct Opened {
    /// Held as long as the store is open.
    pub(super) lock: File,
    pub(super) copy: Copy,
    pub(super) whole: Whole,
    pub(super) told: Told,
}

/// Opens the store in a folder, which is made if it is not there.
pub(super) fn open(folder: &Path) -> Result<Opened, StoreError> {
    let (lock, holds) = folder::claim(folder)?;
    if holds == Holds::FirstForm {
        first_form::bring_up(folder).map_err(|error| error.in_folder(folder))?;
    }
    let mut told = Told::default();
    let (whole, copy) = parts(folder, &mut told).map_err(|error| error.in_folder(folder))?;
    // a synced file is lost all the same if the entry that leads to it is not on the disk
    folder::sync(folder)
        .and_then(|()| folder::sync(&folder.join(copy::NAME)))
        .map_err(|error| StoreError::of_folder(folder, &error))?;
    folder::keep_private(folder).map_err(|error| StoreError::of_folder(folder, &error))?;
    told.log();
    Ok(Opened { lock, copy, whole, told })
}

fn parts(folder: &Path, told: &mut Told) -> Result<(Whole, Copy), StoreError> {
    let (copied, register) = std::thread::scope(|scope| {
        let register = scope.spawn(|| Register::open(folder));
        let copied = Copy::open(folder).and_then(|copy| copy.revisions().map(|revisions| (copy, revisions)));
        (copied, register.join())
    });
    let (register, entries, is_whole) = register.unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
    match copied {
        Ok((copy, revisions)) => {
            let journal = Journal::open(folder)?;
            if is_whole && let Some(index) = agreeing(&journal, revisions, &entries) {
                let last = entries.len() as u64;
                return Ok((Whole { last, journal, register, index, is_copy_bad: false }, copy));
            }
            let whole = mend::mend(folder, journal, &copy, &entries, told)?;
            if !whole.is_copy_bad {
                return Ok((whole, copy));
            }
            let_go(copy);
        }
        Err(why) => tracing::warn!(%why, "the working copy cannot be read"),
    }
    copied_anew(folder, told)
}

/// Makes the working copy anew from the journal, and puts the old one aside.
pub(super) fn copied_anew(folder: &Path, told: &mut Told) -> Result<(Whole, Copy), StoreError> {
    let aside = folder::set_aside(folder, copy::NAME)?;
    told.aside.extend(aside);
    // what was lost is looked for once more, and what the old one lacked is counted with the rest
    told.lost.clear();
    told.restored.copy = 0;
    let copy = Copy::open(folder)?;
    let (_, entries, _) = Register::open(folder)?;
    Ok((mend::mend(folder, Journal::open(folder)?, &copy, &entries, told)?, copy))
}

/// Drops a copy that is damaged, which may panic once more.
pub(super) fn let_go(copy: Copy) {
    _ = quiet::while_doing(|| catch_unwind(AssertUnwindSafe(|| drop(copy))));
}

/// The index of a store whose parts agree as far as that is seen without reading every value; nothing where they do not.
fn agreeing(journal: &Journal, revisions: Vec<Option<Copied>>, entries: &[Entry]) -> Option<Index> {
    let revisions: Vec<Copied> = revisions.into_iter().collect::<Option<_>>()?;
    let place_of = |n: u64| usize::try_from(n.checked_sub(1)?).ok();
    // where each line begins and how long it is, by the number of its record
    let mut lines: Vec<Option<(u64, u64)>> = vec![None; entries.len()];
    for Copied { entry, line_length, .. } in &revisions {
        let place = place_of(entry.n).filter(|place| entries.get(*place) == Some(entry))?;
        if lines[place].replace((0, *line_length)).is_some() {
            return None;
        }
    }
    let mut end = 0;
    for line in &mut lines {
        let line = line.as_mut()?;
        line.0 = end;
        end += line.1;
    }
    // what the journal holds between is looked at once the store is open
    let is_last = |(offset, length)| {
        let record = journal.reader().at(offset, length).ok().flatten();
        record.is_some_and(|record| Some(&Entry::of(&record)) == entries.last())
    };
    if journal.length != end || !lines.last().copied().flatten().is_none_or(is_last) {
        return None;
    }
    let standing = |Copied { entry, head, .. }| Some((head, lines[place_of(entry.n)?]?));
    revisions.into_iter().map(standing).collect::<Option<_>>().map(Index::of)
}
