//! A room as it is meant.

use super::{Bridging, Element, Emitter, RoomAir, Underside};
use crate::catalogue::room_use::RoomUse;
use crate::list::{Index, List};

/// One room.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Floor area (m²).
    pub floor_area_m2: f64,
    /// Mean height (m).
    pub height_m: f64,
    /// Perimeter of the floor (m).
    pub perimeter_m: f64,
    /// Inside design temperature (°C).
    pub inside_c: f64,
    /// What it is used for.
    pub room_use: RoomUse,
    /// Whether it sets the common flow temperature, as bathrooms do not.
    pub sets_flow: bool,
    /// What bounds the room: net areas, openings as elements of their own, partitions on both sides.
    pub elements: Vec<Element>,
    /// Part of the floor whose loss is left to the heated floor in it (m²).
    pub heated_floor_m2: f64,
    /// What lies under the room's floor, before the heated part is left out.
    pub undersides: Vec<Underside>,
    /// Area of what faces outside, the ground or an unheated space, heated floors among it (m²).
    pub exposed_m2: f64,
    /// What heats the room.
    pub emitters: List<Emitter>,
    /// The room whose emitters carry this one's loss.
    pub heated_from: Option<Index<Room>>,
    /// Thermal bridges of the room itself, in place of its share of the dwelling's.
    pub bridging: Option<Bridging>,
    /// The room's air.
    pub air: RoomAir,
    /// Extra output after a setback, by floor area (W/m²).
    pub reheat_w_m2: f64,
    /// Share of the loss that is carried by natural convection (0–1), for high rooms.
    pub by_convection: f64,
    /// Radiators that are taken out besides those that are replaced.
    pub removed_radiators: u32,
}
