//! What a problem in a data file or in a price book looks like.

/// A data file that the program ships could not be read. The tests read every file, so a released program
/// does not meet this.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CatalogueError {
    /// A line that does not fit its columns.
    #[error("catalogue file {file}, line {line}: {detail}")]
    Line {
        /// Name of the file.
        file: &'static str,
        /// Line in it, from 1.
        line: u64,
        /// What is wrong, in plain words.
        detail: String,
    },
    /// Something about the file as a whole.
    #[error("catalogue file {file}: {detail}")]
    File {
        /// Name of the file.
        file: &'static str,
        /// What is wrong, in plain words.
        detail: String,
    },
}

/// Something that does not agree within a product, a rule table or a price book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// JSON Pointer to the place, from the thing that was checked.
    pub pointer: String,
    /// What is wrong, in plain words.
    pub detail: String,
}

impl Problem {
    /// A problem at a place.
    #[must_use]
    pub fn new(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { pointer: pointer.into(), detail: detail.into() }
    }

    /// The same problem, seen from further out.
    #[must_use]
    pub fn under(self, parent: &str) -> Self {
        Self { pointer: format!("{parent}{}", self.pointer), detail: self.detail }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_error_names_its_file_and_line() {
        let error = CatalogueError::Line { file: "tubes.csv", line: 4, detail: "no number".to_owned() };
        assert_eq!(error.to_string(), "catalogue file tubes.csv, line 4: no number");
    }

    #[test]
    fn a_pointer_grows_outwards() {
        assert_eq!(Problem::new("/points", "x").under("/products/hs_5").pointer, "/products/hs_5/points");
    }
}
