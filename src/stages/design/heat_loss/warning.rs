//! What looks wrong with a heat loss.

use crate::findings;
use crate::list::Index;
use crate::methods::en_12831::HIGH_ROOM_MAX_W_M2;
use crate::survey::{Room, Survey};

findings! {
    /// What looks wrong with a heat loss.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Warning: Warning of survey: Survey {
        /// A room is too high to be warmed by natural convection.
        "high_room" HighRoom { room: Index<Room> }
        at "/rooms/{room}/height_m"
        says "a room above 10 m in height is not warmed by radiators: warm its floor, or blow the air down";

        /// A high room loses more by floor area than the correction for its height was made for.
        "high_room_loss" HighRoomLoss { room: Index<Room>, loss_w_m2: f64, most_w_m2: f64 }
        at "/rooms/{room}"
        says "the room loses {loss_w_m2:.0} W/m², and the correction for its height holds up to {most_w_m2} W/m²: reckon such a room by itself";
    }
}

impl Warning {
    /// Of a room that loses so much (W/m²).
    pub(super) fn of_high_loss(room: Index<Room>, loss_w_m2: f64) -> Self {
        Self::HighRoomLoss { room, loss_w_m2, most_w_m2: HIGH_ROOM_MAX_W_M2 }
    }
}
