//! Notes grouped by their codes: one entry a code, with the places that it is about and what differs between them.

use super::section;
use crate::catalogue::provenance::Confidence;
use crate::methods::math::round_significant;
use crate::methods::unit_names::words_and_unit;
use crate::notes::{FROM_MEMORY, Note, Value, Values};
use crate::render::table::Column;

/// What of an assumption and of a warning is not in the price: told beside it.
pub(super) const BESIDE_THE_PRICE: [&str; 3] = ["not_in_the_bill", "labour_not_counted", "design_unmet"];

/// Values that tell where a note belongs or how its figures are known, and no figures of it.
const NO_FIGURES: [&str; 4] = ["emitter", "source", "confidence", FROM_MEMORY];

/// Values that name the place, the first that is there.
const PLACES: [&str; 3] = ["room", "construction", "supply"];

/// Notes under their heading, an entry a code where one can tell them all; nothing where there are none.
pub(super) fn grouped<'n>(title: &str, notes: impl Iterator<Item = &'n Note>) -> String {
    let mut codes: Vec<(&str, Vec<&Note>)> = Vec::new();
    for note in notes {
        match codes.iter_mut().find(|(code, _)| *code == note.code) {
            Some((_, of_code)) => of_code.push(note),
            None => codes.push((&note.code, vec![note])),
        }
    }
    let entries = codes.iter().flat_map(|(_, notes)| entries(notes));
    let rows: Vec<Vec<String>> = entries.map(|entry| vec!["*".to_owned(), entry]).collect();
    if rows.is_empty() { String::new() } else { section(title, &[("", Column::Word), ("", Column::Text)], rows) }
}

/// What the documents are called that notes recall, each once, as a sentence; nothing where there are none.
pub(super) fn from_memory<'n>(notes: impl Iterator<Item = &'n Note>) -> String {
    let mut sources: Vec<&str> = Vec::new();
    for source in notes.flat_map(recalled_by) {
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

/// The documents that a note recalls, if it does.
fn recalled_by(note: &Note) -> Vec<&str> {
    let is_recalled = note.values.word("confidence") == Some(Confidence::FromMemory.words());
    match note.values.words(FROM_MEMORY) {
        named if !named.is_empty() => named,
        _ => note.values.word("source").filter(|_| is_recalled).into_iter().collect(),
    }
}

/// The notes of one code: those of one sentence together; where sentences differ in clauses, what they share and then what
/// each place has besides; where they differ in figures of known places, the first and then the figures of the others; and
/// else each sentence by itself.
fn entries(notes: &[&Note]) -> Vec<String> {
    let mut sentences: Vec<(String, Vec<&Note>)> = Vec::new();
    for note in notes {
        let sentence = bare(note);
        match sentences.iter_mut().find(|(known, _)| *known == sentence) {
            Some((_, alike)) => alike.push(note),
            None => sentences.push((sentence, vec![note])),
        }
    }
    if sentences.len() > 1 {
        if let Some(entry) = by_clauses(&sentences).or_else(|| by_figures(notes)) {
            return vec![entry];
        }
    }
    sentences.into_iter().map(|(sentence, alike)| at_places(sentence, &alike)).collect()
}

/// A sentence with the places that it is about, where there are several.
fn at_places(sentence: String, alike: &[&Note]) -> String {
    let places = list(alike.iter().filter_map(|note| place(note)).collect());
    if alike.len() > 1 && places.contains(", ") { format!("{sentence} [{places}]") } else { sentence }
}

/// Sentences of several clauses, parted into those that all have and those of each place.
fn by_clauses(sentences: &[(String, Vec<&Note>)]) -> Option<String> {
    let clauses: Vec<Vec<&str>> = sentences.iter().map(|(sentence, _)| sentence.split("; ").collect()).collect();
    let shared: Vec<&str> =
        clauses[0].iter().copied().filter(|clause| clauses.iter().all(|of| of.contains(clause))).collect();
    if shared.len() < 2 {
        return None;
    }
    let own = clauses.iter().zip(sentences).map(|(clauses, (_, alike))| {
        let own: Vec<&str> = clauses.iter().copied().filter(|clause| !shared.contains(clause)).collect();
        let places: Option<Vec<&str>> = alike.iter().map(|note| place(note)).collect();
        Some(format!("{}: {}", list(places?), if own.is_empty() { "no more".to_owned() } else { own.join(", ") }))
    });
    Some(format!("{} [{}]", shared.join("; "), own.collect::<Option<Vec<_>>>()?.join("; ")))
}

/// Sentences that differ in the figures of their places alone.
fn by_figures(notes: &[&Note]) -> Option<String> {
    let (first, others) = notes.split_first()?;
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    let mut alike = vec![place(first)?];
    for note in others {
        if !first.values.iter().map(|(name, _)| name).eq(note.values.iter().map(|(name, _)| name)) {
            return None;
        }
        let differs = differences(&first.values, &note.values);
        if differs.is_empty() {
            alike.push(place(note)?);
            continue;
        }
        match groups.iter_mut().find(|(told, _)| *told == differs) {
            Some((_, places)) => places.push(place(note)?),
            None => groups.push((differs, vec![place(note)?])),
        }
    }
    if groups.is_empty() {
        return None;
    }
    let others = groups.into_iter().map(|(differs, places)| format!("{}: {differs}", list(places)));
    let told: Vec<String> = std::iter::once(list(alike)).chain(others).collect();
    Some(format!("{} [{}]", without_source(first, notes), told.join("; ")))
}

/// The sentence of a note that stands for others: its source only where they all have it.
fn without_source(first: &Note, notes: &[&Note]) -> String {
    let (sentence, source) = (bare(first), first.values.word("source"));
    let is_shared = notes.iter().all(|note| note.values.word("source") == source);
    match source.filter(|_| !is_shared) {
        Some(source) => sentence.replace(&format!(" ({source})"), ""),
        None => sentence,
    }
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

/// Where a note belongs, where it says so: its room, its construction or its supply.
fn place(note: &Note) -> Option<&str> {
    let named = PLACES.iter().find_map(|name| note.values.word(name));
    named.or_else(|| note.pointer.strip_prefix("/rooms/")?.split('/').next())
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
        Value::List(list) => list.iter().map(said).collect::<Vec<_>>().join(", "),
    }
}

/// A sentence without what its values say of how it is known, which is told once for all.
fn bare(note: &Note) -> String {
    if recalled_by(note).is_empty() {
        return note.detail.clone();
    }
    note.detail.replace("; from memory, confirm)", ")").replace(" (from memory, confirm)", "")
}
