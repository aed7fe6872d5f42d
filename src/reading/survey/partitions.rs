//! Partitions between two rooms: declared in one of them, or alike in both.

use std::collections::{BTreeMap, BTreeSet};

use super::fabric::mirrored;
use super::places::EACH;
use super::{Gathering, Room};
use crate::intake::{Fault, FaultCode};
use crate::job::rooms::{Faces, Part, Surface};
use crate::list::{Index, indexed};

/// Relative difference below which two areas are the same.
const SAME: f64 = 1e-6;

/// What one room declares towards another, by construction and by the side of the first room of the two.
type Declared<'j> = BTreeMap<(&'j str, Side), Shown<'j>>;

/// What a room declares of one construction on one side.
#[derive(Debug, Default)]
struct Shown<'j> {
    area_m2: f64,
    /// Ids of the surfaces that it is of.
    surfaces: BTreeSet<&'j str>,
}

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
            for (id, surface) in &room.surfaces {
                let Some(Faces::Room { room: other }) = &surface.faces else { continue };
                if let Some(other) = self.room(other).filter(|other| *other != index) {
                    add(declared.entry((index, other)).or_default(), id, surface, index < other);
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
        let none = Shown::default();
        let all: BTreeSet<(&str, Side)> = here.keys().chain(there.keys()).copied().collect();
        let pairs = all.into_iter().map(|key| (key, here.get(&key).unwrap_or(&none), there.get(&key).unwrap_or(&none)));
        let apart: Vec<_> = pairs
            .filter(|(_, here, there)| (here.area_m2 - there.area_m2).abs() > SAME * here.area_m2.max(there.area_m2))
            .collect();
        if apart.is_empty() {
            return;
        }
        let differences = apart.iter().map(|((construction, side), here, there)| {
            let (here, there) = (here.told(here_id), there.told(there_id));
            format!("of {construction} {} {here_id} there are {here} and {there}", side.words())
        });
        let detail = format!(
            "rooms {here_id} and {there_id} both declare what stands between them, and disagree: {}; declare it in one \
             room, or alike in both",
            differences.collect::<Vec<_>>().join("; ")
        );
        let of_room = |id: &str, shown: BTreeSet<&str>| -> Vec<String> {
            shown.into_iter().map(|surface| format!("/rooms/{id}/surfaces/{surface}")).collect()
        };
        let mut surfaces = of_room(here_id, apart.iter().flat_map(|(_, here, _)| here.surfaces.clone()).collect());
        surfaces.extend(of_room(there_id, apart.iter().flat_map(|(.., there)| there.surfaces.clone()).collect()));
        let rests_on: Vec<String> = [(here_id, there_id), (there_id, here_id)]
            .into_iter()
            .flat_map(|(id, other)| self.sides_of(id, other))
            .collect();
        let mut surfaces = surfaces.into_iter();
        let fault =
            Fault::new(surfaces.next().unwrap_or_default(), FaultCode::PartitionDisagrees, detail).also(surfaces);
        self.faults.push(rests_on.into_iter().fold(fault, Fault::rests_on));
    }

    /// Places of a room that what it declares towards another rests on: what each surface faces, and all of those that face
    /// the other.
    fn sides_of(&self, room: &str, other: &str) -> Vec<String> {
        let at = format!("/rooms/{room}/surfaces");
        let surfaces = self.job.rooms.get(room).map(|room| room.surfaces.iter()).into_iter().flatten();
        let of_one = surfaces.flat_map(|(id, surface)| {
            let members: &[&str] = match &surface.faces {
                Some(Faces::Room { room }) if **room == *other => {
                    &["faces", "area_m2", "construction", "part", "openings"]
                }
                Some(Faces::Room { .. }) => &["faces"],
                _ => &["faces/kind"],
            };
            members.iter().map(|member| format!("{at}/{id}/{member}")).collect::<Vec<_>>()
        });
        of_one.chain([format!("{at}/{EACH}")]).collect()
    }
}

impl Shown<'_> {
    /// What a room declares, with the surfaces that say it.
    fn told(&self, room: &str) -> String {
        let surfaces: Vec<&str> = self.surfaces.iter().copied().collect();
        match surfaces.len() {
            0 => format!("none by room {room}"),
            1 => format!("{:.2} m² by surface {} of room {room}", self.area_m2, surfaces[0]),
            _ => format!("{:.2} m² by surfaces {} of room {room}", self.area_m2, surfaces.join(", ")),
        }
    }
}

fn add<'j>(declared: &mut Declared<'j>, id: &'j str, surface: &'j Surface, is_first: bool) {
    let side = Side::of_part(surface.part, is_first);
    let mut show = |construction: &'j str, area_m2: f64| {
        let shown = declared.entry((construction, side)).or_default();
        shown.area_m2 += area_m2;
        shown.surfaces.insert(id);
    };
    let openings_m2: f64 = surface.openings.values().map(|opening| opening.area_m2).sum();
    show(&surface.construction.0, surface.area_m2 - openings_m2);
    for opening in surface.openings.values() {
        show(&opening.construction.0, opening.area_m2);
    }
}
