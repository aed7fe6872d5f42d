//! Heat that flowing water or air carries, and what comes of streams that mix.

use super::workings::Workings;
use crate::eq;

/// Heat that a flow gives while it cools by so much.
///
/// # Source
/// Conservation of energy.
/// # Units
/// kg/s, J/(kgK), K; result W. Below 0 where the flow takes heat up.
/// # Validity
/// One liquid whose specific heat hardly changes over the drop.
/// # Examples
/// ```
/// # use tundish_engine::methods::{carried_heat, Off};
/// // 0.1 kg/s of 4,180 J/(kgK) over 5 K
/// assert_eq!(carried_heat::heat(0.1, 4180.0, 5.0, &mut Off), 2090.0);
/// ```
pub fn heat(flow_kg_s: f64, specific_heat_j_kgk: f64, drop_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: heat_w = flow_kg_s * specific_heat_j_kgk * drop_k);
    heat_w
}

/// Temperature at which water comes back that has given heat away.
///
/// # Source
/// Conservation of energy.
/// # Units
/// °C, W, kg/s, J/(kgK); result °C.
/// # Validity
/// `flow_kg_s` above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{carried_heat, Off};
/// // 2,090 W out of 0.1 kg/s of 4,180 J/(kgK) are 5 K
/// assert_eq!(carried_heat::return_temperature(40.0, 2090.0, 0.1, 4180.0, &mut Off), 35.0);
/// ```
pub fn return_temperature(
    flow_c: f64,
    heat_w: f64,
    flow_kg_s: f64,
    specific_heat_j_kgk: f64,
    w: &mut impl Workings,
) -> f64 {
    eq!(w, ENERGY_BALANCE: return_c = flow_c - heat_w / (flow_kg_s * specific_heat_j_kgk));
    return_c
}

/// Mean temperature of water between flow and return.
///
/// # Source
/// Definition of the arithmetic mean.
/// # Units
/// °C, K; result °C. Below 0 K where the water warms up on its way.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{carried_heat, Off};
/// assert_eq!(carried_heat::mean_temperature(40.0, 5.0, &mut Off), 37.5);
/// assert_eq!(carried_heat::mean_temperature(17.0, -3.0, &mut Off), 18.5);
/// ```
pub fn mean_temperature(flow_c: f64, drop_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: mean_c = flow_c - 0.5 * drop_k);
    mean_c
}

/// Streams that were mixed, or rooms taken together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mixed {
    /// All of the flow, or of what else they were weighted by.
    pub whole: f64,
    /// Temperature of the whole (°C).
    pub mean_c: f64,
}

/// Temperature of streams that mix, each given by its flow and its temperature; nothing where nothing flows.
///
/// # Source
/// Conservation of energy. Weighted by their areas, the mean temperature of rooms.
/// # Units
/// Any unit of flow, the same for each; °C.
/// # Validity
/// Streams of one specific heat.
/// # Examples
/// ```
/// # use tundish_engine::methods::{carried_heat, Off};
/// // 1 l of 30 °C and 3 l of 34 °C: 33 °C
/// let mixed = carried_heat::mixed([(1.0, 30.0), (3.0, 34.0)].into_iter(), &mut Off);
/// assert_eq!(mixed.map(|mixed| (mixed.whole, mixed.mean_c)), Some((4.0, 33.0)));
/// assert!(carried_heat::mixed(std::iter::empty(), &mut Off).is_none());
/// ```
pub fn mixed(streams: impl Iterator<Item = (f64, f64)>, w: &mut impl Workings) -> Option<Mixed> {
    let (mut whole, mut weighted) = (0.0, 0.0);
    for (flow, temperature_c) in streams {
        whole += flow;
        weighted += flow * temperature_c;
    }
    if whole <= 0.0 {
        return None;
    }
    eq!(w, ENERGY_BALANCE: mean_c = weighted / whole);
    Some(Mixed { whole, mean_c })
}
