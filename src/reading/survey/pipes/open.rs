//! What thermostats never shut, as the job says it.

use super::{Gathering, Pipework};
use crate::intake::{Fault, FaultCode};
use crate::job::pipework::Served;
use crate::list::{Index, List};
use crate::survey::assumed::Pipes as Assumed;
use crate::survey::{EmitterAt, Room};

impl Gathering<'_> {
    /// The emitters that the job leaves open, those of a manifold one by one; nothing where it leaves that to be chosen.
    pub(super) fn stays_open(&mut self, written: &Pipework, rooms: &List<Room>) -> Option<Vec<EmitterAt>> {
        let Some(open) = &written.stays_open else {
            if rooms.iter().any(|room| !room.emitters.is_empty()) {
                self.notes.add(&Assumed::StaysOpenChosen {});
            }
            return None;
        };
        let mut found: Vec<EmitterAt> = Vec::with_capacity(open.len());
        for (index, served) in open.iter().enumerate() {
            let at = format!("/pipework/stays_open/{index}");
            let named = self.left_open(&at, served, rooms);
            if named.iter().any(|at| found.contains(at)) {
                self.faults.push(Fault::new(at, FaultCode::NamedTwice, "this stands in the list already"));
            } else {
                found.extend(named);
            }
        }
        Some(found)
    }

    /// One emitter, or every floor on a manifold.
    fn left_open(&mut self, at: &str, named: &Served, rooms: &List<Room>) -> Vec<EmitterAt> {
        match (&named.room, &named.emitter, &named.manifold) {
            (_, _, Some(manifold)) => {
                let Some(manifold) = self.manifold(&format!("{at}/manifold"), manifold) else { return Vec::new() };
                let all = rooms.enumerate().flat_map(|(room, found)| {
                    found.emitters.enumerate().map(move |(emitter, written)| (EmitterAt { room, emitter }, written))
                });
                let on = |floor: &crate::survey::HeatedFloor| floor.laying.manifold == manifold;
                all.filter(|(_, written)| written.floor().is_some_and(on)).map(|(at, _)| at).collect()
            }
            (Some(room), Some(emitter), None) => self.emitter_of(at, room, emitter).into_iter().collect(),
            (Some(_) | None, _, None) => Vec::new(),
        }
    }

    /// An emitter by its room and its id; names that there are not are told.
    pub(super) fn emitter_of(&mut self, at: &str, room: &str, emitter: &str) -> Option<EmitterAt> {
        let Some(room_index) = self.room(room) else {
            self.unknown_room(format!("{at}/room"), room);
            return None;
        };
        let emitters = &self.job.rooms[room].emitters;
        let Some((index, ..)) = emitters.get_full(emitter) else {
            let meant = crate::intake::words::did_you_mean(emitter, emitters.keys().map(String::as_str));
            let detail = format!("room {room} has no emitter {emitter}{meant}");
            let fault = Fault::new(format!("{at}/emitter"), FaultCode::UnknownEmitter, detail);
            self.faults.push(fault.rests_on(format!("/rooms/{room}/emitters/{emitter}")));
            return None;
        };
        Some(EmitterAt { room: room_index, emitter: Index::new(index) })
    }
}
