//! What no run of the job serves, where it is, and where the riser stands from which it is reached.

use super::sketch::Reached;
use super::{End, Gathering, Pipework, Run};
use crate::catalogue::room_use::RoomUse;
use crate::job::rooms::{Faces, Part, Position, Room as Written, Surface};
use crate::list::{Index, List};
use crate::methods::rectilinear_tree::Place;
use crate::methods::{Off, routes};
use crate::survey::heated_floors::hangs_at;
use crate::survey::storeys::storey_of;
use crate::survey::{EmitterAt, Room};

/// What no run serves, and on which storey it is.
pub(super) struct Unserved {
    /// Its storey.
    pub storey: i32,
    /// What and where on it.
    pub reached: Reached,
}

impl Gathering<'_> {
    /// Radiators, fan convectors and manifolds that no run serves.
    pub(super) fn unserved(&self, runs: &List<Run>, rooms: &List<Room>, written: &Pipework) -> Vec<Unserved> {
        let is_served = |end: End| runs.iter().any(|run| run.serves.contains(&end));
        let manifolds = written.manifolds.values().enumerate().filter_map(|(number, manifold)| {
            let index = Index::new(number);
            let stands = manifold.room.as_ref().and_then(|id| self.job.rooms.get(&**id));
            // one that feeds nothing is not reached
            let (feeds, _) = self.job.rooms.values().zip(rooms).find(|(_, room)| {
                let mut floors = room.emitters.iter().filter_map(|emitter| emitter.floor());
                floors.any(|floor| floor.laying.manifold == index)
            })?;
            let (storey, place) = (storey_of(stands.unwrap_or(feeds)), hangs_at(manifold, stands).map(place));
            Some(Unserved { storey, reached: Reached { end: End::Manifold(index), place, is_old: false } })
        });
        let emitters = self.job.rooms.values().zip(rooms.enumerate()).flat_map(|(told, (room, found))| {
            let hung = told.emitters.values().zip(found.emitters.enumerate());
            let hung = hung.filter(|(_, (_, emitter))| emitter.floor().is_none());
            hung.map(move |(written, (emitter, _))| {
                let (end, is_old) = (End::Radiator(EmitterAt { room, emitter }), written.hung_before());
                let place = told.position.map(place);
                Unserved { storey: storey_of(told), reached: Reached { end, place, is_old } }
            })
        });
        manifolds.chain(emitters).filter(|one| !is_served(one.reached.end)).collect()
    }

    /// Storey and place of the plant and of the riser on it: what the job says; or the utility room; or the ground storey, and there
    /// the middle of what is to be reached.
    pub(super) fn riser(&self, written: &Pipework, unserved: &[Unserved]) -> (i32, Option<Place>) {
        let told = written.riser.as_ref();
        let room = told.and_then(|riser| riser.room.as_ref()).and_then(|id| self.job.rooms.get(&**id));
        let room = room.or_else(|| self.job.rooms.values().find(|room| room.room_use == RoomUse::Utility));
        let at = told.and_then(|riser| riser.position).or_else(|| room.and_then(|room| room.position)).map(place);
        let storey = room.map_or_else(|| self.storeys.nearest_ground(), storey_of);
        (storey, at.or_else(|| middle(unserved)))
    }

    /// Whether a storey is long and narrow: by the longest of its outer walls that look one way, or by how far apart the middles of
    /// its rooms are.
    pub(super) fn is_narrow(&self, rooms: &[&Written], area_m2: f64) -> bool {
        let walls = (0..4).map(|side| rooms.iter().map(|room| outer_wall_m(room, side)).sum::<f64>());
        let apart = |of: fn(&Position) -> f64| {
            let along = || rooms.iter().filter_map(|room| room.position.as_ref()).map(of);
            along().fold(f64::NEG_INFINITY, f64::max) - along().fold(f64::INFINITY, f64::min)
        };
        let sides = walls.chain([apart(|at| at.x_m), apart(|at| at.y_m)]);
        let longest_m = sides.fold(0.0, f64::max);
        area_m2 > 0.0
            && routes::length_over_width(longest_m, area_m2, &mut Off) >= self.catalogue.defaults.narrow_plan_from.value
    }

    /// The room that the riser is said to stand in must be there.
    pub(super) fn check_riser(&mut self, written: &Pipework) {
        let room = written.riser.as_ref().and_then(|riser| riser.room.as_ref());
        if let Some(room) = room.filter(|room| !self.job.rooms.contains_key(&***room)) {
            self.unknown_room("/pipework/riser/room", room);
        }
    }
}

fn place(position: Position) -> Place {
    Place { x_m: position.x_m, y_m: position.y_m }
}

/// The middle of what has a place: half of it lies to either side, and above and below.
fn middle(unserved: &[Unserved]) -> Option<Place> {
    let half = |of: fn(&Place) -> f64| {
        let mut along: Vec<f64> = unserved.iter().filter_map(|one| one.reached.place.as_ref()).map(of).collect();
        along.sort_by(f64::total_cmp);
        along.get(along.len() / 2).copied()
    };
    Some(Place { x_m: half(|place| place.x_m)?, y_m: half(|place| place.y_m)? })
}

/// Length of a room's walls to outside that look to one side of four (m).
fn outer_wall_m(room: &Written, side: u32) -> f64 {
    let is_outer =
        |surface: &&Surface| surface.part == Part::Wall && matches!(surface.faces, None | Some(Faces::Outside {}));
    let middle_deg = 90.0 * f64::from(side);
    let walls = room.surfaces.values().filter(is_outer);
    let walls =
        walls.filter(|wall| wall.orientation_deg.is_some_and(|deg| (deg - middle_deg + 45.0).rem_euclid(360.0) < 90.0));
    walls.map(|wall| wall.area_m2).sum::<f64>() / room.height_m
}
