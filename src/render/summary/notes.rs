//! Notes grouped by their codes: one entry a code, with the places that it is about and what differs between them.

use super::section;
use crate::catalogue::provenance::Confidence;
use crate::methods::math::round_significant;
use crate::notes::{FROM_MEMORY, Note, Value, Values};
use crate::render::table::Column;
use crate::render::units::words_and_unit;

/// What of an assumption and of a warning is not in the price: told beside it.
pub(super) const BESIDE_THE_PRICE: [&str; 3] = ["not_in_the_bill", "labour_not_counted", "design_unmet"];

/// Values that tell where a note belongs or how its figures are known, and no figures of it.
const NO_FIGURES: [&str; 4] = ["emitter", "source", "confidence", FROM_MEMORY];

/// Values that name the place, the first that is there.
const PLACES: [&str; 3] = ["room", "construction", "supply"];

/// Notes under their heading, one entry a code; nothing where there are none.
pub(super) fn grouped<'n>(title: &str, notes: impl Iterator<Item = &'n Note>) -> String {
    let mut codes: Vec<(&str, Vec<&Note>)> = Vec::new();
    for note in notes {
        match codes.iter_mut().find(|(code, _)| *code == note.code) {
            Some((_, of_code)) => of_code.push(note),
            None => codes.push((&note.code, vec![note])),
        }
    }
    let rows: Vec<Vec<String>> = codes.iter().map(|(_, notes)| vec!["*".to_owned(), entry(notes)]).collect();
    if rows.is_empty() { String::new() } else { section(title, &[("", Column::Word), ("", Column::Text)], rows) }
}

/// What the documents are called that notes recall, each once, as a sentence; nothing where there are none.
pub(super) fn recalled<'n>(notes: impl Iterator<Item = &'n Note>) -> String {
    let mut sources: Vec<&str> = Vec::new();
    let recalled = notes.filter_map(|note| {
        let is_recalled = note.values.word("confidence") == Some(Confidence::FromMemory.words());
        note.values.word(FROM_MEMORY).or_else(|| note.values.word("source").filter(|_| is_recalled))
    });
    for source in recalled.flat_map(|sources| sources.split("; ")) {
        // rows of one table are one document
        let document = source.split_once(", row ").map_or(source, |(document, _)| document);
        if !sources.contains(&document) {
            sources.push(document);
        }
    }
    if sources.is_empty() {
        return String::new();
    }
    let text = format!("figures recalled from these are to be confirmed: {}", sources.join("; "));
    section("From memory", &[("", Column::Word), ("", Column::Text)], vec![vec!["*".to_owned(), text]])
}

/// The notes of one code: the first in its sentence, the others by their places and by what differs there.
fn entry(notes: &[&Note]) -> String {
    let Some((first, others)) = notes.split_first() else { return String::new() };
    // places that differ in nothing are told together
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    let mut alike = vec![place(first)];
    for note in others {
        let is_like = first.values.iter().map(|(name, _)| name).eq(note.values.iter().map(|(name, _)| name));
        let mut differs = if is_like { differences(&first.values, &note.values) } else { String::new() };
        if !is_like || differs.is_empty() && note.values.iter().all(|(name, _)| PLACES.contains(&name)) {
            // figures do not tell what differs: the sentence does, if anything
            differs = Some(bare(&note.detail)).filter(|sentence| *sentence != bare(&first.detail)).unwrap_or_default();
        }
        match groups.iter_mut().find(|(told, _)| *told == differs) {
            _ if differs.is_empty() => alike.push(place(note)),
            Some((_, places)) => places.push(place(note)),
            None => groups.push((differs, vec![place(note)])),
        }
    }
    let sentence = bare(&first.detail);
    if notes.len() == 1 {
        return sentence;
    }
    let others = groups.into_iter().map(|(differs, places)| format!("{}: {differs}", list(places)));
    let told: Vec<String> = std::iter::once(list(alike)).chain(others).collect();
    format!("{sentence} [{}]", told.join("; "))
}

/// Places, each once.
fn list(places: Vec<&str>) -> String {
    let mut once: Vec<&str> = Vec::new();
    for place in places {
        if !once.contains(&place) {
            once.push(place);
        }
    }
    once.join(", ")
}

/// Where a note belongs: its room, or the place of the job that it points at.
fn place(note: &Note) -> &str {
    let at = note.pointer.trim_start_matches('/');
    let named = PLACES.iter().find_map(|name| note.values.word(name));
    named.unwrap_or_else(|| at.strip_prefix("rooms/").and_then(|at| at.split('/').next()).unwrap_or(at))
}

/// What of the values is not as in the first, in words.
fn differences(first: &Values, values: &Values) -> String {
    let is_figure = |name: &str| !NO_FIGURES.contains(&name) && !PLACES.contains(&name);
    let others = values.iter().filter(|(name, value)| is_figure(name) && first.get(name) != Some(value));
    let told: Vec<(String, String)> = others
        .map(|(name, value)| {
            let (words, unit) = words_and_unit(name);
            (words, format!("{} {unit}", said(value)).trim_end().to_owned())
        })
        .collect();
    match told.as_slice() {
        [(_, figure)] => figure.clone(),
        many => many.iter().map(|(words, figure)| format!("{words} {figure}")).collect::<Vec<_>>().join(", "),
    }
}

fn said(value: &Value) -> String {
    match value {
        Value::Whole(count) => count.to_string(),
        Value::Figure(figure) => round_significant(*figure, 4).to_string(),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Value::Word(word) => word.to_string(),
    }
}

/// A sentence without what its values say of how it is known, which is told once for all.
fn bare(detail: &str) -> String {
    detail.replace("; from memory, confirm)", ")").replace(" (from memory, confirm)", "")
}
