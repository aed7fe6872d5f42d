//! The two-pipe tree: runs become indices, and what each end serves is found.

use super::Gathering;
use super::emitters::EmitterKind;
use crate::intake::Fault;
use crate::job::pipework::{Fittings, Pipework, Place, Run as Written, Sizing};
use crate::methods::math::sqrt;

/// Defaults of the pipework.
const GRADIENT_PA_M: f64 = 300.0;
const VELOCITY_M_S: f64 = 1.0;
const BEND_ZETA: f64 = 1.0;
const TEE_ZETA: f64 = 1.5;
const RADIATOR_KV_M3_H: f64 = 0.5;
const LOOP_KV_M3_H: f64 = 1.1;
const PLANT_KV_M3_H: f64 = 4.0;
/// Bends of a run that is estimated.
const ESTIMATED_BENDS: u32 = 4;
/// Height of a storey for runs that are estimated (m).
pub(super) const STOREY_M: f64 = 2.7;

/// Runs and what they are sized by.
#[derive(Debug, Clone, PartialEq)]
pub struct Pipes {
    /// Greatest pressure gradient (Pa/m).
    pub gradient_max_pa_m: f64,
    /// Greatest velocity in occupied places (m/s).
    pub velocity_max_m_s: f64,
    /// Loss coefficient of a bend.
    pub bend_zeta: f64,
    /// Loss coefficient of a tee.
    pub tee_zeta: f64,
    /// Flow coefficient of a radiator or fan convector with its valves (m³/h).
    pub radiator_kv_m3_h: f64,
    /// Flow coefficient of the plant room (m³/h).
    pub plant_kv_m3_h: f64,
    /// Indices into the offered tubes that may be used.
    pub tubes: Vec<usize>,
    /// Flow coefficient of one loop's valves, for each manifold (m³/h).
    pub manifold_loop_kv_m3_h: Vec<f64>,
    /// The runs; each stands after the run that it leaves from.
    pub runs: Vec<Run>,
}

/// One run.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Id of the run.
    pub id: String,
    /// Index of the run that it leaves from; nothing at the plant.
    pub from: Option<usize>,
    /// Length of the route, one way (m).
    pub length_m: f64,
    /// Bends, one way.
    pub bends: u32,
    /// Where it lies.
    pub place: Place,
    /// Index into the offered tubes of the tube that lies there already.
    pub existing_tube: Option<usize>,
    /// What it serves.
    pub serves: Vec<End>,
}

/// What a run serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    /// A radiator or fan convector: index of the room, and of the emitter within it.
    Radiator(usize, usize),
    /// A manifold, by index.
    Manifold(usize),
}

impl Gathering<'_> {
    pub(super) fn pipes(&mut self, rooms: &[super::Room]) -> Pipes {
        let default = Pipework::default();
        let job = self.job;
        let written = job.pipework.as_ref().unwrap_or(&default);
        let mut filled = Vec::new();
        let (gradient_max_pa_m, velocity_max_m_s) = match written.sizing {
            Some(Sizing::Gradient { gradient_max_pa_m, velocity_max_m_s }) => (gradient_max_pa_m, velocity_max_m_s),
            None => {
                filled.push(format!("tubes within {GRADIENT_PA_M} Pa/m and {VELOCITY_M_S} m/s"));
                (GRADIENT_PA_M, VELOCITY_M_S)
            }
        };
        let (bend_zeta, tee_zeta) = match written.fittings {
            Some(Fittings::Zeta { bend_zeta, tee_zeta }) => (bend_zeta, tee_zeta),
            None => {
                filled.push(format!("a zeta of {BEND_ZETA} for a bend and {TEE_ZETA} for a tee"));
                (BEND_ZETA, TEE_ZETA)
            }
        };
        let mut or = |given: Option<f64>, default: f64, what: &str| {
            given.unwrap_or_else(|| {
                filled.push(format!("a Kv of {default} m³/h for {what}"));
                default
            })
        };
        let radiator_kv_m3_h = or(written.radiator_kv_m3_h, RADIATOR_KV_M3_H, "a radiator with its valves");
        let plant_kv_m3_h = or(written.plant_kv_m3_h, PLANT_KV_M3_H, "the plant room");
        let manifold_loop_kv_m3_h = written
            .manifolds
            .values()
            .map(|manifold| or(manifold.loop_kv_m3_h, LOOP_KV_M3_H, "the valves of a loop"))
            .collect();
        if !filled.is_empty() {
            filled.dedup();
            self.notes.assume("pipework", "/pipework", filled.join("; "));
        }
        let tubes = self.tubes(&written.tubes.iter().map(|tube| &**tube).collect::<Vec<_>>());
        let mut runs = self.runs(written, rooms);
        self.serve_the_rest(&mut runs, rooms, written);
        Pipes {
            gradient_max_pa_m,
            velocity_max_m_s,
            bend_zeta,
            tee_zeta,
            radiator_kv_m3_h,
            plant_kv_m3_h,
            tubes,
            manifold_loop_kv_m3_h,
            runs,
        }
    }

    /// The tubes that may be used, by bore.
    fn tubes(&mut self, codes: &[&str]) -> Vec<usize> {
        if codes.is_empty() {
            return (0..self.offer.tubes.len()).collect();
        }
        let mut tubes = Vec::with_capacity(codes.len());
        for (index, code) in codes.iter().enumerate() {
            match self.tube(code) {
                Some(tube) => tubes.push(tube),
                None => self.unknown_product(&format!("/pipework/tubes/{index}"), code, "tube"),
            }
        }
        tubes.sort_unstable();
        tubes.dedup();
        tubes
    }

    fn tube(&self, code: &str) -> Option<usize> {
        self.offer.tubes.iter().position(|tube| self.is_product(tube.product, code))
    }

    /// The runs of the job, each after the run that it leaves from. A run that never gets back to the plant is
    /// looked at all the same, so that its own faults are told beside that one.
    fn runs(&mut self, written: &Pipework, rooms: &[super::Room]) -> Vec<Run> {
        let (order, stranded) = self.order(written);
        let mut runs: Vec<Run> = Vec::with_capacity(order.len());
        let mut served: Vec<(End, String)> = Vec::new();
        for id in order.into_iter().chain(stranded) {
            let Some(run) = written.runs.get(&id) else { continue };
            let from = runs.iter().position(|known| known.id == *run.from);
            let existing_tube = run.existing_tube.as_ref().and_then(|code| {
                let tube = self.tube(code);
                if tube.is_none() {
                    self.unknown_product(&format!("/pipework/runs/{id}/existing_tube"), code, "tube");
                }
                tube
            });
            let serves = self.serves(&id, run, rooms, &mut served);
            let (length_m, bends) = (run.length_m, run.bends);
            let place = run.place.unwrap_or(Place::Occupied);
            runs.push(Run { id, from, length_m, bends, place, existing_tube, serves });
        }
        runs
    }

    /// Ids of the runs in an order in which each stands after the run that it leaves from; and those that never get
    /// back to the plant, because they hang on nothing or go in a circle, which is told.
    fn order(&mut self, written: &Pipework) -> (Vec<String>, Vec<String>) {
        let mut order: Vec<String> = Vec::with_capacity(written.runs.len());
        let mut waiting: Vec<String> = written.runs.keys().cloned().collect();
        if written.runs.contains_key(PLANT) {
            let fault = Fault::new(format!("/pipework/runs/{PLANT}"), "reserved_id", "a run cannot be called plant");
            self.faults.push(fault);
        }
        loop {
            let before = waiting.len();
            waiting.retain(|id| {
                let from = &*written.runs[id].from;
                let hangs = from == PLANT || order.iter().any(|placed| placed == from);
                if hangs {
                    order.push(id.clone());
                }
                !hangs
            });
            if waiting.is_empty() || waiting.len() == before {
                break;
            }
        }
        for id in &waiting {
            let from = &*written.runs[id].from;
            let at = format!("/pipework/runs/{id}/from");
            if !written.runs.contains_key(from) {
                let fault = Fault::new(at, "unknown_run", format!("there is no run {from}"));
                self.faults.push(fault.rests_on(format!("/pipework/runs/{from}")));
            } else if comes_back(written, id) {
                let detail = format!("run {id} never reaches the plant: by way of {from} it comes back to itself");
                let fault = Fault::new(at, "circular_run", detail);
                self.faults.push(fault.rests_on(format!("/pipework/runs/{from}")));
            }
            // a run behind one of these is not at fault itself
        }
        (order, waiting)
    }

    fn serves(&mut self, id: &str, run: &Written, rooms: &[super::Room], served: &mut Vec<(End, String)>) -> Vec<End> {
        let mut ends = Vec::with_capacity(run.serves.len());
        for (index, end) in run.serves.iter().enumerate() {
            let at = format!("/pipework/runs/{id}/serves/{index}");
            let found = match (&end.room, &end.emitter, &end.manifold) {
                (_, _, Some(manifold)) => self.manifold(&format!("{at}/manifold"), manifold).map(End::Manifold),
                (Some(room), Some(emitter), None) => self.served_emitter(&at, room, emitter, rooms),
                (Some(_) | None, _, None) => None,
            };
            let Some(end) = found else { continue };
            if let Some((_, other)) = served.iter().find(|(known, _)| *known == end) {
                let detail = format!("what is served here is served by run {other} already");
                self.faults.push(Fault::new(at, "served_twice", detail).rests_on(format!("/pipework/runs/{other}")));
                continue;
            }
            served.push((end, id.to_owned()));
            ends.push(end);
        }
        ends
    }

    fn served_emitter(&mut self, at: &str, room: &str, emitter: &str, rooms: &[super::Room]) -> Option<End> {
        let Some(room_index) = self.job.rooms.get_index_of(room) else {
            let fault = Fault::new(format!("{at}/room"), "unknown_room", format!("there is no room {room}"));
            self.faults.push(fault.rests_on(format!("/rooms/{room}")));
            return None;
        };
        let Some(index) = self.job.rooms[room_index].emitters.get_index_of(emitter) else {
            let detail = format!("room {room} has no emitter {emitter}");
            let fault = Fault::new(format!("{at}/emitter"), "unknown_emitter", detail);
            self.faults.push(fault.rests_on(format!("/rooms/{room}/emitters/{emitter}")));
            return None;
        };
        match rooms.get(room_index).and_then(|room| room.emitters.get(index)).map(|emitter| &emitter.kind) {
            Some(EmitterKind::HeatedFloor(_)) => {
                let detail = format!("the heated floor {emitter} of room {room} is served by its manifold");
                self.faults.push(Fault::new(format!("{at}/emitter"), "floor_without_manifold", detail));
                None
            }
            Some(EmitterKind::Radiator { .. } | EmitterKind::FanConvector(_)) => Some(End::Radiator(room_index, index)),
            None => None,
        }
    }

    /// Gives what no run serves a run of its own from the plant, as an assumption.
    fn serve_the_rest(&mut self, runs: &mut Vec<Run>, rooms: &[super::Room], written: &Pipework) {
        if !self.faults.is_empty() {
            return;
        }
        let radiators = rooms.iter().enumerate().flat_map(|(room_index, room)| {
            let emitters = room.emitters.iter().enumerate();
            let radiators = emitters.filter(|(_, emitter)| emitter.floor().is_none());
            radiators.map(move |(index, _)| End::Radiator(room_index, index))
        });
        let manifolds = (0..written.manifolds.len()).map(End::Manifold);
        let unserved: Vec<End> =
            manifolds.chain(radiators).filter(|end| !runs.iter().any(|run| run.serves.contains(end))).collect();
        let across_m = sqrt(self.job.rooms.values().map(|room| room.floor_area_m2).sum::<f64>());
        for end in unserved {
            let (name, storey) = match end {
                End::Manifold(index) => (written.manifolds.keys().nth(index).cloned().unwrap_or_default(), 0),
                End::Radiator(room, emitter) => {
                    let (id, room) =
                        self.job.rooms.get_index(room).map_or(("", None), |(id, room)| (id.as_str(), Some(room)));
                    let emitter = room.and_then(|room| room.emitters.keys().nth(emitter)).map_or("", String::as_str);
                    (format!("{id}-{emitter}"), room.and_then(|room| room.storey).unwrap_or(0))
                }
            };
            let length_m = across_m + STOREY_M * f64::from(storey.abs());
            let detail = format!(
                "no run serves {name}: one of {length_m:.1} m with {ESTIMATED_BENDS} bends is taken from the plant, by the floor area"
            );
            self.notes.assume("run", "/pipework/runs", detail);
            let id = format!("estimated-{name}");
            let (bends, place) = (ESTIMATED_BENDS, Place::Occupied);
            runs.push(Run { id, from: None, length_m, bends, place, existing_tube: None, serves: vec![end] });
        }
    }
}

/// What the root of the tree is called.
const PLANT: &str = "plant";

/// Whether the way from a run towards the plant comes back to the run itself.
fn comes_back(written: &Pipework, start: &str) -> bool {
    let mut at = start;
    for _ in 0..written.runs.len() {
        match written.runs.get(at) {
            Some(run) => at = &run.from,
            None => return false,
        }
        if at == start {
            return true;
        }
    }
    false
}
