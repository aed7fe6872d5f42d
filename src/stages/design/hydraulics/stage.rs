//! The stage as it is run with the others, and what must be true of its result.

use super::arrangement::Joined;
use super::{Hydraulics, SettingOf, compute};
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::findings::{Place, Unmet, Warning};
use crate::design::pipework::Pipework;
use crate::design::source::Source;
use crate::design::stage::{Asked, Stage, same, so};
use crate::list::Index;
use crate::methods::Workings;
use crate::survey::Survey;
use crate::survey::offer::Buffer;

impl Stage for Hydraulics {
    type Before<'b> = (&'b Emitters, &'b Source, &'b Pipework);
    type Error = DesignError;

    fn compute<W: Workings>(
        asked: Asked<'_>,
        (emitters, source, pipework): Self::Before<'_>,
        w: &mut W,
    ) -> Result<Self, DesignError> {
        compute(asked, emitters, source, pipework, w)
    }

    fn unmet(&self) -> &[Unmet] {
        &self.unmet
    }

    fn warnings(&self) -> &[Warning] {
        &self.warnings
    }

    /// A second pump stands only behind a separation, a vessel holds what it must, every valve has its setting, and a pump is
    /// turned down, not up.
    fn check(&self, survey: &Survey, (_, _, pipework): Self::Before<'_>) -> Result<(), String> {
        let arrangement = &self.arrangement;
        let is_separated = arrangement.kind == Joined::Separated;
        so(is_separated == pipework.joining.is_separated(), || "one answer to what parts the two".to_owned())?;
        so(is_separated || arrangement.second_pump.is_none(), || "no second pump without a separation".to_owned())?;
        so((arrangement.kind == Joined::Direct) == arrangement.reasons.is_empty(), || "a reason".to_owned())?;
        let volume_l =
            |index: Index<Buffer>| survey.offer.buffers.get(index).map_or(f64::NAN, |buffer| buffer.volume_l);
        let holds = arrangement.buffer.is_none_or(|index| volume_l(index) >= arrangement.added_water_l);
        so(holds, || "the vessel holds what it must".to_owned())?;
        let valves = pipework.circuits.len() + pipework.loops.len();
        so(self.settings.len() == valves, || format!("{} settings of {valves} valves", self.settings.len()))?;
        self.check_balance(pipework)?;
        let own_kpa = pipework.joining.own.head_kpa;
        let is_told = self.unmet.iter().any(|unmet| unmet.place == Place::Pump);
        let carries = own_kpa.is_none_or(|own_kpa| own_kpa >= self.carried_kpa);
        so(carries != is_told, || "the own pump carries its part, or it is told".to_owned())?;
        so(self.electric_w >= self.hydraulic_w, || "a pump takes no less than the water".to_owned())?;
        so(self.delivered_w.len() == pipework.hidden.len(), || "heat of each hidden tube".to_owned())?;
        let is_turned_down = |speed: f64| speed > 0.0 && speed <= 1.0;
        so(self.speed.is_none_or(|found| is_turned_down(found.speed)), || "a share of full speed".to_owned())
    }
}

impl Hydraulics {
    /// With its valve every way takes what the worst way takes: ends what the index circuit does, loops what the worst loop of
    /// their manifold does.
    fn check_balance(&self, pipework: &Pipework) -> Result<(), String> {
        let worst_pa = pipework.circuits.iter().map(|circuit| circuit.drop_pa).fold(0.0, f64::max);
        for setting in &self.settings {
            let (way_pa, worst_pa) = match setting.of {
                SettingOf::End(end) => {
                    let way = pipework.circuits.iter().find(|circuit| circuit.end == end);
                    (way.map_or(f64::NAN, |circuit| circuit.drop_pa), worst_pa)
                }
                SettingOf::Loop(one) => {
                    let of_manifold = pipework.loops.iter().filter(|other| other.manifold == one.manifold);
                    (one.drop_pa, of_manifold.map(|other| other.drop_pa).fold(0.0, f64::max))
                }
            };
            same(way_pa + setting.excess_pa, worst_pa, || format!("way of {:?}", setting.of))?;
        }
        Ok(())
    }
}
