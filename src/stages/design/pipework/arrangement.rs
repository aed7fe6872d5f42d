//! Whether the heat source's own pump carries the system, or a second pump behind a separation does.

use super::ends::End;
use super::pumped::available;
use super::{Pipework, flows};
use crate::design::emitters::{Emitters, is_on};
use crate::design::source::Source;
use crate::design::units::flow_l_h;
use crate::methods::fluid::Fluid;
use crate::methods::friction::content_l;
use crate::methods::{MethodError, Off, Workings, defrost};
use crate::survey::{Circulator, Survey, curve};

/// How far the water may cool while it gives the heat of a defrost (K); common practice.
const DEFROST_K: f64 = 10.0;

/// How heat source and system are put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// Which it is.
    pub kind: Joined,
    /// Why it is not the plainest.
    pub reasons: Vec<Reason>,
    /// Flow that is left to the heat source with every thermostat shut (l/h).
    pub open_flow_l_h: f64,
    /// Least flow of the heat source (l/h); nothing where its data do not tell.
    pub minimum_flow_l_h: Option<f64>,
    /// Water that is open to it then, without any vessel added (l).
    pub open_water_l: f64,
    /// Water that it needs then (l); nothing where its data do not tell.
    pub needed_water_l: Option<f64>,
    /// Whether that is what a defrost cools, and not what its data tell.
    pub is_by_defrost: bool,
    /// Index into the buffer vessels on offer.
    pub buffer: Option<usize>,
    /// Water that a vessel must add (l).
    pub added_water_l: f64,
    /// Index into the circulators on offer, for the second pump.
    pub second_pump: Option<usize>,
    /// Head that the second pump must give (kPa).
    pub second_head_kpa: Option<f64>,
    /// What the system would take with tubes at least cost (kPa), where the own pump would carry that and not what the
    /// handbook's rule gives.
    pub least_would_do_kpa: Option<f64>,
}

/// How heat source and system are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joined {
    /// Its own pump carries the system.
    Direct,
    /// Its own pump carries the system, and a vessel in the return adds water.
    AddedWater,
    /// A vessel parts it from the system, which a second pump carries.
    Separated,
}

/// Why an arrangement is needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// The own pump has less head than the system takes: has, takes (kPa).
    Head(f64, f64),
    /// Less flow is left with all thermostats shut than it runs with: left, least (l/h).
    MinimumFlow(f64, f64),
    /// Less water is open then than the heat source needs: open, needed (l).
    Water(f64, f64),
}

impl Arrangement {
    /// What stands before it is decided.
    pub(super) fn undecided(is_separated: bool) -> Self {
        Self {
            kind: if is_separated { Joined::Separated } else { Joined::Direct },
            reasons: Vec::new(),
            open_flow_l_h: 0.0,
            minimum_flow_l_h: None,
            open_water_l: 0.0,
            needed_water_l: None,
            is_by_defrost: false,
            buffer: None,
            added_water_l: 0.0,
            second_pump: None,
            second_head_kpa: None,
            least_would_do_kpa: None,
        }
    }
}

/// Flow that is left with every thermostat shut and the least flow of the heat source (l/h), where that is more and anything
/// flows at all.
pub(super) fn short_of_flow(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    system_l_h: f64,
) -> Option<(f64, f64)> {
    let least_l_h = survey.offer.heat_sources[source.chosen?].minimum_flow_l_h?;
    let open_l_h = open_flow(survey, emitters);
    (system_l_h > 0.0 && open_l_h < least_l_h).then_some((open_l_h, least_l_h))
}

/// Decides the rest, once it is known whether a separation parts the two and why.
pub(super) fn arrange<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    found: &Pipework,
    mut reasons: Vec<Reason>,
    w: &mut W,
) -> Result<Arrangement, MethodError> {
    let unit = source.chosen.map(|chosen| &survey.offer.heat_sources[chosen]);
    let open_water_l = unit.map_or(0.0, |unit| unit.water_l) + open_water(survey, emitters, found);
    let by_defrost_l = match unit.and_then(|unit| unit.defrost_kwh) {
        Some(defrost_kwh) => {
            let mut w = w.at(|| "/pipework/arrangement/needed_water_l".to_owned());
            let heat_kwh_lk = match survey.heating.fluid {
                Fluid::Water => defrost::WATER_KWH_LK,
                Fluid::Glycol(..) => emitters.water.density_kg_m3 * emitters.water.specific_heat_j_kgk / 3.6e9,
            };
            Some(defrost::volume(defrost_kwh, DEFROST_K, heat_kwh_lk, &mut w)?)
        }
        None => None,
    };
    let by_data_l = unit.and_then(|unit| unit.minimum_water_l);
    let needed_water_l = [by_defrost_l, by_data_l].into_iter().flatten().reduce(f64::max);
    if let Some(needed_l) = needed_water_l.filter(|needed_l| found.flow_l_h > 0.0 && *needed_l > open_water_l) {
        reasons.push(Reason::Water(open_water_l, needed_l));
    }
    let is_separated = found.arrangement.kind == Joined::Separated;
    // behind a separation nothing of the system is open to the unit for certain but the vessel
    let before_l =
        unit.map_or(0.0, |unit| unit.water_l) + found.primary.as_ref().map_or(0.0, |primary| primary.content_l);
    let counted_l = if is_separated { before_l } else { open_water_l };
    let added_water_l = needed_water_l.map_or(0.0, |needed_l| (needed_l - counted_l).max(0.0));
    let kind = match (reasons.is_empty(), is_separated) {
        (true, _) => Joined::Direct,
        (false, true) => Joined::Separated,
        (false, false) => Joined::AddedWater,
    };
    let buffer = if kind == Joined::Direct {
        None
    } else {
        survey.offer.buffers.iter().position(|buffer| buffer.volume_l >= added_water_l)
    };
    let heating = (found.flow_l_h, found.head_kpa());
    let cooling = found.cooling.as_ref().map(|cooling| (cooling.flow_l_h, cooling.head_kpa));
    let carries = |pump: &Circulator, (flow_l_h, kpa): (f64, f64)| {
        available(&curve(&pump.pump), flow_l_h, &mut Off).is_ok_and(|head_kpa| head_kpa >= kpa)
    };
    // one for both, or where there is none one for heating
    let both = |pump: &Circulator| carries(pump, heating) && cooling.is_none_or(|cooling| carries(pump, cooling));
    let pumps = &survey.offer.circulators;
    let second_pump = pumps.iter().position(both).or_else(|| pumps.iter().position(|pump| carries(pump, heating)));
    let second_pump = second_pump.filter(|_| is_separated);
    Ok(Arrangement {
        kind,
        reasons,
        open_flow_l_h: open_flow(survey, emitters),
        minimum_flow_l_h: found.least_l_h,
        open_water_l,
        needed_water_l,
        is_by_defrost: by_defrost_l.is_some_and(|by_defrost_l| Some(by_defrost_l) == needed_water_l),
        buffer,
        added_water_l,
        second_pump,
        second_head_kpa: is_separated.then(|| found.head_kpa()),
        least_would_do_kpa: None,
    })
}

/// The ends that thermostats never shut and that are not left out.
fn open_ends(survey: &Survey, emitters: &Emitters) -> Vec<End> {
    let all = survey.pipes.runs.iter().flat_map(|run| run.serves.iter().copied());
    let is_open = |end: &End| survey.pipes.stays_open.as_ref().is_none_or(|open| open.contains(end));
    all.filter(is_open).filter(|end| !flows::is_left_out(survey, emitters, *end)).collect()
}

/// Flow that is left with every thermostat shut (l/h).
fn open_flow(survey: &Survey, emitters: &Emitters) -> f64 {
    let each = open_ends(survey, emitters).into_iter().map(|end| flows::end_flow(survey, emitters, end));
    // an empty sum is -0
    flow_l_h(each.sum::<f64>() + 0.0, emitters.water.density_kg_m3)
}

/// Water that is open with every thermostat shut: the primary, the runs on the way to what stays open, and that (l).
fn open_water(survey: &Survey, emitters: &Emitters, found: &Pipework) -> f64 {
    let open = open_ends(survey, emitters);
    let ways = found.circuits.iter().filter(|circuit| open.contains(&circuit.end));
    let mut on_the_way: Vec<usize> = ways.flat_map(|circuit| circuit.sections.iter().copied()).collect();
    on_the_way.sort_unstable();
    on_the_way.dedup();
    let runs_l: f64 = on_the_way.into_iter().map(|section| found.sections[section].content_l).sum();
    let primary_l = found.primary.as_ref().map_or(0.0, |primary| primary.content_l);
    let ends_l: f64 = open.into_iter().map(|end| held_by(survey, emitters, end)).sum();
    primary_l + runs_l + ends_l
}

/// Water in an emitter, or in the loops of a manifold (l).
fn held_by(survey: &Survey, emitters: &Emitters, end: End) -> f64 {
    match end {
        End::Radiator(room, which) => {
            let radiators = emitters.radiators().filter(|(of, index, _)| (*of, *index) == (room, which));
            let fans = emitters.fan_convectors().filter(|(of, index, _)| (*of, *index) == (room, which));
            radiators.map(|(.., radiator)| radiator.water_l).sum::<f64>()
                + fans.map(|(.., unit)| unit.water_l).sum::<f64>()
        }
        End::Manifold(manifold) => {
            let floors = emitters.floors().filter(|(room, index, ..)| is_on(survey, *room, *index, manifold));
            let each = floors.filter_map(|(room, index, floor, _)| {
                let tube = survey.rooms[room].emitters[index].floor()?.tube;
                Some(content_l(tube.outside_m - 2.0 * tube.wall_m, floor.tube_m()))
            });
            each.sum()
        }
    }
}
