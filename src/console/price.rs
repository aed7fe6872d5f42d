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

/// Whether a price that was printed is the whole of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Priced {
    /// All that the job asks for is in it.
    Complete,
    /// The design leaves needs unmet, of which the price holds nothing.
    NotComplete,
}

/// Reads a job from a file, or from standard input where the file is `-`, and prints the summary of its proposal.
///
/// # Errors
/// Why there is none, in words for whoever asked: every fault of the job with its place.
pub fn price(path: &Path) -> Result<Priced, String> {
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
    let (summary, priced) = priced(&text).map_err(|reason| format!("{name}: {reason}"))?;
    print!("{}", plain_lines(&summary));
    Ok(priced)
}

/// The summary of the proposal of a job, and whether its price is complete.
fn priced(text: &[u8]) -> Result<(String, Priced), String> {
    let gate = Gate::for_type::<Job>().map_err(|error| error.to_string())?;
    let catalogue = Catalogue::try_built_in().map_err(|error| error.to_string())?;
    let prepared = proposal::read(&gate, &catalogue, text, Needs::Money).map_err(told)?;
    let title = prepared.job.title.clone().unwrap_or_else(|| "Proposal".to_owned());
    let proposal = proposal::proposal(&prepared, false).map_err(told)?;
    let priced = if proposal.price.complete { Priced::Complete } else { Priced::NotComplete };
    let proposal = json::to_string(&proposal).map_err(|error| error.to_string())?;
    summary::text(&title, &proposal).map(|summary| (summary, priced)).map_err(|error| error.to_string())
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
