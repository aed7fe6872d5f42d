//! From a few facts to a whole job document, rooms and all, in which everything that was filled in is an assumption
//! with its spread. A survey then corrects it room by room.
//!
//! - `facts`: what is known before anyone has been there
//! - `proportions`: areas by floor area, from dwellings that stand for their kind and years
//! - `plan`: a rectangle for each storey, cut into rooms
//! - `constructions`: typical elements by year and improvement
//! - `rooms`: the rooms with their surfaces
//! - `basis`: how far everything is known

mod assumed;
mod basis;
mod constructions;
mod facts;
mod plan;
mod proportions;
mod rooms;

pub use assumed::registered;
pub use facts::{Facts, FloorImprovement, Glazing, Improvements, WallImprovement};

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::catalogue::Catalogue;
use crate::catalogue::room_use::TightnessClass;
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode, Gate, Reading};
use crate::job::certainty::{Basis, Uncertainty};
use crate::job::commercial::Commercial;
use crate::job::dwelling::{Dwelling, ThermalBridging, Ventilation};
use crate::job::site::{Climate, Site};
use crate::job::{Job, SCHEMA, UnheatedSpaces};
use crate::notes::Notes;
use constructions::Chosen;
use plan::Plan;
use proportions::Proportions;

/// A job made from a few facts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Outline {
    /// The job, to be surveyed.
    pub job: Job,
    /// What was assumed on the way, with pointers into the job.
    pub notes: Notes,
}

/// Reads facts and makes the job.
///
/// # Errors
/// Every fault of the facts.
pub fn read(gate: &Gate, catalogue: &Catalogue, text: &[u8]) -> Result<Outline, Vec<Fault>> {
    let mut reading: Reading<Facts> = crate::intake::read(gate, text);
    let mut made = None;
    reading.check(|facts| match outline(facts, catalogue, None) {
        Ok(outline) => {
            made = Some(outline);
            Vec::new()
        }
        Err(fault) => vec![fault],
    });
    made.filter(|_| reading.faults.is_empty()).ok_or(reading.faults)
}

/// Makes the job. One building of the typology may be left out of the means, to be compared with.
///
/// # Errors
/// The catalogue has no such station, or no dwelling that describes this one.
///
/// # Examples
/// ```
/// use tundish::catalogue::Catalogue;
/// use tundish::outline::{Facts, outline};
/// let facts: Facts = serde_json::from_str(
///     r#"{"dwelling_kind": "mid_terrace", "construction_year": 1905, "floor_area_m2": 90, "nation": "wales",
///         "station": "cardiff"}"#,
/// ).unwrap();
/// let job = outline(&facts, &Catalogue::try_built_in().unwrap(), None).unwrap().job;
/// assert_eq!((job.rooms.len(), job.dwelling.bedrooms), (8, Some(3)));
/// ```
pub fn outline(facts: &Facts, catalogue: &Catalogue, without: Option<&str>) -> Result<Outline, Fault> {
    if catalogue.station(&facts.station).is_none() {
        let known: Vec<&str> = catalogue.stations.iter().map(|station| station.code.as_str()).collect();
        let meant = did_you_mean(&facts.station, known.iter().copied());
        let detail = format!("there is no climate station {}; there are {}{meant}", facts.station, known.join(", "));
        return Err(Fault::new("/station", FaultCode::UnknownStation, detail));
    }
    let (kind, year) = (facts.dwelling_kind, facts.construction_year);
    let proportions = proportions::proportions(catalogue, kind, year, without).ok_or_else(|| {
        Fault::new(
            "/dwelling_kind",
            FaultCode::NotDescribed,
            "the typology has no dwelling left that describes this one",
        )
    })?;
    let plan = plan::plan(facts, &catalogue.defaults, &proportions);
    let constructions = constructions::choose(facts, &plan, catalogue, without);
    let mut job = job(facts, catalogue, &plan, &proportions, &constructions);
    job.basis = basis::basis(&job, &proportions, &constructions, &catalogue.defaults);
    let notes = basis::notes(facts, &catalogue.defaults, &job, (&plan, &proportions, &constructions));
    Ok(Outline { job, notes })
}

fn job(facts: &Facts, catalogue: &Catalogue, plan: &Plan, proportions: &Proportions, constructions: &[Chosen]) -> Job {
    let openings =
        rooms::Openings { window_m2: proportions.window.mean * facts.floor_area_m2, door_m2: proportions.door_m2.mean };
    Job {
        schema: SCHEMA,
        title: facts.title.clone(),
        reference: None,
        site: Site {
            nation: facts.nation,
            climate: Climate::Station { station: facts.station.clone() },
            altitude_m: None,
        },
        dwelling: Dwelling {
            kind: Some(facts.dwelling_kind),
            construction_year: Some(facts.construction_year),
            bedrooms: Some(facts.bedrooms(&catalogue.defaults)),
            occupants: None,
            existing_heating: None,
            ventilation: Some(Ventilation::AirChanges { tightness: Some(tightness(facts)) }),
            thermal_bridging: Some(ThermalBridging::Allowance { allowance_w_m2k: rounded(proportions.bridging_w_m2k) }),
            ground_water_near: None,
            adjoining: None,
            air_heat_wh_m3k: None,
        },
        constructions: constructions.iter().map(|chosen| (chosen.id.to_owned(), chosen.construction.clone())).collect(),
        unheated_spaces: UnheatedSpaces::default(),
        rooms: rooms::rooms(plan, openings, catalogue),
        heating: None,
        pipework: None,
        cooling: None,
        plant: None,
        hot_water: None,
        commercial: facts.quote_date.map(|date| Commercial { quote_date: Some(date), ..Commercial::default() }),
        uncertainty: Some(Uncertainty { draws: None, seed: None }),
        basis: Basis::default(),
    }
}

/// The tightness class by the year, one class tighter where gaps were sealed.
fn tightness(facts: &Facts) -> TightnessClass {
    let sealed = facts.improvements.as_ref().and_then(|done| done.draught_proofed) == Some(true);
    let by_year =
        i32::try_from(facts.construction_year).map_or(TightnessClass::Before2000, TightnessClass::of_construction_year);
    match by_year {
        TightnessClass::Before2000 if sealed => TightnessClass::From2000,
        TightnessClass::From2000 if sealed => TightnessClass::From2006,
        TightnessClass::Before2000 | TightnessClass::From2000 | TightnessClass::From2006 => by_year,
    }
}

/// A length or an area to a thousandth: what is written of an outline is no surer than that.
fn rounded(figure: f64) -> f64 {
    (figure * 1000.0).round() / 1000.0
}
