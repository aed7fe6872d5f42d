//! Partitions between two rooms: declared in one of them, or alike in both.

use std::collections::BTreeMap;

use super::fabric::mirrored;
use super::{Gathering, Room};
use crate::intake::Fault;
use crate::job::rooms::{Faces, Part, Surface};
use crate::list::{Index, indexed};

/// Relative difference below which two areas are the same.
const SAME: f64 = 1e-6;

/// Area by construction that one room declares towards another, in each part as the other room sees it or as it does.
type Declared<'j> = BTreeMap<(&'j str, Side), f64>;

/// Where a partition stands, seen from the room that comes first in the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Side {
    /// Beside it.
    Beside,
    /// Over it.
    Over,
    /// Under it.
    Under,
}

impl Side {
    /// The side of a part of a room that is or is not the first of the two.
    fn of_part(part: Part, is_first: bool) -> Self {
        match if is_first { part } else { mirrored(part) } {
            Part::Wall => Self::Beside,
            Part::Roof | Part::Ceiling => Self::Over,
            Part::Floor => Self::Under,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Beside => "beside",
            Self::Over => "over",
            Self::Under => "under",
        }
    }
}

impl<'g> Gathering<'g> {
    /// Checks that partitions which both rooms declare agree, and answers for a pair of rooms whether the other
    /// side is silent, so that it mirrors what the first declares.
    pub(super) fn check_partitions(&mut self) -> impl Fn(Index<Room>, Index<Room>) -> bool + use<'g> {
        let job = self.job;
        let mut declared: BTreeMap<(Index<Room>, Index<Room>), Declared<'g>> = BTreeMap::new();
        for (index, room) in indexed(job.rooms.values()) {
            for surface in room.surfaces.values() {
                let Some(Faces::Room { room: other }) = &surface.faces else { continue };
                if let Some(other) = self.room(other).filter(|other| *other != index) {
                    add(declared.entry((index, other)).or_default(), surface, index < other);
                }
            }
        }
        for (&(one, other), here) in &declared {
            if let Some(there) = declared.get(&(other, one)).filter(|_| one < other) {
                self.compare(one, other, here, there);
            }
        }
        move |one, other| !declared.contains_key(&(other, one))
    }

    fn compare(&mut self, one: Index<Room>, other: Index<Room>, here: &Declared<'_>, there: &Declared<'_>) {
        let name = |index: Index<Room>| self.job.rooms.get_index(index.number()).map_or("", |(id, _)| id.as_str());
        let (here_id, there_id) = (name(one), name(other));
        let mut constructions: Vec<(&str, Side)> = here.keys().chain(there.keys()).copied().collect();
        constructions.sort_unstable();
        constructions.dedup();
        for (construction, side) in constructions {
            let area = |declared: &Declared<'_>| declared.get(&(construction, side)).copied().unwrap_or(0.0);
            let (here_m2, there_m2) = (area(here), area(there));
            if (here_m2 - there_m2).abs() > SAME * here_m2.max(there_m2) {
                let detail = format!(
                    "rooms {here_id} and {there_id} both declare what stands between them, and disagree: {here_m2:.2} m² of \
                     {construction} {} {here_id} as that room has it, {there_m2:.2} m² as {there_id} has it; declare it in \
                     one room, or alike in both",
                    side.words()
                );
                let fault = Fault::new(format!("/rooms/{here_id}/surfaces"), "partition_disagrees", detail);
                self.faults.push(fault.rests_on(format!("/rooms/{here_id}")).rests_on(format!("/rooms/{there_id}")));
            }
        }
    }
}

fn add<'j>(declared: &mut Declared<'j>, surface: &'j Surface, is_first: bool) {
    let side = Side::of_part(surface.part, is_first);
    let openings_m2: f64 = surface.openings.values().map(|opening| opening.area_m2).sum();
    *declared.entry((&surface.construction.0, side)).or_default() += surface.area_m2 - openings_m2;
    for opening in surface.openings.values() {
        *declared.entry((&opening.construction.0, side)).or_default() += opening.area_m2;
    }
}
