//! The pumps at their duty, and what hidden tubes let through with the head that is left for them.

use super::Pipework;
use super::arrangement::{Arrangement, Joined};
use crate::design::emitters::Emitters;
use crate::design::findings::{Place, Unmet, Warning};
use crate::design::source::Source;
use crate::methods::performance_map::pump_head;
use crate::methods::{MethodError, Off, Workings, pump_laws};
use crate::survey::{Survey, curve};

impl Pipework {
    /// What hidden tubes deliver with the head that is left for them.
    pub(super) fn deliver(&mut self, survey: &Survey, emitters: &Emitters) -> Result<(), MethodError> {
        let watts = emitters.water.specific_heat_j_kgk * survey.heating.drop_k;
        let head_pa = self.own_pump_kpa.map_or(1000.0 * self.head_kpa(), |own_kpa| 1000.0 * own_kpa);
        for hidden in &mut self.hidden {
            let section = &self.sections[hidden.run];
            let through = self.circuits.iter().filter(|circuit| circuit.sections.contains(&hidden.run));
            // on the worst way through it, what everything else leaves
            let others_pa = through.map(|circuit| circuit.drop_pa - section.drop_pa).fold(0.0, f64::max);
            let left_pa = head_pa - others_pa;
            hidden.deliver(survey, left_pa, (section.flow_kg_s, watts), &emitters.water)?;
        }
        Ok(())
    }

    /// The pump that carries the system, turned down to its duty.
    pub(super) fn pump<W: Workings>(&mut self, survey: &Survey, source: &Source, w: &mut W) {
        let head_kpa = self.carried_kpa();
        let own = source.chosen.map(|chosen| curve(&survey.offer.heat_sources[chosen].pump));
        let (pump, duty_kpa) = match self.arrangement.kind {
            Joined::Direct | Joined::AddedWater => (own, head_kpa),
            Joined::Separated => {
                let second = self.arrangement.second_pump.map(|index| curve(&survey.offer.circulators[index].pump));
                (second, self.arrangement.second_head_kpa.unwrap_or(0.0))
            }
        };
        if let Some(curve) = pump {
            let mut w = w.at(|| "/pipework/pump/speed".to_owned());
            self.speed = pump_laws::speed_for(&curve, self.flow_l_h, duty_kpa, &mut w).ok();
        }
        if let Some(own_kpa) = self.own_pump_kpa.filter(|own_kpa| *own_kpa < head_kpa) {
            self.unmet.push(Unmet { place: Place::Pump, need: head_kpa, reached: own_kpa });
        }
        let Arrangement { kind, second_pump, second_head_kpa, added_water_l, buffer, .. } = self.arrangement.clone();
        if let (Joined::Separated, None, Some(need)) = (kind, second_pump, second_head_kpa) {
            let reached = self.own_pump_kpa.unwrap_or(0.0);
            self.unmet.push(Unmet { place: Place::SecondPump, need, reached });
        }
        if kind != Joined::Direct && buffer.is_none() {
            let reached = survey.offer.buffers.last().map_or(0.0, |buffer| buffer.volume_l);
            self.unmet.push(Unmet { place: Place::Buffer, need: added_water_l, reached });
        }
        if let Some(cooling) = &self.cooling {
            let (has_kpa, takes_kpa) = match kind {
                Joined::Direct | Joined::AddedWater => (cooling.own_kpa, cooling.head_kpa),
                Joined::Separated => {
                    let second = second_pump.map(|index| curve(&survey.offer.circulators[index].pump));
                    // beyond the end of its curve a pump has nothing left
                    let head = |curve: Vec<(f64, f64)>| pump_head(&curve, cooling.flow_l_h, &mut Off).unwrap_or(0.0);
                    (second.map(head), cooling.system_kpa)
                }
            };
            if let Some(reached) = has_kpa.filter(|has_kpa| *has_kpa < takes_kpa) {
                self.unmet.push(Unmet { place: Place::CoolingPump, need: takes_kpa, reached });
            }
        }
        let unit = source.chosen.map(|chosen| &survey.offer.heat_sources[chosen]);
        if unit.is_some_and(|unit| {
            unit.minimum_flow_l_h.is_none() || unit.minimum_water_l.is_none() && unit.defrost_kwh.is_none()
        }) {
            self.warnings.push(Warning::FlowNotTold);
        }
    }
}
