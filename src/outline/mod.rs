//! From a few facts to a whole job document, rooms and all, in which everything that was filled in is an assumption
//! with its spread. A survey then corrects it room by room.
//!
//! - `facts`: what is known before anyone has been there
//! - `proportions`: areas by floor area, from dwellings that stand for their kind and years
//! - `plan`: a rectangle for each storey, cut into rooms
//! - `constructions`: typical elements by year and improvement
//! - `rooms`: the rooms with their surfaces
//! - `radiators`: where radiators hang in them
//! - `heated`: how many, how warm the flow, and how wide the drop, found by the stages themselves
//! - `grant`: the grant that is asked for
//! - `basis`: how far everything is known

mod assumed;
mod basis;
mod constructions;
mod facts;
mod grant;
mod heated;
mod plan;
mod proportions;
mod radiators;
mod rooms;

pub use assumed::registered;
pub use facts::{Facts, FlatStorey, FloorImprovement, Glazing, Improvements, WallImprovement};

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::catalogue::products::TubeMaterial;
use crate::catalogue::room_use::TightnessClass;
use crate::catalogue::rules;
use crate::catalogue::{Catalogue, Defaults};
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode, Gate, Reading};
use crate::job::certainty::{Basis, Uncertainty};
use crate::job::dwelling::{Dwelling, ThermalBridging, Ventilation};
use crate::job::heating::{FlowTemperature, Heating};
use crate::job::pipework::{ExistingTubes, OutsideDiameter, Pipework};
use crate::job::site::{Climate, Site};
use crate::job::{Job, SCHEMA, UnheatedSpaces};
use crate::notes::Notes;
use crate::proposal::Limits;
use constructions::Chosen;
use heated::{Heated, Search};
use proportions::Proportions;
use radiators::Spot;

/// Outside diameters of the copper tubes that old heatings were laid with, from EN 1057 (mm): common practice.
const KEPT_MM: [f64; 3] = [15.0, 22.0, 28.0];

/// A room's id, its floor area (m²), and where radiators may hang in it.
type Places = (String, f64, Vec<Spot>);

/// A job made from a few facts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Outline {
    /// The job, to be surveyed.
    pub job: Job,
    /// What was assumed on the way, with pointers into the job.
    pub notes: Notes,
}

/// Reads facts and makes the job; each of the houses that are tried on the way has these limits.
///
/// # Errors
/// Every fault of the facts.
pub fn read(gate: &Gate, catalogue: &Catalogue, text: &[u8], limits: &Limits) -> Result<Outline, Vec<Fault>> {
    let mut reading: Reading<Facts> = crate::intake::read(gate, text);
    let mut made = None;
    reading.check(|facts| match within(limits, facts, catalogue, None) {
        Ok(outline) => {
            made = Some(outline);
            Vec::new()
        }
        Err(faults) => faults,
    });
    made.filter(|_| reading.faults.is_empty()).ok_or(reading.faults)
}

/// Makes the job. One building of the typology may be left out of the means, to be compared with.
///
/// # Errors
/// The catalogue has no such station, no rate of tax on the date, or no dwelling that describes this one.
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
pub fn outline(facts: &Facts, catalogue: &Catalogue, without: Option<&str>) -> Result<Outline, Vec<Fault>> {
    within(&Limits::default(), facts, catalogue, without)
}

fn within(limits: &Limits, facts: &Facts, catalogue: &Catalogue, without: Option<&str>) -> Result<Outline, Vec<Fault>> {
    let faults: Vec<Fault> =
        unknown_station(facts, catalogue).into_iter().chain(date_without_rule(facts, catalogue)).collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    made(limits, facts, catalogue, without).map_err(|fault| vec![fault])
}

fn unknown_station(facts: &Facts, catalogue: &Catalogue) -> Option<Fault> {
    if catalogue.station(&facts.station).is_some() {
        return None;
    }
    let known: Vec<&str> = catalogue.stations.iter().map(|station| station.code.as_str()).collect();
    let meant = did_you_mean(&facts.station, known.iter().copied());
    let detail = format!("there is no climate station {}; there are {}{meant}", facts.station, known.join(", "));
    Some(Fault::new("/station", FaultCode::UnknownStation, detail))
}

/// A date that no rate of tax is known for.
fn date_without_rule(facts: &Facts, catalogue: &Catalogue) -> Option<Fault> {
    let (date, nation) = (facts.quote_date?, facts.nation);
    let defaults = &catalogue.defaults;
    let mut keys = [&defaults.heating_tax_rule.value, &defaults.floor_build_tax_rule.value].into_iter();
    let key = keys.find(|key| rules::find(key, nation, date, &catalogue.price_book.rules).is_none())?;
    let detail = format!("there is no rule {key} for this nation on {date}");
    Some(Fault::new("/quote_date", FaultCode::NoRule, detail).rests_on("/nation"))
}

fn made(limits: &Limits, facts: &Facts, catalogue: &Catalogue, without: Option<&str>) -> Result<Outline, Fault> {
    let (kind, year) = (facts.dwelling_kind, facts.construction_year);
    let proportions = proportions::proportions(catalogue, kind, year, without).ok_or_else(|| {
        Fault::new(
            "/dwelling_kind",
            FaultCode::NotDescribed,
            "the typology has no dwelling left that describes this one",
        )
    })?;
    let defaults = &catalogue.defaults;
    let plan = plan::plan(facts, defaults, &proportions);
    let constructions = constructions::choose(facts, &plan, catalogue, without);
    let openings =
        rooms::Openings { window_m2: proportions.window.mean * facts.floor_area_m2, door_m2: proportions.door_m2.mean };
    let openings = openings.within(&plan, defaults);
    let mut of_grant = Notes::default();
    let mut unheated = job(facts, catalogue, (&proportions, &constructions));
    unheated.commercial = grant::commercial(facts, &catalogue.price_book.rules, &mut of_grant);
    unheated.rooms = rooms::rooms(&plan, openings, catalogue);
    unheated.basis = basis::basis(&unheated, facts, &proportions, &constructions, defaults);
    let places: Vec<_> = plan
        .rooms
        .iter()
        .map(|cut| (cut.id.clone(), cut.area_m2(), radiators::spots(&plan, cut, openings, defaults)))
        .collect();
    let search = Search {
        catalogue,
        limits,
        rooms: &places,
        job: &|heated| warmed(unheated.clone(), facts, (&places, heated), defaults),
    };
    let heated = search.found()?;
    let job = (search.job)(&heated);
    let mut notes = basis::notes(facts, defaults, &job, (&plan, &proportions, &constructions));
    basis::note_heating(facts, defaults, (&places, &heated), &mut notes);
    notes.append(of_grant);
    Ok(Outline { job, notes })
}

/// The job with its radiators and its water.
fn warmed(mut job: Job, facts: &Facts, (places, heated): (&[Places], &Heated), defaults: &Defaults) -> Job {
    let is_old = facts.has_old_radiators();
    for ((_, room), ((_, _, spots), count)) in job.rooms.iter_mut().zip(places.iter().zip(&heated.radiators)) {
        room.emitters = radiators::hung(spots, *count, is_old, defaults).collect();
    }
    job.heating = Some(Heating {
        flow_temperature: Some(FlowTemperature::Fixed { flow_temperature_c: heated.flow_c }),
        drop_k: Some(heated.drop_k),
        fluid: None,
        radiator_mean: None,
        emitter_choice: None,
        flow_rule: None,
        least_flow: None,
    });
    job
}

fn job(facts: &Facts, catalogue: &Catalogue, (proportions, constructions): (&Proportions, &[Chosen])) -> Job {
    let kept = (facts.pipes_kept == Some(true)).then(|| ExistingTubes::Kept {
        outside_diameters_mm: KEPT_MM.map(OutsideDiameter).to_vec(),
        material: Some(TubeMaterial::Copper),
    });
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
            occupants: facts.occupants,
            existing_heating: facts.existing_heating.clone(),
            lived_in: None,
            ventilation: Some(Ventilation::AirChanges { tightness: Some(tightness(facts)) }),
            thermal_bridging: Some(ThermalBridging::Allowance { allowance_w_m2k: rounded(proportions.bridging_w_m2k) }),
            ground_water_near: None,
            adjoining: None,
            air_heat_wh_m3k: None,
        },
        constructions: constructions.iter().map(|chosen| (chosen.id.to_owned(), chosen.construction.clone())).collect(),
        unheated_spaces: UnheatedSpaces::default(),
        rooms: std::iter::empty().collect(),
        heating: None,
        pipework: kept.map(|existing| Pipework { existing: Some(existing), ..Pipework::default() }),
        cooling: None,
        plant: None,
        hot_water: None,
        commercial: None,
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
