//! Numbers, texts and counts held against their rules.

use super::{Walker, not_among};
use crate::intake::FaultCode;
use crate::intake::form::Form;
use crate::intake::gate::{Bounds, Count};
use crate::intake::mend::Repair;
use crate::intake::words::{figure, quoted, steers};

impl Walker<'_> {
    pub(super) fn number(&mut self, x: f64, whole: bool, bounds: &Bounds, penny: bool) {
        let Bounds { min, above, max, below } = *bounds;
        // a number is written only where something is wrong with it
        let told = || figure(x);
        if whole && x.fract() != 0.0 {
            self.fault(FaultCode::NotWhole, format!("{} is not a whole number", told()));
        } else if let Some(min) = min.filter(|min| x < *min) {
            self.out(FaultCode::TooSmall, format!("{} is less than {min}", told()), min);
        } else if let Some(above) = above.filter(|above| x <= *above) {
            self.out(FaultCode::TooSmall, format!("{} is not more than {above}", told()), above);
        } else if let Some(max) = max.filter(|max| x > *max) {
            self.out(FaultCode::TooLarge, format!("{} is more than {max}", told()), max);
        } else if let Some(below) = below.filter(|below| x >= *below) {
            self.out(FaultCode::TooLarge, format!("{} is not less than {below}", told()), below);
        } else if penny && !has_two_decimals(x) {
            self.out(FaultCode::TooFine, format!("{} has more than two decimals", told()), 0.01);
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
