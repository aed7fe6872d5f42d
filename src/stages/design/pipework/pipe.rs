//! Pipes and the limits of their tubes, and how they are called.

use crate::job::pipework::Place;
use crate::list::Index;
use crate::notes::{Field, Value, Values};
use crate::survey::{Run, Survey};
use crate::terms;

/// A run, or a circuit of the plant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pipe {
    /// A run of the tree.
    Run(Index<Run>),
    /// The circuit to the outdoor unit, at the flow of heating.
    Primary,
    /// The same, while hot water is made.
    PrimaryMaking,
    /// The circuit to the cylinder.
    HotWater,
}

/// A limit that a tube can break.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breaks {
    /// Faster than its place allows, for the noise (m/s).
    Noise,
    /// Faster than its material bears (m/s).
    Erosion,
    /// Too slow to carry air along (m/s).
    Slow,
    /// Hotter than it bears (°C).
    Temperature,
    /// Under more pressure than it bears (bar).
    Pressure,
    /// Thicker than a hole that the joists bear (mm).
    Hole,
    /// A steeper gradient than the handbook's rule allows (Pa/m).
    Gradient,
    /// Narrower than a manifold of so many loops, or so much flow, wants its feed (mm).
    Feed,
    /// Made for tails, and longer than they are, or no tail (m).
    Tail,
    /// Readings that no bore explains.
    Unexplained,
    /// More head than the pump has left for it (kPa).
    Pump,
    /// No cheaper than what was taken.
    Cost,
    /// More head or electricity than the cheapest whole has for it.
    Head,
}

terms! {
    codes of Breaks {
        Noise: "velocity";
        Erosion: "erosion";
        Slow: "too_slow";
        Temperature: "temperature";
        Pressure: "pressure";
        Hole: "joists";
        Gradient: "gradient";
        Feed: "manifold_feed";
        Tail: "tail";
        Unexplained: "readings";
        Pump: "pump";
        Cost: "cost";
        Head: "head";
    }
}

impl Breaks {
    /// Unit of its figures.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::Noise | Self::Erosion | Self::Slow => "m/s",
            Self::Temperature => "°C",
            Self::Pressure => "bar",
            Self::Hole | Self::Feed => "mm",
            Self::Tail => "m",
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
            Self::Feed => format!(
                "is {found:.1} mm wide inside, and the manifold that it leads to wants {limit:.1} mm by its loops and its flow"
            ),
            Self::Tail if limit > 0.0 => format!("is a pipe for tails of up to {limit} m, and {found:.1} m are run"),
            Self::Tail => "is a pipe for tails alone, and others leave from here".to_owned(),
            Self::Unexplained => "has readings that no bore on offer explains".to_owned(),
            Self::Pump => {
                let [found_kpa, limit_kpa] = distinct_from_decimals(found, limit, 1);
                format!("would take {found_kpa} kPa, and the pump has {limit_kpa} kPa left for it")
            }
            Self::Cost => "costs no less".to_owned(),
            Self::Head => {
                "would make the whole dearer over the years, by the pump's electricity or by wider pipe elsewhere"
                    .to_owned()
            }
        }
    }
}

/// Two figures with at least so many decimals, and with as many as it takes to tell them apart, two more at most.
pub(in crate::design) fn distinct_from_decimals(found: f64, limit: f64, least: usize) -> [String; 2] {
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

/// The value that says that something holds while hot water is made; absent otherwise.
const MAKING: &str = "while_hot_water_is_made";

/// A pipe as sentences say it.
#[derive(Debug, Clone)]
pub struct SaidPipe {
    /// What it is called.
    pub name: String,
    /// Where it stands in the job: a JSON Pointer.
    pub at: String,
    /// Where it lies.
    pub lies: Place,
}

impl Pipe {
    fn run(self, survey: &Survey) -> Option<&Run> {
        match self {
            Self::Run(index) => Some(&survey.pipes.runs[index]),
            Self::Primary | Self::PrimaryMaking => survey.pipes.primary.as_ref().map(|primary| &primary.run),
            Self::HotWater => survey.pipes.hot_water.as_ref().map(|circuit| &circuit.run),
        }
    }

    /// Its id among the runs, or the name of its circuit.
    fn code(self, survey: &Survey) -> String {
        match self {
            Self::Run(index) => survey.pipes.runs[index].id.clone(),
            Self::Primary | Self::PrimaryMaking => "primary".to_owned(),
            Self::HotWater => "hot_water_circuit".to_owned(),
        }
    }
}

impl Field<Survey> for Pipe {
    type Said<'f> = SaidPipe;

    fn said<'f>(&'f self, survey: &'f Survey) -> SaidPipe {
        let name = match *self {
            Self::Run(index) => format!("run {}", survey.pipes.runs[index].id),
            Self::Primary => "the primary".to_owned(),
            Self::PrimaryMaking => "the primary, while hot water is made,".to_owned(),
            Self::HotWater => "the hot-water circuit".to_owned(),
        };
        let run = self.run(survey);
        // the estimated runs stand nowhere in the job
        let at = run.map_or("/pipework", |run| run.at.as_str()).to_owned();
        SaidPipe { name, at, lies: run.map_or(Place::Occupied, |run| run.place) }
    }

    fn names(name: &'static str) -> Vec<&'static str> {
        vec![name, MAKING]
    }

    fn put(&self, name: &'static str, survey: &Survey, values: &mut Values) {
        values.put(name, Value::Word(self.code(survey).into()));
        if *self == Self::PrimaryMaking {
            values.put(MAKING, Value::Flag(true));
        }
    }
}

impl Field<Survey> for Breaks {
    type Said<'f> = Self;

    /// The figures beside it are in its unit.
    fn names(name: &'static str) -> Vec<&'static str> {
        vec![name, "unit"]
    }

    fn terms() -> Vec<&'static str> {
        Self::CODES.to_vec()
    }

    fn said<'f>(&'f self, _: &'f Survey) -> Self {
        *self
    }

    fn put(&self, name: &'static str, _: &Survey, values: &mut Values) {
        values.put(name, Value::Word(self.code().into()));
        values.put("unit", Value::Word(self.unit().into()));
    }
}
