//! Parts added up one after the other, each sum told as it grows.

use super::workings::Workings;
use crate::eq;

/// Parts added up by one of the functions of this page; of no part it is nothing.
///
/// # Source
/// As that function.
/// # Units
/// As that function.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::sum([1.5, 2.0], sums::and_w, &mut Off), 3.5);
/// ```
pub fn sum<W: Workings>(parts: impl IntoIterator<Item = f64>, and: impl Fn(f64, f64, &mut W) -> f64, w: &mut W) -> f64 {
    parts.into_iter().fold(0.0, |so_far, part| and(so_far, part, w))
}

/// Heat, and a part more.
///
/// # Source
/// Conservation of energy.
/// # Units
/// W.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::and_w(1.5, 2.0, &mut Off), 3.5);
/// ```
pub fn and_w<W: Workings>(so_far_w: f64, part_w: f64, w: &mut W) -> f64 {
    eq!(w, ENERGY_BALANCE: together_w = so_far_w + part_w);
    together_w
}

/// Heat by area, and a part more of the same area.
///
/// # Source
/// Conservation of energy.
/// # Units
/// W/m².
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::and_w_m2(1.5, 2.0, &mut Off), 3.5);
/// ```
pub fn and_w_m2<W: Workings>(so_far_w_m2: f64, part_w_m2: f64, w: &mut W) -> f64 {
    eq!(w, ENERGY_BALANCE: together_w_m2 = so_far_w_m2 + part_w_m2);
    together_w_m2
}

/// Heat loss coefficient, and a part more.
///
/// # Source
/// Conservation of energy.
/// # Units
/// W/K.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::and_w_k(1.5, 2.0, &mut Off), 3.5);
/// ```
pub fn and_w_k<W: Workings>(so_far_w_k: f64, part_w_k: f64, w: &mut W) -> f64 {
    eq!(w, ENERGY_BALANCE: together_w_k = so_far_w_k + part_w_k);
    together_w_k
}

/// Flow, and a part more.
///
/// # Source
/// Conservation of mass.
/// # Units
/// kg/s.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::and_kg_s(1.5, 2.0, &mut Off), 3.5);
/// ```
pub fn and_kg_s<W: Workings>(so_far_kg_s: f64, part_kg_s: f64, w: &mut W) -> f64 {
    eq!(w, FLUID_MECHANICS: together_kg_s = so_far_kg_s + part_kg_s);
    together_kg_s
}

/// Air of a room, and a part more.
///
/// # Source
/// EN 12831: the air of a room, wherever it comes from.
/// # Units
/// m³/h.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::and_m3_h(1.5, 2.0, &mut Off), 3.5);
/// ```
pub fn and_m3_h<W: Workings>(so_far_m3_h: f64, part_m3_h: f64, w: &mut W) -> f64 {
    eq!(w, EN_12831: together_m3_h = so_far_m3_h + part_m3_h);
    together_m3_h
}

/// Pressure drop, and one more behind it.
///
/// # Source
/// Pressures along one way add up.
/// # Units
/// Pa.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::and_pa(1.5, 2.0, &mut Off), 3.5);
/// ```
pub fn and_pa<W: Workings>(so_far_pa: f64, part_pa: f64, w: &mut W) -> f64 {
    eq!(w, FLUID_MECHANICS: together_pa = so_far_pa + part_pa);
    together_pa
}

/// Water, and a part more.
///
/// # Source
/// Conservation of mass.
/// # Units
/// l.
/// # Validity
/// Any.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::and_l(1.5, 2.0, &mut Off), 3.5);
/// ```
pub fn and_l<W: Workings>(so_far_l: f64, part_l: f64, w: &mut W) -> f64 {
    eq!(w, FLUID_MECHANICS: together_l = so_far_l + part_l);
    together_l
}

/// Pressure drop with so many of a valve more.
///
/// # Source
/// Pressures along one way add up.
/// # Units
/// Pa; result Pa.
/// # Validity
/// All of them at the same flow.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::and_count(100.0, 2.0, 50.0, &mut Off), 200.0);
/// ```
pub fn and_count(so_far_pa: f64, count: f64, valve_drop_pa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: local_pa = so_far_pa + count * valve_drop_pa);
    local_pa
}

/// Pressure drop of an end with one of its parts exchanged for another.
///
/// # Source
/// Pressures along one way add up.
/// # Units
/// Pa.
/// # Validity
/// All at the same flow, `without_pa` a part of `own_pa`.
/// # Examples
/// ```
/// # use tundish_engine::methods::{sums, Off};
/// assert_eq!(sums::instead(900.0, 100.0, 400.0, &mut Off), 1200.0);
/// ```
pub fn instead(own_pa: f64, without_pa: f64, with_pa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: loses_pa = own_pa - without_pa + with_pa);
    loses_pa
}
