//! What a price leaves out: needs that the design leaves unmet, and work that the price book counts no hours for.

use super::places::Places;
use crate::catalogue::labour::Per;
use crate::design::findings::UnmetRow;
use crate::estimate::bill::Bill;
use crate::findings;
use crate::methods::math::round_significant;
use crate::notes::{Field, Notes, Value, Values};

/// The first needs that a design leaves unmet, by code and place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lacking(Vec<(String, String)>);

impl<C: ?Sized> Field<C> for Lacking {
    type Said<'f>
        = &'f Self
    where
        C: 'f;

    fn names(_: &'static str) -> Vec<&'static str> {
        vec!["codes", "places"]
    }

    fn said<'f>(&'f self, _: &'f C) -> &'f Self {
        self
    }

    fn put(&self, _: &'static str, _: &C, values: &mut Values) {
        values.put("codes", Value::words(self.0.iter().map(|(code, _)| code.clone())));
        values.put("places", Value::words(self.0.iter().map(|(_, at)| at.clone())));
    }
}

/// Work without a norm: what it is counted per, and how much of that there is.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncounted(Vec<(Per, f64)>);

impl<C: ?Sized> Field<C> for Uncounted {
    type Said<'f>
        = String
    where
        C: 'f;

    fn names(_: &'static str) -> Vec<&'static str> {
        vec!["per", "quantities"]
    }

    fn said<'f>(&'f self, _: &'f C) -> String {
        let told = self.0.iter().map(|(per, quantity)| {
            let (words, unit) = per.words();
            let quantity = format!("{} {unit}", round_significant(*quantity, 4));
            format!("per {words} ({})", quantity.trim_end())
        });
        told.collect::<Vec<_>>().join(", ")
    }

    fn put(&self, _: &'static str, _: &C, values: &mut Values) {
        values.put("per", Value::words(self.0.iter().map(|(per, _)| per.code())));
        values.put("quantities", Value::List(self.0.iter().map(|(_, quantity)| Value::Figure(*quantity)).collect()));
    }
}

/// Code of what tells once more, with what would mend it, that a room is short.
const SET_ASIDE: &str = "set_aside";

/// Most needs that the warning of an incomplete design names.
const MOST_LACKING: usize = 12;

findings! {
    /// What a price leaves out.
    #[derive(Debug, Clone, PartialEq)]
    pub enum LeftOut: Warning of nothing: () {
        /// The design leaves needs unmet: how many, and the first of them by code and place.
        "design_unmet" Design { needs: usize, lacking: Lacking }
        at "/commercial"
        says {
            let more = needs.saturating_sub(lacking.0.len());
            let mut told: Vec<String> = lacking.0.iter().map(|(code, at)| format!("{code} at {at}")).collect();
            told.extend((more > 0).then(|| format!("{more} more")));
            let told = told.join(", ");
            format!("the design leaves needs unmet: {told}. Where nothing could be chosen, nothing is in the bill, no hours either")
        };

        /// The price book counts no hours for work of some kinds: which, and how much of each.
        "labour_not_counted" Labour { work: Uncounted }
        at "/commercial"
        says "the price book counts no hours {work}: unless another norm holds them, they are not in the price";
    }
}

/// Warns of a price for a design that leaves needs unmet.
pub(super) fn note_design(mut unmet: Vec<UnmetRow>, places: &Places<'_>, notes: &mut Notes) {
    places.settle(unmet.iter_mut().map(|row| &mut row.pointer));
    let place = |row: &UnmetRow| if row.pointer.is_empty() { "the job".to_owned() } else { row.pointer.clone() };
    // what a room lacks that was set aside is told of its emitters already
    unmet.retain(|row| row.code != SET_ASIDE);
    let first = unmet.iter().take(MOST_LACKING).map(|row| (row.code.to_string(), place(row)));
    if !unmet.is_empty() {
        notes.add(&LeftOut::Design { needs: unmet.len(), lacking: Lacking(first.collect()) });
    }
}

/// Warns of work for which the price book has no hours.
pub(super) fn note_labour(bill: &Bill, notes: &mut Notes) {
    if !bill.without_norm.is_empty() {
        notes.add(&LeftOut::Labour { work: Uncounted(bill.without_norm.clone()) });
    }
}
