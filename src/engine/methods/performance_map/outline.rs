//! A map whose rows do not reach equally far: what lies inside is filled in, and what ends it is a straight line from the end of
//! one row to that of the next.

use super::{Cell, GridPoint, PerformanceMap, interval};
use crate::eq;
use crate::methods::error::{MethodError, Range};
use crate::methods::workings::Workings;
use crate::sources::DECLARED_DATA;

/// What bounds a map at one flow temperature, on one side: two points, and where between them.
struct End<'m> {
    pair: [&'m GridPoint; 2],
    hotter_share: f64,
    outside_c: f64,
}

impl PerformanceMap {
    /// Fills in what is missing between points of its row, and then between rows, until nothing is added.
    pub(super) fn fill(&mut self) {
        let (rows, columns) = (self.outside_c.len(), self.flow_c.len());
        loop {
            let before = self.points.iter().flatten().count();
            for row in 0..rows {
                self.fill_line((0..columns).map(|column| row * columns + column).collect());
            }
            for column in 0..columns {
                self.fill_line((0..rows).map(|row| row * columns + column).collect());
            }
            if self.points.iter().flatten().count() == before {
                return;
            }
        }
    }

    /// Fills in what is missing between points of one line of places.
    fn fill_line(&mut self, places: Vec<usize>) {
        let columns = self.flow_c.len();
        let at = |place: usize| (self.outside_c[place / columns], self.flow_c[place % columns]);
        let known: Vec<usize> = places.into_iter().filter(|&place| self.points[place].is_some()).collect();
        let step = |a: usize, b: usize| if b - a < columns { 1 } else { columns };
        let mut filled = Vec::new();
        for ends in known.windows(2) {
            let &[first, last] = ends else { continue };
            let (Some(from), Some(to)) = (self.points[first], self.points[last]) else { continue };
            let step = step(first, last);
            for place in (first + step..last).step_by(step) {
                let (outside_c, flow_c) = at(place);
                let (run, whole) = if step == 1 {
                    (flow_c - from.flow_c, to.flow_c - from.flow_c)
                } else {
                    (outside_c - from.outside_c, to.outside_c - from.outside_c)
                };
                let share = run / whole;
                let between = |from: f64, to: f64| (1.0 - share) * from + share * to;
                let (capacity_w, cop) = (between(from.capacity_w, to.capacity_w), between(from.cop, to.cop));
                filled.push((place, GridPoint { outside_c, flow_c, capacity_w, cop }));
            }
        }
        for (place, point) in filled {
            self.points[place] = Some(point);
        }
    }

    /// The first and the last column that a row reaches; every row has a point, and none is missing between.
    pub(super) fn reach(&self, row: usize) -> (usize, usize) {
        let mut held = (0..self.flow_c.len()).filter(|&column| self.point(row, column).is_some());
        let first = held.next().unwrap_or(0);
        (first, held.next_back().unwrap_or(first))
    }

    /// Lowest and highest flow temperature of the map between a row and the next, at an outside temperature (°C).
    pub(super) fn bounds(&self, row: usize, outside_c: f64) -> (f64, f64) {
        let (colder, milder) = (self.reach(row), self.reach(row + 1));
        let (colder_c, milder_c) = (self.outside_c[row], self.outside_c[row + 1]);
        let share = (outside_c - colder_c) / (milder_c - colder_c);
        let between = |from: usize, to: usize| (1.0 - share) * self.flow_c[from] + share * self.flow_c[to];
        (between(colder.0, milder.0), between(colder.1, milder.1))
    }

    /// The pairs of points that bound the map at a flow temperature between a row and the next: each lies on a row, or on the line
    /// between the ends of both.
    pub(super) fn between_ends(
        &self,
        row: usize,
        (outside_c, flow_c): (f64, f64),
        w: &mut impl Workings,
    ) -> Result<Cell<'_>, MethodError> {
        let (min, max) = self.bounds(row, outside_c);
        Range { quantity: "flow_c", min, max, published: &DECLARED_DATA }.check(flow_c)?;
        let (Some(colder), Some(milder)) = (self.end(row, row + 1, flow_c, w), self.end(row + 1, row, flow_c, w))
        else {
            return Err(MethodError::Impossible { reason: "a row of the performance map has no point" });
        };
        let (colder_c, milder_c) = (colder.outside_c, milder.outside_c);
        let milder_share = if (milder_c - colder_c).abs() > 0.0 {
            eq!(w, DECLARED_DATA: milder_share = (outside_c - colder_c) / (milder_c - colder_c));
            milder_share
        } else {
            0.0
        };
        let hotter_shares = [colder.hotter_share, milder.hotter_share];
        Ok(Cell { colder: colder.pair, milder: milder.pair, milder_share, hotter_shares })
    }

    /// What bounds the map at a flow temperature on the side of a row: that row where it reaches so far, and else the line from its
    /// end to that of the other.
    fn end(&self, row: usize, other: usize, flow_c: f64, w: &mut impl Workings) -> Option<End<'_>> {
        let ((first, last), (other_first, other_last)) = (self.reach(row), self.reach(other));
        let pair = if flow_c > self.flow_c[last] {
            [self.point(row, last)?, self.point(other, other_last)?]
        } else if flow_c < self.flow_c[first] {
            [self.point(other, other_first)?, self.point(row, first)?]
        } else if first == last {
            [self.point(row, first)?; 2]
        } else {
            let column = first + interval("flow_c", &self.flow_c[first..=last], flow_c).ok()?;
            [self.point(row, column)?, self.point(row, column + 1)?]
        };
        let [cooler, hotter] = pair;
        let (cooler_c, hotter_c) = (cooler.flow_c, hotter.flow_c);
        let hotter_share = if hotter_c > cooler_c {
            eq!(w, DECLARED_DATA: hotter_share = (flow_c - cooler_c) / (hotter_c - cooler_c));
            hotter_share
        } else {
            0.0
        };
        let (cooler_outside_c, hotter_outside_c) = (cooler.outside_c, hotter.outside_c);
        let is_row = (hotter_outside_c - cooler_outside_c).abs() <= 0.0;
        let outside_c = if is_row {
            cooler_outside_c
        } else {
            eq!(w, DECLARED_DATA: edge_c = (1.0 - hotter_share) * cooler_outside_c + hotter_share * hotter_outside_c);
            edge_c
        };
        Some(End { pair, hotter_share, outside_c })
    }
}
