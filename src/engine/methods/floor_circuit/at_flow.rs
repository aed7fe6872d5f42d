//! A circuit at a flow.

use super::{Circuit, State, TOLERANCE};
use crate::methods::error::MethodError;
use crate::methods::root;
use crate::methods::workings::{Off, Workings};

/// Halvings of the greatest output down to which one is looked for: 1e-9 of it.
const MOST_HALVINGS: usize = 30;

impl Circuit<'_> {
    /// How the circuit runs at a flow of all its loops: what the floor gives then, and its return; no less than an output that less flow
    /// gives already, where one is known.
    ///
    /// # Source
    /// As [`Self::capacity`].
    /// # Units
    /// kg/s, W/m²; see [`State`].
    /// # Validity
    /// Any flow; without one, and where the flow is no warmer than the room, the water stands. So little of it that it cools in
    /// lines on its way before it reaches the floor stands as well.
    /// # Errors
    /// [`MethodError::NotConverged`] should the search not end, and those of film and drop.
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
    /// // the flow that brings it back 5 K cooler gives what it gives at that drop
    /// let nominal = circuit.capacity(5.0, &mut Off)?;
    /// let found = circuit.at_flow((nominal.mass_flow_kg_s, 0.0), &mut Off)?;
    /// assert!((found.output_w_m2 - nominal.output_w_m2).abs() < 1e-6);
    /// assert!((found.return_c - 30.0).abs() < 1e-6);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn at_flow(
        &self,
        (mass_flow_kg_s, no_less_w_m2): (f64, f64),
        w: &mut impl Workings,
    ) -> Result<State, MethodError> {
        if mass_flow_kg_s <= 0.0 || self.flow_c <= self.room_c {
            return Ok(self.at_rest());
        }
        let flow_kg_s = self.hangs_together().then_some(mass_flow_kg_s);
        let film_w_m2k = self.film(mass_flow_kg_s, &mut Off)?;
        let (most_w_m2, _) = self.output(self.flow_c - self.room_c, film_w_m2k);
        if most_w_m2 <= 0.0 {
            return Ok(self.at_rest());
        }
        // the logarithm of the flow that an output wants over the one there is: it rises
        let over = |output_w_m2: f64| -> Result<f64, MethodError> {
            // water as warm as the flow all over takes any flow, whatever rounding leaves of its drop
            if output_w_m2 >= most_w_m2 {
                return Ok(20.0);
            }
            self.wants_over((output_w_m2, flow_kg_s), mass_flow_kg_s)
        };
        if let Some(found) = self.output_near((mass_flow_kg_s, most_w_m2), over)? {
            let (state, _) = self.run((found.at, flow_kg_s), w)?;
            return Ok(State { residual: found.residual, iterations: found.iterations, ..state });
        }
        // from above: by the approximation of a drop, which jumps where it changes its form, little output may want much flow as well
        let knows_less = no_less_w_m2 > 0.0 && over(no_less_w_m2)? < 0.0;
        let (mut high_w_m2, mut low_w_m2) = (most_w_m2, if knows_less { no_less_w_m2 } else { 0.5 * most_w_m2 });
        for _ in 0..MOST_HALVINGS {
            if over(low_w_m2)? < 0.0 {
                break;
            }
            (high_w_m2, low_w_m2) = (low_w_m2, 0.5 * low_w_m2);
        }
        if over(low_w_m2)? >= 0.0 {
            return Ok(self.at_rest());
        }
        let ends = (low_w_m2, high_w_m2);
        let found = root::between("the output of a floor", ends, TOLERANCE, over)?;
        let (state, _) = self.run((found.at, flow_kg_s), w)?;
        Ok(State { residual: found.residual, iterations: found.iterations, ..state })
    }

    /// The output at which the flow that is wanted is the one there is, near what a floor gives whose excess falls evenly. Nothing
    /// where a drop steps, for then little output may want much flow as well.
    fn output_near(
        &self,
        (flow_kg_s, most_w_m2): (f64, f64),
        over: impl Fn(f64) -> Result<f64, MethodError>,
    ) -> Result<Option<root::Root>, MethodError> {
        if self.steps() {
            return Ok(None);
        }
        let by_drop =
            self.area_m2 * most_w_m2 / (flow_kg_s * self.water.specific_heat_j_kgk * (self.flow_c - self.room_c));
        let first_w_m2 = most_w_m2 / (1.0 + 0.5 * by_drop);
        let short = |output_w_m2: f64| Ok(-over(output_w_m2)?);
        let first = (first_w_m2, short(first_w_m2)?);
        if first.1.abs() >= 19.0 {
            return Ok(None);
        }
        let steeper = if first.1 > 0.0 { 1.01 } else { 0.99 };
        root::near((first, steeper * first_w_m2), (1e-9 * most_w_m2, most_w_m2), TOLERANCE, short)
    }
}
