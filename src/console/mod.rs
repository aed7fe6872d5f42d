//! What the commands of the command line do.

mod demo;
mod kept;
mod price;
mod serve;

use crate::intake::words::plain;

pub use demo::demo;
pub use kept::{check, export};
pub use price::{Priced, price};
pub use serve::serve;

/// Lines for a terminal: whatever would steer it stands as a number. What is printed may come from a file, from the
/// service, or from a name on the disk.
#[must_use]
pub fn plain_lines(text: &str) -> String {
    text.split('\n').map(plain).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::plain_lines;

    #[test]
    fn nothing_steers_the_terminal_but_the_ends_of_lines() {
        assert_eq!(plain_lines("a\u{1b}[31m\r\u{202e}\u{9b}\nb"), "a\\u{1b}[31m\\u{d}\\u{202e}\\u{9b}\nb");
    }
}
