//! Cooling through a floor: what it takes from its room, with the surface kept warm enough.

use super::surfaces::{Surface, excess, output};
use crate::eq;
use crate::methods::error::MethodError;
use crate::methods::log_mean;
use crate::methods::math::{exp, ln, min};
use crate::methods::workings::Workings;

/// A room that is cooled, and the water that cools it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooled {
    /// Temperature of the room (°C).
    pub room_c: f64,
    /// Flow temperature (°C).
    pub flow_c: f64,
    /// Rise between flow and return (K).
    pub rise_k: f64,
    /// Lowest mean surface temperature that is allowed (°C).
    pub surface_min_c: f64,
}

/// A floor that cools.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooling {
    /// What it takes from the room (W/m²).
    pub output_w_m2: f64,
    /// Mean temperature of its surface (°C).
    pub surface_c: f64,
    /// Coldest flow temperature, at the same rise, at which the surface stays allowed (°C).
    pub flow_least_c: f64,
    /// Whether the surface holds the output back.
    pub held_back: bool,
}

/// What a floor takes from its room.
///
/// # Source
/// ISO 11855-2: output by the slope for cooling and the logarithmic mean of the water below the room; surface by
/// q = 7·Δ. Where the water would cool the surface below what is allowed, the output is that of the surface at its
/// limit, and the water must come warmer.
/// # Units
/// Slope W/(m²K), °C, K.
/// # Validity
/// Water that comes colder than the room; a slope above 0. Water that would come back no colder than the room takes nothing
/// at that rise. The mean surface is held, not its coldest spot.
/// # Errors
/// [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_11855_2::{Cooled, cool}, Off};
/// let water = Cooled { room_c: 26.0, flow_c: 18.0, rise_k: 3.0, surface_min_c: 20.0 };
/// let cooling = cool(4.1972, water, &mut Off)?;
/// // 3/ln(8/5) = 6.3828 K, 26.79 W/m², 26 - 26.79/7 = 22.17 °C
/// assert!((cooling.output_w_m2 - 26.79).abs() < 0.005 && (cooling.surface_c - 22.17).abs() < 0.005);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn cool(kh_w_m2k: f64, water: Cooled, w: &mut impl Workings) -> Result<Cooling, MethodError> {
    let Cooled { room_c, flow_c, rise_k, surface_min_c } = water;
    if !(kh_w_m2k > 0.0 && rise_k > 0.0 && flow_c < room_c) {
        return Err(MethodError::Impossible {
            reason: "a cooled floor needs a slope, and its water a rise from below the room",
        });
    }
    let (flow_below_k, return_below_k) = (room_c - flow_c, room_c - flow_c - rise_k);
    if return_below_k <= 0.0 {
        return Ok(Cooling { output_w_m2: 0.0, surface_c: room_c, flow_least_c: room_c, held_back: false });
    }
    log_mean::mean(flow_below_k, return_below_k)?;
    let mut scope = w.within("output_w");
    let to = &mut scope;
    eq!(to, ISO_11855_2: below_k = rise_k / ln(flow_below_k / return_below_k));
    eq!(to, ISO_11855_2: free_w_m2 = kh_w_m2k * below_k);
    let most_k = (room_c - surface_min_c).max(0.0);
    let most_w_m2 = output(Surface::FloorCooling, most_k, to);
    let held_back = free_w_m2 > most_w_m2;
    eq!(to, ISO_11855_2: output_w_m2 = min(free_w_m2, most_w_m2));
    drop(scope);
    let mut scope = w.within("floor_surface_c");
    let to = &mut scope;
    let surface_excess_k = excess(Surface::FloorCooling, output_w_m2, to);
    eq!(to, ISO_11855_2: surface_c = room_c - surface_excess_k);
    drop(scope);
    let flow_least_c = if most_w_m2 > 0.0 {
        let to = &mut w.within("flow_temperature_least_c");
        eq!(to, ISO_11855_2: flow_least_c = room_c - rise_k / (1.0 - exp(-rise_k * kh_w_m2k / most_w_m2)));
        flow_least_c
    } else {
        room_c
    };
    Ok(Cooling { output_w_m2, surface_c, flow_least_c, held_back })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    const WATER: Cooled = Cooled { room_c: 26.0, flow_c: 14.0, rise_k: 3.0, surface_min_c: 20.0 };

    #[test]
    fn the_surface_stays_allowed_and_the_least_flow_holds_it_there() {
        let held = cool(4.2, WATER, &mut Off).unwrap();
        assert!(held.held_back && (held.surface_c - 20.0).abs() < 1e-12 && (held.output_w_m2 - 42.0).abs() < 1e-12);
        let at_least = cool(4.2, Cooled { flow_c: held.flow_least_c, ..WATER }, &mut Off).unwrap();
        assert!((at_least.output_w_m2 - 42.0).abs() < 1e-9, "{at_least:?}");
        let free = cool(4.2, Cooled { flow_c: held.flow_least_c + 0.5, ..WATER }, &mut Off).unwrap();
        assert!(!free.held_back && free.surface_c > 20.0);
    }

    #[test]
    fn a_room_no_warmer_than_the_surface_may_be_is_not_cooled() {
        let none = cool(4.2, Cooled { surface_min_c: 26.5, ..WATER }, &mut Off).unwrap();
        assert!(none.output_w_m2 <= 0.0 && none.held_back);
        assert!(cool(4.2, Cooled { flow_c: 24.0, ..WATER }, &mut Off).unwrap().output_w_m2 <= 0.0);
        assert!(cool(4.2, Cooled { flow_c: 26.0, ..WATER }, &mut Off).is_err());
        assert!(cool(0.0, WATER, &mut Off).is_err());
    }
}
