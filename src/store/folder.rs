//! The folder of the store: a marker file tells ours from a foreign one, and a lock keeps a second process out.

use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, ErrorKind, Write as _};
use std::path::Path;

use super::record::Sum;
use super::{StoreError, copy, journal, record, register};

const MARKER: &str = "tundish-store";
const LOCK: &str = "lock";
/// Added to the name of a file until it is whole.
const UNNAMED: &str = ".new";
/// The marker of a store of before, which had no journal.
const FIRST: &str = "tundish store, format 1\n";
const SECOND: &str = "tundish store, format 2";

/// What a folder holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    /// A store of this form.
    Store,
    /// A store of before.
    FirstForm,
}

fn marker() -> String {
    format!("{SECOND} {}\n", Sum::of(SECOND.as_bytes()).text())
}

/// Whether a text is a whole marker of a form that is not known.
fn is_of_another_form(text: &str) -> bool {
    let Some((says, sum)) = text.trim_end().rsplit_once(' ') else { return false };
    says != SECOND && Sum::read(sum) == Some(Sum::of(says.as_bytes()))
}

/// Takes the folder for this process, for as long as the lock lives; a new one is made ready. Refuses what is not ours.
pub(super) fn claim(folder: &Path) -> Result<(File, Holds), StoreError> {
    let refused = |reason: &str| StoreError::Folder { folder: folder.to_owned(), reason: reason.to_owned() };
    let failed = |error: io::Error| StoreError::of_folder(folder, &error);
    make(folder).map_err(failed)?;
    let found = match fs::read(folder.join(MARKER)) {
        Ok(bytes) => Some(String::from_utf8_lossy(&bytes).into_owned()),
        Err(error) if error.kind() == ErrorKind::NotFound => None,
        Err(error) => return Err(failed(error)),
    };
    let is_ours = holds_ours(folder).map_err(failed)?;
    let holds = match found.as_deref() {
        Some(FIRST) => Holds::FirstForm,
        Some(text) if text == marker() => Holds::Store,
        Some(text) if is_of_another_form(text) => return Err(refused("its marker is of another format")),
        // a marker that is damaged or gone beside what is ours is written again
        Some(_) | None if is_ours => Holds::Store,
        Some(_) if folder.join("sled").exists() => Holds::FirstForm,
        Some(_) => return Err(refused("its marker is of another format")),
        None if holds_other_things(folder).map_err(failed)? => {
            return Err(refused(&format!("it holds other things and no {MARKER} file")));
        }
        None => Holds::Store,
    };
    let lock = open_private(&folder.join(LOCK)).map_err(failed)?;
    match lock.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => return Err(refused("another process uses it")),
        Err(TryLockError::Error(error)) => return Err(failed(error)),
    }
    if holds == Holds::Store && found.as_deref() != Some(&marker()) {
        mark(folder).map_err(failed)?;
    }
    Ok((lock, holds))
}

/// Whether what a folder holds is ours, if only a journal that was put there: by how its first line begins, or by two of the parts.
fn holds_ours(folder: &Path) -> io::Result<bool> {
    let parts = [journal::NAME, copy::NAME, register::NAME].iter().filter(|name| folder.join(name).exists()).count();
    let mut begins = [0; record::BEGINS.len()];
    let begins_so = match File::open(folder.join(journal::NAME)) {
        Ok(mut file) => io::Read::read_exact(&mut file, &mut begins).is_ok() && begins == *record::BEGINS,
        Err(error) if error.kind() == ErrorKind::NotFound => false,
        Err(error) => return Err(error),
    };
    Ok(parts > 1 || begins_so)
}

/// Takes a folder that holds a store already.
pub(super) fn look_into(folder: &Path) -> Result<(File, Holds), StoreError> {
    if [MARKER, journal::NAME, copy::NAME, register::NAME].iter().any(|name| folder.join(name).exists()) {
        return claim(folder);
    }
    Err(StoreError::Folder { folder: folder.to_owned(), reason: "it holds no store".to_owned() })
}

/// Marks the folder as one of this form.
pub(super) fn mark(folder: &Path) -> io::Result<()> {
    write_whole(folder, MARKER, marker().as_bytes())
}

/// Makes the folder, which nobody else may look into.
fn make(folder: &Path) -> io::Result<()> {
    if folder.is_dir() {
        return Ok(());
    }
    fs::create_dir_all(folder)?;
    if let Some(parent) = folder.parent().filter(|parent| parent.is_dir()) {
        sync(parent)?;
    }
    keep_private(folder)
}

fn holds_other_things(folder: &Path) -> io::Result<bool> {
    let ours = [format!("{MARKER}{UNNAMED}"), LOCK.to_owned()];
    let mut found = fs::read_dir(folder)?;
    Ok(found.any(|entry| entry.map_or(true, |entry| ours.iter().all(|ours| entry.file_name() != OsStr::new(ours)))))
}

/// Keeps others from a folder and from all that is in it.
pub(super) fn keep_private(path: &Path) -> io::Result<()> {
    let is_folder = path.is_dir();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        fs::set_permissions(path, fs::Permissions::from_mode(if is_folder { 0o700 } else { 0o600 }))?;
    }
    for entry in is_folder.then(|| fs::read_dir(path)).transpose()?.into_iter().flatten() {
        keep_private(&entry?.path())?;
    }
    Ok(())
}

/// Opens a file to read and write, and makes it if it is not there, for nobody else.
pub(super) fn open_private(path: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)
}

/// Writes a file beside its place and then names it, so that a crash leaves the whole of it or what was there.
pub(super) fn write_whole(folder: &Path, name: &str, bytes: &[u8]) -> io::Result<()> {
    let beside = folder.join(format!("{name}{UNNAMED}"));
    let mut file = open_private(&beside)?;
    file.set_len(0)?;
    file.write_all(bytes)?;
    file.sync_all()?;
    fs::rename(beside, folder.join(name))?;
    sync(folder)
}

/// Puts what is damaged aside, under a name that says so: what it still holds is not thrown away.
pub(super) fn set_aside(folder: &Path, name: &str) -> io::Result<Option<String>> {
    let path = folder.join(name);
    if !path.exists() {
        return Ok(None);
    }
    let aside = free_name(folder, name)?;
    fs::rename(path, folder.join(&aside))?;
    sync(folder)?;
    Ok(Some(aside))
}

/// Keeps what a file holds now under a name that says that it is damaged.
pub(super) fn copy_aside(folder: &Path, name: &str) -> io::Result<String> {
    let aside = free_name(folder, name)?;
    fs::copy(folder.join(name), folder.join(&aside))?;
    File::open(folder.join(&aside))?.sync_all()?;
    sync(folder)?;
    Ok(aside)
}

fn free_name(folder: &Path, name: &str) -> io::Result<String> {
    let mut names = (1..=u16::MAX).map(|count| format!("{name}.damaged-{count}"));
    let free = names.find(|name| !folder.join(name).exists());
    free.ok_or(ErrorKind::AlreadyExists.into())
}

/// Puts the entries of a folder on the disk.
pub(super) fn sync(folder: &Path) -> io::Result<()> {
    File::open(folder).and_then(|folder| folder.sync_all())
}
