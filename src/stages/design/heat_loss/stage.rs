//! The stage as it is run with the others, and what must be true of its result.

use super::{HeatLoss, Warning, compute};
use crate::design::DesignError;
use crate::design::stage::{Asked, NoCaution, NothingUnmet, Stage, same, so};
use crate::methods::Workings;
use crate::survey::Survey;

impl Stage for HeatLoss {
    type Before<'b> = ();
    type Error = DesignError;
    type Unmet = NothingUnmet;
    type Warning = Warning;
    type Caution = NoCaution;

    fn compute<W: Workings>(asked: Asked<'_>, (): (), w: &mut W) -> Result<Self, DesignError> {
        compute(asked.survey, w)
    }

    fn warnings(&self) -> &[Self::Warning] {
        &self.warnings
    }

    /// Each room adds up, what flows between rooms cancels, and the dwelling is what passes its outer boundary.
    fn check(&self, survey: &Survey, (): ()) -> Result<(), String> {
        so(self.rooms.len() == survey.rooms.len(), || "a loss for each room".to_owned())?;
        so(self.u_values_w_m2k.len() == survey.uses.len(), || "a U-value for each use".to_owned())?;
        let (mut outer_w, mut between_w) = (0.0, 0.0);
        for ((index, room), written) in self.rooms.enumerate().zip(&survey.rooms) {
            so(room.elements.len() == written.elements.len(), || format!("room {index}: a loss for each element"))?;
            let elements_w: f64 = room.elements.iter().map(|element| element.transmission_w).sum();
            let transmission_w = elements_w + room.thermal_bridging_w;
            same(room.transmission_w, transmission_w, || format!("room {index}: transmission"))?;
            let whole_w = room.transmission_w + room.ventilation_w + room.height_w + room.reheat_w;
            same(room.design_heat_loss_w, whole_w, || format!("room {index}: design heat loss"))?;
            outer_w += room.transmission_w - room.to_rooms_w;
            between_w += room.to_rooms_w;
        }
        same(between_w, 0.0, || "what flows between rooms cancels".to_owned())?;
        let dwelling = &self.dwelling;
        same(dwelling.transmission_w, outer_w, || "transmission of the dwelling".to_owned())?;
        let whole_w = dwelling.transmission_w + dwelling.ventilation_w + dwelling.reheat_w;
        same(dwelling.design_heat_loss_w, whole_w, || "design heat loss of the dwelling".to_owned())
    }
}
