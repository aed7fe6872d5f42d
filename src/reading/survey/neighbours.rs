//! Adjoining dwellings, and how warm they are.

use super::assumed::Fabric as Assumed;
use super::fabric::Faces;
use super::{Gathering, Room};
use crate::job::dwelling::Adjoining;
use crate::list::List;

impl Gathering<'_> {
    /// How warm adjoining dwellings are.
    pub(super) fn adjoining(&self) -> Adjoining {
        let default = || Adjoining::Fixed { temperature_c: self.catalogue.defaults.adjoining_dwelling_c.value };
        self.job.dwelling.adjoining.clone().unwrap_or_else(default)
    }

    pub(super) fn note_adjoining(&mut self, rooms: &List<Room>) {
        let mut elements = rooms.iter().flat_map(|room| &room.elements);
        let faces_one = elements.any(|element| element.faces == Faces::AdjoiningDwelling);
        if faces_one && self.job.dwelling.adjoining.is_none() {
            let adjoining_dwelling_c = self.catalogue.defaults.adjoining_dwelling_c.value;
            self.notes.add(&Assumed::Adjoining { adjoining_dwelling_c });
        }
    }
}
