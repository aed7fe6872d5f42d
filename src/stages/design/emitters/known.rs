//! Rooms that were designed before.

use super::{Common, Emitter, Tells, to_carry_w};
use crate::design::heat_loss::Space;
use crate::list::{Index, List};
use crate::survey::{self, Room, UnheatedSpace};

/// The emitters of a room.
type Designed = List<survey::Emitter, Emitter>;

/// The emitters of a room, with all that they rest on beside the room itself.
struct Kept {
    to_carry_w: f64,
    spaces: List<UnheatedSpace, Space>,
    designed: Designed,
}

impl Common<'_> {
    fn key(&self, room: Index<Room>, from_lines_w: f64) -> (Index<Room>, [u64; 2]) {
        (room, [self.flow_c.to_bits(), from_lines_w.to_bits()])
    }

    /// The emitters of a room as they were designed before, where they were and only how they run is asked for.
    pub(super) fn designed(&self, room: Index<Room>, from_lines_w: f64) -> Option<Designed> {
        let Self { survey, loss, .. } = *self;
        let known = self.known.filter(|known| self.tells == Tells::Duty && known.has(survey, room))?;
        let kept = known.get::<Kept>(&self.key(room, from_lines_w))?;
        let is_same = kept.to_carry_w.total_cmp(&to_carry_w(survey, loss, room)).is_eq() && kept.spaces == loss.spaces;
        is_same.then(|| kept.designed.clone())
    }

    /// Keeps the emitters of a room.
    pub(super) fn keep(&self, room: Index<Room>, from_lines_w: f64, designed: &Designed) {
        let Self { survey, loss, .. } = *self;
        let Some(known) = self.known.filter(|known| self.tells == Tells::Duty && known.has(survey, room)) else {
            return;
        };
        let kept = Kept {
            to_carry_w: to_carry_w(survey, loss, room),
            spaces: loss.spaces.clone(),
            designed: designed.clone(),
        };
        known.keep(self.key(room, from_lines_w), kept);
    }
}
