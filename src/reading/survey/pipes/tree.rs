//! The two-pipe tree: runs become indices, and what each end serves is found.

use super::run::{self, Run};
use super::{End, Gathering, Pipework};
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode};
use crate::job::emitters::Emitter;
use crate::job::pipework::{Place, Run as Written, Served};
use crate::list::List;
use crate::survey::Climate;

impl Gathering<'_> {
    /// The runs of the job, each after the run that it leaves from. A run that never gets back to the plant is
    /// looked at all the same, so that its own faults are told beside that one.
    pub(super) fn runs(&mut self, written: &Pipework, climate: &Climate) -> List<Run> {
        let (order, stranded) = self.order(written);
        let mut runs: List<Run> = List::default();
        let mut served: Vec<(End, String)> = Vec::new();
        for id in order.into_iter().chain(stranded) {
            let Some(run) = written.runs.get(&id) else { continue };
            let from = runs.position(|known| known.id == *run.from);
            let at = format!("/pipework/runs/{id}");
            let laid = self.laid(&at, run.existing_tube.as_deref(), run.readings.as_ref(), run.keep);
            let serves = self.serves(&id, run, &mut served);
            let place = run.place.unwrap_or(Place::Occupied);
            let (open_m, surrounding_c, open_c) =
                self.surroundings(place, run.length_m, (None, run.surrounding_c), climate);
            let lagging = self.lagging(
                &at,
                run.insulation.as_ref(),
                written.insulation.as_ref(),
                (open_m, place, laid.is_none()),
            );
            runs.push(Run {
                id,
                at,
                from,
                length_m: run.length_m,
                bends: run.bends,
                losses: run::losses(&run.fittings),
                place,
                velocity_max_m_s: None,
                open_m,
                surrounding_c,
                open_c,
                lagging,
                joists: run::joists(run.crosses_joists.as_ref()),
                laid,
                serves,
            });
        }
        runs
    }

    /// Ids of the runs in an order in which each stands after the run that it leaves from; and those that never get
    /// back to the plant, because they hang on nothing or go in a circle, which is told.
    fn order(&mut self, written: &Pipework) -> (Vec<String>, Vec<String>) {
        let mut order: Vec<String> = Vec::with_capacity(written.runs.len());
        let mut waiting: Vec<String> = written.runs.keys().cloned().collect();
        if written.runs.contains_key(PLANT) {
            let fault =
                Fault::new(format!("/pipework/runs/{PLANT}"), FaultCode::ReservedId, "a run cannot be called plant");
            self.faults.push(fault);
        }
        let circuits =
            [("primary", written.primary.is_some()), ("hot_water_circuit", written.hot_water_circuit.is_some())];
        for (id, is_told) in circuits {
            if is_told && written.runs.contains_key(id) {
                let detail = format!(
                    "a run cannot be called {id} where the job tells that circuit: the answer could not tell them apart"
                );
                self.faults.push(Fault::new(format!("/pipework/runs/{id}"), FaultCode::ReservedId, detail));
            }
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
                let known = written.runs.keys().filter(|known| *known != id).map(String::as_str);
                let meant = did_you_mean(from, known.chain([PLANT]));
                let fault = Fault::new(at, FaultCode::UnknownRun, format!("there is no run {from}{meant}"));
                self.faults.push(fault.rests_on(format!("/pipework/runs/{from}")));
            } else if comes_back(written, id) {
                let detail = format!("run {id} never reaches the plant: by way of {from} it comes back to itself");
                self.faults.push(Fault::new(at, FaultCode::CircularRun, detail));
            }
            // a run behind one of these is not at fault itself
        }
        (order, waiting)
    }

    fn serves(&mut self, id: &str, run: &Written, served: &mut Vec<(End, String)>) -> Vec<End> {
        let mut ends = Vec::with_capacity(run.serves.len());
        for (index, end) in run.serves.iter().enumerate() {
            let at = format!("/pipework/runs/{id}/serves/{index}");
            let found = self.end(&at, end);
            let Some(end) = found else { continue };
            if let Some((_, other)) = served.iter().find(|(known, _)| *known == end) {
                let detail = format!("what is served here is served by run {other} already");
                self.faults.push(Fault::new(at, FaultCode::ServedTwice, detail));
                continue;
            }
            served.push((end, id.to_owned()));
            ends.push(end);
        }
        ends
    }

    /// The emitter or manifold that is named.
    pub(super) fn end(&mut self, at: &str, named: &Served) -> Option<End> {
        match (&named.room, &named.emitter, &named.manifold) {
            (_, _, Some(manifold)) => self.manifold(&format!("{at}/manifold"), manifold).map(End::Manifold),
            (Some(room), Some(emitter), None) => self.served_emitter(at, room, emitter),
            (Some(_) | None, _, None) => None,
        }
    }

    fn served_emitter(&mut self, at: &str, room: &str, emitter: &str) -> Option<End> {
        let found = self.emitter_of(at, room, emitter)?;
        match &self.job.rooms[room].emitters[emitter] {
            Emitter::HeatedFloor { .. } => {
                let detail =
                    format!("{emitter} of room {room} is underfloor heating: name its manifold, which feeds its loops");
                let fault = Fault::new(format!("{at}/emitter"), FaultCode::FloorWithoutManifold, detail);
                self.faults.push(fault.rests_on(format!("/rooms/{room}/emitters/{emitter}/kind")));
                None
            }
            Emitter::Radiator { .. } | Emitter::FanConvector { .. } => Some(End::Radiator(found)),
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
