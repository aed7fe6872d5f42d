//! Where radiators hang in a room of the plan: below its window first, then on its other walls, each with the wall that is
//! clear for it.

use super::plan::{Cut, Plan};
use super::rooms::Openings;
use crate::catalogue::Defaults;
use crate::catalogue::room_use::RoomUse;
use crate::job::emitters::{Emitter, ExistingRadiator, Fit, Keep};
use crate::terms;

/// Most emitters that a room of a job may have.
const MOST: usize = 8;

/// A wall of a room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wall {
    /// The outer wall with the window.
    BelowWindow,
    /// A wall beside it.
    Side,
    /// The wall that faces it.
    Inner,
}

terms! {
    Wall {
        BelowWindow: "below_window", "below the window";
        Side: "side_wall", "on a wall beside the window";
        Inner: "inner_wall", "on the wall that faces the window";
    }
}

/// A place for a radiator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The wall.
    pub wall: Wall,
    /// How much of it is clear (mm).
    pub clear_wall_mm: f64,
}

/// The places of a room, in the order in which they are taken: at least one.
///
/// Below the window the wall is clear but for a door; half of the other walls is, and of every wall of a kitchen. What is long enough
/// for several radiators has several places.
#[must_use]
pub fn spots(plan: &Plan, cut: &Cut, openings: Openings, defaults: &Defaults) -> Vec<Spot> {
    let share = defaults.outline_clear_wall.value;
    let door_m = if openings.door(plan, cut, defaults) > 0.0 { defaults.outline_outer_door_m.value } else { 0.0 };
    let below_window = if cut.room_use == RoomUse::Kitchen { share } else { 1.0 };
    let walls = [
        (Wall::BelowWindow, (cut.width_m() - door_m).max(0.0) * below_window),
        (Wall::Side, cut.depth_m() * share),
        (Wall::Side, cut.depth_m() * share),
        (Wall::Inner, cut.width_m() * share),
    ];
    let mut spots = Vec::new();
    for (wall, clear_m) in walls {
        let pieces = (clear_m / defaults.outline_wall_of_one_m.value).floor().max(1.0);
        let spot = Spot { wall, clear_wall_mm: (100.0 * clear_m / pieces).floor() * 10.0 };
        let mut left = pieces;
        while left > 0.0 && spots.len() < 2 * MOST {
            spots.push(spot);
            left -= 1.0;
        }
    }
    let is_long = |spot: &Spot| spot.clear_wall_mm >= 1000.0 * defaults.outline_least_wall_m.value;
    if !spots.iter().any(is_long) {
        // a small room: one radiator on its longest wall, whatever stands there
        let longest_m = cut.width_m().max(cut.depth_m());
        let wall = if cut.width_m() < cut.depth_m() || door_m > 0.0 { Wall::Side } else { Wall::BelowWindow };
        return vec![Spot { wall, clear_wall_mm: (100.0 * longest_m).floor() * 10.0 }];
    }
    spots.retain(is_long);
    spots.sort_by(|a, b| {
        let (is_first, is_second) = (a.wall == Wall::BelowWindow, b.wall == Wall::BelowWindow);
        is_second.cmp(&is_first).then(b.clear_wall_mm.total_cmp(&a.clear_wall_mm))
    });
    spots.truncate(MOST);
    spots
}

/// The radiators on the first places of a room, by id; the first hangs where an old one is taken off.
pub fn hung<'s>(
    spots: &'s [Spot],
    count: usize,
    is_old: bool,
    defaults: &'s Defaults,
) -> impl Iterator<Item = (String, Emitter)> + use<'s> {
    spots.iter().take(count).enumerate().map(move |(number, spot)| {
        let old = ExistingRadiator::Rated {
            output_w: defaults.old_radiator_w.value,
            exponent: Some(defaults.existing_radiator_exponent.value),
            water_l: defaults.outline_old_radiator_l.value,
            keep: Keep::Never,
        };
        let fit = Fit {
            height_max_mm: None,
            length_max_mm: None,
            depth_max_mm: None,
            sill_height_mm: (spot.wall == Wall::BelowWindow).then_some(defaults.outline_sill_mm.value),
            clear_wall_mm: Some(spot.clear_wall_mm),
        };
        let radiator = Emitter::Radiator {
            fit: Some(fit),
            towel_rail: None,
            connection: None,
            finish: None,
            enclosure_factor: None,
            oversize_max: None,
            existing: Some(old).filter(|_| is_old && number == 0),
            share: None,
        };
        (id(number), radiator)
    })
}

/// The id of a room's radiator by its number.
#[must_use]
pub fn id(number: usize) -> String {
    if number == 0 { "radiator".to_owned() } else { format!("radiator_{}", number + 1) }
}
