//! The heat source, by the day's balance: hot water takes it for some hours, and what is left of the day carries
//! the space loss of 24. Chosen before the pipes that its pump must serve.

use serde::Serialize;
use utoipa::ToSchema;

use super::DesignError;
use super::emitters::Emitters;
use super::findings::{Place, Unmet, Warning};
use super::heat_loss::HeatLoss;
use crate::methods::performance_map::PerformanceMap;
use crate::methods::{MethodError, Off, Workings, hot_water, part_load};
use crate::survey::{HotWater, Survey, grid};

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// Flow temperature of the heating (°C).
    pub flow_c: f64,
    /// Loss of the dwelling and of its heated floors downward (W).
    pub load_w: f64,
    /// People that hot water is made for.
    pub people: f64,
    /// Hot water of a day, as litres at 60 °C.
    pub demand_at_60_l: f64,
    /// Heat for hot water of a day (kWh).
    pub hot_water_kwh: f64,
    /// What was looked at.
    pub candidates: Vec<Candidate>,
    /// Index into the offered heat sources of the one that was chosen.
    pub chosen: Option<usize>,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

/// A heat source that was looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// Index into the offered heat sources.
    pub offer: usize,
    /// Output at the design outside temperature and the heating flow temperature (W).
    pub capacity_w: f64,
    /// Coefficient of performance there.
    pub cop: f64,
    /// Output at the design outside temperature and the hot-water flow temperature (W).
    pub hot_water_capacity_w: f64,
    /// Hours of the day for hot water (h).
    pub hot_water_h: f64,
    /// Output that the house needs of this heat source (W); infinite where hot water takes the whole day.
    pub needed_w: f64,
}

impl Candidate {
    /// Whether it carries the house and its hot water.
    #[must_use]
    pub fn is_enough(&self) -> bool {
        self.capacity_w >= self.needed_w
    }
}

/// Computes the stage.
///
/// # Errors
/// [`DesignError::Method`] if hot water or loads describe nothing physical.
pub fn compute<W: Workings>(
    survey: &Survey,
    loss: &HeatLoss,
    emitters: &Emitters,
    w: &mut W,
) -> Result<Source, DesignError> {
    let mut w = w.at(|| "/plant/heat_source".to_owned());
    let HotWater { occupants, bedrooms, litres_per_person, loss_factor, .. } = survey.plant.hot_water;
    let (dwelling_w, downward_w) = (loss.dwelling.design_heat_loss_w, emitters.downward_w);
    let load_w = hot_water::space_load(dwelling_w, downward_w, &mut w.within("load_w"));
    let people = hot_water::people(f64::from(occupants), f64::from(bedrooms), &mut w.within("people"));
    let demand_at_60_l = hot_water::daily_demand(people, litres_per_person, &mut w.within("demand_at_60_l"));
    let hot_water_kwh = hot_water::daily_energy(demand_at_60_l, loss_factor, &mut w.within("hot_water_kwh"));
    let mut found = Source {
        flow_c: emitters.flow_c,
        load_w,
        people,
        demand_at_60_l,
        hot_water_kwh,
        candidates: Vec::new(),
        chosen: None,
        unmet: Vec::new(),
        warnings: Vec::new(),
    };
    for &offer in &survey.plant.heat_sources {
        match candidate(survey, offer, loss.outside_design_c, &found, &mut Off) {
            Ok(candidate) => found.candidates.push(candidate),
            Err(_) => found.warnings.push(Warning::OutsideItsData(offer)),
        }
    }
    found.choose(survey);
    if let Some(chosen) = found.chosen {
        // once more, for its workings
        let row = found.candidates.iter().position(|candidate| candidate.offer == chosen).unwrap_or_default();
        let mut w = w.at(|| format!("/plant/heat_source/candidates/{row}"));
        candidate(survey, chosen, loss.outside_design_c, &found, &mut w).map_err(DesignError::at("/plant"))?;
    }
    Ok(found)
}

impl Source {
    /// The smallest output that reaches its own need; where none does, the largest, told as unmet.
    fn choose(&mut self, survey: &Survey) {
        let by_capacity = |a: &&Candidate, b: &&Candidate| a.capacity_w.total_cmp(&b.capacity_w);
        let enough = self.candidates.iter().filter(|candidate| candidate.is_enough()).min_by(by_capacity).copied();
        let chosen = enough.or_else(|| self.candidates.iter().max_by(by_capacity).copied());
        if enough.is_none() {
            let finite = chosen.map(|largest| largest.needed_w).filter(|needed_w| needed_w.is_finite());
            let need = finite.unwrap_or_else(|| hot_water::least_output(self.load_w, self.hot_water_kwh, &mut Off));
            let reached = chosen.map_or(0.0, |largest| largest.capacity_w);
            self.unmet.push(Unmet { place: Place::HeatSource, need, reached });
        }
        self.chosen = chosen.map(|candidate| candidate.offer);
        if let Some(offer) = self.chosen.filter(|offer| lowest_flow_c(survey, *offer) > self.flow_c) {
            self.warnings.push(Warning::BelowItsData(offer, lowest_flow_c(survey, offer)));
        }
        if self.chosen.is_some_and(|offer| !survey.offer.heat_sources[offer].defrost_included) {
            self.warnings.push(Warning::DefrostNotIncluded);
        }
    }

    /// The chosen one's figures.
    #[must_use]
    pub fn candidate(&self) -> Option<&Candidate> {
        self.candidates.iter().find(|candidate| Some(candidate.offer) == self.chosen)
    }
}

fn candidate<W: Workings>(
    survey: &Survey,
    offer: usize,
    outside_c: f64,
    source: &Source,
    w: &mut W,
) -> Result<Candidate, MethodError> {
    let map = PerformanceMap::new(grid(&survey.offer.heat_sources[offer].points))?;
    // at a lower flow temperature a heat pump gives no less: its lowest one is on the safe side
    let heating = map.at(outside_c, source.flow_c.max(lowest_flow_c(survey, offer)), &mut w.within("capacity_w"))?;
    let for_water = map.at(outside_c, survey.plant.hot_water.flow_c, &mut w.within("hot_water_capacity_w"))?;
    let hot_water_h = hot_water::hours(source.hot_water_kwh, for_water.capacity_w, &mut w.within("hot_water_h"))?;
    let needed_w = if hot_water_h < 24.0 {
        hot_water::needed_output(source.load_w, hot_water_h, &mut w.within("needed_w"))?
    } else {
        f64::INFINITY
    };
    Ok(Candidate {
        offer,
        capacity_w: heating.capacity_w,
        cop: heating.cop,
        hot_water_capacity_w: for_water.capacity_w,
        hot_water_h,
        needed_w,
    })
}

/// A heat source on a day milder than the design day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartLoad {
    /// Outside temperature (°C).
    pub outside_c: f64,
    /// Flow temperature by the heating curve (°C).
    pub flow_c: f64,
    /// Flow temperature that its data are read at: their lowest, where the curve goes below (°C).
    pub read_at_c: f64,
    /// Load of the house (W).
    pub load_w: f64,
    /// Full output there (W).
    pub capacity_w: f64,
    /// Coefficient of performance there, at full output.
    pub cop: f64,
}

impl Source {
    /// Flow temperature that the data of a heat source on offer are read at in design conditions: their lowest, where the
    /// flow lies below (°C).
    #[must_use]
    pub fn read_at_c(&self, survey: &Survey, offer: usize) -> f64 {
        self.flow_c.max(lowest_flow_c(survey, offer))
    }

    /// The chosen heat source at an outside temperature; nothing where its data do not reach, or none is chosen.
    ///
    /// # Errors
    /// [`DesignError::Method`] if the house is no warmer inside than outside.
    pub fn part_load(&self, survey: &Survey, loss: &HeatLoss, outside_c: f64) -> Result<Option<PartLoad>, DesignError> {
        let Some(chosen) = self.chosen else { return Ok(None) };
        let area_m2: f64 = survey.rooms.iter().map(|room| room.floor_area_m2).sum();
        let inside_c = survey.rooms.iter().map(|room| room.floor_area_m2 * room.inside_c).sum::<f64>() / area_m2;
        let share = part_load::load_share(inside_c, loss.outside_design_c, outside_c, &mut Off)
            .map_err(DesignError::at("/site"))?;
        let flow_c = part_load::flow_temperature(self.flow_c, inside_c, share, &mut Off);
        let map =
            PerformanceMap::new(grid(&survey.offer.heat_sources[chosen].points)).map_err(DesignError::at("/plant"))?;
        let read_at_c = flow_c.max(lowest_flow_c(survey, chosen));
        let found = map.at(outside_c, read_at_c, &mut Off).ok();
        Ok(found.map(|found| PartLoad {
            outside_c,
            flow_c,
            read_at_c,
            load_w: share * self.load_w,
            capacity_w: found.capacity_w,
            cop: found.cop,
        }))
    }
}

/// Lowest flow temperature of a heat source's data (°C).
fn lowest_flow_c(survey: &Survey, offer: usize) -> f64 {
    survey.offer.heat_sources[offer].points.iter().map(|point| point.flow_c).fold(f64::INFINITY, f64::min)
}

/// The heat source as it is answered.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatSourceAnswer {
    /// Code of the chosen heat source; absent for a unit given with the job, or where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// What it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub description: Option<String>,
    /// Loss of the dwelling and of its heated floors downward (W).
    pub load_w: f64,
    /// People that hot water is made for.
    #[schema(value_type = i32)]
    pub people: u32,
    /// Hot water of a day, as litres at 60 °C.
    pub demand_at_60_l: f64,
    /// Heat for hot water of a day (kWh).
    pub hot_water_kwh: f64,
    /// What was looked at, in the order of the price book.
    pub candidates: Vec<CandidateRow>,
}

/// A heat source that was looked at.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CandidateRow {
    /// Its code; absent for a unit given with the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Output at the design outside temperature and the heating flow temperature (W).
    pub capacity_w: f64,
    /// Coefficient of performance there.
    pub cop: f64,
    /// Output at the design outside temperature and the hot-water flow temperature (W).
    pub hot_water_capacity_w: f64,
    /// Hours of the day for hot water (h).
    pub hot_water_h: f64,
    /// Output that the house needs of it (W); absent where hot water takes the whole day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needed_w: Option<f64>,
    /// Whether it carries the house and its hot water.
    pub enough: bool,
    /// Whether it was chosen.
    pub chosen: bool,
}

impl Source {
    /// The result with the names of the price book.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "people are a small whole number")]
    pub fn answer(&self, survey: &Survey) -> HeatSourceAnswer {
        let product = |offer: usize| {
            survey.offer.heat_sources[offer].product.and_then(|index| survey.book.products.get_index(index))
        };
        let code = |offer: usize| product(offer).map(|(code, _)| code.clone());
        let candidates = self.candidates.iter().map(|candidate| CandidateRow {
            product: code(candidate.offer),
            capacity_w: candidate.capacity_w,
            cop: candidate.cop,
            hot_water_capacity_w: candidate.hot_water_capacity_w,
            hot_water_h: candidate.hot_water_h,
            needed_w: candidate.needed_w.is_finite().then_some(candidate.needed_w),
            enough: candidate.is_enough(),
            chosen: Some(candidate.offer) == self.chosen,
        });
        HeatSourceAnswer {
            product: self.chosen.and_then(code),
            description: self.chosen.and_then(product).map(|(_, product)| product.description().to_owned()),
            load_w: self.load_w,
            people: self.people as u32,
            demand_at_60_l: self.demand_at_60_l,
            hot_water_kwh: self.hot_water_kwh,
            candidates: candidates.collect(),
        }
    }
}
