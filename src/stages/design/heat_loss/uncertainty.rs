//! How sure the design losses are: percentiles by draws, shares of variance, and what a measurement would leave.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::HeatLoss;
use super::trial::Trial;
use crate::design::DesignError;
use crate::design::stage::Asked;
use crate::job::certainty::Known;
use crate::job::rooms::{Part, Surface};
use crate::list::{Index, List};
use crate::methods::Budget;
use crate::methods::draws::{self, Draws, LEAST};
use crate::survey::{AreaSource, Construction, Faces, Input, Survey, Unsure, What};

/// How sure the design heat losses are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Uncertainty {
    /// Number of draws.
    #[schema(value_type = i32)]
    pub draws: u32,
    /// Seed of the draws.
    #[schema(value_type = i64)]
    pub seed: u32,
    /// Of the dwelling's design heat loss.
    pub dwelling: Percentiles,
    /// Of every room's, in the order of the job.
    pub rooms: Vec<RoomPercentiles>,
    /// What the dwelling's loss hangs on, the weightiest first.
    pub inputs: Vec<InputShare>,
    /// What would be left of the range if one thing were measured, the most useful first.
    pub measurements: Vec<Measurement>,
}

/// Percentiles of a design heat loss.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Percentiles {
    /// One in ten lies below (W).
    pub p10_w: f64,
    /// The middle (W).
    pub p50_w: f64,
    /// One in ten lies above (W).
    pub p90_w: f64,
}

/// Percentiles of a room's design heat loss.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoomPercentiles {
    /// Id of the room.
    pub room: String,
    /// One in ten lies below (W).
    pub p10_w: f64,
    /// The middle (W).
    pub p50_w: f64,
    /// One in ten lies above (W).
    pub p90_w: f64,
}

/// What one input has to do with the range of the dwelling's loss.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct InputShare {
    /// JSON Pointer into the job.
    pub pointer: String,
    /// How it is known.
    pub known: Known,
    /// Relative standard deviation that it was drawn with.
    pub spread: f64,
    /// Share of the variance of the dwelling's loss (0–1), by one standard deviation up and down; all of them add up
    /// to 1. Of areas of one source, what each has of what they do together: below 0 where it lessens that.
    pub share: f64,
}

/// What a measurement would leave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Measurement {
    /// JSON Pointer into the job, to what would be measured.
    pub pointer: String,
    /// What would be measured, in words.
    pub measure: Cow<'static, str>,
    /// Range from the 10th to the 90th percentile of the dwelling's loss as it is now (W).
    pub range_w: f64,
    /// The same, once that is measured (W): an estimate by shares of variance, without new draws.
    pub remaining_range_w: f64,
}

/// Draws the losses, if the job asks for that.
///
/// # Errors
/// [`DesignError::Method`] if a draw describes nothing physical.
pub fn uncertainty(asked: Asked<'_>, loss: &HeatLoss) -> Result<Option<Uncertainty>, DesignError> {
    let Asked { survey, budget, .. } = asked;
    let Some(unsure) = &survey.unsure else { return Ok(None) };
    let mut trial = Trial::new(survey, &loss.u_values_w_m2k);
    let (dwelling, rooms) = drawn(unsure, &mut trial, survey, budget)?;
    let variances = variances(survey, loss, unsure, &mut trial, budget)?;
    let names = &survey.names.rooms;
    let rooms = names.iter().zip(rooms).map(|(room, Percentiles { p10_w, p50_w, p90_w })| {
        let room = room.clone();
        RoomPercentiles { room, p10_w, p50_w, p90_w }
    });
    Ok(Some(Uncertainty {
        draws: unsure.draws,
        seed: unsure.seed,
        dwelling,
        rooms: rooms.collect(),
        inputs: shares(unsure, &variances),
        measurements: measurements(survey, unsure, &variances, dwelling.p90_w - dwelling.p10_w),
    }))
}

/// Elements whose loss is a unit of work.
const ELEMENTS_PER_UNIT: usize = 30;

/// What one trial adds up: every element, and every room's air.
fn steps(survey: &Survey) -> usize {
    survey.rooms.iter().map(|room| room.elements.len() + 1).sum()
}

/// Percentiles of the dwelling and of its rooms over all draws.
fn drawn(
    unsure: &Unsure,
    trial: &mut Trial<'_>,
    survey: &Survey,
    budget: &Budget,
) -> Result<(Percentiles, Vec<Percentiles>), DesignError> {
    let (rooms, steps) = (survey.rooms.len(), steps(survey));
    let mut draws = Draws::new(unsure.seed);
    let count = usize::try_from(unsure.draws).unwrap_or_default();
    let mut dwelling_w = Vec::with_capacity(count);
    let mut rooms_w = vec![Vec::with_capacity(count); rooms];
    let mut factors = unsure.inputs.filled(1.0);
    for _ in 0..count {
        budget.spend_steps(steps, ELEMENTS_PER_UNIT).map_err(DesignError::at("/uncertainty"))?;
        let mut shared: List<AreaSource, Option<f64>> = unsure.sources.filled(None);
        for (factor, input) in factors.iter_mut().zip(&unsure.inputs) {
            *factor = match input.source {
                Some(source) => draws::factor(input.spread, *shared[source].get_or_insert_with(|| draws.normal())),
                None => draws.factor(input.spread),
            };
        }
        let (dwelling, rooms) = trial.losses(&unsure.inputs, &factors)?;
        dwelling_w.push(dwelling);
        rooms_w.iter_mut().zip(rooms).for_each(|(all, room_w)| all.push(room_w));
    }
    Ok((percentiles(&mut dwelling_w), rooms_w.iter_mut().map(|room_w| percentiles(room_w)).collect()))
}

fn percentiles(drawn_w: &mut [f64]) -> Percentiles {
    drawn_w.sort_unstable_by(f64::total_cmp);
    let [p10_w, p50_w, p90_w] = [0.1, 0.5, 0.9].map(|share| crate::methods::draws::quantile(drawn_w, share));
    Percentiles { p10_w, p50_w, p90_w }
}

/// Part of the variance of the dwelling's loss that each input brings, by one standard deviation up and down (W²); where several
/// rise and fall together, its covariance with all of them.
fn variances(
    survey: &Survey,
    loss: &HeatLoss,
    unsure: &Unsure,
    trial: &mut Trial<'_>,
    budget: &Budget,
) -> Result<Vec<f64>, DesignError> {
    let steps = steps(survey);
    let by_surface = linear_in_area(survey, loss);
    let mut factors = unsure.inputs.filled(1.0);
    let mut deviations_w = Vec::with_capacity(unsure.inputs.len());
    for (index, input) in unsure.inputs.enumerate() {
        let linear_w = if let What::Area(surface) = input.what { by_surface.get(&surface) } else { None };
        if let Some(loss_w) = linear_w {
            deviations_w.push(draws::deviation_of_part(input.spread, *loss_w));
            continue;
        }
        budget.spend_steps(2 * steps, ELEMENTS_PER_UNIT).map_err(DesignError::at("/uncertainty"))?;
        let mut at = |factor: f64| {
            factors[index] = factor;
            trial.losses(&unsure.inputs, &factors).map(|(dwelling_w, _)| dwelling_w)
        };
        let (up_w, down_w) = (at(1.0 + input.spread)?, at((1.0 - input.spread).max(LEAST))?);
        factors[index] = 1.0;
        deviations_w.push(draws::deviation_between(up_w, down_w));
    }
    let mut together_w = unsure.sources.filled(0.0);
    for (input, deviation_w) in unsure.inputs.iter().zip(&deviations_w) {
        if let Some(source) = input.source {
            together_w[source] += deviation_w;
        }
    }
    let with_all = |(input, own_w): (&Input, &f64)| {
        draws::covariance(*own_w, input.source.map_or(*own_w, |source| together_w[source]))
    };
    Ok(unsure.inputs.iter().zip(&deviations_w).map(with_all).collect())
}

/// What passes every declared surface to beyond the dwelling, where that goes straight with its area (W): all but
/// those before an unheated space, whose temperature goes by their areas.
fn linear_in_area(survey: &Survey, loss: &HeatLoss) -> BTreeMap<Index<Surface>, f64> {
    let (mut by_surface, mut bent) = (BTreeMap::new(), BTreeSet::new());
    for (room, room_loss) in survey.rooms.iter().zip(&loss.rooms) {
        for (element, element_loss) in room.elements.iter().zip(&room_loss.elements) {
            let loss_w = match element.faces {
                Faces::Room(_) => 0.0,
                Faces::UnheatedSpace(_) => {
                    bent.insert(element.surface);
                    0.0
                }
                Faces::Outside
                | Faces::Ground
                | Faces::Unheated(_)
                | Faces::AdjoiningDwelling
                | Faces::Temperature(_) => element_loss.transmission_w + element_loss.thermal_bridging_w,
            };
            *by_surface.entry(element.surface).or_insert(0.0) += loss_w;
        }
    }
    by_surface.retain(|surface, _| !bent.contains(surface));
    by_surface
}

fn shares(unsure: &Unsure, variances: &[f64]) -> Vec<InputShare> {
    let whole: f64 = variances.iter().sum();
    let counted = unsure.inputs.iter().zip(variances).filter(|(_, variance)| variance.abs() > 0.0);
    let mut shares: Vec<InputShare> = counted
        .map(|(input, variance)| InputShare {
            pointer: input.pointer.clone(),
            known: input.known,
            spread: input.spread,
            share: variance / whole,
        })
        .collect();
    shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    shares
}

/// What would be left of the range if one input were measured that is not.
fn measurements(survey: &Survey, unsure: &Unsure, variances: &[f64], range_w: f64) -> Vec<Measurement> {
    let whole: f64 = variances.iter().sum();
    let visits = visits(survey);
    let mut found = Vec::new();
    for (Input { pointer, what, known, spread, source: _ }, variance) in unsure.inputs.iter().zip(variances) {
        let Some(measure) = measure(&visits, *what) else { continue };
        let measured = what.spread(Known::Measured, &survey.defaults);
        if *variance > 0.0 && *known != Known::Measured && measured < *spread {
            let remaining_range_w = draws::range_left(range_w, (whole, *variance), (measured, *spread));
            found.push(Measurement { pointer: pointer.clone(), measure: measure.into(), range_w, remaining_range_w });
        }
    }
    found.sort_by(|a, b| a.remaining_range_w.total_cmp(&b.remaining_range_w));
    found
}

/// What a visit would measure of an input, in words.
fn measure(visits: &List<Construction, Option<&'static str>>, what: What) -> Option<&'static str> {
    match what {
        What::Air => Some("air, by a fan in the door or at the fans and vents"),
        What::Flues(_) => Some("air through chimneys and flues, at their openings"),
        What::Area(_) => None,
        What::UValue(construction) => visits[construction],
    }
}

/// What a visit would measure of each construction where it is first built in, in words.
fn visits(survey: &Survey) -> List<Construction, Option<&'static str>> {
    let mut visits = survey.constructions.filled(None);
    let rooms = survey.rooms.iter().zip(&survey.names.elements);
    for (element, name) in rooms.flat_map(|(room, names)| room.elements.iter().zip(names)) {
        let is_window = matches!(survey.constructions[element.construction], Construction::Window(_));
        visits[element.construction].get_or_insert(match element.part {
            _ if is_window || name.opening.is_some() => "glazing and frame, or the leaf of a door",
            Part::Wall => "heat flow through the wall",
            Part::Roof | Part::Ceiling => "insulation above the ceiling",
            Part::Floor => "what lies under the boards",
        });
    }
    visits
}
