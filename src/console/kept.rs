//! `tundish check` and `tundish export`: what a folder of data holds, and all of it that is whole.

use std::fs::OpenOptions;
use std::io::{self, BufWriter, Write};
use std::path::Path;

use super::plain_lines;
use crate::store::{self, Examined, Lost};

/// Says what a folder holds. Whether everything is there, in every part.
///
/// # Errors
/// Why it cannot be looked at, in words for whoever asked.
pub fn check(data: &Path) -> Result<bool, String> {
    let found = store::examine(data).map_err(|error| error.to_string())?;
    println!("data lie in {}", plain_lines(&data.display().to_string()));
    print!("{}", told(&found));
    Ok(found.is_whole())
}

/// Writes every record that is whole in one part or another to a file that is not there yet, or to standard output. Whether
/// that is everything.
///
/// # Errors
/// Why it cannot be read or written, in words for whoever asked.
pub fn export(data: &Path, out: Option<&Path>) -> Result<bool, String> {
    let found = match out {
        None => store::export(data, &mut BufWriter::new(io::stdout().lock())),
        Some(path) => {
            let file = OpenOptions::new().write(true).create_new(true).open(path);
            let file = file.map_err(|error| format!("{}: {error}", path.display()))?;
            let mut out = BufWriter::new(file);
            store::export(data, &mut out).and_then(|found| {
                out.flush()?;
                out.get_ref().sync_all()?;
                Ok(found)
            })
        }
    };
    let found = found.map_err(|error| error.to_string())?;
    eprint!("{}", told(&found));
    Ok(found.lost.is_empty())
}

fn told(found: &Examined) -> String {
    let Examined { records, in_journal, in_copy, in_register, lost } = found;
    let mut told = format!(
        "{records} records: {in_journal} whole in the journal, {in_copy} in the working copy, {in_register} in the register\n"
    );
    told.extend(lost.iter().map(|Lost { n, what }| match what {
        Some((id, revision)) => format!("lost: revision {revision} of {id}\n"),
        None => format!("lost: record {}\n", n.unwrap_or_default()),
    }));
    told
}
