//! The water of a heated floor: what it gives at a nominal drop, and how it runs at its duty.
//!
//! Output, film and flow hang together: the film of water in the tube depends on the flow, the water's excess on the
//! film, the drop on the excess, and the flow on the drop. On the way lie the lines through other rooms, which cool the
//! water before it reaches the floor and after. All of it is one equation in the flow.

mod at_flow;
mod law;
mod parts;

pub use law::{Below, Law, least_limit};

use std::cell::Cell;

use super::error::MethodError;
use super::friction::Bore;
use super::math::{exp, ln};
use super::root;
use super::water::Liquid;
use super::workings::{Off, Workings};

/// Relative imbalance of the flow at which a search ends.
const TOLERANCE: f64 = 1e-11;

/// Share of the flow that the whole excess would want of a floor without heat downward, at which the search begins.
const LEAST_SHARE: f64 = 1e-3;

/// Steps that settle the temperature of the return lines; each leaves a few hundredths of the error before it.
const RETURN_STEPS: usize = 12;

/// How the drop of a circuit follows from flow temperature and mean excess.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// By the logarithmic mean itself.
    Logarithm,
    /// By the approximation of EN 1264-3.
    Approximation,
}

/// A supply or return line through another room, in the same screed: all loops of a floor together, one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Temperature of the room that is passed (°C).
    pub room_c: f64,
    /// Heat into that room by kelvin of the water above it (W/K).
    pub up_w_k: f64,
    /// Heat downward by kelvin of the water above it (W/K).
    pub down_w_k: f64,
    /// Heat downward beside that, because it is colder below than in the room (W).
    pub down_w: f64,
}

/// A floor, or a zone of one, with the water that serves it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circuit<'a> {
    /// Common flow temperature (°C).
    pub flow_c: f64,
    /// Temperature of the room (°C).
    pub room_c: f64,
    /// Heated area (m²).
    pub area_m2: f64,
    /// Loops that share the flow.
    pub loops: f64,
    /// By what the output is reckoned; of several, by the one that gives least.
    pub laws: &'a [Law<'a>],
    /// Lines through other rooms.
    pub lines: &'a [Line],
    /// The water.
    pub water: Liquid,
    /// Its conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// The tube.
    pub bore: Bore,
    /// How the drop follows.
    pub rule: Rule,
}

/// A circuit at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Output upward (W/m²).
    pub output_w_m2: f64,
    /// Mean excess of the water in the floor over the room (K).
    pub excess_k: f64,
    /// Index of the law that it goes by.
    pub law: usize,
    /// Film of water in the tube (W/(m²K)); infinite where none of the laws has one.
    pub film_w_m2k: f64,
    /// Heat downward (W/m²).
    pub downward_w_m2: f64,
    /// Temperature at which the water leaves the manifold (°C).
    pub flow_c: f64,
    /// Temperature at which the water reaches the floor (°C).
    pub field_flow_c: f64,
    /// Temperature at which it leaves the floor (°C).
    pub field_return_c: f64,
    /// Temperature at which it comes back to the manifold (°C).
    pub return_c: f64,
    /// Flow (kg/s).
    pub mass_flow_kg_s: f64,
    /// Heat of the lines into the rooms that they pass (W).
    pub lines_up_w: f64,
    /// Heat of the lines downward (W).
    pub lines_down_w: f64,
    /// Relative imbalance of the flow.
    pub residual: f64,
    /// Steps of the search.
    pub iterations: usize,
}

impl Circuit<'_> {
    /// What the floor gives when its water comes back to the manifold cooler by a nominal drop.
    ///
    /// # Source
    /// Conservation of energy with the laws of the circuit; drop and mean excess by EN 1264-2 or EN 1264-3.
    /// # Units
    /// K; see [`State`].
    /// # Validity
    /// `drop_k` above 0. Where the return would be no warmer than the room, nothing is given.
    /// # Errors
    /// Those of film and drop.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::floor_circuit::{Circuit, Law, Rule};
    /// # use tundish_engine::methods::{friction::Bore, water, Off};
    /// let law = [Law::Slope { kh_w_m2k: 5.540, upward_m2k_w: 0.13, below: &[] }];
    /// let circuit = Circuit {
    ///     flow_c: 35.0, room_c: 21.0, area_m2: 14.0, loops: 1.0, laws: &law, lines: &[], water: water::water(32.5)?,
    ///     conductivity_w_mk: water::conductivity(32.5)?, rule: Rule::Logarithm,
    ///     bore: Bore { inside_diameter_mm: 12.0, roughness_mm: 0.007 },
    /// };
    /// // 35/30 °C in a room of 21 °C: 62.7 W/m² by EN 1264-2
    /// assert!((circuit.capacity(5.0, &mut Off)?.output_w_m2 - 62.7).abs() < 0.05);
    /// // and at that output it comes back at 30 °C
    /// assert!((circuit.duty(circuit.capacity(5.0, &mut Off)?.output_w_m2, &mut Off)?.return_c - 30.0).abs() < 1e-6);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn capacity(&self, drop_k: f64, w: &mut impl Workings) -> Result<State, MethodError> {
        let state = self.at_drop(drop_k)?;
        self.capacity_again(&state, w)?;
        Ok(state)
    }

    /// Shows what was found before by [`Self::capacity`].
    ///
    /// # Source
    /// As there.
    /// # Units
    /// As there.
    /// # Validity
    /// A state of the same circuit.
    /// # Errors
    /// None that were not met there.
    pub fn capacity_again(&self, state: &State, w: &mut impl Workings) -> Result<(), MethodError> {
        if state.output_w_m2 > 0.0 {
            self.mean_excess(state.field_flow_c, state.field_return_c, w)?;
            self.laws[state.law].output(state.excess_k, self.room_c, state.film_w_m2k, w);
        }
        Ok(())
    }

    /// Shows what was found before by [`Self::duty`].
    ///
    /// # Source
    /// As there.
    /// # Units
    /// As there.
    /// # Validity
    /// A state of the same circuit.
    /// # Errors
    /// None that were not met there.
    pub fn duty_again(&self, state: &State, w: &mut impl Workings) -> Result<(), MethodError> {
        if state.mass_flow_kg_s > 0.0 {
            let flow_kg_s = self.hangs_together().then_some(state.mass_flow_kg_s);
            self.run((state.output_w_m2, flow_kg_s), w)?;
        }
        Ok(())
    }

    fn at_drop(&self, drop_k: f64) -> Result<State, MethodError> {
        let heat = self.water.specific_heat_j_kgk * drop_k;
        let return_c = self.flow_c - drop_k;
        if !(drop_k > 0.0 && return_c > self.room_c) {
            return Ok(self.at_rest());
        }
        let at = |flow_kg_s: f64| -> Result<(State, f64), MethodError> {
            let film_w_m2k = self.film(flow_kg_s, &mut Off)?;
            let carries_w_k = self.water.specific_heat_j_kgk * flow_kg_s;
            let (supply_up_w, supply_down_w) = self.lines_at(self.flow_c, &mut Off);
            let field_flow_c = self.flow_c - (supply_up_w + supply_down_w) / carries_w_k;
            // the return lines are as warm as the water that leaves the floor, which they cool
            let mut field_return_c = return_c;
            let (mut return_up_w, mut return_down_w) = (0.0, 0.0);
            for _ in 0..if self.lines.is_empty() { 0 } else { RETURN_STEPS } {
                (return_up_w, return_down_w) = self.lines_at(field_return_c, &mut Off);
                field_return_c = (return_c + (return_up_w + return_down_w) / carries_w_k).min(self.flow_c);
            }
            let lines_w = supply_up_w + supply_down_w + return_up_w + return_down_w;
            let mut state = State {
                field_flow_c,
                field_return_c,
                return_c,
                film_w_m2k,
                mass_flow_kg_s: flow_kg_s,
                lines_up_w: supply_up_w + return_up_w,
                lines_down_w: supply_down_w + return_down_w,
                ..self.at_rest()
            };
            if field_flow_c > field_return_c {
                state.excess_k = self.mean_excess(field_flow_c, field_return_c, &mut Off)?;
                (state.output_w_m2, state.law) = self.output(state.excess_k, film_w_m2k);
                let law = &self.laws[state.law];
                let given = (state.output_w_m2, state.excess_k);
                state.downward_w_m2 = law.downward(given, self.room_c, film_w_m2k, &mut Off);
            }
            let wanted_kg_s = (self.area_m2 * (state.output_w_m2 + state.downward_w_m2) + lines_w) / heat;
            Ok((state, wanted_kg_s))
        };
        if !self.hangs_together() {
            // nothing depends on the flow
            let (state, wanted_kg_s) = at(1.0)?;
            return Ok(State { mass_flow_kg_s: wanted_kg_s, residual: 0.0, ..state });
        }
        // more than this no film and no coolness of the lines can want: water as warm as the flow all over
        let most_k = self.flow_c - self.room_c;
        let (free_w_m2, law) = self.output(most_k, f64::INFINITY);
        let down_w_m2 = self.laws[law].downward((free_w_m2, most_k), self.room_c, f64::INFINITY, &mut Off);
        let (up_w, below_w) = self.lines_at(self.flow_c, &mut Off);
        let most_kg_s =
            1.5 * (self.area_m2 * (free_w_m2 + down_w_m2.max(0.0)) + 2.0 * (up_w + below_w).max(0.0)) / heat;
        if most_kg_s <= 0.0 {
            // what lies below gives it all
            let (output_w_m2, law) = self.output(0.0, f64::INFINITY);
            return Ok(State { output_w_m2, law, ..self.at_rest() });
        }
        let least_kg_s = 1e-4 * most_kg_s;
        let last = Cell::new(None);
        let over = |flow_kg_s: f64| {
            let (state, wanted_kg_s) = at(flow_kg_s)?;
            last.set(Some((flow_kg_s, state, wanted_kg_s)));
            Ok(wanted_kg_s / flow_kg_s - 1.0)
        };
        // two thirds of the most is what water as warm as the flow wants; the water is cooler than that
        let near = || {
            let first_kg_s = most_kg_s / 1.5;
            let first = (first_kg_s, over(first_kg_s)?);
            root::near((first, first_kg_s * (1.0 + first.1)), (least_kg_s, most_kg_s), TOLERANCE, over)
        };
        let found = match if self.steps() { None } else { near()? } {
            Some(found) => found,
            None if over(least_kg_s)? <= 0.0 => return Ok(self.at_rest()),
            None => root::between("the flow at the nominal drop", (least_kg_s, most_kg_s), TOLERANCE, over)?,
        };
        let (state, wanted_kg_s) = match last.get() {
            Some((flow_kg_s, state, wanted_kg_s)) if flow_kg_s.total_cmp(&found.at).is_eq() => (state, wanted_kg_s),
            Some(_) | None => at(found.at)?,
        };
        Ok(State { mass_flow_kg_s: wanted_kg_s, residual: found.residual, iterations: found.iterations, ..state })
    }

    /// Logarithm of the flow that an output wants, at so much flow in the tube or at what it wants itself, over another flow (kg/s);
    /// 20 either way at most. It rises with the output.
    fn wants_over(&self, run: (f64, Option<f64>), flow_kg_s: f64) -> Result<f64, MethodError> {
        let wanted_kg_s = match self.run(run, &mut Off) {
            Ok((_, wanted_kg_s)) => wanted_kg_s,
            // no flow brings so much, or so little water reaches the floor too cool
            Err(MethodError::Impossible { .. }) => f64::INFINITY,
            Err(
                error @ (MethodError::OutOfRange { .. }
                | MethodError::NotConverged { .. }
                | MethodError::TooMuchWork { .. }
                | MethodError::OutOfTime),
            ) => return Err(error),
        };
        // nothing is wanted where it is so warm below that the floor takes from there
        Ok(if wanted_kg_s > 0.0 { ln(wanted_kg_s / flow_kg_s).clamp(-20.0, 20.0) } else { -20.0 })
    }

    /// How the circuit runs when its floor gives so much.
    ///
    /// # Source
    /// As [`Self::capacity`].
    /// # Units
    /// W/m²; see [`State`].
    /// # Validity
    /// An output that the flow temperature can give. At none, and where what lies below gives it, the water stands and
    /// cools to the room.
    /// # Errors
    /// [`MethodError::Impossible`] where the flow is too cool for the output at any flow, and those of film and drop.
    /// # Examples
    /// See [`Self::capacity`].
    pub fn duty(&self, output_w_m2: f64, w: &mut impl Workings) -> Result<State, MethodError> {
        if output_w_m2 <= 0.0 {
            return Ok(self.at_rest());
        }
        let films = [f64::INFINITY, self.film(0.0, &mut Off)?];
        if films.iter().any(|film_w_m2k| self.excess(output_w_m2, *film_w_m2k, &mut Off).0 <= 0.0) {
            // what lies below gives it already
            return Ok(State { output_w_m2, ..self.at_rest() });
        }
        if !self.hangs_together() {
            let (state, wanted_kg_s) = self.run((output_w_m2, None), w)?;
            return Ok(if wanted_kg_s > 0.0 { state } else { State { output_w_m2, ..self.at_rest() } });
        }
        if self.flow_c <= self.room_c {
            return Err(MethodError::Impossible { reason: "the flow is no warmer than the room" });
        }
        let given_w = self.area_m2 * output_w_m2;
        let least_kg_s = LEAST_SHARE * given_w / (self.water.specific_heat_j_kgk * (self.flow_c - self.room_c));
        let off = |flow_kg_s: f64| self.wants_over((output_w_m2, Some(flow_kg_s)), flow_kg_s);
        if let Some(found) = self.duty_near(output_w_m2, least_kg_s, off)? {
            let (state, _) = self.run((output_w_m2, Some(found.at)), w)?;
            return Ok(State { residual: found.residual, iterations: found.iterations, ..state });
        }
        if off(least_kg_s)? <= 0.0 {
            return Ok(State { output_w_m2, ..self.at_rest() });
        }
        let mut most_kg_s = 2.0 * least_kg_s;
        let mut doublings = 0;
        while off(most_kg_s)? > 0.0 {
            doublings += 1;
            if doublings > 34 {
                return Err(MethodError::Impossible { reason: "the flow is too cool for this output at any flow" });
            }
            most_kg_s *= 2.0;
        }
        let found = root::between("the flow of a floor", (0.5 * most_kg_s, most_kg_s), TOLERANCE, off)?;
        let (state, _) = self.run((output_w_m2, Some(found.at)), w)?;
        Ok(State { residual: found.residual, iterations: found.iterations, ..state })
    }

    /// Whether the drop steps where its form changes, so that more than one flow may close the balance: which of them is found
    /// must not hang on a guess.
    fn steps(&self) -> bool {
        self.rule == Rule::Approximation
    }

    /// The flow at which an output wants what there is, near what it wants without lines and without a film.
    fn duty_near(
        &self,
        output_w_m2: f64,
        least_kg_s: f64,
        off: impl Fn(f64) -> Result<f64, MethodError>,
    ) -> Result<Option<root::Root>, MethodError> {
        if self.steps() {
            return Ok(None);
        }
        let (_, law) = self.excess(output_w_m2, f64::INFINITY, &mut Off);
        let bare = [self.laws[law]];
        let bare = Circuit { laws: &bare, lines: &[], ..*self };
        let Ok((_, first_kg_s)) = bare.run((output_w_m2, None), &mut Off) else { return Ok(None) };
        if !(first_kg_s > least_kg_s && first_kg_s.is_finite()) {
            return Ok(None);
        }
        let over = off(first_kg_s)?;
        if over.abs() >= 19.0 {
            return Ok(None);
        }
        root::near(((first_kg_s, over), first_kg_s * exp(over)), (least_kg_s, f64::MAX), TOLERANCE, off)
    }

    /// What every law says of a state, one after the other (W/m²).
    pub fn outputs(&self, state: &State) -> impl Iterator<Item = f64> {
        let State { excess_k, film_w_m2k, .. } = *state;
        self.laws.iter().map(move |law| law.output(excess_k, self.room_c, film_w_m2k, &mut Off))
    }
}
