//! Tables A.1 to A.7 of EN 1264-2 (type A, pipes in the screed), as data, and their interpolation.
//!
//! Linear between the printed rows and columns. Outside of them nothing is extrapolated: the ends hold, and the
//! caller refuses by range what lies beyond. The figures are those of the standard (its pages 29 and
//! 30) as an open library of building models gives them; a second open file of tables
//! agrees, A.2 at 0.225 m and 0.15 m²K/W (1.026) among them, but for two slips of its own in BG (51.5 and 84.5, where 41.5 and 84.4
//! stand here; the former breaks its row).

use crate::methods::interpolation::{bilinear, linear};

/// Covering resistances of A.1 to A.3 (m²K/W).
pub const COVERINGS: [f64; 4] = [0.0, 0.05, 0.1, 0.15];

/// Spacings of A.2 to A.5 (m).
pub const SPACINGS: [f64; 8] = [0.05, 0.075, 0.1, 0.15, 0.2, 0.225, 0.3, 0.375];

/// Resistances of the cover over the pipe of A.4 and A.6 (m²K/W).
pub const COVERS: [f64; 9] = [0.01, 0.0208, 0.0292, 0.0375, 0.0458, 0.0542, 0.0625, 0.0708, 0.0792];

/// Spacings of A.6 (m).
pub const LIMIT_SPACINGS: [f64; 10] = [0.05, 0.075, 0.1, 0.15, 0.2, 0.225, 0.2625, 0.3, 0.3375, 0.375];

/// Ratios of cover to spacing of A.5 and A.7.
pub const RATIOS: [f64; 13] = [0.173, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75];

/// A.1, spacing factor aT by covering.
const A1: [f64; 4] = [1.23, 1.188, 1.156, 1.134];

/// A.2, cover factor aU by spacing and covering.
const A2: [[f64; 4]; 8] = [
    [1.069, 1.056, 1.043, 1.037],
    [1.066, 1.053, 1.041, 1.035],
    [1.063, 1.05, 1.039, 1.0335],
    [1.057, 1.046, 1.035, 1.0305],
    [1.051, 1.041, 1.0315, 1.0275],
    [1.048, 1.038, 1.0295, 1.026],
    [1.0395, 1.031, 1.024, 1.021],
    [1.03, 1.0221, 1.0181, 1.015],
];

/// A.3, pipe diameter factor aD by spacing and covering.
const A3: [[f64; 4]; 8] = [
    [1.013, 1.013, 1.012, 1.011],
    [1.021, 1.019, 1.016, 1.014],
    [1.029, 1.025, 1.022, 1.018],
    [1.04, 1.034, 1.029, 1.024],
    [1.046, 1.04, 1.035, 1.03],
    [1.049, 1.043, 1.038, 1.033],
    [1.053, 1.049, 1.044, 1.039],
    [1.056, 1.051, 1.046, 1.042],
];

/// A.4, limit coefficient BG by spacing and resistance of the cover.
const A4: [[f64; 9]; 8] = [
    [85.0, 91.5, 96.8, 100.0, 100.0, 100.0, 100.0, 100.0, 100.0],
    [75.3, 83.5, 89.9, 96.3, 99.5, 100.0, 100.0, 100.0, 100.0],
    [66.0, 75.4, 82.9, 89.3, 95.5, 98.8, 100.0, 100.0, 100.0],
    [51.0, 61.1, 69.2, 76.3, 82.7, 87.5, 91.8, 95.1, 97.8],
    [38.5, 48.2, 56.2, 63.1, 69.1, 74.5, 81.3, 86.4, 90.0],
    [33.0, 42.5, 49.5, 56.5, 62.0, 67.5, 75.3, 81.6, 86.1],
    [20.5, 26.8, 31.6, 36.4, 41.5, 47.5, 57.5, 65.3, 72.4],
    [11.5, 13.7, 15.5, 18.2, 21.5, 27.5, 40.0, 49.1, 58.3],
];

/// A.5, limit coefficient BG by ratio of cover to spacing.
const A5: [f64; 13] = [27.5, 40.0, 57.5, 69.5, 78.2, 84.4, 88.3, 91.6, 94.0, 96.3, 98.6, 99.8, 100.0];

/// A.6, limit exponent nG by spacing and resistance of the cover.
const A6: [[f64; 9]; 10] = [
    [0.008, 0.005, 0.002, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    [0.024, 0.021, 0.018, 0.011, 0.002, 0.0, 0.0, 0.0, 0.0],
    [0.046, 0.043, 0.041, 0.033, 0.014, 0.005, 0.0, 0.0, 0.0],
    [0.088, 0.085, 0.082, 0.076, 0.055, 0.038, 0.024, 0.014, 0.006],
    [0.131, 0.13, 0.129, 0.123, 0.105, 0.083, 0.057, 0.04, 0.028],
    [0.155, 0.154, 0.153, 0.146, 0.13, 0.11, 0.077, 0.056, 0.041],
    [0.197, 0.196, 0.196, 0.19, 0.173, 0.15, 0.11, 0.083, 0.062],
    [0.254, 0.253, 0.253, 0.245, 0.228, 0.195, 0.145, 0.114, 0.086],
    [0.322, 0.321, 0.321, 0.31, 0.293, 0.26, 0.187, 0.148, 0.115],
    [0.422, 0.421, 0.421, 0.405, 0.385, 0.325, 0.23, 0.183, 0.142],
];

/// A.7, limit exponent nG by ratio of cover to spacing.
const A7: [f64; 13] = [0.32, 0.23, 0.145, 0.097, 0.067, 0.048, 0.033, 0.023, 0.015, 0.009, 0.005, 0.002, 0.0];

/// Spacing factor aT (table A.1).
#[must_use]
pub fn spacing_factor(covering_m2k_w: f64) -> f64 {
    linear(&COVERINGS, &A1, covering_m2k_w)
}

/// Cover factor aU (table A.2).
#[must_use]
pub fn cover_factor(spacing_m: f64, covering_m2k_w: f64) -> f64 {
    bilinear(&SPACINGS, &COVERINGS, &A2, spacing_m, covering_m2k_w)
}

/// Pipe diameter factor aD (table A.3).
#[must_use]
pub fn diameter_factor(spacing_m: f64, covering_m2k_w: f64) -> f64 {
    bilinear(&SPACINGS, &COVERINGS, &A3, spacing_m, covering_m2k_w)
}

/// Limit coefficient BG and exponent nG of thin covers (tables A.4 and A.6).
#[must_use]
pub fn limit_of_thin_cover(spacing_m: f64, cover_m2k_w: f64) -> (f64, f64) {
    (
        bilinear(&SPACINGS, &COVERS, &A4, spacing_m, cover_m2k_w),
        bilinear(&LIMIT_SPACINGS, &COVERS, &A6, spacing_m, cover_m2k_w),
    )
}

/// Limit coefficient BG and exponent nG of thick covers (tables A.5 and A.7).
#[must_use]
pub fn limit_of_thick_cover(cover_to_spacing: f64) -> (f64, f64) {
    (linear(&RATIOS, &A5, cover_to_spacing), linear(&RATIOS, &A7, cover_to_spacing))
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "printed values come back bit for bit")]
mod tests {
    use super::*;

    /// A.4 and A.6 are printed by the resistance of the cover, A.5 and A.7 by its ratio to the spacing. For the screed of 1.2
    /// W/(mK) that they were made for both say the same of a thick cover: within 0.6 of BG and 0.006 of nG.
    #[test]
    fn the_two_pairs_of_limit_tables_say_the_same_of_thick_covers() {
        let mut held = 0;
        for cover in [0.0625, 0.0708, 0.0792] {
            for spacing in [0.1, 0.15, 0.2, 0.225, 0.3, 0.375] {
                let (thin, thick) = (limit_of_thin_cover(spacing, cover), limit_of_thick_cover(1.2 * cover / spacing));
                assert!((thin.0 - thick.0).abs() < 0.6, "BG at {spacing} under {cover}: {thin:?} {thick:?}");
                assert!((thin.1 - thick.1).abs() < 0.006, "nG at {spacing} under {cover}: {thin:?} {thick:?}");
                held += 1;
            }
        }
        assert_eq!(held, 18);
    }

    /// Source: EN 1264-2, single cells once more; beyond the last row or column the ends hold.
    #[test]
    fn cells_lie_where_the_standard_prints_them() {
        assert_eq!([0.0, 0.05, 0.1, 0.15].map(spacing_factor), [1.23, 1.188, 1.156, 1.134]);
        assert_eq!([0.05, 0.15, 0.375].map(|spacing| cover_factor(spacing, 0.05)), [1.056, 1.046, 1.0221]);
        assert_eq!([0.05, 0.15, 0.375].map(|spacing| diameter_factor(spacing, 0.1)), [1.012, 1.029, 1.046]);
        assert_eq!(limit_of_thin_cover(0.15, 0.0375), (76.3, 0.076));
        assert_eq!(limit_of_thin_cover(0.3375, 0.0625).1, 0.187);
        assert_eq!((limit_of_thick_cover(0.173), limit_of_thick_cover(0.5)), ((27.5, 0.32), (91.6, 0.023)));
        assert_eq!(limit_of_thick_cover(2.0), (100.0, 0.0));
    }

    #[test]
    fn every_table_falls_or_rises_throughout() {
        assert!(A1.is_sorted_by(|a, b| a > b) && A5.is_sorted() && A7.is_sorted_by(|a, b| a > b));
        assert!(A2.iter().chain(&A3).all(|row| row.is_sorted_by(|a, b| a >= b)));
        assert!(A4.iter().all(|row| row.is_sorted()) && A6.iter().all(|row| row.is_sorted_by(|a, b| a >= b)));
        for column in 0..9 {
            assert!(A4.is_sorted_by(|a, b| a[column] >= b[column]));
            assert!(A6.is_sorted_by(|a, b| a[column] <= b[column]));
        }
        for column in 0..4 {
            assert!(A2.is_sorted_by(|a, b| a[column] > b[column]));
            assert!(A3.is_sorted_by(|a, b| a[column] < b[column]));
        }
    }

    #[test]
    fn between_rows_and_columns_it_is_straight() {
        let corners = (1.03 + 1.0221 + 1.0395 + 1.031) / 4.0;
        assert!((cover_factor(0.3375, 0.025) - corners).abs() < 1e-15);
    }
}
