//! The forms that a text may be held to, each with words for whoever broke it.
//!
//! A schema says a form as a pattern, which no sender should have to read. A pattern without words here is refused
//! when the gate is built.

use super::by_id::ID_PATTERN;
use super::by_pointer::POINTER_PATTERN;
use super::words::steers;

/// What free text looks like: no control characters, no separators of lines or paragraphs, nothing that turns the
/// direction of a line.
pub const TEXT_PATTERN: &str = r"^[^\u0000-\u001F\u007F-\u009F\u2028\u2029\u202A-\u202E\u2066-\u2069]*$";

/// A form of a text.
#[derive(Debug)]
pub(super) struct Form {
    /// The pattern that says it in a schema.
    pub pattern: &'static str,
    /// Whether a text has it: the same as the pattern, which would take longer.
    pub holds: fn(&str) -> bool,
    /// What it is, as in `it must be …`.
    pub words: &'static str,
    /// Texts of this form that name nothing, to stand in for one that is at fault.
    pub stand_ins: [&'static str; 3],
}

/// Every form.
const FORMS: [Form; 4] = [
    Form {
        pattern: ID_PATTERN,
        holds: is_id,
        words: "lower-case letters, digits, `_` and `-`, at most 64, beginning with a letter or a digit",
        stand_ins: [
            "stand-in-for-what-is-at-fault-1",
            "stand-in-for-what-is-at-fault-2",
            "stand-in-for-what-is-at-fault-3",
        ],
    },
    Form {
        pattern: POINTER_PATTERN,
        holds: leads_somewhere,
        words: "the way to a part of the document, such as `/rooms/hall`: at most 12 steps, each a `/` and a name of at most 80 characters",
        stand_ins: ["/stand-in-1", "/stand-in-2", "/stand-in-3"],
    },
    Form {
        pattern: "^[A-Z]{3}$",
        holds: is_currency,
        words: "three capital letters, such as `GBP`",
        stand_ins: ["AAA", "MMM", "ZZZ"],
    },
    Form {
        pattern: TEXT_PATTERN,
        holds: steers_nothing,
        words: "text without control characters",
        stand_ins: ["-", "--", "---"],
    },
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

fn is_id(text: &str) -> bool {
    let is_letter = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit();
    let begins = text.bytes().next().is_some_and(is_letter);
    begins && text.len() <= 64 && text.bytes().all(|byte| is_letter(byte) || matches!(byte, b'_' | b'-'))
}

fn leads_somewhere(text: &str) -> bool {
    let Some(way) = text.strip_prefix('/') else { return false };
    let mut steps = way.split('/');
    steps.clone().count() <= 12 && steps.all(|step| (1..=80).contains(&step.chars().count()))
}

fn is_currency(text: &str) -> bool {
    text.len() == 3 && text.bytes().all(|byte| byte.is_ascii_uppercase())
}

fn steers_nothing(text: &str) -> bool {
    !text.contains(steers)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use regex::Regex;
    use std::sync::LazyLock;

    #[test]
    fn what_stands_in_for_a_text_has_its_form() {
        for form in &FORMS {
            let pattern = Regex::new(form.pattern).unwrap();
            assert!(form.stand_ins.iter().all(|text| pattern.is_match(text)), "{form:?}");
        }
    }

    /// The forms with their patterns, which must say the same of every text.
    static COMPILED: LazyLock<Vec<(&Form, Regex)>> =
        LazyLock::new(|| FORMS.iter().map(|form| (form, Regex::new(form.pattern).unwrap())).collect());

    fn held(text: &str) {
        for (form, pattern) in COMPILED.iter() {
            assert_eq!((form.holds)(text), pattern.is_match(text), "{text:?} {}", form.pattern);
        }
    }

    #[test]
    fn a_form_holds_where_its_pattern_matches() {
        for character in (0..=0x2100).filter_map(char::from_u32) {
            held(&format!("a{character}b"));
        }
        let long = |letter: &str, times: usize| letter.repeat(times);
        for text in [
            "", "a", "-a", "_", "9", "ä", "A", "GBP", "GBPS", "Gbp", "ÄÖ", "/", "//", "/a", "/a/", "a/b", "/a\n", "a\n",
        ] {
            held(text);
        }
        for times in [12, 13, 64, 65, 80, 81] {
            held(&long("a", times));
            held(&long("/a", times));
            held(&format!("/{}", long("ö", times)));
        }
    }

    proptest! {
        #[test]
        fn any_text_has_a_form_by_its_pattern_alone(text in "([A-Za-z0-9_/-]|\\PC|[\\x00-\\x20]){0,70}|(/[a-z~]{0,3}){0,14}|[A-Z]{2,4}") {
            held(&text);
        }
    }
}
