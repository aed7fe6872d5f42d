//! The same dwelling over and over with other figures: resolved once, changed in place.

use std::collections::BTreeMap;

use crate::design::DesignError;
use crate::job::rooms::Surface;
use crate::list::{Index, List, indexed};
use crate::methods::Off;
use crate::survey::{Air, Infiltration, Input, Leakage, Room, RoomAirKind, Survey, Use, What};

/// A dwelling whose figures are changed and computed again.
pub(super) struct Trial<'s> {
    /// As it is meant.
    base: &'s Survey,
    /// U-values as they are meant.
    base_w_m2k: &'s List<Use, f64>,
    /// As it is tried.
    survey: Survey,
    u_values_w_m2k: List<Use, f64>,
    /// For every use of a construction, the input that it goes by.
    u_inputs: List<Use, Option<Index<Input>>>,
    /// For every declared surface, the input that it goes by.
    area_inputs: List<Surface, Option<Index<Input>>>,
    /// For every room, the input that air through its chimneys and flues goes by.
    flue_inputs: List<Room, Option<Index<Input>>>,
}

impl<'s> Trial<'s> {
    pub(super) fn new(survey: &'s Survey, u_values_w_m2k: &'s List<Use, f64>) -> Self {
        let unsure = survey.unsure.iter().flat_map(|unsure| indexed(&unsure.inputs));
        let inputs: BTreeMap<What, Index<Input>> = unsure.map(|(index, input)| (input.what, index)).collect();
        let by = |wanted: What| inputs.get(&wanted).copied();
        let surfaces =
            survey.rooms.iter().flat_map(|room| &room.elements).map(|element| element.surface.number() + 1).max();
        Self {
            base: survey,
            base_w_m2k: u_values_w_m2k,
            survey: survey.clone(),
            u_values_w_m2k: u_values_w_m2k.clone(),
            u_inputs: survey.uses.iter().map(|usage| by(What::UValue(usage.construction))).collect(),
            flue_inputs: survey.rooms.indices().map(|room| by(What::Flues(room))).collect(),
            area_inputs: (0..surfaces.unwrap_or(0)).map(|number| by(What::Area(Index::new(number)))).collect(),
        }
    }

    /// Design losses of the dwelling and of its rooms with every input multiplied by its factor (W).
    pub(super) fn losses(
        &mut self,
        inputs: &List<Input>,
        factors: &List<Input, f64>,
    ) -> Result<(f64, impl Iterator<Item = f64>), DesignError> {
        let factor = |input: Option<Index<Input>>| input.map_or(1.0, |input| factors[input]);
        for (usage, u_value_w_m2k) in indexed(&mut self.u_values_w_m2k) {
            *u_value_w_m2k = self.base_w_m2k[usage] * factor(self.u_inputs[usage]);
        }
        let air = inputs.iter().zip(factors).find(|(input, _)| input.what == What::Air).map_or(1.0, |(_, air)| *air);
        self.survey.air = leaking(self.base.air, air);
        for (index, (room, base)) in indexed(self.survey.rooms.iter_mut().zip(&self.base.rooms)) {
            for (element, base) in room.elements.iter_mut().zip(&base.elements) {
                element.area_m2 = base.area_m2 * factor(self.area_inputs[base.surface]);
            }
            room.air.flues_m3_h = base.air.flues_m3_h * factor(self.flue_inputs[index]);
            blow(&mut room.air.kind, &base.air.kind, air);
        }
        let (rooms, _, dwelling) = super::losses(&self.survey, &self.u_values_w_m2k, &mut Off)?;
        Ok((dwelling.design_heat_loss_w, rooms.into_iter().map(|room| room.design_heat_loss_w)))
    }
}

/// Leakage times a factor.
fn leaking(air: Air, factor: f64) -> Air {
    let times = |leakage: Leakage| Leakage { q50_m3_h_m2: leakage.q50_m3_h_m2 * factor, ..leakage };
    match air {
        Air::AirChanges => Air::AirChanges,
        Air::Natural(leakage) => Air::Natural(times(leakage)),
        Air::Mechanical { heat_recovery_efficiency, leakage } => {
            Air::Mechanical { heat_recovery_efficiency, leakage: leakage.map(times) }
        }
    }
}

/// Air that no fan blows, times a factor.
fn blow(tried: &mut RoomAirKind, base: &RoomAirKind, factor: f64) {
    match (tried, base) {
        (RoomAirKind::AirChanges(tried), RoomAirKind::AirChanges(base)) => *tried = base * factor,
        (RoomAirKind::Mechanical { infiltration: tried, .. }, RoomAirKind::Mechanical { infiltration: base, .. }) => {
            *tried = match *base {
                Infiltration::AirChanges(air_changes_per_h) => Infiltration::AirChanges(air_changes_per_h * factor),
                Infiltration::Flow(flow_m3_h) => Infiltration::Flow(flow_m3_h * factor),
                // its leakage is the dwelling's
                Infiltration::Leakage(exposure) => Infiltration::Leakage(exposure),
            };
        }
        // what leaks is the dwelling's, and what hygiene asks for is no leakage
        (RoomAirKind::Natural { .. } | RoomAirKind::Mechanical { .. } | RoomAirKind::AirChanges(_), _) => {}
    }
}
