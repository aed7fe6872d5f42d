//! The heat source, by the day's balance: hot water takes it for some hours, and what is left of the day carries
//! the space loss of 24. Chosen before the pipes that its pump must serve.

mod answer;
mod findings;
mod part_load;
mod stage;

pub use answer::{CandidateRow, HeatSourceAnswer};
pub use findings::{Unmet, Warning};
pub use part_load::PartLoad;

use super::DesignError;
use super::emitters::Emitters;
use super::heat_loss::HeatLoss;
use super::lagging;
use crate::catalogue::offer::HeatSource;
use crate::list::Index;
use crate::methods::performance_map::PerformanceMap;
use crate::methods::{MethodError, Off, Workings, hot_water};
use crate::survey::{HotWater, Survey, grid};

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// Flow temperature of the heating (°C).
    pub flow_c: f64,
    /// Loss of the dwelling, of its heated floors downward, and of pipes outside the heated rooms (W).
    pub load_w: f64,
    /// What of it pipes lose outside the heated rooms (W).
    pub pipe_loss_w: f64,
    /// What pipes lose there on the way to the cylinder, while hot water is made (W).
    pub hot_water_pipe_loss_w: f64,
    /// People that hot water is made for.
    pub people: f64,
    /// Hot water of a day, as litres at 60 °C.
    pub demand_at_60_l: f64,
    /// Heat for hot water of a day (kWh).
    pub hot_water_kwh: f64,
    /// What was looked at.
    pub candidates: Vec<Candidate>,
    /// Index into the offered heat sources of the one that was chosen: enough for house and hot water.
    pub chosen: Option<Index<HeatSource>>,
    /// The strongest, where none is enough: the design goes on with it, and nothing of it is bought.
    pub strongest: Option<Index<HeatSource>>,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

/// A heat source that was looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// Index into the offered heat sources.
    pub offer: Index<HeatSource>,
    /// Output at the design outside temperature and the heating flow temperature (W).
    pub capacity_w: f64,
    /// Coefficient of performance there.
    pub cop: f64,
    /// Flow temperature that its data are read at: the lowest that they reach there, where the flow lies below (°C).
    pub read_at_c: f64,
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
    let flow_c = emitters.flow_c;
    let pipes = pipes_w(survey, flow_c, &mut w).map_err(DesignError::at("/pipework"))?;
    let load_w = hot_water::space_load(dwelling_w, downward_w, pipes.heating_w, &mut w.within("load_w"));
    let people = hot_water::people(f64::from(occupants), f64::from(bedrooms), &mut w.within("people"));
    let demand_at_60_l = hot_water::daily_demand(people, litres_per_person, &mut w.within("demand_at_60_l"));
    let hot_water_kwh = hot_water::daily_energy(demand_at_60_l, loss_factor, &mut w.within("hot_water_kwh"));
    let duty = Duty { outside_c: loss.outside_design_c, flow_c, load_w, pipes, hot_water_kwh };
    let (mut candidates, mut warnings) = (Vec::new(), Vec::new());
    for &offer in &survey.plant.heat_sources {
        match candidate(survey, offer, duty, &mut Off) {
            Ok(candidate) => candidates.push(candidate),
            Err(MethodError::OutOfRange { quantity, value, min: from_c, max: to_c, .. }) => {
                let outside_c = duty.outside_c;
                warnings.push(if quantity == "flow_c" {
                    Warning::OutsideItsData { heat_source: offer, outside_c, flow_c: value, from_c, to_c }
                } else {
                    Warning::NotSoCold { heat_source: offer, outside_c, from_c, to_c }
                });
            }
            Err(
                error @ (MethodError::Impossible { .. }
                | MethodError::NotConverged { .. }
                | MethodError::TooMuchWork { .. }
                | MethodError::OutOfTime),
            ) => {
                return Err(DesignError::at("/plant/heat_source")(error));
            }
        }
    }
    let enough = smallest_enough(&candidates);
    let strongest = if enough.is_some() { None } else { largest(&candidates) };
    let reckoned = enough.or(strongest);
    warnings.extend(reckoned.iter().flat_map(|reckoned| doubts(survey, reckoned, flow_c)));
    for (row, one) in candidates.iter().enumerate() {
        // once more, for their workings; what is reckoned with also for what it rests on
        if w.records() || reckoned.is_some_and(|reckoned| reckoned.offer == one.offer) {
            candidate(survey, one.offer, duty, &mut w.row("candidates", row)).map_err(DesignError::at("/plant"))?;
        }
    }
    Ok(Source {
        flow_c,
        load_w,
        pipe_loss_w: pipes.heating_w,
        hot_water_pipe_loss_w: pipes.hot_water_w,
        people,
        demand_at_60_l,
        hot_water_kwh,
        chosen: enough.map(|enough| enough.offer),
        strongest: strongest.map(|strongest| strongest.offer),
        unmet: if enough.is_some() { Vec::new() } else { vec![short(strongest, duty)] },
        candidates,
        warnings,
    })
}

/// What a heat source is chosen for.
#[derive(Debug, Clone, Copy)]
struct Duty {
    /// Outside temperature (°C).
    outside_c: f64,
    /// Flow temperature of the heating (°C).
    flow_c: f64,
    /// Loss that it must carry (W).
    load_w: f64,
    /// What pipes lose on the way.
    pipes: Pipes,
    /// Heat for hot water of a day (kWh).
    hot_water_kwh: f64,
}

/// What pipes lose outside the heated rooms (W).
#[derive(Debug, Clone, Copy)]
struct Pipes {
    /// While the house is heated.
    heating_w: f64,
    /// While hot water is made: by the primary and the circuit to the cylinder.
    hot_water_w: f64,
}

/// What pipes lose outside the heated rooms, before they are sized.
fn pipes_w<W: Workings>(survey: &Survey, flow_c: f64, w: &mut W) -> Result<Pipes, MethodError> {
    let (pipes, drop_k) = (&survey.pipes, survey.heating.drop_k);
    let primary = || pipes.primary.iter().map(|primary| &primary.run);
    let making = pipes.hot_water.as_ref();
    let making_c = survey.plant.hot_water.flow_c;
    let making_drop_k = making.and_then(|circuit| circuit.drop_k).unwrap_or(drop_k);
    let to_cylinder = primary().chain(making.map(|circuit| &circuit.run));
    let heating = primary().chain(pipes.runs.iter());
    let legs_c = [flow_c, flow_c - drop_k];
    let heating_w = lagging::expected_w(survey, heating, legs_c, &mut w.within("pipe_loss_w"))?;
    let legs_c = [making_c, making_c - making_drop_k];
    let hot_water_w = lagging::expected_w(survey, to_cylinder, legs_c, &mut w.within("hot_water_pipe_loss_w"))?;
    Ok(Pipes { heating_w, hot_water_w })
}

fn by_capacity(a: &Candidate, b: &Candidate) -> std::cmp::Ordering {
    a.capacity_w.total_cmp(&b.capacity_w)
}

/// The smallest output that reaches its own need.
fn smallest_enough(candidates: &[Candidate]) -> Option<Candidate> {
    candidates.iter().copied().filter(Candidate::is_enough).min_by(by_capacity)
}

fn largest(candidates: &[Candidate]) -> Option<Candidate> {
    candidates.iter().copied().max_by(by_capacity)
}

/// The need that none carries.
fn short(largest: Option<Candidate>, duty: Duty) -> Unmet {
    let finite = largest.map(|largest| largest.needed_w).filter(|needed_w| needed_w.is_finite());
    let need_w = finite.unwrap_or_else(|| hot_water::least_output(duty.load_w, duty.hot_water_kwh, &mut Off));
    Unmet::NoHeatSource { need_w, reached_w: largest.map_or(0.0, |largest| largest.capacity_w) }
}

/// What is doubtful of a heat source's data at this flow temperature.
fn doubts(survey: &Survey, reckoned: &Candidate, flow_c: f64) -> impl Iterator<Item = Warning> {
    let Candidate { offer, read_at_c: lowest_c, .. } = *reckoned;
    let below = (lowest_c > flow_c).then_some(Warning::BelowItsData { heat_source: offer, lowest_c });
    let defrost = (!survey.offer.heat_sources[offer].defrost_included).then_some(Warning::DefrostNotIncluded {});
    below.into_iter().chain(defrost)
}

impl Source {
    /// The one that pipes, pumps and water are reckoned with: the chosen one, or the strongest where none is enough.
    #[must_use]
    pub fn reckoned(&self) -> Option<Index<HeatSource>> {
        self.chosen.or(self.strongest)
    }

    /// The figures of that one.
    #[must_use]
    pub fn candidate(&self) -> Option<&Candidate> {
        self.candidates.iter().find(|candidate| Some(candidate.offer) == self.reckoned())
    }
}

fn candidate<W: Workings>(
    survey: &Survey,
    offer: Index<HeatSource>,
    duty: Duty,
    w: &mut W,
) -> Result<Candidate, MethodError> {
    let map = PerformanceMap::new(grid(&survey.offer.heat_sources[offer].points))?;
    // at a lower flow temperature a heat pump gives no less: its lowest one is on the safe side
    let read_at_c = read_at(&map, (duty.outside_c, duty.flow_c));
    let capacity_w = map.capacity(duty.outside_c, read_at_c, &mut w.within("capacity_w"))?;
    let cop = map.cop(duty.outside_c, read_at_c, &mut w.within("cop"))?;
    let hot_water_flow_c = survey.plant.hot_water.flow_c;
    let hot_water_capacity_w = map.capacity(duty.outside_c, hot_water_flow_c, &mut w.within("hot_water_capacity_w"))?;
    // where the pipes lose all that it gives, hot water takes the whole day
    let hot_water_h = if hot_water_capacity_w > duty.pipes.hot_water_w {
        let mut w = w.within("hot_water_h");
        let for_water_w = hot_water::beyond_pipes(hot_water_capacity_w, duty.pipes.hot_water_w, &mut w);
        hot_water::hours(duty.hot_water_kwh, for_water_w, &mut w)?
    } else {
        24.0
    };
    let needed_w = if hot_water_h < 24.0 {
        hot_water::needed_output(duty.load_w, duty.pipes.heating_w, hot_water_h, &mut w.within("needed_w"))?
    } else {
        f64::INFINITY
    };
    Ok(Candidate { offer, capacity_w, cop, read_at_c, hot_water_capacity_w, hot_water_h, needed_w })
}

/// Flow temperature that a map is read at for one at an outside temperature: no lower than it reaches there (°C).
fn read_at(map: &PerformanceMap, (outside_c, flow_c): (f64, f64)) -> f64 {
    map.coolest_flow_c(outside_c).map_or(flow_c, |coolest_c| flow_c.max(coolest_c))
}
