//! What emitters cost the firm, for a comparison of designs before there is a bill.

use super::EstimateError;
use crate::catalogue::products::Product;
use crate::design::emitters::{Emitters, Standing};
use crate::design::plant::manifolds;
use crate::money::Money;
use crate::survey::Survey;

/// Cost of new radiators and fan convectors with their valves and spurs, of manifolds and of floor tube by the metre.
///
/// Before mark-up and tax, without labour and whatever is the same at every flow temperature. Where none is enough, that of
/// the strongest that fits.
///
/// # Errors
/// [`EstimateError::TooLarge`].
pub fn emitter_cost(survey: &Survey, emitters: &Emitters) -> Result<Money, EstimateError> {
    let products = &survey.book.products;
    let cost = |product: usize| products.get_index(product).map_or(Money::ZERO, |(_, product)| product.unit_cost());
    let first = |is: &dyn Fn(&Product) -> bool| {
        products.values().find(|product| is(product)).map_or(Money::ZERO, Product::unit_cost)
    };
    let valves = first(&|product| matches!(product, Product::RadiatorValves { .. }));
    let spur = first(&|product| matches!(product, Product::FusedSpur { .. }));
    let mut sum = Money::ZERO;
    for (.., radiator) in emitters.radiators() {
        match (radiator.standing, radiator.product) {
            (Standing::New | Standing::Replaced | Standing::TooSmall, Some(product)) => sum += cost(product) + valves,
            (Standing::Kept, _) | (Standing::New | Standing::Replaced | Standing::TooSmall, None) => {}
        }
    }
    sum += emitters.fan_convectors().map(|(.., unit)| cost(unit.product) + valves + spur).sum();
    let chosen = manifolds(survey, emitters).into_iter().filter_map(|(_, chosen)| chosen);
    sum += chosen.map(|manifold| cost(survey.offer.manifolds[manifold].product)).sum();
    for (room, index, floor, _) in emitters.floors() {
        let Some(tube) = survey.rooms[room].emitters[index].floor().map(|floor| floor.tube.product) else { continue };
        if let Some((_, Product::FloorTube { pack_m, unit_cost, .. })) = products.get_index(tube) {
            sum += unit_cost.times(floor.tube_m() / pack_m).ok_or(EstimateError::TooLarge)?;
        }
    }
    Ok(sum)
}
