//! Symmetric positive definite systems with a narrow band.

use super::error::MethodError;
use super::math::sqrt;

/// A symmetric matrix of which only a band beside the diagonal is filled; the lower half is kept, row by row.
#[derive(Debug, Clone)]
pub struct Banded {
    size: usize,
    band: usize,
    /// For every row, its entries from `band` before the diagonal up to it.
    entries: Vec<f64>,
}

impl Banded {
    /// A matrix of nothing, with so many rows and so many diagonals below the main one.
    #[must_use]
    pub fn new(size: usize, band: usize) -> Self {
        Self { size, band, entries: vec![0.0; size * (band + 1)] }
    }

    /// Adds a conductance between two nodes: to both diagonals, and off them with the other sign.
    pub fn connect(&mut self, one: usize, other: usize, conductance: f64) {
        let (high, low) = (one.max(other), one.min(other));
        self.ground(one, conductance);
        self.ground(other, conductance);
        let place = self.place(high, low);
        self.entries[place] -= conductance;
    }

    /// Adds a conductance from a node to what is held.
    pub fn ground(&mut self, node: usize, conductance: f64) {
        let place = self.place(node, node);
        self.entries[place] += conductance;
    }

    fn place(&self, row: usize, column: usize) -> usize {
        row * (self.band + 1) + self.band + column - row
    }

    /// Factors the matrix in place, by Cholesky.
    ///
    /// # Source
    /// Any textbook of numerical linear algebra; the band holds the fill.
    /// # Errors
    /// [`MethodError::Impossible`] if a pivot is not above 0.
    pub fn factor(mut self) -> Result<Factored, MethodError> {
        let (band, width) = (self.band, self.band + 1);
        for row in 0..self.size {
            let first = row.saturating_sub(band);
            for column in first..=row {
                let shared = first.max(column.saturating_sub(band));
                let (of_row, of_column) = (row * width + band - row, column * width + band - column);
                let dot: f64 = self.entries[of_row + shared..of_row + column]
                    .iter()
                    .zip(&self.entries[of_column + shared..of_column + column])
                    .map(|(a, b)| a * b)
                    .sum();
                let rest = self.entries[of_row + column] - dot;
                self.entries[of_row + column] = if column < row {
                    rest / self.entries[of_column + column]
                } else if rest > 0.0 {
                    sqrt(rest)
                } else {
                    return Err(MethodError::Impossible { reason: "a network of conductances must be held somewhere" });
                };
            }
        }
        Ok(Factored(self))
    }
}

/// A factored matrix, to be solved as often as wanted.
#[derive(Debug, Clone)]
pub struct Factored(Banded);

impl Factored {
    /// Solves for a right-hand side, in its place.
    pub fn solve(&self, right: &mut [f64]) {
        let Banded { size, band, ref entries } = self.0;
        let width = band + 1;
        for row in 0..size {
            let (first, of_row) = (row.saturating_sub(band), row * width + band - row);
            let dot: f64 =
                entries[of_row + first..of_row + row].iter().zip(&right[first..row]).map(|(a, b)| a * b).sum();
            right[row] = (right[row] - dot) / entries[of_row + row];
        }
        for row in (0..size).rev() {
            let (first, of_row) = (row.saturating_sub(band), row * width + band - row);
            right[row] /= entries[of_row + row];
            let value = right[row];
            for (entry, right) in entries[of_row + first..of_row + row].iter().zip(&mut right[first..row]) {
                *right -= entry * value;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    /// Against the Cholesky factor of nalgebra, a general-purpose library, for a grid of 9 by 7 nodes with conductances
    /// that differ.
    #[test]
    fn a_grid_solves_as_in_a_library() {
        const ACROSS: usize = 7;
        const SIZE: usize = 9 * ACROSS;
        let mut matrix = Banded::new(SIZE, ACROSS);
        let mut dense = DMatrix::<f64>::zeros(SIZE, SIZE);
        let mut conductance = 0.3;
        for node in 0..SIZE {
            let beside = (node % ACROSS + 1 < ACROSS).then_some(node + 1);
            for other in beside.into_iter().chain(Some(node + ACROSS).filter(|other| *other < SIZE)) {
                conductance = (conductance * 7.3 + 0.11) % 5.0 + 0.01;
                matrix.connect(node, other, conductance);
                dense[(node, node)] += conductance;
                dense[(other, other)] += conductance;
                dense[(node, other)] -= conductance;
                dense[(other, node)] -= conductance;
            }
        }
        matrix.ground(3, 0.7);
        dense[(3, 3)] += 0.7;
        let mut right = vec![0.0; SIZE];
        right[SIZE - 1] = 1.0;
        right[10] = -0.4;
        let expected = dense.cholesky().unwrap().solve(&DVector::from_vec(right.clone()));
        matrix.factor().unwrap().solve(&mut right);
        for (found, expected) in right.iter().zip(expected.iter()) {
            assert!((found - expected).abs() < 1e-11, "{found} and {expected}");
        }
    }

    #[test]
    fn a_chain_of_resistors_divides_as_it_should() {
        // four nodes in a row, 1 W/K between neighbours, the first held at 10 by 1 W/K and the last at 0
        let mut matrix = Banded::new(4, 1);
        (0..3).for_each(|node| matrix.connect(node, node + 1, 1.0));
        matrix.ground(0, 1.0);
        matrix.ground(3, 1.0);
        let mut right = [10.0, 0.0, 0.0, 0.0];
        matrix.factor().unwrap().solve(&mut right);
        for (found, expected) in right.iter().zip([8.0, 6.0, 4.0, 2.0]) {
            assert!((found - expected).abs() < 1e-12, "{right:?}");
        }
    }

    #[test]
    fn a_network_held_nowhere_is_refused() {
        let mut matrix = Banded::new(3, 2);
        matrix.connect(0, 2, 1.0);
        assert!(matrix.factor().is_err());
    }
}
