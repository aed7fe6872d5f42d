//! Design heat loss of a room, steady state, by EN 12831:2003.
//!
//! Losses are signed: an element towards something warmer gains heat, and its figure is negative.

mod air;

pub use air::{
    AIR_HEAT_WH_M3K, Shielding, air_changes_at_50_pa, air_flow, at_one_time, height_correction, infiltration,
    middle_height, natural_air_flow, overflow_share, shielding, simultaneous_ventilation, supply_temperature,
    ventilation, ventilation_of_rooms, volume,
};

use super::error::MethodError;
use super::math::max;
use super::workings::Workings;
use crate::eq;

/// Correction for the annual swing of the outside temperature, on heat lost to the ground (fg1).
pub const GROUND_SWING: f64 = 1.45;

/// Correction for ground water deeper than 1 m below the slab (Gw).
pub const GROUND_WATER_DEEP: f64 = 1.0;
/// Correction for ground water less than 1 m below the slab (Gw).
pub const GROUND_WATER_NEAR: f64 = 1.15;

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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// `ground_water` is 1.0 for a water table deeper than 1 m below the slab, otherwise 1.15. A room that is colder than the mean
/// of the year gains: fg1 and Gw are corrections of losses, and 1 then.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::ground_difference(6.0, 10.0, en_12831::GROUND_WATER_NEAR, &mut Off), -4.0);
/// let k = en_12831::ground_difference(21.0, 10.0, en_12831::GROUND_WATER_DEEP, &mut Off);
/// assert!((k - 15.95).abs() < 1e-9);
/// ```
pub fn ground_difference(inside_c: f64, annual_mean_c: f64, ground_water: f64, w: &mut impl Workings) -> f64 {
    let (ground_swing, ground_water) = for_losses(inside_c >= annual_mean_c, ground_water);
    eq!(w, EN_12831: difference_k = ground_swing * ground_water * (inside_c - annual_mean_c));
    difference_k
}

/// The corrections fg1 and Gw, which raise what is lost to the ground: what the ground gives is not raised by them.
fn for_losses(loses: bool, ground_water: f64) -> (f64, f64) {
    if loses { (GROUND_SWING, ground_water) } else { (1.0, 1.0) }
}

/// Conductance of an unheated space to the ground, as that of a room is counted: against the mean of the year. It `loses`
/// where it is warmer than that.
///
/// # Source
/// EN 12831, as [`ground_difference`].
/// # Units
/// W/K; result W/K.
/// # Validity
/// As there.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// // fg1 = 1.45, dry ground
/// assert!((en_12831::ground_conductance(10.0, true, 1.0, &mut Off) - 14.5).abs() < 1e-12);
/// // a space that is colder than the mean of the year is warmed by the ground
/// assert!((en_12831::ground_conductance(10.0, false, 1.0, &mut Off) - 10.0).abs() < 1e-12);
/// ```
pub fn ground_conductance(conductance_w_k: f64, loses: bool, ground_water: f64, w: &mut impl Workings) -> f64 {
    let (ground_swing, ground_water) = for_losses(loses, ground_water);
    eq!(w, EN_12831: ground_w_k = ground_swing * ground_water * conductance_w_k);
    ground_w_k
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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::share_of_bridges(12.0, 25.0, 100.0, &mut Off), 3.0);
/// ```
pub fn share_of_bridges(dwelling_w_k: f64, exposed_m2: f64, exposed_dwelling_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: share_w_k = dwelling_w_k * exposed_m2 / exposed_dwelling_m2);
    share_w_k
}

/// Extra output for warming up by time (1 to 4 h) and drop (1 to 3 K), after a setback of twelve hours at most (W/m²).
const REHEAT_W_M2: [[f64; 3]; 4] = [[11.0, 22.0, 45.0], [6.0, 11.0, 22.0], [4.0, 9.0, 16.0], [2.0, 7.0, 13.0]];

/// Extra output by floor area to warm a room up after a setback.
///
/// # Source
/// EN 12831:2003, reheat factors after a setback of up to twelve hours; from memory, to be confirmed (the tables of the
/// German edition go by air change and by mass as well, as a trade encyclopaedia says).
/// # Units
/// h, K, in whole ones; result W/m².
/// # Validity
/// 1 to 4 h, drops of 1 to 3 K.
/// # Errors
/// [`MethodError::OutOfRange`].
/// # Examples
/// ```
/// use tundish_engine::methods::en_12831::reheat_factor;
/// assert_eq!((reheat_factor(2, 2)?, reheat_factor(4, 1)?), (11.0, 2.0));
/// assert!(reheat_factor(5, 1).is_err());
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn reheat_factor(within_h: u32, drop_k: u32) -> Result<f64, MethodError> {
    let row = within_h.checked_sub(1).and_then(|row| REHEAT_W_M2.get(usize::try_from(row).ok()?));
    let factor = row.and_then(|row| row.get(usize::try_from(drop_k.checked_sub(1)?).ok()?));
    factor.copied().ok_or(MethodError::OutOfRange {
        quantity: "within_h",
        value: f64::from(within_h),
        min: 1.0,
        max: 4.0,
        published: &crate::sources::EN_12831,
    })
}

/// Extra output to warm a room up after a setback.
///
/// # Source
/// EN 12831:2003: floor area times reheat factor.
/// # Units
/// m², W/m²; result W.
/// # Validity
/// As [`reheat_factor`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::reheat(20.0, 11.0, &mut Off), 220.0);
/// ```
pub fn reheat(floor_area_m2: f64, reheat_w_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: reheat_w = floor_area_m2 * reheat_w_m2);
    reheat_w
}

/// Height of a room from which its loss is corrected (m).
pub const HIGH_ROOM_M: f64 = 5.0;
/// Height up to which a room may be heated by convection without fans (m).
pub const CONVECTION_MAX_M: f64 = 10.0;
/// Loss by floor area up to which the correction for a room's height holds (W/m²): EN 12831:2003; from memory.
pub const HIGH_ROOM_MAX_W_M2: f64 = 60.0;
/// Correction of a high room that is heated by convection.
const HIGH_BY_CONVECTION: f64 = 1.15;

/// Correction of the loss of a high room, in which warm air gathers under the ceiling.
///
/// # Source
/// EN 12831:2003, ceiling height correction: 1 for a heated floor, 1.15 for natural convection between 5 and 10 m; the 5 m as a
/// trade encyclopaedia has them, the rest from memory, to be confirmed. Where a room has both, by the share that each carries.
/// # Units
/// m, and a ratio of 0–1; result a ratio.
/// # Validity
/// Rooms of at most [`HIGH_ROOM_MAX_W_M2`]; by convection up to [`CONVECTION_MAX_M`].
/// # Examples
/// ```
/// use tundish_engine::methods::en_12831::height_factor;
/// assert_eq!((height_factor(2.4, 1.0), height_factor(6.0, 0.0), height_factor(6.0, 1.0)), (1.0, 1.0, 1.15));
/// ```
#[must_use]
pub fn height_factor(height_m: f64, share_by_convection: f64) -> f64 {
    if height_m > HIGH_ROOM_M { 1.0 + (HIGH_BY_CONVECTION - 1.0) * share_by_convection } else { 1.0 }
}

/// What a high room loses beside its transmission and ventilation.
///
/// # Source
/// EN 12831:2003, the correction as a part of the loss.
/// # Units
/// W, and a ratio; result W.
/// # Validity
/// `height_factor` of [`height_factor`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert!((en_12831::height_addition(1000.0, 500.0, 1.15, &mut Off) - 225.0).abs() < 1e-9);
/// ```
pub fn height_addition(transmission_w: f64, ventilation_w: f64, height_factor: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: height_w = (height_factor - 1.0) * (transmission_w + ventilation_w));
    height_w
}

/// Transmission of a room or dwelling in all.
///
/// # Source
/// EN 12831:2003: the sum over its elements, and its thermal bridges.
/// # Units
/// W.
/// # Validity
/// Signed: what a neighbour gives counts against the rest.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::transmission_in_all(400.0, 30.0, &mut Off), 430.0);
/// ```
pub fn transmission_in_all(elements_w: f64, bridges_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: transmission_w = bridges_w + elements_w);
    transmission_w
}

/// Design heat loss of a room or dwelling.
///
/// # Source
/// EN 12831:2003: transmission, ventilation, and what height and warming up add.
/// # Units
/// W.
/// # Validity
/// `height_w` is for the emitters of a room; a dwelling has none.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::design_heat_loss(430.0, 160.0, 0.0, 110.0, &mut Off), 700.0);
/// ```
pub fn design_heat_loss(
    transmission_w: f64,
    ventilation_w: f64,
    height_w: f64,
    reheat_w: f64,
    w: &mut impl Workings,
) -> f64 {
    eq!(w, EN_12831: design_heat_loss_w = transmission_w + ventilation_w + height_w + reheat_w);
    design_heat_loss_w
}

/// Coefficient of a loss.
///
/// # Source
/// EN 12831: a loss over the difference that drives it.
/// # Units
/// W, K; result W/K.
/// # Validity
/// `difference_k` not 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::coefficient(480.0, 24.0, &mut Off), 20.0);
/// ```
pub fn coefficient(loss_w: f64, difference_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: coefficient_w_k = loss_w / difference_k);
    coefficient_w_k
}

/// Floor and ceiling area that is left as it is where part of a floor is heated, as a share of the whole.
///
/// # Source
/// The heated floor's own balance stands in for the rest.
/// # Units
/// m²; result none (0–1).
/// # Validity
/// `floors_m2` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::share_unheated(20.0, 15.0, &mut Off), 0.25);
/// assert_eq!(en_12831::share_unheated(20.0, 22.0, &mut Off), 0.0);
/// ```
pub fn share_unheated(floors_m2: f64, heated_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: share_unheated = max(0.0, (floors_m2 - heated_m2) / floors_m2));
    share_unheated
}
