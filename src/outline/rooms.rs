//! Rooms with their surfaces, from a plan: what stands between two rooms is told in one of them.

use indexmap::IndexMap;

use super::plan::{Cut, Plan};
use super::rounded;
use crate::catalogue::room_use::RoomUse;
use crate::catalogue::{Catalogue, Defaults};
use crate::intake::Id;
use crate::job::rooms::{Faces, Opening, Part, Room, Surface, Transfers};
use crate::job::{Rooms, rooms as job};

/// Least area that is told of (m²): what is smaller comes from rounding.
const LEAST_M2: f64 = 0.001;

/// Windows and doors of a dwelling (m²).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Openings {
    /// Windows.
    pub window_m2: f64,
    /// Doors: half in the hall's front, half in the kitchen's back.
    pub door_m2: f64,
}

impl Openings {
    /// The openings that a plan has room for.
    #[must_use]
    pub fn within(self, plan: &Plan, defaults: &Defaults) -> Self {
        let door_m2 = plan.rooms.iter().map(|cut| self.door(plan, cut, defaults)).sum::<f64>();
        let most_m2 = defaults.outline_window_max.value * (fronts_and_backs_m2(plan) - door_m2);
        Self { window_m2: self.window_m2.min(most_m2), door_m2 }
    }

    /// The door in a room's wall to outside (m²).
    #[must_use]
    pub fn door(self, plan: &Plan, cut: &Cut, defaults: &Defaults) -> f64 {
        let has_door = cut.storey == 0 && matches!(cut.room_use, RoomUse::Hall | RoomUse::Kitchen);
        let most_m2 = defaults.outline_door_max.value * front_or_back_m2(plan, cut);
        if has_door { (self.door_m2 / 2.0).min(most_m2) } else { 0.0 }
    }
}

/// Area of a room's wall to the front or the back that faces outside (m²).
fn front_or_back_m2(plan: &Plan, cut: &Cut) -> f64 {
    cut.width_m() * plan.height_m * plan.free.front_and_back
}

fn fronts_and_backs_m2(plan: &Plan) -> f64 {
    plan.rooms.iter().map(|cut| front_or_back_m2(plan, cut)).sum()
}

/// The rooms of a plan, without what heats them. The openings are those that it has room for.
#[must_use]
pub fn rooms(plan: &Plan, openings: Openings, catalogue: &Catalogue) -> Rooms {
    let maker = RoomMaker { plan, openings, catalogue };
    plan.rooms.iter().map(|cut| (cut.id.clone(), maker.room(cut))).collect()
}

struct RoomMaker<'m> {
    plan: &'m Plan,
    openings: Openings,
    catalogue: &'m Catalogue,
}

type Surfaces = IndexMap<String, Surface>;

impl RoomMaker<'_> {
    fn room(&self, cut: &Cut) -> Room {
        let mut surfaces = Surfaces::new();
        self.outer_walls(cut, &mut surfaces);
        self.partitions(cut, &mut surfaces);
        self.below(cut, &mut surfaces);
        self.above(cut, &mut surfaces);
        Room {
            name: None,
            room_use: cut.room_use,
            storey: i32::try_from(cut.storey).ok(),
            floor_area_m2: rounded(cut.area_m2()),
            height_m: self.plan.height_m,
            perimeter_m: Some(rounded(2.0 * (cut.width_m() + cut.depth_m()))),
            inside_design_c: None,
            air_changes_per_h: None,
            removed_radiators: None,
            heated_from: None,
            infiltration_m3_h: None,
            supply_m3_h: None,
            extract_m3_h: None,
            transfer_from: Transfers::default(),
            flues: None,
            reheat: None,
            thermal_bridging: None,
            position: None,
            surfaces: surfaces.into_iter().collect(),
            emitters: job::Emitters::default(),
        }
    }

    /// Walls on the sides of the dwelling.
    fn outer_walls(&self, cut: &Cut, surfaces: &mut Surfaces) {
        let free = self.plan.free;
        let is_front = cut.along_m.0 <= 0.0;
        self.side(cut, if is_front { "front" } else { "back" }, cut.width_m(), free.front_and_back, surfaces);
        if cut.across_m.0 <= 0.0 {
            self.side(cut, "left", cut.depth_m(), free.left, surfaces);
        }
        if cut.across_m.1 >= self.plan.width_m {
            self.side(cut, "right", cut.depth_m(), free.right, surfaces);
        }
    }

    /// One side of a room: its share that faces outside, and the rest towards the neighbours.
    fn side(&self, cut: &Cut, side: &str, length_m: f64, free: f64, surfaces: &mut Surfaces) {
        let area_m2 = length_m * self.plan.height_m;
        let mut outer = surface(Part::Wall, "wall", area_m2 * free, Faces::Outside {});
        if side == "front" || side == "back" {
            self.open(cut, &mut outer);
        }
        add(surfaces, side, outer);
        let party = surface(Part::Wall, "party_wall", area_m2 * (1.0 - free), Faces::AdjoiningDwelling {});
        add(surfaces, &format!("party_{side}"), party);
    }

    /// The window and the door of a wall: windows are shared out by what the doors leave.
    fn open(&self, cut: &Cut, wall: &mut Surface) {
        let door_m2 = self.openings.door(self.plan, cut, &self.catalogue.defaults);
        let left_m2 = front_or_back_m2(self.plan, cut) - door_m2;
        let window_m2 = self.openings.window_m2 * left_m2 / (fronts_and_backs_m2(self.plan) - self.openings.door_m2);
        for (id, area_m2) in [("window", window_m2), ("door", door_m2)] {
            if area_m2 >= LEAST_M2 {
                wall.openings.insert(id.to_owned(), Opening { construction: id.into(), area_m2: rounded(area_m2) });
            }
        }
    }

    /// Walls to rooms of another temperature on the same storey that come later.
    fn partitions(&self, cut: &Cut, surfaces: &mut Surfaces) {
        let later = self.plan.rooms.iter().skip_while(|other| other.id != cut.id).skip(1);
        for other in later.filter(|other| other.storey == cut.storey && self.differ(cut, other)) {
            let beside_m = if touch(cut.across_m, other.across_m) { overlap(cut.along_m, other.along_m) } else { 0.0 };
            let behind_m = if touch(cut.along_m, other.along_m) { overlap(cut.across_m, other.across_m) } else { 0.0 };
            let area_m2 = (beside_m + behind_m) * self.plan.height_m;
            let faces = Faces::Room { room: Id(other.id.clone()) };
            add(surfaces, &format!("to_{}", other.id), surface(Part::Wall, "partition", area_m2, faces));
        }
    }

    fn differ(&self, one: &Cut, other: &Cut) -> bool {
        let inside_c = |cut: &Cut| self.catalogue.room_use(cut.room_use).inside_design_c;
        inside_c(one).total_cmp(&inside_c(other)).is_ne()
    }

    /// The floor of the lowest storey; other floors are ceilings of what is below.
    fn below(&self, cut: &Cut, surfaces: &mut Surfaces) {
        if cut.storey > 0 {
            return;
        }
        let (area_m2, share) = (cut.area_m2(), self.plan.ground_share);
        add(surfaces, "floor", surface(Part::Floor, "ground_floor", area_m2 * share, Faces::Ground {}));
        let party = surface(Part::Floor, "party_floor", area_m2 * (1.0 - share), Faces::AdjoiningDwelling {});
        add(surfaces, "party_floor", party);
    }

    /// Ceilings to the rooms above, and the roof over the rest.
    fn above(&self, cut: &Cut, surfaces: &mut Surfaces) {
        let mut open_m2 = cut.area_m2();
        for above in self.plan.rooms.iter().filter(|above| above.storey == cut.storey + 1) {
            let area_m2 = overlap(cut.across_m, above.across_m) * overlap(cut.along_m, above.along_m);
            open_m2 -= area_m2;
            let faces = Faces::Room { room: Id(above.id.clone()) };
            add(surfaces, &format!("below_{}", above.id), surface(Part::Ceiling, "inner_floor", area_m2, faces));
        }
        let share = self.plan.roof_share;
        add(surfaces, "roof", surface(Part::Roof, "roof", open_m2 * share, Faces::Outside {}));
        let party = surface(Part::Ceiling, "party_floor", open_m2 * (1.0 - share), Faces::AdjoiningDwelling {});
        add(surfaces, "party_ceiling", party);
    }
}

fn surface(part: Part, construction: &str, area_m2: f64, faces: Faces) -> Surface {
    Surface {
        part,
        construction: construction.into(),
        area_m2,
        orientation_deg: None,
        openings: job::Openings::default(),
        faces: Some(faces),
    }
}

/// Adds a surface that is large enough to be told of.
fn add(surfaces: &mut Surfaces, id: &str, mut surface: Surface) {
    if surface.area_m2 >= LEAST_M2 {
        surface.area_m2 = rounded(surface.area_m2);
        surfaces.insert(id.to_owned(), surface);
    }
}

fn touch(one: (f64, f64), other: (f64, f64)) -> bool {
    let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
    close(one.1, other.0) || close(other.1, one.0)
}

fn overlap(one: (f64, f64), other: (f64, f64)) -> f64 {
    (one.1.min(other.1) - one.0.max(other.0)).max(0.0)
}
