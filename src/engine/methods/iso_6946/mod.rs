//! Thermal resistance and transmittance of elements between air and air, by ISO 6946.

mod corrections;

pub use corrections::{FixingSection, LEFT_OUT, air_gaps, corrected, fixings_by_point, fixings_by_section};

use super::error::{MethodError, Range};
use super::math::ln;
use super::workings::Workings;
use crate::eq;
use crate::sources::ISO_6946;

/// Surface resistance outside (m²K/W).
pub const OUTSIDE_SURFACE_M2K_W: f64 = 0.04;

/// Upper limit of the resistance by its lower limit, up to which the combined method holds.
pub const LIMITS_APART: Range = Range { quantity: "upper_to_lower_limit", min: 0.0, max: 1.5, published: &ISO_6946 };

/// Thickness of an air layer that the table reaches to (m).
pub const AIR_THICKNESS_M: Range = Range { quantity: "air_thickness_m", min: 0.0, max: 0.3, published: &ISO_6946 };

/// Which way heat flows through an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HeatFlow {
    /// Upward.
    Up,
    /// Sideways.
    Horizontal,
    /// Downward.
    Down,
}

/// Surface resistance inside (m²K/W).
///
/// # Source
/// ISO 6946, conventional surface resistances.
/// # Units
/// m²K/W.
/// # Validity
/// Plane surfaces with much emissivity.
/// # Examples
/// ```
/// use tundish_engine::methods::iso_6946::{HeatFlow, inside_surface};
/// assert_eq!([HeatFlow::Up, HeatFlow::Horizontal, HeatFlow::Down].map(inside_surface), [0.10, 0.13, 0.17]);
/// ```
#[must_use]
pub fn inside_surface(flow: HeatFlow) -> f64 {
    match flow {
        HeatFlow::Up => 0.10,
        HeatFlow::Horizontal => 0.13,
        HeatFlow::Down => 0.17,
    }
}

/// Resistance of unventilated air layers by thickness (m): upward, sideways, downward (m²K/W), as an open
/// library of air layers carries the edition of 2007, all 24 of them; 0.18 for a wall cavity is published in a worked example.
const AIR_LAYERS: [(f64, [f64; 3]); 9] = [
    (0.0, [0.0, 0.0, 0.0]),
    (0.005, [0.11, 0.11, 0.11]),
    (0.007, [0.13, 0.13, 0.13]),
    (0.010, [0.15, 0.15, 0.15]),
    (0.015, [0.16, 0.17, 0.17]),
    (0.025, [0.16, 0.18, 0.19]),
    (0.050, [0.16, 0.18, 0.21]),
    (0.100, [0.16, 0.18, 0.22]),
    (0.300, [0.16, 0.18, 0.23]),
];

/// Thermal resistance of an air layer that is not ventilated.
///
/// # Source
/// ISO 6946, table of unventilated air layers, linear between its thicknesses, as an open library carries the edition of 2007.
/// # Units
/// m; result m²K/W.
/// # Validity
/// [`AIR_THICKNESS_M`]; faces of much emissivity.
/// # Errors
/// [`MethodError::OutOfRange`].
/// # Examples
/// ```
/// use tundish_engine::methods::iso_6946::{HeatFlow, air_layer};
/// assert_eq!(air_layer(0.05, HeatFlow::Horizontal)?, 0.18);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn air_layer(thickness_m: f64, flow: HeatFlow) -> Result<f64, MethodError> {
    let thickness_m = AIR_THICKNESS_M.check(thickness_m)?;
    let column = match flow {
        HeatFlow::Up => 0,
        HeatFlow::Horizontal => 1,
        HeatFlow::Down => 2,
    };
    let above = AIR_LAYERS.iter().position(|(row_m, _)| thickness_m <= *row_m).unwrap_or(AIR_LAYERS.len() - 1).max(1);
    let ((thin_m, thin), (thick_m, thick)) = (AIR_LAYERS[above - 1], AIR_LAYERS[above]);
    Ok(thin[column] + (thick[column] - thin[column]) * (thickness_m - thin_m) / (thick_m - thin_m))
}

/// Openings of an air layer from which it counts as slightly ventilated (mm², by metre or square metre).
pub const SLIGHTLY_VENTILATED_MM2: f64 = 500.0;
/// Openings of an air layer from which it counts as well ventilated (mm², by metre or square metre).
pub const WELL_VENTILATED_MM2: f64 = 1500.0;

/// Total resistance of an element with a slightly ventilated air layer.
///
/// # Source
/// ISO 6946:2007, slightly ventilated air layers: linear in the openings between the unventilated and the well
/// ventilated element, by metre of length in walls and by square metre otherwise, as an open library of building physics carries
/// the edition of 2017 (6.9.3, 6.9.4). An older Spanish rule halves the layer instead.
/// # Units
/// mm², m²K/W.
/// # Validity
/// Openings of 500 to 1500 mm².
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946, Off};
/// assert_eq!(iso_6946::slightly_ventilated(1000.0, 3.0, 2.0, &mut Off), 2.5);
/// ```
pub fn slightly_ventilated(
    openings_mm2_m: f64,
    unventilated_m2k_w: f64,
    ventilated_m2k_w: f64,
    w: &mut impl Workings,
) -> f64 {
    eq!(w, ISO_6946: total_m2k_w = (1500.0 - openings_mm2_m) / 1000.0 * unventilated_m2k_w + (openings_mm2_m - 500.0) / 1000.0 * ventilated_m2k_w);
    total_m2k_w
}

/// Thermal resistance of a homogeneous layer.
///
/// # Source
/// ISO 6946, thickness over conductivity.
/// # Units
/// m, W/(mK); result m²K/W.
/// # Validity
/// Homogeneous layers.
/// # Errors
/// [`MethodError::Impossible`] if the conductivity is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946, Off};
/// assert!((iso_6946::layer_resistance(0.1, 0.022, &mut Off)? - 4.545).abs() < 0.001);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn layer_resistance(thickness_m: f64, conductivity_w_mk: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if conductivity_w_mk <= 0.0 {
        return Err(MethodError::Impossible { reason: "a layer without conductivity has no resistance of its own" });
    }
    eq!(w, ISO_6946: layer_m2k_w = thickness_m / conductivity_w_mk);
    Ok(layer_m2k_w)
}

/// Resistance of the layers of an element without the air on either side.
///
/// # Source
/// ISO 6946: the whole resistance less those of the surfaces.
/// # Units
/// W/(m²K), m²K/W; result m²K/W.
/// # Validity
/// Surfaces as the U-value counts them.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946, Off};
/// // 0.25 W/(m²K) with 0.17 and 0.04 m²K/W at its surfaces
/// assert!((iso_6946::without_surfaces(0.25, 0.21, &mut Off) - 3.79).abs() < 1e-12);
/// ```
pub fn without_surfaces(u_value_w_m2k: f64, surfaces_m2k_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ISO_6946: layers_m2k_w = 1.0 / u_value_w_m2k - surfaces_m2k_w);
    layers_m2k_w
}

/// One layer of an element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayerPath {
    /// Its resistance (m²K/W).
    pub resistance_m2k_w: f64,
    /// Share of the area that is bridged (0–1), and the resistance there (m²K/W).
    pub bridge: Option<(f64, f64)>,
}

/// Most bridged layers of one element: every path through them is counted.
pub const MOST_BRIDGED: usize = 16;

/// Total resistance of an element by the combined method, surfaces included.
///
/// # Source
/// ISO 6946, combined method: the upper limit from the paths side by side, the lower limit from layers of even
/// temperature, and their mean. Bridges in different layers are taken as independent.
/// # Units
/// m²K/W.
/// # Validity
/// [`LIMITS_APART`]; no metal through the insulation.
/// # Errors
/// [`MethodError::OutOfRange`] if the limits lie too far apart, [`MethodError::Impossible`] for shares outside 0–1,
/// resistances below 0 or more than [`MOST_BRIDGED`] bridged layers.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946::{self, LayerPath}, Off};
/// // the timber-framed wall of a government's worked examples: upper 3.435, lower 3.304, U about 0.30
/// let plain = |resistance_m2k_w| LayerPath { resistance_m2k_w, bridge: None };
/// let wool = LayerPath { resistance_m2k_w: 3.5, bridge: Some((0.15, 1.167)) };
/// let layers = [plain(0.132), plain(0.18), plain(0.069), wool, plain(0.06)];
/// let total_m2k_w = iso_6946::combined(0.13, &layers, 0.04, &mut Off)?;
/// assert!((1.0 / total_m2k_w - 0.29680).abs() < 1e-5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn combined(
    inside_m2k_w: f64,
    layers: &[LayerPath],
    outside_m2k_w: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let sound = layers.iter().all(|layer| {
        layer.resistance_m2k_w >= 0.0
            && layer.bridge.is_none_or(|(share, bridge)| (0.0..=1.0).contains(&share) && bridge >= 0.0)
    });
    let bridged: Vec<(f64, f64, f64)> = layers
        .iter()
        .filter_map(|layer| layer.bridge.map(|(share, bridge)| (layer.resistance_m2k_w, share, bridge)))
        .collect();
    if !sound || bridged.len() > MOST_BRIDGED {
        return Err(MethodError::Impossible {
            reason: "layers and their bridges need shares of 0 to 1 and resistances",
        });
    }
    let plain = layers.iter().filter(|layer| layer.bridge.is_none());
    let plain_m2k_w: f64 = plain.map(|layer| layer.resistance_m2k_w).sum();
    if bridged.is_empty() {
        eq!(w, ISO_6946: total_m2k_w = inside_m2k_w + plain_m2k_w + outside_m2k_w);
        return Ok(total_m2k_w);
    }
    let mut paths_w_m2k = 0.0;
    for path in 0..1_u32 << bridged.len() {
        let (mut path_share, mut bridged_m2k_w) = (1.0, 0.0);
        for (bit, &(layer, share, bridge)) in bridged.iter().enumerate() {
            let through = path >> bit & 1 == 1;
            path_share *= if through { share } else { 1.0 - share };
            bridged_m2k_w += if through { bridge } else { layer };
        }
        eq!(w, ISO_6946: path_w_m2k = path_share / (inside_m2k_w + plain_m2k_w + bridged_m2k_w + outside_m2k_w));
        paths_w_m2k += path_w_m2k;
    }
    eq!(w, ISO_6946: upper_m2k_w = 1.0 / paths_w_m2k);
    let mut equivalents_m2k_w = 0.0;
    for (layer_m2k_w, share, bridge_m2k_w) in bridged {
        eq!(w, ISO_6946: equivalent_m2k_w = 1.0 / ((1.0 - share) / layer_m2k_w + share / bridge_m2k_w));
        equivalents_m2k_w += equivalent_m2k_w;
    }
    eq!(w, ISO_6946: lower_m2k_w = inside_m2k_w + plain_m2k_w + equivalents_m2k_w + outside_m2k_w);
    LIMITS_APART.check(upper_m2k_w / lower_m2k_w)?;
    eq!(w, ISO_6946: total_m2k_w = 0.5 * (upper_m2k_w + lower_m2k_w));
    Ok(total_m2k_w)
}

/// Thermal transmittance from a total resistance.
///
/// # Source
/// ISO 6946: the reciprocal.
/// # Units
/// m²K/W; result W/(m²K).
/// # Validity
/// A resistance above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946, Off};
/// assert_eq!(iso_6946::transmittance(4.0, &mut Off), 0.25);
/// ```
pub fn transmittance(total_m2k_w: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ISO_6946: u_value_w_m2k = 1.0 / total_m2k_w);
    u_value_w_m2k
}

/// Outline of a tapered part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outline {
    /// A rectangle.
    Rectangle,
    /// A triangle that is thickest at its apex.
    ThickestAtApex,
    /// A triangle that is thinnest at its apex.
    ThinnestAtApex,
}

/// Thermal transmittance of an element with a tapered layer.
///
/// # Source
/// ISO 6946, components with tapered layers.
/// # Units
/// m²K/W; result W/(m²K).
/// # Validity
/// `least_m2k_w` is the total resistance where the layer is thinnest, surfaces included; `growth_m2k_w` what the layer
/// gains to its thickest.
/// # Errors
/// [`MethodError::Impossible`] if either is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_6946::{self, Outline}, Off};
/// // a published flat roof: 240 to 360 mm at 0.022 W/(mK), 0.275 m²K/W besides
/// let u = iso_6946::tapered(Outline::Rectangle, 0.275 + 0.24 / 0.022, 0.12 / 0.022, &mut Off)?;
/// assert!((u - 0.0728).abs() < 5e-5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn tapered(
    outline: Outline,
    least_m2k_w: f64,
    growth_m2k_w: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    if !(least_m2k_w > 0.0 && growth_m2k_w > 0.0) {
        return Err(MethodError::Impossible { reason: "a tapered layer grows from a resistance above nothing" });
    }
    match outline {
        Outline::Rectangle => {
            eq!(w, ISO_6946: u_value_w_m2k = ln(1.0 + growth_m2k_w / least_m2k_w) / growth_m2k_w);
            Ok(u_value_w_m2k)
        }
        Outline::ThickestAtApex => {
            eq!(w, ISO_6946: u_value_w_m2k = 2.0 / growth_m2k_w * ((1.0 + least_m2k_w / growth_m2k_w) * ln(1.0 + growth_m2k_w / least_m2k_w) - 1.0));
            Ok(u_value_w_m2k)
        }
        Outline::ThinnestAtApex => {
            eq!(w, ISO_6946: u_value_w_m2k = 2.0 / growth_m2k_w * (1.0 - least_m2k_w / growth_m2k_w * ln(1.0 + growth_m2k_w / least_m2k_w)));
            Ok(u_value_w_m2k)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn a_bridge_as_good_as_its_layer_changes_nothing_and_a_worse_one_costs() {
        let with = |bridge| combined(0.13, &[LayerPath { resistance_m2k_w: 2.0, bridge }], 0.04, &mut Off).unwrap();
        assert!((with(Some((0.3, 2.0))) - with(None)).abs() < 1e-12);
        assert!(with(Some((0.1, 1.0))) < with(None) && with(Some((0.2, 1.0))) < with(Some((0.1, 1.0))));
    }

    #[test]
    fn limits_too_far_apart_and_odd_shares_are_refused() {
        let steel = LayerPath { resistance_m2k_w: 4.0, bridge: Some((0.01, 0.003)) };
        assert!(matches!(combined(0.13, &[steel], 0.04, &mut Off), Err(MethodError::OutOfRange { .. })));
        let odd = LayerPath { resistance_m2k_w: 4.0, bridge: Some((1.1, 1.0)) };
        assert!(combined(0.13, &[odd], 0.04, &mut Off).is_err());
    }

    #[test]
    fn a_taper_that_vanishes_is_the_even_element() {
        for outline in [Outline::Rectangle, Outline::ThickestAtApex, Outline::ThinnestAtApex] {
            let u = tapered(outline, 5.0, 1e-4, &mut Off).unwrap();
            assert!((u - 0.2).abs() < 1e-5, "{outline:?}: {u}");
        }
        let u = |outline| tapered(outline, 5.0, 5.0, &mut Off).unwrap();
        // more of the area is thick where the triangle is thinnest at its apex
        assert!(
            u(Outline::ThinnestAtApex) < u(Outline::Rectangle) && u(Outline::Rectangle) < u(Outline::ThickestAtApex)
        );
        assert!(tapered(Outline::Rectangle, 0.0, 1.0, &mut Off).is_err());
    }

    #[test]
    fn air_layers_grow_to_their_greatest_and_end_with_the_table() {
        assert_eq!(air_layer(0.0, HeatFlow::Up), Ok(0.0));
        assert!((air_layer(0.006, HeatFlow::Down).unwrap() - 0.12).abs() < 1e-12);
        assert_eq!(air_layer(0.3, HeatFlow::Down), Ok(0.23));
        assert!(air_layer(0.301, HeatFlow::Down).is_err());
    }
}
