//! The storeys of a dwelling and how high they are: one meaning for runs, tails, static height and height above the ground.

use std::collections::BTreeMap;

use crate::catalogue::Defaults;
use crate::job::Job;
use crate::job::rooms::Room;
use crate::methods::{Off, storey};

/// Heights of the storeys.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Storeys {
    /// From floor to floor, of the storeys that have rooms (m).
    heights_m: BTreeMap<i32, f64>,
    /// Of any other (m).
    otherwise_m: f64,
}

/// Storey of a room.
pub(super) fn storey_of(room: &Room) -> i32 {
    room.storey.unwrap_or(0)
}

impl Storeys {
    /// By the rooms' own heights and what a floor takes.
    pub(super) fn from_rooms(job: &Job, defaults: &Defaults) -> Self {
        let mut rooms: BTreeMap<i32, Vec<(f64, f64)>> = BTreeMap::new();
        for room in job.rooms.values() {
            rooms.entry(storey_of(room)).or_default().push((room.height_m, room.floor_area_m2));
        }
        let floor_m = defaults.floor_thickness_m.value;
        let height =
            |mut rooms: Vec<(f64, f64)>| storey::usual(&mut rooms).map(|m| storey::height(m, floor_m, &mut Off));
        let heights_m = rooms.into_iter().filter_map(|(storey, rooms)| Some((storey, height(rooms)?))).collect();
        Self { heights_m, otherwise_m: defaults.storey_height_m.value }
    }

    /// Lowest and highest storey of the dwelling.
    pub(super) fn ends(&self) -> (i32, i32) {
        let (first, last) = (self.heights_m.keys().next(), self.heights_m.keys().next_back());
        (first.copied().unwrap_or(0), last.copied().unwrap_or(0))
    }

    /// The ground storey, or the one of the dwelling that is nearest to it.
    pub(super) fn nearest_ground(&self) -> i32 {
        let (lowest, highest) = self.ends();
        0.clamp(lowest, highest)
    }

    /// Height from the floor of one storey to that of another, whichever is higher (m).
    pub(super) fn rise_m(&self, one: i32, other: i32) -> f64 {
        let height_m = |storey: i32| self.heights_m.get(&storey).copied().unwrap_or(self.otherwise_m);
        (one.min(other)..one.max(other)).map(height_m).sum::<f64>() + 0.0
    }
}
