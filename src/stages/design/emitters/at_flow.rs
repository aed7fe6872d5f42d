//! What an emitter still gives where less flows than it is set to.

use super::{Emitters, Kind};
use crate::methods::en_442::{self, Mean};
use crate::methods::radiator_flow::{Radiator, Water};
use crate::methods::{MethodError, Off, carried_heat};
use crate::survey::{EmitterAt, Survey};

impl Emitters {
    /// Share of the heat at its load that an emitter gives at a flow (kg/s), by its own law (0–1): a radiator by its exponent, a floor
    /// with what it gives downward in proportion to its logarithmic excess, a fan convector at its highest speed in proportion to its
    /// arithmetic one.
    ///
    /// # Errors
    /// Those of the emitters' methods.
    pub fn share_at(&self, survey: &Survey, at: EmitterAt, mass_flow_kg_s: f64) -> Result<f64, MethodError> {
        let emitter = self.emitter(at);
        let load = emitter.at_load;
        if load.output_w <= 0.0 || mass_flow_kg_s >= load.flow_kg_s {
            return Ok(1.0);
        }
        let (flow_c, specific_heat_j_kgk) = (self.flow_c, self.water.specific_heat_j_kgk);
        let room_c = survey.rooms[at.room].inside_c;
        let (law, wanted_w) = match &emitter.kind {
            Kind::Radiator(Some(radiator)) => {
                let installed_w = en_442::installed(radiator.rated_w, radiator.factor, &mut Off);
                let (mean, exponent) = (survey.heating.radiator_mean, radiator.exponent);
                (Radiator { mean, installed_w, exponent }, load.output_w)
            }
            Kind::FanConvector(Some(unit)) => {
                let law = (Mean::Arithmetic, 1.0);
                (Radiator::known_at(law, emitter.capacity_w, unit.difference_k, &mut Off), load.output_w)
            }
            Kind::Floor(_) => {
                let drop_k = flow_c - load.return_c;
                let whole_w = carried_heat::heat(load.flow_kg_s, specific_heat_j_kgk, drop_k, &mut Off);
                let law = (Mean::Logarithmic, 1.0);
                let excess_k = en_442::excess(law.0, flow_c, load.return_c, room_c, &mut Off)?;
                (Radiator::known_at(law, whole_w, excess_k, &mut Off), whole_w)
            }
            Kind::Radiator(None) | Kind::FanConvector(None) | Kind::BeyondTables(_) => return Ok(1.0),
        };
        let given = law.at_flow(Water { flow_c, specific_heat_j_kgk, mass_flow_kg_s }, room_c, &mut Off)?;
        Ok((given.output_w / wanted_w).min(1.0))
    }
}
