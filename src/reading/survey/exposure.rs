//! How rooms stand to wind and height.

use super::storeys::storey_of;
use super::{Exposure, Gathering};
use crate::catalogue::typical::TypicalPart;
use crate::job::constructions::Construction;
use crate::job::dwelling::Shielding as Written;
use crate::job::rooms::{Faces, Room};
use crate::methods::Off;
use crate::methods::en_12831::{self, Shielding};

impl Gathering<'_> {
    /// How a room stands to wind and height, by its windows and doors to outside and by its storey.
    pub(super) fn exposure(&self, room: &Room, shielding: Option<Written>, height_m: Option<f64>) -> Exposure {
        let outer = room.surfaces.values().filter(|surface| matches!(surface.faces, None | Some(Faces::Outside {})));
        // a window may be declared as a surface of its own
        let openings =
            outer.map(|surface| surface.openings.len() + usize::from(self.is_opening(&surface.construction))).sum();
        let shielding = match shielding {
            Some(Written::None) => Shielding::None,
            Some(Written::Moderate) | None => Shielding::Moderate,
            Some(Written::Heavy) => Shielding::Heavy,
        };
        let defaults = &self.catalogue.defaults;
        let ground_storey_m = height_m.unwrap_or(defaults.ground_storey_height_m.value);
        let rise_m = self.storeys.rise_m(0, storey_of(room).max(0));
        let centre_m = en_12831::middle_height(ground_storey_m, rise_m, room.height_m, &mut Off);
        Exposure { e: en_12831::shielding(shielding, openings), epsilon: en_12831::height_correction(centre_m) }
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
