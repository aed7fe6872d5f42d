//! Whether people live in the house while the work is done, and what heats them meanwhile.

use super::Gathering;
use super::assumed::Money as Assumed;
use crate::job::dwelling::ExistingHeating;
use crate::job::emitters::Emitter;
use crate::job::rooms::Room;

/// What heats a house that is lived in while the work is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeatedBy {
    /// Water: it is drained when its radiators come off, or when new ones go on its tubes, and at the latest when the heat source
    /// is exchanged.
    Water {
        /// Whether its tubes stay, so that new radiators hang on them.
        tubes_stay: bool,
        /// Whether old radiators come off in so many rooms that the others heat no house: where they come off in a few, their tails
        /// are capped and the system is filled again.
        goes_with_radiators: bool,
    },
    /// Heaters and stoves without water, which stay until the new heating runs; or nothing.
    NoWater,
}

impl Gathering<'_> {
    /// What heats the house of those who live there while the work is done. Stoves and electric heaters heat without water unless
    /// radiators or tubes of theirs are told; a job that tells nothing of what heats it is taken to have water, which is the worse.
    pub(super) fn lived_in(&mut self) -> Option<HeatedBy> {
        let dwelling = &self.job.dwelling;
        let is_heated = match &dwelling.existing_heating {
            Some(heating) => *heating != ExistingHeating::None {},
            // where nobody tells what heats it, those who live there now are told
            None => dwelling.occupants.is_some(),
        };
        if dwelling.lived_in.is_none() && is_heated {
            self.notes.add(&Assumed::LivedIn {});
        }
        if !dwelling.lived_in.unwrap_or(is_heated) {
            return None;
        }
        let emptied = |room: &Room| {
            let goes = room.emitters.values().any(Emitter::goes_in_any_case);
            goes || room.removed_radiators.is_some_and(|removed| removed > 0)
        };
        let heated = self.job.rooms.values().filter(|room| !room.emitters.is_empty()).count();
        let goes_with_radiators = 2 * self.job.rooms.values().filter(|room| emptied(room)).count() >= heated.max(1);
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
            | None => HeatedBy::Water { tubes_stay, goes_with_radiators },
        })
    }
}
