//! A plain rectangular plan for each storey, cut into rooms: two rows, one behind the other.
//!
//! All storeys are as wide as each other. The lowest may be deeper, and what it has more lies under a roof of its own.
//! The width follows from the girth of the class. A rectangle's girth is `2 q + n / q` for a plan `q` times as wide as
//! the side of a square of the same area, `n` its sides that stand free beside front and back: 2 for a detached
//! house, 1 for a semi-detached one and the end of a terrace. The middle of a terrace has the plan of its end and one
//! free wall less: the typology has one class for both, whose walls are those of a house with one neighbour.

use super::facts::{Facts, FlatStorey};
use super::proportions::Proportions;
use crate::catalogue::Defaults;
use crate::catalogue::default_rows::DefaultRow;
use crate::catalogue::room_use::RoomUse;
use crate::job::dwelling::DwellingKind;
use crate::methods::math::sqrt;

/// A dwelling as its storeys.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Width along front and back (m).
    pub width_m: f64,
    /// Depth of each storey (m), the lowest first.
    pub depths_m: Vec<f64>,
    /// Height of the rooms (m).
    pub height_m: f64,
    /// Share of each side that faces outside (0–1).
    pub free: Sides,
    /// Share of the lowest floor that lies on the ground (0–1).
    pub ground_share: f64,
    /// Share of what has no room above it that lies under a roof (0–1).
    pub roof_share: f64,
    /// The rooms.
    pub rooms: Vec<Cut>,
}

/// What is told of the four sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sides {
    /// Front and back.
    pub front_and_back: f64,
    /// Left.
    pub left: f64,
    /// Right.
    pub right: f64,
}

/// A room as its rectangle on its storey.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Id.
    pub id: String,
    /// What the room is used for.
    pub room_use: RoomUse,
    /// Storey.
    pub storey: usize,
    /// From left to right (m).
    pub across_m: (f64, f64),
    /// From front to back (m).
    pub along_m: (f64, f64),
}

impl Cut {
    /// Width (m).
    #[must_use]
    pub fn width_m(&self) -> f64 {
        self.across_m.1 - self.across_m.0
    }

    /// Depth (m).
    #[must_use]
    pub fn depth_m(&self) -> f64 {
        self.along_m.1 - self.along_m.0
    }

    /// Floor area (m²).
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.width_m() * self.depth_m()
    }
}

/// A room before it has a place: id, use, and how large it is beside the others of its storey.
type Wanted = (String, RoomUse, f64);

/// The plan of a dwelling.
#[must_use]
pub fn plan(facts: &Facts, defaults: &Defaults, proportions: &Proportions) -> Plan {
    let Facts { dwelling_kind: kind, floor_area_m2, .. } = *facts;
    let storeys = facts.storeys(defaults);
    let height_m = proportions.height_m;
    let count = f64::from(storeys);
    let (width_m, depths_m, free) = if kind == DwellingKind::Flat {
        flat(floor_area_m2, defaults.outline_flat_shape.value, proportions)
    } else {
        let (left, right, sides) = match kind {
            DwellingKind::Detached | DwellingKind::Bungalow | DwellingKind::Flat => (1.0, 1.0, 2.0),
            DwellingKind::SemiDetached | DwellingKind::EndTerrace => (0.0, 1.0, 1.0),
            DwellingKind::MidTerrace => (0.0, 0.0, 1.0),
        };
        let side_m = sqrt(floor_area_m2 / count);
        let width_m = wideness(proportions.wall.mean, sides) * side_m;
        let even_m = side_m * side_m / width_m;
        // a dwelling on one level has no deeper storey, and none is less than even
        let most = defaults.outline_lowest_storey_max.value * count;
        let lowest = if storeys == 1 { 1.0 } else { proportions.ground.mean.clamp(1.0, most) };
        let above = if storeys == 1 { 1.0 } else { (count - lowest) / (count - 1.0) };
        let depths_m = (0..storeys).map(|storey| even_m * if storey == 0 { lowest } else { above }).collect();
        (width_m, depths_m, Sides { front_and_back: 1.0, left, right })
    };
    let is_flat = kind == DwellingKind::Flat;
    let has_utility = floor_area_m2 >= defaults.outline_utility_from_m2.value && !is_flat;
    let rooms = rooms(storeys, facts.bedrooms(defaults), has_utility, defaults);
    let rooms = rooms.into_iter().zip(&depths_m).enumerate();
    Plan {
        rooms: rooms.flat_map(|(storey, (rows, depth_m))| cut(storey, &rows, width_m, *depth_m)).collect(),
        width_m,
        depths_m,
        height_m,
        free,
        ground_share: share_of_flat(facts, FlatStorey::Ground, proportions.ground.mean),
        roof_share: share_of_flat(facts, FlatStorey::Top, proportions.roof.mean),
    }
}

/// Share of a dwelling's floor or roof that is no neighbour's: that of a house is all its own, that of a flat if it lies there; where
/// that is not told it is what flats have on average.
fn share_of_flat(facts: &Facts, there: FlatStorey, on_average: f64) -> f64 {
    match facts.flat_storey {
        _ if facts.dwelling_kind != DwellingKind::Flat => 1.0,
        Some(storey) if storey == there => 1.0,
        Some(_) => 0.0,
        None => on_average.min(1.0),
    }
}

/// How many times as wide as a square's side a plan is whose girth is `2 q + sides / q`: the wider of two; the one
/// with least wall where there is none.
fn wideness(girth: f64, sides: f64) -> f64 {
    let root = girth * girth - 8.0 * sides;
    if root > 0.0 { (girth + sqrt(root)) / 4.0 } else { sqrt(sides / 2.0) }
}

/// A flat on one level: of each side the share that makes up its walls; longer than usual where all sides together
/// are not enough.
fn flat(floor_area_m2: f64, usual_shape: f64, proportions: &Proportions) -> (f64, Vec<f64>, Sides) {
    let outer_m = proportions.wall.mean * floor_area_m2 / proportions.height_m;
    let side_m = sqrt(floor_area_m2);
    let usual_m = 2.0 * side_m * (usual_shape + 1.0 / usual_shape);
    let shape = if outer_m <= usual_m { usual_shape } else { wideness(outer_m / side_m, 2.0) };
    let share = (outer_m / usual_m).min(1.0);
    (shape * side_m, vec![side_m / shape], Sides { front_and_back: share, left: share, right: share })
}

/// The rooms of each storey, front row and back row.
fn rooms(storeys: u32, bedrooms: u32, has_utility: bool, defaults: &Defaults) -> Vec<[Vec<Wanted>; 2]> {
    let room = |id: &str, room_use, size: &DefaultRow<f64>| (id.to_owned(), room_use, size.value);
    let mut lowest = [
        vec![
            room("hall", RoomUse::Hall, &defaults.outline_hall_size),
            room("living", RoomUse::Living, &defaults.outline_living_size),
        ],
        vec![room("kitchen", RoomUse::Kitchen, &defaults.outline_kitchen_size)],
    ];
    if has_utility {
        lowest[1].push(room("utility", RoomUse::Utility, &defaults.outline_utility_size));
    }
    let mut plan = vec![lowest];
    for storey in 1..storeys {
        let id = if storey == 1 { "landing".to_owned() } else { format!("landing_{storey}") };
        plan.push([vec![room(&id, RoomUse::Landing, &defaults.outline_landing_size)], Vec::new()]);
    }
    let bathroom = room("bathroom", RoomUse::Bathroom, &defaults.outline_bathroom_size);
    let upper = plan.len().min(2) - 1;
    plan[upper][1].push(bathroom);
    let first = usize::from(storeys > 1);
    for number in 1..=bedrooms {
        // the storey with the least on it, and its row with the least in it
        let on = |rows: &[Vec<Wanted>; 2]| rows.iter().flatten().map(|room| room.2).sum::<f64>();
        let least = (first..plan.len()).min_by(|a, b| on(&plan[*a]).total_cmp(&on(&plan[*b]))).unwrap_or(first);
        let bedroom = room(&format!("bedroom_{number}"), RoomUse::Bedroom, &defaults.outline_bedroom_size);
        lighter(&mut plan[least]).push(bedroom);
    }
    for (storey, rows) in plan.iter_mut().enumerate().filter(|(_, rows)| rows.iter().any(Vec::is_empty)) {
        lighter(rows).push(room(&format!("study_{storey}"), RoomUse::Study, &defaults.outline_study_size));
    }
    plan
}

fn lighter(rows: &mut [Vec<Wanted>; 2]) -> &mut Vec<Wanted> {
    let size = |row: &[Wanted]| row.iter().map(|room| room.2).sum::<f64>();
    let [front, back] = rows;
    if size(front) < size(back) { front } else { back }
}

/// Cuts a storey into its rows, and each row into its rooms.
fn cut(storey: usize, rows: &[Vec<Wanted>; 2], width_m: f64, depth_m: f64) -> Vec<Cut> {
    let size = |row: &[Wanted]| row.iter().map(|room| room.2).sum::<f64>();
    let [front, back] = rows;
    let between_m = depth_m * size(front) / (size(front) + size(back));
    let mut cuts = Vec::new();
    for (row, along_m) in rows.iter().zip([(0.0, between_m), (between_m, depth_m)]) {
        let (all, mut so_far) = (size(row), 0.0);
        for (number, (id, room_use, room_size)) in row.iter().enumerate() {
            let left_m = width_m * so_far / all;
            so_far += room_size;
            let right_m = if number + 1 == row.len() { width_m } else { width_m * so_far / all };
            let across_m = (left_m, right_m);
            cuts.push(Cut { id: id.clone(), room_use: *room_use, storey, across_m, along_m });
        }
    }
    cuts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plan_has_the_girth_that_it_is_made_for() {
        for (girth, sides) in [(4.6, 2.0), (4.0, 2.0), (3.2, 1.0), (3.4, 1.0)] {
            let q = wideness(girth, sides);
            assert!((2.0 * q + sides / q - girth).abs() < 1e-9 && q >= 0.99, "{girth}, {sides}");
        }
        // no rectangle has less wall than a square
        assert!((wideness(3.0, 2.0) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn rooms_fill_their_storey() {
        let defaults = Defaults::try_built_in().unwrap();
        for (storeys, bedrooms) in [(1, 0), (1, 10), (2, 0), (2, 3), (3, 1), (4, 10)] {
            for (storey, rows) in rooms(storeys, bedrooms, true, &defaults).into_iter().enumerate() {
                assert!(rows.iter().all(|row| !row.is_empty()), "{storeys} storeys, {bedrooms} bedrooms");
                let cuts = cut(storey, &rows, 9.0, 7.0);
                assert!((cuts.iter().map(Cut::area_m2).sum::<f64>() - 63.0).abs() < 1e-9);
            }
        }
    }
}
