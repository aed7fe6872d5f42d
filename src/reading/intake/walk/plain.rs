//! Numbers, texts and counts held against their rules.

use super::{Walker, not_among};
use crate::intake::FaultCode;
use crate::intake::form::Form;
use crate::intake::gate::{Bounds, Count};
use crate::intake::mend::Repair;
use crate::intake::words::{figure, quoted, steers};

/// What is wrong with a number.
enum Wrong {
    NotWhole,
    Less(f64),
    NotMore(f64),
    More(f64),
    NotLess(f64),
    TooFine,
}

fn wrong(x: f64, whole: bool, bounds: &Bounds, penny: bool) -> Option<Wrong> {
    let Bounds { min, above, max, below } = *bounds;
    if whole && x.fract() != 0.0 {
        return Some(Wrong::NotWhole);
    }
    let less = min.filter(|min| x < *min).map(Wrong::Less);
    let not_more = || above.filter(|above| x <= *above).map(Wrong::NotMore);
    let more = || max.filter(|max| x > *max).map(Wrong::More);
    let not_less = || below.filter(|below| x >= *below).map(Wrong::NotLess);
    let too_fine = || (penny && !has_two_decimals(x)).then_some(Wrong::TooFine);
    less.or_else(not_more).or_else(more).or_else(not_less).or_else(too_fine)
}

/// Whether a number is what its rule says.
pub(in crate::intake) fn is_right_number(x: f64, whole: bool, bounds: &Bounds, penny: bool) -> bool {
    wrong(x, whole, bounds, penny).is_none()
}

/// Whether a text is what its rule says.
pub(in crate::intake) fn is_right_text(
    text: &str,
    length: &Count,
    form: Option<&Form>,
    date: bool,
    one_of: &[String],
) -> bool {
    if !one_of.is_empty() {
        return one_of.iter().any(|known| known == text);
    }
    // as many characters as bytes at most, and a quarter at least
    let is_counted = length.min == 0 && length.max.is_none_or(|max| text.len() <= max);
    (is_counted || length.holds(text.chars().count()))
        && (!date || is_date(text))
        && form.is_none_or(|form| (form.holds)(text))
}

impl Walker<'_> {
    pub(super) fn number(&mut self, x: f64, whole: bool, bounds: &Bounds, penny: bool) {
        let Some(wrong) = wrong(x, whole, bounds, penny) else { return };
        let told = figure(x);
        match wrong {
            Wrong::NotWhole => self.fault(FaultCode::NotWhole, format!("{told} is not a whole number")),
            Wrong::Less(min) => self.out(FaultCode::TooSmall, format!("{told} is less than {min}"), min),
            Wrong::NotMore(above) => self.out(FaultCode::TooSmall, format!("{told} is not more than {above}"), above),
            Wrong::More(max) => self.out(FaultCode::TooLarge, format!("{told} is more than {max}"), max),
            Wrong::NotLess(below) => self.out(FaultCode::TooLarge, format!("{told} is not less than {below}"), below),
            Wrong::TooFine => self.out(FaultCode::TooFine, format!("{told} has more than two decimals"), 0.01),
        }
    }

    pub(super) fn form(&mut self, text: &str, form: Option<&Form>, date: bool) {
        if date && !is_date(text) {
            self.fault(FaultCode::NotADate, format!("{} is not a date written as 2026-03-31", quoted(text)));
        }
        let Some(form) = form.filter(|form| !(form.holds)(text)) else { return };
        match text.chars().enumerate().find(|(_, character)| form.is_free_text() && steers(*character)) {
            Some((before, character)) => self.fault(
                FaultCode::ControlCharacter,
                format!(
                    "character {} is a control character, U+{:04X}; text is one line that steers nothing",
                    before + 1,
                    u32::from(character)
                ),
            ),
            None => self.fault(FaultCode::WrongForm, format!("{} is not {}", quoted(text), form.words)),
        }
    }

    pub(super) fn choice(&mut self, text: &str, one_of: &[String]) {
        if !one_of.iter().any(|known| known == text) {
            let known: Vec<&str> = one_of.iter().map(String::as_str).collect();
            self.fault(FaultCode::UnknownChoice, not_among(text, &known));
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "a count far below 2^53")]
    pub(super) fn counted(&mut self, n: usize, count: &Count, [one, many]: [&str; 2]) -> bool {
        let noun = |n: usize| if n == 1 { one.to_owned() } else { many.to_owned() };
        if n < count.min {
            let detail = format!("{n} {} where at least {} must be", noun(n), count.min);
            self.out(FaultCode::TooFew, detail, count.min as f64);
            return false;
        }
        let Some(most) = count.max.filter(|max| n > *max) else { return true };
        let detail = format!("{n} {} where at most {most} may be", noun(n));
        let fault = self.told(FaultCode::TooMany, detail).limit(most as f64);
        let repair = if one == "character" { self.standing_in() } else { Repair::CutDown { at: self.place(), most } };
        self.tell(fault, Some(repair));
        false
    }
}

/// Whether a text is a full date of RFC 3339; jiff alone would also take times, signs and dates without hyphens.
fn is_date(text: &str) -> bool {
    let mut bytes = text.bytes().enumerate();
    let formed = bytes.all(|(i, byte)| if i == 4 || i == 7 { byte == b'-' } else { byte.is_ascii_digit() });
    formed && text.len() == 10 && text.parse::<jiff::civil::Date>().is_ok()
}

/// Whether a number's shortest decimal text has no more than two decimals.
fn has_two_decimals(x: f64) -> bool {
    crate::money::Money::from_f64(x).is_some()
}
