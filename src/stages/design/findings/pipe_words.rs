//! Tubes and their limits in words.

use super::unmet::{Breaks, Pipe};
use crate::job::pipework::Place;
use crate::survey::Survey;

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
            Self::Unexplained => "readings",
            Self::Pump => "pump",
            Self::Cost => "cost",
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
            Self::Unexplained => "bores",
            Self::Pump | Self::Cost | Self::Head => "kPa",
        }
    }

    /// What a tube does that breaks it, and what is allowed.
    #[must_use]
    pub fn words(self, found: f64, limit: f64, place: Place) -> String {
        let lies = lies(place);
        let [found_m_s, limit_m_s] = distinct_from_decimals(found, limit, 2);
        match self {
            Self::Noise => format!("would run at {found_m_s} m/s, and {limit_m_s} m/s is the limit {lies}"),
            Self::Erosion => format!("would run at {found_m_s} m/s, and {limit_m_s} m/s wears it"),
            Self::Slow => format!("would run at {found_m_s} m/s, and it takes {limit_m_s} m/s to carry air along"),
            Self::Temperature => format!("would carry {found:.0} °C, and bears {limit:.0} °C for good"),
            Self::Pressure => format!("would stand under {found:.1} bar, and bears {limit:.1} bar"),
            Self::Hole => format!("is {found:.1} mm thick, and the joists bear holes of {limit:.0} mm"),
            Self::Gradient => format!("takes {found:.0} Pa/m, and {limit:.0} Pa/m are allowed"),
            Self::Unexplained => "has readings that no bore on offer explains".to_owned(),
            Self::Pump => {
                let [found_kpa, limit_kpa] = distinct_from_decimals(found, limit, 1);
                format!("would take {found_kpa} kPa, and the pump has {limit_kpa} kPa left for it")
            }
            Self::Cost => "costs no less".to_owned(),
            Self::Head => {
                "would make the whole dearer over the years, by the pump's electricity or by wider tube elsewhere"
                    .to_owned()
            }
        }
    }
}

/// Two figures with at least so many decimals, and with as many as it takes to tell them apart, two more at most.
pub(super) fn distinct_from_decimals(found: f64, limit: f64, least: usize) -> [String; 2] {
    let written = |decimals: usize| [found, limit].map(|figure| format!("{figure:.decimals$}"));
    let told = (least..least + 3).map(written).find(|[found, limit]| found != limit);
    told.unwrap_or_else(|| written(least))
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

/// What a pipe is called, where it stands in the job, and where it lies.
pub(super) fn named(survey: &Survey, pipe: Pipe) -> (String, String, Place) {
    let pipes = &survey.pipes;
    let (name, run) = match pipe {
        Pipe::Run(index) => (format!("run {}", pipes.runs[index].id), Some(&pipes.runs[index])),
        Pipe::Primary => ("the primary".to_owned(), pipes.primary.as_ref().map(|primary| &primary.run)),
        Pipe::PrimaryMaking => {
            ("the primary, while hot water is made,".to_owned(), pipes.primary.as_ref().map(|primary| &primary.run))
        }
        Pipe::HotWater => ("the hot-water circuit".to_owned(), pipes.hot_water.as_ref().map(|circuit| &circuit.run)),
    };
    // the estimated runs stand nowhere in the job
    let at = run.map_or("/pipework", |run| run.at.as_str()).to_owned();
    (name, at, run.map_or(Place::Occupied, |run| run.place))
}
