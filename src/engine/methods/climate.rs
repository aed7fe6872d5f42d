//! Outside design temperature at a site from that of a climate station.

use super::workings::Workings;
use crate::eq;

/// Fall of the outside design temperature with height (K for each metre): 0.6 K for each 100 m.
pub const LAPSE_K_M: f64 = 0.006;

/// Outside design temperature of a site, from the station's and the height between them.
///
/// # Source
/// Common practice: 0.6 K lower for each 100 m above the station, and as much higher below it.
/// # Units
/// °C, m; result °C.
/// # Validity
/// Heights within the same region of climate.
/// # Examples
/// ```
/// # use tundish_engine::methods::{climate, Off};
/// // a station at 75 m with −2.2 °C, a site at 150 m
/// assert!((climate::outside_design(-2.2, 75.0, 150.0, &mut Off) + 2.65).abs() < 1e-9);
/// ```
pub fn outside_design(station_c: f64, station_altitude_m: f64, site_altitude_m: f64, w: &mut impl Workings) -> f64 {
    let lapse_k_m = LAPSE_K_M;
    eq!(w, TRADE_PRACTICE: outside_design_c = station_c - lapse_k_m * (site_altitude_m - station_altitude_m));
    outside_design_c
}
