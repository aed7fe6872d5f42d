//! Height of a storey, from floor to floor.

use super::workings::Workings;
use crate::eq;

/// Height from floor to floor.
///
/// # Source
/// Geometry.
/// # Units
/// m.
/// # Validity
/// Level floors.
/// # Examples
/// ```
/// # use tundish_engine::methods::{storey, Off};
/// assert!((storey::height(2.4, 0.3, &mut Off) - 2.7).abs() < 1e-12);
/// ```
pub fn height(room_m: f64, floor_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: storey_m = room_m + floor_m);
    storey_m
}

/// Height that rooms of a storey usually have: half of the floor area has no more. A hall that is open to the roof does not
/// raise a storey. Rooms are height (m) and floor area (m²); nothing where there is none.
///
/// # Source
/// The median by floor area.
/// # Units
/// m, m²; result m.
/// # Validity
/// Any rooms.
/// # Examples
/// ```
/// # use tundish_engine::methods::storey;
/// assert_eq!(storey::usual(&mut [(5.2, 49.0), (2.7, 63.0)]), Some(2.7));
/// ```
pub fn usual(rooms: &mut [(f64, f64)]) -> Option<f64> {
    rooms.sort_by(|a, b| a.0.total_cmp(&b.0));
    let all_m2: f64 = rooms.iter().map(|(_, area_m2)| area_m2).sum();
    let mut below_m2 = 0.0;
    let reaches_half = |(_, area_m2): &&(f64, f64)| {
        below_m2 += area_m2;
        2.0 * below_m2 >= all_m2
    };
    rooms.iter().find(reaches_half).or(rooms.last()).map(|(height_m, _)| *height_m)
}
