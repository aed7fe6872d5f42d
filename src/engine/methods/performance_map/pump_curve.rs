//! The head of a pump along the points of its curve.

use super::interval;
use crate::eq;
use crate::methods::error::MethodError;
use crate::methods::workings::Workings;

/// Head of a pump at a flow, from the points of its curve.
///
/// # Source
/// Straight lines between the points.
/// # Units
/// l/h, kPa; result kPa.
/// # Validity
/// From the first point to the last, both included.
/// # Errors
/// [`MethodError::OutOfRange`] outside of that, [`MethodError::Impossible`] with fewer than two points, or if they
/// do not rise in flow.
/// # Examples
/// ```
/// # use tundish_engine::methods::{performance_map::pump_head, Off};
/// let curve = [(0.0, 72.0), (600.0, 65.0), (1400.0, 40.0)];
/// assert!((pump_head(&curve, 491.5608, &mut Off)? - 66.2651).abs() < 1e-4);
/// assert!(pump_head(&curve, 1401.0, &mut Off).is_err());
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn pump_head(points: &[(f64, f64)], flow_l_h: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    if points.len() < 2 || !points.is_sorted_by(|a, b| a.0 < b.0) {
        return Err(MethodError::Impossible { reason: "a pump's curve needs two points, and they rise in flow" });
    }
    let flows: Vec<f64> = points.iter().map(|point| point.0).collect();
    let before = interval("flow_l_h", &flows, flow_l_h)?;
    let ((less_l_h, less_kpa), (more_l_h, more_kpa)) = (points[before], points[before + 1]);
    eq!(w, DECLARED_DATA: head_kpa = less_kpa + (more_kpa - less_kpa) * (flow_l_h - less_l_h) / (more_l_h - less_l_h));
    Ok(head_kpa)
}

/// Head of a pump at any flow: before the first point of its curve no less than there, behind the last one nothing.
///
/// # Source
/// Straight lines between the points; beyond them the safe side.
/// # Units
/// l/h, kPa; result kPa.
/// # Validity
/// Any flow.
/// # Errors
/// As [`pump_head`].
/// # Examples
/// ```
/// # use tundish_engine::methods::{performance_map::head_available, Off};
/// let curve = [(200.0, 60.0), (1000.0, 20.0)];
/// assert_eq!(head_available(&curve, 100.0, &mut Off)?, 60.0);
/// assert_eq!(head_available(&curve, 600.0, &mut Off)?, 40.0);
/// assert_eq!(head_available(&curve, 1001.0, &mut Off)?, 0.0);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn head_available(points: &[(f64, f64)], flow_l_h: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    match (points.first(), points.last()) {
        (Some(first), _) if flow_l_h < first.0 => Ok(first.1),
        (_, Some(last)) if flow_l_h > last.0 => Ok(0.0),
        (Some(_) | None, _) => pump_head(points, flow_l_h, w),
    }
}

/// A pump's curve from rest to where it gives nothing, so that every tree has its point of work on it: before the first point no less
/// than there, and behind the last one nothing.
///
/// # Source
/// As [`head_available`]; the step behind the last point is a slope over a hundredth of its flow.
/// # Units
/// l/h, kPa.
/// # Validity
/// Points that rise in flow.
/// # Examples
/// ```
/// # use tundish_engine::methods::performance_map::as_far_as_nothing;
/// let curve = as_far_as_nothing(&[(200.0, 60.0), (1000.0, 20.0)]);
/// assert_eq!(curve, [(0.0, 60.0), (200.0, 60.0), (1000.0, 20.0), (1010.0, 0.0)]);
/// assert_eq!(as_far_as_nothing(&[(0.0, 60.0), (1000.0, 0.0)]), [(0.0, 60.0), (1000.0, 0.0)]);
/// ```
#[must_use]
pub fn as_far_as_nothing(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let before = points.first().filter(|first| first.0 > 0.0).map(|first| (0.0, first.1));
    let behind = points.last().filter(|last| last.1 > 0.0).map(|last| (1.01 * last.0, 0.0));
    before.into_iter().chain(points.iter().copied()).chain(behind).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn a_pump_ends_where_its_curve_ends() {
        let curve = [(100.0, 72.0), (600.0, 65.0)];
        assert_eq!(pump_head(&curve, 100.0, &mut Off), Ok(72.0));
        assert_eq!(pump_head(&curve, 600.0, &mut Off), Ok(65.0));
        assert!(pump_head(&curve, 99.9, &mut Off).is_err() && pump_head(&curve, 600.1, &mut Off).is_err());
        assert!(pump_head(&curve[..1], 100.0, &mut Off).is_err());
        assert!(pump_head(&[(600.0, 65.0), (100.0, 72.0)], 300.0, &mut Off).is_err());
    }
}
