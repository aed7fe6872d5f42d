//! What would lower the lowest flow temperature next: one change at a time to the emitter that holds it.

use serde::Serialize;
use utoipa::ToSchema;

use super::ProposalError;
use crate::design::emitters::{self, Lowest, Tells};
use crate::design::heat_loss::HeatLoss;
use crate::estimate::emitter_cost;
use crate::job::emitters::Keep;
use crate::methods::Off;
use crate::money::Money;
use crate::survey::{EmitterKind, Survey};

/// By how much pipes are laid closer (m).
const CLOSER_M: f64 = 0.05;
/// Closest spacing that is proposed (m).
const CLOSEST_M: f64 = 0.05;
/// Resistance of the covering that is proposed (m²K/W): 13 mm of tile.
const TILE_M2K_W: f64 = 0.01;
/// Share of a room's loss that is moved to another emitter in it (0–1).
const MOVED: f64 = 0.1;

/// A change, and what it brings.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct NextChange {
    /// `larger_radiator`, `larger_fan_convector`, `replaced_radiator`, `closer_spacing`, `thinner_covering` or `share_moved`.
    pub change: &'static str,
    /// Id of the room.
    pub room: String,
    /// Id of the emitter.
    pub emitter: String,
    /// The change in words.
    pub detail: String,
    /// Lowest flow temperature with it (°C).
    pub flow_temperature_c: f64,
    /// How much lower that is (K).
    pub gain_k: f64,
    /// What the emitters of the house cost more then, each at its own lowest flow: to the firm, before mark-up and tax;
    /// without labour, and without the covering.
    pub cost: Money,
}

/// The changes to the emitter that holds a lowest flow temperature, the greatest gain first; those that gain nothing are
/// left out.
pub(super) fn next_changes(
    survey: &Survey,
    loss: &HeatLoss,
    lowest: &Lowest,
    bounds: (f64, f64),
) -> Result<Vec<NextChange>, ProposalError> {
    let Some((room, which)) = lowest.held_by.and_then(|unmet| unmet.place.emitter()) else { return Ok(Vec::new()) };
    let cost_at = |survey: &Survey, flow_c: f64| -> Result<Money, ProposalError> {
        let found = emitters::at(survey, loss, flow_c, Tells::Duty, &mut Off)?;
        Ok(emitter_cost(survey, &found)?)
    };
    let before = cost_at(survey, lowest.flow_c)?;
    let mut changes = Vec::new();
    for (change, detail, changed) in trials(survey, room, which) {
        let then = emitters::lowest(&changed, loss, bounds)?;
        let gain_k = lowest.flow_c - then.flow_c;
        if (then.carries && !lowest.carries) || gain_k > 1e-9 {
            changes.push(NextChange {
                change,
                room: survey.names.rooms[room].clone(),
                emitter: survey.names.emitters[room][which].clone(),
                detail,
                flow_temperature_c: then.flow_c,
                gain_k: gain_k.max(0.0),
                cost: cost_at(&changed, then.flow_c)? - before,
            });
        }
    }
    changes.sort_by(|a, b| b.gain_k.total_cmp(&a.gain_k));
    Ok(changes)
}

/// The survey with each change that the emitter can take.
fn trials(survey: &Survey, room: usize, which: usize) -> Vec<(&'static str, String, Survey)> {
    let mut trials = Vec::new();
    let name = survey.names.rooms[room].as_str();
    let with = |change: &dyn Fn(&mut EmitterKind)| {
        let mut changed = survey.clone();
        change(&mut changed.rooms[room].emitters[which].kind);
        changed
    };
    match &survey.rooms[room].emitters[which].kind {
        EmitterKind::Radiator { hanging, existing } => {
            if existing.is_some_and(|existing| existing.keep == Keep::Always) {
                let replaced = with(&|kind| {
                    if let EmitterKind::Radiator { existing: Some(existing), .. } = kind {
                        existing.keep = Keep::IfEnough;
                    }
                });
                trials.push(("replaced_radiator", format!("replace the radiator that stays in room {name}"), replaced));
            }
            if hanging.fit_mm.iter().any(|limit_mm| limit_mm.is_finite()) {
                let larger = with(&|kind| {
                    if let EmitterKind::Radiator { hanging, .. } = kind {
                        hanging.fit_mm = [f64::INFINITY; 3];
                    }
                });
                let detail = format!("find room for a radiator of any size on offer in room {name}");
                trials.push(("larger_radiator", detail, larger));
            }
        }
        EmitterKind::FanConvector(blowing) => {
            if blowing.fit_mm.iter().any(|limit_mm| limit_mm.is_finite()) {
                let larger = with(&|kind| {
                    if let EmitterKind::FanConvector(blowing) = kind {
                        blowing.fit_mm = [f64::INFINITY; 3];
                    }
                });
                let detail = format!("find room for a fan convector of any size on offer in room {name}");
                trials.push(("larger_fan_convector", detail, larger));
            }
        }
        EmitterKind::HeatedFloor(floor) => {
            let closest_m = floor.spacings_m.last().copied().unwrap_or(CLOSEST_M);
            if closest_m - CLOSER_M >= CLOSEST_M - 1e-9 {
                let closer_m = closest_m - CLOSER_M;
                let closer = with(&|kind| {
                    if let EmitterKind::HeatedFloor(floor) = kind {
                        floor.spacings_m.push(closer_m);
                    }
                });
                let detail = format!("lay the pipes of room {name} {:.0} mm apart", 1000.0 * closer_m);
                trials.push(("closer_spacing", detail, closer));
            }
            if floor.covering_m2k_w > TILE_M2K_W + 1e-9 {
                let thinner = with(&|kind| {
                    if let EmitterKind::HeatedFloor(floor) = kind {
                        floor.covering_m2k_w = TILE_M2K_W;
                    }
                });
                let now = floor.covering_m2k_w;
                let detail =
                    format!("cover the floor of room {name} with {TILE_M2K_W} m²K/W, as tile has, not {now:.3}");
                trials.push(("thinner_covering", detail, thinner));
            }
        }
    }
    let shares: Vec<f64> = survey.rooms[room].emitters.iter().map(|emitter| emitter.share).collect();
    let other = (0..shares.len()).filter(|other| *other != which).max_by(|a, b| shares[*a].total_cmp(&shares[*b]));
    if let Some(other) = other.filter(|_| shares[which] > MOVED) {
        let mut moved = survey.clone();
        moved.rooms[room].emitters[which].share -= MOVED;
        moved.rooms[room].emitters[other].share += MOVED;
        let to = &survey.names.emitters[room][other];
        let detail = format!("let {to} carry {:.0} % more of the loss of room {name}", 100.0 * MOVED);
        trials.push(("share_moved", detail, moved));
    }
    trials
}
