//! One fan convector: the one on offer that fits, carries its share within the sound that is allowed, and is cheapest or
//! weakest.

use super::choice::{Asked, Candidate, fits};
use super::findings::Findings;
use super::{Common, Emitter, Emitters, Flowing, Kind};
use super::{Warning, Why};
use crate::catalogue::offer;
use crate::catalogue::products::Product;
use crate::list::Index;
use crate::methods::fan_convector::{FanConvector as Table, Running};
use crate::methods::{MethodError, Off, Workings, carried_heat, last_steps};
use crate::survey::{Blowing, EmitterAt, FlowRule, Room, Survey};

/// A fan convector that was chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FanConvector {
    /// Index in the book.
    pub product: Index<Product>,
    /// Whether it carries its load; the strongest that fits otherwise, which nobody buys.
    pub is_enough: bool,
    /// Water content (l).
    pub water_l: f64,
    /// Mean temperature of the water less that of the room (K).
    pub difference_k: f64,
    /// Difference that its data are read at (K): their greatest, where the water is hotter, on the safe side.
    pub read_at_k: f64,
    /// How it runs.
    pub running: Running,
    /// Air that it moves at the speed told (m³/h).
    pub air_m3_h: f64,
    /// Its sound power level at the speed told (dB).
    pub sound_db: f64,
}

/// Chooses and runs a fan convector: at the nominal drop, its fan by the load.
pub(super) fn design<W: Workings>(
    common: &Common<'_>,
    room: Index<Room>,
    load_w: f64,
    blowing: &Blowing,
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let flow_c = common.flow_c;
    let difference_k = difference(common, room, &mut Off);
    let Some((chosen, top)) = choose(common, load_w, blowing, difference_k) else {
        return Ok(Emitter::none(load_w, flow_c, Kind::FanConvector(None)));
    };
    difference(common, room, &mut w.within("fan/difference_k"));
    let greatest_k = chosen.table.greatest_k();
    let read_at_k = last_steps::lesser_difference(difference_k, greatest_k, &mut w.within("fan/read_at_k"));
    let capacity_w = chosen.table.output(read_at_k, top, &mut w.within("capacity_w"))?;
    let running = chosen.table.run(read_at_k, load_w.min(capacity_w), &mut w.within("fan/fan_w"))?;
    last_steps::no_more(load_w, capacity_w, &mut w.within("at_load/output_w"));
    let (set, at_load) = flowing(common, &chosen.table, (read_at_k, &running), w)?;
    let speed = chosen.speeds[running.speed - 1];
    let found = FanConvector {
        product: chosen.product,
        is_enough: capacity_w >= load_w,
        water_l: chosen.water_l,
        difference_k,
        read_at_k,
        running,
        air_m3_h: speed.air_m3_h,
        sound_db: speed.sound_db,
    };
    let kind = Kind::FanConvector(Some(found));
    Ok(Emitter { load_w, capacity_w, set, at_load, kind })
}

/// A fan convector as it is set, and at its load: what its speed gives comes back at the nominal drop, and where the fan turns for
/// part of the time the water goes on. By load its water carries just that.
fn flowing<W: Workings>(
    common: &Common<'_>,
    table: &Table,
    (read_at_k, running): (f64, &Running),
    w: &mut W,
) -> Result<(Flowing, Flowing), MethodError> {
    let heat_j_kgk = common.water.specific_heat_j_kgk;
    let (flow_c, drop_k) = (common.flow_c, common.survey.heating.drop_k);
    let nominal_c = last_steps::cooler_by(flow_c, drop_k, &mut w.within("return_temperature_c"));
    let at_nominal = |output_w: f64, flow_kg_s: f64| Flowing { output_w, return_c: nominal_c, flow_kg_s };
    match common.survey.heating.flow_rule {
        _ if running.output_w <= 0.0 => Ok((at_nominal(0.0, 0.0), at_nominal(0.0, 0.0))),
        FlowRule::ByLoad => {
            let set = at_nominal(running.output_w, common.nominal_flow(running.output_w, &mut w.within("flow_l_h")));
            common.nominal_flow(running.output_w, &mut w.within("at_load/flow_l_h"));
            last_steps::cooler_by(flow_c, drop_k, &mut w.within("at_load/return_temperature_c"));
            Ok((set, set))
        }
        FlowRule::ByDrop { .. } => {
            let whole_w = table.output(read_at_k, running.speed, &mut w.within("output_w"))?;
            let flow_kg_s = common.nominal_flow(whole_w, &mut w.within("flow_l_h"));
            common.nominal_flow(whole_w, &mut w.within("at_load/flow_l_h"));
            let mut to_return = w.within("at_load/return_temperature_c");
            let output_w = running.output_w;
            let return_c = carried_heat::return_temperature(flow_c, output_w, flow_kg_s, heat_j_kgk, &mut to_return);
            Ok((at_nominal(whole_w, flow_kg_s), Flowing { output_w, return_c, flow_kg_s }))
        }
    }
}

/// Those on offer that fit.
fn fitting<'s>(survey: &'s Survey, blowing: &Blowing) -> impl Iterator<Item = &'s offer::FanConvector> {
    let fit_mm = blowing.fit_mm;
    survey.offer.fan_convectors.iter().filter(move |unit| fits(unit.size_mm, fit_mm))
}

/// The highest speed within the sound that is allowed, counted from 1.
fn top_speed(unit: &offer::FanConvector, blowing: &Blowing) -> Option<usize> {
    unit.speeds.iter().rposition(|speed| speed.sound_db <= blowing.sound_max_db).map(|index| index + 1)
}

/// What one gives at a speed (W); nothing where its data do not reach down to the difference.
fn capacity(unit: &offer::FanConvector, speed: usize, difference_k: f64) -> Option<f64> {
    unit.table.output(difference_k.min(unit.table.greatest_k()), speed, &mut Off).ok()
}

/// Whether any that fits is quiet enough and has data at a flow temperature (°C).
pub(super) fn is_any(survey: &Survey, room: Index<Room>, flow_c: f64, blowing: &Blowing) -> bool {
    let mean_c = carried_heat::mean_temperature(flow_c, survey.heating.drop_k, &mut Off);
    let difference_k = mean_c - survey.rooms[room].inside_c;
    let mut able = fitting(survey, blowing).filter_map(|unit| capacity(unit, top_speed(unit, blowing)?, difference_k));
    able.next().is_some()
}

/// Why none can be taken, where the water comes back warm enough.
pub(super) fn why(survey: &Survey, blowing: &Blowing) -> Why {
    if survey.offer.fan_convectors.is_empty() {
        Why::Book
    } else if fitting(survey, blowing).next().is_none() {
        Why::Fit
    } else if fitting(survey, blowing).all(|unit| top_speed(unit, blowing).is_none()) {
        Why::Sound
    } else {
        Why::Data
    }
}

/// The most that a fan convector could give there (W).
pub(super) fn most(common: &Common<'_>, room: Index<Room>, blowing: &Blowing) -> f64 {
    let difference_k = difference(common, room, &mut Off);
    let strongest = choose(common, f64::INFINITY, blowing, difference_k);
    strongest.and_then(|(unit, top)| capacity(unit, top, difference_k)).unwrap_or(0.0)
}

/// Mean temperature of the water at the nominal drop, less that of the room (K).
fn difference(common: &Common<'_>, room: Index<Room>, w: &mut impl Workings) -> f64 {
    let mean_c = carried_heat::mean_temperature(common.flow_c, common.survey.heating.drop_k, w);
    last_steps::difference(mean_c, common.survey.rooms[room].inside_c, w)
}

/// Of those that fit and have data at the difference the one that is taken for a load (W), with its highest speed within
/// the sound that is allowed.
fn choose<'c>(
    common: &Common<'c>,
    load_w: f64,
    blowing: &Blowing,
    difference_k: f64,
) -> Option<(&'c offer::FanConvector, usize)> {
    // as for radiators, the water must come back warmer than the room
    let is_warm = difference_k > 0.5 * common.survey.heating.drop_k;
    let candidates = fitting(common.survey, blowing).filter(|_| is_warm).filter_map(|unit| {
        let top = top_speed(unit, blowing)?;
        let capacity_w = capacity(unit, top, difference_k)?;
        Some(Candidate { what: (unit, top), capacity_w, size_w: capacity_w, cost: unit.cost })
    });
    let by = common.survey.heating.emitter_choice;
    Asked { load_w, oversize_max: f64::INFINITY, by }.best(candidates)
}

impl Emitters {
    /// One warning where the water of a fan convector is hotter than its data reach: the hottest.
    pub(super) fn warn_of_hot_data(&self, findings: &mut Findings) {
        let beyond = self.fan_convectors().filter(|(.., unit)| unit.difference_k > unit.read_at_k);
        let hottest = beyond.max_by(|(.., a), (.., b)| a.difference_k.total_cmp(&b.difference_k));
        if let Some((at, difference_k)) = hottest.map(|(at, unit)| (at, unit.read_at_k)) {
            findings.warnings.push(Warning::AboveItsData { at, difference_k });
        }
    }

    /// Fan convectors: room, emitter and fan convector.
    pub fn fan_convectors(&self) -> impl Iterator<Item = (EmitterAt, &FanConvector)> {
        self.each().filter_map(|(at, emitter)| match &emitter.kind {
            Kind::FanConvector(Some(unit)) => Some((at, unit)),
            Kind::FanConvector(None) | Kind::Radiator(_) | Kind::Floor(_) | Kind::BeyondTables(_) => None,
        })
    }
}
