//! By what the output of a heated floor is reckoned: a slope, or conduction through its section.

use super::Line;
use crate::eq;
use crate::methods::floor_conduction::{Pipe, Response};
use crate::methods::math::{max, min};
use crate::methods::workings::Workings;
use crate::methods::{en_1264_2, en_1264_3, last_steps, sums};

/// What lies below a floor, or a part of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Below {
    /// Part of the floor (0–1).
    pub share: f64,
    /// Resistance from the pipes down, `Ru` (m²K/W).
    pub downward_m2k_w: f64,
    /// Temperature there (°C).
    pub below_c: f64,
}

impl Below {
    /// Parts side by side as one: resistance (m²K/W) and mean temperature (°C).
    ///
    /// # Source
    /// Conductances side by side.
    /// # Validity
    /// Where nothing flows down the resistance is infinite, and it is as warm below as in the room.
    #[must_use]
    pub fn as_one(parts: &[Self], room_c: f64) -> (f64, f64) {
        let conductance = |part: &Self| part.share / part.downward_m2k_w;
        let sum: f64 = parts.iter().map(conductance).sum();
        let weighted: f64 = parts.iter().map(|part| conductance(part) * part.below_c).sum();
        if sum > 0.0 { (1.0 / sum, weighted / sum) } else { (f64::INFINITY, room_c) }
    }
}

/// By what a floor's output is reckoned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Law<'a> {
    /// By the slope of a standard or of a test.
    Slope {
        /// Output by kelvin of mean excess (W/(m²K)).
        kh_w_m2k: f64,
        /// Resistance from the pipes up, `Ro` (m²K/W).
        upward_m2k_w: f64,
        /// What lies below.
        below: &'a [Below],
    },
    /// By conduction through the section.
    Conduction {
        /// How the section answers.
        response: &'a Response,
        /// Its pipe, behind which the film of water stands.
        pipe: Pipe,
        /// Mean temperature of what lies below (°C).
        below_c: f64,
    },
}

impl Law<'_> {
    /// Whether the film of water in the tube counts.
    #[must_use]
    pub fn has_film(&self) -> bool {
        match self {
            Self::Slope { .. } => false,
            Self::Conduction { .. } => true,
        }
    }

    /// Output at a mean excess of the water behind a film (W/m², K, W/(m²K)).
    ///
    /// # Source
    /// q = KH·ΔθH (EN 1264-2, and ISO 11855-2 alike), or the section's answer by Fourier's law.
    /// # Validity
    /// That of the slope or of the section.
    pub fn output(&self, excess_k: f64, room_c: f64, film_w_m2k: f64, w: &mut impl Workings) -> f64 {
        match *self {
            Self::Slope { kh_w_m2k, .. } => {
                eq!(w, EN_1264_2: output_w_m2 = kh_w_m2k * excess_k);
                output_w_m2
            }
            Self::Conduction { response, pipe, below_c } => {
                let up = response.behind_pipe(pipe.resistance_m2k_w(film_w_m2k)).up_w_m2k;
                let (by_water_w_m2k, by_below_w_m2k) = (up.water, up.below);
                eq!(w, FOURIER: output_w_m2 = by_water_w_m2k * excess_k + by_below_w_m2k * (below_c - room_c));
                output_w_m2
            }
        }
    }

    /// Mean excess of the water at an output, behind a film (K, W/m², W/(m²K)): [`Self::output`] solved for it.
    pub fn excess(&self, output_w_m2: f64, room_c: f64, film_w_m2k: f64, w: &mut impl Workings) -> f64 {
        match *self {
            Self::Slope { kh_w_m2k, .. } => en_1264_2::excess_for(output_w_m2, kh_w_m2k, w),
            Self::Conduction { response, pipe, below_c } => {
                let up = response.behind_pipe(pipe.resistance_m2k_w(film_w_m2k)).up_w_m2k;
                let (by_water_w_m2k, by_below_w_m2k) = (up.water, up.below);
                eq!(w, FOURIER: excess_k = (output_w_m2 - by_below_w_m2k * (below_c - room_c)) / by_water_w_m2k);
                excess_k
            }
        }
    }

    /// Heat downward at an output and a mean excess (W/m²); below nothing where it is warmer below.
    ///
    /// # Source
    /// EN 1264-3, downward heat flux, or the section's answer by Fourier's law.
    /// # Validity
    /// As [`Self::output`].
    pub fn downward(
        &self,
        (output_w_m2, excess_k): (f64, f64),
        room_c: f64,
        film_w_m2k: f64,
        w: &mut impl Workings,
    ) -> f64 {
        match *self {
            Self::Slope { upward_m2k_w, below, .. } => {
                if let &[Below { share, downward_m2k_w, below_c }] = below {
                    let whole_w_m2 =
                        en_1264_3::downward_flux(output_w_m2, upward_m2k_w, downward_m2k_w, room_c, below_c, w);
                    return if share < 1.0 { last_steps::of_part(share, whole_w_m2, w) } else { whole_w_m2 };
                }
                let mut together_w_m2 = 0.0;
                for &Below { share, downward_m2k_w, below_c } in below {
                    let whole_w_m2 =
                        en_1264_3::downward_flux(output_w_m2, upward_m2k_w, downward_m2k_w, room_c, below_c, w);
                    let part_w_m2 = last_steps::of_part(share, whole_w_m2, w);
                    together_w_m2 = sums::and_w_m2(together_w_m2, part_w_m2, w);
                }
                together_w_m2
            }
            Self::Conduction { response, pipe, below_c } => {
                let down = response.behind_pipe(pipe.resistance_m2k_w(film_w_m2k)).down_w_m2k;
                let (by_water_w_m2k, by_below_w_m2k) = (down.water, down.below);
                eq!(w, FOURIER: downward_w_m2 = by_water_w_m2k * excess_k + by_below_w_m2k * (below_c - room_c));
                downward_w_m2
            }
        }
    }
}

/// Greatest output that every limit allows (W/m²), the least of them and never below nothing: of the standard, of the
/// warmest spot by conduction, and of the water that the standard asks for.
pub fn least_limit(standard_w_m2: f64, warmest_spot_w_m2: f64, by_water_w_m2: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FOURIER: limit_w_m2 = max(0.0, min(standard_w_m2, min(warmest_spot_w_m2, by_water_w_m2))));
    limit_w_m2
}

impl Line {
    /// A line that heats a strip of floor like the pipes of a floor do, by the slope of such a floor (m², W/(m²K),
    /// m²K/W).
    ///
    /// # Source
    /// Common practice of the trade, with the slope of EN 1264-2 and the downward flux of EN 1264-3.
    /// # Validity
    /// Lines side by side in the screed of the floor that they serve.
    #[must_use]
    pub fn along(room_c: f64, strip_m2: f64, kh_w_m2k: f64, upward_m2k_w: f64, below: &[Below]) -> Self {
        let (below_m2k_w, below_c) = Below::as_one(below, room_c);
        let up_w_k = kh_w_m2k * strip_m2;
        Self {
            room_c,
            up_w_k,
            down_w_k: up_w_k * upward_m2k_w / below_m2k_w,
            down_w: strip_m2 * (room_c - below_c) / below_m2k_w,
        }
    }

    /// What a pipe at a temperature gives to the room that it passes, and below (W).
    pub fn gives(&self, pipe_c: f64, w: &mut impl Workings) -> (f64, f64) {
        let Self { room_c, up_w_k, down_w_k, down_w } = *self;
        if pipe_c <= room_c {
            return (0.0, 0.0);
        }
        eq!(w, TRADE_PRACTICE: line_up_w = up_w_k * (pipe_c - room_c));
        eq!(w, TRADE_PRACTICE: line_down_w = down_w_k * (pipe_c - room_c) + down_w);
        (line_up_w, line_down_w)
    }
}
