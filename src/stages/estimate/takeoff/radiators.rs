//! What is hung on walls: radiators, towel rails and fan convectors, with what they are connected by.

use super::TakeOff;
use crate::catalogue::products::Product;
use crate::design::emitters::Standing;
use crate::estimate::Design;
use crate::estimate::{Unmet, Wanted};
use crate::list::Index;
use crate::survey::{HEATING, Lying};

impl TakeOff {
    pub(super) fn radiators(&mut self, design: Design<'_>) {
        let survey = design.survey;
        let mut by_product: Vec<(Index<Product>, Vec<&str>)> = Vec::new();
        let besides: u32 = survey.rooms.iter().map(|room| room.removed_radiators).sum();
        self.quantities.radiators_removed += f64::from(design.emitters.removed(survey) + besides);
        for (room, product) in design.emitters.bought() {
            match survey.book.product(product) {
                (_, Product::Radiator { towel_rail: Some(true), .. }) => self.quantities.towel_rails += 1.0,
                (_, Product::FanConvector { .. }) => self.quantities.fan_convectors += 1.0,
                _ => self.quantities.radiators += 1.0,
            }
            let room = survey.names.rooms[room].as_str();
            match by_product.iter_mut().find(|(known, _)| *known == product) {
                Some((_, rooms)) => rooms.push(room),
                None => by_product.push((product, vec![room])),
            }
        }
        by_product.sort_by_key(|(product, _)| *product);
        for (product, rooms) in by_product {
            self.add(product, count(rooms.iter()), HEATING, format!("emitters of {}", rooms.join(", ")));
        }
        self.valves(design);
        let stays = design.emitters.radiators().filter(|(_, radiator)| radiator.standing == Standing::Kept);
        self.quantities.radiators_kept = count(stays);
        let hung = design.emitters.each().filter(|(_, emitter)| emitter.kind.is_hung());
        self.quantities.emitters_served = count(hung) + self.quantities.radiators_kept;
        let tubes_stay = design.pipework.laid(survey).any(|(_, run, section)| {
            let is_read = run.laid.as_ref().is_some_and(|laid| matches!(laid.lying, Lying::Read(..)));
            section.stays() || is_read
        });
        let something_stays = tubes_stay || self.quantities.radiators_kept > 0.0;
        self.quantities.kept_systems = if something_stays { 1.0 } else { 0.0 };
        if self.quantities.fan_convectors > 0.0 {
            let is_spur = |product: &Product| matches!(product, Product::FusedSpur { .. });
            if let Some(spur) = self.first(survey, Wanted::FusedSpur, is_spur) {
                self.add(spur, self.quantities.fan_convectors, HEATING, "one a fan convector".to_owned());
            }
        }
    }

    /// The valves of what is hung: with a thermostatic head, or without one where the emitter stays open.
    fn valves(&mut self, design: Design<'_>) {
        let survey = design.survey;
        let hung = design.emitters.each().filter(|(_, emitter)| emitter.kind.is_hung()).map(|(at, _)| at);
        let (open, shut): (Vec<_>, Vec<_>) = hung.partition(|at| design.pipework.joining.open().contains(*at));
        let mut sets: Vec<(Index<Product>, f64, String)> = Vec::new();
        for (stays_open, some) in [(false, &shut), (true, &open)] {
            let count = count(some.iter());
            if some.is_empty() {
                continue;
            }
            let Some((valves, _)) = survey.radiator_valves(stays_open) else {
                self.want(Unmet::Product { product: Wanted::RadiatorValves });
                continue;
            };
            let rooms: Vec<&str> = some.iter().map(|at| survey.names.emitter(*at).0).collect();
            let why = if stays_open {
                format!("one set for each emitter that stays open: {}", rooms.join(", "))
            } else {
                "one set for each emitter that is hung".to_owned()
            };
            match sets.iter_mut().find(|(known, ..)| *known == valves) {
                Some((_, all, from)) => {
                    *all += count;
                    *from = format!("one set for each emitter that is hung, no head fitted in {}", rooms.join(", "));
                }
                None => sets.push((valves, count, why)),
            }
        }
        for (valves, count, why) in sets {
            self.add(valves, count, HEATING, why);
        }
    }
}

/// How many there are.
fn count(all: impl Iterator) -> f64 {
    f64::from(u32::try_from(all.count()).unwrap_or(u32::MAX))
}
