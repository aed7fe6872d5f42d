//! Tubes and their limits in words.

use super::unmet::Breaks;
use crate::job::pipework::Place;
use crate::survey::{Run, Survey};

impl Breaks {
    /// Stable name, in snake case.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Noise => "velocity",
            Self::Erosion => "erosion",
            Self::Slow => "too_slow",
            Self::Temperature => "temperature",
            Self::Pressure => "pressure",
            Self::Hole => "joists",
            Self::Gradient => "gradient",
            Self::Head => "head",
        }
    }

    /// Unit of its figures.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::Noise | Self::Erosion | Self::Slow => "m/s",
            Self::Temperature => "°C",
            Self::Pressure => "bar",
            Self::Hole => "mm",
            Self::Gradient => "Pa/m",
            Self::Head => "kPa",
        }
    }

    /// What a tube does that breaks it, and what is allowed.
    #[must_use]
    pub fn words(self, found: f64, limit: f64, place: Place) -> String {
        let lies = lies(place);
        match self {
            Self::Noise => format!("would run at {found:.2} m/s, and {limit:.2} m/s is the limit {lies}"),
            Self::Erosion => format!("would run at {found:.2} m/s, and {limit:.2} m/s wears it"),
            Self::Slow => format!("would run at {found:.2} m/s, and it takes {limit:.2} m/s to carry air along"),
            Self::Temperature => format!("would carry {found:.0} °C, and bears {limit:.0} °C for good"),
            Self::Pressure => format!("would stand under {found:.1} bar, and bears {limit:.1} bar"),
            Self::Hole => format!("is {found:.1} mm thick, and the joists bear holes of {limit:.0} mm"),
            Self::Gradient => format!("takes {found:.0} Pa/m, and {limit:.0} Pa/m are allowed"),
            Self::Head => "takes more of the pump's head, or more electricity over the years, than it saves".to_owned(),
        }
    }
}

/// Where a run lies, in words.
fn lies(place: Place) -> &'static str {
    match place {
        Place::Bedroom => "in bedrooms",
        Place::Occupied => "in occupied places",
        Place::Loft => "in a loft over rooms",
        Place::PlantRoom => "in the plant room",
        Place::Unheated => "in unheated places",
        Place::Outdoors => "in the open",
    }
}

/// The run of an index, or the primary.
pub(super) fn run(survey: &Survey, index: Option<usize>) -> Option<&Run> {
    match index {
        Some(index) => survey.pipes.runs.get(index),
        None => survey.pipes.primary.as_ref().map(|primary| &primary.run),
    }
}

/// What a run is called, where it stands in the job, and where it lies.
pub(super) fn named(survey: &Survey, index: Option<usize>) -> (String, String, Place) {
    let found = run(survey, index);
    let name = index
        .map_or_else(|| "the primary".to_owned(), |_| found.map_or_else(String::new, |run| format!("run {}", run.id)));
    let at = found.map_or_else(|| "/pipework".to_owned(), |run| run.at.clone());
    (name, at, found.map_or(Place::Occupied, |run| run.place))
}
