//! Whether people live in the house while the work is done, and what heats them meanwhile.

use super::Gathering;
use super::assumed::Money as Assumed;
use crate::job::dwelling::ExistingHeating;
use crate::job::emitters::Emitter;

/// What heats a house that is lived in while the work is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeatedBy {
    /// Water: it is drained when its radiators come off, or when new ones go on its tubes, and at the latest when the heat source
    /// is exchanged.
    Water {
        /// Whether its tubes stay, so that new radiators hang on them.
        tubes_stay: bool,
    },
    /// Heaters and stoves without water, which stay until the new heating runs; or nothing.
    NoWater,
}

impl Gathering<'_> {
    /// What heats the house of those who live there while the work is done. Stoves and electric heaters heat without water unless
    /// radiators or tubes of theirs are told; a job that tells nothing of what heats it is taken to have water, which is the worse.
    pub(super) fn lived_in(&mut self) -> Option<HeatedBy> {
        let dwelling = &self.job.dwelling;
        let is_heated = !matches!(dwelling.existing_heating, None | Some(ExistingHeating::None {}));
        if dwelling.lived_in.is_none() && is_heated {
            self.notes.add(&Assumed::LivedIn {});
        }
        if !dwelling.lived_in.unwrap_or(is_heated) {
            return None;
        }
        let tubes_stay = self.job.pipework.as_ref().is_some_and(|pipework| pipework.existing.is_some());
        let mut emitters = self.job.rooms.values().flat_map(|room| room.emitters.values());
        let has_water = tubes_stay || emitters.any(Emitter::hung_before);
        Some(match dwelling.existing_heating {
            Some(ExistingHeating::None {}) => HeatedBy::NoWater,
            Some(ExistingHeating::Electric {} | ExistingHeating::SolidFuel {}) if !has_water => HeatedBy::NoWater,
            Some(
                ExistingHeating::Electric {}
                | ExistingHeating::SolidFuel {}
                | ExistingHeating::GasBoiler {}
                | ExistingHeating::OilBoiler {}
                | ExistingHeating::LpgBoiler {}
                | ExistingHeating::HeatPump {},
            )
            | None => HeatedBy::Water { tubes_stay },
        })
    }
}
