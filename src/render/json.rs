//! The one formatter of answers: seven significant digits, never null, never NaN or infinity.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Serializer;
use serde_json::ser::{CompactFormatter, Formatter};

use crate::methods::math::round_significant;

/// Significant digits of a figure in an answer.
pub const DIGITS: usize = 7;

/// Room for an answer of a usual length (bytes).
const USUAL_BYTES: usize = 64 * 1024;

/// An answer held something that must not be sent: a figure that is not finite.
#[derive(Debug, thiserror::Error)]
#[error("the answer cannot be written: {0}")]
pub struct NotWritten(#[from] serde_json::Error);

/// Writes an answer.
///
/// # Errors
/// [`NotWritten`] if a figure is not finite, or anything is null.
///
/// # Examples
/// ```
/// use tundish::render::json::to_string;
/// assert_eq!(to_string(&[1234.567_89, 0.1 + 0.2, 21.0])?, "[1234.568,0.3,21.0]");
/// assert!(to_string(&f64::NAN).is_err());
/// assert!(to_string(&None::<f64>).is_err());
/// # Ok::<(), tundish::render::json::NotWritten>(())
/// ```
pub fn to_string<T: Serialize>(answer: &T) -> Result<String, NotWritten> {
    let mut text = Vec::with_capacity(USUAL_BYTES);
    answer.serialize(&mut Serializer::with_formatter(&mut text, Answer))?;
    // serde_json writes UTF-8
    Ok(String::from_utf8(text).unwrap_or_else(|error| String::from_utf8_lossy(error.as_bytes()).into_owned()))
}

struct Answer;

impl Formatter for Answer {
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        CompactFormatter.write_f64(writer, round_significant(value, DIGITS))
    }

    /// `serde_json` writes what is not finite as null, so that null must not pass either.
    fn write_null<W: ?Sized + Write>(&mut self, _: &mut W) -> io::Result<()> {
        Err(io::Error::other("a figure is not finite, or a member is null"))
    }
}
