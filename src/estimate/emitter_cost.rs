//! What emitters cost the firm, for a comparison of designs before there is a bill.

use super::EstimateError;
use crate::catalogue::products::Product;
use crate::design::emitters::{Emitters, Standing};
use crate::money::Money;
use crate::survey::Survey;

/// Cost of new radiators with their valves, of fan convectors, and of floor tube by the metre: before mark-up and tax,
/// without labour and whatever is the same at every flow temperature.
///
/// # Errors
/// [`EstimateError::TooLarge`].
pub fn emitter_cost(survey: &Survey, emitters: &Emitters) -> Result<Money, EstimateError> {
    let products = &survey.book.products;
    let valves = products.values().find(|product| matches!(product, Product::RadiatorValves { .. }));
    let mut sum = Money::ZERO;
    for (.., radiator) in emitters.radiators() {
        let (false, Some(product)) = (radiator.standing == Standing::Kept, radiator.product) else { continue };
        sum += products.get_index(product).map_or(Money::ZERO, |(_, product)| product.unit_cost());
        sum += valves.map_or(Money::ZERO, Product::unit_cost);
    }
    for (.., fan) in emitters.fan_convectors() {
        sum += products.get_index(fan.product).map_or(Money::ZERO, |(_, product)| product.unit_cost());
    }
    for (room, index, floor, _) in emitters.floors() {
        let Some(tube) = survey.rooms[room].emitters[index].floor().map(|floor| floor.tube.product) else { continue };
        if let Some((_, Product::FloorTube { pack_m, unit_cost, .. })) = products.get_index(tube) {
            sum += unit_cost.times(floor.tube_m() / pack_m).ok_or(EstimateError::TooLarge)?;
        }
    }
    Ok(sum)
}
