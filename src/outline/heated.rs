//! How the house is heated: how many radiators each room needs on its walls, how warm the flow and how wide the drop, each found by
//! the stages themselves.
//!
//! The flow is the coolest at which radiators on the walls carry every room, with as many to a room as is usual for its area. Only
//! where the hottest does not suffice, or where a heat source would suffice at a cooler one, a room gets as many as its walls hold.
//! The drop is the narrowest that pumps and old tubes bear.

use super::radiators::{Spot, id};
use crate::catalogue::{Catalogue, Defaults};
use crate::design::findings::UnmetRow;
use crate::intake::{Fault, FaultCode};
use crate::job::Job;
use crate::notes::Notes;
use crate::proposal::{self, Limits, Prepared, ProposalError};
use crate::survey::resolve;

/// How a house is heated.
#[derive(Debug, Clone, PartialEq)]
pub struct Heated {
    /// Flow temperature in design conditions (°C).
    pub flow_c: f64,
    /// Nominal drop (K).
    pub drop_k: f64,
    /// How many radiators hang in each room of the plan.
    pub radiators: Vec<usize>,
    /// What the design then leaves unmet.
    pub unmet: Vec<UnmetRow>,
}

/// Rooms with their places, and the job that comes of so many radiators and such water.
pub struct Search<'s> {
    /// The catalogue.
    pub catalogue: &'s Catalogue,
    /// What each house that is tried may take.
    pub limits: &'s Limits,
    /// Id and floor area (m²) of each room, and its places.
    pub rooms: &'s [(String, f64, Vec<Spot>)],
    /// Makes the job.
    pub job: &'s dyn Fn(&Heated) -> Job,
}

/// How many radiators a room may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Most {
    /// As many as is usual for its area.
    Usual,
    /// As many as its walls hold.
    Walls,
}

impl Search<'_> {
    /// How the house is heated best.
    ///
    /// # Errors
    /// The job cannot be computed.
    pub fn found(&self) -> Result<Heated, Fault> {
        let defaults = &self.catalogue.defaults;
        let mut drop_k = defaults.flow_drop_k.value;
        let mut best = self.with_drop(drop_k)?;
        while best.unmet.iter().any(hangs_on_flow) {
            drop_k += defaults.outline_drop_step_k.value;
            if drop_k > defaults.outline_drop_most_k.value {
                break;
            }
            let next = self.with_drop(drop_k)?;
            if next.unmet.len() < best.unmet.len() {
                best = next;
            }
        }
        Ok(best)
    }

    fn with_drop(&self, drop_k: f64) -> Result<Heated, Fault> {
        let mut last = None;
        for flow_c in flows(&self.catalogue.defaults) {
            let (heated, carries) = self.carried(flow_c, drop_k, Most::Usual)?;
            last = Some(heated);
            if carries {
                break;
            }
        }
        let Some(heated) = last else { return Err(uncomputed("no flow temperature is tried")) };
        let mut heated = self.judged(heated)?;
        if heated.unmet.iter().any(of_emitters) {
            heated = self.judged(self.carried(heated.flow_c, drop_k, Most::Walls)?.0)?;
        }
        if !heated.unmet.iter().any(|row| row.code == "no_heat_source") {
            return Ok(heated);
        }
        // a heat source gives more into cooler water
        for flow_c in flows(&self.catalogue.defaults).filter(|flow_c| *flow_c < heated.flow_c) {
            let (cooler, carries) = self.carried(flow_c, drop_k, Most::Walls)?;
            if carries {
                let cooler = self.judged(cooler)?;
                if cooler.unmet.is_empty() {
                    return Ok(cooler);
                }
            }
        }
        Ok(heated)
    }

    /// Hangs radiators until they carry every room, or no room that lacks heat may have more; and whether they do.
    fn carried(&self, flow_c: f64, drop_k: f64, most: Most) -> Result<(Heated, bool), Fault> {
        let radiators = vec![1; self.rooms.len()];
        let mut heated = Heated { flow_c, drop_k, radiators, unmet: Vec::new() };
        loop {
            let report = proposal::emitters(&self.prepared(&heated)?, false).map_err(refused)?;
            let unmet = report.emitters.unmet;
            let mut is_more = false;
            for ((id, area_m2, spots), count) in self.rooms.iter().zip(&mut heated.radiators) {
                let room = format!("/rooms/{id}/");
                let lacks = unmet.iter().any(|row| row.pointer.starts_with(&room));
                if lacks && *count < self.limit(*area_m2, spots, most) {
                    *count += 1;
                    is_more = true;
                }
            }
            if !is_more {
                return Ok((heated, unmet.is_empty()));
            }
        }
    }

    /// How many radiators a room may have.
    fn limit(&self, area_m2: f64, spots: &[Spot], most: Most) -> usize {
        let each_m2 = self.catalogue.defaults.outline_radiator_for_m2.value;
        match most {
            // one, and another for every so many square metres
            Most::Usual => {
                let besides = std::iter::successors(Some(each_m2), |so_far_m2| Some(so_far_m2 + each_m2));
                (1 + besides.take(spots.len()).take_while(|so_far_m2| *so_far_m2 <= area_m2).count()).min(spots.len())
            }
            Most::Walls => spots.len(),
        }
    }

    /// The same with what it leaves unmet.
    fn judged(&self, heated: Heated) -> Result<Heated, Fault> {
        let unmet = proposal::design_unmet(&self.prepared(&heated)?).map_err(refused)?;
        Ok(Heated { unmet, ..heated })
    }

    fn prepared(&self, heated: &Heated) -> Result<Prepared, Fault> {
        let job = (self.job)(heated);
        let mut notes = Notes::default();
        let survey = resolve(&job, self.catalogue, &mut notes).map_err(first)?;
        Ok(Prepared { job, survey, notes, limits: self.limits.clone() })
    }
}

/// Flow temperatures that are tried, the coolest first (°C).
fn flows(defaults: &Defaults) -> impl Iterator<Item = f64> + use<> {
    let (from_c, to_c, step_k) =
        (defaults.flow_temperature_c.value, defaults.lowest_flow_to_c.value, defaults.outline_flow_step_k.value);
    std::iter::successors(Some(from_c), move |flow_c| Some(flow_c + step_k)).take_while(move |flow_c| *flow_c <= to_c)
}

/// Whether a need is one of a room.
fn of_emitters(row: &UnmetRow) -> bool {
    row.pointer.starts_with("/rooms/")
}

/// Whether a need may hang on how much water flows: what no heat source and no cylinder meets does not, nor what a room lacks.
fn hangs_on_flow(row: &UnmetRow) -> bool {
    !of_emitters(row) && row.code != "no_heat_source" && row.code != "no_cylinder"
}

fn refused(error: ProposalError) -> Fault {
    match error.into_faults() {
        Ok(faults) => first(faults),
        Err(late) => uncomputed(&late.to_string()),
    }
}

/// What the job of an outline is refused for is no fault of a fact: it is told of the facts as a whole.
fn first(faults: Vec<Fault>) -> Fault {
    uncomputed(
        &faults.into_iter().next().map_or_else(String::new, |fault| format!("{}: {}", fault.pointer, fault.detail)),
    )
}

fn uncomputed(why: &str) -> Fault {
    Fault::new("", FaultCode::NotComputable, format!("the job of these facts cannot be computed: {why}"))
}

/// Pointer to a radiator of a room.
#[must_use]
pub fn place(room: &str, number: usize) -> String {
    format!("/rooms/{room}/emitters/{}", id(number))
}
