//! Reads the tables of `fixtures/published`: CSV with a heading, after lines of provenance that begin with '#'.

use serde::de::DeserializeOwned;
use std::path::Path;

/// All rows of one table.
pub fn rows<T: DeserializeOwned>(name: &str) -> Vec<T> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published").join(name);
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_path(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let rows: Vec<T> =
        reader.deserialize().collect::<Result<_, _>>().unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    assert!(!rows.is_empty(), "{} has no rows", path.display());
    rows
}

/// Asserts that a figure lies within a tolerance of the published one; `--nocapture` shows how near it comes.
#[track_caller]
pub fn assert_within(what: &str, figure: f64, published: f64, tolerance: f64) {
    let off = figure - published;
    println!("{what}: {figure} against {published}, off by {off:.1e} of {tolerance:.1e}");
    assert!(off.abs() <= tolerance, "{what}: {figure} against {published}, off by {off:e}, more than {tolerance:e}");
}
