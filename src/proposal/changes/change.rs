//! One change to one emitter that may lower the flow temperature of its house.

use crate::design::emitters::{Emitters, Kind};
use crate::job::emitters::Keep;
use crate::survey::{Emitter, EmitterKind, Hanging, Share, Survey};

/// Steps in which pipes are laid closer (m).
const CLOSER_M: f64 = 0.05;
/// Closest spacing that is proposed (m): tube of 16 mm bends no closer without kinks (common practice).
const CLOSEST_M: f64 = 0.1;
/// Resistance of the covering that is proposed (m²K/W): 13 mm of tile.
pub(super) const TILE_M2K_W: f64 = 0.01;
/// Share of a room's loss that is moved to another emitter in it (0–1).
pub(super) const MOVED: f64 = 0.1;

/// An emitter: its room, and which of the room's it is.
pub(super) type At = (usize, usize);

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
    /// A radiator is hung beside a towel rail.
    Beside,
    /// Pipes may be laid as close as this (m).
    Closer(f64),
    /// Another covering.
    Thinner,
    /// A tenth of the room's loss goes to another of its emitters.
    Moved(usize),
}

impl Change {
    /// Those that may help an emitter: made to itself, and where its share is found, to others of its room whose shares are
    /// found too.
    pub(super) fn all(survey: &Survey, at: At) -> Vec<Step> {
        let (room, which) = at;
        let emitters = &survey.rooms[room].emitters;
        let is_found = |which: usize| emitters[which].share == Share::Found;
        let is_rail = emitters[which].hanging().is_some_and(|hanging| hanging.is_towel_rail);
        // beside another emitter the share of the rail can be moved
        let beside = (is_rail && emitters.len() == 1).then_some((at, Self::Beside));
        let others = (0..emitters.len()).filter(|other| *other != which && is_found(which) && is_found(*other));
        let of_others = others.flat_map(|other| own(emitters, (room, other)));
        let moved = other(survey, at).map(|other| (at, Self::Moved(other)));
        own(emitters, at).chain(beside).chain(of_others).chain(moved).collect()
    }

    /// The survey with the change made.
    pub(super) fn made(self, survey: &Survey, (room, which): At) -> Survey {
        let mut changed = survey.clone();
        let emitters = &mut changed.rooms[room].emitters;
        match (self, &mut emitters[which].kind) {
            (Self::Larger(lifted), EmitterKind::Radiator { hanging, .. }) => lift(&mut hanging.fit_mm, lifted),
            (Self::Larger(lifted), EmitterKind::FanConvector(blowing)) => lift(&mut blowing.fit_mm, lifted),
            (Self::Louder, EmitterKind::FanConvector(blowing)) => blowing.sound_max_db = f64::INFINITY,
            (Self::Replaced(lifted), EmitterKind::Radiator { hanging, existing: Some(existing) }) => {
                existing.keep = Keep::IfEnough;
                lift(&mut hanging.fit_mm, lifted);
            }
            (Self::AsRated, EmitterKind::Radiator { hanging, .. }) => hanging.factors = None,
            (Self::Beside, EmitterKind::Radiator { .. }) => {
                emitters[which].share = Share::Found;
                emitters.push(Emitter { share: Share::Found, kind: beside() });
                changed.names.emitters[room].push(BESIDE.to_owned());
            }
            (Self::Closer(closer_m), EmitterKind::HeatedFloor(floor)) => floor.spacings_m.push(closer_m),
            (Self::Thinner, EmitterKind::HeatedFloor(floor)) => {
                floor.covering_m2k_w = TILE_M2K_W;
                let [occupied_c, edge_c] = floor.bare_limits_c;
                floor.surface_limit_c = occupied_c;
                if let Some(edge) = &mut floor.edge {
                    edge.surface_limit_c = edge_c;
                }
            }
            (Self::Moved(other), _) => {
                for (emitter, by) in [(which, -MOVED), (other, MOVED)] {
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
                | Self::Closer(_)
                | Self::Thinner,
                EmitterKind::Radiator { .. } | EmitterKind::FanConvector(_) | EmitterKind::HeatedFloor(_),
            ) => {}
        }
        changed
    }

    /// What was found for the emitter that the change is about, once it was made.
    pub(super) fn found(self, (room, which): At, then: &Emitters) -> &Kind {
        let emitters = &then.rooms[room];
        let which = if self == Self::Beside { emitters.len() - 1 } else { which };
        &emitters[which].kind
    }
}

/// What the radiator beside a towel rail is called; the job has no name for it.
const BESIDE: &str = "beside";

/// A new radiator that nothing limits.
fn beside() -> EmitterKind {
    let hanging = Hanging {
        fit_mm: [f64::INFINITY; 3],
        under_sill: false,
        is_towel_rail: false,
        factors: None,
        oversize_max: f64::INFINITY,
    };
    EmitterKind::Radiator { hanging, existing: None }
}

/// Changes to an emitter itself.
fn own(emitters: &[Emitter], at: At) -> impl Iterator<Item = Step> {
    let mut own = Vec::new();
    match &emitters[at.1].kind {
        EmitterKind::Radiator { hanging, existing } => {
            if existing.is_some_and(|existing| existing.keep == Keep::Always) {
                own.push(Change::Replaced([false; 3]));
                own.extend(lifted(hanging.fit_mm, hanging.under_sill).into_iter().map(Change::Replaced));
            } else {
                own.extend(lifted(hanging.fit_mm, hanging.under_sill).into_iter().map(Change::Larger));
            }
            if hanging.factors.is_some() {
                own.push(Change::AsRated);
            }
        }
        EmitterKind::FanConvector(blowing) => {
            own.extend(lifted(blowing.fit_mm, blowing.under_sill).into_iter().map(Change::Larger));
            if blowing.sound_max_db.is_finite() {
                own.push(Change::Louder);
            }
        }
        EmitterKind::HeatedFloor(floor) => {
            let closest_m = floor.spacings_m.last().copied().unwrap_or(CLOSEST_M);
            let mut closer_m = closest_m;
            while closer_m > CLOSEST_M + 1e-9 {
                closer_m = (closer_m - CLOSER_M).max(CLOSEST_M);
                own.push(Change::Closer(closer_m));
            }
            if floor.covering_m2k_w > TILE_M2K_W + 1e-9 {
                own.push(Change::Thinner);
            }
        }
    }
    own.into_iter().map(move |change| (at, change))
}

/// Each limit of a fit by itself, then all of them. A sill stays where it is.
fn lifted(fit_mm: [f64; 3], under_sill: bool) -> Vec<[bool; 3]> {
    let [height_mm, length_mm, depth_mm] = fit_mm;
    let limited = [height_mm.is_finite() && !under_sill, length_mm.is_finite(), depth_mm.is_finite()];
    let only = |way: usize| std::array::from_fn(|other| other == way);
    let mut lifted: Vec<[bool; 3]> = (0..3).filter(|way| limited[*way]).map(only).collect();
    if lifted.len() > 1 {
        lifted.push(limited);
    }
    lifted
}

fn lift(fit_mm: &mut [f64; 3], lifted: [bool; 3]) {
    for (limit_mm, _) in fit_mm.iter_mut().zip(lifted).filter(|(_, is_lifted)| *is_lifted) {
        *limit_mm = f64::INFINITY;
    }
}

/// The emitter of the same room that takes a part of the share: one whose share is found, or the one of the largest. Nothing
/// where neither share is given, or the emitter's own is too small.
fn other(survey: &Survey, (room, which): At) -> Option<usize> {
    let emitters = &survey.rooms[room].emitters;
    let others = || (0..emitters.len()).filter(|other| *other != which);
    let given = |other: &usize| emitters[*other].share.given();
    let largest = || {
        let shares = others().filter_map(|other| Some((other, given(&other)?)));
        shares.filter(|(_, share)| share + MOVED <= 1.0).max_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(other, _)| other)
    };
    match emitters[which].share {
        Share::Given(share) if share <= MOVED => None,
        Share::Given(_) => others().find(|other| given(other).is_none()).or_else(largest),
        Share::Found => largest(),
    }
}
