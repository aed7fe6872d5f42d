//! Tubes that stay and that nobody can see: what readings say of them.

use super::options::{self, Candidate, Duty};
use crate::catalogue::offer::{Circulator, Tube};
use crate::list::Index;
use crate::methods::friction::{self, Bore};
use crate::methods::hidden_tube::{self, Carried, Lengths, Pair, Tried};
use crate::methods::network_flow::{self, Part};
use crate::methods::water::Liquid;
use crate::methods::{Budget, MethodError, Off, fittings};
use crate::notes::{Field, Value, Values};
use crate::survey::{Loss, Run, Survey};
use crate::terms;

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
    /// How badly each fits the readings and the route, in standard deviations squared.
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
        let tried = known.iter().map(|&tube| tried(survey, run, tube)).collect::<Result<Vec<_>, _>>()?;
        let (both_m, defaults) = (2.0 * run.length_m, &survey.defaults);
        // no less than the route but for the tape, and more where it is longer than it looks or has bends that nobody told
        let (least, most) = (defaults.hidden_tube_shortest.value, defaults.hidden_tube_longest.value);
        let spread_of_limits = defaults.hidden_limit_spread.value;
        let lengths = Lengths { min_m: least * both_m, max_m: most * both_m, spread: spread_of_limits };
        let route_spread = defaults.hidden_route_spread.value;
        let read = |tried: &[Tried]| hidden_tube::pairs(readings, spread, tried, lengths, budget);
        let mut found = read(&tried)?;
        // nobody tells whether the tee that the run leaves by lay between the gauges: either explains readings
        let tee_zeta = if run.from.is_some() { 2.0 * survey.pipes.tee_zeta } else { 0.0 };
        if tee_zeta > 0.0 {
            let beside = |one: &Tried| Tried { zeta: (one.zeta - tee_zeta).max(0.0), ..*one };
            for pair in read(&tried.iter().map(beside).collect::<Vec<_>>())? {
                let pair = Pair { zeta: tried[pair.bore].zeta, ..pair };
                match found.iter_mut().find(|known| known.bore == pair.bore) {
                    Some(known) => *known = hidden_tube::either(*known, pair, (both_m, route_spread)),
                    None => found.push(pair),
                }
            }
            found.sort_by_key(|pair| pair.bore);
        }
        let mut pairs = Vec::with_capacity(found.len());
        for pair in found {
            pairs.push((pair, hidden_tube::carry(pair, tried[pair.bore].bore, flow_kg_s, liquid, &mut Off)?));
        }
        let tubes = pairs.iter().map(|(pair, _)| known[pair.bore]).collect();
        let strange = pairs.iter().map(|(pair, _)| hidden_tube::strangeness(*pair, both_m, route_spread)).collect();
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
    #[must_use]
    pub fn stands_for(&self) -> Option<(Index<Tube>, f64)> {
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

    /// The tube as it likely lies, or as the design bears it: that which takes the most at the quoted flow, as long as it may be.
    pub(super) fn part(&self, survey: &Survey, (as_known, liquid): (AsKnown, Liquid)) -> Option<Part> {
        let which = match as_known {
            AsKnown::Likely => self.best()?,
            AsKnown::Greatest => {
                let drops = self.pairs.iter().map(|(_, carried)| carried.high_pa).enumerate();
                drops.max_by(|(_, a), (_, b)| a.total_cmp(b))?.0
            }
        };
        let (pair, carried) = self.pairs[which];
        let length_m = match as_known {
            AsKnown::Likely => pair.length_m,
            AsKnown::Greatest => carried.longest_m,
        };
        let bore = options::bore(survey, self.tubes[which]);
        Some(Part::Tube(network_flow::Tube { bore, length_m, zeta: pair.zeta, liquid }))
    }
}

/// What a hidden tube is taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AsKnown {
    /// What its readings and its route make most likely.
    Likely,
    /// What takes the most that they allow.
    Greatest,
}

/// Heat that a hidden tube lets through.
#[derive(Debug, Clone, PartialEq)]
pub struct Delivered {
    /// Heat that is asked of it (W).
    pub wanted_w: f64,
    /// What it gives with each pump that may carry it.
    pub pumps: Vec<WithPump>,
    /// Which of them carries it: the heat source's own in one circuit, the second one behind a separation, or the strongest where none is
    /// enough; nothing where there is none.
    pub stands: Option<usize>,
}

impl Delivered {
    /// What it gives with the pump that carries it.
    #[must_use]
    pub fn standing(&self) -> Option<&WithPump> {
        self.stands.map(|stands| &self.pumps[stands])
    }
}

/// Heat that a hidden tube lets through with a pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WithPump {
    /// Which.
    pub by: DrivenBy,
    /// Index into the circulators on offer, for one that is not the heat source's own.
    pub circulator: Option<Index<Circulator>>,
    /// With the greatest drop that the readings allow (W).
    pub least_w: f64,
    /// With the likely one (W).
    pub likely_w: f64,
}

/// A pump that may carry the system.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrivenBy {
    /// The heat source's own, in one circuit.
    Own,
    /// The second one, behind a separation.
    Second,
    /// The strongest of the price book, behind a separation.
    Strongest,
}

terms! {
    codes of DrivenBy {
        Own: "own";
        Second: "second";
        Strongest: "strongest";
    }
}

impl DrivenBy {
    /// Its name in a sentence.
    pub(in crate::design) fn name(self) -> &'static str {
        match self {
            Self::Own => "the heat source's own pump",
            Self::Second => "the second pump",
            Self::Strongest => "the strongest circulator of the price book",
        }
    }
}

impl Field<Survey> for DrivenBy {
    type Said<'f> = Self;

    fn terms() -> Vec<&'static str> {
        Self::CODES.to_vec()
    }

    fn said<'f>(&'f self, _: &'f Survey) -> Self {
        *self
    }

    fn put(&self, name: &'static str, _: &Survey, values: &mut Values) {
        values.put(name, Value::Word(self.code().into()));
    }
}

/// A tube as a hidden one may be, with the bends and fittings of its run in both legs.
fn tried(survey: &Survey, run: &Run, tube: Index<Tube>) -> Result<Tried, MethodError> {
    let bore = options::bore(survey, tube);
    let mut zeta = 2.0 * options::zeta(survey, run, Some(tube), &mut Off);
    for (loss, count) in &run.losses {
        if let Loss::Kv(kv_m3_h) = loss {
            zeta += count * fittings::zeta_of_kv(*kv_m3_h, bore.inside_diameter_mm, &mut Off)?;
        }
    }
    Ok(Tried { bore, zeta })
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
