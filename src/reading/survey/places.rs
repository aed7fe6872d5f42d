//! Where in a job a thing stands, and what it is called there.

use std::fmt;

use super::{Construction, ElementName, Emitter, Gathering, Room, Survey, UnheatedSpace};
use crate::catalogue::offer::HeatSource;
use crate::catalogue::products::Product;
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode};
use crate::job::pipework::Manifold;
use crate::list::{Index, List};
use crate::notes::{Field, Value, Values};

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

impl Field<Survey> for Index<Room> {
    type Said<'f> = &'f str;

    fn said<'f>(&'f self, survey: &'f Survey) -> &'f str {
        &survey.names.rooms[*self]
    }

    fn put(&self, name: &'static str, survey: &Survey, values: &mut Values) {
        values.put(name, Value::Word(survey.names.rooms[*self].clone().into()));
    }
}

impl Field<Survey> for Index<Product> {
    type Said<'f> = &'f str;

    fn said<'f>(&'f self, survey: &'f Survey) -> &'f str {
        survey.book.product(*self).0
    }

    fn put(&self, name: &'static str, survey: &Survey, values: &mut Values) {
        values.put(name, Value::Word(survey.book.product(*self).0.to_owned().into()));
    }
}

impl Field<Survey> for Index<Manifold> {
    type Said<'f> = &'f str;

    fn said<'f>(&'f self, survey: &'f Survey) -> &'f str {
        &survey.names.manifolds[*self]
    }

    fn put(&self, name: &'static str, survey: &Survey, values: &mut Values) {
        values.put(name, Value::Word(survey.names.manifolds[*self].clone().into()));
    }
}

impl Field<Survey> for Index<HeatSource> {
    type Said<'f> = &'f str;

    fn said<'f>(&'f self, survey: &'f Survey) -> &'f str {
        let product = survey.offer.heat_sources[*self].product;
        product.map_or("the heat source given", |product| survey.book.product(product).0)
    }

    fn put(&self, name: &'static str, survey: &Survey, values: &mut Values) {
        let product = survey.offer.heat_sources[*self].product;
        let code = product.map_or("given", |product| survey.book.product(product).0);
        values.put(name, Value::Word(code.to_owned().into()));
    }
}

/// An emitter as sentences say it; by itself it is its JSON Pointer.
#[derive(Debug, Clone, Copy)]
pub struct SaidEmitter<'f> {
    /// Id of its room.
    pub room: &'f str,
    /// Its own id.
    pub emitter: &'f str,
    /// Which it is.
    pub at: EmitterAt,
}

impl fmt::Display for SaidEmitter<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "/rooms/{}/emitters/{}", self.room, self.emitter)
    }
}

impl Field<Survey> for EmitterAt {
    type Said<'f> = SaidEmitter<'f>;

    fn names(_: &'static str) -> Vec<&'static str> {
        vec!["room", "emitter"]
    }

    fn said<'f>(&'f self, survey: &'f Survey) -> SaidEmitter<'f> {
        let (room, emitter) = survey.names.emitter(*self);
        SaidEmitter { room, emitter, at: *self }
    }

    fn put(&self, _: &'static str, survey: &Survey, values: &mut Values) {
        let (room, emitter) = survey.names.emitter(*self);
        values.put("room", Value::Word(room.to_owned().into()));
        values.put("emitter", Value::Word(emitter.to_owned().into()));
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
        let fault = Fault::new(at, FaultCode::UnknownRoom, format!("there is no room {id}{meant}"));
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
