//! What is hung on walls: radiators, towel rails and fan convectors, with what they are connected by.

use super::TakeOff;
use crate::catalogue::products::Product;
use crate::estimate::Design;
use crate::estimate::Wanted;
use crate::list::Index;
use crate::survey::HEATING;

impl TakeOff {
    pub(super) fn radiators(&mut self, design: Design<'_>) {
        let survey = design.survey;
        let mut by_product: Vec<(Index<Product>, Vec<&str>)> = Vec::new();
        let mut all = 0.0;
        let besides: u32 = survey.rooms.iter().map(|room| room.removed_radiators).sum();
        self.quantities.radiators_removed += f64::from(design.emitters.removed(survey) + besides);
        for (room, product) in design.emitters.bought() {
            all += 1.0;
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
            let count = f64::from(u32::try_from(rooms.len()).unwrap_or(u32::MAX));
            self.add(product, count, HEATING, format!("emitters of {}", rooms.join(", ")));
        }
        if all > 0.0 {
            let is_set = |product: &Product| matches!(product, Product::RadiatorValves { .. });
            if let Some(valves) = self.first(survey, Wanted::RadiatorValves, is_set) {
                self.add(valves, all, HEATING, "one set an emitter that is hung".to_owned());
            }
        }
        if self.quantities.fan_convectors > 0.0 {
            let is_spur = |product: &Product| matches!(product, Product::FusedSpur { .. });
            if let Some(spur) = self.first(survey, Wanted::FusedSpur, is_spur) {
                self.add(spur, self.quantities.fan_convectors, HEATING, "one a fan convector".to_owned());
            }
        }
    }
}
