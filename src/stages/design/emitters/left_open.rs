//! How warm a room becomes whose emitters nothing throttles.

use super::{Emitter, Emitters, Kind, SAME_K};
use crate::list::Index;
use crate::methods::radiator_flow::{Radiator, Water};
use crate::methods::warmed_room::{self, Losing};
use crate::methods::{MethodError, Off, en_442};
use crate::survey::{self, Room, Survey};

impl Emitters {
    /// By how much a room gets warmer in design conditions than it is designed for, where those of its emitters that are open give
    /// what they are set to and the others give way (K).
    ///
    /// # Errors
    /// Those of the emitters' methods.
    pub fn left_open_warms_k(
        &self,
        survey: &Survey,
        room: Index<Room>,
        is_open: impl Fn(Index<survey::Emitter>) -> bool,
    ) -> Result<f64, MethodError> {
        let room_c = survey.rooms[room].inside_c;
        let loss_w: f64 = self.rooms[room].iter().map(|emitter| emitter.load_w).sum();
        let open: Vec<&Emitter> =
            self.rooms[room].enumerate().filter(|(which, _)| is_open(*which)).map(|(_, emitter)| emitter).collect();
        let losing = Losing { room_c, outside_c: survey.climate.outside_design_c(), loss_w };
        let gives = |warm_c: f64| {
            open.iter().map(|emitter| self.gives_to(survey, emitter, (room_c, warm_c))).sum::<Result<f64, _>>()
        };
        let warms_k = losing.warmed(self.flow_c, gives, &mut Off)? - room_c;
        // the search's own last digits are no warmth
        Ok(if warms_k > SAME_K { warms_k } else { 0.0 })
    }

    /// What an emitter gives as it is set to a room that is warmer than it is designed for (W).
    fn gives_to(&self, survey: &Survey, emitter: &Emitter, (room_c, warm_c): (f64, f64)) -> Result<f64, MethodError> {
        match &emitter.kind {
            Kind::Radiator(Some(radiator)) => {
                let hung = Radiator {
                    mean: survey.heating.radiator_mean,
                    installed_w: en_442::installed(radiator.rated_w, radiator.factor, &mut Off),
                    exponent: radiator.exponent,
                };
                let water = Water {
                    flow_c: self.flow_c,
                    specific_heat_j_kgk: self.water.specific_heat_j_kgk,
                    mass_flow_kg_s: emitter.set.flow_kg_s,
                };
                Ok(hung.at_flow(water, warm_c, &mut Off)?.output_w)
            }
            Kind::Floor(_) => Ok(warmed_room::floor_gives(emitter.set.output_w, self.flow_c, room_c, warm_c, &mut Off)),
            // its fan follows the room
            Kind::FanConvector(_) | Kind::Radiator(None) | Kind::BeyondTables(_) => Ok(0.0),
        }
    }
}
