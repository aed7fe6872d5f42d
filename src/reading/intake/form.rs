//! The forms that a text may be held to, each with words for whoever broke it.
//!
//! A schema says a form as a pattern, which no sender should have to read. A pattern without words here is refused
//! when the gate is built.

use super::by_id::ID_PATTERN;
use super::by_pointer::POINTER_PATTERN;

/// What free text looks like: no control characters, no separators of lines or paragraphs, nothing that turns the
/// direction of a line.
pub const TEXT_PATTERN: &str = r"^[^\u0000-\u001F\u007F-\u009F\u2028\u2029\u202A-\u202E\u2066-\u2069]*$";

/// A form of a text.
#[derive(Debug)]
pub(super) struct Form {
    /// The pattern that says it in a schema.
    pub pattern: &'static str,
    /// What it is, as in `it must be …`.
    pub words: &'static str,
    /// Texts of this form that name nothing, to stand in for one that is at fault.
    pub stand_ins: [&'static str; 3],
}

/// Every form.
const FORMS: [Form; 4] = [
    Form {
        pattern: ID_PATTERN,
        words: "lower-case letters, digits, `_` and `-`, at most 64, beginning with a letter or a digit",
        stand_ins: [
            "stand-in-for-what-is-at-fault-1",
            "stand-in-for-what-is-at-fault-2",
            "stand-in-for-what-is-at-fault-3",
        ],
    },
    Form {
        pattern: POINTER_PATTERN,
        words: "the way to a part of the document, such as `/rooms/hall`: at most 12 steps, each a `/` and a name of at most 80 characters",
        stand_ins: ["/stand-in-1", "/stand-in-2", "/stand-in-3"],
    },
    Form { pattern: "^[A-Z]{3}$", words: "three capital letters, such as `GBP`", stand_ins: ["AAA", "MMM", "ZZZ"] },
    Form { pattern: TEXT_PATTERN, words: "text without control characters", stand_ins: ["-", "--", "---"] },
];

impl Form {
    /// The form that a pattern says.
    pub(super) fn of(pattern: &str) -> Option<&'static Self> {
        FORMS.iter().find(|form| form.pattern == pattern)
    }

    /// Whether it is that of an id.
    pub(super) fn is_id(&self) -> bool {
        self.pattern == ID_PATTERN
    }

    /// Whether it is that of any text.
    pub(super) fn is_free_text(&self) -> bool {
        self.pattern == TEXT_PATTERN
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use regex::Regex;

    #[test]
    fn what_stands_in_for_a_text_has_its_form() {
        for form in &FORMS {
            let pattern = Regex::new(form.pattern).unwrap();
            assert!(form.stand_ins.iter().all(|text| pattern.is_match(text)), "{form:?}");
        }
    }

    #[test]
    fn free_text_steers_nothing() {
        let pattern = Regex::new(TEXT_PATTERN).unwrap();
        for number in 0..=0x2100 {
            let Some(character) = char::from_u32(number) else { continue };
            assert_eq!(
                pattern.is_match(&format!("a{character}b")),
                !crate::intake::words::steers(character),
                "{number:x}"
            );
        }
    }
}
