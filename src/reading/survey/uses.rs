//! The ways in which constructions are used, found while elements are made.

use super::Room;
use super::constructions::{Construction, Far, Use};
use super::fabric::Faces;
use crate::job::dwelling::Adjoining;
use crate::job::rooms::Part;
use crate::list::{Index, List};
use crate::methods::iso_6946::HeatFlow;
use crate::methods::{Off, en_12831};

/// What elements rest on: constructions, the ways in which they are used, and the rooms' temperatures.
pub(super) struct Uses<'m> {
    pub constructions: &'m List<Construction>,
    pub found: List<Use>,
    pub inside_c: &'m List<Room, f64>,
    /// How warm adjoining dwellings are.
    pub adjoining: &'m Adjoining,
    /// Mean outside temperature of the year (°C).
    pub annual_mean_c: f64,
}

impl Uses<'_> {
    /// The index of a way to use a construction.
    pub(super) fn usage(&mut self, construction: Index<Construction>, flow: HeatFlow, far: Far) -> Index<Use> {
        let wanted = Use::new(construction, self.constructions, flow, far);
        self.found.position(|known| *known == wanted).unwrap_or_else(|| {
            self.found.push(wanted);
            Index::new(self.found.len() - 1)
        })
    }

    /// Every way in which a construction is used, and one of each that is not used, in the order of the constructions;
    /// and where each found so far stands in that.
    pub(super) fn every_use(mut self) -> (List<Use>, List<Use, Index<Use>>) {
        for construction in self.constructions.indices() {
            if !self.found.iter().any(|known| known.construction == construction) {
                self.usage(construction, HeatFlow::Horizontal, Far::Outside);
            }
        }
        let mut order: List<Use, Index<Use>> = self.found.indices().collect();
        order.sort_by(|&a, &b| self.found[a].construction.cmp(&self.found[b].construction));
        let mut places = self.found.filled(Index::new(0));
        for (place, &usage) in order.enumerate() {
            places[usage] = place;
        }
        (order.into_iter().map(|usage| self.found[usage]).collect(), places)
    }

    /// Which way heat flows through a part of a room, and what lies beyond.
    pub(super) fn direction(&self, room: Index<Room>, part: Part, faces: Faces) -> (HeatFlow, Far) {
        let (far, own_c) = (far(faces), self.inside_c[room]);
        // heat goes from the warmer to the colder, whichever of two rooms declares the partition
        let other_c = match faces {
            Faces::Room(other) => Some(self.inside_c[other]),
            Faces::Temperature(temperature_c) => Some(temperature_c),
            Faces::Outside | Faces::Ground | Faces::Unheated(_) | Faces::UnheatedSpace(_) => None,
            Faces::AdjoiningDwelling => Some(match *self.adjoining {
                Adjoining::Fixed { temperature_c } => temperature_c,
                Adjoining::Mean {} => en_12831::adjoining_by_mean(own_c, self.annual_mean_c, &mut Off),
            }),
        };
        let flow = match part {
            Part::Wall => HeatFlow::Horizontal,
            Part::Floor if other_c.is_some_and(|other_c| other_c > own_c) => HeatFlow::Up,
            Part::Floor => HeatFlow::Down,
            Part::Roof | Part::Ceiling if other_c.is_some_and(|other_c| other_c >= own_c) => HeatFlow::Down,
            Part::Roof | Part::Ceiling => HeatFlow::Up,
        };
        (flow, far)
    }
}

/// What lies beyond an element, for its surface resistance.
pub(super) fn far(faces: Faces) -> Far {
    match faces {
        Faces::Outside => Far::Outside,
        Faces::Ground => Far::Ground,
        Faces::Room(_)
        | Faces::Unheated(_)
        | Faces::UnheatedSpace(_)
        | Faces::AdjoiningDwelling
        | Faces::Temperature(_) => Far::Inside,
    }
}
