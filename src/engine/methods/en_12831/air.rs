//! Ventilation and infiltration, by EN 12831:2003.

use crate::eq;
use crate::methods::math::{max, min};
use crate::methods::workings::Workings;

/// Heat that a cubic metre of air carries per kelvin (Wh/(m³K)).
pub const AIR_HEAT_WH_M3K: f64 = 0.34;

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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// # use tundish_engine::methods::{en_12831, Off};
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
/// EN 12831:2003, mechanical ventilation: supply temperature from the efficiency of the heat recovery. The extract holds no
/// more heat than its own flow carries, so that a greater supply shares what the smaller flow gives (energy balance).
/// # Units
/// A ratio of 0–1, m³/h, °C; result °C.
/// # Validity
/// `efficiency` is the temperature ratio of the exchanger, 0–1, at equal flows. Something is blown in.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// // as much is taken out as is blown in
/// assert!((en_12831::supply_temperature(0.85, [150.0; 2], 22.67, -18.0, &mut Off) - 16.57).abs() < 0.01);
/// // half as much: 0.8 of 30 m³/h warms 60 m³/h by half of 20 K
/// assert!((en_12831::supply_temperature(0.8, [60.0, 30.0], 22.0, -3.0, &mut Off) - 7.0).abs() < 1e-12);
/// ```
pub fn supply_temperature(
    efficiency: f64,
    [supply_m3_h, extract_m3_h]: [f64; 2],
    extract_c: f64,
    outside_c: f64,
    w: &mut impl Workings,
) -> f64 {
    eq!(w, EN_12831: recovered_from_m3_h = min(supply_m3_h, extract_m3_h));
    eq!(w, EN_12831: supply_c = outside_c + efficiency * recovered_from_m3_h / supply_m3_h * (extract_c - outside_c));
    supply_c
}

/// Air change rate at 50 Pa from an air permeability.
///
/// # Source
/// Definition: leakage of the envelope over the inside volume.
/// # Units
/// m³/(h·m²), m², m³; result 1/h.
/// # Validity
/// The area that the permeability was related to: floor, roof and party walls among it.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::air_changes_at_50_pa(5.0, 240.0, 300.0, &mut Off), 4.0);
/// ```
pub fn air_changes_at_50_pa(q50_m3_h_m2: f64, envelope_m2: f64, volume_m3: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: n50_per_h = q50_m3_h_m2 * envelope_m2 / volume_m3);
    n50_per_h
}

/// How a room stands to the wind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shielding {
    /// In the open.
    None,
    /// Among trees or other buildings.
    Moderate,
    /// Among buildings as high as its own.
    Heavy,
}

/// Shielding coefficient e by shielding and number of façades with openings.
///
/// # Source
/// EN 12831:2003, shielding coefficients, as an open Modelica library of building simulation carries the German edition: its columns
/// are called without, one, and more than one façade with openings.
/// # Units
/// A ratio.
/// # Validity
/// Openings are the windows and doors that look outside; those of one façade count once.
/// # Examples
/// ```
/// use tundish_engine::methods::en_12831::{Shielding, shielding};
/// assert_eq!([0, 1, 2, 9].map(|facades| shielding(Shielding::Moderate, facades)), [0.0, 0.02, 0.03, 0.03]);
/// ```
#[must_use]
pub fn shielding(shielding: Shielding, open_facades: usize) -> f64 {
    match (open_facades, shielding) {
        (0, _) => 0.0,
        (1, Shielding::None) => 0.03,
        (1, Shielding::Moderate) => 0.02,
        (1, Shielding::Heavy) => 0.01,
        (_, Shielding::None) => 0.05,
        (_, Shielding::Moderate) => 0.03,
        (_, Shielding::Heavy) => 0.02,
    }
}

/// Height correction ε of infiltration.
///
/// # Source
/// EN 12831:2003, height correction by the height of the room's centre above the ground, as the library of [`shielding`] carries it.
/// # Units
/// m; result a ratio.
/// # Validity
/// Any height.
/// # Examples
/// ```
/// use tundish_engine::methods::en_12831::height_correction;
/// assert_eq!([5.0, 10.0, 20.0, 40.0].map(height_correction), [1.0, 1.0, 1.2, 1.5]);
/// ```
#[must_use]
pub fn height_correction(height_m: f64) -> f64 {
    if height_m <= 10.0 {
        1.0
    } else if height_m <= 30.0 {
        1.2
    } else {
        1.5
    }
}

/// Infiltration of a room.
///
/// # Source
/// EN 12831:2003, infiltration through the envelope: 2 · V · n50 · e · ε, as the library of [`shielding`] carries it.
/// # Units
/// m³, 1/h; result m³/h.
/// # Validity
/// `e` of [`shielding`], `epsilon` of [`height_correction`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert!((en_12831::infiltration(60.0, 3.0, 0.03, 1.0, &mut Off) - 10.8).abs() < 1e-9);
/// ```
pub fn infiltration(volume_m3: f64, n50_per_h: f64, e: f64, epsilon: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: infiltration_m3_h = 2.0 * volume_m3 * n50_per_h * e * epsilon);
    infiltration_m3_h
}

/// Air flow of a naturally ventilated room: its infiltration, or the least that hygiene asks for.
///
/// # Source
/// EN 12831:2003, natural ventilation: the greater of the two.
/// # Units
/// m³/h.
/// # Validity
/// Natural ventilation.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::natural_air_flow(10.8, 30.0, &mut Off), 30.0);
/// ```
pub fn natural_air_flow(infiltration_m3_h: f64, least_m3_h: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: air_flow_m3_h = max(infiltration_m3_h, least_m3_h));
    air_flow_m3_h
}

/// Ventilation loss of a dwelling by the sum of its rooms.
///
/// # Source
/// Practice where air changes are prescribed room by room: the heat source is sized on the sum.
/// # Units
/// W.
/// # Validity
/// Prescribed air changes.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::ventilation_of_rooms(1200.0, &mut Off), 1200.0);
/// ```
pub fn ventilation_of_rooms(sum_of_rooms_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: ventilation_w = sum_of_rooms_w);
    ventilation_w
}

/// Ventilation loss of a dwelling by what leaks in at one time.
///
/// # Source
/// EN 12831:2003, building: half of the sum of infiltration, since air leaks in on one side of a building while it
/// leaks out on the other; no less than the sum of what hygiene asks for; and what flows for other causes.
/// # Units
/// W.
/// # Validity
/// Infiltration by leakage.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::simultaneous_ventilation(1000.0, 400.0, 50.0, &mut Off), 550.0);
/// assert_eq!(en_12831::simultaneous_ventilation(600.0, 400.0, 50.0, &mut Off), 450.0);
/// ```
pub fn simultaneous_ventilation(infiltration_w: f64, least_w: f64, other_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: ventilation_w = max(0.5 * infiltration_w, least_w) + other_w);
    ventilation_w
}

/// Coefficient of the air of a dwelling, of as much as strikes its rooms at one time.
///
/// # Source
/// EN 12831:2003: as [`simultaneous_ventilation`], over the sum of rooms.
/// # Units
/// W/K, W; result W/K.
/// # Validity
/// `sum_of_rooms_w` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::at_one_time(40.0, 500.0, 1000.0, &mut Off), 20.0);
/// ```
pub fn at_one_time(rooms_w_k: f64, ventilation_w: f64, sum_of_rooms_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: dwelling_w_k = rooms_w_k * (ventilation_w / sum_of_rooms_w));
    dwelling_w_k
}

/// Share of the air that rooms want which comes over from rooms with too much of it.
///
/// # Source
/// Conservation of mass; what is wanting besides comes from outside.
/// # Units
/// m³/h; result none (0–1).
/// # Validity
/// `wanted_m3_h` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// assert_eq!(en_12831::overflow_share(60.0, 80.0, &mut Off), 0.75);
/// assert_eq!(en_12831::overflow_share(90.0, 80.0, &mut Off), 1.0);
/// ```
pub fn overflow_share(over_m3_h: f64, wanted_m3_h: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: overflow_share = min(over_m3_h / wanted_m3_h, 1.0));
    overflow_share
}

/// Height of the middle of a room above the ground.
///
/// # Source
/// Geometry, as EN 12831 has its correction by height.
/// # Units
/// m; result m.
/// # Validity
/// Rooms whose floor is level.
/// # Examples
/// ```
/// # use tundish_engine::methods::{en_12831, Off};
/// // the ground storey 0.3 m up, two storeys of 2.7 m below, a room of 2.4 m
/// assert!((en_12831::middle_height(0.3, 5.4, 2.4, &mut Off) - 6.9).abs() < 1e-12);
/// ```
pub fn middle_height(ground_m: f64, rise_m: f64, room_m: f64, w: &mut impl Workings) -> f64 {
    eq!(w, EN_12831: middle_m = ground_m + rise_m + room_m / 2.0);
    middle_m
}
