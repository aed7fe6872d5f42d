//! Output of a heat source between the points that its data give, and the head of a pump along its curve.
//!
//! The map is a full grid of outside against flow temperature. Between its points both figures are interpolated by
//! straight lines, first along one temperature and then along the other; beyond them nothing is said.

use super::error::{MethodError, Range};
use super::workings::Workings;
use crate::eq;
use crate::sources::DECLARED_DATA;

/// One measured point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridPoint {
    /// Outside temperature (°C).
    pub outside_c: f64,
    /// Flow temperature (°C).
    pub flow_c: f64,
    /// Output (W).
    pub capacity_w: f64,
    /// Coefficient of performance.
    pub cop: f64,
}

/// What a heat source gives at one pair of temperatures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Performance {
    /// Output (W).
    pub capacity_w: f64,
    /// Coefficient of performance.
    pub cop: f64,
}

/// A full grid of points.
#[derive(Debug, Clone, PartialEq)]
pub struct PerformanceMap {
    outside_c: Vec<f64>,
    flow_c: Vec<f64>,
    /// Row by row, one row to an outside temperature.
    points: Vec<GridPoint>,
}

impl PerformanceMap {
    /// The map of these points, in any order.
    ///
    /// # Source
    /// None: data of a product.
    /// # Units
    /// See [`GridPoint`].
    /// # Validity
    /// Every outside temperature stands with every flow temperature, once; two of each at least.
    /// # Errors
    /// [`MethodError::Impossible`] otherwise, or where a figure is not a number or an output is not above 0.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::performance_map::{GridPoint, PerformanceMap};
    /// let point = |outside_c, flow_c| GridPoint { outside_c, flow_c, capacity_w: 5000.0, cop: 3.0 };
    /// let mut points = vec![point(-7.0, 35.0), point(-7.0, 55.0), point(7.0, 35.0)];
    /// assert!(PerformanceMap::new(points.clone()).is_err());
    /// points.push(point(7.0, 55.0));
    /// assert!(PerformanceMap::new(points).is_ok());
    /// ```
    pub fn new(mut points: Vec<GridPoint>) -> Result<Self, MethodError> {
        let sound = |point: &GridPoint| {
            let GridPoint { outside_c, flow_c, capacity_w, cop } = *point;
            let finite = [outside_c, flow_c, capacity_w, cop].into_iter().all(f64::is_finite);
            finite && capacity_w > 0.0 && cop > 0.0
        };
        if !points.iter().all(sound) {
            return Err(MethodError::Impossible { reason: "a point of the performance map has no output" });
        }
        points.sort_by(|a, b| a.outside_c.total_cmp(&b.outside_c).then(a.flow_c.total_cmp(&b.flow_c)));
        let outside_c = axis(points.iter().map(|point| point.outside_c));
        let flow_c = axis(points.iter().map(|point| point.flow_c));
        if outside_c.len() < 2 || flow_c.len() < 2 {
            return Err(MethodError::Impossible { reason: "the performance map needs two temperatures of each kind" });
        }
        let nodes = outside_c.iter().flat_map(|&outside| flow_c.iter().map(move |&flow| (outside, flow)));
        if !nodes.eq(points.iter().map(|point| (point.outside_c, point.flow_c))) {
            return Err(MethodError::Impossible { reason: "the performance map lacks a point, or has one twice" });
        }
        Ok(Self { outside_c, flow_c, points })
    }

    /// Output and performance at a pair of temperatures.
    ///
    /// # Source
    /// Bilinear interpolation.
    /// # Units
    /// °C; result W and a ratio.
    /// # Validity
    /// Inside of the grid, its edge included.
    /// # Errors
    /// [`MethodError::OutOfRange`] outside of it.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{performance_map::{GridPoint, PerformanceMap}, Off};
    /// let point = |outside_c, flow_c, capacity_w, cop| GridPoint { outside_c, flow_c, capacity_w, cop };
    /// let map = PerformanceMap::new(vec![
    ///     point(-7.0, 35.0, 4400.0, 2.8), point(-7.0, 45.0, 4150.0, 2.25),
    ///     point(2.0, 35.0, 5100.0, 3.5), point(2.0, 45.0, 4850.0, 2.8),
    /// ])?;
    /// let found = map.at(-3.0, 38.0, &mut Off)?;
    /// assert!((found.capacity_w - 4636.111).abs() < 1e-3);
    /// assert!((found.cop - 2.9261).abs() < 1e-4);
    /// assert!(map.at(-8.0, 38.0, &mut Off).is_err());
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn at(&self, outside_c: f64, flow_c: f64, w: &mut impl Workings) -> Result<Performance, MethodError> {
        let cell = self.cell(outside_c, flow_c, w)?;
        Ok(Performance { capacity_w: cell.capacity_w(w), cop: cell.cop(w) })
    }

    /// Output alone at a pair of temperatures (W).
    ///
    /// # Source
    /// As [`PerformanceMap::at`].
    /// # Units
    /// °C; result W.
    /// # Validity
    /// As there.
    /// # Errors
    /// As there.
    /// # Examples
    /// See there.
    pub fn capacity(&self, outside_c: f64, flow_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
        Ok(self.cell(outside_c, flow_c, w)?.capacity_w(w))
    }

    /// Coefficient of performance alone at a pair of temperatures.
    ///
    /// # Source
    /// As [`PerformanceMap::at`].
    /// # Units
    /// °C; result a ratio.
    /// # Validity
    /// As there.
    /// # Errors
    /// As there.
    /// # Examples
    /// See there.
    pub fn cop(&self, outside_c: f64, flow_c: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
        Ok(self.cell(outside_c, flow_c, w)?.cop(w))
    }

    /// The four points about a pair of temperatures, and where it lies between them.
    fn cell(&self, outside_c: f64, flow_c: f64, w: &mut impl Workings) -> Result<Cell<'_>, MethodError> {
        let row = interval("outside_c", &self.outside_c, outside_c)?;
        let column = interval("flow_c", &self.flow_c, flow_c)?;
        let (colder_c, milder_c) = (self.outside_c[row], self.outside_c[row + 1]);
        let (cooler_c, hotter_c) = (self.flow_c[column], self.flow_c[column + 1]);
        eq!(w, DECLARED_DATA: milder_share = (outside_c - colder_c) / (milder_c - colder_c));
        eq!(w, DECLARED_DATA: hotter_share = (flow_c - cooler_c) / (hotter_c - cooler_c));
        let pair = |row: usize| {
            let first = row * self.flow_c.len() + column;
            [&self.points[first], &self.points[first + 1]]
        };
        Ok(Cell { colder: pair(row), milder: pair(row + 1), milder_share, hotter_share })
    }
}

/// Four points of a map, each pair by rising flow temperature, and a place between them.
struct Cell<'m> {
    colder: [&'m GridPoint; 2],
    milder: [&'m GridPoint; 2],
    milder_share: f64,
    hotter_share: f64,
}

impl Cell<'_> {
    fn capacity_w(&self, w: &mut impl Workings) -> f64 {
        let Self { milder_share, hotter_share, .. } = *self;
        let [colder_cooler_w, colder_hotter_w] = self.colder.map(|point| point.capacity_w);
        let [milder_cooler_w, milder_hotter_w] = self.milder.map(|point| point.capacity_w);
        eq!(w, DECLARED_DATA: colder_w = (1.0 - hotter_share) * colder_cooler_w + hotter_share * colder_hotter_w);
        eq!(w, DECLARED_DATA: milder_w = (1.0 - hotter_share) * milder_cooler_w + hotter_share * milder_hotter_w);
        eq!(w, DECLARED_DATA: capacity_w = (1.0 - milder_share) * colder_w + milder_share * milder_w);
        capacity_w
    }

    fn cop(&self, w: &mut impl Workings) -> f64 {
        let Self { milder_share, hotter_share, .. } = *self;
        let [colder_cooler_cop, colder_hotter_cop] = self.colder.map(|point| point.cop);
        let [milder_cooler_cop, milder_hotter_cop] = self.milder.map(|point| point.cop);
        eq!(w, DECLARED_DATA: colder_cop = (1.0 - hotter_share) * colder_cooler_cop + hotter_share * colder_hotter_cop);
        eq!(w, DECLARED_DATA: milder_cop = (1.0 - hotter_share) * milder_cooler_cop + hotter_share * milder_hotter_cop);
        eq!(w, DECLARED_DATA: cop = (1.0 - milder_share) * colder_cop + milder_share * milder_cop);
        cop
    }
}

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

/// The different values of an axis, rising.
fn axis(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut axis: Vec<f64> = values.collect();
    axis.sort_by(f64::total_cmp);
    axis.dedup();
    axis
}

/// Where the interval begins that holds a value; the axis has two values at least.
fn interval(quantity: &'static str, axis: &[f64], value: f64) -> Result<usize, MethodError> {
    let (min, max) = (axis[0], axis[axis.len() - 1]);
    Range { quantity, min, max, published: &DECLARED_DATA }.check(value)?;
    // the last point belongs to the last interval
    Ok(axis[1..axis.len() - 1].partition_point(|&start| start <= value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    fn grid() -> Vec<GridPoint> {
        let mut points = Vec::new();
        for (row, outside_c) in [7.0, -7.0, 2.0].into_iter().enumerate() {
            for (column, flow_c) in [35.0, 55.0, 45.0].into_iter().enumerate() {
                let number = u32::try_from(3 * row + column).unwrap();
                points.push(GridPoint { outside_c, flow_c, capacity_w: 4000.0 + f64::from(number), cop: 3.0 });
            }
        }
        points
    }

    #[test]
    fn gives_back_its_own_points() {
        let map = PerformanceMap::new(grid()).unwrap();
        for GridPoint { outside_c, flow_c, capacity_w, cop } in grid() {
            assert_eq!(map.at(outside_c, flow_c, &mut Off), Ok(Performance { capacity_w, cop }));
        }
    }

    #[test]
    fn refuses_holes_doubles_and_what_is_no_number() {
        let mut hole = grid();
        hole.remove(4);
        let mut double = grid();
        double.push(double[4]);
        let mut shifted = grid();
        shifted[4].flow_c = 50.0;
        let mut blank = grid();
        blank[4].capacity_w = f64::NAN;
        let line = grid()[..3].to_vec();
        for points in [hole, double, shifted, blank, line, Vec::new()] {
            assert!(PerformanceMap::new(points).is_err());
        }
    }

    #[test]
    fn says_nothing_outside_of_its_data() {
        let map = PerformanceMap::new(grid()).unwrap();
        for (outside_c, flow_c) in [(-7.1, 40.0), (7.1, 40.0), (0.0, 34.9), (0.0, 55.1), (f64::NAN, 40.0)] {
            assert!(map.at(outside_c, flow_c, &mut Off).is_err());
        }
    }

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
