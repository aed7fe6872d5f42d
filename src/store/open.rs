//! Opening a store: at once where its parts agree, and mended where they do not.

use std::fs::File;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use super::copy::{self, Copy, Meta, Unusable};
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
    let usable = Copy::open(folder).and_then(|copy| {
        let usable = copy.metas(|_| ());
        usable.map(|()| copy)
    });
    match usable {
        Ok(copy) => {
            let (register, entries, is_whole) = Register::open(folder)?;
            let journal = Journal::open(folder)?;
            if is_whole && let Some(index) = agreeing(&journal, &copy, &entries)? {
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
fn agreeing(journal: &Journal, copy: &Copy, entries: &[Entry]) -> Result<Option<Index>, Unusable> {
    let mut metas: Vec<Option<Meta>> = entries.iter().map(|_| None).collect();
    let mut are_all_known = true;
    copy.metas(|meta| {
        let place = meta.as_ref().and_then(|meta| usize::try_from(meta.n.checked_sub(1)?).ok());
        match place.and_then(|place| metas.get_mut(place)) {
            Some(free @ None) => *free = meta,
            Some(Some(_)) | None => are_all_known = false,
        }
    })?;
    let (mut index, mut end, mut last) = (Index::default(), 0, None);
    for (meta, entry) in metas.into_iter().zip(entries) {
        let Some((meta, head)) = meta.and_then(|meta| meta.head().map(|head| (meta, head))) else { return Ok(None) };
        if (head.id, head.revision, meta.sum) != (entry.id, entry.revision, entry.sum) {
            return Ok(None);
        }
        let line = (end, meta.line_length());
        index.take(&head, line);
        (end, last) = (line.0 + line.1, Some(line));
    }
    // what the journal holds between is looked at once the store is open
    let is_last = |(offset, length)| {
        let record = journal.reader().at(offset, length).ok().flatten();
        record.is_some_and(|record| Some(&Entry::of(&record)) == entries.last())
    };
    Ok((are_all_known && journal.length == end && last.is_none_or(is_last)).then_some(index))
}
