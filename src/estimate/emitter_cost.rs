//! What emitters cost the firm, for a comparison of designs before there is a bill.

use super::EstimateError;
use crate::catalogue::products::Product;
use crate::design::emitters::{Emitters, Standing};
use crate::money::Money;
use crate::survey::Survey;

/// Cost of new radiators and fan convectors with their valves and spurs, and of floor tube by the metre: before mark-up and
/// tax, without labour and whatever is the same at every flow temperature. Where none is enough, that of the strongest that
/// fits.
///
/// # Errors
/// [`EstimateError::TooLarge`].
pub fn emitter_cost(survey: &Survey, emitters: &Emitters) -> Result<Money, EstimateError> {
    let products = &survey.book.products;
    let first = |is: &dyn Fn(&Product) -> bool| {
        products.values().find(|product| is(product)).map_or(Money::ZERO, Product::unit_cost)
    };
    let valves = first(&|product| matches!(product, Product::RadiatorValves { .. }));
    let spur = first(&|product| matches!(product, Product::FusedSpur { .. }));
    let mut sum = Money::ZERO;
    let mut add = |product: usize, connected: Money| {
        sum += products.get_index(product).map_or(Money::ZERO, |(_, product)| product.unit_cost()) + connected;
    };
    for (.., radiator) in emitters.radiators() {
        match (radiator.standing, radiator.product) {
            (Standing::New | Standing::Replaced | Standing::TooSmall, Some(product)) => add(product, valves),
            (Standing::Kept, _) | (Standing::New | Standing::Replaced | Standing::TooSmall, None) => {}
        }
    }
    for (.., unit) in emitters.fan_convectors() {
        add(unit.product, valves + spur);
    }
    for (room, index, floor, _) in emitters.floors() {
        let Some(tube) = survey.rooms[room].emitters[index].floor().map(|floor| floor.tube.product) else { continue };
        if let Some((_, Product::FloorTube { pack_m, unit_cost, .. })) = products.get_index(tube) {
            sum += unit_cost.times(floor.tube_m() / pack_m).ok_or(EstimateError::TooLarge)?;
        }
    }
    Ok(sum)
}
