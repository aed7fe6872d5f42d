//! Words that documents are found by.

use crate::quotes::Card;

/// The words of a text, as they are looked for: without case and marks, parted by whatever is neither letter nor digit.
pub(super) fn words(text: &str) -> impl Iterator<Item = String> + '_ {
    use unicode_normalization::UnicodeNormalization as _;
    use unicode_normalization::char::is_combining_mark;

    text.split(|letter: char| !letter.is_alphanumeric() && !is_combining_mark(letter))
        .map(|word| {
            if word.is_ascii() {
                return word.to_ascii_lowercase();
            }
            word.nfkd().filter(|letter| !is_combining_mark(*letter)).flat_map(char::to_lowercase).collect()
        })
        .filter(|word: &String| !word.is_empty())
}

/// Every word that a document is found by.
pub(super) fn of(card: &Card) -> impl Iterator<Item = String> + '_ {
    [&card.title, &card.reference, &card.client].into_iter().flatten().flat_map(|text| words(text))
}

#[cfg(test)]
mod tests {
    use super::words;

    #[test]
    fn words_are_told_apart_without_case_and_marks() {
        let found: Vec<String> = words("Müller-Straße 12a, \u{201e}Zoe\u{308}\u{201c} \u{fb01}n").collect();
        assert_eq!(found, ["muller", "straße", "12a", "zoe", "fin"]);
        assert_eq!(words(" -, ").count(), 0);
    }
}
