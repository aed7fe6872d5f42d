//! The pumps at their duty, and what hidden tubes let through with the head that is left for them.

use super::Pipework;
use super::arrangement::Joined;
use super::ends::End;
use super::pumped::{available, strongest_kpa};
use crate::catalogue::products::PumpPoint;
use crate::design::emitters::{Emitters, is_on};
use crate::design::findings::{Place, Unmet, Untold, Wanted, Warning};
use crate::design::source::Source;
use crate::methods::{MethodError, Off, Workings, pump_laws};
use crate::survey::{Survey, curve};

/// Power of a pump at full speed by its flow, where every point tells it.
fn powers(points: &[PumpPoint]) -> Option<Vec<(f64, f64)>> {
    points.iter().map(|point| Some((point.flow_l_h, point.power_w?))).collect()
}

impl Pipework {
    /// What hidden tubes deliver with the head that is left for them.
    pub(super) fn deliver(&mut self, survey: &Survey, emitters: &Emitters) -> Result<(), MethodError> {
        let head_pa = match self.arrangement.kind {
            Joined::Direct | Joined::AddedWater => self.own.head_kpa.map(|own_kpa| 1000.0 * own_kpa),
            Joined::Separated => match self.arrangement.second_pump {
                Some(index) => {
                    let pump = curve(&survey.offer.circulators[index].pump);
                    Some(1000.0 * available(&pump, self.flow_l_h, &mut Off)?)
                }
                None => None,
            },
        };
        // without a pump whatever the system takes
        let head_pa = head_pa.unwrap_or(1000.0 * self.head_kpa());
        let mut hidden = std::mem::take(&mut self.hidden);
        for found in hidden.iter_mut().filter(|found| self.sections[found.run].tube.is_none()) {
            let section = &self.sections[found.run];
            let through = self.circuits.iter().filter(|circuit| circuit.sections.contains(&found.run));
            let wanted_w: f64 = through.clone().map(|circuit| heat_w(survey, emitters, circuit.end)).sum();
            // on the worst way through it, what everything else leaves
            let others_pa = through.map(|circuit| circuit.drop_pa - section.drop_pa).fold(0.0, f64::max);
            let flow_kg_s = section.flow_kg_s;
            let duty = (flow_kg_s, wanted_w / flow_kg_s.max(f64::MIN_POSITIVE));
            found.deliver(survey, head_pa - others_pa, duty, &emitters.water)?;
            match found.heat_w {
                Some((_, likely_w)) if likely_w < wanted_w * (1.0 - 1e-6) => {
                    let place = Place::HiddenTube(found.run);
                    self.unmet.push(Unmet { place, need: wanted_w, reached: likely_w });
                }
                Some((least_w, _)) if least_w < wanted_w * (1.0 - 1e-6) => {
                    self.warnings.push(Warning::HiddenMayLack(found.run, least_w, wanted_w));
                }
                Some(_) | None => {}
            }
        }
        self.hidden = hidden;
        Ok(())
    }

    /// The pump that carries the system, turned down to its duty, and what the pumps cannot carry.
    pub(super) fn pump<W: Workings>(&mut self, survey: &Survey, source: &Source, w: &mut W) -> Result<(), MethodError> {
        let unit = source.chosen.map(|chosen| &survey.offer.heat_sources[chosen]);
        let second = self.arrangement.second_pump.map(|index| survey.offer.circulators[index].pump.as_slice());
        let carries = match self.arrangement.kind {
            Joined::Direct | Joined::AddedWater => unit.map(|unit| unit.pump.as_slice()),
            Joined::Separated => second,
        };
        if let Some(points) = carries.filter(|_| self.flow_l_h > 0.0) {
            {
                let mut w = w.at(|| "/pipework/pump/speed".to_owned());
                self.speed = pump_laws::speed_for(&curve(points), self.flow_l_h, self.head_kpa(), &mut w).ok();
            }
            if let (Some(found), Some(powers)) = (self.speed, powers(points)) {
                let mut w = w.at(|| "/pipework/pump/electric_w".to_owned());
                self.electric_w = pump_laws::power_at(&powers, self.flow_l_h, found.speed, &mut w).ok();
            }
        }
        let carried_kpa = self.carried_kpa();
        if let Some(unit) = unit.filter(|_| carried_kpa > 0.0) {
            self.unit_speed = pump_laws::speed_for(&curve(&unit.pump), self.own.flow_l_h, carried_kpa, &mut Off).ok();
        }
        if let Some(reached) = self.own.head_kpa.filter(|own_kpa| *own_kpa < carried_kpa) {
            self.unmet.push(Unmet { place: Place::Pump, need: carried_kpa, reached });
        }
        if let (Joined::Separated, None, Some(need)) = (self.arrangement.kind, second, self.arrangement.second_head_kpa)
        {
            let reached = strongest_kpa(survey, self.flow_l_h)?.unwrap_or(0.0);
            self.unmet.push(Unmet { place: Place::SecondPump, need, reached });
        }
        if self.arrangement.kind != Joined::Direct && self.arrangement.buffer.is_none() {
            let reached = survey.offer.buffers.last().map_or(0.0, |buffer| buffer.volume_l);
            let need = self.arrangement.added_water_l;
            // a vessel of any size would part the two
            let any = Unmet { place: Place::Product(Wanted::BufferVessel), need: 1.0, reached: 0.0 };
            self.unmet.push(if need > 0.0 { Unmet { place: Place::Buffer, need, reached } } else { any });
        }
        if let Some(unit) = unit {
            let knows_water = unit.minimum_water_l.is_some() || unit.defrost_kwh.is_some();
            let untold = match (unit.minimum_flow_l_h.is_some(), knows_water) {
                (true, true) => None,
                (true, false) => Some(Untold::Water),
                (false, true) => Some(Untold::Flow),
                (false, false) => Some(Untold::Both),
            };
            self.warnings.extend(untold.map(Warning::FlowNotTold));
        }
        self.cooled(survey)
    }

    /// Head that the pump which carries the system has while floors cool (kPa).
    pub(super) fn cooling_pump_kpa(&self, survey: &Survey) -> Option<f64> {
        let cooling = self.cooling.as_ref()?;
        match self.arrangement.kind {
            Joined::Direct | Joined::AddedWater => cooling.own_kpa,
            Joined::Separated => {
                let second = &survey.offer.circulators[self.arrangement.second_pump?];
                available(&curve(&second.pump), cooling.flow_l_h, &mut Off).ok()
            }
        }
    }

    /// What the pumps cannot carry while floors cool.
    fn cooled(&mut self, survey: &Survey) -> Result<(), MethodError> {
        let Some(cooling) = &self.cooling else { return Ok(()) };
        self.warnings.push(Warning::CoolingNotTold);
        let is_separated = self.arrangement.kind == Joined::Separated;
        let takes_kpa = if is_separated { cooling.unit_kpa } else { cooling.head_kpa };
        if let Some(reached) = cooling.own_kpa.filter(|own_kpa| *own_kpa < takes_kpa) {
            self.unmet.push(Unmet { place: Place::CoolingPump, need: takes_kpa, reached });
        }
        if is_separated {
            let strongest_kpa = strongest_kpa(survey, cooling.flow_l_h)?.unwrap_or(0.0);
            let reached = self.cooling_pump_kpa(survey).unwrap_or(strongest_kpa);
            if reached < cooling.head_kpa {
                let reached = reached.max(strongest_kpa).min(cooling.head_kpa);
                self.unmet.push(Unmet { place: Place::CoolingSecondPump, need: cooling.head_kpa, reached });
            }
        }
        let reached = cooling.flow_l_h;
        if let Some(need) = self.least_l_h.filter(|least_l_h| !is_separated && reached < *least_l_h) {
            self.unmet.push(Unmet { place: Place::CoolingFlow, need, reached });
        }
        self.warnings.extend(cooling.fast.map(|(pipe, found, limit)| Warning::FastCooling(pipe, found, limit)));
        Ok(())
    }
}

/// Heat that an end takes out of its water (W).
fn heat_w(survey: &Survey, emitters: &Emitters, end: End) -> f64 {
    let of = |emitter: &crate::design::emitters::Emitter| {
        emitter.flow_kg_s * emitters.water.specific_heat_j_kgk * (emitters.flow_c - emitter.return_c)
    };
    match end {
        End::Radiator(room, which) => of(&emitters.rooms[room][which]),
        End::Manifold(manifold) => {
            let floors = emitters.floors().filter(|(room, index, ..)| is_on(survey, *room, *index, manifold));
            floors.map(|(.., emitter)| of(emitter)).sum()
        }
    }
}
