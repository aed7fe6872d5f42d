//! The heat that hidden tubes let through: with the pump that carries the system, and with others that might.
//!
//! Where a pump has the head that the whole takes at its flow, everything has its flow and its heat. Where it has not, the tree is solved
//! freely on the pump's curve, every valve at the flow coefficient that it is set to, and each emitter gives what its own law makes of the
//! flow that comes.

use super::arrangement::Arrangement;
use super::{Unmet, Warning};
use crate::catalogue::offer::Circulator;
use crate::design::emitters::{Emitters, is_on};
use crate::design::own_pump::strongest;
use crate::design::pipework::{AsKnown, Delivered, DrivenBy, Hidden, Pipe, Pipework, WithPump};
use crate::design::source::Source;
use crate::design::stage::Asked;
use crate::design::units::kpa;
use crate::list::Index;
use crate::methods::network_flow::{Drive, Pump};
use crate::methods::performance_map::{as_far_as_nothing, head_available};
use crate::methods::{MethodError, Off, carried_heat};
use crate::survey::{EmitterAt, End, curve};

/// Share of the heat wanted below which less is told (a ratio): the last digits of a flow are not.
const NOTHING_LESS: f64 = 1e-6;

/// What hidden tubes deliver, and what is to be said of it.
pub(super) struct HiddenHeat {
    /// Heat of each hidden tube; nothing where another is laid in its place, where nothing flows, or no bore explains its readings.
    pub each: Vec<Option<Delivered>>,
    pub unmet: Vec<Unmet>,
    pub warnings: Vec<Warning>,
}

/// A pump that may carry the system: which, whose, and its curve (l/h, kPa).
struct MayCarry {
    by: DrivenBy,
    circulator: Option<Index<Circulator>>,
    points: Vec<(f64, f64)>,
}

/// What everything is reckoned from.
#[derive(Clone, Copy)]
struct Given<'f> {
    asked: Asked<'f>,
    emitters: &'f Emitters,
    pipework: &'f Pipework,
}

/// The heat of every hidden tube.
pub(super) fn delivered(
    asked: Asked<'_>,
    emitters: &Emitters,
    source: &Source,
    (pipework, arrangement): (&Pipework, &Arrangement),
) -> Result<HiddenHeat, MethodError> {
    let given = Given { asked, emitters, pipework };
    let known = pipework.hidden.iter().map(|hidden| given.is_known(hidden)).collect::<Vec<_>>();
    let (mut unmet, mut warnings) = (Vec::new(), Vec::new());
    if !known.contains(&true) {
        return Ok(HiddenHeat { each: vec![None; known.len()], unmet, warnings });
    }
    let may_carry = given.may_carry(source, arrangement)?;
    let stands = given.stands(&may_carry);
    let with_each = may_carry.iter().map(|pump| given.heats_w(pump)).collect::<Result<Vec<_>, _>>()?;
    let mut each = Vec::with_capacity(known.len());
    for (number, hidden) in pipework.hidden.iter().enumerate() {
        if !known[number] {
            each.push(None);
            continue;
        }
        let pumps = may_carry.iter().zip(&with_each).map(|(pump, heats_w)| {
            let (least_w, likely_w) = heats_w[number];
            WithPump { by: pump.by, circulator: pump.circulator, least_w, likely_w }
        });
        let found = Delivered { wanted_w: given.wanted_w(hidden), pumps: pumps.collect(), stands };
        let (pipe, wanted_w) = (Pipe::Run(hidden.run), found.wanted_w);
        let enough_w = wanted_w * (1.0 - NOTHING_LESS);
        match found.standing() {
            Some(&WithPump { by, likely_w, .. }) if likely_w < enough_w => {
                unmet.push(Unmet::HiddenTube { pipe, need_w: wanted_w, reached_w: likely_w, pump: by });
            }
            Some(&WithPump { by, least_w, .. }) if least_w < enough_w => {
                warnings.push(Warning::HiddenMayLack { pipe, least_w, wanted_w, pump: by });
            }
            Some(_) | None => {}
        }
        each.push(Some(found));
    }
    Ok(HiddenHeat { each, unmet, warnings })
}

impl Given<'_> {
    /// Whether a hidden tube stays, carries something, and some bore explains its readings.
    fn is_known(self, hidden: &Hidden) -> bool {
        self.pipework.sections[hidden.run].tube.is_none() && !hidden.pairs.is_empty() && hidden.flow_kg_s > 0.0
    }

    /// The heat source's own pump, the second one, and the strongest on sale, as far as there are such.
    fn may_carry(self, source: &Source, arrangement: &Arrangement) -> Result<Vec<MayCarry>, MethodError> {
        let survey = self.asked.survey;
        let own = source.reckoned().map(|chosen| curve(&survey.offer.heat_sources[chosen].pump));
        let own = own.map(|points| MayCarry { by: DrivenBy::Own, circulator: None, points });
        let of = |by: DrivenBy, index: Index<Circulator>| {
            let points = curve(&survey.offer.circulators[index].pump);
            MayCarry { by, circulator: Some(index), points }
        };
        let second = arrangement.second_pump.map(|index| of(DrivenBy::Second, index));
        let strongest = strongest(survey, self.pipework.flow_l_h())?.map(|(index, _)| of(DrivenBy::Strongest, index));
        Ok([own, second, strongest].into_iter().flatten().collect())
    }

    /// Which of them carries the system.
    fn stands(self, may_carry: &[MayCarry]) -> Option<usize> {
        let is = |by: DrivenBy| may_carry.iter().position(|pump| pump.by == by);
        if self.pipework.joining.is_separated() {
            is(DrivenBy::Second).or_else(|| is(DrivenBy::Strongest))
        } else {
            is(DrivenBy::Own)
        }
    }

    /// Least and likely heat of every hidden tube with a pump (W).
    fn heats_w(self, pump: &MayCarry) -> Result<Vec<(f64, f64)>, MethodError> {
        let pipework = self.pipework;
        if head_available(&pump.points, pipework.flow_l_h(), &mut Off)? >= self.takes_kpa(pump.by) {
            let wanted = pipework.hidden.iter().map(|hidden| self.wanted_w(hidden));
            return Ok(wanted.map(|wanted_w| (wanted_w, wanted_w)).collect());
        }
        let [least, likely] = [AsKnown::Greatest, AsKnown::Likely].map(|as_known| {
            let flows = self.flows(pump, as_known)?;
            pipework.hidden.iter().map(|hidden| self.heat_w(hidden, &flows)).collect::<Result<Vec<_>, MethodError>>()
        });
        // more flows there than with the greatest drop, but for what a way beside takes with less
        let both = least?.into_iter().zip(likely?);
        Ok(both.map(|(least_w, likely_w)| (least_w.min(likely_w), likely_w)).collect())
    }

    /// Head that the system takes at its flow (kPa), with what stands before it in one circuit.
    fn takes_kpa(self, by: DrivenBy) -> f64 {
        let pipework = self.pipework;
        let before_kpa = kpa(pipework.primary.map_or(0.0, |primary| primary.drop_pa) + pipework.joining.own.plant_pa);
        match (by, pipework.joining.is_separated()) {
            (DrivenBy::Own, true) => pipework.head_kpa() + before_kpa,
            (DrivenBy::Second | DrivenBy::Strongest, false) => pipework.head_kpa() - before_kpa,
            (DrivenBy::Own, false) | (DrivenBy::Second | DrivenBy::Strongest, true) => pipework.head_kpa(),
        }
    }

    /// Flow of every emitter with a pump (kg/s).
    fn flows(self, pump: &MayCarry, as_known: AsKnown) -> Result<Vec<(EmitterAt, f64)>, MethodError> {
        let Self { asked, emitters, pipework } = self;
        let has_before = pump.by == DrivenBy::Own;
        let flows = |at: EmitterAt| emitters.emitter(at).set.flow_kg_s > 0.0;
        let tree = pipework.tree_as_known((asked.survey, emitters), (has_before, as_known), flows)?;
        let points = as_far_as_nothing(&pump.points);
        let mut found: Vec<(EmitterAt, f64)> = Vec::new();
        if points.iter().all(|(_, head_kpa)| *head_kpa <= 0.0) {
            return Ok(found);
        }
        let drive = Drive::Curve { points: &points, speed: 1.0 };
        let driven = Pump { drive, density_kg_m3: emitters.water.density_kg_m3 };
        let solved = tree.network.solve(&driven, asked.budget, &mut Off)?;
        for (at, carried) in tree.ends.iter().zip(&solved.ends) {
            match found.iter_mut().find(|(known, _)| known == at) {
                Some((_, flow_kg_s)) => *flow_kg_s += carried.mass_flow_kg_s,
                None => found.push((*at, carried.mass_flow_kg_s)),
            }
        }
        Ok(found)
    }

    /// Heat that is wanted of all that a hidden tube leads to (W).
    fn wanted_w(self, hidden: &Hidden) -> f64 {
        self.behind(hidden).into_iter().map(|at| self.at_load_w(at)).sum()
    }

    /// Heat of all that a hidden tube leads to, at flows of the emitters (W).
    fn heat_w(self, hidden: &Hidden, flows: &[(EmitterAt, f64)]) -> Result<f64, MethodError> {
        let flow_kg_s = |at: EmitterAt| flows.iter().find(|(known, _)| *known == at).map_or(0.0, |(_, flow)| *flow);
        let survey = self.asked.survey;
        self.behind(hidden)
            .into_iter()
            .map(|at| Ok(self.at_load_w(at) * self.emitters.share_at(survey, at, flow_kg_s(at))?))
            .sum()
    }

    /// Emitters that a hidden tube leads to.
    fn behind(self, hidden: &Hidden) -> Vec<EmitterAt> {
        let Self { asked, emitters, pipework } = self;
        let through = pipework.circuits.iter().filter(|circuit| circuit.sections.contains(&hidden.run));
        let each = through.flat_map(|circuit| -> Vec<EmitterAt> {
            match circuit.end {
                End::Radiator(at) => vec![at],
                End::Manifold(manifold) => {
                    let floors = emitters.floors().filter(|(at, ..)| is_on(asked.survey, *at, manifold));
                    floors.map(|(at, ..)| at).collect()
                }
            }
        });
        each.collect()
    }

    /// Heat that an emitter takes out of its water at its load (W).
    fn at_load_w(self, at: EmitterAt) -> f64 {
        let (load, heat_j_kgk) = (self.emitters.emitter(at).at_load, self.emitters.water.specific_heat_j_kgk);
        carried_heat::heat(load.flow_kg_s, heat_j_kgk, self.emitters.flow_c - load.return_c, &mut Off)
    }
}
