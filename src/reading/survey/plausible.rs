//! What a job may say and hardly means.

use jiff::civil::Date;

use super::Gathering;
use super::constructions::{Construction, Use};
use super::doubted::Doubted;
use crate::job::rooms::Part;
use crate::list::List;

/// How often the floor area of its room a floor, ceiling or roof may have before it is doubted (our own choice).
const MOST_FLOORS: f64 = 10.0;

/// Years after the first day of the newest rule from which on no rule is thought to tell of a date (our own choice).
const RULES_REACH_YEARS: i16 = 10;

impl Gathering<'_> {
    /// Rooms that lose nothing through what bounds them, surfaces far larger than their rooms, and constructions that nothing is made of.
    pub(super) fn doubt_fabric(&mut self, constructions: &List<Construction>, found: &List<Use>) {
        for (room, written) in &self.job.rooms {
            if written.surfaces.is_empty() {
                self.notes.add(&Doubted::RoomWithoutSurfaces { room: room.clone() });
            }
            for (surface, told) in &written.surfaces {
                let (area_m2, floor_area_m2) = (told.area_m2, written.floor_area_m2);
                let is_flat = matches!(told.part, Part::Floor | Part::Ceiling | Part::Roof);
                if is_flat && area_m2 > MOST_FLOORS * floor_area_m2 {
                    let (room, surface) = (room.clone(), surface.clone());
                    self.notes.add(&Doubted::SurfaceLargerThanRoom { room, surface, area_m2, floor_area_m2 });
                }
            }
        }
        for (index, construction) in constructions.indices().zip(self.job.constructions.keys()) {
            if !found.iter().any(|known| known.construction == index) {
                self.notes.add(&Doubted::ConstructionUnused { construction: construction.clone() });
            }
        }
    }

    /// A date that no rule of the book is likely to tell of.
    pub(super) fn doubt_date(&mut self, at: &str, date: Date) {
        let newest = self.book.rules.iter().map(|rule| rule.from.year()).max();
        if let Some(newest) = newest.filter(|newest| date.year() > newest + RULES_REACH_YEARS) {
            self.notes.add_once(&Doubted::DateBeyondRules {
                at: at.into(),
                date: date.to_string(),
                newest: newest.to_string(),
            });
        }
    }
}
