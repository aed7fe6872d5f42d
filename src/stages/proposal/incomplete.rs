//! What a price leaves out: needs that the design leaves unmet, and work that the price book counts no hours for.

use super::places::Places;
use crate::design::findings::UnmetRow;
use crate::estimate::bill::Bill;
use crate::findings;
use crate::methods::math::round_significant;
use crate::notes::Notes;

/// Most needs that the warning of an incomplete design names.
const MOST_LACKING: usize = 12;

findings! {
    /// What a price leaves out.
    #[derive(Debug, Clone, PartialEq)]
    pub enum LeftOut: Warning of nothing: () {
        /// The design leaves needs unmet: how many, and the first of them by code and place.
        "design_unmet" Design { needs: usize, lacking: String }
        at "/commercial"
        says "the design leaves needs unmet: {lacking}. Where nothing could be chosen, nothing is in the bill, no hours either";

        /// The price book counts no hours for work of some kinds: how many kinds, and which.
        "labour_not_counted" Labour { kinds: usize, work: String }
        at "/commercial"
        says "the price book counts no hours {work}: unless another norm holds them, they are not in the price";
    }
}

/// Warns of a price for a design that leaves needs unmet.
pub(super) fn note_design(mut unmet: Vec<UnmetRow>, places: &Places<'_>, notes: &mut Notes) {
    places.settle(unmet.iter_mut().map(|row| &mut row.pointer));
    let place = |row: &UnmetRow| if row.pointer.is_empty() { "the job".to_owned() } else { row.pointer.clone() };
    let mut lacking: Vec<String> = unmet.iter().map(|row| format!("{} at {}", row.code, place(row))).collect();
    let needs = lacking.len();
    if needs > MOST_LACKING {
        let more = lacking.split_off(MOST_LACKING).len();
        lacking.push(format!("{more} more"));
    }
    if needs > 0 {
        notes.add(&LeftOut::Design { needs, lacking: lacking.join(", ") });
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
        notes.add(&LeftOut::Labour { kinds: rows.len(), work: rows.join(", ") });
    }
}
