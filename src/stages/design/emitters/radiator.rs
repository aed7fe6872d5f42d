//! One radiator: the one on offer that fits, carries its share and is cheapest or smallest, or the one that hangs there
//! already.

use super::Warning;
use super::choice::{Asked, Candidate};
use super::findings::Findings;
use super::on_offer::{Powers, cheapest, fitting, is_cheapest};
use super::{Common, Emitter, Emitters, Flowing, Kind};
use crate::catalogue::offer;
use crate::catalogue::products::Product;
use crate::catalogue::provenance::Recalled;
use crate::job::emitters::Keep;
use crate::list::Index;
use crate::methods::en_442::{self, Mean};
use crate::methods::{MethodError, Off, Workings, last_steps, radiator_flow};
use crate::survey::{EmitterAt, Existing, Hanging, Room, Survey};

/// A radiator that was chosen or kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Radiator {
    /// Index in the book; nothing for one known by its rating alone.
    pub product: Option<Index<Product>>,
    /// New, kept, or put in the place of one that was too small.
    pub standing: Standing,
    /// Rated output (W).
    pub rated_w: f64,
    /// What connection, finish and enclosure leave of it (0–1).
    pub factor: f64,
    /// Exponent.
    pub exponent: f64,
    /// Water content (l).
    pub water_l: f64,
    /// Excess temperature at the nominal drop (K).
    pub nominal_excess_k: f64,
    /// Excess temperature as it is set (K).
    pub excess_k: f64,
}

/// Where a radiator comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// A new one where none hung.
    New,
    /// The one that hung there.
    Kept,
    /// A new one where a smaller one hung.
    Replaced,
    /// The strongest that fits, which is not enough: the design goes on with it, and nobody buys it.
    TooSmall,
}

impl Standing {
    /// The word for it, where there is an emitter.
    #[must_use]
    pub fn word(self) -> Option<&'static str> {
        match self {
            Self::New => Some("new"),
            Self::Kept => Some("kept"),
            Self::Replaced => Some("replaced"),
            Self::TooSmall => None,
        }
    }
}

/// Whether radiators that may be replaced are counted as they hang, or as what may hang in their place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Old {
    Stays,
    MayGo,
}

/// Chooses and runs a radiator.
pub(super) fn design<W: Workings>(
    common: &Common<'_>,
    room: Index<Room>,
    load_w: f64,
    hanging: &Hanging,
    existing: Option<Existing>,
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let factor = factor(hanging, &mut w.within("factor"));
    let excess_k = common.nominal_excess_k(room, &mut w.unshown());
    let capacity_w = |radiator: &Radiator| capacity(common, radiator);
    // one that hangs there hangs there in water of any temperature
    let hung = existing.and_then(|existing| hung(&existing, factor, excess_k.unwrap_or(0.0)));
    let stays = existing.is_some_and(|existing| existing.keep == Keep::Always);
    let kept = hung.filter(|hung| stays || capacity_w(hung) >= load_w);
    let chosen = kept.or_else(|| {
        let standing = if existing.is_some() { Standing::Replaced } else { Standing::New };
        // one with nothing to carry asks for no warm water
        let new_k = excess_k.or((load_w <= 0.0).then_some(0.0));
        let new = new_k.and_then(|excess_k| choose(common, load_w, hanging, factor, excess_k, standing));
        // where none is enough, what hangs there may be the strongest, and nobody takes it down for less
        let stronger = hung.filter(|hung| new.is_none_or(|new| capacity_w(&new) < capacity_w(hung).min(load_w)));
        stronger.or(new)
    });
    match chosen {
        Some(radiator) => run(common, room, load_w, radiator, w),
        None => Ok(Emitter::none(load_w, common.flow_c, Kind::Radiator(None))),
    }
}

/// The radiator that hangs there, unless it goes in any case.
fn hung(existing: &Existing, factor: f64, excess_k: f64) -> Option<Radiator> {
    let Existing { product, output_w, exponent, water_l, keep } = *existing;
    (keep != Keep::Never).then_some(Radiator {
        product,
        standing: Standing::Kept,
        rated_w: output_w,
        factor,
        exponent,
        water_l,
        nominal_excess_k: excess_k,
        excess_k,
    })
}

/// What a radiator could give at the nominal drop (W).
fn capacity(common: &Common<'_>, radiator: &Radiator) -> f64 {
    let Radiator { rated_w, factor, exponent, nominal_excess_k, .. } = *radiator;
    let installed_w = en_442::installed(rated_w, factor, &mut Off);
    en_442::output(common.mean(), installed_w, exponent, nominal_excess_k, &mut Off)
}

/// The most that a radiator could give there (W).
pub(super) fn most(
    common: &Common<'_>,
    room: Index<Room>,
    hanging: &Hanging,
    existing: Option<Existing>,
    old: Old,
) -> f64 {
    let factor = factor(hanging, &mut Off);
    let Some(excess_k) = common.nominal_excess_k(room, &mut Off) else { return 0.0 };
    let hung = existing.and_then(|existing| hung(&existing, factor, excess_k));
    let hung_w = hung.map_or(0.0, |hung| capacity(common, &hung));
    let new_w = || {
        let largest = choose(common, f64::INFINITY, hanging, factor, excess_k, Standing::New);
        largest.map_or(0.0, |largest| capacity(common, &largest))
    };
    match (existing.map(|existing| existing.keep), old) {
        (Some(Keep::Always), _) | (Some(Keep::IfEnough), Old::Stays) => hung_w,
        (Some(Keep::IfEnough), Old::MayGo) => hung_w.max(new_w()),
        (Some(Keep::Never) | None, _) => new_w(),
    }
}

fn factor(hanging: &Hanging, w: &mut impl Workings) -> f64 {
    hanging.factors.map_or(1.0, |factors| en_442::factor(factors.connection, factors.finish, factors.enclosure, w))
}

/// The one on offer that fits and is taken for a load (W).
fn choose(
    common: &Common<'_>,
    load_w: f64,
    hanging: &Hanging,
    factor: f64,
    excess_k: f64,
    standing: Standing,
) -> Option<Radiator> {
    let mut powers = Powers::at(common.mean(), excess_k);
    let mut capacity_w = |radiator: &offer::Radiator| {
        en_442::installed(radiator.output_w, factor, &mut Off) * powers.of(radiator.exponent)
    };
    let survey = common.survey;
    let best = if is_cheapest(survey, hanging) {
        cheapest(survey, hanging, load_w, capacity_w)
    } else {
        let candidates = fitting(survey, hanging).map(|radiator| {
            let capacity_w = capacity_w(radiator);
            Candidate { what: radiator, capacity_w, size_w: radiator.output_w, cost: radiator.cost }
        });
        let asked = Asked { load_w, oversize_max: hanging.oversize_max, by: survey.heating.emitter_choice };
        asked.best(candidates)
    };
    best.map(|radiator| Radiator {
        product: Some(radiator.product),
        standing,
        rated_w: radiator.output_w,
        factor,
        exponent: radiator.exponent,
        water_l: radiator.water_l,
        nominal_excess_k: excess_k,
        excess_k,
    })
}

/// The smallest or cheapest new radiator that carries a load, with what it could give at the nominal drop (W); nothing where none
/// on offer does, or the water comes back too cool.
pub(super) fn smallest(
    common: &Common<'_>,
    room: Index<Room>,
    load_w: f64,
    hanging: &Hanging,
) -> Option<(Index<Product>, f64)> {
    let excess_k = common.nominal_excess_k(room, &mut Off)?;
    let found = choose(common, load_w, hanging, factor(hanging, &mut Off), excess_k, Standing::New)?;
    let capacity_w = capacity(common, &found);
    Some((found.product?, capacity_w)).filter(|_| capacity_w >= load_w)
}

/// Runs a radiator: at its load, or at its capacity where that is less, and as it is set.
fn run<W: Workings>(
    common: &Common<'_>,
    room: Index<Room>,
    load_w: f64,
    mut radiator: Radiator,
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let Radiator { rated_w, factor, exponent, nominal_excess_k, .. } = radiator;
    let mean = common.mean();
    // told where it is chosen, not where none is
    common.nominal_excess_k(room, &mut w.within("capacity_w"));
    // one as it was rated needs no line for that in the workings
    let installed_w =
        if factor < 1.0 { en_442::installed(rated_w, factor, &mut w.within("capacity_w")) } else { rated_w };
    let capacity_w = en_442::output(mean, installed_w, exponent, nominal_excess_k, &mut w.within("capacity_w"));
    let is_short = capacity_w < load_w;
    if is_short && radiator.standing != Standing::Kept {
        radiator.standing = Standing::TooSmall;
    }
    // what stays and is too small gets more water, as far as that helps
    let most_w = if is_short && radiator.standing == Standing::Kept {
        capacity_w.max(common.most_of_kept(room, installed_w, exponent))
    } else {
        capacity_w
    };
    let hung = radiator_flow::Radiator { mean, installed_w, exponent };
    let carried_w = {
        let mut w = w.within("at_load");
        last_steps::no_more(load_w, most_w, &mut w.within("output_w"))
    };
    let at_load = common.carrying(room, hung, carried_w, &mut w.within("at_load"))?;
    let flow_kg_s = if carried_w > 0.0 {
        common.radiator_flow(at_load.flow_kg_s, carried_w, &mut w.within("flow_l_h"))
    } else {
        0.0
    };
    let mut set = at_load;
    if carried_w > 0.0 && flow_kg_s > at_load.flow_kg_s {
        let given = hung.at_flow(common.water_of(flow_kg_s), common.survey.rooms[room].inside_c, w)?;
        set = Flowing { output_w: given.output_w, return_c: given.return_c, flow_kg_s };
        radiator.excess_k = given.excess_k;
    } else if carried_w > 0.0 {
        radiator.excess_k = en_442::excess_for(mean, carried_w, installed_w, exponent, &mut w.within("excess_k"));
        if w.records() {
            // what it is set to is what it does at its load, told once more where that stands
            set = common.carrying(room, hung, carried_w, w)?;
        }
        last_steps::no_more(load_w, most_w, &mut w.within("output_w"));
    }
    Ok(Emitter { load_w, capacity_w, set, at_load, kind: Kind::Radiator(Some(radiator)) })
}

impl Common<'_> {
    /// The water of a flow (kg/s).
    fn water_of(&self, mass_flow_kg_s: f64) -> radiator_flow::Water {
        let specific_heat_j_kgk = self.water.specific_heat_j_kgk;
        radiator_flow::Water { flow_c: self.flow_c, specific_heat_j_kgk, mass_flow_kg_s }
    }

    /// The most that a radiator which stays is given by more water (W).
    fn most_of_kept(&self, room: Index<Room>, installed_w: f64, exponent: f64) -> f64 {
        let drop_k = self.survey.defaults.kept_radiator_drop_k.value;
        let room_c = self.survey.rooms[room].inside_c;
        let excess_k = en_442::excess(self.mean(), self.flow_c, self.flow_c - drop_k, room_c, &mut Off);
        excess_k.map_or(0.0, |excess_k| en_442::output(self.mean(), installed_w, exponent, excess_k, &mut Off))
    }

    /// A radiator that gives so much (W).
    fn carrying<W: Workings>(
        &self,
        room: Index<Room>,
        hung: radiator_flow::Radiator,
        output_w: f64,
        w: &mut W,
    ) -> Result<Flowing, MethodError> {
        let room_c = self.survey.rooms[room].inside_c;
        if output_w <= 0.0 {
            // nothing to carry: the water stands and cools to the room
            return Ok(Flowing::standing(room_c));
        }
        let radiator_flow::Radiator { mean, installed_w, exponent } = hung;
        let mut to_return = w.within("return_temperature_c");
        let excess_k = en_442::excess_for(mean, output_w, installed_w, exponent, &mut to_return.unshown());
        let found = en_442::return_temperature(mean, self.flow_c, room_c, excess_k, &mut to_return.unshown());
        let return_c = match found {
            Ok(found) => {
                if to_return.records() {
                    // told once it is known that the mean holds
                    en_442::excess_for(mean, output_w, installed_w, exponent, &mut to_return);
                    en_442::return_temperature(mean, self.flow_c, room_c, excess_k, &mut to_return)?;
                }
                found.return_c
            }
            // too large for the arithmetic mean to hold: the water cools to the room, and the answer warns of it
            Err(MethodError::Impossible { .. }) if mean == Mean::Arithmetic => room_c,
            Err(error) => return Err(error),
        };
        drop(to_return);
        let (heat, drop_k) = (self.water.specific_heat_j_kgk, self.flow_c - return_c);
        let flow_kg_s = en_442::mass_flow(output_w, heat, drop_k, &mut w.within("flow_l_h"));
        Ok(Flowing { output_w, return_c, flow_kg_s })
    }
}

/// What radiators are told of.
impl Emitters {
    /// Radiators that carry something: room, emitter, radiator and how it runs.
    fn running(&self) -> impl Iterator<Item = (EmitterAt, &Radiator, &Emitter)> {
        let all = self.radiators().map(|(at, radiator)| (at, radiator, self.emitter(at)));
        all.filter(|(.., emitter)| emitter.set.output_w > 0.0)
    }

    /// One warning when radiators work below the excess temperatures of their tests: the lowest, as they are set.
    pub(super) fn warn_of_low_excess(&self, findings: &mut Findings) {
        let excesses = self.running().map(|(at, radiator, _)| (at.room, radiator.excess_k));
        let lowest = excesses.min_by(|(_, a), (_, b)| a.total_cmp(b));
        if let Some((room, excess_k)) = lowest.filter(|(_, excess_k)| *excess_k < en_442::TESTED_FROM_K) {
            findings.warnings.push(Warning::BelowTestedRange { room, excess_k, tested_from_k: en_442::TESTED_FROM_K });
        }
    }

    /// One warning when the arithmetic mean is asked of radiators whose return comes too near the room: the nearest.
    pub(super) fn warn_of_arithmetic_mean(&self, survey: &Survey, findings: &mut Findings) {
        match survey.heating.radiator_mean {
            Mean::Logarithmic => {}
            Mean::Arithmetic => {
                let ratio = |room: Index<Room>, return_c: f64| {
                    en_442::excess_ratio(self.flow_c, return_c, survey.rooms[room].inside_c, &mut Off)
                };
                let ratios =
                    self.running().map(|(at, .., emitter)| (at.room, ratio(at.room, emitter.at_load.return_c)));
                let lowest = ratios.min_by(|(_, a), (_, b)| a.total_cmp(b));
                if let Some((room, ratio)) = lowest.filter(|(_, ratio)| *ratio < en_442::ARITHMETIC_FROM) {
                    findings.warnings.push(Warning::ArithmeticMean {
                        room,
                        ratio,
                        least_ratio: en_442::ARITHMETIC_FROM,
                        origin: Recalled("EN 442"),
                    });
                }
            }
        }
    }

    /// A warning for each radiator that could give more than the job's limit allows over what it should carry.
    pub(super) fn warn_of_oversize(&self, survey: &Survey, findings: &mut Findings) {
        let limit = |at: EmitterAt| survey.emitter(at).hanging().map_or(f64::INFINITY, |hanging| hanging.oversize_max);
        let ratios = self.running().map(|(at, _, emitter)| (at, emitter.capacity_w / emitter.load_w));
        let beyond = ratios.filter(|&(at, ratio)| ratio > limit(at));
        let oversized = |(at, times)| Warning::Oversized { at, times, times_max: limit(at) };
        let warnings: Vec<Warning> = beyond.map(oversized).collect();
        findings.warnings.extend(warnings);
    }
}
