//! Cells of the section: the rectangle of screed with the half pipe at its edge.

use super::Section;
use crate::methods::math::{PI, acos, asin, cos, sin, sqrt};

/// How much longer each cell far from the pipe is than the one before, times the cells across the pipe.
const GROWTH: f64 = 2.4;

/// Edges of cells over a length: even and fine up to `fine_m`, then growing.
fn edges(length_m: f64, fine_m: f64, cell_m: f64, growth: f64) -> Vec<f64> {
    let mut edges = vec![0.0];
    let mut at_m = 0.0;
    let mut next_m = cell_m;
    while at_m < length_m - 1e-12 {
        if at_m >= fine_m - 1e-12 {
            next_m *= growth;
        }
        // no sliver at the end
        at_m = if length_m - at_m < 1.5 * next_m { length_m } else { at_m + next_m };
        edges.push(at_m);
    }
    edges
}

/// The rectangle of screed with the half pipe at its edge, in cells.
#[expect(clippy::struct_field_names, reason = "every field is a length, and units stand in the names")]
pub(super) struct Grid {
    x_m: Vec<f64>,
    y_m: Vec<f64>,
    radius_m: f64,
    middle_m: f64,
}

impl Grid {
    pub(super) fn new(section: &Section, across_pipe: u32) -> Self {
        let Section { spacing_m, pipe, under_m, cover_m, .. } = *section;
        let pipe_outside_m = pipe.outermost_m();
        let cell_m = pipe_outside_m / f64::from(across_pipe);
        // finer grids grow more slowly, so that cells far from the pipe are refined as well
        let growth = 1.0 + GROWTH / f64::from(across_pipe);
        let (radius_m, middle_m) = (0.5 * pipe_outside_m, under_m + 0.5 * pipe_outside_m);
        let x_m = edges(0.5 * spacing_m, 1.25 * radius_m, cell_m, growth);
        // fine over the whole height of the pipe and what lies under it, growing above
        let y_m = edges(under_m + pipe_outside_m + cover_m, middle_m + 1.25 * radius_m, cell_m, growth);
        Self { x_m, y_m, radius_m, middle_m }
    }

    pub(super) fn columns(&self) -> usize {
        self.x_m.len() - 1
    }

    pub(super) fn rows(&self) -> usize {
        self.y_m.len() - 1
    }

    /// Number of a cell, counted along the shorter side, which keeps the band narrow.
    pub(super) fn node(&self, column: usize, row: usize) -> usize {
        if self.rows() <= self.columns() { column * self.rows() + row } else { row * self.columns() + column }
    }

    /// Half the chord of the pipe at a distance from its middle (m).
    fn half_chord_m(&self, from_middle_m: f64) -> f64 {
        sqrt((self.radius_m * self.radius_m - from_middle_m * from_middle_m).max(0.0))
    }

    /// Length of the upright face right of a column that screed fills (m).
    pub(super) fn upright_m(&self, column: usize, row: usize) -> f64 {
        let half_m = self.half_chord_m(self.x_m[column + 1]);
        let (low_m, high_m) = (self.y_m[row], self.y_m[row + 1]);
        let blocked_m = high_m.min(self.middle_m + half_m) - low_m.max(self.middle_m - half_m);
        high_m - low_m - blocked_m.max(0.0)
    }

    /// Length of the level face over a row that screed fills (m).
    pub(super) fn level_m(&self, column: usize, row: usize) -> f64 {
        let half_m = self.half_chord_m(self.y_m[row + 1] - self.middle_m);
        let (left_m, right_m) = (self.x_m[column], self.x_m[column + 1]);
        right_m - left_m - (right_m.min(half_m) - left_m).max(0.0)
    }

    /// Whether the pipe takes the whole cell.
    pub(super) fn is_pipe(&self, column: usize, row: usize) -> bool {
        let (low_m, high_m) = (self.y_m[row] - self.middle_m, self.y_m[row + 1] - self.middle_m);
        let (x_m, y_m) = (self.x_m[column + 1], low_m.abs().max(high_m.abs()));
        x_m * x_m + y_m * y_m <= self.radius_m * self.radius_m
    }

    pub(super) fn width_m(&self, column: usize) -> f64 {
        self.x_m[column + 1] - self.x_m[column]
    }

    pub(super) fn height_m(&self, row: usize) -> f64 {
        self.y_m[row + 1] - self.y_m[row]
    }

    /// Mean distance of the screed in a cell from the pipe's surface (m), over a grid of points.
    pub(super) fn screed_to_pipe_m(&self, column: usize, row: usize) -> f64 {
        const POINTS: u32 = 8;
        let (mut sum_m, mut count) = (0.0, 0.0);
        for i in 0..POINTS {
            for j in 0..POINTS {
                let share = |n: u32| (f64::from(n) + 0.5) / f64::from(POINTS);
                let x_m = self.x_m[column] + share(i) * self.width_m(column);
                let y_m = self.y_m[row] + share(j) * self.height_m(row) - self.middle_m;
                let from_m = sqrt(x_m * x_m + y_m * y_m) - self.radius_m;
                if from_m > 0.0 {
                    sum_m += from_m;
                    count += 1.0;
                }
            }
        }
        if count > 0.0 { sum_m / count } else { 0.0 }
    }

    /// Cells that the pipe's surface passes, with the length of it in each (m).
    pub(super) fn pipe_arcs(&self) -> Vec<(usize, usize, f64)> {
        let mut angles = vec![-0.5 * PI, 0.5 * PI];
        angles.extend(self.x_m.iter().filter(|x_m| **x_m < self.radius_m).flat_map(|x_m| {
            let angle = acos(x_m / self.radius_m);
            [angle, -angle]
        }));
        let inner = self.y_m.iter().map(|y_m| (y_m - self.middle_m) / self.radius_m).filter(|sine| sine.abs() < 1.0);
        angles.extend(inner.map(asin));
        angles.sort_by(f64::total_cmp);
        let cell = |edges: &[f64], at_m: f64| edges.partition_point(|edge_m| *edge_m <= at_m).saturating_sub(1);
        let pairs = angles.windows(2).filter(|pair| pair[1] - pair[0] > 1e-12);
        pairs
            .map(|pair| {
                let angle = 0.5 * (pair[0] + pair[1]);
                let (x_m, y_m) = (self.radius_m * cos(angle), self.middle_m + self.radius_m * sin(angle));
                let column = cell(&self.x_m, x_m).min(self.columns() - 1);
                let row = cell(&self.y_m, y_m).min(self.rows() - 1);
                (column, row, self.radius_m * (pair[1] - pair[0]))
            })
            .collect()
    }
}
