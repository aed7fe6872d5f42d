//! Adjoining dwellings and how warm they are, and rooms that others heat.

use super::assumed::Fabric as Assumed;
use super::fabric::Faces;
use super::{Gathering, Room};
use crate::intake::{Fault, FaultCode};
use crate::job::dwelling::Adjoining;
use crate::job::rooms::Room as Written;
use crate::list::{Index, List};

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

    /// The room whose emitters carry this one's loss, if the job names one that can.
    pub(super) fn heated_from(&mut self, id: &str, room: &Written) -> Option<Index<Room>> {
        let from = room.heated_from.as_deref()?;
        let at = format!("/rooms/{id}/heated_from");
        let Some(index) = self.room(from) else {
            self.unknown_room(at, from);
            return None;
        };
        let told = |code, detail: String| Fault::new(&*at, code, detail);
        let fault = if from == id {
            told(FaultCode::HeatedFromItself, format!("room {id} is said to be heated from itself"))
        } else if self.comes_round(id) {
            told(
                FaultCode::HeatedInACircle,
                format!("room {id} is said to be heated from {from}, which comes round to itself"),
            )
        } else if !room.emitters.is_empty() {
            told(
                FaultCode::HeatedTwice,
                format!("room {id} has emitters of its own and is said to be heated from {from}"),
            )
            .rests_on(format!("/rooms/{id}/emitters"))
        } else if self.job.rooms.get(from).is_some_and(|donor| donor.emitters.is_empty()) {
            told(FaultCode::HeatsNothing, format!("room {from}, which is to heat {id}, has no emitters"))
                .rests_on(format!("/rooms/{from}/emitters"))
        } else {
            return Some(index);
        };
        self.faults.push(fault);
        None
    }

    /// Whether the rooms that one is heated from lead back to it.
    fn comes_round(&self, id: &str) -> bool {
        let next = |at: &str| self.job.rooms.get(at).and_then(|room| room.heated_from.as_deref());
        let mut way = next(id);
        for _ in 0..self.job.rooms.len() {
            match way {
                Some(at) if at == id => return true,
                Some(at) => way = next(at),
                None => return false,
            }
        }
        false
    }
}
