//! The screed over heated floors, and what it lies on and against.

use super::{Item, TakeOff, packs};
use crate::catalogue::products::Product;
use crate::estimate::{Unmet, Wanted};
use crate::list::Index;
use crate::methods::math::round_significant;
use crate::survey::{FLOOR_BUILD, HeatedFloor, Survey};

/// Whether a screed is bought with the hours of those who lay it.
pub(super) fn is_laid(product: &Product) -> bool {
    matches!(product, Product::Screed { laid: Some(true), .. })
}

impl TakeOff {
    /// So much of a screed (m³), in its steps. One visit lays it, and has a least charge where the book tells one.
    pub(super) fn screeds(&mut self, survey: &Survey, (product, volume_m3): (Index<Product>, f64)) {
        let Product::Screed { step_m3, least_charge, .. } = survey.book.product(product).1 else { return };
        self.is_laid_by_others |= is_laid(survey.book.product(product).1);
        let quantity = round_significant(packs(volume_m3, *step_m3) * step_m3, 9);
        if quantity > 0.0 {
            self.items.push(Item {
                product,
                quantity,
                supply: FLOOR_BUILD,
                quantity_from: format!("{volume_m3:.4} m3, up to the next {step_m3}"),
                is_run_tube: false,
                least_charge: *least_charge,
            });
        }
    }

    /// The screed nearest in conductivity to the one that the floor was designed with, among those of its binder or of
    /// none named; among all where none is, which is unmet.
    pub(super) fn screed(&mut self, survey: &Survey, floor: &HeatedFloor) -> Option<Index<Product>> {
        let far = |product: &Product| {
            let Product::Screed { conductivity_w_mk, .. } = product else { return None };
            Some(conductivity_w_mk.map_or(0.0, |w_mk| (w_mk - floor.screed_w_mk).abs()))
        };
        let of_binder = |product: &Product| {
            let Product::Screed { binder, .. } = product else { return None };
            far(product).filter(|_| binder.is_none_or(|binder| binder == floor.binder))
        };
        if survey.book.products.values().any(|product| of_binder(product).is_some()) {
            return self.nearest(survey, Wanted::Screed, of_binder);
        }
        let other = self.nearest(survey, Wanted::Screed, far)?;
        self.want(Unmet::ScreedBinder { binder: floor.binder });
        Some(other)
    }

    /// The layer lies over the boards, goes up the walls as high as the screed, and laps.
    pub(super) fn separating_layer(&mut self, survey: &Survey, floor_m2: f64, upstands_m2: f64) {
        let is_layer = |product: &Product| matches!(product, Product::SeparatingLayer { .. });
        let layer = self.first(survey, Wanted::SeparatingLayer, is_layer);
        if let Some((index, Product::SeparatingLayer { pack_m2, .. })) =
            layer.map(|index| (index, survey.book.product(index).1))
        {
            let laps = 1.0 + survey.defaults.separating_layer_laps.value;
            let from = format!(
                "({floor_m2:.1} m2 of floor + {upstands_m2:.1} m2 of upstands) x {laps} for laps (common practice, without a source) / {pack_m2}"
            );
            self.add(index, packs((floor_m2 + upstands_m2) * laps, *pack_m2), FLOOR_BUILD, from);
        }
    }

    pub(super) fn edge_strip(&mut self, survey: &Survey, perimeter_m: f64) {
        let strip = self.first(survey, Wanted::EdgeStrip, |product| matches!(product, Product::EdgeStrip { .. }));
        let Some((index, pack_m)) = strip.and_then(|index| match survey.book.product(index) {
            (_, Product::EdgeStrip { pack_m, .. }) => Some((index, *pack_m)),
            _ => None,
        }) else {
            return;
        };
        self.add(index, packs(perimeter_m, pack_m), FLOOR_BUILD, format!("{perimeter_m:.1} m / {pack_m}"));
    }
}
