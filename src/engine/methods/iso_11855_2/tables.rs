//! Tables of ISO 11855-2 for type B (pipes in the insulation, under plates that conduct), as data, and their
//! interpolation.
//!
//! Linear between the printed rows and columns; the ends hold, and the caller refuses by range what lies beyond. The
//! figures are those of the edition of 2021 as a public copy of it gives them; two slips are known
//! in its tables for type A. They stand as transcribed, also where they break their own pattern: at 0.075 m and KWL
//! 0.4 the plates' factor falls with the diameter, at 0.1 m and KWL 0.1 it flattens beyond 0.02 m.

use crate::methods::interpolation::{between, bilinear, interval, linear};

/// Spacings of the factors of plate and contact (m).
pub const SPACINGS: [f64; 9] = [0.05, 0.075, 0.1, 0.15, 0.2, 0.225, 0.3, 0.375, 0.45];

/// Characteristic values KWL of the conducting layer.
pub const CONDUCTIONS: [f64; 5] = [0.0, 0.1, 0.2, 0.3, 0.4];

/// Outside diameters of the pipe (m).
pub const DIAMETERS: [f64; 5] = [0.014, 0.016, 0.018, 0.02, 0.022];

/// Resistances of the layer over the plates (m²K/W).
pub const COVERS: [f64; 10] = [0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.15, 0.18];

/// Spacings of the share bu (m).
const SHARE_SPACINGS: [f64; 7] = [0.1, 0.15, 0.2, 0.225, 0.3, 0.375, 0.45];

/// Spacing factor aT by resistance of the layer over the plates.
const SPACING_FACTOR: [f64; 10] = [1.103, 1.1, 1.097, 1.094, 1.091, 1.088, 1.082, 1.075, 1.064, 1.059];

/// Share bu of the layer over the plates that spreads heat with them, by spacing.
const SPREADING_SHARE: [f64; 7] = [1.0, 0.7, 0.5, 0.43, 0.25, 0.1, 0.0];

/// Contact factor aK by spacing; from memory, unconfirmed.
const CONTACT_FACTOR: [f64; 9] = [1.0, 0.99, 0.98, 0.95, 0.92, 0.9, 0.82, 0.72, 0.6];

/// Plate factor aWL by spacing, KWL and diameter. A row of one value is printed as one: it holds for every diameter.
const PLATE_FACTOR: [[[f64; 5]; 5]; 9] = [
    [
        [0.82, 0.86, 0.9, 0.93, 0.96],
        [0.88, 0.905, 0.93, 0.955, 0.975],
        [0.92, 0.937, 0.955, 0.97, 0.985],
        [0.95, 0.96, 0.97, 0.98, 0.99],
        [0.97, 0.978, 0.985, 0.99, 0.995],
    ],
    [
        [0.59, 0.644, 0.7, 0.754, 0.8],
        [0.74, 0.776, 0.812, 0.836, 0.859],
        [0.845, 0.865, 0.885, 0.893, 0.902],
        [0.92, 0.925, 0.93, 0.935, 0.94],
        [0.965, 0.964, 0.963, 0.962, 0.96],
    ],
    [
        [0.488, 0.533, 0.576, 0.617, 0.658],
        [0.66, 0.693, 0.726, 0.76, 0.77],
        [0.81, 0.821, 0.832, 0.843, 0.855],
        [0.9, 0.905, 0.91, 0.915, 0.92],
        [0.94; 5],
    ],
    [
        [0.387, 0.415, 0.444, 0.47, 0.505],
        [0.561, 0.58, 0.6, 0.621, 0.642],
        [0.735, 0.745, 0.755, 0.765, 0.775],
        [0.855; 5],
        [0.895; 5],
    ],
    [
        [0.337, 0.357, 0.379, 0.4, 0.422],
        [0.49, 0.51, 0.53, 0.55, 0.57],
        [0.68, 0.688, 0.695, 0.703, 0.71],
        [0.8; 5],
        [0.86; 5],
    ],
    [
        [0.32, 0.34, 0.357, 0.376, 0.396],
        [0.467, 0.485, 0.504, 0.522, 0.54],
        [0.655, 0.663, 0.67, 0.678, 0.685],
        [0.79; 5],
        [0.84; 5],
    ],
    [
        [0.288, 0.3, 0.315, 0.33, 0.344],
        [0.435, 0.444, 0.453, 0.462, 0.472],
        [0.585, 0.592, 0.6, 0.608, 0.615],
        [0.72; 5],
        [0.78; 5],
    ],
    [
        [0.266, 0.278, 0.29, 0.3, 0.312],
        [0.411, 0.421, 0.434, 0.446, 0.46],
        [0.55, 0.558, 0.565, 0.573, 0.58],
        [0.69; 5],
        [0.76; 5],
    ],
    [
        [0.25, 0.264, 0.28, 0.29, 0.3],
        [0.41, 0.42, 0.43, 0.44, 0.45],
        [0.55, 0.555, 0.56, 0.565, 0.57],
        [0.68; 5],
        [0.75; 5],
    ],
];

/// Spacing factor aT.
#[must_use]
pub fn spacing_factor(cover_m2k_w: f64) -> f64 {
    linear(&COVERS, &SPACING_FACTOR, cover_m2k_w)
}

/// Share bu; below 0.1 m, where the table begins, all of the layer counts, as an open file of the
/// functions has it (table A.10).
#[must_use]
pub fn spreading_share(spacing_m: f64) -> f64 {
    linear(&SHARE_SPACINGS, &SPREADING_SHARE, spacing_m)
}

/// Contact factor aK; from memory, unconfirmed.
#[must_use]
pub fn contact_factor(spacing_m: f64) -> f64 {
    linear(&SPACINGS, &CONTACT_FACTOR, spacing_m)
}

/// Plate factor aWL of plates as wide as the spacing.
#[must_use]
pub fn plate_factor(spacing_m: f64, conduction: f64, pipe_outside_m: f64) -> f64 {
    let (i, share) = interval(&SPACINGS, spacing_m);
    let at = |i: usize| bilinear(&CONDUCTIONS, &DIAMETERS, &PLATE_FACTOR[i], conduction, pipe_outside_m);
    between(at(i), at(i + 1), share)
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "printed values come back bit for bit")]
mod tests {
    use super::*;

    /// Source: ISO 11855-2:2021, single cells once more, as a public copy of it gives them; the ends hold beyond.
    #[test]
    fn cells_lie_where_the_standard_prints_them() {
        assert_eq!(plate_factor(0.05, 0.0, 0.014), 0.82);
        assert_eq!(plate_factor(0.075, 0.4, 0.022), 0.96);
        assert_eq!(plate_factor(0.1, 0.2, 0.018), 0.832);
        assert_eq!([0.014, 0.016, 0.018, 0.02, 0.022].map(|pipe| plate_factor(0.1, 0.4, pipe)), [0.94; 5]);
        assert_eq!([0.05, 0.15, 0.45, 0.5].map(contact_factor), [1.0, 0.95, 0.6, 0.6]);
        assert_eq!([0.01, 0.05, 0.18, 0.2].map(spacing_factor), [1.103, 1.091, 1.059, 1.059]);
        assert_eq!([0.05, 0.1, 0.2, 0.45].map(spreading_share), [1.0, 1.0, 0.5, 0.0]);
    }

    #[test]
    fn every_table_falls_or_rises_throughout_but_for_the_row_named_above() {
        assert!(SPACING_FACTOR.is_sorted_by(|a, b| a > b) && CONTACT_FACTOR.is_sorted_by(|a, b| a > b));
        assert!(SPREADING_SHARE.is_sorted_by(|a, b| a > b));
        for (i, of_spacing) in PLATE_FACTOR.iter().enumerate() {
            for (j, row) in of_spacing.iter().enumerate() {
                assert!(row.is_sorted() || (SPACINGS[i], CONDUCTIONS[j]) == (0.075, 0.4), "{row:?}");
            }
            for k in 0..5 {
                assert!(of_spacing.is_sorted_by(|a, b| a[k] < b[k]), "column {k} of {of_spacing:?}");
            }
        }
        for (j, k) in (0..5).flat_map(|j| (0..5).map(move |k| (j, k))) {
            assert!(PLATE_FACTOR.is_sorted_by(|a, b| a[j][k] >= b[j][k]), "KWL {j}, diameter {k}");
        }
    }

    #[test]
    fn between_rows_and_columns_it_is_straight() {
        let corners = [0.387, 0.415, 0.561, 0.58, 0.337, 0.357, 0.49, 0.51].iter().sum::<f64>() / 8.0;
        assert!((plate_factor(0.175, 0.05, 0.015) - corners).abs() < 1e-15);
    }
}
