//! Rows of the table of defaults: what a value may be, in which units, and between what.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::binder::Binder;
use super::error::CatalogueError;
use super::provenance::{Confidence, Provenance};
use super::rows::{self, DataFile};

/// One default.
#[derive(Debug, Clone, PartialEq)]
pub struct DefaultRow<T> {
    /// Its value, in the unit that the name ends in.
    pub value: T,
    /// The same as the table writes it.
    pub written: String,
    /// Where it comes from.
    pub provenance: Provenance,
}

impl<T> DefaultRow<T> {
    /// Where it comes from, in words.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.provenance.source
    }

    /// How it is known, as an assumption tells it: by its source, by common practice, or by a source that is to be looked
    /// up again.
    #[must_use]
    pub fn told(&self) -> String {
        self.provenance.to_string()
    }
}

/// A figure that goes by steps: each with where it begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps<T>(Vec<(f64, T)>);

impl<T: Copy> Steps<T> {
    /// The figure of the last step that begins there or before; nothing below the first.
    #[must_use]
    pub fn at(&self, place: f64) -> Option<T> {
        self.0.iter().rfind(|(from, _)| *from <= place).map(|(_, figure)| *figure)
    }
}

/// What a value of the table may be.
pub(super) trait Value: Sized {
    /// The value that a cell spells.
    fn read(cell: &str) -> Option<Self>;
    /// Every figure in it, for its bounds.
    fn figures(&self) -> Vec<f64>;
}

impl Value for f64 {
    fn read(cell: &str) -> Option<Self> {
        cell.parse().ok()
    }

    fn figures(&self) -> Vec<f64> {
        vec![*self]
    }
}

impl Value for u32 {
    fn read(cell: &str) -> Option<Self> {
        cell.parse().ok()
    }

    fn figures(&self) -> Vec<f64> {
        vec![f64::from(*self)]
    }
}

impl<T: Value> Value for Steps<T> {
    fn read(cell: &str) -> Option<Self> {
        let step = |text: &str| {
            let (from, figure) = text.split_once(':')?;
            Some((from.parse().ok()?, T::read(figure)?))
        };
        let steps = cell.split(' ').map(step).collect::<Option<Vec<(f64, T)>>>()?;
        steps.is_sorted_by(|a, b| a.0 < b.0).then_some(Self(steps))
    }

    fn figures(&self) -> Vec<f64> {
        self.0.iter().flat_map(|(_, figure)| figure.figures()).collect()
    }
}

impl Value for String {
    fn read(cell: &str) -> Option<Self> {
        (!cell.is_empty()).then(|| cell.to_owned())
    }

    fn figures(&self) -> Vec<f64> {
        Vec::new()
    }
}

impl Value for Binder {
    fn read(cell: &str) -> Option<Self> {
        serde_json::from_value(cell.into()).ok()
    }

    fn figures(&self) -> Vec<f64> {
        Vec::new()
    }
}

/// Units that the table may use, each with what a name in it ends in and between what its figures lie.
const UNITS: [(&str, &str, f64, f64); 29] = [
    ("", "", 0.0, 1e5),
    ("0–1", "", 0.0, 1.0),
    ("°C", "_c", -50.0, 100.0),
    ("K", "_k", 0.0, 50.0),
    ("m", "_m", 0.0, 200.0),
    ("mm", "_mm", 0.0, 5e3),
    ("m²", "_m2", 0.0, 1e3),
    ("mm²/m", "_mm2_m", 0.0, 1e4),
    ("m/s", "_m_s", 0.0, 20.0),
    ("m³/h", "_m3_h", 0.0, 100.0),
    ("1/h", "_per_h", 0.0, 20.0),
    ("W", "_w", 0.0, 100_000.0),
    ("W/(m²K)", "_w_m2k", 0.0, 10.0),
    ("W/(mK)", "_w_mk", 0.0, 5.0),
    ("Wh/(m³K)", "_wh_m3k", 0.3, 0.4),
    ("m²K/W", "_m2k_w", 0.0, 10.0),
    ("Pa", "_pa", 0.0, 1e5),
    ("kPa", "_kpa", 0.0, 200.0),
    ("bar", "_bar", 0.0, 10.0),
    ("Pa/m", "_pa_m", 0.0, 1e3),
    ("kW", "_kw", 0.0, 200.0),
    ("l/min", "_l_min", 0.0, 20.0),
    ("l/h", "_l_h", 0.0, 10000.0),
    ("l", "_l", 0.0, 500.0),
    ("h", "_h", 0.0, 8784.0),
    ("a kWh", "_per_kwh", 0.0, 10.0),
    ("days", "_days", 0.0, 365.0),
    ("years", "_years", 0.0, 100.0),
    ("year", "_year", 1000.0, 2100.0),
];

/// A line of the file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    key: String,
    value: String,
    unit: String,
    meaning: String,
    source: String,
    confidence: Confidence,
}

/// The lines of the file that no field has taken yet.
pub(super) struct Lines {
    file: DataFile,
    left: BTreeMap<String, (u64, Row)>,
}

impl Lines {
    pub(super) fn read(file: DataFile) -> Result<Self, CatalogueError> {
        let mut lines = Self { file, left: BTreeMap::new() };
        for (line, row) in rows::numbered::<Row>(file)? {
            let key = row.key.clone();
            if lines.left.insert(key.clone(), (line, row)).is_some() {
                return Err(lines.at(line, format!("{key} stands twice")));
            }
        }
        Ok(lines)
    }

    fn at(&self, line: u64, detail: impl Into<String>) -> CatalogueError {
        CatalogueError::Line { file: self.file.name, line, detail: detail.into() }
    }

    /// The row of a name.
    pub(super) fn take<T: Value>(&mut self, key: &str) -> Result<DefaultRow<T>, CatalogueError> {
        let (line, row) = self
            .left
            .remove(key)
            .ok_or_else(|| CatalogueError::File { file: self.file.name, detail: format!("{key} has no row") })?;
        let Row { value: written, unit, meaning, source, confidence, .. } = row;
        if meaning.is_empty() || source.is_empty() {
            return Err(self.at(line, format!("{key} needs a meaning and a source")));
        }
        let value = T::read(&written).ok_or_else(|| self.at(line, format!("{key} cannot be {written}")))?;
        let Some((_, end, least, most)) = UNITS.iter().find(|(known, ..)| *known == unit) else {
            return Err(self.at(line, format!("{unit} is no unit of this table")));
        };
        if !key.ends_with(end) {
            return Err(self.at(line, format!("{key} is in {unit} and does not end in {end}")));
        }
        // what is not a number lies between no bounds
        if !value.figures().iter().all(|figure| (*least..=*most).contains(figure)) {
            return Err(
                self.at(line, format!("{key} is {written}, and a figure of this unit lies between {least} and {most}"))
            );
        }
        Ok(DefaultRow { value, written, provenance: Provenance { source, confidence } })
    }

    /// That nothing is left.
    pub(super) fn end(self) -> Result<(), CatalogueError> {
        match self.left.first_key_value() {
            Some((key, (line, _))) => Err(self.at(*line, format!("no default is called {key}"))),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_hold_from_where_they_begin() {
        let steps = Steps::<f64>::read("0:1 50:2 75:3").unwrap();
        assert_eq!(
            [-1.0, 0.0, 49.9, 50.0, 1e3].map(|place| steps.at(place)),
            [None, Some(1.0), Some(1.0), Some(2.0), Some(3.0)]
        );
    }
}
