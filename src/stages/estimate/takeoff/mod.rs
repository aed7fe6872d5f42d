//! Quantities from the design, product by product, each with where it comes from.

mod floors;
mod pipes;
mod radiators;
mod screeds;

use super::{Design, EstimateError};
use crate::catalogue::products::Product;
use crate::estimate::{Unmet, Wanted};
use crate::list::Index;
use crate::money::Money;
use crate::survey::{HEATING, Survey};

/// A product and how much of it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    /// Index in the book.
    pub product: Index<Product>,
    /// Quantity in the product's own unit, packs rounded up to whole ones.
    pub quantity: f64,
    /// Supply for tax.
    pub supply: &'static str,
    /// Where the quantity comes from.
    pub quantity_from: String,
    /// Whether it is tube of the runs, whose cost carries the fittings.
    pub is_run_tube: bool,
    /// What all of it costs at least.
    pub least_charge: Option<Money>,
}

/// What the labour norms are counted by.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Quantities {
    /// Heated floor (m²).
    pub floor_m2: f64,
    /// Heated floor whose screed the firm lays itself (m²).
    pub screed_m2: f64,
    /// Floor tube in its loops (m).
    pub loop_m: f64,
    /// Manifolds.
    pub manifolds: f64,
    /// New tube in the runs, both legs (m).
    pub tube_m: f64,
    /// Tube that is insulated, both legs (m).
    pub insulation_m: f64,
    /// Heat sources set.
    pub heat_sources: f64,
    /// Cylinders set.
    pub cylinders: f64,
    /// Buffer vessels set.
    pub buffer_vessels: f64,
    /// Bypass valves set.
    pub bypass_valves: f64,
    /// Room thermostats of heated floors fitted.
    pub room_thermostats: f64,
    /// Radiators hung, without towel rails.
    pub radiators: f64,
    /// Towel rails hung.
    pub towel_rails: f64,
    /// Fan convectors hung.
    pub fan_convectors: f64,
    /// Radiators taken out.
    pub radiators_removed: f64,
    /// Loops of heated floors.
    pub loops: f64,
    /// Radiators, towel rails and fan convectors that the system serves, new or not.
    pub emitters_served: f64,
    /// One where tubes or radiators stay.
    pub kept_systems: f64,
    /// Radiators that stay.
    pub radiators_kept: f64,
    /// Water of the system (l).
    pub system_l: f64,
}

/// Everything that is taken off a design.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct TakeOff {
    pub items: Vec<Item>,
    pub quantities: Quantities,
    pub unmet: Vec<Unmet>,
    /// Whether another trade comes to lay a screed.
    pub is_laid_by_others: bool,
}

/// Whole packs; a quantity that fills its last pack to the last digit needs no more.
fn packs(quantity: f64, pack: f64) -> f64 {
    (quantity / pack - 1e-9).ceil().max(0.0)
}

/// Takes a design off.
pub(super) fn take_off(design: Design<'_>) -> Result<TakeOff, EstimateError> {
    let mut taken = TakeOff::default();
    taken.radiators(design);
    taken.floors(design);
    taken.runs(design);
    taken.plant(design)?;
    Ok(taken)
}

impl TakeOff {
    fn add(&mut self, product: Index<Product>, quantity: f64, supply: &'static str, quantity_from: String) {
        if quantity > 0.0 {
            self.items.push(Item { product, quantity, supply, quantity_from, is_run_tube: false, least_charge: None });
        }
    }

    /// A need that is told once.
    fn want(&mut self, unmet: Unmet) {
        if !self.unmet.contains(&unmet) {
            self.unmet.push(unmet);
        }
    }

    /// The first product of a kind, or the want of it.
    fn first(&mut self, survey: &Survey, wanted: Wanted, is: impl Fn(&Product) -> bool) -> Option<Index<Product>> {
        let found = survey.book.enumerate().find(|(_, product)| is(product)).map(|(index, _)| index);
        if found.is_none() {
            self.unmet.push(Unmet::Product { product: wanted });
        }
        found
    }

    fn plant(&mut self, design: Design<'_>) -> Result<(), EstimateError> {
        let (survey, plant) = (design.survey, design.plant);
        match design.source.chosen.map(|index| survey.offer.heat_sources[index].product) {
            Some(Some(product)) => self.add(
                product,
                1.0,
                HEATING,
                "the smallest that heats house and hot water on the design day".to_owned(),
            ),
            Some(None) => self.unmet.push(Unmet::GivenHeatSource {}),
            None => {}
        }
        self.quantities.heat_sources = if design.source.chosen.is_some() { 1.0 } else { 0.0 };
        if let Some(cylinder) = plant.cylinder {
            self.quantities.cylinders = 1.0;
            self.add(survey.offer.cylinders[cylinder].product, 1.0, HEATING, "hot water of a day".to_owned());
        }
        if let Some(vessel) = plant.vessel.chosen {
            self.add(survey.offer.vessels[vessel].product, 1.0, HEATING, "expansion of the system's water".to_owned());
        }
        if let Some(kit) = self.first(survey, Wanted::PlantKit, |product| matches!(product, Product::PlantKit { .. })) {
            self.add(kit, 1.0, HEATING, "one a plant room".to_owned());
        }
        let system_l = plant.content.total_l();
        self.quantities.system_l = system_l;
        self.joined(design);
        self.treated(design, system_l)
    }
}

/// The entry of a product in a short list, made if it is not there.
fn entry<T: Default>(list: &mut Vec<(Index<Product>, T)>, product: Index<Product>) -> &mut T {
    let at = list.iter().position(|(known, _)| *known == product).unwrap_or_else(|| {
        list.push((product, T::default()));
        list.len() - 1
    });
    &mut list[at].1
}
