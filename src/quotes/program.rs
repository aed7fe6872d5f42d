//! What program made a proposal.

use std::sync::LazyLock;

use crate::catalogue::digest;

/// Digits of the catalogue's digest that the program names.
const DIGITS: usize = 12;

/// This program: its version, with the commit that it is built from and the digest of the catalogue as build metadata
/// (Semantic Versioning 2.0.0, 10), as in `0.1.0+commit.0123456789ab.catalogue.ba9876543210`. Without `commit.…` where that
/// was not known when it was built.
///
/// # Examples
/// ```
/// let program = tundish::quotes::program();
/// assert!(program.starts_with(concat!(env!("CARGO_PKG_VERSION"), "+")) && program.contains("catalogue."));
/// ```
#[must_use]
pub fn program() -> &'static str {
    static PROGRAM: LazyLock<String> =
        LazyLock::new(|| named(env!("CARGO_PKG_VERSION"), env!("TUNDISH_BUILT_FROM"), digest::shipped()));
    &PROGRAM
}

fn named(version: &str, commit: &str, digest: &str) -> String {
    let commit = if commit.is_empty() { String::new() } else { format!("commit.{commit}.") };
    let digest: String = digest.chars().take(DIGITS).collect();
    format!("{version}+{commit}catalogue.{digest}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_commit_that_is_not_known_is_left_out() {
        let digest = "00112233445566778899";
        assert_eq!(named("1.2.3", "0123456789ab", digest), "1.2.3+commit.0123456789ab.catalogue.001122334455");
        assert_eq!(named("1.2.3", "", digest), "1.2.3+catalogue.001122334455");
    }
}
