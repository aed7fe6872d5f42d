//! Whether the heat source's own pump carries the system, with or without a vessel that adds water, or a second pump behind a
//! separation does.

use crate::design::emitters::{Emitters, is_on};
use crate::design::pipework::{Parting, Pipework, open_ends};
use crate::design::source::Source;
use crate::list::Index;
use crate::methods::fluid::Fluid;
use crate::methods::performance_map::head_available;
use crate::methods::tube::{content_l, inside_diameter};
use crate::methods::{MethodError, Off, Workings, defrost};
use crate::survey::Run;
use crate::survey::offer::Buffer;
use crate::survey::{Circulator, End, Survey, curve};

/// How heat source and system are put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// Which it is.
    pub kind: Joined,
    /// Why it is not the plainest.
    pub reasons: Vec<Reason>,
    /// Water that is open to the heat source with every thermostat shut, without any vessel added (l).
    pub open_water_l: f64,
    /// Water that it needs then (l); nothing where its data do not tell.
    pub needed_water_l: Option<f64>,
    /// Whether that is what a defrost cools, and not what its data tell.
    pub is_by_defrost: bool,
    /// Index into the buffer vessels on offer.
    pub buffer: Option<Index<Buffer>>,
    /// Water that a vessel must add (l).
    pub added_water_l: f64,
    /// Index into the circulators on offer, for the second pump.
    pub second_pump: Option<Index<Circulator>>,
    /// Head that the second pump must give (kPa).
    pub second_head_kpa: Option<f64>,
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
    /// A separation parts the two.
    Parted(Parting),
    /// Less water is open with all thermostats shut than the heat source needs.
    Water {
        /// Water that is open (l).
        open_l: f64,
        /// Water that it needs (l).
        needed_l: f64,
    },
}

/// Water that a heat source needs about it (l).
struct Needed {
    /// By what a defrost cools, and by its data.
    by_defrost_l: Option<f64>,
    by_data_l: Option<f64>,
}

impl Needed {
    fn most_l(&self) -> Option<f64> {
        [self.by_defrost_l, self.by_data_l].into_iter().flatten().reduce(f64::max)
    }
}

/// Decides it; `cooling` is flow and head while floors cool (l/h, kPa).
pub(super) fn arrange<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    (pipework, cooling): (&Pipework, Option<(f64, f64)>),
    w: &mut W,
) -> Result<Arrangement, MethodError> {
    let unit_l = source.reckoned().map_or(0.0, |chosen| survey.offer.heat_sources[chosen].water_l);
    let open_water_l = unit_l + open_water(survey, emitters, pipework);
    let needed = needed_water(survey, emitters, source, w)?;
    let needed_water_l = needed.most_l();
    let is_short = |needed_l: &f64| pipework.flow_l_h() > 0.0 && *needed_l > open_water_l;
    let water = needed_water_l.filter(is_short).map(|needed_l| Reason::Water { open_l: open_water_l, needed_l });
    let parted = pipework.joining.parted_by.map(Reason::Parted);
    let reasons: Vec<Reason> = parted.into_iter().chain(water).collect();
    let kind = match (parted, water) {
        (Some(_), _) => Joined::Separated,
        (None, Some(_)) => Joined::AddedWater,
        (None, None) => Joined::Direct,
    };
    // behind a separation nothing of the system is open to the unit for certain but the vessel
    let counted_l = match kind {
        Joined::Separated => unit_l + primary_l(pipework),
        Joined::Direct | Joined::AddedWater => open_water_l,
    };
    let added_water_l = needed_water_l.map_or(0.0, |needed_l| (needed_l - counted_l).max(0.0));
    let is_separated = kind == Joined::Separated;
    Ok(Arrangement {
        kind,
        reasons,
        open_water_l,
        needed_water_l,
        is_by_defrost: needed.by_defrost_l.is_some_and(|by_defrost_l| Some(by_defrost_l) == needed_water_l),
        buffer: (kind != Joined::Direct).then(|| buffer(survey, added_water_l)).flatten(),
        added_water_l,
        second_pump: if is_separated { second_pump(survey, pipework, cooling)? } else { None },
        second_head_kpa: is_separated.then(|| pipework.head_kpa()),
    })
}

fn needed_water<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    w: &mut W,
) -> Result<Needed, MethodError> {
    let unit = source.reckoned().map(|chosen| &survey.offer.heat_sources[chosen]);
    let by_defrost_l = match unit.and_then(|unit| unit.defrost_kwh) {
        Some(defrost_kwh) => {
            let mut w = w.at(|| "/pipework/arrangement/needed_water_l".to_owned());
            let heat_kwh_lk = match survey.heating.fluid {
                Fluid::Water => defrost::WATER_KWH_LK,
                Fluid::Glycol(..) => {
                    let water = &emitters.water;
                    defrost::heat_of_litre(water.density_kg_m3, water.specific_heat_j_kgk, &mut Off)
                }
            };
            Some(defrost::volume(defrost_kwh, survey.defaults.defrost_cools_k.value, heat_kwh_lk, &mut w)?)
        }
        None => None,
    };
    Ok(Needed { by_defrost_l, by_data_l: unit.and_then(|unit| unit.minimum_water_l) })
}

/// The smallest vessel on offer that adds so much (l).
fn buffer(survey: &Survey, added_water_l: f64) -> Option<Index<Buffer>> {
    survey.offer.buffers.position(|buffer| buffer.volume_l >= added_water_l)
}

/// The smallest circulator that carries heating and cooling, or where there is none the smallest for heating.
fn second_pump(
    survey: &Survey,
    pipework: &Pipework,
    cooling: Option<(f64, f64)>,
) -> Result<Option<Index<Circulator>>, MethodError> {
    let heating = (pipework.flow_l_h(), pipework.head_kpa());
    let mut for_heating = None;
    for (index, pump) in survey.offer.circulators.enumerate() {
        let pump = curve(&pump.pump);
        let carries = |(flow_l_h, kpa): (f64, f64)| Ok(head_available(&pump, flow_l_h, &mut Off)? >= kpa);
        if carries(heating)? {
            if cooling.map_or(Ok(true), carries)? {
                return Ok(Some(index));
            }
            for_heating = for_heating.or(Some(index));
        }
    }
    Ok(for_heating)
}

fn primary_l(pipework: &Pipework) -> f64 {
    pipework.primary.as_ref().map_or(0.0, |primary| primary.content_l)
}

/// Water that is open with every thermostat shut: the primary, the runs on the way to what stays open, and that (l).
fn open_water(survey: &Survey, emitters: &Emitters, found: &Pipework) -> f64 {
    let open = open_ends(survey, emitters);
    let ways = found.circuits.iter().filter(|circuit| open.contains(&circuit.end));
    let mut on_the_way: Vec<Index<Run>> = ways.flat_map(|circuit| circuit.sections.iter().copied()).collect();
    on_the_way.sort_unstable();
    on_the_way.dedup();
    let runs_l: f64 = on_the_way.into_iter().map(|section| found.sections[section].content_l).sum();
    let ends_l: f64 = open.into_iter().map(|end| held_by(survey, emitters, end)).sum();
    primary_l(found) + runs_l + ends_l
}

/// Water in an emitter, or in the loops of a manifold (l).
fn held_by(survey: &Survey, emitters: &Emitters, end: End) -> f64 {
    match end {
        End::Radiator(at) => {
            let radiators = emitters.radiators().filter(|(of, _)| *of == at);
            let fans = emitters.fan_convectors().filter(|(of, _)| *of == at);
            radiators.map(|(.., radiator)| radiator.water_l).sum::<f64>()
                + fans.map(|(.., unit)| unit.water_l).sum::<f64>()
        }
        End::Manifold(manifold) => {
            let floors = emitters.floors().filter(|(at, ..)| is_on(survey, *at, manifold));
            let each = floors.filter_map(|(at, floor, _)| {
                let tube = survey.emitter(at).floor()?.tube;
                Some(content_l(inside_diameter(tube.outside_m, tube.wall_m, &mut Off), floor.tube_m()))
            });
            each.sum()
        }
    }
}
