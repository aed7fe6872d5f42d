//! The plant room: cylinder, water content, expansion vessel; reported beside the heat source.

mod answer;
mod cautions;
mod content;
mod findings;
mod stage;

pub use answer::{CylinderAnswer, Disinfection, PlantAnswer, VesselAnswer, WaterContent};
pub use cautions::Caution;
pub use findings::Unmet;

use super::DesignError;
use super::emitters::Emitters;
use super::pipework::Pipework;
use super::source::Source;
use crate::catalogue::offer;
use crate::job::pipework::Manifold;
use crate::list::{Index, List};
use crate::methods::{MethodError, Workings, en_12828, hot_water};
use crate::survey::Survey;

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Plant {
    /// Volume that the hot water needs at its storage temperature (l).
    pub stored_l: f64,
    /// Index into the offered cylinders: the smallest that holds the hot water.
    pub cylinder: Option<Index<offer::Cylinder>>,
    /// The largest, where none holds it: the water is reckoned with it, and it is not bought.
    pub largest_cylinder: Option<Index<offer::Cylinder>>,
    /// Heat that the cylinder takes each time that it is heated against legionella (kWh), where it is kept below that temperature
    /// and there is one.
    pub disinfection_kwh: Option<f64>,
    /// Index into the offered manifolds, for each manifold of the job.
    pub manifolds: List<Manifold, Option<Index<offer::Manifold>>>,
    /// Water content of the system, part by part.
    pub content: content::Content,
    /// Expansion vessel.
    pub vessel: Vessel,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
}

/// The expansion vessel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    /// Highest temperature of the whole system (°C).
    pub highest_c: f64,
    /// Expansion from filling to that (ratio).
    pub expansion: f64,
    /// Expansion volume (l).
    pub expansion_l: f64,
    /// Water reserve (l).
    pub reserve_l: f64,
    /// Charge pressure (bar).
    pub charge_bar: f64,
    /// Final pressure (bar).
    pub final_bar: f64,
    /// Volume needed (l).
    pub needed_l: f64,
    /// Index into the offered vessels.
    pub chosen: Option<Index<offer::Vessel>>,
}

/// Computes the stage.
///
/// # Errors
/// [`DesignError::Method`] if storage, pressures or temperatures describe nothing physical.
pub fn compute<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    pipework: &Pipework,
    w: &mut W,
) -> Result<Plant, DesignError> {
    let mut unmet = Vec::new();
    let stored_l = {
        let mut w = w.at(|| "/plant/cylinder/needed_l".to_owned());
        let storage_c = survey.plant.hot_water.storage_c;
        hot_water::stored_volume(source.demand_at_60_l, storage_c, &mut w).map_err(DesignError::at("/hot_water"))?
    };
    let (cylinder, largest_cylinder) = cylinder(survey, stored_l, &mut unmet);
    let disinfection_kwh = cylinder.filter(|_| is_disinfected(survey)).map(|cylinder| {
        let mut w = w.at(|| "/plant/cylinder/disinfection/heat_kwh".to_owned());
        let (storage_c, to_c) = (survey.plant.hot_water.storage_c, survey.defaults.disinfection_c.value);
        hot_water::warming_up(survey.offer.cylinders[cylinder].volume_l, storage_c, to_c, &mut w)
    });
    let manifolds = chosen_manifolds(survey, emitters, &mut unmet);
    let content = {
        let mut w = w.at(|| "/plant/water_content".to_owned());
        content::content(survey, emitters, source, pipework, cylinder.or(largest_cylinder), &manifolds, &mut w)
    };
    let vessel = {
        let mut w = w.at(|| "/plant/expansion_vessel".to_owned());
        vessel(survey, emitters.flow_c, content.total_l(), &mut w).map_err(DesignError::at("/plant"))?
    };
    if vessel.chosen.is_none() {
        let reached_l = survey.offer.vessels.last().map_or(0.0, |vessel| vessel.volume_l);
        unmet.push(Unmet::Vessel { need_l: vessel.needed_l, reached_l });
    }
    Ok(Plant { stored_l, cylinder, largest_cylinder, disinfection_kwh, manifolds, content, vessel, unmet })
}

/// Whether water is kept below the temperature at which legionella dies, so that the store has to be heated to it every so often.
fn is_disinfected(survey: &Survey) -> bool {
    survey.plant.hot_water.storage_c < survey.defaults.disinfection_c.value
}

/// The smallest cylinder that holds the hot water; where none does, that is told, and the largest stands beside.
fn cylinder(
    survey: &Survey,
    stored_l: f64,
    unmet: &mut Vec<Unmet>,
) -> (Option<Index<offer::Cylinder>>, Option<Index<offer::Cylinder>>) {
    let volume_l = |index: Index<offer::Cylinder>| survey.offer.cylinders[index].volume_l;
    let mut allowed = survey.plant.cylinders.iter().copied();
    let enough = allowed.clone().find(|&index| volume_l(index) >= stored_l);
    if enough.is_some() {
        return (enough, None);
    }
    let largest = allowed.next_back();
    unmet.push(Unmet::Cylinder { need_l: stored_l, reached_l: largest.map_or(0.0, volume_l) });
    (None, largest)
}

/// For each manifold of the job its loops and the smallest on offer with an outlet for every one of them; none where it
/// feeds nothing, or where none on offer is large enough.
#[must_use]
pub fn manifolds(survey: &Survey, emitters: &Emitters) -> List<Manifold, (u32, Option<Index<offer::Manifold>>)> {
    let all = survey.names.manifolds.indices();
    all.map(|manifold| {
        let floors = emitters.floors().filter(|(at, ..)| super::emitters::is_on(survey, *at, manifold));
        let loops: u32 = floors.map(|(_, floor, _)| floor.loop_count()).sum();
        let found = || survey.offer.manifolds.position(|offered| offered.outlets >= loops);
        (loops, if loops == 0 { None } else { found() })
    })
    .collect()
}

/// The manifolds; loops that none on offer has outlets for are told as unmet.
fn chosen_manifolds(
    survey: &Survey,
    emitters: &Emitters,
    unmet: &mut Vec<Unmet>,
) -> List<Manifold, Option<Index<offer::Manifold>>> {
    let most = survey.offer.manifolds.last().map_or(0, |offered| offered.outlets);
    let found = manifolds(survey, emitters);
    let short = found.enumerate().filter(|(_, (loops, chosen))| *loops > 0 && chosen.is_none());
    unmet.extend(short.map(|(manifold, &(loops, _))| Unmet::Manifold { manifold, loops, outlets: most }));
    found.into_iter().map(|(_, chosen)| chosen).collect()
}

/// The expansion vessel, on the highest temperature that any part of the system is run at.
fn vessel<W: Workings>(survey: &Survey, flow_c: f64, content_l: f64, w: &mut W) -> Result<Vessel, MethodError> {
    let highest_c = flow_c.max(survey.plant.hot_water.flow_c);
    let fluid = survey.heating.fluid;
    let [heat, ..] = fluid.sources();
    w.cite(heat);
    let (cold, hot) = (fluid.at(en_12828::FILLING_C)?, fluid.at(highest_c)?);
    // the pressures are figures of their own, and stand on the way to the vessel
    en_12828::charge_pressure(survey.plant.static_height_m, &mut w.within("charge_pressure_bar"));
    en_12828::final_pressure(survey.plant.safety_valve_bar, &mut w.within("final_pressure_bar"))?;
    let mut to_vessel = w.within("needed_l");
    let w = &mut to_vessel;
    let expansion = en_12828::expansion(cold.density_kg_m3, hot.density_kg_m3, w)?;
    let expansion_l = en_12828::expansion_volume(content_l, expansion, w);
    let reserve_l = en_12828::reserve(content_l, w);
    let charge_bar = en_12828::charge_pressure(survey.plant.static_height_m, w);
    let final_bar = en_12828::final_pressure(survey.plant.safety_valve_bar, w)?;
    let pressures = en_12828::Pressures { charge_bar, final_bar };
    let needed_l = en_12828::vessel_volume(expansion_l, reserve_l, pressures, w)?;
    let mut chosen = None;
    for (index, offered) in survey.offer.vessels.enumerate() {
        if en_12828::suits(offered.volume_l, expansion_l, reserve_l, pressures, &mut crate::methods::Off)? {
            chosen = Some(index);
            break;
        }
    }
    Ok(Vessel { highest_c, expansion, expansion_l, reserve_l, charge_bar, final_bar, needed_l, chosen })
}
