//! Output of a heat source between the points that its data give, and the head of a pump along its curve.
//!
//! The map has a row of points to each outside temperature. Between them both figures are interpolated by straight lines,
//! first along the flow temperature and then along the outside one. Rows need not reach equally far, as a heat pump makes
//! less hot water when it is cold: between the ends of two rows the map ends along a straight line. What lies inside and is
//! missing is filled in along its row, or across the rows; beyond the outline nothing is said.

mod outline;
mod pump_curve;

pub use pump_curve::{as_far_as_nothing, head_available, pump_head};

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

/// Points over the grid of all their outside and flow temperatures.
#[derive(Debug, Clone, PartialEq)]
pub struct PerformanceMap {
    outside_c: Vec<f64>,
    flow_c: Vec<f64>,
    /// Row by row, one row to an outside temperature; nothing where the map does not reach.
    points: Vec<Option<GridPoint>>,
}

impl PerformanceMap {
    /// The map of these points, in any order.
    ///
    /// # Source
    /// None: data of a product.
    /// # Units
    /// See [`GridPoint`].
    /// # Validity
    /// Two outside temperatures at least, one of them with two flow temperatures, and no pair twice. A pair that lies
    /// between two of its outside temperature is filled in along these, and one that lies between two of its flow
    /// temperature along those.
    /// # Errors
    /// [`MethodError::Impossible`] otherwise, or where a figure is not a number or an output is not above 0.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{performance_map::{GridPoint, PerformanceMap}, Off};
    /// let point = |outside_c, flow_c| GridPoint { outside_c, flow_c, capacity_w: 5000.0, cop: 3.0 };
    /// let points = vec![point(-7.0, 35.0), point(7.0, 35.0), point(7.0, 55.0)];
    /// assert!(PerformanceMap::new(points[..2].to_vec()).is_err());
    /// // from 35 °C at -7 °C outside it reaches to 55 °C at 7 °C along a straight line
    /// let map = PerformanceMap::new(points)?;
    /// assert!(map.at(0.0, 44.9, &mut Off).is_ok() && map.at(0.0, 45.1, &mut Off).is_err());
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn new(points: Vec<GridPoint>) -> Result<Self, MethodError> {
        let sound = |point: &GridPoint| {
            let GridPoint { outside_c, flow_c, capacity_w, cop } = *point;
            let finite = [outside_c, flow_c, capacity_w, cop].into_iter().all(f64::is_finite);
            finite && capacity_w > 0.0 && cop > 0.0
        };
        if !points.iter().all(sound) {
            return Err(MethodError::Impossible { reason: "a point of the performance map has no output" });
        }
        let outside_c = axis(points.iter().map(|point| point.outside_c));
        let flow_c = axis(points.iter().map(|point| point.flow_c));
        if outside_c.len() < 2 || flow_c.len() < 2 {
            return Err(MethodError::Impossible { reason: "the performance map needs two temperatures of each kind" });
        }
        let mut map = Self { points: vec![None; outside_c.len() * flow_c.len()], outside_c, flow_c };
        for point in points {
            let row = map.outside_c.partition_point(|&outside_c| outside_c < point.outside_c);
            let column = map.flow_c.partition_point(|&flow_c| flow_c < point.flow_c);
            let place = row * map.flow_c.len() + column;
            if map.points[place].replace(point).is_some() {
                return Err(MethodError::Impossible { reason: "the performance map has a point twice" });
            }
        }
        map.fill();
        let has_width = (0..map.outside_c.len()).any(|row| {
            let (first, last) = map.reach(row);
            last > first
        });
        if !has_width {
            return Err(MethodError::Impossible {
                reason: "the performance map needs two flow temperatures at one outside temperature",
            });
        }
        Ok(map)
    }

    /// Output and performance at a pair of temperatures.
    ///
    /// # Source
    /// Bilinear interpolation.
    /// # Units
    /// °C; result W and a ratio.
    /// # Validity
    /// Inside of the outline, its edge included.
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

    /// Lowest flow temperature that the map reaches at an outside temperature (°C); nothing beyond its outside temperatures.
    ///
    /// # Source
    /// None: data of a product, and the straight lines between the ends of its rows.
    /// # Units
    /// °C.
    /// # Validity
    /// Any outside temperature.
    #[must_use]
    pub fn coolest_flow_c(&self, outside_c: f64) -> Option<f64> {
        let row = interval("outside_c", &self.outside_c, outside_c).ok()?;
        Some(self.bounds(row, outside_c).0)
    }

    /// The four points about a pair of temperatures, and where it lies between them; where not all four are there, what bounds
    /// the map at that flow temperature.
    fn cell(&self, outside_c: f64, flow_c: f64, w: &mut impl Workings) -> Result<Cell<'_>, MethodError> {
        let row = interval("outside_c", &self.outside_c, outside_c)?;
        let column = interval("flow_c", &self.flow_c, flow_c)?;
        let pair = |row: usize| Some([self.point(row, column)?, self.point(row, column + 1)?]);
        let (Some(colder), Some(milder)) = (pair(row), pair(row + 1)) else {
            return self.between_ends(row, (outside_c, flow_c), w);
        };
        let (colder_c, milder_c) = (self.outside_c[row], self.outside_c[row + 1]);
        let (cooler_c, hotter_c) = (self.flow_c[column], self.flow_c[column + 1]);
        eq!(w, DECLARED_DATA: milder_share = (outside_c - colder_c) / (milder_c - colder_c));
        eq!(w, DECLARED_DATA: hotter_share = (flow_c - cooler_c) / (hotter_c - cooler_c));
        Ok(Cell { colder, milder, milder_share, hotter_shares: [hotter_share; 2] })
    }

    fn point(&self, row: usize, column: usize) -> Option<&GridPoint> {
        self.points[row * self.flow_c.len() + column].as_ref()
    }
}

/// Four points of a map, each pair by rising flow temperature, and a place between them.
struct Cell<'m> {
    colder: [&'m GridPoint; 2],
    milder: [&'m GridPoint; 2],
    milder_share: f64,
    /// Share of the hotter point in the colder and in the milder pair.
    hotter_shares: [f64; 2],
}

impl Cell<'_> {
    fn capacity_w(&self, w: &mut impl Workings) -> f64 {
        let Self { milder_share, hotter_shares, .. } = *self;
        let [colder_cooler_w, colder_hotter_w] = self.colder.map(|point| point.capacity_w);
        let [milder_cooler_w, milder_hotter_w] = self.milder.map(|point| point.capacity_w);
        let [hotter_share, _] = hotter_shares;
        eq!(w, DECLARED_DATA: colder_w = (1.0 - hotter_share) * colder_cooler_w + hotter_share * colder_hotter_w);
        let [_, hotter_share] = hotter_shares;
        eq!(w, DECLARED_DATA: milder_w = (1.0 - hotter_share) * milder_cooler_w + hotter_share * milder_hotter_w);
        eq!(w, DECLARED_DATA: capacity_w = (1.0 - milder_share) * colder_w + milder_share * milder_w);
        capacity_w
    }

    fn cop(&self, w: &mut impl Workings) -> f64 {
        let Self { milder_share, hotter_shares, .. } = *self;
        let [colder_cooler_cop, colder_hotter_cop] = self.colder.map(|point| point.cop);
        let [milder_cooler_cop, milder_hotter_cop] = self.milder.map(|point| point.cop);
        let [hotter_share, _] = hotter_shares;
        eq!(w, DECLARED_DATA: colder_cop = (1.0 - hotter_share) * colder_cooler_cop + hotter_share * colder_hotter_cop);
        let [_, hotter_share] = hotter_shares;
        eq!(w, DECLARED_DATA: milder_cop = (1.0 - hotter_share) * milder_cooler_cop + hotter_share * milder_hotter_cop);
        eq!(w, DECLARED_DATA: cop = (1.0 - milder_share) * colder_cop + milder_share * milder_cop);
        cop
    }
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

    /// Every point by hand: output 5000 + 100·outside − 10·flow, a COP of 4 + 0.1·outside − 0.02·flow.
    fn plane(pairs: &[(f64, f64)]) -> Vec<GridPoint> {
        let point = |&(outside_c, flow_c): &(f64, f64)| {
            let (capacity_w, cop) = (5000.0 + 100.0 * outside_c - 10.0 * flow_c, 4.0 + 0.1 * outside_c - 0.02 * flow_c);
            GridPoint { outside_c, flow_c, capacity_w, cop }
        };
        pairs.iter().map(point).collect()
    }

    /// Straight lines give a plane back wherever the map reaches, whatever of its points are missing.
    #[test]
    fn a_plane_comes_back_from_any_rows() {
        let ragged = [(-15.0, 35.0), (-15.0, 45.0), (-7.0, 35.0), (-7.0, 55.0), (2.0, 25.0), (2.0, 45.0), (2.0, 65.0)];
        let apart = [(-15.0, 30.0), (-15.0, 35.0), (7.0, 50.0), (7.0, 55.0)];
        let holed = [(-7.0, 35.0), (-7.0, 55.0), (2.0, 35.0), (2.0, 45.0), (7.0, 35.0), (7.0, 45.0), (7.0, 55.0)];
        for pairs in [&ragged[..], &apart, &holed] {
            let map = PerformanceMap::new(plane(pairs)).unwrap();
            let mut held = 0;
            for step in 0..2000 {
                let outside_c = -15.0 + 0.01 * f64::from(step % 100) * 22.0;
                let flow_c = 25.0 + 2.0 * f64::from(step / 100);
                let [expected] = plane(&[(outside_c, flow_c)])[..] else { unreachable!() };
                let Ok(found) = map.at(outside_c, flow_c, &mut Off) else { continue };
                held += 1;
                assert!(
                    (found.capacity_w - expected.capacity_w).abs() < 1e-6 && (found.cop - expected.cop).abs() < 1e-9
                );
            }
            assert!(held > 200, "{held}");
        }
    }

    /// By hand: between 45 °C at −15 °C and 55 °C at −7 °C outside it ends at 50 °C at −11 °C, and begins at 35 °C; at 2 °C it
    /// begins at 25 °C, so that at −2.5 °C, midway, it does at 30 °C.
    #[test]
    fn the_outline_runs_straight_from_row_to_row() {
        let rows = [(-15.0, 35.0), (-15.0, 45.0), (-7.0, 35.0), (-7.0, 55.0), (2.0, 25.0), (2.0, 65.0)];
        let map = PerformanceMap::new(plane(&rows)).unwrap();
        let holds = |outside_c: f64, flow_c: f64| map.at(outside_c, flow_c, &mut Off).is_ok();
        assert!(holds(-11.0, 50.0) && !holds(-11.0, 50.01) && holds(-11.0, 35.0) && !holds(-11.0, 34.99));
        assert!(holds(-2.5, 30.0) && !holds(-2.5, 29.99));
        assert_eq!(map.coolest_flow_c(-2.5), Some(30.0));
        assert_eq!((map.coolest_flow_c(-11.0), map.coolest_flow_c(2.1)), (Some(35.0), None));
        // what it says when asked beyond: the bounds there
        let told = map.at(-11.0, 52.0, &mut Off).unwrap_err();
        assert!(matches!(told, MethodError::OutOfRange { quantity: "flow_c", min: 35.0, max: 50.0, .. }), "{told:?}");
    }

    #[test]
    fn gives_back_its_own_points() {
        let map = PerformanceMap::new(grid()).unwrap();
        for GridPoint { outside_c, flow_c, capacity_w, cop } in grid() {
            assert_eq!(map.at(outside_c, flow_c, &mut Off), Ok(Performance { capacity_w, cop }));
        }
    }

    /// Midway between 4006 W at 35 °C and 4007 W at 55 °C.
    #[test]
    fn a_hole_is_filled_along_its_row() {
        let mut hole = grid();
        assert_eq!((hole[8].outside_c, hole.remove(8).flow_c), (2.0, 45.0));
        let found = PerformanceMap::new(hole).unwrap().at(2.0, 45.0, &mut Off).unwrap();
        assert!((found.capacity_w - 4006.5).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn refuses_doubles_lines_and_what_is_no_number() {
        let mut double = grid();
        double.push(double[4]);
        let mut blank = grid();
        blank[4].capacity_w = f64::NAN;
        let line = grid()[..3].to_vec();
        for points in [double, blank, line, plane(&[(-7.0, 35.0), (7.0, 55.0)]), Vec::new()] {
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
}
