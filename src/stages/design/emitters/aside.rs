//! Rooms that do not set the common flow temperature: what no warmer water mends, and bathrooms.

use super::rounds::{carried_alone, common, passed};
use super::{Asked, Emitters, Unmet, radiator, to_carry_w};
use crate::design::DesignError;
use crate::design::heat_loss::HeatLoss;
use crate::list::Index;
use crate::methods::{Off, Workings};
use crate::survey::{Hanging, Room, Survey};
use crate::terms;

/// Why a room does not set the flow temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AsideWhy {
    /// Nothing heats it.
    NoEmitter,
    /// Its floor is at the limit of its surface: no room is set aside for that, its floor alone asks for nothing warmer.
    SurfaceLimit,
    /// It is a bathroom or a shower room.
    Bathroom,
    /// What hangs there, or fits, is too weak at the hottest.
    TooWeak,
    /// Its floor is not designed, as no table reaches it: no room is set aside for that, its floor alone asks for nothing.
    BeyondTables,
}

terms! {
    AsideWhy {
        NoEmitter: "no_emitter", "it has no emitter, and no warmer water mends that";
        SurfaceLimit: "surface_limit", "its floor may be no warmer, however warm the water";
        Bathroom: "bathroom", "bathrooms do not set it (EN 1264-3)";
        BeyondTables: "floor_beyond_tables", "its underfloor heating is not designed, and no warmer water mends that";
        TooWeak: "too_weak_at_the_hottest", "what hangs there or fits there is too weak even at the hottest that is allowed";
    }
}

/// A room that does not set the flow temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Aside {
    /// The room.
    pub room: Index<Room>,
    /// Why.
    pub why: AsideWhy,
}

/// The rooms of a house that do not set its flow temperature, by what is short at the hottest of those that are looked at. A room
/// that some cooler flow carries sets it all the same.
pub(super) fn aside<W: Workings>(
    asked: Asked<'_>,
    loss: &HeatLoss,
    hottest: &Emitters,
    cooler_c: &(impl Iterator<Item = f64> + Clone),
    w: &mut W,
) -> Result<Vec<Aside>, DesignError> {
    let survey = asked.survey;
    let passed = passed(survey);
    let (mut without, mut too_weak, mut bathrooms) = (Vec::new(), Vec::new(), Vec::new());
    for room in survey.rooms.indices() {
        let is_short = hottest.unmet.iter().any(|unmet| unmet.room() == Some(room) && counts(unmet, &[]));
        if survey.rooms[room].emitters.is_empty() && is_short {
            without.push(Aside { room, why: AsideWhy::NoEmitter });
        } else if !survey.rooms[room].sets_flow {
            bathrooms.push(Aside { room, why: AsideWhy::Bathroom });
        } else if is_short {
            let mut is_carried = false;
            for flow_c in cooler_c.clone().filter(|_| !passed.contains(&room)) {
                is_carried = carried_alone(asked, loss, flow_c, room, w)?;
                if is_carried {
                    break;
                }
            }
            if !is_carried {
                too_weak.push(Aside { room, why: AsideWhy::TooWeak });
            }
        }
    }
    let loss_w = |aside: &Aside| to_carry_w(survey, loss, aside.room);
    let all_w: f64 = survey.rooms.indices().map(|room| to_carry_w(survey, loss, room)).sum();
    let with_emitters_w = all_w - without.iter().map(loss_w).sum::<f64>();
    // where they are most of the house they are no exceptions: it asks for the hottest
    if too_weak.iter().map(loss_w).sum::<f64>() <= survey.defaults.set_aside_most_share.value * with_emitters_w {
        without.append(&mut too_weak);
    }
    // where none but bathrooms would be left, they set it
    let others = survey.rooms.indices().filter(|room| bathrooms.iter().all(|bathroom| bathroom.room != *room));
    if others.into_iter().any(|room| sets_it(survey, loss, &without, room)) {
        without.append(&mut bathrooms);
    }
    without.sort_by_key(|aside| aside.room);
    Ok(without)
}

impl Emitters {
    /// Adds what each room lacks that was set aside, and what would give it there.
    pub(super) fn tell_aside(&mut self, asked: Asked<'_>, loss: &HeatLoss, aside: &[Aside]) -> Result<(), DesignError> {
        let common = common(asked.duty(), loss, self.flow_c, &mut Off)?;
        for (room, need_w, reached_w) in self.not_carried() {
            let has = |asks_nothing: fn(&Unmet) -> bool| {
                self.unmet.iter().any(|unmet| unmet.room() == Some(room) && asks_nothing(unmet))
            };
            let by_floor = (has(is_at_limit).then_some(AsideWhy::SurfaceLimit))
                .or_else(|| has(is_beyond_tables).then_some(AsideWhy::BeyondTables));
            let listed = aside.iter().find(|aside| aside.room == room).map(|aside| aside.why);
            let Some(why) = by_floor.or(listed) else { continue };
            let short_w = need_w - reached_w;
            let found = radiator::smallest(&common, room, short_w, &Hanging::ANYWHERE);
            let (product, gives_w) = found.map_or((None, None), |(product, gives_w)| (Some(product), Some(gives_w)));
            let flow_c = self.flow_c;
            self.unmet.push(Unmet::SetAside { room, why, flow_c, need_w, reached_w, short_w, product, gives_w });
        }
        Ok(())
    }
}

/// Whether a floor may be no warmer, so that it asks for no warmer water.
fn is_at_limit(unmet: &Unmet) -> bool {
    matches!(unmet, Unmet::FloorTooWeak { at_surface_limit: true, .. })
}

/// Whether a floor is not designed, so that it asks for no warmer water either.
fn is_beyond_tables(unmet: &Unmet) -> bool {
    matches!(unmet, Unmet::FloorBeyondTables { .. })
}

/// Whether a need asks for warmer water: of none of the rooms that are set aside, and of no floor at the limit of its surface. Up
/// to that a floor asks like any other.
pub(super) fn counts(unmet: &Unmet, aside: &[Aside]) -> bool {
    let is_told_aside = matches!(unmet, Unmet::SetAside { .. });
    let is_of_these = |room| aside.iter().any(|aside| aside.room == room);
    let asks_nothing = is_told_aside || unmet.is_too_warm() || is_at_limit(unmet) || is_beyond_tables(unmet);
    !asks_nothing && !unmet.room().is_some_and(is_of_these)
}

/// Whether a room sets the flow temperature and has something to be carried.
pub(super) fn sets_it(survey: &Survey, loss: &HeatLoss, aside: &[Aside], room: Index<Room>) -> bool {
    let is_aside = aside.iter().any(|aside| aside.room == room);
    !is_aside && to_carry_w(survey, loss, room) > 0.0 && !survey.rooms[room].emitters.is_empty()
}
