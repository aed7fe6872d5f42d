//! How the loops of a heated floor are laid: its manifold, its tails and what holds a loop short.

use crate::intake::{Fault, FaultCode};
use crate::job::emitters::Emitter;
use crate::job::pipework::Manifold;
use crate::job::rooms::{Position, Room};
use crate::list::Index;
use crate::methods::{Off, floor_loops, routes};
use crate::notes::{Filled, Value};
use crate::survey;
use crate::survey::Gathering;
use crate::survey::assumed::FilledFloor;
use crate::survey::storeys::storey_of;

/// How the loops of a floor are laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Laying {
    /// Index of the manifold.
    pub manifold: Index<Manifold>,
    /// Length of a tail, one way (m).
    pub tail_m: f64,
    /// Rooms that the tails pass through on their way, with the length there (m).
    pub passes: Vec<(Index<survey::Room>, f64)>,
    /// Longest loop, tails included (m).
    pub loop_max_m: f64,
    /// Greatest pressure drop of a loop with its valves (Pa).
    pub loop_max_pa: f64,
    /// Bends of 90° in a loop.
    pub loop_bends: f64,
}

impl Gathering<'_> {
    pub(super) fn laying(
        &mut self,
        at: &str,
        id: &str,
        floor: &Emitter,
        filled: &mut Filled<FilledFloor>,
    ) -> Option<Laying> {
        let Emitter::HeatedFloor {
            manifold,
            tail_m,
            passes_through,
            loop_max_m,
            loop_pressure_drop_max_kpa,
            loop_bends,
            ..
        } = floor
        else {
            return None;
        };
        let (job, defaults) = (self.job, &self.catalogue.defaults);
        let room = job.rooms.get(id)?;
        let manifold = match manifold {
            Some(manifold) => self.manifold(&format!("{at}/manifold"), manifold),
            None => self.nearest_manifold(at, room, floor, filled),
        };
        let mut passes = Vec::with_capacity(passes_through.len());
        for (passed, pass) in passes_through {
            let at = format!("{at}/passes_through/{passed}");
            match self.room(passed) {
                Some(_) if passed == id => {
                    let detail = "what a floor's tails give in its own room is part of the floor";
                    self.faults.push(Fault::new(at, FaultCode::PassesThroughItself, detail));
                }
                Some(index) => passes.push((index, pass.length_m)),
                None => self.unknown_room(at, passed),
            }
        }
        let passed_m: f64 = passes.iter().map(|(_, length_m)| length_m).sum();
        let tail_m = match (*tail_m, manifold) {
            (Some(tail_m), _) => tail_m,
            (None, Some(manifold)) => {
                let (least_m, how) = match self.place(room, manifold).tail_m() {
                    Some(plan_m) => (plan_m, "by the plan, square to the walls"),
                    None => (defaults.floor_tail_m.value, "for want of a plan"),
                };
                let tail_m = least_m.max(passed_m);
                filled.figure("tail_m", tail_m, format!("tails of {tail_m:.1} m, {how}"));
                tail_m
            }
            // how far it is to a manifold that is not there is not known
            (None, None) => return None,
        };
        if passes.is_empty() {
            filled.words("what its tails give counts for its own room");
        } else {
            let apart_mm = defaults.lines_apart_mm.value;
            let words = format!(
                "what lines give to the rooms that they pass is reckoned by the slope of this floor with pipes {apart_mm} mm apart"
            );
            filled.figure("lines_apart_mm", apart_mm, words);
        }
        if passed_m > tail_m + 1e-9 {
            let detail = format!("the tails pass {passed_m} m of other rooms, and are {tail_m} m long");
            self.faults
                .push(Fault::new(format!("{at}/tail_m"), FaultCode::TailShorterThanItsWay, detail).limit(passed_m));
        }
        let mut loop_max_m = loop_max_m.unwrap_or_else(|| {
            let longest_m = defaults.floor_loop_max_m.value;
            filled.figure("loop_max_m", longest_m, format!("loops of at most {longest_m} m"));
            longest_m
        });
        if let Some(coil_m) = self.longest_coil_m(floor).filter(|coil_m| *coil_m < loop_max_m) {
            let words = format!("loops of at most {coil_m} m, the longest coil of their pipe: none is joined");
            filled.figure("loop_max_m", coil_m, words);
            loop_max_m = coil_m;
        }
        if 2.0 * tail_m >= loop_max_m {
            let detail = format!("two tails of {tail_m:.1} m leave nothing of a loop of {loop_max_m} m");
            self.faults.push(Fault::new(at, FaultCode::TailsTooLong, detail).limit(loop_max_m));
        }
        let most_kpa = loop_pressure_drop_max_kpa.unwrap_or_else(|| {
            let most = &defaults.floor_loop_pressure_drop_max_kpa;
            let words = format!("loops of at most {} kPa ({})", most.value, most.told());
            filled.figure("loop_pressure_drop_max_kpa", most.value, words);
            most.provenance.tell(filled);
            most.value
        });
        if loop_bends.is_none() {
            filled.words("bends of its loops not counted");
        }
        let (loop_max_pa, loop_bends) = (1000.0 * most_kpa, f64::from(loop_bends.unwrap_or(0)));
        Some(Laying { manifold: manifold?, tail_m, passes, loop_max_m, loop_max_pa, loop_bends })
    }

    /// The manifold for a floor that names none: one with outlets left before any other, then one on the nearest storey,
    /// then the nearest on the plan; one whose place is not known comes after those. Where none has outlets left, the plant
    /// tells.
    fn nearest_manifold(
        &mut self,
        at: &str,
        room: &Room,
        floor: &Emitter,
        filled: &mut Filled<FilledFloor>,
    ) -> Option<Index<Manifold>> {
        let job = self.job;
        let count = job.pipework.as_ref().map_or(0, |pipework| pipework.manifolds.len());
        if self.loops_on.is_empty() {
            self.loops_on = (0..count).map(|number| self.named_loops(Index::new(number))).collect();
        }
        let most = self.offer.manifolds.last().map_or(u32::MAX, |offered| offered.outlets);
        let far = |manifold: Index<Manifold>| {
            let loops = self.most_loops(room, floor, manifold);
            let place = self.place(room, manifold);
            (self.loops_on[manifold] + loops > most, place.storeys, place.plan_m.unwrap_or(f64::INFINITY))
        };
        let nearest = self
            .loops_on
            .indices()
            .map(|manifold| (manifold, far(manifold)))
            .min_by(|(_, a), (_, b)| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)));
        let Some((manifold, (full, _, plan_m))) = nearest else {
            let detail = "underfloor heating hangs on a manifold, and the pipework has none";
            self.faults.push(Fault::new(at, FaultCode::NoManifold, detail).rests_on("/pipework/manifolds"));
            return None;
        };
        self.loops_on[manifold] += self.most_loops(room, floor, manifold);
        let id = job
            .pipework
            .as_ref()
            .and_then(|pipework| pipework.manifolds.get_index(manifold.number()))
            .map(|(id, _)| id);
        let why = match (count, plan_m.is_finite()) {
            (1, _) => "the only one",
            (_, true) => "the nearest",
            (_, false) => "the first, as no place is known",
        };
        let left = if full || count == 1 { "" } else { " with outlets left" };
        let id = id.map_or("", String::as_str);
        filled.value("manifold", Value::Word(id.to_owned().into()), format!("on manifold {id}, {why}{left}"));
        Some(manifold)
    }

    /// Loops of the floors that name a manifold, as many as they can come to.
    fn named_loops(&self, manifold: Index<Manifold>) -> u32 {
        let job = self.job;
        let id = job
            .pipework
            .as_ref()
            .and_then(|pipework| pipework.manifolds.get_index(manifold.number()))
            .map(|(id, _)| id);
        let emitters = job.rooms.values().flat_map(|room| room.emitters.values().map(move |emitter| (room, emitter)));
        let on = emitters.filter(|(_, emitter)| match emitter {
            Emitter::HeatedFloor { manifold, .. } => manifold.as_ref().map(|named| &named.0) == id,
            Emitter::Radiator { .. } | Emitter::FanConvector { .. } => false,
        });
        on.map(|(room, emitter)| self.most_loops(room, emitter, manifold)).sum()
    }

    /// The longest coil that a floor's tube is on sale in (m).
    fn longest_coil_m(&self, floor: &Emitter) -> Option<f64> {
        let Emitter::HeatedFloor { tube, .. } = floor else { return None };
        let (product, named) = self.book.find(tube)?;
        let coils = self.book.coils_of(product).into_iter().filter_map(|coil| named.coil_m(self.book.product(coil).1));
        coils.reduce(f64::max)
    }

    /// As many loops as a floor can come to by their length: at its closest spacing, its edge zone by itself.
    fn most_loops(&self, room: &Room, floor: &Emitter, manifold: Index<Manifold>) -> u32 {
        let Emitter::HeatedFloor { spacings_mm, tail_m, loop_max_m, edge_area_m2, edge_spacing_mm, .. } = floor else {
            return 0;
        };
        let closest_mm = spacings_mm.iter().map(|spacing| spacing.0).fold(f64::INFINITY, f64::min);
        let defaults = &self.catalogue.defaults;
        let closest_mm = if closest_mm.is_finite() { closest_mm } else { defaults.floor_spacing_least_mm.value };
        let tail_m = tail_m.or_else(|| self.place(room, manifold).tail_m()).unwrap_or(defaults.floor_tail_m.value);
        let most_m = loop_max_m.unwrap_or(defaults.floor_loop_max_m.value);
        let most_m = most_m.min(self.longest_coil_m(floor).unwrap_or(f64::INFINITY));
        let edge_m2 = edge_area_m2.unwrap_or(0.0);
        let edge_mm = edge_spacing_mm.as_ref().map_or(closest_mm, |spacing| spacing.0);
        let zones = [(self.heated_floor_m2(room) - edge_m2, closest_mm), (edge_m2, edge_mm)];
        let loops = |(area_m2, spacing_mm): (f64, f64)| {
            let found = floor_loops::divide(area_m2, spacing_mm / 1000.0, tail_m, most_m, 1, &mut Off);
            found.map_or(0, |loops| loops.count)
        };
        zones.into_iter().map(loops).sum()
    }

    /// Where a manifold stands, seen from the middle of a room.
    fn place(&self, room: &Room, manifold: Index<Manifold>) -> Place {
        let manifold = self.job.pipework.as_ref().and_then(|pipework| pipework.manifolds.get_index(manifold.number()));
        let Some((_, manifold)) = manifold else { return Place { storeys: 0, rise_m: 0.0, plan_m: None } };
        let stands = manifold.room.as_ref().and_then(|id| self.job.rooms.get(&**id));
        let at = stands.map_or(storey_of(room), storey_of);
        Place {
            storeys: at.abs_diff(storey_of(room)),
            rise_m: self.storeys.rise_m(at, storey_of(room)),
            plan_m: between_m(room.position, hangs_at(manifold, stands)),
        }
    }

    /// Rooms that manifolds are said to hang in must be there.
    pub(in crate::survey) fn check_manifold_rooms(&mut self) {
        let job = self.job;
        for (id, manifold) in job.pipework.iter().flat_map(|pipework| pipework.manifolds.iter()) {
            if let Some(room) = manifold.room.as_ref().filter(|room| !job.rooms.contains_key(&***room)) {
                self.unknown_room(format!("/pipework/manifolds/{id}/room"), room);
            }
        }
    }
}

/// Where a manifold stands.
struct Place {
    /// Storeys between.
    storeys: u32,
    /// Their heights (m).
    rise_m: f64,
    /// Way on the plan, square to the walls (m); nothing where the plan does not tell.
    plan_m: Option<f64>,
}

impl Place {
    /// Length of a tail (m).
    fn tail_m(&self) -> Option<f64> {
        self.plan_m.map(|plan_m| routes::length(plan_m, self.rise_m, &mut Off))
    }
}

/// Where a manifold hangs on the plan: where the job says, or in the middle of its room.
pub(in crate::survey) fn hangs_at(manifold: &Manifold, stands: Option<&Room>) -> Option<Position> {
    manifold.position.or_else(|| stands.and_then(|room| room.position))
}

/// Way between two places, square to the walls (m).
fn between_m(a: Option<Position>, b: Option<Position>) -> Option<f64> {
    let (a, b) = (a?, b?);
    Some((a.x_m - b.x_m).abs() + (a.y_m - b.y_m).abs())
}
