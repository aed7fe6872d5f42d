//! What emitters cost the firm, for a comparison of designs before there is a bill.

use super::EstimateError;
use crate::catalogue::products::Product;
use crate::design::emitters::{Emitters, Standing};
use crate::design::plant::manifolds;
use crate::list::Index;
use crate::money::Money;
use crate::survey::Survey;

/// What is counted where no radiator or fan convector that fits is enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counted {
    /// The strongest: the least that it would take.
    Strongest,
    /// Nothing, as nothing is bought.
    Bought,
}

/// Cost of new radiators and fan convectors with their valves and spurs, of manifolds and of floor tube by the metre.
///
/// Before mark-up and tax, without labour and whatever is the same at every flow temperature.
///
/// # Errors
/// [`EstimateError::TooLarge`].
pub fn emitter_cost(survey: &Survey, emitters: &Emitters, counted: Counted) -> Result<Money, EstimateError> {
    let products = &survey.book.products;
    let cost = |product: Index<Product>| survey.book.product(product).1.unit_cost();
    let first = |is: &dyn Fn(&Product) -> bool| {
        products.values().find(|product| is(product)).map_or(Money::ZERO, Product::unit_cost)
    };
    let valves = survey.radiator_valves(false).map_or(Money::ZERO, |(index, _)| cost(index));
    let spur = first(&|product| matches!(product, Product::FusedSpur { .. }));
    let counts = |is_enough: bool| is_enough || counted == Counted::Strongest;
    let mut sum = Money::ZERO;
    for (.., radiator) in emitters.radiators() {
        match (radiator.standing, radiator.product) {
            (Standing::New | Standing::Replaced, Some(product)) => sum += cost(product) + valves,
            (Standing::TooSmall, Some(product)) if counts(false) => sum += cost(product) + valves,
            (Standing::Kept | Standing::New | Standing::Replaced | Standing::TooSmall, _) => {}
        }
    }
    let units = emitters.fan_convectors().filter(|(.., unit)| counts(unit.is_enough));
    sum += units.map(|(.., unit)| cost(unit.product) + valves + spur).sum();
    let chosen = manifolds(survey, emitters).into_iter().filter_map(|(_, chosen)| chosen);
    sum += chosen.map(|manifold| cost(survey.offer.manifolds[manifold].product)).sum();
    for (at, floor, _) in emitters.floors() {
        let Some(tube) = survey.emitter(at).floor().map(|floor| floor.tube.product) else { continue };
        if let (_, Product::FloorTube { pack_m, unit_cost, .. }) = survey.book.product(tube) {
            sum += unit_cost.times(floor.tube_m() / pack_m).ok_or(EstimateError::TooLarge)?;
        }
    }
    Ok(sum)
}
