//! The folder of the store: a marker file tells ours from a foreign one.

use std::fs::{self, File};
use std::io::{ErrorKind, Write as _};
use std::path::Path;

use super::StoreError;

const MARKER: &str = "tundish-store";
/// Name that the marker is written under before it is whole.
const UNNAMED: &str = "tundish-store.new";
const FORMAT: &str = "tundish store, format 1\n";

/// Makes the folder ready, or refuses it.
pub(super) fn claim(folder: &Path) -> Result<(), StoreError> {
    let refused = |reason: String| StoreError::Folder { folder: folder.to_owned(), reason };
    let failed = |error: std::io::Error| refused(error.to_string());
    match fs::read_to_string(folder.join(MARKER)) {
        Ok(text) if text == FORMAT => return Ok(()),
        Ok(_) => return Err(refused("its marker is of another format".to_owned())),
        Err(error) if error.kind() == ErrorKind::NotFound => {}
        Err(error) => return Err(failed(error)),
    }
    fs::create_dir_all(folder).map_err(failed)?;
    let mut found = fs::read_dir(folder).map_err(failed)?;
    if found.any(|entry| entry.map_or(true, |entry| entry.file_name() != UNNAMED)) {
        return Err(refused(format!("it holds other things and no {MARKER} file")));
    }
    // written whole beside its place and then named, so that a crash leaves a marker or none
    let (named, beside) = (folder.join(MARKER), folder.join(UNNAMED));
    let mut marker = File::create(&beside).map_err(failed)?;
    marker.write_all(FORMAT.as_bytes()).and_then(|()| marker.sync_all()).map_err(failed)?;
    fs::rename(&beside, named).and_then(|()| sync(folder)).map_err(failed)
}

/// Puts the entries of a folder on the disk.
pub(super) fn sync(folder: &Path) -> std::io::Result<()> {
    File::open(folder).and_then(|folder| folder.sync_all())
}
