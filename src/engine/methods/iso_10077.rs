//! Thermal transmittance of windows from glazing, frame and spacer, by ISO 10077-1.

use super::error::MethodError;
use super::math::sqrt;
use super::workings::Workings;
use crate::eq;

/// Linear transmittance of the glass edge in frames of wood or plastic, low-emissivity glass and a standard spacer
/// (W/(mK)).
pub const PSI_WOOD_OR_PLASTIC_W_MK: f64 = 0.08;
/// The same in frames of metal with a thermal break (W/(mK)).
pub const PSI_METAL_WITH_BREAK_W_MK: f64 = 0.11;

/// Areas of a window and the length of its glass edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measures {
    /// Area of the glass (m²).
    pub glass_m2: f64,
    /// Area of the frame (m²).
    pub frame_m2: f64,
    /// Length of the edge of the glass (m).
    pub edge_m: f64,
}

/// Measures of a window of one pane by its size and the width of its frame.
///
/// # Source
/// Geometry.
/// # Units
/// m.
/// # Validity
/// A frame of even width on four sides.
/// # Errors
/// [`MethodError::Impossible`] if the frame leaves no glass.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_10077, Off};
/// let measures = iso_10077::by_size(1.2, 1.2, 0.07, &mut Off)?;
/// assert!((measures.glass_m2 - 1.1236).abs() < 1e-9 && (measures.edge_m - 4.24).abs() < 1e-9);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn by_size(width_m: f64, height_m: f64, frame_m: f64, w: &mut impl Workings) -> Result<Measures, MethodError> {
    if !(frame_m >= 0.0 && width_m > 2.0 * frame_m && height_m > 2.0 * frame_m) {
        return Err(MethodError::Impossible { reason: "a window's frame must leave room for glass" });
    }
    eq!(w, ISO_10077: glass_m2 = (width_m - 2.0 * frame_m) * (height_m - 2.0 * frame_m));
    eq!(w, ISO_10077: frame_m2 = width_m * height_m - glass_m2);
    eq!(w, ISO_10077: edge_m = 2.0 * (width_m - 2.0 * frame_m) + 2.0 * (height_m - 2.0 * frame_m));
    Ok(Measures { glass_m2, frame_m2, edge_m })
}

/// Width of a frame that takes a share of a window's area.
///
/// # Source
/// Geometry: the smaller root of (b − 2x)(h − 2x) = (1 − share)·b·h.
/// # Units
/// m, and a ratio of 0–1.
/// # Validity
/// A frame of even width on four sides.
/// # Errors
/// [`MethodError::Impossible`] for a share outside 0–1 or sizes not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_10077, Off};
/// // three tenths of the standard's window
/// assert!((iso_10077::frame_width(1.23, 1.48, 0.3, &mut Off)? - 0.1096).abs() < 5e-5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn frame_width(width_m: f64, height_m: f64, frame_share: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if !(width_m > 0.0 && height_m > 0.0 && frame_share > 0.0 && frame_share < 1.0) {
        return Err(MethodError::Impossible { reason: "a frame takes a share between 0 and 1 of a window" });
    }
    eq!(w, ISO_10077: frame_m = (width_m + height_m - sqrt((width_m + height_m) * (width_m + height_m) - 4.0 * frame_share * width_m * height_m)) / 4.0);
    Ok(frame_m)
}

/// Thermal transmittance of a window.
///
/// # Source
/// ISO 10077-1: the mean of glass and frame by area, and the edge of the glass by length.
/// # Units
/// See [`Measures`]; W/(m²K), W/(mK); result W/(m²K).
/// # Validity
/// One layer of casements.
/// # Errors
/// [`MethodError::Impossible`] without glass, or with a figure below 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_10077, Off};
/// let measures = iso_10077::by_size(1.2, 1.2, 0.07, &mut Off)?;
/// assert!((iso_10077::window(measures, 1.0, 1.4, 0.04, &mut Off)? - 1.2057).abs() < 5e-5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn window(
    measures: Measures,
    glazing_w_m2k: f64,
    frame_w_m2k: f64,
    psi_w_mk: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let Measures { glass_m2, frame_m2, edge_m } = measures;
    let none_below = [frame_m2, edge_m, glazing_w_m2k, frame_w_m2k, psi_w_mk].iter().all(|figure| *figure >= 0.0);
    if !(glass_m2 > 0.0 && none_below) {
        return Err(MethodError::Impossible { reason: "a window needs glass, and no figure of it is below nothing" });
    }
    eq!(w, ISO_10077: u_value_w_m2k = (glass_m2 * glazing_w_m2k + frame_m2 * frame_w_m2k + edge_m * psi_w_mk) / (glass_m2 + frame_m2));
    Ok(u_value_w_m2k)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn a_share_and_its_width_give_the_same_window() {
        for share in [0.05, 0.3, 0.7, 0.95] {
            let frame_m = frame_width(1.23, 1.48, share, &mut Off).unwrap();
            let measures = by_size(1.23, 1.48, frame_m, &mut Off).unwrap();
            assert!((measures.frame_m2 / (1.23 * 1.48) - share).abs() < 1e-12, "{share}");
        }
    }

    #[test]
    fn a_window_without_an_edge_lies_between_its_glass_and_its_frame() {
        let measures = by_size(1.0, 1.0, 0.1, &mut Off).unwrap();
        let u = |psi| window(measures, 0.6, 1.4, psi, &mut Off).unwrap();
        assert!(u(0.0) > 0.6 && u(0.0) < 1.4 && u(0.05) > u(0.0));
        assert!(window(Measures { glass_m2: 0.0, ..measures }, 0.6, 1.4, 0.0, &mut Off).is_err());
        assert!(by_size(1.0, 1.0, 0.5, &mut Off).is_err());
    }
}
