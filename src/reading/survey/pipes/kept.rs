//! Tubes of the system before, of which no more than their sizes was seen.

use super::run::{Laid, Lying, Run};
use super::{Gathering, Pipework};
use crate::catalogue::offer::Tube;
use crate::catalogue::products::TubeMaterial;
use crate::intake::{Fault, FaultCode};
use crate::job::emitters::Keep;
use crate::job::pipework::ExistingTubes;
use crate::list::{Index, List};
use crate::methods::{Off, old_tube};
use crate::survey::assumed::Pipes as Assumed;
use crate::survey::doubted::Doubted;

/// Where the job tells of them.
pub(super) const AT: &str = "/pipework/existing";

/// How far a diameter as measured may be off (mm).
const MEASURED_WITHIN_MM: f64 = 0.15;

/// Sizes that were seen, from the narrowest: each with the radiators that it carried in its day.
#[derive(Debug, Clone, Default)]
pub(super) struct Seen(Vec<(Index<Tube>, f64)>);

impl Seen {
    /// What lies in a run that so many emitters hung on: the narrowest that carried them, or the widest that was seen.
    pub(super) fn behind(&self, emitters: u32) -> Option<Laid> {
        let enough = self.0.iter().find(|(_, carried)| *carried >= f64::from(emitters));
        let (tube, _) = enough.or(self.0.last())?;
        Some(Laid { lying: Lying::Tube(*tube), keep: Keep::Always })
    }

    /// Whether any was seen.
    pub(super) fn is_any(&self) -> bool {
        !self.0.is_empty()
    }
}

impl Gathering<'_> {
    /// The sizes that were seen of a system whose tubes stay; one that no tube has is told.
    pub(super) fn seen(&mut self, written: &Pipework) -> Seen {
        let Some(ExistingTubes::Kept { outside_diameters_mm, material }) = &written.existing else {
            return Seen::default();
        };
        let mut found: Vec<Index<Tube>> = Vec::with_capacity(outside_diameters_mm.len());
        for (number, seen) in outside_diameters_mm.iter().enumerate() {
            match self.tube_of(seen.0, *material) {
                Some(tube) => found.push(tube),
                None => self.no_such_size(number, seen.0, *material),
            }
        }
        let defaults = &self.catalogue.defaults;
        let (drop_k, radiator_w) = (defaults.old_system_drop_k.value, defaults.old_radiator_w.value);
        let velocity_m_s = defaults.velocity_max_m_s.value;
        found.sort_by(|a, b| self.offer.tubes[*a].bore_m.total_cmp(&self.offer.tubes[*b].bore_m));
        found.dedup();
        let carried = |tube: Index<Tube>| {
            let bore_mm = 1000.0 * self.offer.tubes[tube].bore_m;
            (tube, old_tube::radiators_carried(bore_mm, velocity_m_s, drop_k, radiator_w, &mut Off))
        };
        Seen(found.into_iter().map(carried).collect())
    }

    /// Tells how the sizes that were seen are taken to lie, or that they lie nowhere.
    pub(super) fn tell_of_seen(&mut self, seen: &Seen, runs: &List<Run>) {
        let defaults = &self.catalogue.defaults;
        let (drop_k, radiator_w) = (defaults.old_system_drop_k.value, defaults.old_radiator_w.value);
        let velocity_m_s = defaults.velocity_max_m_s.value;
        if !seen.is_any() {
            return;
        }
        if runs.iter().any(|run| run.at == AT) {
            self.notes.add(&Assumed::KeptTubes { velocity_m_s, drop_k, radiator_w });
        } else {
            self.notes.add(&Doubted::KeptTubesLeadNowhere {});
        }
    }

    /// The tube of an outside diameter: of the material that is told, or else of the one that new runs are of before any other.
    fn tube_of(&self, outside_mm: f64, material: Option<TubeMaterial>) -> Option<Index<Tube>> {
        let is_of = |tube: &Tube| (1000.0 * tube.outside_m - outside_mm).abs() <= MEASURED_WITHIN_MM;
        let tubes = &self.offer.tubes;
        if material.is_some() {
            return tubes.position(|tube| is_of(tube) && tube.material == material);
        }
        let usual = self.first_material();
        tubes.position(|tube| is_of(tube) && tube.material == usual).or_else(|| tubes.position(is_of))
    }

    fn no_such_size(&mut self, number: usize, outside_mm: f64, material: Option<TubeMaterial>) {
        let of_material = self.offer.tubes.iter().filter(|tube| material.is_none() || tube.material == material);
        let mut sizes_mm: Vec<f64> = of_material.map(|tube| (1e4 * tube.outside_m).round() / 10.0).collect();
        sizes_mm.sort_by(f64::total_cmp);
        sizes_mm.dedup();
        let sizes: Vec<String> = sizes_mm.iter().map(f64::to_string).collect();
        let what = material.map_or_else(String::new, |material| format!("{} ", material.words()));
        let has = if sizes.is_empty() { "none at all".to_owned() } else { format!("{} mm", sizes.join(", ")) };
        let detail = format!("no {what}pipe of the price book is {outside_mm} mm thick on the outside: it has {has}");
        let fault = Fault::new(format!("{AT}/outside_diameters_mm/{number}"), FaultCode::UnknownTubeSize, detail);
        self.faults.push(fault.rests_on("/commercial/price_book/products"));
    }
}
