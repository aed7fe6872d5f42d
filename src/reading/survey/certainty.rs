//! How sure the job is of what its heat losses rest on.

use super::Gathering;
use super::air::Air;
use super::assumed::Fabric as Assumed;
use super::doubted::Doubted;
use crate::catalogue::Defaults;
use crate::catalogue::default_rows::DefaultRow;
use crate::intake::{Fault, FaultCode, holds};
use crate::job::certainty::Known;
use crate::job::constructions::Construction;
use crate::job::dwelling::Ventilation;
use crate::job::rooms::Surface;
use crate::list::{Index, List, indexed};
use crate::methods::math::round_significant;
use crate::survey;

/// Most surfaces times draws that are computed for one answer.
const MOST_EVALUATIONS: usize = 30_000_000;

/// What is not sure, and how often it shall be drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Unsure {
    /// Number of draws.
    pub draws: u32,
    /// Seed of the draws.
    pub seed: u32,
    /// What is not sure.
    pub inputs: List<Input>,
    /// How many sources areas were taken from, of those that the job names.
    pub sources: List<AreaSource, ()>,
}

/// What several areas were taken from, as the job names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AreaSource;

/// One thing that is not sure.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// JSON Pointer into the job.
    pub pointer: String,
    /// What it is.
    pub what: What,
    /// How it is known.
    pub known: Known,
    /// Relative standard deviation.
    pub spread: f64,
    /// The source that it was taken from with others, with which it rises and falls.
    pub source: Option<Index<AreaSource>>,
}

/// What is not sure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// The U-value of a construction, by index.
    UValue(Index<survey::Construction>),
    /// Air that is not blown by a fan, but for that of chimneys and flues.
    Air,
    /// Air drawn through the chimneys and flues of a room.
    Flues(Index<survey::Room>),
    /// The area of a declared surface, openings included, by index.
    Area(Index<Surface>),
}

impl What {
    /// Relative standard deviation by how it is known: measured, documented, assumed.
    fn spreads(self, defaults: &Defaults) -> [f64; 3] {
        let rows: [&DefaultRow<f64>; 3] = match self {
            Self::UValue(_) => [
                &defaults.u_value_spread_measured,
                &defaults.u_value_spread_documented,
                &defaults.u_value_spread_assumed,
            ],
            Self::Air | Self::Flues(_) => {
                [&defaults.air_spread_measured, &defaults.air_spread_documented, &defaults.air_spread_assumed]
            }
            Self::Area(_) => {
                [&defaults.area_spread_measured, &defaults.area_spread_documented, &defaults.area_spread_assumed]
            }
        };
        rows.map(|row| row.value)
    }

    /// Relative standard deviation by how it is known.
    #[must_use]
    pub fn spread(self, known: Known, defaults: &Defaults) -> f64 {
        let [measured, documented, assumed] = self.spreads(defaults);
        match known {
            Known::Measured => measured,
            Known::Documented => documented,
            Known::Assumed => assumed,
        }
    }

    /// The three of them in words, in percent.
    fn spreads_told(self, defaults: &Defaults) -> String {
        let [measured, documented, assumed] = self.spreads(defaults).map(|spread| round_significant(100.0 * spread, 6));
        format!("{measured}, {documented} or {assumed} %")
    }
}

impl Gathering<'_> {
    /// What is not sure, if the job asks for that.
    pub(super) fn unsure(&mut self, surfaces: &List<Surface, String>, air: Air) -> Option<Unsure> {
        self.check_basis();
        let asked = self.job.uncertainty.as_ref()?;
        let defaults = &self.catalogue.defaults;
        let (draws, seed) =
            (asked.draws.unwrap_or(defaults.draws.value), asked.seed.unwrap_or(defaults.draws_seed.value));
        let mut inputs = List::default();
        for (index, (id, construction)) in indexed(&*self.job.constructions) {
            let (pointer, known) = match construction {
                Construction::Known { .. } => (format!("/constructions/{id}/u_value_w_m2k"), Known::Documented),
                Construction::Typical { .. } => (format!("/constructions/{id}"), Known::Assumed),
                Construction::Layered { .. }
                | Construction::Window { .. }
                | Construction::GroundFloor { .. }
                | Construction::SuspendedFloor { .. }
                | Construction::Basement { .. } => (format!("/constructions/{id}"), Known::Documented),
            };
            inputs.push(self.input(pointer, What::UValue(index), known));
        }
        let (pointer, known) = self.air_basis(air);
        inputs.push(self.input(pointer, What::Air, known));
        for (index, (id, room)) in indexed(&*self.job.rooms) {
            if room.flues.is_some() {
                inputs.push(self.input(format!("/rooms/{id}/flues"), What::Flues(index), Known::Assumed));
            }
        }
        let mut named: List<AreaSource, String> = List::default();
        for (index, surface) in surfaces.enumerate() {
            let input = self.input(format!("{surface}/area_m2"), What::Area(index), Known::Measured);
            let source = self.job.basis.nearest(&input.pointer).and_then(|said| said.source.as_ref()).map(|source| {
                named.position(|known| known == source).unwrap_or_else(|| {
                    named.push(source.clone());
                    Index::new(named.len() - 1)
                })
            });
            inputs.push(Input { source, ..input });
        }
        let elements = surfaces.len().max(1);
        let most = MOST_EVALUATIONS / elements;
        if usize::try_from(draws).unwrap_or(usize::MAX) > most {
            let detail =
                format!("{draws} draws of {elements} surfaces are more than this service computes: {most} at most");
            let limit = u32::try_from(most).map_or(f64::from(u32::MAX), f64::from);
            self.faults.push(Fault::new("/uncertainty/draws", FaultCode::TooManyDraws, detail).limit(limit));
        }
        self.note_basis_without_effect(&inputs);
        let [u_values, air, areas] = [What::UValue(Index::new(0)), What::Air, What::Area(Index::new(0))]
            .map(|what| what.spreads_told(&self.catalogue.defaults));
        self.notes.add(&Assumed::Spread { u_values, air, areas });
        Some(Unsure { draws, seed, inputs, sources: named.filled(()) })
    }

    /// What the basis says of parts whose figures are taken as sure.
    fn note_basis_without_effect(&mut self, inputs: &List<Input>) {
        for (pointer, said) in self.job.basis.iter() {
            let counts = inputs.iter().any(|input| reaches(pointer, &input.pointer));
            if !counts {
                let at = crate::intake::fault::escaped(pointer).to_string().into();
                self.notes.add(&Doubted::BasisWithoutEffect { basis: pointer.clone(), at });
                continue;
            }
            let mut areas = inputs.iter().filter(|input| matches!(input.what, What::Area(_)));
            if said.source.is_some() && !areas.any(|input| reaches(pointer, &input.pointer)) {
                let at = crate::intake::fault::escaped(pointer).to_string().into();
                self.notes.add(&Doubted::SourceWithoutEffect { basis: pointer.clone(), at });
            }
        }
    }

    fn input(&self, pointer: String, what: What, known: Known) -> Input {
        let said = self.job.basis.nearest(&pointer);
        let known = said.map_or(known, |said| said.known);
        let spread = said.and_then(|said| said.spread).unwrap_or_else(|| what.spread(known, &self.catalogue.defaults));
        Input { pointer, what, known, spread, source: None }
    }

    /// Where the job tells how air is changed, and how that is known.
    fn air_basis(&self, air: Air) -> (String, Known) {
        let place = match &self.job.dwelling.ventilation {
            None => "/dwelling",
            Some(Ventilation::AirPermeability { .. }) => "/dwelling/ventilation/q50_m3_h_m2",
            Some(Ventilation::Mechanical { leakage: Some(_), .. }) => "/dwelling/ventilation/leakage/q50_m3_h_m2",
            Some(Ventilation::Mechanical { .. } | Ventilation::AirChanges { .. }) => "/dwelling/ventilation",
        };
        let given = self.job.rooms.values().all(|room| room.air_changes_per_h.is_some());
        let known = if air == Air::AirChanges && !given { Known::Assumed } else { Known::Documented };
        (place.to_owned(), known)
    }

    /// Whatever the basis speaks of is there.
    fn check_basis(&mut self) {
        for pointer in self.job.basis.keys().filter(|pointer| !holds(self.job, pointer)) {
            let at = format!("/basis/{}", crate::intake::fault::escaped(pointer));
            let fault = Fault::new(at, FaultCode::UnknownPlace, format!("the job has nothing at {pointer}"));
            self.faults.push(fault.rests_on(pointer.clone()));
        }
    }
}

/// Whether a pointer leads to a place or to a part that holds it.
fn reaches(pointer: &str, place: &str) -> bool {
    place.strip_prefix(pointer).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}
