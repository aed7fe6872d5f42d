//! What a radiator gives at a flow of water.

use super::en_442::{self, Mean};
use super::error::MethodError;
use super::math::{exp, ln, pow};
use super::root::{self, Root};
use super::workings::{Off, Workings};
use crate::eq;

/// Difference of law and balance, relative, at which a search ends.
const TOLERANCE: f64 = 1e-13;

/// Logarithm of the excess of flow over that of the return beyond which the water has cooled to the room.
const COOLED: f64 = 600.0;

/// The same from which on the balance tells the output, and the return hardly anything: rounding leaves little of its excess.
const AS_COOL: f64 = 10.0;

/// A radiator as it hangs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Radiator {
    /// The mean that it is reckoned by.
    pub mean: Mean,
    /// Rated output, with what its connection leaves of it (W).
    pub installed_w: f64,
    /// Exponent.
    pub exponent: f64,
}

/// The water of a radiator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    /// Flow temperature (°C).
    pub flow_c: f64,
    /// Its specific heat (J/(kgK)).
    pub specific_heat_j_kgk: f64,
    /// Flow (kg/s).
    pub mass_flow_kg_s: f64,
}

/// What a radiator gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    /// Output (W).
    pub output_w: f64,
    /// Mean excess over the room (K).
    pub excess_k: f64,
    /// Return temperature (°C).
    pub return_c: f64,
    /// What is left between law and balance, relative.
    pub residual: f64,
    /// Steps of the search.
    pub iterations: usize,
}

impl Radiator {
    /// An emitter that is known by what it gives at a mean excess over its room, and goes by a power of that: a fan convector at one
    /// speed or a heated floor, with exponent 1.
    ///
    /// # Source
    /// EN 442, output by excess temperature, solved for the rating; EN 1264-2: the output of a floor is in proportion to its
    /// logarithmic excess.
    /// # Units
    /// W, K.
    /// # Validity
    /// `excess_k` above 0, of the same mean.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{en_442::Mean, radiator_flow::{Radiator, Water}, Off};
    /// // 1,000 W at 40/35/20 °C: the flow of that drop gives them back
    /// let excess_k = 5.0 / (20.0_f64 / 15.0).ln();
    /// let floor = Radiator::known_at((Mean::Logarithmic, 1.0), 1000.0, excess_k, &mut Off);
    /// let water = Water { flow_c: 40.0, specific_heat_j_kgk: 4180.0, mass_flow_kg_s: 1000.0 / 4180.0 / 5.0 };
    /// assert!((floor.at_flow(water, 20.0, &mut Off)?.output_w - 1000.0).abs() < 1e-6);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn known_at((mean, exponent): (Mean, f64), output_w: f64, excess_k: f64, w: &mut impl Workings) -> Self {
        let reference_k = mean.reference_k();
        eq!(w, EN_442: installed_w = output_w / pow(excess_k / reference_k, exponent));
        Self { mean, installed_w, exponent }
    }

    /// Output and return at a flow, in a room (°C).
    ///
    /// # Source
    /// EN 442, output by excess temperature, with conservation of energy: what the radiator gives is what its water loses.
    /// # Units
    /// See [`Radiator`], [`Water`] and [`Given`].
    /// # Validity
    /// As [`en_442::output`]. Where nothing flows, or the flow is no warmer than the room, nothing is given. By the arithmetic mean
    /// so little water that it would come back cooler than the room comes back as warm as that.
    /// # Errors
    /// [`MethodError::NotConverged`] should the search not end.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{en_442::Mean, radiator_flow::{Radiator, Water}, Off};
    /// // 420 W at 40/32.61/21 °C take 48.9 kg/h of a radiator of 2,000 W, n 1.3
    /// let radiator = Radiator { mean: Mean::Logarithmic, installed_w: 2000.0, exponent: 1.3 };
    /// let water = Water { flow_c: 40.0, specific_heat_j_kgk: 4180.0, mass_flow_kg_s: 48.9 / 3600.0 };
    /// let given = radiator.at_flow(water, 21.0, &mut Off)?;
    /// assert!((given.output_w - 420.0).abs() < 0.2);
    /// assert!((given.return_c - 32.61).abs() < 0.01);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn at_flow(&self, water: Water, room_c: f64, w: &mut impl Workings) -> Result<Given, MethodError> {
        let Self { mean, installed_w, exponent } = *self;
        let Water { flow_c, specific_heat_j_kgk, mass_flow_kg_s } = water;
        let most_k = flow_c - room_c;
        if installed_w <= 0.0 || mass_flow_kg_s <= 0.0 || most_k <= 0.0 {
            return Ok(Given { output_w: 0.0, excess_k: 0.0, return_c: room_c, residual: 0.0, iterations: 0 });
        }
        let carries_w_k = specific_heat_j_kgk * mass_flow_kg_s;
        let Some(found) = self.log_ratio(most_k, carries_w_k)? else {
            let output_w = {
                let to = &mut w.within("output_w");
                eq!(to, ENERGY_BALANCE: output_w = specific_heat_j_kgk * mass_flow_kg_s * (flow_c - room_c));
                output_w
            };
            let to = &mut w.within("excess_k");
            eq!(to, EN_442: excess_k = 0.5 * (flow_c - room_c));
            return Ok(Given { output_w, excess_k, return_c: room_c, residual: 0.0, iterations: 0 });
        };
        let log_ratio = found.at;
        let return_c = {
            let to = &mut w.within("return_temperature_c");
            eq!(to, EN_442: return_c = room_c + (flow_c - room_c) * exp(-log_ratio));
            return_c
        };
        if log_ratio > AS_COOL {
            let to = &mut w.within("output_w");
            eq!(to, ENERGY_BALANCE: output_w = specific_heat_j_kgk * mass_flow_kg_s * (flow_c - return_c));
            let excess_k = if mean == Mean::Logarithmic { most_k / log_ratio } else { 0.5 * most_k };
            let (residual, iterations) = (found.residual, found.iterations);
            return Ok(Given { output_w, excess_k, return_c, residual, iterations });
        }
        let excess_k = en_442::excess(mean, flow_c, return_c, room_c, &mut w.within("excess_k"))?;
        let output_w = en_442::output(mean, installed_w, exponent, excess_k, &mut w.within("output_w"));
        Ok(Given { output_w, excess_k, return_c, residual: found.residual, iterations: found.iterations })
    }

    /// Logarithm of the excess of the flow (K) over that of the return, for water that carries so much (W/K); nothing where it
    /// cools to the room.
    fn log_ratio(&self, most_k: f64, carries_w_k: f64) -> Result<Option<Root>, MethodError> {
        let Self { mean, installed_w, exponent } = *self;
        let by_law = |excess_k: f64| en_442::output(mean, installed_w, exponent, excess_k, &mut Off);
        // the logarithm of the law over the balance, by the logarithm of the excess of flow over return: it falls
        let off = |log_ratio: f64| -> Result<f64, MethodError> {
            let return_share = exp(-log_ratio);
            let excess_k = match mean {
                Mean::Logarithmic => most_k * (1.0 - return_share) / log_ratio,
                Mean::Arithmetic => most_k * 0.5 * (1.0 + return_share),
            };
            Ok(ln(by_law(excess_k) / (carries_w_k * most_k * (1.0 - return_share))))
        };
        // what it would give without a drop, over what its water could lose; the drop takes from both
        let share = by_law(most_k) / (carries_w_k * most_k);
        let first = share / (1.0 + 0.5 * (exponent - 1.0) * share);
        if 0.0 < first && first < AS_COOL {
            let residual = off(first)?;
            let near = root::near(((first, residual), first * exp(residual)), (0.0, AS_COOL), TOLERANCE, off)?;
            if near.is_some() {
                return Ok(near);
            }
        }
        let (mut low, mut high) = (1.0, 1.0);
        while off(high)? > 0.0 {
            low = high;
            high *= 2.0;
            if high > COOLED {
                return Ok(None);
            }
        }
        while off(low)? < 0.0 {
            high = low;
            low *= 0.5;
        }
        root::between("the return of a radiator", (low, high), TOLERANCE, off).map(Some)
    }
}
