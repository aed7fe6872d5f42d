//! What bounds the rooms: surfaces and openings become elements, and partitions stand on both sides.

use super::Gathering;
use super::emitters::heated_floor_m2;
use crate::intake::Fault;
use crate::job::constructions::Construction;
use crate::job::rooms::{self as written, Part, Room, Surface};

/// One plane element of a room.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// Net area that loses heat from the room (m²).
    pub area_m2: f64,
    /// Index of its construction.
    pub construction: usize,
    /// What lies on the other side.
    pub faces: Faces,
    /// What part of the room it is.
    pub part: Part,
}

/// What lies on the other side of an element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Faces {
    /// Outside air.
    Outside,
    /// The ground.
    Ground,
    /// Another room, by index.
    Room(usize),
    /// An unheated space, by its temperature reduction factor.
    Unheated(f64),
    /// An adjoining dwelling.
    AdjoiningDwelling,
    /// A space of given temperature (°C).
    Temperature(f64),
}

impl Faces {
    /// Whether an element that faces this belongs to the dwelling's exposed envelope, over which thermal bridges
    /// are shared out.
    #[must_use]
    pub fn is_exposed(self) -> bool {
        match self {
            Self::Outside | Self::Ground | Self::Unheated(_) => true,
            Self::Room(_) | Self::AdjoiningDwelling | Self::Temperature(_) => false,
        }
    }
}

/// What an element is called in the job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ElementName {
    /// Room in which it is declared, where that is the room on the other side.
    pub declared_in: Option<String>,
    /// Id of the surface.
    pub surface: String,
    /// Id of the opening, for windows and doors.
    pub opening: Option<String>,
}

/// What lies under part of a room's floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Underside {
    /// Share of the room's floor (0–1).
    pub share: f64,
    /// Index of the construction.
    pub construction: usize,
    /// What lies below it.
    pub faces: Faces,
}

/// Elements of every room, their names, and what lies under the floors.
pub(super) struct Fabric {
    pub elements: Vec<Vec<Element>>,
    pub names: Vec<Vec<ElementName>>,
    pub undersides: Vec<Vec<Underside>>,
}

impl Gathering<'_> {
    pub(super) fn fabric(&mut self) -> Fabric {
        let count = self.job.rooms.len();
        let mut fabric =
            Fabric { elements: vec![Vec::new(); count], names: vec![Vec::new(); count], undersides: Vec::new() };
        let one_sided = self.check_partitions();
        let mut unnamed_sides = 0_usize;
        for (index, (id, room)) in self.job.rooms.iter().enumerate() {
            for (surface_id, surface) in &room.surfaces {
                let at = format!("/rooms/{id}/surfaces/{surface_id}");
                unnamed_sides += usize::from(surface.faces.is_none());
                let Some(faces) = self.faces(&at, id, surface) else { continue };
                self.check_ground_floor(&at, surface, faces);
                for (opening, part) in self.parts(&at, surface, faces) {
                    let name = ElementName { declared_in: None, surface: surface_id.clone(), opening };
                    if let Faces::Room(other) = faces {
                        if one_sided(index, other) {
                            let mirrored =
                                Element { faces: Faces::Room(index), part: mirrored(part.part), ..part.clone() };
                            fabric.elements[other].push(mirrored);
                            fabric.names[other].push(ElementName { declared_in: Some(id.clone()), ..name.clone() });
                        }
                    }
                    fabric.elements[index].push(part);
                    fabric.names[index].push(name);
                }
            }
        }
        if unnamed_sides > 0 {
            let detail = match unnamed_sides {
                1 => "one surface names nothing on its other side and is taken to face outside".to_owned(),
                _ => {
                    format!("{unnamed_sides} surfaces name nothing on their other side and are taken to face outside")
                }
            };
            self.notes.assume("faces_outside", "/rooms", detail);
        }
        self.check_slabs(&fabric.elements);
        fabric.undersides = fabric.elements.iter().map(|elements| undersides(elements)).collect();
        leave_floors_to_emitters(&self.job.rooms.values().collect::<Vec<_>>(), &mut fabric);
        fabric
    }

    /// The wall and its openings, each with its own area.
    fn parts(&mut self, at: &str, surface: &Surface, faces: Faces) -> Vec<(Option<String>, Element)> {
        let mut parts = Vec::with_capacity(1 + surface.openings.len());
        let mut net_m2 = surface.area_m2;
        let element = |area_m2, construction| Element { area_m2, construction, faces, part: surface.part };
        for (id, opening) in &surface.openings {
            net_m2 -= opening.area_m2;
            if let Some(construction) =
                self.construction(&format!("{at}/openings/{id}/construction"), &opening.construction)
            {
                parts.push((Some(id.clone()), element(opening.area_m2, construction)));
            }
        }
        if let Some(construction) = self.construction(&format!("{at}/construction"), &surface.construction) {
            // openings may fill a wall to the last digit
            parts.push((None, element(net_m2.max(0.0), construction)));
        }
        parts
    }

    fn construction(&mut self, at: &str, id: &str) -> Option<usize> {
        let found = self.job.constructions.get_index_of(id);
        if found.is_none() {
            let fault = Fault::new(at, "unknown_construction", format!("there is no construction {id}"));
            self.faults.push(fault.rests_on(format!("/constructions/{id}")));
        }
        found
    }

    fn faces(&mut self, at: &str, room: &str, surface: &Surface) -> Option<Faces> {
        Some(match &surface.faces {
            None | Some(written::Faces::Outside {}) => Faces::Outside,
            Some(written::Faces::Ground {}) => Faces::Ground,
            Some(written::Faces::Unheated { factor }) => Faces::Unheated(*factor),
            Some(written::Faces::AdjoiningDwelling {}) => Faces::AdjoiningDwelling,
            Some(written::Faces::Temperature { temperature_c }) => Faces::Temperature(*temperature_c),
            Some(written::Faces::Room { room: other }) => {
                let at = format!("{at}/faces/room");
                match self.job.rooms.get_index_of(&**other) {
                    Some(_) if **other == *room => {
                        self.faults.push(Fault::new(
                            at,
                            "faces_itself",
                            format!("a surface of room {room} cannot face the same room"),
                        ));
                        return None;
                    }
                    Some(index) => Faces::Room(index),
                    None => {
                        let fault = Fault::new(at, "unknown_room", format!("there is no room {other}"));
                        self.faults.push(fault.rests_on(format!("/rooms/{other}")));
                        return None;
                    }
                }
            }
        })
    }

    /// A slab on the ground faces the ground.
    fn check_ground_floor(&mut self, at: &str, surface: &Surface, faces: Faces) {
        if let Some(Construction::GroundFloor { .. }) = self.job.constructions.get(&*surface.construction) {
            if faces != Faces::Ground {
                let detail =
                    format!("{} is a slab on the ground, so this surface must face the ground", surface.construction);
                self.faults.push(Fault::new(at, "slab_off_the_ground", detail));
            }
        }
    }

    /// The rooms on a slab are no larger than the slab.
    fn check_slabs(&mut self, elements: &[Vec<Element>]) {
        for (index, (id, construction)) in self.job.constructions.iter().enumerate() {
            let Construction::GroundFloor { area_m2, .. } = construction else { continue };
            let rooms_m2: f64 = elements
                .iter()
                .flatten()
                .filter(|element| element.construction == index)
                .map(|element| element.area_m2)
                .sum();
            if rooms_m2 > area_m2 * 1.001 {
                let detail = format!("the rooms take {rooms_m2:.2} m² of a slab of {area_m2} m²");
                self.notes.warn("slab_smaller_than_rooms", format!("/constructions/{id}/area_m2"), detail);
            }
        }
    }
}

fn mirrored(part: Part) -> Part {
    match part {
        Part::Wall => Part::Wall,
        Part::Roof | Part::Ceiling => Part::Floor,
        Part::Floor => Part::Ceiling,
    }
}

/// What lies under a room's floor, by share.
fn undersides(elements: &[Element]) -> Vec<Underside> {
    let floors = elements.iter().filter(|element| element.part == Part::Floor);
    let floors_m2: f64 = floors.clone().map(|element| element.area_m2).sum();
    let underside = |element: &Element| Underside {
        share: element.area_m2 / floors_m2,
        construction: element.construction,
        faces: element.faces,
    };
    floors.filter(|element| element.area_m2 > 0.0).map(underside).collect()
}

/// Takes the part under a heated floor out of the room's floor elements, and out of the ceilings below that
/// mirror them: its loss is the circuit's own, and comes with the emitters.
fn leave_floors_to_emitters(rooms: &[&Room], fabric: &mut Fabric) {
    let Fabric { elements, names, .. } = fabric;
    for (index, room) in rooms.iter().enumerate() {
        let heated_m2 = heated_floor_m2(room);
        let floors_m2: f64 =
            elements[index].iter().filter(|element| element.part == Part::Floor).map(|element| element.area_m2).sum();
        if heated_m2 <= 0.0 || floors_m2 <= 0.0 {
            continue;
        }
        let kept = ((floors_m2 - heated_m2) / floors_m2).max(0.0);
        let shrink = |element: &mut Element| element.area_m2 *= kept;
        elements[index].iter_mut().filter(|element| element.part == Part::Floor).for_each(shrink);
        for below in elements.iter_mut() {
            below
                .iter_mut()
                .filter(|element| element.part == Part::Ceiling && element.faces == Faces::Room(index))
                .for_each(shrink);
        }
    }
    for (elements, names) in elements.iter_mut().zip(names) {
        let keep: Vec<bool> = elements.iter().map(|element| element.area_m2 > 1e-9).collect();
        let mut kept = keep.iter();
        elements.retain(|_| kept.next().copied().unwrap_or(true));
        let mut kept = keep.iter();
        names.retain(|_| kept.next().copied().unwrap_or(true));
    }
}
