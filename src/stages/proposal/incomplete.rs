//! What a price leaves out: needs that the design leaves unmet, and work that the price book counts no hours for.

use super::places::Places;
use crate::design::findings::{Unmet, UnmetRow};
use crate::estimate::bill::Bill;
use crate::methods::math::round_significant;
use crate::notes::Notes;
use crate::survey::Survey;

/// Most needs that the warning of an incomplete design names.
const MOST_LACKING: usize = 12;

/// Warns of a price for a design that leaves needs unmet.
pub(super) fn note_design(survey: &Survey, unmet: &[&Unmet], places: &Places<'_>, notes: &mut Notes) {
    let mut rows: Vec<UnmetRow> = unmet.iter().map(|unmet| unmet.row(survey)).collect();
    places.settle(rows.iter_mut().map(|row| &mut row.pointer));
    let place = |row: &UnmetRow| if row.pointer.is_empty() { "the job".to_owned() } else { row.pointer.clone() };
    let mut lacking: Vec<String> = rows.iter().map(|row| format!("{} at {}", row.code, place(row))).collect();
    if lacking.len() > MOST_LACKING {
        let more = lacking.split_off(MOST_LACKING).len();
        lacking.push(format!("{more} more"));
    }
    if !lacking.is_empty() {
        let detail = format!(
            "the design leaves needs unmet: {}. Where nothing could be chosen, nothing is in the bill, no hours either",
            lacking.join(", ")
        );
        notes.warn("design_unmet", "/commercial", detail);
    }
}

/// Warns of work for which the price book has no hours.
pub(super) fn note_labour(bill: &Bill, notes: &mut Notes) {
    let rows = bill.without_norm.iter().map(|(per, quantity)| {
        let (words, unit) = per.words();
        let quantity = format!("{} {unit}", round_significant(*quantity, 4));
        format!("per {words} ({})", quantity.trim_end())
    });
    let rows: Vec<String> = rows.collect();
    if !rows.is_empty() {
        let detail = format!(
            "the price book counts no hours {}: unless another norm holds them, they are not in the price",
            rows.join(", ")
        );
        notes.warn("labour_not_counted", "/commercial", detail);
    }
}
