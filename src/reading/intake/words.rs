//! Words for a sender: what was sent, shown so that it can be read, and the name that was meant.

use std::borrow::Cow;
use std::fmt::Write as _;

/// A text of the document in backticks, shortened so that an answer stays readable, and without control characters.
#[must_use]
pub fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut shown: String = text.chars().take(LONGEST).collect();
    if text.chars().nth(LONGEST).is_some() {
        shown.push('…');
    }
    format!("`{}`", plain(&shown))
}

/// Whether a character is none to be read but one that steers what shows it: a control character, a separator of
/// lines or paragraphs, or one that turns the direction of a line.
#[must_use]
pub fn steers(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A text in which characters that steer a terminal stand as their numbers.
///
/// # Examples
/// ```
/// assert_eq!(tundish_reading::intake::words::plain("a\u{1b}[2Jb\n"), "a\\u{1b}[2Jb\\u{a}");
/// ```
#[must_use]
pub fn plain(text: &str) -> Cow<'_, str> {
    if !text.contains(steers) {
        return Cow::Borrowed(text);
    }
    let mut plain = String::with_capacity(text.len() + 8);
    for character in text.chars() {
        if steers(character) {
            // writing to a text cannot fail
            let _ = write!(plain, "{}", character.escape_unicode());
        } else {
            plain.push(character);
        }
    }
    Cow::Owned(plain)
}

/// A number as a sender would write it: not in hundreds of digits.
#[must_use]
pub fn figure(x: f64) -> String {
    let size = x.abs();
    if size > 0.0 && !(1e-7..1e15).contains(&size) { format!("{x:e}") } else { x.to_string() }
}

/// The name that was meant, if one of those known is near enough to what was sent: by its letters, or as it begins with it or
/// has its words in another order. Of two that are as near the first counts.
///
/// # Examples
/// ```
/// use tundish_reading::intake::words::near;
/// assert_eq!(near("flor_area_m2", ["floor_area_m2", "height_m"]), Some("floor_area_m2"));
/// assert_eq!(near("semi", ["detached", "semi_detached"]), Some("semi_detached"));
/// assert_eq!(near("aerated_block", ["block_dense", "block_aerated"]), Some("block_aerated"));
/// assert_eq!(near("colour", ["floor_area_m2", "height_m"]), None);
/// ```
#[must_use]
pub fn near<'k>(sent: &str, known: impl IntoIterator<Item = &'k str> + Clone) -> Option<&'k str> {
    /// Fewer letters begin too much.
    const BEGINNING: usize = 3;
    let in_order = |name: &str| {
        let mut words: Vec<String> = spelled(name).split('_').map(str::to_owned).collect();
        words.sort_unstable();
        words
    };
    let begun = spelled(sent);
    let begins = |name: &&str| begun.chars().count() >= BEGINNING && spelled(name).starts_with(&begun);
    let is_turned = |name: &&str| begun.contains('_') && name.len() == sent.len() && in_order(name) == in_order(sent);
    letters_apart(sent, known.clone(), 3).or_else(|| known.into_iter().find(|name| is_turned(name) || begins(name)))
}

/// Whether a name is another one misspelt, beyond much doubt.
#[must_use]
pub fn is_misspelt(sent: &str, name: &str) -> bool {
    letters_apart(sent, [name], 4).is_some()
}

fn spelled(name: &str) -> String {
    name.to_lowercase().replace(['-', ' '], "_")
}

/// The nearest of those known with no more than one letter wrong in so many.
fn letters_apart<'k>(sent: &str, known: impl IntoIterator<Item = &'k str>, in_letters: usize) -> Option<&'k str> {
    /// Longer names are not looked for: the effort grows with the square.
    const LONGEST: usize = 80;
    if sent.len() > LONGEST {
        return None;
    }
    let sent = spelled(sent);
    let longest = |name: &str| sent.chars().count().max(name.chars().count());
    let apart = known.into_iter().filter(|name| name.len() <= LONGEST).map(|name| {
        let spelled = spelled(name);
        (strsim::damerau_levenshtein(&sent, &spelled), longest(&spelled), name)
    });
    let near = apart.filter(|(apart, longest, _)| in_letters * apart <= *longest);
    near.min_by_key(|(apart, ..)| *apart).map(|(.., name)| name)
}

/// The question whether a name that is near was meant, to be put behind what is wrong; nothing if none is near. What is
/// spelled as no name may be is itself at fault, and is not proposed.
#[must_use]
pub fn did_you_mean<'k>(sent: &str, known: impl IntoIterator<Item = &'k str> + Clone) -> String {
    let is_name =
        |character: u8| character.is_ascii_lowercase() || character.is_ascii_digit() || b"_-".contains(&character);
    let names: Vec<&str> = known.into_iter().filter(|name| name.bytes().all(is_name)).collect();
    near(sent, names).map(|name| format!("; did you mean `{name}`?")).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_meant_is_found_where_it_is_near_and_only_there() {
        let rooms = ["hall", "living_room", "bed1", "bed2", "bath"];
        for (sent, meant) in [
            ("hal", Some("hall")),
            ("Hall", Some("hall")),
            ("living-room", Some("living_room")),
            ("lvingroom", Some("living_room")),
            ("bed3", Some("bed1")),
            ("bth", Some("bath")),
            ("attic", None),
            ("x", None),
            ("", None),
        ] {
            assert_eq!(near(sent, rooms), meant, "{sent}");
        }
        assert_eq!(near("a", ["b"]), None);
        assert_eq!(near(&"a".repeat(5000), ["b"]), None);
    }

    #[test]
    fn numbers_are_told_in_few_characters() {
        assert_eq!(
            ["9.6", "-4", "1e300", "1e-9", "0"].map(|x| figure(x.parse().unwrap())),
            ["9.6", "-4", "1e300", "1e-9", "0"]
        );
    }
}
