//! Tubes that stay and that nobody can see: what readings say of them.

use super::options::{self, Candidate, Duty};
use crate::list::Index;
use crate::methods::friction::{self, Bore};
use crate::methods::hidden_tube::{self, Carried, Lengths, Pair};
use crate::methods::water::Liquid;
use crate::methods::{Budget, MethodError, Off};
use crate::survey::offer::Tube;
use crate::survey::{Run, Survey};

/// What readings say of a tube that nobody can see.
#[derive(Debug, Clone, PartialEq)]
pub struct Hidden {
    /// Index of the run.
    pub run: Index<Run>,
    /// The quoted flow (kg/s).
    pub flow_kg_s: f64,
    /// Bores with the lengths that explain the readings, and what each takes at the quoted flow.
    pub pairs: Vec<(Pair, Carried)>,
    /// The tube on offer that each bore stands for.
    pub tubes: Vec<Index<Tube>>,
    /// How badly each fits the readings and the route with its bends, in standard deviations squared.
    strange: Vec<f64>,
}

/// Every different bore on offer, each by one of its tubes.
fn bores(survey: &Survey) -> Vec<Index<Tube>> {
    let mut tubes: Vec<Index<Tube>> = survey.offer.tubes.indices().collect();
    tubes.dedup_by(|a, b| options::bore(survey, *a) == options::bore(survey, *b));
    tubes
}

impl Hidden {
    /// What the readings of a run say, carried to a flow; nothing for a run without readings.
    pub(super) fn from_readings(
        (survey, budget): (&Survey, &Budget),
        index: Index<Run>,
        flow_kg_s: f64,
        liquid: &Liquid,
    ) -> Result<Option<Self>, MethodError> {
        let run = &survey.pipes.runs[index];
        let Some((readings, spread)) = run.readings() else { return Ok(None) };
        let known = bores(survey);
        let inside: Vec<Bore> = known.iter().map(|&tube| options::bore(survey, tube)).collect();
        let (both_m, route_spread) = (2.0 * run.length_m, survey.defaults.hidden_route_spread.value);
        // no less than the route but for the tape, and more where it is longer than it looks or has many bends
        let defaults = &survey.defaults;
        let (least, most) = (defaults.hidden_tube_shortest.value, defaults.hidden_tube_longest.value);
        let lengths = Lengths { min_m: least * both_m, max_m: most * both_m };
        let found = hidden_tube::pairs(readings, spread, &inside, lengths, budget)?;
        let mut pairs = Vec::with_capacity(found.len());
        for pair in found {
            pairs.push((pair, hidden_tube::carry(pair, inside[pair.bore], flow_kg_s, liquid, &mut Off)?));
        }
        let tubes: Vec<Index<Tube>> = pairs.iter().map(|(pair, _)| known[pair.bore]).collect();
        let mut strange = Vec::with_capacity(pairs.len());
        for ((pair, _), &tube) in pairs.iter().zip(&tubes) {
            // the length that takes as much as the route with its bends, at the first of the readings
            let bore = options::bore(survey, tube);
            let read = friction::in_tube(bore, &readings[0].liquid, readings[0].flow_kg_s, &mut Off)?;
            let whole_pa = options::drop_of(survey, run, tube, &read, &readings[0].liquid, &mut Off)?;
            strange.push(hidden_tube::strangeness(*pair, read.gradient_pa_m, whole_pa, route_spread));
        }
        Ok(Some(Self { run: index, flow_kg_s, pairs, tubes, strange }))
    }

    /// Least, likely and greatest drop at the quoted flow (Pa): over all pairs, the likely one by the pair that fits
    /// readings, route and bends best.
    #[must_use]
    pub fn drop_pa(&self) -> Option<[f64; 3]> {
        let best = self.best()?;
        let low_pa = self.pairs.iter().map(|(_, carried)| carried.low_pa).fold(f64::INFINITY, f64::min);
        let high_pa = self.pairs.iter().map(|(_, carried)| carried.high_pa).fold(0.0, f64::max);
        Some([low_pa, self.pairs[best].1.drop_pa, high_pa])
    }

    /// The pair that fits readings, route and bends best; of several alike the narrowest.
    fn best(&self) -> Option<usize> {
        (0..self.pairs.len()).min_by(|&a, &b| self.strange[a].total_cmp(&self.strange[b]))
    }

    /// The tube that explains the readings best, and the greatest drop that they allow (Pa).
    pub(super) fn stands_for(&self) -> Option<(Index<Tube>, f64)> {
        Some((self.tubes[self.best()?], self.drop_pa()?[2]))
    }

    /// The tube as it lies, for the choice of all tubes: the design bears the greatest drop that the readings allow, and its
    /// limits are those of the bore that fits best.
    pub(super) fn candidate(
        &self,
        survey: &Survey,
        run: &Run,
        duty: Duty<'_>,
    ) -> Result<Option<Candidate>, MethodError> {
        let Some((tube, drop_pa)) = self.stands_for() else { return Ok(None) };
        let best = options::candidate(survey, run, (tube, true), duty)?;
        Ok(Some(Candidate { tube: None, drop_pa, ..best }))
    }

    /// Greatest drop that the readings allow at another flow and in another fluid (Pa).
    pub(in crate::design) fn greatest_pa(
        &self,
        survey: &Survey,
        flow_kg_s: f64,
        liquid: &Liquid,
    ) -> Result<f64, MethodError> {
        let mut most_pa = 0.0_f64;
        for ((pair, _), &tube) in self.pairs.iter().zip(&self.tubes) {
            let carried = hidden_tube::carry(*pair, options::bore(survey, tube), flow_kg_s, liquid, &mut Off)?;
            most_pa = most_pa.max(carried.high_pa);
        }
        Ok(most_pa)
    }

    /// The flow that comes through if so much head is left for it (Pa), no more than is quoted: the least, and the likely one
    /// (kg/s). Nothing where nothing flows, or no bore explains the readings.
    pub(in crate::design) fn flow_through(
        &self,
        (survey, budget): (&Survey, &Budget),
        left_pa: f64,
        liquid: &Liquid,
    ) -> Result<Option<Through>, MethodError> {
        let flow_kg_s = self.flow_kg_s;
        let Some(best) = self.best().filter(|_| flow_kg_s > 0.0) else { return Ok(None) };
        let (mut least_kg_s, mut likely_kg_s) = (f64::INFINITY, flow_kg_s);
        for (number, (pair, carried)) in self.pairs.iter().enumerate() {
            let bore = options::bore(survey, self.tubes[number]);
            let flow_at = |length_m: f64| hidden_tube::flow_at(left_pa, length_m, bore, flow_kg_s, liquid, budget);
            // as long as the pair may be with its spread, and as rough as the flow may make it between the two laws
            let longest_m = hidden_tube::longest(pair.length_m, carried.drop_pa, carried.high_pa, &mut Off);
            least_kg_s = least_kg_s.min(flow_at(longest_m)?);
            if number == best {
                likely_kg_s = flow_at(pair.length_m)?;
            }
        }
        Ok(Some(Through { least_kg_s, likely_kg_s }))
    }
}

/// What comes through a hidden tube (kg/s).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::design) struct Through {
    pub least_kg_s: f64,
    pub likely_kg_s: f64,
}

/// Whether all readings were taken at about one flow.
pub(super) fn is_one_flow(survey: &Survey, run: &Run) -> bool {
    let Some((readings, _)) = run.readings() else { return false };
    let flows = readings.iter().map(|reading| reading.flow_kg_s);
    let (low, high) = flows.fold((f64::INFINITY, 0.0_f64), |(low, high), flow| (low.min(flow), high.max(flow)));
    high < survey.defaults.readings_apart.value * low
}

/// Velocity in a bore at a flow (m/s), for the words of an answer.
pub(super) fn velocity_m_s(bore: Bore, flow_kg_s: f64, liquid: &Liquid) -> f64 {
    friction::velocity_at(bore, liquid, flow_kg_s, &mut Off)
}
