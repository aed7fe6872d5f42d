//! At which spacing a floor is laid.

use super::Look;
use super::characteristic::Beyond;
use super::performance::{Bare, Performance};
use super::zone::Plan;
use crate::methods::MethodError;

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
    Laid((Vec<Plan>, Performance)),
    /// Handed on.
    Taken,
}

impl Zones {
    fn laid(self) -> Option<(Vec<Plan>, Performance)> {
        match self {
            Self::Laid(laid) => Some(laid),
            Self::Bare(_) | Self::Taken => None,
        }
    }
}

impl Tried {
    /// What it gives, as far as that is known (W).
    fn gives_w(&self) -> f64 {
        match &self.zones {
            Zones::Laid((_, performance)) => performance.capacity_w,
            Zones::Bare(_) | Zones::Taken => self.most_w,
        }
    }

    fn carries(&self, load_w: f64) -> bool {
        matches!(self.zones, Zones::Laid(_)) && self.gives_w() >= load_w
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
                    let carries = found.carries(load_w);
                    tried.push(found);
                    if carries {
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
            (Some((plans, performance)), _) => Ok(Ok(Best { plans, performance, passed_over_m })),
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

    /// Of spacings that were tried the last, where that carries a load, and otherwise the one that gives most; of several that
    /// give as much the closest, which begins to give at the coolest flow.
    fn best_of(&self, mut tried: Vec<Tried>, load_w: f64) -> Result<Option<(Vec<Plan>, Performance)>, MethodError> {
        if tried.last().is_some_and(|last| last.carries(load_w)) {
            return Ok(tried.pop().and_then(|last| last.zones.laid()));
        }
        loop {
            let places = tried.iter().enumerate();
            let most = places.max_by(|(_, a), (_, b)| a.gives_w().total_cmp(&b.gives_w())).map(|(place, _)| place);
            let Some(most) = most else { return Ok(None) };
            match std::mem::replace(&mut tried[most].zones, Zones::Taken) {
                Zones::Bare(bare) => tried[most].zones = Zones::Laid(self.lay(bare, load_w)?),
                Zones::Laid(laid) => return Ok(Some(laid)),
                Zones::Taken => return Ok(None),
            }
        }
    }

    /// Where the tables of the floor's kind end for a spacing, whatever its water.
    fn tables_end(&self, spacing_m: f64) -> Result<Option<Beyond>, MethodError> {
        Ok(self.characteristics(&self.plans(spacing_m)?).err().and_then(|error| Beyond::of(&error)))
    }
}
