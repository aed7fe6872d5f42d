//! Unheated spaces by their own balance.

use super::Gathering;
use super::constructions::{Construction, Far, Use};
use super::uses::Uses;
use crate::job::rooms::Part;
use crate::job::spaces::{SpaceFaces, SpaceSurface};
use crate::list::{Index, List};
use crate::methods::iso_6946::HeatFlow;

/// An unheated space.
#[derive(Debug, Clone, PartialEq)]
pub struct UnheatedSpace {
    /// Volume (m³).
    pub volume_m3: f64,
    /// Changes of its air with outside (1/h).
    pub air_changes_per_h: f64,
    /// What bounds it towards outside and the ground.
    pub elements: Vec<SpaceElement>,
}

/// A plane element of an unheated space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpaceElement {
    /// Net area (m²).
    pub area_m2: f64,
    /// Index of its construction.
    pub construction: Index<Construction>,
    /// Index of the way in which it uses the construction.
    pub usage: Index<Use>,
    /// What lies on the other side.
    pub faces: SpaceSide,
}

/// What lies on the other side of an element of an unheated space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpaceSide {
    /// Outside air.
    Outside,
    /// The ground.
    Ground,
    /// A space of given temperature (°C).
    Temperature(f64),
}

/// Every element's way to use its construction.
pub(super) fn usages(spaces: &mut List<UnheatedSpace>) -> impl Iterator<Item = &mut Index<Use>> {
    spaces.iter_mut().flat_map(|space| &mut space.elements).map(|element| &mut element.usage)
}

impl Gathering<'_> {
    pub(super) fn spaces(&mut self, uses: &mut Uses<'_>) -> List<UnheatedSpace> {
        let job = self.job;
        let spaces = job.unheated_spaces.iter();
        spaces
            .map(|(id, space)| {
                let elements = space.surfaces.iter().flat_map(|(surface_id, surface)| {
                    self.space_elements(&format!("/unheated_spaces/{id}/surfaces/{surface_id}"), surface, uses)
                });
                let elements = elements.collect();
                UnheatedSpace { volume_m3: space.volume_m3, air_changes_per_h: space.air_changes_per_h, elements }
            })
            .collect()
    }

    fn space_elements(&mut self, at: &str, surface: &SpaceSurface, uses: &mut Uses<'_>) -> Vec<SpaceElement> {
        let (faces, far) = match surface.faces {
            None | Some(SpaceFaces::Outside {}) => (SpaceSide::Outside, Far::Outside),
            Some(SpaceFaces::Ground {}) => (SpaceSide::Ground, Far::Ground),
            Some(SpaceFaces::Temperature { temperature_c }) => (SpaceSide::Temperature(temperature_c), Far::Inside),
        };
        let flow = match surface.part {
            Part::Wall => HeatFlow::Horizontal,
            Part::Roof | Part::Ceiling => HeatFlow::Up,
            Part::Floor => HeatFlow::Down,
        };
        if let Some(construction) = self.job.constructions.get(&*surface.construction) {
            self.check_part(at, &surface.construction, surface.part, faces == SpaceSide::Ground, construction);
            self.check_openings(at, &surface.openings, faces == SpaceSide::Ground);
        }
        let mut elements = Vec::with_capacity(1 + surface.openings.len());
        let mut net_m2 = surface.area_m2;
        let mut add = |area_m2, construction| {
            let usage = uses.usage(construction, flow, far);
            elements.push(SpaceElement { area_m2, construction, usage, faces });
        };
        for (id, opening) in &surface.openings {
            net_m2 -= opening.area_m2;
            if let Some(construction) =
                self.construction(&format!("{at}/openings/{id}/construction"), &opening.construction)
            {
                add(opening.area_m2, construction);
            }
        }
        if let Some(construction) = self.construction(&format!("{at}/construction"), &surface.construction) {
            add(net_m2.max(0.0), construction);
        }
        elements
    }
}
