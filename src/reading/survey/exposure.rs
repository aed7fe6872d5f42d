//! How rooms stand to wind and height.

use super::storeys::storey_of;
use super::{Exposure, Gathering};
use crate::catalogue::typical::TypicalPart;
use crate::job::constructions::Construction;
use crate::job::dwelling::Shielding as Written;
use crate::job::rooms::{Faces, Part, Room, Surface};
use crate::methods::Off;
use crate::methods::en_12831::{self, Shielding};

impl Gathering<'_> {
    /// How a room stands to wind and height, by its façades with windows and doors and by its storey.
    pub(super) fn exposure(&self, room: &Room, shielding: Option<Written>, height_m: Option<f64>) -> Exposure {
        let shielding = match shielding {
            Some(Written::None) => Shielding::None,
            Some(Written::Moderate) | None => Shielding::Moderate,
            Some(Written::Heavy) => Shielding::Heavy,
        };
        let defaults = &self.catalogue.defaults;
        let ground_storey_m = height_m.unwrap_or(defaults.ground_storey_height_m.value);
        let rise_m = self.storeys.rise_m(0, storey_of(room).max(0));
        let centre_m = en_12831::middle_height(ground_storey_m, rise_m, room.height_m, &mut Off);
        let open_facades = self.open_facades(room);
        Exposure { e: en_12831::shielding(shielding, open_facades), epsilon: en_12831::height_correction(centre_m) }
    }

    /// Façades of a room that have a window or a door: surfaces that look the same way are one, and each that does not say where it
    /// looks is one, on the safe side. A window may be declared as a surface of its own; where every outer wall and roof of the room
    /// says where it looks, there are no more façades than ways that they look.
    fn open_facades(&self, room: &Room) -> usize {
        let outer = room.surfaces.values().filter(|surface| matches!(surface.faces, None | Some(Faces::Outside {})));
        let (own, closed): (Vec<&Surface>, Vec<&Surface>) =
            outer.partition(|surface| self.is_opening(&surface.construction));
        let open: Vec<&Surface> = closed.iter().filter(|wall| !wall.openings.is_empty()).chain(&own).copied().collect();
        let told = ways(&open);
        let untold = open.iter().filter(|surface| surface.orientation_deg.is_none()).count();
        let walls: Vec<&Surface> = closed.into_iter().filter(|wall| wall.part != Part::Floor).collect();
        let all_told = !walls.is_empty() && walls.iter().all(|wall| wall.orientation_deg.is_some());
        let most = if all_told { ways(&walls).len().max(told.len()) } else { usize::MAX };
        (told.len() + untold).min(most)
    }

    fn is_opening(&self, construction: &str) -> bool {
        match self.job.constructions.get(construction) {
            Some(Construction::Window { .. }) => true,
            Some(Construction::Typical { element, .. }) => {
                matches!(self.catalogue.typical_part(element), Some(TypicalPart::Window | TypicalPart::Door))
            }
            Some(
                Construction::Known { .. }
                | Construction::Layered { .. }
                | Construction::GroundFloor { .. }
                | Construction::SuspendedFloor { .. }
                | Construction::Basement { .. },
            )
            | None => false,
        }
    }
}

/// How far apart two walls may look and still be one façade (°): an octant of the compass, our own choice.
const ONE_WAY_DEG: f64 = 45.0;

/// The ways that surfaces look, each once: those within an octant of the first that looks so are one. Those that do not say theirs have
/// none.
fn ways(surfaces: &[&Surface]) -> Vec<(Part, f64)> {
    let mut told: Vec<(Part, f64)> =
        surfaces.iter().filter_map(|surface| Some((surface.part, surface.orientation_deg?))).collect();
    // by the compass and not by the names of surfaces
    told.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut ways: Vec<(Part, f64)> = Vec::new();
    for (part, deg) in told {
        let apart = |other: f64| {
            let apart = (deg - other).abs() % 360.0;
            apart.min(360.0 - apart)
        };
        if !ways.iter().any(|(known, way)| *known == part && apart(*way) < ONE_WAY_DEG) {
            ways.push((part, deg));
        }
    }
    ways
}
