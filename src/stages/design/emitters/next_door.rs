//! Rooms without an emitter that another room heats through an open door: how warm they stand.

use super::{Asked, Emitters, Warning};
use crate::design::DesignError;
use crate::design::heat_loss::{self, HeatLoss};
use crate::list::Index;
use crate::methods::{Off, Workings, last_steps, open_door};
use crate::survey::{Room, Survey};

/// How a room stands that another heats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NextDoor {
    /// The room.
    pub room: Index<Room>,
    /// The room whose emitters carry its loss.
    pub from: Index<Room>,
    /// Its temperature while the door stands open (°C).
    pub open_c: f64,
    /// Its temperature once the door is shut for long (°C).
    pub shut_c: f64,
}

impl Emitters {
    /// The same with how the rooms stand that others heat, and what is to be said of it.
    pub(super) fn with_next_door<W: Workings>(
        mut self,
        asked: Asked<'_>,
        loss: &HeatLoss,
        w: &mut W,
    ) -> Result<Self, DesignError> {
        let survey = asked.survey;
        for (room, from) in survey.rooms.enumerate().filter_map(|(room, one)| Some((room, one.heated_from?))) {
            let found = stands(survey, loss, (room, from), w)?;
            let wanted_c = survey.rooms[room].inside_c;
            let NextDoor { open_c, shut_c, .. } = found;
            if open_c < wanted_c - 1e-9 {
                self.warnings.push(Warning::StandsCooler { room, from, open_c, shut_c, wanted_c });
            }
            let least_c = survey.defaults.mould_below_c.value;
            if shut_c < least_c {
                self.warnings.push(Warning::Mould { room, shut_c, least_c });
            }
            self.next_door.push(found);
        }
        Ok(self)
    }
}

fn stands<W: Workings>(
    survey: &Survey,
    loss: &HeatLoss,
    (room, from): (Index<Room>, Index<Room>),
    w: &mut W,
) -> Result<NextDoor, DesignError> {
    // what it takes to stand at its temperature, without what would warm it up
    let steady_w = |loss: &HeatLoss| loss.rooms[room].design_heat_loss_w - loss.rooms[room].reheat_w;
    let loss_w = steady_w(loss);
    // a kelvin cooler it loses that much less
    let mut cooler = survey.clone();
    cooler.rooms[room].inside_c -= 1.0;
    let loss_w_k = loss_w - steady_w(&heat_loss::compute(&cooler, &mut Off)?);
    let (inside_c, from_c) = (survey.rooms[room].inside_c, survey.rooms[from].inside_c);
    let shut_c =
        standing(inside_c, (loss_w, loss_w_k), &mut w.at(|| format!("/emitters/rooms/{room}/heated_from/shut_door_c")));
    let mut w = w.at(|| format!("/emitters/rooms/{room}/heated_from/open_door_c"));
    let open_c = if loss_w > open_door::MOST_W {
        // the door passes so much and no more: the rest of its loss cools it
        let left_w = loss_w - open_door::MOST_W;
        let by_loss_c = standing(inside_c, (left_w, loss_w_k), &mut w);
        let by_door_c = behind_door(from_c, open_door::MOST_W, &mut w);
        last_steps::no_warmer(by_loss_c, by_door_c, &mut w)
    } else {
        behind_door(from_c, loss_w, &mut w)
    };
    // nor does the door cool it below what it stands at by itself
    let open_c = last_steps::no_cooler(open_c, shut_c.min(from_c), &mut w);
    Ok(NextDoor { room, from, open_c, shut_c })
}

/// Where a room stands that lacks so much; at its own temperature where it loses no less the cooler it is.
fn standing(inside_c: f64, (lacks_w, loss_w_k): (f64, f64), w: &mut impl Workings) -> f64 {
    if loss_w_k > 0.0 { open_door::balance(inside_c, lacks_w, loss_w_k, w) } else { inside_c }
}

/// Temperature behind an open door through which so much heat passes (°C).
fn behind_door(from_c: f64, heat_w: f64, w: &mut impl Workings) -> f64 {
    let difference_k = open_door::difference(heat_w, w);
    last_steps::cooler_by(from_c, difference_k, w)
}
