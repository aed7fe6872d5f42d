//! Straight lines between the rows and columns of a table.
//!
//! Nothing is extrapolated: the ends hold, and the caller refuses by range what lies beyond. Printed values come back
//! bit for bit.

/// The interval of a rising axis that holds `x`, and how far into it `x` lies (0 to 1; the ends hold beyond them).
/// The axis has two steps or more.
pub(super) fn interval(axis: &[f64], x: f64) -> (usize, f64) {
    let from = axis.partition_point(|&step| step <= x).clamp(1, axis.len() - 1) - 1;
    (from, ((x - axis[from]) / (axis[from + 1] - axis[from])).clamp(0.0, 1.0))
}

/// Straight between two values; exact at both ends.
pub(super) fn between(from: f64, to: f64, share: f64) -> f64 {
    (1.0 - share) * from + share * to
}

/// A value by one axis.
pub(super) fn linear<const N: usize>(axis: &[f64; N], values: &[f64; N], x: f64) -> f64 {
    let (i, share) = interval(axis, x);
    between(values[i], values[i + 1], share)
}

/// A value by two axes.
pub(super) fn bilinear<const R: usize, const C: usize>(
    rows: &[f64; R],
    columns: &[f64; C],
    values: &[[f64; C]; R],
    row: f64,
    column: f64,
) -> f64 {
    let (i, share) = interval(rows, row);
    between(linear(columns, &values[i], column), linear(columns, &values[i + 1], column), share)
}
