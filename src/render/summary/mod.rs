//! A proposal as a readable summary: aligned tables, totals last.

mod design;
mod money;
mod notes;

use super::table::{Column, aligned};
use crate::design::findings::UnmetRow;
use crate::intake::words::plain;
use crate::notes::{Note, Notes};
use crate::proposal::ProposalReport;
use notes::{BESIDE_THE_PRICE, from_memory, grouped};

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
        not_in_the_price(&proposal),
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

/// What was assumed, what looks wrong and what to beware of, but for what is told beside the price.
fn notes(notes: &Notes) -> String {
    let is_here = |note: &&Note| !BESIDE_THE_PRICE.contains(&note.code.as_ref());
    let lists = [
        grouped("Assumed", notes.assumptions.iter().filter(is_here)),
        from_memory(notes.assumptions.iter().chain(&notes.warnings)),
        grouped("Warnings", notes.warnings.iter().filter(is_here)),
        grouped("Cautions", notes.cautions.iter()),
    ];
    lists.into_iter().filter(|list| !list.is_empty()).collect::<Vec<_>>().join("\n")
}

/// What the price does not hold: needs that are not met, hours that are not counted, and what is never in it.
fn not_in_the_price(proposal: &ProposalReport) -> String {
    let ProposalReport { emitters, pipework, plant, bill, notes, .. } = proposal;
    let unmet = [&emitters.unmet, &pipework.unmet, &plant.unmet, &bill.unmet].into_iter().flatten();
    let mut rows: Vec<String> = Vec::new();
    for UnmetRow { detail, .. } in unmet {
        // the same of several places is said once
        if !rows.contains(detail) {
            rows.push(detail.clone());
        }
    }
    let unmet = list("Not met: the price is not complete", rows);
    let beside = notes.warnings.iter().chain(&notes.assumptions);
    let beside = beside.filter(|note| BESIDE_THE_PRICE.contains(&note.code.as_ref()) && note.code != "design_unmet");
    let beside = list("Not in the price", beside.map(|note| note.detail.clone()).collect());
    [unmet, beside].into_iter().filter(|list| !list.is_empty()).collect::<Vec<_>>().join("\n")
}

/// Texts one under the other.
fn list(title: &str, texts: Vec<String>) -> String {
    let rows: Vec<Vec<String>> = texts.into_iter().map(|text| vec!["*".to_owned(), text]).collect();
    if rows.is_empty() { String::new() } else { section(title, &[("", Column::Word), ("", Column::Text)], rows) }
}
