//! Where in a job a thing stands, and what it is called there.

use super::{Construction, ElementName, Emitter, Gathering, Room, Survey, UnheatedSpace};
use crate::intake::Fault;
use crate::intake::words::did_you_mean;
use crate::job::pipework::Manifold;
use crate::list::{Index, List};

/// An emitter by its room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct EmitterAt {
    /// Its room.
    pub room: Index<Room>,
    /// Which of the room's emitters it is.
    pub emitter: Index<Emitter>,
}

/// What things are called in the job.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Names {
    /// Ids of the constructions.
    pub constructions: List<Construction, String>,
    /// Ids of the rooms.
    pub rooms: List<Room, String>,
    /// For each room, what its elements are called.
    pub elements: List<Room, Vec<ElementName>>,
    /// For each room, ids of its emitters.
    pub emitters: List<Room, List<Emitter, String>>,
    /// Ids of the manifolds.
    pub manifolds: List<Manifold, String>,
    /// Ids of the unheated spaces.
    pub spaces: List<UnheatedSpace, String>,
}

impl Survey {
    /// The emitter of a place.
    #[must_use]
    pub fn emitter(&self, at: EmitterAt) -> &Emitter {
        &self.rooms[at.room].emitters[at.emitter]
    }
}

impl Names {
    /// Ids of an emitter's room and of the emitter.
    #[must_use]
    pub fn emitter(&self, at: EmitterAt) -> (&str, &str) {
        (&self.rooms[at.room], &self.emitters[at.room][at.emitter])
    }

    /// JSON Pointer to an emitter of the job.
    #[must_use]
    pub fn emitter_pointer(&self, at: EmitterAt) -> String {
        let (room, emitter) = self.emitter(at);
        format!("/rooms/{room}/emitters/{emitter}")
    }
}

impl Gathering<'_> {
    /// The room of an id.
    pub(super) fn room(&self, id: &str) -> Option<Index<Room>> {
        self.job.rooms.get_index_of(id).map(Index::new)
    }

    /// Tells that there is no room of an id.
    pub(super) fn unknown_room(&mut self, at: impl Into<String>, id: &str) {
        let meant = did_you_mean(id, self.job.rooms.keys().map(String::as_str));
        let fault = Fault::new(at, "unknown_room", format!("there is no room {id}{meant}"));
        self.faults.push(fault.rests_on(format!("/rooms/{id}")));
    }

    /// A fault that rests on what every surface of every room faces.
    pub(super) fn rests_on_every_side(&self, fault: Fault) -> Fault {
        let surfaces = self.job.rooms.iter().flat_map(|(id, room)| {
            let sides = room.surfaces.keys().map(move |surface| format!("/rooms/{id}/surfaces/{surface}/faces/kind"));
            sides.chain([format!("/rooms/{id}/surfaces/{EACH}")])
        });
        surfaces.chain([format!("/rooms/{EACH}")]).fold(fault, Fault::rests_on)
    }
}

/// Stands in a pointer for whatever a map holds: a fault that rests on it rests on the map, not on what is in its entries.
pub(super) const EACH: &str = "*";
