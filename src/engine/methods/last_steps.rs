//! The last step to a figure that is told: a share by area, the lesser of two, another unit.

use super::math::{max, min};
use super::workings::Workings;
use crate::eq;

/// Heat of an area.
///
/// # Source
/// Heat by area, times the area.
/// # Units
/// m², W/m²; result W.
/// # Validity
/// Even all over.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::over_area(12.0, 50.0, &mut Off), 600.0);
/// ```
pub fn over_area(area_m2: f64, heat_w_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: area_w = area_m2 * heat_w_m2);
    area_w
}

/// Heat by area, of all zones together.
///
/// # Source
/// Heat over the area.
/// # Units
/// W, m²; result W/m².
/// # Validity
/// `area_m2` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::by_area(600.0, 12.0, &mut Off), 50.0);
/// ```
pub fn by_area(heat_w: f64, area_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: mean_w_m2 = heat_w / area_m2);
    mean_w_m2
}

/// Heat of a part of an area, by the whole of it.
///
/// # Source
/// A share of the area has that share of the heat.
/// # Units
/// A share, W/m²; result W/m².
/// # Validity
/// `share` of 0 to 1.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::of_part(0.25, 8.0, &mut Off), 2.0);
/// ```
pub fn of_part(share: f64, heat_w_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: part_w_m2 = share * heat_w_m2);
    part_w_m2
}

/// Output that a limit lets through.
///
/// # Source
/// The lesser of the two.
/// # Units
/// W/m².
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::within_limit(60.0, 50.0, &mut Off), 50.0);
/// ```
pub fn within_limit(free_w_m2: f64, limit_w_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_1264_2: held_w_m2 = min(free_w_m2, limit_w_m2));
    held_w_m2
}

/// Output that is no less than another.
///
/// # Source
/// The greater of the two.
/// # Units
/// W.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::no_less(60.0, 80.0, &mut Off), 80.0);
/// ```
pub fn no_less(output_w: f64, least_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: greater_w = max(output_w, least_w));
    greater_w
}

/// What is carried of a load.
///
/// # Source
/// The lesser of the load and of what can be given.
/// # Units
/// W.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::no_more(60.0, 50.0, &mut Off), 50.0);
/// ```
pub fn no_more(load_w: f64, most_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: carried_w = min(load_w, most_w));
    carried_w
}

/// Flow that is no less than two others.
///
/// # Source
/// The greatest of the three.
/// # Units
/// kg/s.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::greatest_flow(0.01, 0.02, 0.005, &mut Off), 0.02);
/// ```
pub fn greatest_flow(at_load_kg_s: f64, nominal_kg_s: f64, least_kg_s: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: set_kg_s = max(at_load_kg_s, max(nominal_kg_s, least_kg_s)));
    set_kg_s
}

/// Pressure drop of the worst of ways side by side, looked at one after the other.
///
/// # Source
/// The greater of the two.
/// # Units
/// Pa.
/// # Validity
/// Ways that part and meet at the same places.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::worst_pa(800.0, 900.0, &mut Off), 900.0);
/// ```
pub fn worst_pa(so_far_pa: f64, way_pa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: worst_pa = max(so_far_pa, way_pa));
    worst_pa
}

/// What a way takes less than another beside it, which its valve must take.
///
/// # Source
/// Ways side by side take the same pressure.
/// # Units
/// Pa.
/// # Validity
/// `most_pa` the greatest of them; rounding leaves nothing below 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::excess_pa(900.0, 800.0, &mut Off), 100.0);
/// ```
pub fn excess_pa(most_pa: f64, way_pa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: excess_pa = max(most_pa - way_pa, 0.0));
    excess_pa
}

/// Pressure in kilopascals.
///
/// # Source
/// Definition of the unit.
/// # Units
/// Pa; result kPa.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::kpa(1500.0, &mut Off), 1.5);
/// ```
pub fn kpa(pressure_pa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: pressure_kpa = pressure_pa / 1000.0);
    pressure_kpa
}

/// Flow of each of so many alike, by the minute.
///
/// # Source
/// Conservation of mass; 60 minutes to the hour.
/// # Units
/// l/h; result l/min.
/// # Validity
/// `count` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::each_l_min(240.0, 2.0, &mut Off), 2.0);
/// ```
pub fn each_l_min(flow_l_h: f64, count: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: each_l_min = flow_l_h / 60.0 / count);
    each_l_min
}

/// Temperature that lies so much above another.
///
/// # Source
/// Definition of a difference.
/// # Units
/// °C, K; result °C.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::warmer_by(20.0, 4.5, &mut Off), 24.5);
/// ```
pub fn warmer_by(below_c: f64, difference_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: level_c = below_c + difference_k);
    level_c
}

/// Temperature that lies so much below another.
///
/// # Source
/// Definition of a difference.
/// # Units
/// °C, K; result °C.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::cooler_by(20.0, 4.5, &mut Off), 15.5);
/// ```
pub fn cooler_by(above_c: f64, difference_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: level_c = above_c - difference_k);
    level_c
}

/// Temperature that is no lower than another.
///
/// # Source
/// The higher of the two.
/// # Units
/// °C.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::no_cooler(16.0, 18.0, &mut Off), 18.0);
/// ```
pub fn no_cooler(level_c: f64, least_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: held_c = max(level_c, least_c));
    held_c
}

/// Temperature that is no higher than another.
///
/// # Source
/// The lower of the two.
/// # Units
/// °C.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::no_warmer(16.0, 18.0, &mut Off), 16.0);
/// ```
pub fn no_warmer(level_c: f64, most_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: held_c = min(level_c, most_c));
    held_c
}

/// What passes the outer boundary of a room: all but what it gives to its neighbours.
///
/// # Source
/// EN 12831: flows between rooms cancel in the dwelling.
/// # Units
/// W.
/// # Validity
/// Signed.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::beyond_others(500.0, 80.0, &mut Off), 420.0);
/// ```
pub fn beyond_others(transmission_w: f64, to_rooms_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: outer_w = transmission_w - to_rooms_w);
    outer_w
}

/// Difference between two temperatures.
///
/// # Source
/// Definition of a difference.
/// # Units
/// °C; result K.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::difference(35.5, 20.0, &mut Off), 15.5);
/// ```
pub fn difference(above_c: f64, below_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: difference_k = above_c - below_c);
    difference_k
}

/// Difference that data are read at, which end at the greatest.
///
/// # Source
/// The lesser of the two.
/// # Units
/// K.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::lesser_difference(15.5, 12.0, &mut Off), 12.0);
/// ```
pub fn lesser_difference(difference_k: f64, greatest_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, DECLARED_DATA: read_at_k = min(difference_k, greatest_k));
    read_at_k
}

/// Heat that is left to carry where some is given already.
///
/// # Source
/// Conservation of energy.
/// # Units
/// W.
/// # Validity
/// Nothing where more is given.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::left_to_carry(500.0, 80.0, &mut Off), 420.0);
/// ```
pub fn left_to_carry(whole_w: f64, given_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: left_w = max(whole_w - given_w, 0.0));
    left_w
}

/// A share of a heat.
///
/// # Source
/// Definition of a share.
/// # Units
/// A share, W; result W.
/// # Validity
/// `share` of 0 to 1.
/// # Examples
/// ```
/// # use tundish_engine::methods::{last_steps, Off};
/// assert_eq!(last_steps::share_of(0.25, 400.0, &mut Off), 100.0);
/// ```
pub fn share_of(share: f64, whole_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: part_w = share * whole_w);
    part_w
}
