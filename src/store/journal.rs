//! The journal: every record in the order of commits, a line each. It is what is acknowledged.

use std::fs::File;
use std::io::{self, BufRead as _, BufReader, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use super::folder;
use super::record::Record;

/// Name of its file.
pub(super) const NAME: &str = "journal";
/// Name of one that is written in its place, until it is whole.
pub(super) const ANEW: &str = "journal.new";
/// A line beyond this is none of ours (bytes).
const LONGEST_LINE: u64 = 64 * 1024 * 1024;

/// The journal, open at its end.
#[derive(Debug)]
pub(super) struct Journal {
    path: PathBuf,
    file: File,
    /// Its length, up to the end of the last record (bytes).
    pub(super) length: u64,
}

/// A line of the journal.
#[derive(Debug)]
pub(super) struct Line {
    /// Where it begins (bytes).
    pub(super) offset: u64,
    /// Its length, with its end (bytes).
    pub(super) length: u64,
    /// What it says, if it is whole.
    pub(super) record: Option<Record>,
}

impl Journal {
    /// Opens the journal, or begins one.
    pub(super) fn open(folder: &Path) -> io::Result<Self> {
        let path = folder.join(NAME);
        let file = folder::open_private(&path)?;
        let length = file.metadata()?.len();
        Ok(Self { path, file, length })
    }

    /// Puts lines behind the last. Where that fails the journal is as it was.
    pub(super) fn append(&mut self, lines: &[u8]) -> io::Result<()> {
        let written = self.file.seek(SeekFrom::Start(self.length)).and_then(|_| self.file.write_all(lines));
        written.or_else(|error| {
            // what was written of them goes again, or the next line would stand behind a part of one
            self.file.set_len(self.length)?;
            Err(error)
        })?;
        self.length += lines.len() as u64;
        Ok(())
    }

    /// Cuts off what stands behind so many bytes.
    pub(super) fn cut(&mut self, length: u64) -> io::Result<()> {
        self.file.set_len(length)?;
        self.length = length;
        self.sync()
    }

    /// Whether nothing stands behind the last record.
    pub(super) fn ends_as_it_should(&self) -> bool {
        self.file.metadata().is_ok_and(|found| found.len() == self.length)
    }

    /// Waits until it is on the disk.
    pub(super) fn sync(&self) -> io::Result<()> {
        self.file.sync_data()
    }

    /// A reader of its own.
    pub(super) fn reader(&self) -> Reader {
        Reader(self.path.clone())
    }
}

/// Reads a journal beside whoever writes it.
#[derive(Debug, Clone)]
pub(super) struct Reader(PathBuf);

impl Reader {
    /// The record that a line in this place says.
    pub(super) fn at(&self, offset: u64, length: u64) -> io::Result<Option<Record>> {
        let mut file = File::open(&self.0)?;
        file.seek(SeekFrom::Start(offset))?;
        let mut line = Vec::new();
        file.take(length.min(LONGEST_LINE)).read_to_end(&mut line)?;
        Ok(Record::read(&line).ok())
    }

    /// Looks at every line that begins before a place, in order.
    pub(super) fn lines(&self, until: u64, mut look: impl FnMut(Line) -> io::Result<()>) -> io::Result<()> {
        let mut text = BufReader::with_capacity(1 << 20, File::open(&self.0)?);
        let (mut offset, mut line) = (0, Vec::new());
        while offset < until {
            line.clear();
            let length = (&mut text).take(LONGEST_LINE).read_until(b'\n', &mut line)? as u64;
            if length == 0 {
                break;
            }
            look(Line { offset, length, record: Record::read(&line).ok() })?;
            offset += length;
        }
        Ok(())
    }
}
