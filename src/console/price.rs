//! `tundish price`: the proposal of a job as a summary in the terminal.

use std::fmt::Write as _;
use std::io::Read as _;
use std::path::Path;

use super::plain_lines;
use crate::catalogue::Catalogue;
use crate::intake::{Fault, Gate};
use crate::job::Job;
use crate::proposal::{self, Needs, ProposalError};
use crate::render::{json, summary};

/// Reads a job from a file, or from standard input where the file is `-`, and prints the summary of its proposal.
///
/// # Errors
/// Why there is none, in words for whoever asked: every fault of the job with its place.
pub fn price(path: &Path) -> Result<(), String> {
    let (name, text) = if path == Path::new("-") {
        let mut text = Vec::new();
        ("standard input".to_owned(), std::io::stdin().read_to_end(&mut text).map(|_| text))
    } else {
        (path.display().to_string(), std::fs::read(path))
    };
    let text = text.map_err(|error| format!("{name} cannot be read: {error}"))?;
    if text.trim_ascii().is_empty() {
        return Err(format!("{name} is empty"));
    }
    let summary = priced(&text).map_err(|reason| format!("{name}: {reason}"))?;
    print!("{}", plain_lines(&summary));
    Ok(())
}

/// The summary of the proposal of a job.
fn priced(text: &[u8]) -> Result<String, String> {
    let gate = Gate::for_type::<Job>().map_err(|error| error.to_string())?;
    let catalogue = Catalogue::try_built_in().map_err(|error| error.to_string())?;
    let prepared = proposal::read(&gate, &catalogue, text, Needs::Money).map_err(told)?;
    let title = prepared.job.title.clone().unwrap_or_else(|| "Proposal".to_owned());
    let proposal = proposal::proposal(&prepared, false).map_err(told)?;
    let proposal = json::to_string(&proposal).map_err(|error| error.to_string())?;
    summary::text(&title, &proposal).map_err(|error| error.to_string())
}

fn told(error: ProposalError) -> String {
    let faults = match error.into_faults() {
        Ok(faults) => faults,
        Err(late) => return late.to_string(),
    };
    let mut text = match faults.len() {
        1 => "the job has one fault".to_owned(),
        count => format!("the job has {count} faults"),
    };
    for Fault { pointer, detail, .. } in &faults {
        let place = if pointer.is_empty() { "the job" } else { pointer };
        // writing to a text cannot fail
        let _ = write!(text, "\n  {place}: {detail}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faults_are_told_with_their_places() {
        let told = priced(b"{\"schema\": 1, \"rooms\": {}}").unwrap_err();
        assert!(
            told.starts_with("the job has ") && told.contains("\n  /rooms: ") && told.contains("\n  the job: "),
            "{told}"
        );
        assert!(priced(b"[").unwrap_err().starts_with("the job has one fault\n  the job: "));
    }
}
