//! At which spacing a floor is laid.

use super::Look;
use super::characteristic::{Beyond, Characteristic};
use super::loops::lines;
use super::performance::{Bare, Laid, Performance, Run};
use super::zone::{Plan, is_beyond};
use crate::methods::{MethodError, Off};

/// The zones of a floor at the widest spacing that carries its load, or at the one that gives most.
pub(super) struct Best {
    pub plans: Vec<Plan>,
    pub performance: Performance,
    /// Spacings that lie outside the tables (m).
    pub passed_over_m: Vec<f64>,
}

/// A spacing that was tried.
struct Tried {
    /// The most that it gives, however few loops it has (W): more loops slow the water down and pass more rooms, which both take.
    most_w: f64,
    zones: Zones,
}

/// The zones of a spacing.
enum Zones {
    /// As few loops as their length allows.
    Bare(Bare),
    /// As they are laid under the load.
    Laid(Laid),
    /// Handed on.
    Taken,
}

impl Tried {
    /// What it gives, as far as that is known (W).
    fn gives_w(&self) -> f64 {
        match &self.zones {
            Zones::Laid(laid) => laid.performance.capacity_w,
            Zones::Bare(_) | Zones::Taken => self.most_w,
        }
    }

    fn carries(&self, load_w: f64) -> bool {
        matches!(self.zones, Zones::Laid(_)) && self.gives_w() >= load_w
    }

    fn is_too_warm(&self) -> bool {
        matches!(&self.zones, Zones::Laid(laid) if laid.is_too_warm)
    }
}

impl Look<'_> {
    /// Looks through the spacings. Where the tables hold none of them, why they do not hold the first.
    pub(super) fn best(&self, load_w: f64) -> Result<Result<Best, Beyond>, MethodError> {
        let mut tried: Vec<Tried> = Vec::new();
        let (mut passed_over_m, mut refused, mut otherwise) = (Vec::new(), None, None);
        for &spacing_m in &self.floor.spacings_m {
            match self.tried(spacing_m, load_w) {
                Ok(found) => {
                    let does = found.carries(load_w) && !found.is_too_warm();
                    tried.push(found);
                    if does {
                        break;
                    }
                }
                Err(error @ MethodError::OutOfRange { .. }) => {
                    passed_over_m.push(spacing_m);
                    match self.tables_end(spacing_m)? {
                        Some(beyond) => _ = refused.get_or_insert(beyond),
                        None => _ = otherwise.get_or_insert(error),
                    }
                }
                Err(error) => return Err(error),
            }
        }
        match (self.best_of(tried, load_w)?, refused) {
            (Some(Laid { plans, performance, .. }), _) => Ok(Ok(Best { plans, performance, passed_over_m })),
            (None, Some(beyond)) => Ok(Err(beyond)),
            (None, None) => {
                Err(otherwise.unwrap_or(MethodError::Impossible { reason: "underfloor heating needs a spacing" }))
            }
        }
    }

    /// A spacing, laid only where it may carry a load.
    fn tried(&self, spacing_m: f64, load_w: f64) -> Result<Tried, MethodError> {
        let bare = self.bare(spacing_m)?;
        let most_w = bare.capacity_w;
        let zones = if most_w >= load_w { Zones::Laid(self.lay(bare, load_w)?) } else { Zones::Bare(bare) };
        Ok(Tried { most_w, zones })
    }

    /// Of spacings that were tried the last, where that carries a load with no surface too warm; then the widest that carries it,
    /// unless other emitters make up for what another one lacks; and otherwise the one that gives most; of several that
    /// give as much the closest, which begins to give at the coolest flow. Of those one whose surface the least flow of its loops
    /// makes too warm comes last: the room wants another emitter in any case, and no mixing set besides.
    fn best_of(&self, mut tried: Vec<Tried>, load_w: f64) -> Result<Option<Laid>, MethodError> {
        let take = |tried: &mut Vec<Tried>, place: usize| match tried.swap_remove(place).zones {
            Zones::Laid(laid) => Some(laid),
            Zones::Bare(_) | Zones::Taken => None,
        };
        let does = |one: &Tried| one.carries(load_w) && !one.is_too_warm();
        if let Some(last) = tried.len().checked_sub(1).filter(|last| does(&tried[*last])) {
            return Ok(take(&mut tried, last));
        }
        let carries = tried.iter().position(|one| one.carries(load_w));
        if let Some(widest) = carries.filter(|_| !self.is_helped) {
            return Ok(take(&mut tried, widest));
        }
        let mut too_warm = None;
        loop {
            let left = tried.iter().enumerate().filter(|(_, one)| !matches!(one.zones, Zones::Taken));
            let most = left.max_by(|(_, a), (_, b)| a.gives_w().total_cmp(&b.gives_w())).map(|(place, _)| place);
            let Some(most) = most else { return Ok(too_warm) };
            match std::mem::replace(&mut tried[most].zones, Zones::Taken) {
                Zones::Bare(bare) => tried[most].zones = Zones::Laid(self.lay(bare, load_w)?),
                Zones::Laid(laid) if laid.is_too_warm => too_warm = too_warm.or(Some(laid)),
                Zones::Laid(laid) => return Ok(Some(laid)),
                Zones::Taken => return Ok(too_warm),
            }
        }
    }

    /// Whether a zone that is set to the least flow of its loops gives more than its limits allow: what is laid does not hang on how
    /// it is set, and a meter begins where it begins.
    pub(super) fn is_too_warm(
        &self,
        plan: &Plan,
        characteristic: &Characteristic,
        run: &Run,
    ) -> Result<bool, MethodError> {
        let Run { at_load, .. } = *run;
        let least_kg_s = self.common.least_by_meters(plan.loops.count);
        if at_load.mass_flow_kg_s <= 0.0 || at_load.mass_flow_kg_s >= least_kg_s {
            return Ok(false);
        }
        let lines = lines(self.common, self.floor, self.site, characteristic, (plan.way, f64::from(plan.loops.count)))?;
        let laws = characteristic.laws(self.floor, self.site);
        let circuit = self.circuit(plan, self.common.flow_c, &laws, &lines)?;
        let output_w_m2 = circuit.at_flow((least_kg_s, at_load.output_w_m2), &mut Off)?.output_w_m2;
        Ok(is_beyond(output_w_m2, characteristic.limit_w_m2))
    }

    /// Where the tables of the floor's kind end for a spacing, whatever its water.
    fn tables_end(&self, spacing_m: f64) -> Result<Option<Beyond>, MethodError> {
        Ok(self.characteristics(&self.plans(spacing_m)?).err().and_then(|error| Beyond::of(&error)))
    }
}
