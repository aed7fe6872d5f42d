//! One change to one emitter that may lower the flow temperature of its house.

use crate::design::emitters::{Emitters, Kind};
use crate::job::emitters::Keep;
use crate::list::Index;
use crate::survey::{Emitter, EmitterKind, FloorSystem, Hanging, Share, Survey, by_convection};

/// An emitter: its room, and which of the room's it is.
pub(super) use crate::survey::EmitterAt as At;

/// A change, and the emitter that it is made to.
pub(super) type Step = (At, Change);

/// A change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Change {
    /// Limits of the fit of a radiator or fan convector are lifted: of height, length and depth.
    Larger([bool; 3]),
    /// A fan convector may be louder.
    Louder,
    /// A radiator that stays in any case may be replaced, and limits of its fit are lifted.
    Replaced([bool; 3]),
    /// A radiator is connected, painted and left open as it was rated.
    AsRated,
    /// A radiator is hung beside a towel rail or a heated floor.
    Beside,
    /// A radiator is hung where there is no emitter.
    Hung,
    /// Pipes may be laid as close as this (m).
    Closer(f64),
    /// Another covering.
    Thinner,
    /// A tenth of the room's loss goes to another of its emitters.
    Moved(Index<Emitter>),
}

impl Change {
    /// Those that may help an emitter: made to itself, and where its share is found, to others of its room whose shares are
    /// found too.
    pub(super) fn all(survey: &Survey, at: At) -> Vec<Step> {
        let At { room, emitter: which } = at;
        let emitters = &survey.rooms[room].emitters;
        let is_found = |which: Index<Emitter>| emitters[which].share == Share::Found;
        let is_rail = emitters[which].hanging().is_some_and(|hanging| hanging.is_towel_rail);
        let is_floor = emitters[which].floor().is_some();
        let moved = other(survey, at).map(|other| (at, Self::Moved(other)));
        // beside another emitter the share of the rail may be moved instead
        let is_for_itself = emitters.len() == 1 || (is_found(which) && moved.is_none());
        let beside = ((is_rail || is_floor) && is_for_itself).then_some((at, Self::Beside));
        let others = emitters.indices().filter(|other| *other != which && is_found(which) && is_found(*other));
        let of_others = others.flat_map(|other| own(survey, At { room, emitter: other }));
        own(survey, at).chain(beside).chain(of_others).chain(moved).collect()
    }

    /// The survey with the change made.
    pub(super) fn made(self, survey: &Survey, At { room, emitter: which }: At) -> Survey {
        let mut changed = survey.clone();
        let emitters = &mut changed.rooms[room].emitters;
        if self == Self::Hung {
            emitters.push(Emitter { share: Share::Given(1.0), kind: beside() });
            changed.names.emitters[room].push(HUNG.to_owned());
            changed.rooms[room].by_convection = by_convection(&changed.rooms[room].emitters);
            return changed;
        }
        match (self, &mut emitters[which].kind) {
            (Self::Larger(lifted), EmitterKind::Radiator { hanging, .. }) => {
                lift(&mut hanging.fit_mm, hanging.walls_mm, lifted);
            }
            (Self::Larger(lifted), EmitterKind::FanConvector(blowing)) => {
                lift(&mut blowing.fit_mm, blowing.walls_mm, lifted);
            }
            (Self::Louder, EmitterKind::FanConvector(blowing)) => blowing.sound_max_db = f64::INFINITY,
            (Self::Replaced(lifted), EmitterKind::Radiator { hanging, existing: Some(existing) }) => {
                existing.keep = Keep::IfEnough;
                lift(&mut hanging.fit_mm, hanging.walls_mm, lifted);
            }
            (Self::AsRated, EmitterKind::Radiator { hanging, .. }) => hanging.factors = None,
            (Self::Beside, EmitterKind::Radiator { .. } | EmitterKind::HeatedFloor(_)) => {
                emitters[which].share = Share::Found;
                emitters.push(Emitter { share: Share::Found, kind: beside() });
                changed.names.emitters[room].push(BESIDE.to_owned());
            }
            (Self::Closer(closer_m), EmitterKind::HeatedFloor(floor)) => {
                floor.spacings_m.push(closer_m);
                if let Some(edge) = floor.edge.as_mut().filter(|edge| edge.is_closest) {
                    edge.spacing_m = closer_m;
                }
            }
            (Self::Thinner, EmitterKind::HeatedFloor(floor)) => {
                floor.covering_m2k_w = survey.defaults.change_covering_m2k_w.value;
                let [occupied_c, edge_c] = floor.bare_limits_c;
                floor.surface_limit_c = occupied_c;
                if let Some(edge) = &mut floor.edge {
                    edge.surface_limit_c = edge_c;
                }
            }
            (Self::Moved(other), _) => {
                let moved = survey.defaults.change_moved_share.value;
                for (emitter, by) in [(which, -moved), (other, moved)] {
                    if let Share::Given(share) = &mut emitters[emitter].share {
                        *share += by;
                    }
                }
            }
            // none of these is among `all` of such an emitter
            (
                Self::Larger(_)
                | Self::Louder
                | Self::Replaced(_)
                | Self::AsRated
                | Self::Beside
                | Self::Hung
                | Self::Closer(_)
                | Self::Thinner,
                EmitterKind::Radiator { .. } | EmitterKind::FanConvector(_) | EmitterKind::HeatedFloor(_),
            ) => {}
        }
        let by_convection = by_convection(&changed.rooms[room].emitters);
        changed.rooms[room].by_convection = by_convection;
        changed
    }

    /// What was found for the emitter that the change is about, once it was made.
    pub(super) fn found(self, At { room, emitter: which }: At, then: &Emitters) -> &Kind {
        let emitters = &then.rooms[room];
        let last = emitters.indices().next_back();
        let which = last.filter(|_| matches!(self, Self::Beside | Self::Hung)).unwrap_or(which);
        &emitters[which].kind
    }
}

/// What the radiator beside a towel rail or a floor is called; the job has no name for it.
const BESIDE: &str = "beside";

/// What a radiator is called where there was none.
pub(super) const HUNG: &str = "radiator";

/// A new radiator that nothing limits.
fn beside() -> EmitterKind {
    EmitterKind::Radiator { hanging: Hanging::ANYWHERE, existing: None }
}

/// Changes to an emitter itself.
fn own(survey: &Survey, at: At) -> impl Iterator<Item = Step> + use<> {
    let (defaults, mut own) = (&survey.defaults, Vec::new());
    match &survey.emitter(at).kind {
        EmitterKind::Radiator { hanging, existing } => {
            if existing.is_some_and(|existing| existing.keep == Keep::Always) {
                own.push(Change::Replaced([false; 3]));
                own.extend(lifted(hanging.fit_mm, hanging.walls_mm).into_iter().map(Change::Replaced));
            } else {
                own.extend(lifted(hanging.fit_mm, hanging.walls_mm).into_iter().map(Change::Larger));
            }
            if hanging.factors.is_some() {
                own.push(Change::AsRated);
            }
        }
        EmitterKind::FanConvector(blowing) => {
            own.extend(lifted(blowing.fit_mm, blowing.walls_mm).into_iter().map(Change::Larger));
            if blowing.sound_max_db.is_finite() {
                own.push(Change::Louder);
            }
        }
        EmitterKind::HeatedFloor(floor) => {
            let closest_m = defaults.change_closest_m.value;
            let mut closer_m = match floor.system {
                FloorSystem::InScreed(_) | FloorSystem::UnderPlates(_) => {
                    floor.spacings_m.last().copied().unwrap_or(closest_m)
                }
                // nothing comes of it: boards have the spacing of their grooves, and a plane section gives the same at any
                FloorSystem::PlaneSection | FloorSystem::TestedBoards { .. } => closest_m,
            };
            while closer_m > closest_m + 1e-9 {
                closer_m = (closer_m - defaults.change_closer_m.value).max(closest_m);
                own.push(Change::Closer(closer_m));
            }
            if floor.covering_m2k_w > defaults.change_covering_m2k_w.value + 1e-9 {
                own.push(Change::Thinner);
            }
        }
    }
    own.into_iter().map(move |change| (at, change))
}

/// Each limit of a fit by itself, then all of them. Sills and walls stay where they are.
fn lifted(fit_mm: [f64; 3], walls_mm: [f64; 3]) -> Vec<[bool; 3]> {
    let limited: [bool; 3] = std::array::from_fn(|side| fit_mm[side] < walls_mm[side]);
    let only = |side: usize| std::array::from_fn(|other| other == side);
    let mut lifted: Vec<[bool; 3]> = (0..3).filter(|side| limited[*side]).map(only).collect();
    if lifted.len() > 1 {
        lifted.push(limited);
    }
    lifted
}

fn lift(fit_mm: &mut [f64; 3], walls_mm: [f64; 3], lifted: [bool; 3]) {
    for side in (0..3).filter(|side| lifted[*side]) {
        fit_mm[side] = walls_mm[side];
    }
}

/// The emitter of the same room that takes a part of the share: one whose share is found, or the one of the largest. Nothing
/// where neither share is given, or the emitter's own is too small.
fn other(survey: &Survey, At { room, emitter: which }: At) -> Option<Index<Emitter>> {
    let emitters = &survey.rooms[room].emitters;
    let others = || emitters.indices().filter(|other| *other != which);
    let given = |other: &Index<Emitter>| emitters[*other].share.given();
    let largest = || {
        let shares = others().filter_map(|other| Some((other, given(&other)?)));
        shares.max_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(other, _)| other)
    };
    let all: f64 = emitters.iter().filter_map(|emitter| emitter.share.given()).sum();
    let moved = survey.defaults.change_moved_share.value;
    match emitters[which].share {
        Share::Given(share) if share <= moved + 1e-9 => None,
        Share::Given(_) => others().find(|other| given(other).is_none()).or_else(largest),
        // what is left for the shares that are found is not all taken
        Share::Found if all + moved >= 1.0 - 1e-9 => None,
        Share::Found => largest(),
    }
}
