//! What bounds the rooms: surfaces and openings become elements, and partitions stand on both sides.

use super::assumed::Fabric as Assumed;
use super::doubted::Doubted;
use super::uses::{Uses, far};
use super::{Construction, Gathering, Room, UnheatedSpace, Use};
use crate::catalogue::typical::TypicalPart;
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode};
use crate::job::constructions::Construction as Written;
use crate::job::rooms::{self as written, Part, Surface};
use crate::list::{Index, List, indexed};
use crate::methods::iso_6946::HeatFlow;
use crate::methods::{Off, en_12831};

/// One plane element of a room.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// Net area that loses heat from the room (m²).
    pub area_m2: f64,
    /// Index of its construction.
    pub construction: Index<Construction>,
    /// Index of the way in which it uses the construction.
    pub usage: Index<Use>,
    /// Index of the declared surface that it is a part of.
    pub surface: Index<Surface>,
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
    Room(Index<Room>),
    /// An unheated space, by its temperature reduction factor.
    Unheated(f64),
    /// An unheated space by its own balance, by index.
    UnheatedSpace(Index<UnheatedSpace>),
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
            Self::Outside | Self::Ground | Self::Unheated(_) | Self::UnheatedSpace(_) => true,
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
    pub construction: Index<Construction>,
    /// Index of the way in which it uses the construction.
    pub usage: Index<Use>,
    /// What lies below it.
    pub faces: Faces,
}

/// Elements of every room, their names, what lies under the floors, and the declared surfaces.
pub(super) struct Fabric {
    pub elements: List<Room, Vec<Element>>,
    pub names: List<Room, Vec<ElementName>>,
    pub undersides: Vec<Vec<Underside>>,
    /// Pointers of the declared surfaces.
    pub surfaces: List<Surface, String>,
    /// Exposed area of each room, heated floors among it (m²).
    pub exposed_m2: Vec<f64>,
}

impl Fabric {
    /// Every element's and underside's way to use its construction.
    pub(super) fn usages(&mut self) -> impl Iterator<Item = &mut Index<Use>> {
        let elements = self.elements.iter_mut().flatten().map(|element| &mut element.usage);
        elements.chain(self.undersides.iter_mut().flatten().map(|underside| &mut underside.usage))
    }
}

/// Area of the elements that face outside, the ground or an unheated space (m²).
fn exposed_m2(elements: &[Element]) -> f64 {
    elements.iter().filter(|element| element.faces.is_exposed()).map(|element| element.area_m2).sum()
}

impl Gathering<'_> {
    pub(super) fn fabric(&mut self, uses: &mut Uses<'_>) -> Fabric {
        let rooms: List<Room, ()> = self.job.rooms.values().map(|_| ()).collect();
        let mut fabric = Fabric {
            elements: rooms.filled(Vec::new()),
            names: rooms.filled(Vec::new()),
            undersides: Vec::new(),
            surfaces: List::default(),
            exposed_m2: Vec::new(),
        };
        let one_sided = self.check_partitions();
        let mut unnamed_sides = 0_usize;
        for (index, (id, room)) in indexed(&*self.job.rooms) {
            for (surface_id, surface) in &room.surfaces {
                let at = format!("/rooms/{id}/surfaces/{surface_id}");
                unnamed_sides += usize::from(surface.faces.is_none());
                let Some(faces) = self.faces(&at, id, surface) else {
                    // what it is made of is looked at all the same
                    self.check_made_of(&at, surface);
                    continue;
                };
                self.check_ground(&at, surface, faces);
                fabric.surfaces.push(at.clone());
                let number = Index::new(fabric.surfaces.len() - 1);
                for (opening, part) in self.parts(&at, surface, (index, number, faces), uses) {
                    let name = ElementName { declared_in: None, surface: surface_id.clone(), opening };
                    if let Faces::Room(other) = faces {
                        if one_sided(index, other) {
                            // heat flows the same way, seen from either side
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
            self.notes.add(&Assumed::FacesOutside { surfaces: unnamed_sides });
        }
        self.check_slabs(&fabric.elements);
        // before floors are left to their emitters: a junction leaks beside a heated floor too
        fabric.exposed_m2 = fabric.elements.iter().map(|elements| exposed_m2(elements)).collect();
        let rooms = fabric.elements.iter().zip(self.job.rooms.values());
        fabric.undersides =
            rooms.map(|(elements, room)| undersides(elements, self.heated_floor_m2(room) > 0.0, uses)).collect();
        let heated_m2: List<Room, f64> = self.job.rooms.values().map(|room| self.heated_floor_m2(room)).collect();
        leave_floors_to_emitters(&heated_m2, &mut fabric);
        fabric
    }

    /// The wall and its openings, each with its own area.
    fn parts(
        &mut self,
        at: &str,
        written: &Surface,
        (room, surface, faces): (Index<Room>, Index<Surface>, Faces),
        uses: &mut Uses<'_>,
    ) -> Vec<(Option<String>, Element)> {
        let (mut parts, part) = (Vec::with_capacity(1 + written.openings.len()), written.part);
        let mut net_m2 = written.area_m2;
        let (flow, far) = uses.direction(room, part, faces);
        let mut element = |area_m2, construction| {
            let usage = uses.usage(construction, flow, far);
            Element { area_m2, construction, usage, surface, faces, part }
        };
        for (id, opening) in &written.openings {
            net_m2 -= opening.area_m2;
            if let Some(construction) =
                self.construction(&format!("{at}/openings/{id}/construction"), &opening.construction)
            {
                parts.push((Some(id.clone()), element(opening.area_m2, construction)));
            }
        }
        if let Some(construction) = self.construction(&format!("{at}/construction"), &written.construction) {
            // openings may fill a wall to the last digit
            parts.push((None, element(net_m2.max(0.0), construction)));
        }
        parts
    }

    pub(super) fn construction(&mut self, at: &str, id: &str) -> Option<Index<Construction>> {
        let found = self.job.constructions.get_index_of(id).map(Index::new);
        if found.is_none() {
            let meant = did_you_mean(id, self.job.constructions.keys().map(String::as_str));
            let fault = Fault::new(at, FaultCode::UnknownConstruction, format!("there is no construction {id}{meant}"));
            self.faults.push(fault.rests_on(format!("/constructions/{id}")));
        }
        found
    }

    /// The constructions of a surface and of its openings must be there, and stand where they may.
    fn check_made_of(&mut self, at: &str, surface: &Surface) {
        self.construction(&format!("{at}/construction"), &surface.construction);
        for (id, opening) in &surface.openings {
            self.construction(&format!("{at}/openings/{id}/construction"), &opening.construction);
        }
        if let Some(construction) = self.job.constructions.get(&*surface.construction) {
            self.check_part(at, &surface.construction, surface.part, false, construction);
        }
        self.check_openings(at, &surface.openings, false);
    }

    fn faces(&mut self, at: &str, room: &str, surface: &Surface) -> Option<Faces> {
        Some(match &surface.faces {
            None | Some(written::Faces::Outside {}) => Faces::Outside,
            Some(written::Faces::Ground {}) => Faces::Ground,
            Some(written::Faces::Unheated { factor }) => Faces::Unheated(*factor),
            Some(written::Faces::UnheatedSpace { space }) => {
                let Some(index) = self.job.unheated_spaces.get_index_of(&**space).map(Index::new) else {
                    let at = format!("{at}/faces/space");
                    let meant = did_you_mean(space, self.job.unheated_spaces.keys().map(String::as_str));
                    let fault =
                        Fault::new(at, FaultCode::UnknownSpace, format!("there is no unheated space {space}{meant}"));
                    self.faults.push(fault.rests_on(format!("/unheated_spaces/{space}")));
                    return None;
                };
                Faces::UnheatedSpace(index)
            }
            Some(written::Faces::AdjoiningDwelling {}) => Faces::AdjoiningDwelling,
            Some(written::Faces::Temperature { temperature_c }) => Faces::Temperature(*temperature_c),
            Some(written::Faces::Room { room: other }) => {
                let at = format!("{at}/faces/room");
                match self.room(other) {
                    Some(_) if **other == *room => {
                        self.faults.push(Fault::new(
                            at,
                            FaultCode::FacesItself,
                            format!("a surface of room {room} cannot face the same room"),
                        ));
                        return None;
                    }
                    Some(index) => Faces::Room(index),
                    None => {
                        self.unknown_room(at, other);
                        return None;
                    }
                }
            }
        })
    }

    /// What lies in the ground faces the ground, in the part of the room that it is made for; and only that, or a
    /// U-value that is known, does.
    fn check_ground(&mut self, at: &str, surface: &Surface, faces: Faces) {
        let Some(construction) = self.job.constructions.get(&*surface.construction) else { return };
        let grounded = faces == Faces::Ground;
        self.check_part(at, &surface.construction, surface.part, grounded, construction);
        self.check_openings(at, &surface.openings, grounded);
    }

    /// Whether a typical element stands in the part of a room that it is made for.
    fn typical_fits(&self, element: &str, part: Part) -> bool {
        self.catalogue.typical_part(element).is_none_or(|made_for| match made_for {
            TypicalPart::Wall => part == Part::Wall,
            TypicalPart::Roof => matches!(part, Part::Roof | Part::Ceiling),
            TypicalPart::Floor => part == Part::Floor,
            TypicalPart::Window | TypicalPart::Door => matches!(part, Part::Wall | Part::Roof),
        })
    }

    /// Windows and doors stand between air and air.
    pub(super) fn check_openings(&mut self, at: &str, openings: &written::Openings, grounded: bool) {
        for (id, opening) in openings {
            let in_ground = self.job.constructions.get(&*opening.construction).is_some_and(Written::is_in_the_ground);
            if grounded || in_ground {
                let detail = "a window or door stands between air and air, not in the ground";
                let fault = Fault::new(format!("{at}/openings/{id}"), FaultCode::OpeningInTheGround, detail);
                let made_of = format!("/constructions/{}/kind", opening.construction);
                self.faults.push(fault.rests_on(format!("{at}/faces/kind")).rests_on(made_of));
            }
        }
    }

    /// The same for any surface, of a room or of an unheated space.
    pub(super) fn check_part(&mut self, at: &str, id: &str, part: Part, grounded: bool, construction: &Written) {
        let rests =
            |fault: Fault| fault.rests_on(format!("{at}/faces/kind")).rests_on(format!("/constructions/{id}/kind"));
        if construction.is_in_the_ground() && !grounded {
            let detail = format!("{id} lies in the ground, so this surface must face the ground");
            self.faults.push(rests(Fault::new(at, FaultCode::OffTheGround, detail)));
        } else if grounded
            && matches!(construction, Written::Typical { .. } | Written::Layered { .. } | Written::Window { .. })
        {
            let detail = format!(
                "{id} stands between air and air; what faces the ground is a ground_floor, a suspended_floor, a basement, or a known U-value"
            );
            self.faults.push(rests(Fault::new(at, FaultCode::OnTheGround, detail)));
        }
        let fits = match construction {
            Written::GroundFloor { .. } | Written::SuspendedFloor { .. } => part == Part::Floor,
            Written::Basement { .. } => matches!(part, Part::Floor | Part::Wall),
            Written::Typical { element, .. } => self.typical_fits(element, part),
            Written::Known { .. } | Written::Layered { .. } | Written::Window { .. } => true,
        };
        if !fits {
            let detail = format!("{id} is made for another part of a room than this");
            let fault = Fault::new(format!("{at}/part"), FaultCode::WrongPart, detail);
            self.faults.push(fault.rests_on(format!("/constructions/{id}/kind")));
        }
    }

    /// The rooms on a slab are no larger than the slab.
    fn check_slabs(&mut self, elements: &List<Room, Vec<Element>>) {
        for (index, (id, construction)) in indexed(&*self.job.constructions) {
            let (Written::GroundFloor { area_m2, .. }
            | Written::SuspendedFloor { area_m2, .. }
            | Written::Basement { area_m2, .. }) = construction
            else {
                continue;
            };
            let rooms_m2: f64 = elements
                .iter()
                .flatten()
                .filter(|element| element.construction == index && element.part == Part::Floor)
                .map(|element| element.area_m2)
                .sum();
            if rooms_m2 > area_m2 * 1.001 {
                let slab = Doubted::SlabSmallerThanRooms { construction: id.clone(), rooms_m2, slab_m2: *area_m2 };
                self.notes.add(&slab);
            }
        }
    }
}

pub(super) fn mirrored(part: Part) -> Part {
    match part {
        Part::Wall => Part::Wall,
        Part::Roof | Part::Ceiling => Part::Floor,
        Part::Floor => Part::Ceiling,
    }
}

/// What lies under a room's floor, by share. From a heated floor heat goes down, whatever is warmer below.
fn undersides(elements: &[Element], heated: bool, uses: &mut Uses<'_>) -> Vec<Underside> {
    let floors = elements.iter().filter(|element| element.part == Part::Floor);
    let floors_m2: f64 = floors.clone().map(|element| element.area_m2).sum();
    let underside = |element: &Element| Underside {
        share: element.area_m2 / floors_m2,
        construction: element.construction,
        usage: if heated {
            uses.usage(element.construction, HeatFlow::Down, far(element.faces))
        } else {
            element.usage
        },
        faces: element.faces,
    };
    floors.filter(|element| element.area_m2 > 0.0).map(underside).collect()
}

/// Takes the part under a heated floor out of the room's floor elements, and out of the ceilings below that
/// mirror them: its loss is the circuit's own, and comes with the emitters.
fn leave_floors_to_emitters(heated_m2: &List<Room, f64>, fabric: &mut Fabric) {
    let Fabric { elements, names, .. } = fabric;
    for (index, &heated_m2) in heated_m2.enumerate() {
        let floors_m2: f64 =
            elements[index].iter().filter(|element| element.part == Part::Floor).map(|element| element.area_m2).sum();
        if heated_m2 <= 0.0 || floors_m2 <= 0.0 {
            continue;
        }
        let kept = en_12831::share_unheated(floors_m2, heated_m2, &mut Off);
        let shrink = |element: &mut Element| element.area_m2 *= kept;
        elements[index].iter_mut().filter(|element| element.part == Part::Floor).for_each(shrink);
        for below in elements.iter_mut() {
            below
                .iter_mut()
                .filter(|element| matches!(element.part, Part::Ceiling | Part::Roof))
                .filter(|element| element.faces == Faces::Room(index))
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
