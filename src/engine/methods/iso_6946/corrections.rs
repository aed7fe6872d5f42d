//! Corrections of a U-value for air gaps and fixings, by ISO 6946.

use crate::eq;
use crate::methods::workings::Workings;

/// Correction for air gaps in insulation.
///
/// # Source
/// ISO 6946, correction for air voids: 0.01 W/(m²K) for gaps that bridge the insulation, 0.04 where air also moves
/// round it, times the square of the insulation's part of the total resistance, annex F, table F.1, as an open library of
/// building physics carries the edition of 2017; second hand, as an open check list of U-values quotes the draft of 2015.
/// # Units
/// W/(m²K), m²K/W.
/// # Validity
/// `gaps_w_m2k` is 0, 0.01 or 0.04. `total_m2k_w` ignores thermal bridges (second hand, the same check list): with those
/// of a stud wall in it, it can fall below the resistance of one of its own layers.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946, Off};
/// assert!((iso_6946::air_gaps(0.01, 3.0, 4.0, &mut Off) - 0.005_625).abs() < 1e-12);
/// ```
pub fn air_gaps(gaps_w_m2k: f64, insulation_m2k_w: f64, total_m2k_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ISO_6946: air_gaps_w_m2k = gaps_w_m2k * (insulation_m2k_w / total_m2k_w) * (insulation_m2k_w / total_m2k_w));
    air_gaps_w_m2k
}

/// Fixings through insulation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixingSection {
    /// Number on a square metre.
    pub count_per_m2: f64,
    /// Conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Area of the section of one (m²).
    pub section_m2: f64,
    /// Thickness of the insulation that they pass through (m).
    pub insulation_m: f64,
}

/// Correction for fixings by their section.
///
/// # Source
/// ISO 6946, annex F, correction for mechanical fasteners that pass through the whole insulation, α = 0.8, as an open library
/// of buildings carries the edition of 2017 (F.3.2).
/// # Units
/// See [`FixingSection`]; m²K/W; result W/(m²K).
/// # Validity
/// Fixings through the whole insulation; those that are recessed have a smaller α, which this does not hold. `total_m2k_w`
/// ignores thermal bridges, as in [`air_gaps`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946::{self, FixingSection}, Off};
/// let steel = FixingSection { count_per_m2: 4.0, conductivity_w_mk: 17.0, section_m2: 12.5e-6, insulation_m: 0.1 };
/// assert!((iso_6946::fixings_by_section(steel, 2.857, 3.4, &mut Off) - 0.0048).abs() < 1e-4);
/// ```
pub fn fixings_by_section(
    fixing: FixingSection,
    insulation_m2k_w: f64,
    total_m2k_w: f64,
    w: &mut impl Workings,
) -> f64 {
    let FixingSection { count_per_m2, conductivity_w_mk, section_m2, insulation_m } = fixing;
    eq!(w, ISO_6946: fixings_w_m2k = 0.8 * conductivity_w_mk * section_m2 * count_per_m2 / insulation_m * (insulation_m2k_w / total_m2k_w) * (insulation_m2k_w / total_m2k_w));
    fixings_w_m2k
}

/// Correction for fixings by their point thermal transmittance.
///
/// # Source
/// ISO 6946, annex F, fasteners of known point thermal transmittance: number times that; second hand, as an open check list of
/// U-values quotes the draft of 2015 (F.3.1).
/// # Units
/// 1/m², W/K; result W/(m²K).
/// # Validity
/// A transmittance that was found for this element.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946, Off};
/// assert!((iso_6946::fixings_by_point(6.0, 0.002, &mut Off) - 0.012).abs() < 1e-12);
/// ```
pub fn fixings_by_point(count_per_m2: f64, chi_w_k: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ISO_6946: fixings_w_m2k = count_per_m2 * chi_w_k);
    fixings_w_m2k
}

/// Share of the U-value below which corrections are left out.
pub const LEFT_OUT: f64 = 0.03;

/// Thermal transmittance with its corrections.
///
/// # Source
/// ISO 6946: corrections are added, and left out if together they are below 3 % of the U-value (the 3 % from memory, to be
/// confirmed).
/// # Units
/// W/(m²K).
/// # Validity
/// Corrections of 0 or more.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946, Off};
/// // a published wall: 0.1449 + 0.0087 + 0.0120
/// assert!((iso_6946::corrected(0.1449, 0.0087, 0.0120, &mut Off) - 0.1656).abs() < 1e-9);
/// assert_eq!(iso_6946::corrected(0.2, 0.0059, 0.0, &mut Off), 0.2);
/// ```
pub fn corrected(u_value_w_m2k: f64, air_gaps_w_m2k: f64, fixings_w_m2k: f64, w: &mut impl Workings) -> f64 {
    if air_gaps_w_m2k + fixings_w_m2k < LEFT_OUT * u_value_w_m2k {
        return u_value_w_m2k;
    }
    eq!(w, ISO_6946: corrected_w_m2k = u_value_w_m2k + air_gaps_w_m2k + fixings_w_m2k);
    corrected_w_m2k
}
