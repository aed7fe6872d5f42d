//! A proposal as a readable summary: aligned tables, totals last.

mod design;
mod money;

use super::table::{Column, aligned};
use crate::design::findings::UnmetRow;
use crate::intake::words::plain;
use crate::notes::{Note, Notes};
use crate::proposal::ProposalReport;

/// Reads the answer of `/v1/proposal` and writes its summary under a title.
///
/// # Errors
/// If the text is not such an answer.
pub fn text(title: &str, proposal: &str) -> Result<String, serde_json::Error> {
    let proposal: ProposalReport = serde_json::from_str(proposal)?;
    let sections = [
        heading(&plain(title), '='),
        design::rooms(&proposal),
        design::plant(&proposal),
        money::materials(&proposal.bill),
        money::labour(&proposal.bill),
        money::programme(&proposal.programme),
        notes(&proposal.notes),
        unmet(&proposal),
        money::price(&proposal.price),
    ];
    Ok(sections.into_iter().filter(|section| !section.is_empty()).collect::<Vec<_>>().join("\n"))
}

/// A heading with a line under it.
fn heading(text: &str, line: char) -> String {
    let under: String = text.chars().map(|_| line).collect();
    format!("{text}\n{under}\n")
}

/// A table under its heading.
fn section(title: &str, columns: &[(&str, Column)], rows: Vec<Vec<String>>) -> String {
    heading(title, '-') + &aligned(columns, rows)
}

/// Texts one under the other.
fn list<'t>(title: &str, texts: impl Iterator<Item = &'t str>) -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for text in texts {
        // the same of several places is said once
        if !rows.iter().any(|row| row[1] == text) {
            rows.push(vec!["*".to_owned(), text.to_owned()]);
        }
    }
    if rows.is_empty() { String::new() } else { section(title, &[("", Column::Word), ("", Column::Text)], rows) }
}

fn details(notes: &[Note]) -> impl Iterator<Item = &str> {
    notes.iter().map(|note| note.detail.as_str())
}

fn notes(notes: &Notes) -> String {
    let lists = [
        list("Assumed", details(&notes.assumptions)),
        list("Warnings", details(&notes.warnings)),
        list("Cautions", details(&notes.cautions)),
    ];
    lists.into_iter().filter(|list| !list.is_empty()).collect::<Vec<_>>().join("\n")
}

/// What the design does not meet, so that the price is not the whole price.
fn unmet(proposal: &ProposalReport) -> String {
    let ProposalReport { emitters, pipework, plant, bill, .. } = proposal;
    let all = [&emitters.unmet, &pipework.unmet, &plant.unmet, &bill.unmet].into_iter().flatten();
    list("Not met: the price is not complete", all.map(|UnmetRow { detail, .. }| detail.as_str()))
}
