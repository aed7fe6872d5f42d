//! The dwelling as it is found, as far as the safety of the work hangs on it.

use std::collections::BTreeSet;

use super::Gathering;
use super::storeys::storey_of;
use crate::job::dwelling::ExistingHeating;
use crate::job::emitters::{Emitter, ExistingRadiator, Keep};
use crate::job::runs::Place;

/// The dwelling as it is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct AsFound {
    /// Year in which it was built, where the job tells.
    pub construction_year: Option<u32>,
    /// What burns or runs there now, where the job tells.
    pub fuel: Option<Fuel>,
    /// Whether tubes of the system before stay.
    pub tubes_stay: bool,
    /// Whether radiators of the system before may stay.
    pub radiators_stay: bool,
    /// Whether work goes above the ground: rooms on several storeys or on an upper one, or pipes in a loft.
    pub has_heights: bool,
}

/// What a heating runs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fuel {
    /// Gas, from the mains or in bottles.
    Gas,
    /// Heating oil.
    Oil,
    /// Coal or wood.
    Solid,
    /// Electricity, with or without a heat pump.
    Electricity,
    /// Nothing heats it.
    None,
}

impl AsFound {
    /// Whether something of the system before stays.
    #[must_use]
    pub fn keeps_any(&self) -> bool {
        self.tubes_stay || self.radiators_stay
    }

    /// Whether something heats the dwelling now, as far as the job tells.
    #[must_use]
    pub fn is_heated(&self) -> bool {
        self.fuel.is_some_and(|fuel| fuel != Fuel::None)
    }
}

impl Gathering<'_> {
    pub(super) fn as_found(&self) -> AsFound {
        let dwelling = &self.job.dwelling;
        let fuel = dwelling.existing_heating.as_ref().map(|heating| match heating {
            ExistingHeating::GasBoiler {} | ExistingHeating::LpgBoiler {} => Fuel::Gas,
            ExistingHeating::OilBoiler {} => Fuel::Oil,
            ExistingHeating::SolidFuel {} => Fuel::Solid,
            ExistingHeating::Electric {} | ExistingHeating::HeatPump {} => Fuel::Electricity,
            ExistingHeating::None {} => Fuel::None,
        });
        let (tubes_stay, radiators_stay) = self.keeps();
        let storeys: BTreeSet<i32> = self.job.rooms.values().map(storey_of).collect();
        let mut runs = self.job.pipework.iter().flat_map(|pipework| pipework.runs.values());
        let in_loft = runs.any(|run| run.place == Some(Place::Loft));
        let has_heights = storeys.len() > 1 || storeys.last().is_some_and(|highest| *highest > 0) || in_loft;
        AsFound { construction_year: dwelling.construction_year, fuel, tubes_stay, radiators_stay, has_heights }
    }

    /// Whether tubes, and whether radiators of the system before may stay.
    pub(super) fn keeps(&self) -> (bool, bool) {
        let emitters = self.job.rooms.values().flat_map(|room| room.emitters.values());
        let mut radiators = emitters.filter_map(|emitter| match emitter {
            Emitter::Radiator { existing, .. } => existing.as_ref().map(ExistingRadiator::keep),
            Emitter::FanConvector { .. } | Emitter::HeatedFloor { .. } => None,
        });
        let tubes = self.job.pipework.as_ref().is_some_and(|pipework| {
            let mut runs = pipework.runs.values();
            pipework.existing.is_some() || runs.any(|run| run.existing_tube.is_some() || run.readings.is_some())
        });
        (tubes, radiators.any(|keep| keep != Keep::Never))
    }
}
