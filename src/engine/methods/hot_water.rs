//! Hot water: how many people, how much is stored, what a day of it takes from the heat source.

use super::error::MethodError;
use super::math::max;
use super::workings::Workings;
use crate::eq;

/// What a heat source carries of space heating in design conditions.
///
/// # Source
/// Energy balance: the loss of the dwelling, what heated floors give downward, which no room gets, and what pipes lose outside
/// the heated rooms.
/// # Units
/// W.
/// # Validity
/// Steady state.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert_eq!(hot_water::space_load(3000.0, 90.0, 200.0, &mut Off), 3290.0);
/// ```
pub fn space_load(dwelling_w: f64, downward_w: f64, pipe_loss_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: load_w = dwelling_w + downward_w + pipe_loss_w);
    load_w
}

/// What a heat source gives beyond what pipes lose on the way.
///
/// # Source
/// Conservation of energy.
/// # Units
/// W.
/// # Validity
/// Not above 0 where the pipes lose all that there is.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert_eq!(hot_water::beyond_pipes(5000.0, 600.0, &mut Off), 4400.0);
/// ```
pub fn beyond_pipes(capacity_w: f64, pipe_loss_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: output_w = capacity_w - pipe_loss_w);
    output_w
}

/// Cold water that is heated (°C).
pub const COLD_C: f64 = 10.0;

/// Temperature that a demand in litres is counted at (°C).
pub const COUNTED_AT_C: f64 = 60.0;

/// People that hot water is sized for.
///
/// # Source
/// Common practice: who lives there now, or one more than there are bedrooms, whichever is more.
/// # Units
/// Counts.
/// # Validity
/// Dwellings.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert_eq!(hot_water::people(3.0, 2.0, &mut Off), 3.0);
/// assert_eq!(hot_water::people(2.0, 5.0, &mut Off), 6.0);
/// ```
pub fn people(occupants: f64, bedrooms: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: people = max(occupants, bedrooms + 1.0));
    people
}

/// Hot water of a day, as litres at [`COUNTED_AT_C`].
///
/// # Source
/// Common practice: an equal amount for each of the people.
/// # Units
/// A count, l; result l.
/// # Validity
/// Dwellings; 45 l a person is usual.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert_eq!(hot_water::daily_demand(3.0, 45.0, &mut Off), 135.0);
/// ```
pub fn daily_demand(people: f64, litres_per_person: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: demand_at_60_l = people * litres_per_person);
    demand_at_60_l
}

/// Volume at another storage temperature that holds the heat of a volume at [`COUNTED_AT_C`], from [`COLD_C`].
///
/// # Source
/// Conservation of energy, with one specific heat and density for all.
/// # Units
/// l, °C; result l.
/// # Validity
/// Storage above [`COLD_C`]. Above 60 °C less is stored and mixed down.
/// # Errors
/// [`MethodError::Impossible`] otherwise.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert!((hot_water::stored_volume(270.0, 50.0, &mut Off)? - 337.5).abs() < 1e-9);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn stored_volume(demand_at_60_l: f64, storage_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if storage_c.is_nan() || storage_c <= COLD_C {
        return Err(MethodError::Impossible { reason: "stored water must be warmer than the cold water" });
    }
    eq!(w, ENERGY_BALANCE: stored_l = demand_at_60_l * (60.0 - 10.0) / (storage_c - 10.0));
    Ok(stored_l)
}

/// Heat of a day's hot water, storage and circulation losses in it.
///
/// # Source
/// Conservation of energy: 1.163e-3 kWh warms a litre by a kelvin.
/// # Units
/// l; result kWh.
/// # Validity
/// `loss_factor` is what the heat source gives over what is drawn, 1 or more.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert!((hot_water::daily_energy(135.0, 1.2, &mut Off) - 9.4203).abs() < 1e-9);
/// ```
pub fn daily_energy(demand_at_60_l: f64, loss_factor: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: hot_water_kwh = demand_at_60_l * 1.163e-3 * (60.0 - 10.0) * loss_factor);
    hot_water_kwh
}

/// Heat that warms a whole store once more, from the temperature that it is kept at.
///
/// # Source
/// Conservation of energy: 1.163e-3 kWh warms a litre by a kelvin.
/// # Units
/// l, °C; result kWh.
/// # Validity
/// `to_c` above `storage_c`; what the store loses meanwhile is not in it.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert!((hot_water::warming_up(250.0, 50.0, 60.0, &mut Off) - 2.9075).abs() < 1e-9);
/// ```
pub fn warming_up(volume_l: f64, storage_c: f64, to_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: heat_kwh = volume_l * 1.163e-3 * (to_c - storage_c));
    heat_kwh
}

/// Hours of a day that hot water takes the heat source for.
///
/// # Source
/// Conservation of energy.
/// # Units
/// kWh, W; result h.
/// # Validity
/// `output_w` is the output while hot water is made.
/// # Errors
/// [`MethodError::Impossible`] if there is no output.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert!((hot_water::hours(7.2, 6000.0, &mut Off)? - 1.2).abs() < 1e-12);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn hours(hot_water_kwh: f64, output_w: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if output_w.is_nan() || output_w <= 0.0 {
        return Err(MethodError::Impossible { reason: "a heat source without output makes no hot water" });
    }
    eq!(w, ENERGY_BALANCE: hot_water_h = hot_water_kwh * 1000.0 / output_w);
    Ok(hot_water_h)
}

/// Output that carries a day's space loss in the hours that hot water leaves.
///
/// # Source
/// Conservation of energy over a day that heating and hot water share: the building's loss of 24 hours is made up for in those
/// that are left, what pipes lose in the load is lost in those alone.
/// # Units
/// W, h; result W, at the flow temperature of heating. The load holds what pipes lose.
/// # Validity
/// A building that stores heat for as long as hot water is made.
/// # Errors
/// [`MethodError::Impossible`] if hot water takes the whole day, or less than none of it.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert!((hot_water::needed_output(6000.0, 0.0, 1.2, &mut Off)? - 6316.0).abs() < 0.5);
/// // 600 W of it are lost by pipes: 5,400 x 24/22.8 + 600
/// assert!((hot_water::needed_output(6000.0, 600.0, 1.2, &mut Off)? - 6284.2).abs() < 0.05);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn needed_output(
    load_w: f64,
    pipe_loss_w: f64,
    hot_water_h: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    if !(0.0..24.0).contains(&hot_water_h) {
        return Err(MethodError::Impossible { reason: "hot water leaves no hour of the day for heating" });
    }
    eq!(w, ENERGY_BALANCE: needed_w = (load_w - pipe_loss_w) * 24.0 / (24.0 - hot_water_h) + pipe_loss_w);
    Ok(needed_w)
}

/// Least output that carries space loss and hot water of a day, made at one and the same output.
///
/// # Source
/// Conservation of energy: a day's hot water spread over 24 hours, on top of the loss.
/// # Units
/// W, kWh; result W.
/// # Validity
/// A bound from below: a heat source gives less at the higher flow temperature of hot water.
/// # Examples
/// ```
/// # use tundish_engine::methods::{hot_water, Off};
/// assert!((hot_water::least_output(6000.0, 7.2, &mut Off) - 6300.0).abs() < 1e-9);
/// ```
pub fn least_output(load_w: f64, hot_water_kwh: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: least_w = load_w + hot_water_kwh * 1000.0 / 24.0);
    least_w
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn the_day_is_shared_and_nothing_is_charged_twice() {
        // what runs for hot water and what runs for heating fill 24 h at the outputs found
        let (load_w, energy_kwh, output_w) = (6000.0, 7.2, 5500.0);
        let taken_h = hours(energy_kwh, output_w, &mut Off).unwrap();
        let needed_w = needed_output(load_w, 0.0, taken_h, &mut Off).unwrap();
        assert!((load_w * 24.0 / needed_w + taken_h - 24.0).abs() < 1e-12);
        assert_eq!(needed_output(load_w, 0.0, 0.0, &mut Off), Ok(load_w));
    }

    #[test]
    fn refuses_a_day_without_hours_and_a_store_that_is_cold() {
        assert!(needed_output(1000.0, 0.0, 24.0, &mut Off).is_err());
        assert!(hours(1.0, 0.0, &mut Off).is_err());
        assert!(stored_volume(100.0, 10.0, &mut Off).is_err());
    }
}
