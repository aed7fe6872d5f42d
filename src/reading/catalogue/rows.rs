//! Reading of CSV rows, typed by their columns.
//!
//! Most rows are plain structs. A product row becomes a JSON object first, an empty cell being an absent
//! member, so that a product is read by one set of rules wherever it comes from.

use std::fmt;
use std::marker::PhantomData;

use serde::Deserialize;
use serde::de::{self, DeserializeOwned, Deserializer, IntoDeserializer, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};

use super::error::CatalogueError;

/// A CSV file that is part of the program.
#[derive(Debug, Clone, Copy)]
pub(super) struct DataFile {
    /// Its name, for messages.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
}

/// A file of the `data` folder.
macro_rules! data_file {
    ($name:literal) => {
        $crate::catalogue::rows::DataFile { name: $name, text: include_str!(concat!("data/", $name)) }
    };
}
pub(super) use data_file;

/// A row as a JSON object, without the columns that say who it is and where it is from.
#[derive(Debug)]
pub(super) struct ObjectRow {
    /// Line in the file, from 1.
    pub line: u64,
    /// Members, by column.
    pub members: Map<String, Value>,
}

/// Columns that hold text, whatever they look like.
const TEXT: [&str; 7] = ["code", "kind", "description", "unit", "position", "source", "confidence"];

/// Several words: a list, or a cell of a table with blanks between them.
pub(super) fn several<'de, D: Deserializer<'de>, T: Deserialize<'de>>(deserializer: D) -> Result<Vec<T>, D::Error> {
    struct Words<T>(PhantomData<T>);

    impl<'de, T: Deserialize<'de>> Visitor<'de> for Words<T> {
        type Value = Vec<T>;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("words")
        }

        fn visit_str<E: de::Error>(self, cell: &str) -> Result<Vec<T>, E> {
            cell.split_whitespace().map(|word| T::deserialize(word.into_deserializer())).collect()
        }

        fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Vec<T>, A::Error> {
            std::iter::from_fn(|| list.next_element().transpose()).collect()
        }
    }

    deserializer.deserialize_any(Words(PhantomData))
}

/// Every row of a file, each as the type that its columns fill.
pub(super) fn typed<T: DeserializeOwned>(file: DataFile) -> Result<Vec<T>, CatalogueError> {
    numbered(file).map(|rows| rows.into_iter().map(|(_, row)| row).collect())
}

/// The same, each with its line in the file, from 1.
pub(super) fn numbered<T: DeserializeOwned>(file: DataFile) -> Result<Vec<(u64, T)>, CatalogueError> {
    let mut reader = reader(file);
    let header = reader.headers().map_err(|error| broken(file, &error))?.clone();
    let rows = reader.records().map(|record| {
        let record = record.map_err(|error| broken(file, &error))?;
        let row = record.deserialize(Some(&header)).map_err(|error| broken(file, &error))?;
        Ok((record.position().map_or(0, csv::Position::line), row))
    });
    rows.collect()
}

/// Every row of a file as an object: numbers and truth values as such, empty cells left out.
pub(super) fn objects(file: DataFile) -> Result<Vec<ObjectRow>, CatalogueError> {
    let mut reader = reader(file);
    let header = reader.headers().map_err(|error| broken(file, &error))?.clone();
    let rows = reader.records().map(|record| {
        let record = record.map_err(|error| broken(file, &error))?;
        let cells = header.iter().zip(record.iter()).filter(|(_, cell)| !cell.is_empty());
        let members = cells.map(|(column, cell)| (column.to_owned(), value(column, cell))).collect();
        Ok(ObjectRow { line: record.position().map_or(0, csv::Position::line), members })
    });
    rows.collect()
}

fn reader(file: DataFile) -> csv::Reader<&'static [u8]> {
    csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(file.text.as_bytes())
}

fn broken(file: DataFile, error: &csv::Error) -> CatalogueError {
    let line = error.position().map_or(0, csv::Position::line);
    CatalogueError::Line { file: file.name, line, detail: error.to_string() }
}

/// What a cell says: text where its column holds text, or else the number or truth value that it spells.
fn value(column: &str, cell: &str) -> Value {
    let text = || Value::String(cell.to_owned());
    if TEXT.contains(&column) {
        return text();
    }
    if let Ok(truth) = cell.parse::<bool>() {
        return Value::Bool(truth);
    }
    if let Ok(count) = cell.parse::<u64>() {
        return Value::from(count);
    }
    cell.parse().ok().and_then(Number::from_f64).map_or_else(text, Value::Number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_become_what_they_spell() {
        assert_eq!(value("outlets", "12"), Value::from(12_u64));
        assert_eq!(value("cop", "2.50"), Value::from(2.5));
        assert_eq!(value("outside_c", "-7"), Value::from(-7.0));
        assert_eq!(value("defrost_included", "true"), Value::Bool(true));
        assert_eq!(value("description", "12"), Value::from("12"));
        assert_eq!(value("cop", "NaN"), Value::from("NaN"));
    }

    #[test]
    fn empty_cells_are_absent_and_comments_are_passed_over() {
        let file = DataFile { name: "x.csv", text: "# said of the file\ncode,a,b\none,,2\n" };
        let rows = objects(file).unwrap();
        assert_eq!(rows.len(), 1);
        assert_eq!(rows[0].line, 3);
        assert_eq!(Value::Object(rows[0].members.clone()), serde_json::json!({"code": "one", "b": 2}));
    }

    #[test]
    fn a_row_of_the_wrong_length_is_refused_with_its_line() {
        let file = DataFile { name: "x.csv", text: "code,a\none,1\ntwo\n" };
        assert!(matches!(objects(file), Err(CatalogueError::Line { file: "x.csv", line: 3, .. })));
    }
}
