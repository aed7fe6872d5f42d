//! Design heat loss of a room, steady state, by EN 12831:2003.
//!
//! Losses are signed: an element towards something warmer gains heat, and its figure is negative.

use super::workings::Workings;
use crate::eq;

/// Correction for the annual swing of the outside temperature, on heat lost to the ground (fg1).
pub const GROUND_SWING: f64 = 1.45;

/// Correction for ground water deeper than 1 m below the slab (Gw).
pub const GROUND_WATER_DEEP: f64 = 1.0;

/// Heat that a cubic metre of air carries per kelvin (Wh/(m³K)).
pub const AIR_HEAT_WH_M3K: f64 = 0.34;

/// Transmission through one element: area times U-value times the temperature difference that stands across it.
///
/// # Source
/// EN 12831:2003, transmission heat loss. The standard writes the difference to outside times a temperature
/// factor; here the product of the two is the difference itself.
/// # Units
/// m², W/(m²K), K; result W.
/// # Validity
/// Steady state. The difference is negative towards something warmer.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// // a wall of 10 m² at 0.3 W/(m²K) between 21 °C and −3 °C
/// assert!((en_12831::transmission(10.0, 0.3, 24.0, &mut Off) - 72.0).abs() < 1e-9);
/// ```
pub fn transmission(area_m2: f64, u_value_w_m2k: f64, difference_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: transmission_w = area_m2 * u_value_w_m2k * difference_k);
    transmission_w
}

/// Loss of the thermal bridges of one element, by an addition to its U-value.
///
/// # Source
/// EN 12831:2003, thermal bridges by a correction of the U-value: area times addition times difference.
/// # Units
/// m², W/(m²K), K; result W.
/// # Validity
/// As [`transmission`].
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert!((en_12831::bridging_by_allowance(10.0, 0.05, 24.0, &mut Off) - 12.0).abs() < 1e-9);
/// ```
pub fn bridging_by_allowance(area_m2: f64, allowance_w_m2k: f64, difference_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: thermal_bridging_w = area_m2 * allowance_w_m2k * difference_k);
    thermal_bridging_w
}

/// Loss of thermal bridges that are given as a heat loss coefficient.
///
/// # Source
/// EN 12831:2003, the sum of linear transmittance times length.
/// # Units
/// W/K, °C; result W.
/// # Validity
/// Bridges to outside.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert!((en_12831::bridging_by_coefficient(2.0, 21.0, -3.0, &mut Off) - 48.0).abs() < 1e-9);
/// ```
pub fn bridging_by_coefficient(coefficient_w_k: f64, inside_c: f64, outside_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: thermal_bridging_w = coefficient_w_k * (inside_c - outside_c));
    thermal_bridging_w
}

/// Difference that stands across an element to the ground in design conditions.
///
/// # Source
/// EN 12831:2003, heat loss to the ground: fg1 · fg2 · Gw · (θi − θe) with fg2 = (θi − θm,e)/(θi − θe).
/// # Units
/// °C; result K.
/// # Validity
/// `ground_water` is 1.0 for a water table deeper than 1 m below the slab, otherwise 1.15.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// let k = en_12831::ground_difference(21.0, 10.0, en_12831::GROUND_WATER_DEEP, &mut Off);
/// assert!((k - 15.95).abs() < 1e-9);
/// ```
pub fn ground_difference(inside_c: f64, annual_mean_c: f64, ground_water: f64, w: &mut impl Workings) -> f64 {
    let ground_swing = GROUND_SWING;
    eq!(w, EN_12831: difference_k = ground_swing * ground_water * (inside_c - annual_mean_c));
    difference_k
}

/// Difference that stands across an element to an unheated space.
///
/// # Source
/// EN 12831:2003, heat loss through unheated spaces: the reduction factor times the difference to outside.
/// # Units
/// °C and a ratio of 0–1; result K.
/// # Validity
/// `factor` between 0 (as warm as the room) and 1 (as cold as outside).
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert!((en_12831::unheated_difference(0.5, 20.0, -4.0, &mut Off) - 12.0).abs() < 1e-9);
/// ```
pub fn unheated_difference(factor: f64, inside_c: f64, outside_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: difference_k = factor * (inside_c - outside_c));
    difference_k
}

/// Difference to another space of known temperature: a neighbouring room, an adjoining dwelling, outside.
///
/// # Source
/// EN 12831:2003, heat loss to spaces heated to another temperature.
/// # Units
/// °C; result K, negative towards a warmer space.
/// # Validity
/// Any temperatures.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert_eq!(en_12831::difference(18.0, 21.0, &mut Off), -3.0);
/// ```
pub fn difference(inside_c: f64, other_side_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: difference_k = inside_c - other_side_c);
    difference_k
}

/// Temperature of an adjoining dwelling by the rule of the mean.
///
/// # Source
/// EN 12831:2003, temperature of an adjacent building entity: the mean of the room's own design temperature and
/// the annual mean outside.
/// # Units
/// °C.
/// # Validity
/// Where the neighbour's own temperature is not known.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert_eq!(en_12831::adjoining_by_mean(21.0, 10.0, &mut Off), 15.5);
/// ```
#[expect(clippy::manual_midpoint, reason = "the formula as the standard prints it; temperatures cannot overflow")]
pub fn adjoining_by_mean(inside_c: f64, annual_mean_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: adjoining_c = (inside_c + annual_mean_c) / 2.0);
    adjoining_c
}

/// Heat loss coefficient of one junction.
///
/// # Source
/// EN 12831:2003, linear transmittance times length.
/// # Units
/// m, W/(mK); result W/K.
/// # Validity
/// Bridges to outside.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert!((en_12831::junction(12.0, 0.05, &mut Off) - 0.6).abs() < 1e-12);
/// ```
pub fn junction(length_m: f64, psi_w_mk: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: junction_w_k = length_m * psi_w_mk);
    junction_w_k
}

/// A room's share of a heat loss coefficient that is given for the whole dwelling.
///
/// # Source
/// Common practice: by exposed area. No standard says how such a figure falls to rooms.
/// # Units
/// W/K, m²; result W/K.
/// # Validity
/// `exposed_dwelling_m2` above 0.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert_eq!(en_12831::share_of_bridges(12.0, 25.0, 100.0, &mut Off), 3.0);
/// ```
pub fn share_of_bridges(dwelling_w_k: f64, exposed_m2: f64, exposed_dwelling_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: share_w_k = dwelling_w_k * exposed_m2 / exposed_dwelling_m2);
    share_w_k
}

/// Volume of a room.
///
/// # Source
/// Floor area times mean height, inside dimensions.
/// # Units
/// m², m; result m³.
/// # Validity
/// `height_m` is the mean height over the floor.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert_eq!(en_12831::volume(16.0, 2.5, &mut Off), 40.0);
/// ```
pub fn volume(floor_area_m2: f64, height_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: volume_m3 = floor_area_m2 * height_m);
    volume_m3
}

/// Air flow of a room by its air changes.
///
/// # Source
/// EN 12831:2003, minimum air flow: air changes times inside volume.
/// # Units
/// 1/h, m³; result m³/h.
/// # Validity
/// Prescribed air changes.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert_eq!(en_12831::air_flow(0.5, 40.0, &mut Off), 20.0);
/// ```
pub fn air_flow(air_changes_per_h: f64, volume_m3: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: air_flow_m3_h = air_changes_per_h * volume_m3);
    air_flow_m3_h
}

/// Heat that an air flow takes from a room.
///
/// # Source
/// EN 12831:2003, ventilation heat loss: 0.34 · V̇ · (θi − θ of the air). The constant is an input, because
/// sources use 0.33, 1/3 or 0.34.
/// # Units
/// Wh/(m³K), m³/h, °C; result W.
/// # Validity
/// Sensible heat only. Air warmer than the room gives a negative figure.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// // 40 m³ changed every two hours, 21 °C inside, −3 °C outside
/// let lost = en_12831::ventilation(en_12831::AIR_HEAT_WH_M3K, 20.0, 21.0, -3.0, &mut Off);
/// assert!((lost - 163.2).abs() < 1e-9);
/// ```
pub fn ventilation(air_heat_wh_m3k: f64, air_flow_m3_h: f64, inside_c: f64, air_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: ventilation_w = air_heat_wh_m3k * air_flow_m3_h * (inside_c - air_c));
    ventilation_w
}

/// Temperature of supply air behind heat recovery.
///
/// # Source
/// EN 12831:2003, mechanical ventilation: supply temperature from the efficiency of the heat recovery.
/// # Units
/// A ratio of 0–1, °C; result °C.
/// # Validity
/// `efficiency` is the temperature ratio of the exchanger, 0–1.
/// # Examples
/// ```
/// # use tundish::methods::{en_12831, Off};
/// assert!((en_12831::supply_temperature(0.85, 22.67, -18.0, &mut Off) - 16.57).abs() < 0.01);
/// ```
pub fn supply_temperature(efficiency: f64, extract_c: f64, outside_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: supply_c = outside_c + efficiency * (extract_c - outside_c));
    supply_c
}
