//! Why a text is not JSON (RFC 8259), and where, in words for whoever wrote it.

use std::fmt;

/// What is wrong with a text that is not JSON; nothing if it is JSON.
#[must_use]
pub fn why(text: &str) -> Option<String> {
    if text.trim_ascii().is_empty() {
        return Some("the body is empty, where a JSON document was expected".to_owned());
    }
    let mut scan = Scan { text, at: 0 };
    let Wrong { at, what } = scan.document().err()?;
    Some(format!("the text is not JSON: {what} ({})", Place { text, at }))
}

/// What is wrong, and at which byte.
#[derive(Debug)]
struct Wrong {
    at: usize,
    what: String,
}

/// A place of a text for a reader: line and column.
struct Place<'t> {
    text: &'t str,
    at: usize,
}

impl fmt::Display for Place<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let before = self.text.get(..self.at).unwrap_or(self.text);
        let line = before.bytes().filter(|byte| *byte == b'\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
        write!(f, "line {line}, column {column}")
    }
}

struct Scan<'t> {
    text: &'t str,
    at: usize,
}

/// What is open: an object or a list, and where it begins.
#[derive(Clone, Copy)]
struct Open {
    at: usize,
    is_object: bool,
}

type Found = Result<(), Wrong>;

impl Scan<'_> {
    fn document(&mut self) -> Found {
        let mut open: Vec<Open> = Vec::new();
        loop {
            self.value(&mut open)?;
            // a value is done, or something has been opened that holds one
            while let Some(&innermost) = open.last() {
                if self.goes_on(innermost)? {
                    break;
                }
                open.pop();
            }
            if open.is_empty() {
                break;
            }
        }
        self.blanks();
        match self.next() {
            None => Ok(()),
            Some(_) => self.wrong("something follows after the end of the document"),
        }
    }

    /// Reads plain values, and opens what holds others, up to the first plain value or empty holder.
    fn value(&mut self, open: &mut Vec<Open>) -> Found {
        loop {
            self.blanks();
            let at = self.at;
            match self.next() {
                None => return self.ends(open.last().copied()),
                Some('{' | '[') => {
                    let is_object = self.next() == Some('{');
                    self.at += 1;
                    self.blanks();
                    open.push(Open { at, is_object });
                    if self.next() == Some(if is_object { '}' } else { ']' }) {
                        return Ok(());
                    }
                    if is_object {
                        self.name(at)?;
                    }
                }
                Some('"') => return self.text(),
                Some('-' | '0'..='9') => return self.number(),
                Some(other) => return self.word(other),
            }
        }
    }

    /// Looks behind a value: whether another follows in what is open, which is closed otherwise.
    fn goes_on(&mut self, open: Open) -> Result<bool, Wrong> {
        self.blanks();
        let close = if open.is_object { '}' } else { ']' };
        match self.next() {
            Some(found) if found == close => {
                self.at += 1;
                Ok(false)
            }
            Some(',') => {
                let comma = self.at;
                self.at += 1;
                self.blanks();
                match self.next() {
                    Some('}' | ']') => {
                        self.at = comma;
                        self.wrong("there is a comma too many").map(|()| false)
                    }
                    Some(',') => self.wrong("there is a comma too many").map(|()| false),
                    Some('0'..='9') if open.is_object => self
                        .wrong("a name in quotation marks is expected after the comma, and a digit stands there; decimals follow a point")
                        .map(|()| false),
                    _ => {
                        if open.is_object {
                            self.name(open.at)?;
                        }
                        Ok(true)
                    }
                }
            }
            None => self.ends(Some(open)).map(|()| false),
            Some('}' | ']') => {
                let (what, with) = if open.is_object { ("an object", "brace") } else { ("a list", "bracket") };
                self.wrong(&format!("{what} is open, which a closing {with} ends")).map(|()| false)
            }
            Some('"' | '{' | '[' | '-' | '0'..='9' | 'a'..='z') => self.wrong("a comma is missing").map(|()| false),
            Some(other) => {
                let what = unexpected(other);
                self.wrong(&format!("{what} stands where a comma or a closing `{close}` is expected")).map(|()| false)
            }
        }
    }

    /// A member's name and the colon after it.
    fn name(&mut self, object: usize) -> Found {
        match self.next() {
            Some('"') => self.text()?,
            None => return self.ends(Some(Open { at: object, is_object: true })),
            Some(_) => return self.wrong("a name in quotation marks is expected"),
        }
        self.blanks();
        match self.next() {
            Some(':') => self.at += 1,
            None => return self.ends(Some(Open { at: object, is_object: true })),
            Some(_) => return self.wrong("a colon is missing after the name"),
        }
        Ok(())
    }

    fn text(&mut self) -> Found {
        let begins = self.at;
        self.at += 1;
        loop {
            match self.next() {
                None => {
                    let place = Place { text: self.text, at: begins };
                    return self.wrong(&format!("the quotation mark that ends the text begun in {place} is missing"));
                }
                Some('"') => {
                    self.at += 1;
                    return Ok(());
                }
                Some('\\') => self.escape()?,
                Some('\n' | '\r') => {
                    return self.wrong("a line ends within a text: a quotation mark is missing, or the end of the line is to be written `\\n`");
                }
                Some(control) if control < ' ' => {
                    let number = u32::from(control);
                    return self.wrong(&format!(
                        "a control character stands in a text, where it is to be written `\\u{number:04x}`"
                    ));
                }
                Some(other) => self.at += other.len_utf8(),
            }
        }
    }

    fn escape(&mut self) -> Found {
        let unit = |from: usize| -> Option<u32> {
            let digits = self.text.get(from..from + 4)?;
            let is_hex = digits.bytes().all(|digit| digit.is_ascii_hexdigit());
            is_hex.then(|| u32::from_str_radix(digits, 16).ok())?
        };
        self.at += match self.text[self.at + 1..].chars().next() {
            Some('"' | '\\' | '/' | 'b' | 'f' | 'n' | 'r' | 't') => 2,
            Some('u') => match unit(self.at + 2) {
                None => return self.wrong("`\\u` is not followed by four hexadecimal digits"),
                Some(0xd800..=0xdbff) => {
                    let second = self.text.get(self.at + 6..self.at + 8) == Some("\\u");
                    match unit(self.at + 8).filter(|_| second) {
                        Some(0xdc00..=0xdfff) => 12,
                        _ => return self.wrong("half a character is escaped, whose other half does not follow"),
                    }
                }
                Some(0xdc00..=0xdfff) => {
                    return self.wrong("the second half of a character is escaped without its first");
                }
                Some(_) => 6,
            },
            None => 1,
            Some(_) => {
                return self.wrong("a backslash is followed by what it does not escape; it is itself written `\\\\`");
            }
        };
        Ok(())
    }

    fn number(&mut self) -> Found {
        let begins = self.at;
        let digits = |scan: &mut Self| {
            let from = scan.at;
            while scan.next().is_some_and(|digit| digit.is_ascii_digit()) {
                scan.at += 1;
            }
            scan.at - from
        };
        if self.next() == Some('-') {
            self.at += 1;
        }
        let first = self.at;
        match digits(self) {
            0 => return self.wrong("a digit is expected after the minus sign"),
            2.. if self.text[first..].starts_with('0') => {
                self.at = first;
                return self.wrong("a number begins with a nought too many");
            }
            _ => {}
        }
        if self.next() == Some('.') {
            self.at += 1;
            if digits(self) == 0 {
                return self.wrong("a digit is expected after the point");
            }
        }
        if matches!(self.next(), Some('e' | 'E')) {
            self.at += 1;
            if matches!(self.next(), Some('+' | '-')) {
                self.at += 1;
            }
            if digits(self) == 0 {
                return self.wrong("a number lacks the digits of its power of ten");
            }
        }
        if let Some(other) = self.next().filter(|next| next.is_alphanumeric() || matches!(next, '_' | '.')) {
            return self.wrong(&format!("a number is followed by `{other}`, which belongs to none"));
        }
        match self.text[begins..self.at].parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(()),
            Ok(_) | Err(_) => {
                let digits = super::words::quoted(&self.text[begins..self.at]);
                self.at = begins;
                self.wrong(&format!("the number {digits} is larger than can be held"))
            }
        }
    }

    /// One of the three words, or what stands where a value is expected.
    fn word(&mut self, first: char) -> Found {
        let rest = &self.text[self.at..];
        let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len());
        let word = &rest[..end];
        if matches!(word, "true" | "false" | "null") {
            self.at += end;
            return Ok(());
        }
        match first {
            '}' | ']' | ',' | ':' => self.wrong(&format!("a value is missing before `{first}`")),
            '\'' => self.wrong("a text stands in single quotation marks, where JSON has double ones"),
            '/' | '#' => self.wrong("there is a remark, which JSON does not have"),
            '+' => self.wrong("a number begins with a plus sign, which JSON does not have"),
            '.' => self.wrong("a number begins with its point, and a digit is to stand before it"),
            _ if word.is_empty() => self.wrong(&format!("{} stands where a value is expected", unexpected(first))),
            _ => self.wrong(&format!("{} stands without quotation marks", super::words::quoted(word))),
        }
    }

    fn ends(&self, open: Option<Open>) -> Found {
        let Some(Open { at, is_object }) = open else { return self.wrong("a value is missing") };
        let place = Place { text: self.text, at };
        let (what, with) = if is_object { ("object", "brace") } else { ("list", "bracket") };
        self.wrong(&format!("the text ends within the {what} begun in {place}, whose closing {with} is missing"))
    }

    fn blanks(&mut self) {
        while matches!(self.next(), Some(' ' | '\t' | '\n' | '\r')) {
            self.at += 1;
        }
    }

    fn next(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn wrong(&self, what: &str) -> Found {
        Err(Wrong { at: self.at, what: what.to_owned() })
    }
}

/// A character that has no place in JSON, so that it can be seen.
fn unexpected(character: char) -> String {
    if character.is_whitespace() || super::words::steers(character) {
        format!("the character U+{:04X}", u32::from(character))
    } else {
        format!("`{character}`")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_wrong_is_told_with_its_place() {
        for (text, told) in [
            ("", "the body is empty"),
            (" \n", "the body is empty"),
            ("{", "the object begun in line 1, column 1, whose closing brace is missing (line 1, column 2"),
            ("{\"a\": [1, 2", "the list begun in line 1, column 7, whose closing bracket is missing"),
            ("{\"a\": 1,}", "a comma too many (line 1, column 8"),
            ("[1,,2]", "a comma too many (line 1, column 4"),
            ("{\"a\": 1\n \"b\": 2}", "a comma is missing (line 2, column 2"),
            ("{\"a\" 1}", "a colon is missing after the name (line 1, column 6"),
            ("{a: 1}", "a name in quotation marks is expected (line 1, column 2"),
            ("{\"a\": 9,6}", "decimals follow a point (line 1, column 9"),
            ("{} {}", "something follows after the end of the document (line 1, column 4"),
            ("{\"é\": 1e400}", "the number `1e400` is larger than can be held (line 1, column 7"),
            ("[NaN]", "`NaN` stands without quotation marks (line 1, column 2"),
            ("[0x9]", "a number is followed by `x`"),
            ("[007]", "a nought too many"),
            ("['a']", "single quotation marks"),
            ("[\"\\q\"]", "a backslash is followed by what it does not escape"),
            ("[\"\\ud800\"]", "half a character"),
            ("[\"\\u12g4\"]", "four hexadecimal digits"),
            ("[\"a\nb\"]", "a line ends within a text"),
            ("[\"a\u{1}b\"]", "`\\u0001`"),
            ("[\"a", "the text begun in line 1, column 2 is missing"),
            ("[1}", "a list is open, which a closing bracket ends (line 1, column 3"),
            ("[1 // one\n]", "`/` stands where a comma"),
            ("// one\n[]", "a remark"),
            ("[+1]", "a plus sign"),
            ("[.5]", "begins with its point"),
            ("[5.]", "a digit is expected after the point"),
            ("[1e]", "power of ten"),
            ("[-]", "after the minus sign"),
            ("{\"a\":}", "a value is missing before `}`"),
        ] {
            let why = why(text).unwrap_or_else(|| panic!("{text} is no JSON"));
            assert!(why.contains(told), "{text}: {why}");
        }
    }

    #[test]
    fn nothing_is_wrong_with_json() {
        for text in ["{}", "[]", " [1, -2.5e-3, \"\\u00e9\\ud83d\\ude00\", {\"a\": [null, true]}, {}] ", "0", "\"\""] {
            assert_eq!(why(text), None, "{text}");
        }
    }
}
