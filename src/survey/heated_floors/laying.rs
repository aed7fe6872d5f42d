//! How the loops of a heated floor are laid: its manifold, its tails and what holds a loop short.

use super::build::SPACINGS_MM;
use super::heated_floor_m2;
use crate::intake::Fault;
use crate::job::Job;
use crate::job::emitters::Emitter;
use crate::job::pipework::Manifold;
use crate::job::rooms::{Position, Room};
use crate::methods::{Off, floor_loops};
use crate::survey::Gathering;
use crate::survey::pipes::STOREY_M;

/// Length of a tail where neither the job nor the plan tells it (m).
const TAIL_M: f64 = 3.0;
/// Longest loop where the job names none (m).
const LOOP_MAX_M: f64 = 100.0;
/// Greatest pressure drop of a loop where the job names none (kPa): 250 mbar, EN 1264-3.
const LOOP_PRESSURE_KPA: f64 = 25.0;

/// How the loops of a floor are laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Laying {
    /// Index of the manifold.
    pub manifold: usize,
    /// Length of a tail, one way (m).
    pub tail_m: f64,
    /// Rooms that the tails pass through on their way, with the length there (m).
    pub passes: Vec<(usize, f64)>,
    /// Longest loop, tails included (m).
    pub loop_max_m: f64,
    /// Greatest pressure drop of a loop with its valves (Pa).
    pub loop_max_pa: f64,
}

impl Gathering<'_> {
    pub(super) fn laying(&mut self, at: &str, id: &str, floor: &Emitter, filled: &mut Vec<String>) -> Option<Laying> {
        let Emitter::HeatedFloor { manifold, tail_m, passes_through, loop_max_m, loop_pressure_drop_max_kpa, .. } =
            floor
        else {
            return None;
        };
        let job = self.job;
        let room = job.rooms.get(id)?;
        let manifold = match manifold {
            Some(manifold) => self.manifold(&format!("{at}/manifold"), manifold)?,
            None => self.nearest_manifold(at, room, floor, filled)?,
        };
        let mut passes = Vec::with_capacity(passes_through.len());
        for (passed, pass) in passes_through {
            let at = format!("{at}/passes_through/{passed}");
            match job.rooms.get_index_of(passed) {
                Some(_) if passed == id => {
                    let detail = "what a floor's tails give in its own room is part of the floor";
                    self.faults.push(Fault::new(at, "passes_through_itself", detail));
                }
                Some(index) => passes.push((index, pass.length_m)),
                None => {
                    let fault = Fault::new(at, "unknown_room", format!("there is no room {passed}"));
                    self.faults.push(fault.rests_on(format!("/rooms/{passed}")));
                }
            }
        }
        let passed_m: f64 = passes.iter().map(|(_, length_m)| length_m).sum();
        let tail_m = tail_m.unwrap_or_else(|| {
            let (least_m, how) = match self.plan_m(room, manifold) {
                Some(plan_m) => (plan_m, "by the plan, square to the walls"),
                None => (TAIL_M, "for want of a plan"),
            };
            let tail_m = least_m.max(passed_m);
            filled.push(format!("tails of {tail_m:.1} m, {how}"));
            tail_m
        });
        if passed_m > tail_m + 1e-9 {
            let detail = format!("the tails pass {passed_m} m of other rooms, and are {tail_m} m long");
            self.faults.push(Fault::new(format!("{at}/tail_m"), "tail_shorter_than_its_way", detail).limit(passed_m));
        }
        let loop_max_m = loop_max_m.unwrap_or_else(|| {
            filled.push(format!("loops of at most {LOOP_MAX_M} m"));
            LOOP_MAX_M
        });
        if 2.0 * tail_m >= loop_max_m {
            let detail = format!("two tails of {tail_m:.1} m leave nothing of a loop of {loop_max_m} m");
            self.faults.push(Fault::new(at, "tails_too_long", detail).limit(loop_max_m));
        }
        let most_kpa = loop_pressure_drop_max_kpa.unwrap_or_else(|| {
            filled.push(format!("loops of at most {LOOP_PRESSURE_KPA} kPa (EN 1264-3)"));
            LOOP_PRESSURE_KPA
        });
        Some(Laying { manifold, tail_m, passes, loop_max_m, loop_max_pa: 1000.0 * most_kpa })
    }

    /// The manifold for a floor that names none: on the nearest storey, with outlets left for it, the nearest; where none
    /// has enough left, the nearest all the same, and the plant tells.
    fn nearest_manifold(&mut self, at: &str, room: &Room, floor: &Emitter, filled: &mut Vec<String>) -> Option<usize> {
        let job = self.job;
        let manifolds = || job.pipework.iter().flat_map(|pipework| pipework.manifolds.iter());
        if self.loops_on.is_empty() {
            self.loops_on = manifolds().map(|(id, _)| named_loops(job, id)).collect();
        }
        let most = self.offer.manifolds.last().map_or(u32::MAX, |offered| offered.outlets);
        let loops = most_loops(room, floor);
        let far = |index: usize, manifold: &Manifold| {
            let stands = manifold.room.as_ref().and_then(|room| job.rooms.get(&**room));
            let storeys = stands.map_or(0, |stands| storey(stands).abs_diff(storey(room)));
            let full = self.loops_on[index] + loops > most;
            (full, storeys, between_m(room.position, position(manifold, stands)).unwrap_or(0.0))
        };
        let nearest = manifolds()
            .enumerate()
            .map(|(index, (id, manifold))| (index, id, far(index, manifold)))
            .min_by(|(.., a), (.., b)| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)));
        let Some((index, id, (full, ..))) = nearest else {
            let detail = "a heated floor hangs on a manifold, and the pipework has none";
            self.faults.push(Fault::new(at, "no_manifold", detail).rests_on("/pipework/manifolds"));
            return None;
        };
        self.loops_on[index] += loops;
        filled.push(format!("on manifold {id}, the nearest{}", if full { "" } else { " with outlets left" }));
        Some(index)
    }

    /// Way from a room's middle to a manifold, square to the walls (m); nothing where the plan does not tell.
    fn plan_m(&self, room: &Room, manifold: usize) -> Option<f64> {
        let (_, manifold) = self.job.pipework.as_ref()?.manifolds.get_index(manifold)?;
        let stands = manifold.room.as_ref().and_then(|id| self.job.rooms.get(&**id));
        let storeys = stands.map_or(0, |stands| storey(stands).abs_diff(storey(room)));
        Some(between_m(room.position, position(manifold, stands))? + STOREY_M * f64::from(storeys))
    }

    /// Rooms that manifolds are said to hang in must be there.
    pub(in crate::survey) fn check_manifold_rooms(&mut self) {
        let job = self.job;
        for (id, manifold) in job.pipework.iter().flat_map(|pipework| pipework.manifolds.iter()) {
            if let Some(room) = manifold.room.as_ref().filter(|room| !job.rooms.contains_key(&***room)) {
                let at = format!("/pipework/manifolds/{id}/room");
                let fault = Fault::new(at, "unknown_room", format!("there is no room {room}"));
                self.faults.push(fault.rests_on(format!("/rooms/{room}")));
            }
        }
    }
}

/// Loops of the floors that name a manifold, as many as they can come to.
fn named_loops(job: &Job, id: &str) -> u32 {
    let emitters = job.rooms.values().flat_map(|room| room.emitters.values().map(move |emitter| (room, emitter)));
    let on = emitters.filter(|(_, emitter)| match emitter {
        Emitter::HeatedFloor { manifold, .. } => manifold.as_ref().is_some_and(|named| **named == *id),
        Emitter::Radiator { .. } => false,
    });
    on.map(|(room, emitter)| most_loops(room, emitter)).sum()
}

/// As many loops as a floor can come to by their length: at its closest spacing.
fn most_loops(room: &Room, floor: &Emitter) -> u32 {
    let Emitter::HeatedFloor { spacings_mm, tail_m, loop_max_m, .. } = floor else { return 0 };
    let closest_m = spacings_mm.iter().map(|spacing| spacing.0 / 1000.0).fold(f64::INFINITY, f64::min);
    let closest_m = if closest_m.is_finite() { closest_m } else { SPACINGS_MM[0] / 1000.0 };
    let field_m = loop_max_m.unwrap_or(LOOP_MAX_M) - 2.0 * tail_m.unwrap_or(TAIL_M);
    let loops = floor_loops::divide(heated_floor_m2(room), closest_m, 0.0, field_m, 1, &mut Off);
    loops.map_or(1, |loops| loops.count)
}

fn storey(room: &Room) -> i32 {
    room.storey.unwrap_or(0)
}

fn position(manifold: &Manifold, stands: Option<&Room>) -> Option<Position> {
    manifold.position.or_else(|| stands.and_then(|room| room.position))
}

/// Way between two places, square to the walls (m).
fn between_m(a: Option<Position>, b: Option<Position>) -> Option<f64> {
    let (a, b) = (a?, b?);
    Some((a.x_m - b.x_m).abs() + (a.y_m - b.y_m).abs())
}
