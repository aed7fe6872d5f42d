//! The pumps at their duty, and what they cannot carry.

use super::arrangement::Arrangement;
use super::cooling::CoolingFlow;
use super::{Unmet, Untold, Warning};
use crate::catalogue::offer::HeatSource;
use crate::catalogue::products::PumpPoint;
use crate::design::own_pump::strongest_kpa;
use crate::design::pipework::Pipework;
use crate::design::source::Source;
use crate::design::units::flow_l_h;
use crate::methods::pump_laws::{self, Speed};
use crate::methods::{MethodError, Workings, last_steps, sums, where_it_holds};
use crate::survey::{Survey, curve};

/// The pumps at their duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Duty {
    /// Speed at which the pump that carries the system gives its head; nothing where it cannot.
    pub speed: Option<Speed>,
    /// Power that the water takes (W).
    pub hydraulic_w: f64,
    /// Electricity that it takes there (W): by its data, or where these tell none at the efficiency that tubes are weighed with.
    pub electric_w: f64,
    /// Head that the heat source's own pump carries (kPa): the whole, or before a separation primary and plant room.
    pub carried_kpa: f64,
    /// Speed of that pump, for what it carries.
    pub unit_speed: Option<Speed>,
}

impl Duty {
    /// Turns the pumps down to their duty.
    pub(super) fn compute<W: Workings>(
        survey: &Survey,
        source: &Source,
        pipework: &Pipework,
        arrangement: &Arrangement,
        w: &mut W,
    ) -> Result<Self, MethodError> {
        let (flow_l_h, head_kpa) = (pipework.flow_l_h(), pipework.head_kpa());
        let unit = chosen(survey, source);
        let second = arrangement.second_pump.map(|index| survey.offer.circulators[index].pump.as_slice());
        let is_separated = pipework.joining.is_separated();
        let carries = if is_separated { second } else { unit.map(|unit| unit.pump.as_slice()) };
        let carries = carries.filter(|_| flow_l_h > 0.0);
        let speed = match carries {
            Some(points) => {
                let mut w = w.at(|| "/pipework/pump/speed".to_owned());
                where_it_holds(pump_laws::speed_for(&curve(points), flow_l_h, head_kpa, &mut w))?
            }
            None => None,
        };
        let electric_w = match speed.zip(carries.and_then(powers)) {
            Some((found, powers)) => {
                let mut w = w.at(|| "/pipework/pump/electric_w".to_owned());
                where_it_holds(pump_laws::power_at(&powers, flow_l_h, found.speed, &mut w))?
            }
            None => None,
        };
        let hydraulic_w = {
            let mut w = w.at(|| "/pipework/pump/hydraulic_w".to_owned());
            pump_laws::hydraulic_power(flow_l_h, head_kpa, &mut w)
        };
        let efficiency = survey.pipes.sizing.pump_efficiency;
        let electric_w = match electric_w {
            Some(electric_w) => electric_w,
            None => {
                let mut w = w.at(|| "/pipework/pump/electric_w".to_owned());
                pump_laws::power_by_efficiency(hydraulic_w, efficiency, &mut w)
            }
        };
        let index_pa = pipework.index_circuit.map_or(0.0, |index| pipework.circuits[index].drop_pa);
        last_steps::kpa(index_pa, &mut w.at(|| "/pipework/pump/head_kpa".to_owned()));
        let mut to_unit = w.at(|| "/pipework/arrangement/unit_head_kpa".to_owned());
        let carried_kpa = if is_separated {
            before_separation_kpa(pipework, &mut to_unit)
        } else {
            last_steps::kpa(index_pa, &mut to_unit)
        };
        drop(to_unit);
        let own_l_h = pipework.joining.own.flow_l_h;
        let unit_speed = match unit.filter(|_| carried_kpa > 0.0) {
            Some(unit) => {
                let mut w = w.at(|| "/pipework/arrangement/unit_speed".to_owned());
                where_it_holds(pump_laws::speed_for(&curve(&unit.pump), own_l_h, carried_kpa, &mut w))?
            }
            None => None,
        };
        Ok(Self { speed, hydraulic_w, electric_w, carried_kpa, unit_speed })
    }
}

fn chosen<'s>(survey: &'s Survey, source: &Source) -> Option<&'s HeatSource> {
    source.reckoned().map(|chosen| &survey.offer.heat_sources[chosen])
}

/// Power of a pump at full speed by its flow, where every point tells it.
fn powers(points: &[PumpPoint]) -> Option<Vec<(f64, f64)>> {
    points.iter().map(|point| Some((point.flow_l_h, point.power_w?))).collect()
}

/// Head of primary and plant room (kPa).
fn before_separation_kpa(pipework: &Pipework, w: &mut impl Workings) -> f64 {
    let primary_pa = pipework.primary.map_or(0.0, |primary| primary.drop_pa);
    let before_pa = sums::and_pa(primary_pa, pipework.joining.own.plant_pa, w);
    last_steps::kpa(before_pa, w)
}

/// What the heat source's own pump cannot do while hot water is made.
pub(super) fn making_unmet(pipework: &Pipework) -> Vec<Unmet> {
    let Some(hot_water) = &pipework.hot_water else { return Vec::new() };
    let (need_kpa, own_kpa) = (hot_water.head_kpa(), hot_water.own_kpa);
    let weak = own_kpa.filter(|own_kpa| *own_kpa < need_kpa);
    let reached_l_h = flow_l_h(hot_water.section.flow_kg_s, hot_water.liquid.density_kg_m3);
    let least = pipework.joining.needs.least_l_h.filter(|least_l_h| reached_l_h < *least_l_h);
    let weak = weak.map(|reached_kpa| Unmet::HotWaterPump { need_kpa, reached_kpa });
    let slow = least.map(|need_l_h| Unmet::HotWaterFlow { need_l_h, reached_l_h });
    weak.into_iter().chain(slow).collect()
}

/// What the pumps cannot carry while the house is heated, and what no vessel on offer holds.
pub(super) fn heating_unmet(
    survey: &Survey,
    pipework: &Pipework,
    arrangement: &Arrangement,
    duty: &Duty,
) -> Result<Vec<Unmet>, MethodError> {
    let mut unmet = Vec::new();
    let need_kpa = duty.carried_kpa;
    let weak = pipework.joining.own.head_kpa.filter(|own_kpa| *own_kpa < need_kpa);
    unmet.extend(weak.map(|reached_kpa| Unmet::Pump { need_kpa, reached_kpa }));
    if let (None, Some(need_kpa)) = (arrangement.second_pump, arrangement.second_head_kpa) {
        let reached_kpa = strongest_kpa(survey, pipework.flow_l_h())?.unwrap_or(0.0);
        unmet.push(Unmet::SecondPump { need_kpa, reached_kpa });
    }
    let way = pipework.joining.way();
    if way.kind.has_vessel() && way.buffer.is_none() {
        let reached_l = survey.offer.buffers.last().map_or(0.0, |buffer| buffer.volume_l);
        let need_l = way.added_water_l;
        // where no water is wanting a vessel of any size would part the two
        unmet.push(if need_l > 0.0 { Unmet::Buffer { need_l, reached_l } } else { Unmet::AnyBuffer {} });
    }
    Ok(unmet)
}

/// What the heat source's data leave untold of flow and water.
pub(super) fn untold(survey: &Survey, source: &Source) -> Option<Warning> {
    let unit = chosen(survey, source)?;
    let knows_water = unit.minimum_water_l.is_some() || unit.defrost_kwh.is_some();
    match (unit.minimum_flow_l_h.is_some(), knows_water) {
        (true, true) => None,
        (true, false) => Some(Warning::FlowNotTold { untold: Untold::Water }),
        (false, true) => Some(Warning::FlowNotTold { untold: Untold::Flow }),
        (false, false) => Some(Warning::FlowNotTold { untold: Untold::Both }),
    }
}

/// What the pumps cannot carry while floors cool.
pub(super) fn cooling_unmet(
    survey: &Survey,
    pipework: &Pipework,
    cooling: &CoolingFlow,
    pump_kpa: Option<f64>,
) -> Result<Vec<Unmet>, MethodError> {
    let mut unmet = Vec::new();
    let is_separated = pipework.joining.is_separated();
    let takes_kpa = if is_separated { cooling.unit_kpa } else { cooling.head_kpa };
    if let Some(reached_kpa) = cooling.own_kpa.filter(|own_kpa| *own_kpa < takes_kpa) {
        unmet.push(Unmet::CoolingPump { need_kpa: takes_kpa, reached_kpa });
    }
    if is_separated {
        let strongest_kpa = strongest_kpa(survey, cooling.flow_l_h)?.unwrap_or(0.0);
        let reached = pump_kpa.unwrap_or(strongest_kpa);
        if reached < cooling.head_kpa {
            let reached_kpa = reached.max(strongest_kpa).min(cooling.head_kpa);
            unmet.push(Unmet::CoolingSecondPump { need_kpa: cooling.head_kpa, reached_kpa });
        }
    }
    let reached_l_h = cooling.flow_l_h;
    let has_bypass = pipework.joining.way().bypass.is_some();
    let least_l_h = pipework.joining.needs.least_l_h.filter(|_| !is_separated && !has_bypass);
    if let Some(need_l_h) = least_l_h.filter(|least_l_h| reached_l_h < *least_l_h) {
        unmet.push(Unmet::CoolingFlow { need_l_h, reached_l_h });
    }
    Ok(unmet)
}
