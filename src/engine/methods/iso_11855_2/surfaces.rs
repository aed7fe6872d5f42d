//! Surfaces that heat or cool, by ISO 11855-2: what they give by their temperature, and a floor's slope taken over to
//! them.

use crate::eq;
use crate::methods::en_1264_2::FLOOR_W_M2K;
use crate::methods::error::{MethodError, Range};
use crate::methods::math::pow;
use crate::methods::workings::Workings;
use crate::sources::ISO_11855_2;

/// Heat transfer coefficients of the surfaces that [`convert`] is for, between ceiling heating and floor heating.
pub const SURFACE_W_M2K: Range = Range { quantity: "surface_w_m2k", min: 6.0, max: 10.8, published: &ISO_11855_2 };

/// A surface and what it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Surface {
    /// A floor that heats.
    FloorHeating,
    /// A floor that cools.
    FloorCooling,
    /// A wall that heats or cools.
    Wall,
    /// A ceiling that heats.
    CeilingHeating,
    /// A ceiling that cools.
    CeilingCooling,
}

impl Surface {
    /// Heat transfer coefficient α that [`convert`] takes for this surface (W/(m²K)).
    ///
    /// # Source
    /// ISO 11855-2, basic characteristics of heating and cooling surfaces.
    ///
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::iso_11855_2::Surface;
    /// assert_eq!(Surface::Wall.coefficient_w_m2k(), 8.0);
    /// ```
    #[must_use]
    pub const fn coefficient_w_m2k(self) -> f64 {
        match self {
            Self::FloorHeating | Self::CeilingCooling => FLOOR_W_M2K,
            Self::Wall => 8.0,
            Self::FloorCooling => 7.0,
            Self::CeilingHeating => 6.0,
        }
    }
}

/// Output of a surface by the difference between its mean temperature and the room.
///
/// # Source
/// ISO 11855-2, basic characteristics: q = 8.92·Δ^1.1 of floors that heat and ceilings that cool, α·Δ of the others.
/// # Units
/// K; result W/m².
/// # Validity
/// `surface_excess_k` not below 0: it is counted in the direction of the heat, for cooling room less surface.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_11855_2::{self, Surface}, Off};
/// assert!((iso_11855_2::output(Surface::CeilingCooling, 9.0, &mut Off) - 100.0).abs() < 0.05);
/// assert_eq!(iso_11855_2::output(Surface::FloorCooling, 5.0, &mut Off), 35.0);
/// ```
pub fn output(surface: Surface, surface_excess_k: f64, w: &mut impl Workings) -> f64 {
    match surface {
        Surface::FloorHeating | Surface::CeilingCooling => {
            eq!(w, ISO_11855_2: q_w_m2 = 8.92 * pow(surface_excess_k, 1.1));
            q_w_m2
        }
        Surface::Wall | Surface::FloorCooling | Surface::CeilingHeating => {
            let surface_w_m2k = surface.coefficient_w_m2k();
            eq!(w, ISO_11855_2: q_w_m2 = surface_w_m2k * surface_excess_k);
            q_w_m2
        }
    }
}

/// Difference between a surface's mean temperature and the room at an output.
///
/// # Source
/// As [`output`], solved for the difference.
/// # Units
/// W/m²; result K.
/// # Validity
/// `q_w_m2` not below 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_11855_2::{self, Surface}, Off};
/// assert_eq!(iso_11855_2::excess(Surface::CeilingHeating, 60.0, &mut Off), 10.0);
/// ```
pub fn excess(surface: Surface, q_w_m2: f64, w: &mut impl Workings) -> f64 {
    match surface {
        Surface::FloorHeating | Surface::CeilingCooling => {
            eq!(w, ISO_11855_2: surface_excess_k = pow(q_w_m2 / 8.92, 1.0 / 1.1));
            surface_excess_k
        }
        Surface::Wall | Surface::FloorCooling | Surface::CeilingHeating => {
            let surface_w_m2k = surface.coefficient_w_m2k();
            eq!(w, ISO_11855_2: surface_excess_k = q_w_m2 / surface_w_m2k);
            surface_excess_k
        }
    }
}

/// Slope KH of the same layers on another surface, or under another covering.
///
/// # Source
/// ISO 11855-2, equation (A.33): KF/(1 + (1/α − 1/10.8 + RλB)/0.15 · (KF/KF* − 1)). It takes 1/KH to be linear in the
/// resistance at the surface.
/// # Units
/// W/(m²K), m²K/W: `kf_w_m2k` is the slope of the floor that heats without covering, `kf_star_w_m2k` under 0.15 m²K/W;
/// `surface_w_m2k` is [`Surface::coefficient_w_m2k`].
/// # Validity
/// [`super::COVERING`], [`SURFACE_W_M2K`]; KF ≥ KF* > 0.
/// # Errors
/// [`MethodError::OutOfRange`] or [`MethodError::Impossible`] outside of that.
/// # Examples
/// ```
/// # use tundish_engine::methods::{iso_11855_2::{self, Surface}, Off};
/// // pipes 150 mm apart behind 45 mm of 1.2 W/(mK), in a wall
/// let kh = iso_11855_2::convert(5.5396, 2.8344, Surface::Wall.coefficient_w_m2k(), 0.0, &mut Off)?;
/// assert!((kh - 4.5926).abs() < 5e-5);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn convert(
    kf_w_m2k: f64,
    kf_star_w_m2k: f64,
    surface_w_m2k: f64,
    covering_m2k_w: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    super::COVERING.check(covering_m2k_w)?;
    SURFACE_W_M2K.check(surface_w_m2k)?;
    if !(kf_star_w_m2k > 0.0 && kf_w_m2k >= kf_star_w_m2k && kf_w_m2k.is_finite()) {
        return Err(MethodError::Impossible { reason: "a floor gives no more under a covering than without" });
    }
    let floor_w_m2k = FLOOR_W_M2K;
    eq!(w, ISO_11855_2 "eq. (A.33)": kh_w_m2k = kf_w_m2k / (1.0 + (1.0 / surface_w_m2k - 1.0 / floor_w_m2k + covering_m2k_w) / 0.15 * (kf_w_m2k / kf_star_w_m2k - 1.0)));
    Ok(kh_w_m2k)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    const ALL: [Surface; 5] =
        [Surface::FloorHeating, Surface::FloorCooling, Surface::Wall, Surface::CeilingHeating, Surface::CeilingCooling];

    #[test]
    fn output_and_excess_undo_each_other() {
        for surface in ALL {
            for q_w_m2 in [0.0, 1.0, 42.0, 100.0] {
                let found = output(surface, excess(surface, q_w_m2, &mut Off), &mut Off);
                assert!((found - q_w_m2).abs() < 1e-12 * (1.0 + q_w_m2), "{surface:?}: {found}");
            }
        }
    }

    #[test]
    fn the_ends_of_the_conversion_are_what_it_is_made_from() {
        assert!((convert(5.0, 3.0, FLOOR_W_M2K, 0.0, &mut Off).unwrap() - 5.0).abs() < 1e-14);
        assert!((convert(5.0, 3.0, FLOOR_W_M2K, 0.15, &mut Off).unwrap() - 3.0).abs() < 1e-14);
        let at = |surface: Surface| convert(5.0, 3.0, surface.coefficient_w_m2k(), 0.05, &mut Off).unwrap();
        assert!(at(Surface::FloorHeating) > at(Surface::Wall) && at(Surface::Wall) > at(Surface::FloorCooling));
        assert!(at(Surface::FloorCooling) > at(Surface::CeilingHeating));
    }

    #[test]
    fn refuses_what_it_does_not_hold_for() {
        assert!(convert(5.0, 3.0, 8.0, 0.16, &mut Off).is_err() && convert(5.0, 3.0, 5.0, 0.1, &mut Off).is_err());
        assert!(convert(3.0, 5.0, 8.0, 0.1, &mut Off).is_err() && convert(5.0, 0.0, 8.0, 0.1, &mut Off).is_err());
        assert!(convert(f64::NAN, 3.0, 8.0, 0.1, &mut Off).is_err());
    }
}
