//! Fan convectors by their own data: output at each speed against the difference between water and air, and the power
//! that the fan takes.
//!
//! A fan convector has no exponent: its output is read from a table. Between two differences and between two speeds it
//! is linear; beyond the differences of the table nothing is said.

use super::error::{MethodError, Range};
use super::interpolation::{between, interval};
use super::workings::Workings;
use crate::eq;
use crate::sources::DECLARED_DATA;

/// Outputs at one difference between water and air.
#[derive(Debug, Clone, PartialEq)]
pub struct Outputs {
    /// Mean temperature of the water less that of the room's air (K).
    pub difference_k: f64,
    /// Output at each speed, from the slowest (W).
    pub outputs_w: Vec<f64>,
}

/// The data of a fan convector.
#[derive(Debug, Clone, PartialEq)]
pub struct FanConvector {
    difference_k: Vec<f64>,
    /// Row by row, one row to a difference.
    outputs_w: Vec<Vec<f64>>,
    /// Power that the fan takes at each speed (W).
    fan_w: Vec<f64>,
}

/// How a fan convector runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    /// What it gives (W): the demand, or what it has at its top speed.
    pub output_w: f64,
    /// The slowest speed that carries the demand, counted from 1; the top speed where none does.
    pub speed: usize,
    /// Share of the time that the fan turns (0–1): below its slowest speed it comes and goes.
    pub run: f64,
    /// Mean power that the fan takes (W).
    pub fan_w: f64,
}

impl FanConvector {
    /// A fan convector of these data, the rows in any order.
    ///
    /// # Source
    /// None: data of a product.
    /// # Units
    /// See [`Outputs`]; W.
    /// # Validity
    /// Two differences at least, each once. Every row has an output for each speed of the fan; they rise with the speed
    /// and with the difference, and no power falls as the fan turns faster.
    /// # Errors
    /// [`MethodError::Impossible`] otherwise.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::fan_convector::{FanConvector, Outputs};
    /// let row = |difference_k, outputs_w: [f64; 2]| Outputs { difference_k, outputs_w: outputs_w.to_vec() };
    /// assert!(FanConvector::new(vec![row(20.0, [300.0, 440.0]), row(30.0, [700.0, 970.0])], vec![15.0, 19.0]).is_ok());
    /// assert!(FanConvector::new(vec![row(20.0, [300.0, 440.0])], vec![15.0, 19.0]).is_err());
    /// ```
    pub fn new(mut rows: Vec<Outputs>, fan_w: Vec<f64>) -> Result<Self, MethodError> {
        rows.sort_by(|a, b| a.difference_k.total_cmp(&b.difference_k));
        let rises = |values: &[f64]| values.iter().all(|value| value.is_finite()) && values.is_sorted_by(|a, b| a < b);
        let difference_k: Vec<f64> = rows.iter().map(|row| row.difference_k).collect();
        if rows.len() < 2 || !rises(&difference_k) || !difference_k.iter().all(|&difference_k| difference_k > 0.0) {
            return Err(MethodError::Impossible {
                reason: "a fan convector needs outputs at two differences at least",
            });
        }
        let outputs_w: Vec<Vec<f64>> = rows.into_iter().map(|row| row.outputs_w).collect();
        let sound = |row: &Vec<f64>| row.len() == fan_w.len() && rises(row) && row.iter().all(|&w| w > 0.0);
        if fan_w.is_empty() || !outputs_w.iter().all(sound) {
            return Err(MethodError::Impossible { reason: "a fan convector gives more at each higher speed" });
        }
        let warmer = |pair: &[Vec<f64>]| pair[0].iter().zip(&pair[1]).all(|(cool_w, warm_w)| cool_w < warm_w);
        if !outputs_w.windows(2).all(warmer) {
            return Err(MethodError::Impossible { reason: "a fan convector gives more at each greater difference" });
        }
        if !(fan_w.iter().all(|&w| w >= 0.0 && w.is_finite()) && fan_w.is_sorted()) {
            return Err(MethodError::Impossible { reason: "a fan takes no less power as it turns faster" });
        }
        Ok(Self { difference_k, outputs_w, fan_w })
    }

    /// How many speeds the fan has.
    #[must_use]
    pub fn speeds(&self) -> usize {
        self.fan_w.len()
    }

    /// The greatest difference of the data (K).
    #[must_use]
    pub fn greatest_k(&self) -> f64 {
        self.difference_k[self.difference_k.len() - 1]
    }

    /// Output at a speed, counted from 1.
    ///
    /// # Source
    /// The data of the product, linear between two differences.
    /// # Units
    /// K; result W.
    /// # Validity
    /// From the least to the greatest difference of the data.
    /// # Errors
    /// [`MethodError::OutOfRange`] outside of that, [`MethodError::Impossible`] for a speed that the fan has not.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{fan_convector::{FanConvector, Outputs}, Off};
    /// let row = |difference_k, outputs_w: [f64; 2]| Outputs { difference_k, outputs_w: outputs_w.to_vec() };
    /// let unit = FanConvector::new(vec![row(20.0, [300.0, 440.0]), row(30.0, [700.0, 970.0])], vec![15.0, 19.0])?;
    /// assert!((unit.output(25.0, 2, &mut Off)? - 705.0).abs() < 1e-9);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn output(&self, difference_k: f64, speed: usize, w: &mut impl Workings) -> Result<f64, MethodError> {
        let (row, _) = self.place(difference_k)?;
        let Some(column) = speed.checked_sub(1).filter(|&column| column < self.speeds()) else {
            return Err(MethodError::Impossible { reason: "the fan has no such speed" });
        };
        let (cooler_k, warmer_k) = (self.difference_k[row], self.difference_k[row + 1]);
        let (cooler_w, warmer_w) = (self.outputs_w[row][column], self.outputs_w[row + 1][column]);
        eq!(w, DECLARED_DATA: part = (difference_k - cooler_k) / (warmer_k - cooler_k));
        eq!(w, DECLARED_DATA: speed_output_w = (1.0 - part) * cooler_w + part * warmer_w);
        Ok(speed_output_w)
    }

    /// How it runs to give a demand.
    ///
    /// # Source
    /// The data of the product. Between two speeds the power of the fan goes with the output; below the slowest the fan
    /// turns for the share of the time that the demand is of its output.
    /// # Units
    /// K, W.
    /// # Validity
    /// From the least to the greatest difference of the data; `demand_w` not below 0.
    /// # Errors
    /// [`MethodError::OutOfRange`] and [`MethodError::Impossible`] outside of that.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{fan_convector::{FanConvector, Outputs}, Off};
    /// let row = |difference_k, outputs_w: [f64; 2]| Outputs { difference_k, outputs_w: outputs_w.to_vec() };
    /// let unit = FanConvector::new(vec![row(20.0, [300.0, 440.0]), row(30.0, [700.0, 970.0])], vec![15.0, 19.0])?;
    /// // half of what its slowest speed gives at 25 K
    /// let found = unit.run(25.0, 250.0, &mut Off)?;
    /// assert_eq!((found.speed, found.run, found.fan_w), (1, 0.5, 7.5));
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn run(&self, difference_k: f64, demand_w: f64, w: &mut impl Workings) -> Result<Running, MethodError> {
        let (row, share) = self.place(difference_k)?;
        if !(demand_w >= 0.0 && demand_w.is_finite()) {
            return Err(MethodError::Impossible { reason: "a fan convector gives no less than nothing" });
        }
        let columns = self.outputs_w[row].iter().zip(&self.outputs_w[row + 1]);
        let outputs_w: Vec<f64> = columns.map(|(&cooler_w, &warmer_w)| between(cooler_w, warmer_w, share)).collect();
        let speed = outputs_w.partition_point(|&output_w| output_w < demand_w) + 1;
        if speed > self.speeds() {
            let speed = self.speeds();
            let output_w = self.output(difference_k, speed, w)?;
            let top_fan_w = self.fan_w[speed - 1];
            eq!(w, DECLARED_DATA: fan_w = top_fan_w);
            return Ok(Running { output_w, speed, run: 1.0, fan_w });
        }
        let faster_w = self.output(difference_k, speed, w)?;
        let faster_fan_w = self.fan_w[speed - 1];
        if speed == 1 {
            eq!(w, DECLARED_DATA: run = demand_w / faster_w);
            eq!(w, DECLARED_DATA: fan_w = run * faster_fan_w);
            return Ok(Running { output_w: demand_w, speed, run, fan_w });
        }
        let slower_w = self.output(difference_k, speed - 1, w)?;
        let slower_fan_w = self.fan_w[speed - 2];
        eq!(w, DECLARED_DATA: step = (demand_w - slower_w) / (faster_w - slower_w));
        eq!(w, DECLARED_DATA: fan_w = (1.0 - step) * slower_fan_w + step * faster_fan_w);
        Ok(Running { output_w: demand_w, speed, run: 1.0, fan_w })
    }

    /// The row at or below a difference, and how far it lies towards the next.
    fn place(&self, difference_k: f64) -> Result<(usize, f64), MethodError> {
        let (min, max) = (self.difference_k[0], self.difference_k[self.difference_k.len() - 1]);
        Range { quantity: "difference_k", min, max, published: &DECLARED_DATA }.check(difference_k)?;
        Ok(interval(&self.difference_k, difference_k))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    fn unit() -> FanConvector {
        let row = |difference_k, outputs_w: [f64; 2]| Outputs { difference_k, outputs_w: outputs_w.to_vec() };
        FanConvector::new(vec![row(30.0, [700.0, 970.0]), row(20.0, [300.0, 440.0])], vec![15.0, 19.0]).unwrap()
    }

    #[test]
    fn what_it_takes_is_whole_at_the_speeds_themselves() {
        let at = |demand_w| unit().run(30.0, demand_w, &mut Off).unwrap();
        assert_eq!(at(700.0), Running { output_w: 700.0, speed: 1, run: 1.0, fan_w: 15.0 });
        assert_eq!(at(970.0), Running { output_w: 970.0, speed: 2, run: 1.0, fan_w: 19.0 });
        assert_eq!(at(2000.0), at(970.0));
        assert_eq!(at(0.0), Running { output_w: 0.0, speed: 1, run: 0.0, fan_w: 0.0 });
    }

    #[test]
    fn nothing_is_said_beyond_the_data() {
        for difference_k in [19.999, 30.001, f64::NAN] {
            assert!(matches!(unit().run(difference_k, 100.0, &mut Off), Err(MethodError::OutOfRange { .. })));
            assert!(unit().output(difference_k, 1, &mut Off).is_err());
        }
        assert!(unit().run(25.0, -1.0, &mut Off).is_err() && unit().run(25.0, f64::NAN, &mut Off).is_err());
        assert!(unit().output(25.0, 0, &mut Off).is_err() && unit().output(25.0, 3, &mut Off).is_err());
    }

    #[test]
    fn data_that_are_none_are_refused() {
        let row = |difference_k, outputs_w: &[f64]| Outputs { difference_k, outputs_w: outputs_w.to_vec() };
        let refused = |rows: Vec<Outputs>, fan_w: &[f64]| FanConvector::new(rows, fan_w.to_vec()).is_err();
        assert!(refused(vec![row(20.0, &[300.0]), row(20.0, &[400.0])], &[15.0]));
        assert!(refused(vec![row(20.0, &[300.0]), row(30.0, &[300.0])], &[15.0]));
        assert!(refused(vec![row(20.0, &[300.0, 300.0]), row(30.0, &[400.0, 500.0])], &[15.0, 19.0]));
        assert!(refused(vec![row(20.0, &[300.0, 310.0]), row(30.0, &[400.0, 500.0])], &[15.0, 14.0]));
        assert!(refused(vec![row(20.0, &[300.0]), row(30.0, &[400.0])], &[15.0, 19.0]));
        assert!(refused(vec![row(20.0, &[]), row(30.0, &[])], &[]));
    }
}
