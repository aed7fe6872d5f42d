//! A record: one revision of a document, as a line of the journal.
//!
//! A line is JSON and ends with its own checksum, over everything before it:
//!
//! ```json
//! {"n":7,"id":"0193…","revision":2,"at":"2026-03-04T09:30:00Z","card":{…},"length":86466,"value":"…","sum":"…"}
//! ```
//!
//! `value` is the document, deflated (RFC 1951) and written in base64 (RFC 4648, 4); of a document that is taken away both
//! `card` and `value` are null. A line says all that is kept of a revision, so that either copy can be made from the other.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use uuid::Uuid;

use super::once::Once;
use crate::quotes::Card;

/// What a line begins with.
pub(super) const BEGINS: &[u8; 5] = b"{\"n\":";
/// Digits of a checksum.
pub(super) const SUM: usize = 32;
/// What stands before the value, and before the checksum.
const VALUE: &str = ",\"value\":";
const AT_SUM: &str = ",\"sum\":\"";
const END: &str = "\"}\n";

/// A checksum: the first half of SHA-256, in hexadecimal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Sum(pub(super) [u8; SUM / 2]);

impl Sum {
    /// The checksum of bytes.
    pub(super) fn of(bytes: &[u8]) -> Self {
        let mut half = [0; SUM / 2];
        half.copy_from_slice(&Sha256::digest(bytes)[..SUM / 2]);
        Self(half)
    }

    /// Reads what [`Sum::text`] wrote.
    pub(super) fn read(text: &str) -> Option<Self> {
        let mut half = [0; SUM / 2];
        let is_plain = text.len() == SUM && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
        for (place, byte) in half.iter_mut().enumerate().filter(|_| is_plain) {
            *byte = u8::from_str_radix(&text[2 * place..2 * place + 2], 16).ok()?;
        }
        is_plain.then_some(Self(half))
    }

    /// Whether [`Sum::text`] begins so.
    pub(super) fn begins_with(self, digits: &str) -> bool {
        self.text().starts_with(digits)
    }

    pub(super) fn text(self) -> String {
        let digit = |half: u8| char::from(if half < 10 { b'0' + half } else { b'a' + half - 10 });
        self.0.iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 15)]).collect()
    }
}

/// What a line says before its value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Head {
    /// Number of the record, from 1 in the order of commits.
    pub(super) n: u64,
    /// The document.
    pub(super) id: Uuid,
    /// Number of its revision, from 1.
    pub(super) revision: u32,
    /// When it was written.
    pub(super) at: Timestamp,
    /// The key that the asker gave to the question, once it is answered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) once: Option<Once>,
    /// What the document is found by; nothing where it is taken away.
    pub(super) card: Option<Card>,
    /// Length of the document (bytes).
    pub(super) length: u64,
}

/// A record whose line is whole.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Record {
    pub(super) head: Head,
    /// What stands in the line before its value.
    pub(super) opening: String,
    /// The document, deflated; nothing where it is taken away.
    pub(super) packed: Option<Vec<u8>>,
    /// The checksum of the line.
    pub(super) sum: Sum,
}

/// A line that is no whole record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NotWhole;

impl Record {
    /// A record and its line.
    pub(super) fn new(head: Head, packed: Option<Vec<u8>>) -> Result<(Self, String), serde_json::Error> {
        let mut opening = serde_json::to_string(&head)?;
        opening.pop();
        let (line, sum) = written(&opening, packed.as_deref());
        Ok((Self { head, opening, packed, sum }, line))
    }

    /// A record from its parts, if they are those of its checksum.
    pub(super) fn from_parts(opening: String, packed: Option<Vec<u8>>, sum: Sum) -> Result<Self, NotWhole> {
        let (_, found) = written(&opening, packed.as_deref());
        let head = head(&opening).ok_or(NotWhole)?;
        if found == sum { Ok(Self { head, opening, packed, sum }) } else { Err(NotWhole) }
    }

    /// Reads a line, with its end.
    pub(super) fn read(line: &[u8]) -> Result<Self, NotWhole> {
        let line = std::str::from_utf8(line).map_err(|_| NotWhole)?;
        let (body, sum) = line.strip_suffix(END).and_then(|line| line.rsplit_once(AT_SUM)).ok_or(NotWhole)?;
        let sum = Sum::read(sum).filter(|sum| Sum::of(body.as_bytes()) == *sum).ok_or(NotWhole)?;
        // the value is base64 or null: the last that looks like its beginning is it
        let (opening, value) = body.rsplit_once(VALUE).ok_or(NotWhole)?;
        let head = head(opening).ok_or(NotWhole)?;
        let packed = match value {
            "null" => None,
            text => {
                let text = text.strip_prefix('"').and_then(|text| text.strip_suffix('"')).ok_or(NotWhole)?;
                Some(BASE64.decode(text).map_err(|_| NotWhole)?)
            }
        };
        Ok(Self { head, opening: opening.to_owned(), packed, sum })
    }

    /// The length of its line (bytes).
    pub(super) fn line_length(&self) -> u64 {
        line_length(&self.opening, self.packed.as_ref().map(Vec::len))
    }

    /// The line of the record.
    pub(super) fn line(&self) -> String {
        written(&self.opening, self.packed.as_deref()).0
    }
}

/// What a line says before its value, from its text.
pub(super) fn head(opening: &str) -> Option<Head> {
    serde_json::from_str(&format!("{opening}}}")).ok()
}

/// The length of a line (bytes).
pub(super) fn line_length(opening: &str, packed: Option<usize>) -> u64 {
    let value = packed.map_or(4, |packed| packed.div_ceil(3) * 4 + 2);
    (opening.len() + VALUE.len() + value + AT_SUM.len() + SUM + END.len()) as u64
}

fn written(opening: &str, packed: Option<&[u8]>) -> (String, Sum) {
    let length = line_length(opening, packed.map(<[u8]>::len));
    let mut line = String::with_capacity(usize::try_from(length).unwrap_or_default());
    line.push_str(opening);
    line.push_str(VALUE);
    match packed {
        Some(packed) => {
            line.push('"');
            BASE64.encode_string(packed, &mut line);
            line.push('"');
        }
        None => line.push_str("null"),
    }
    let sum = Sum::of(line.as_bytes());
    line.push_str(AT_SUM);
    line.push_str(&sum.text());
    line.push_str(END);
    (line, sum)
}
