//! The pump of a tree, and the flow at which both agree.

use super::Duty;
use super::search::{Goal, Search};
use super::together::Law;
use crate::methods::error::MethodError;
use crate::methods::friction::volume_flow;
use crate::methods::math::{max, min, sqrt};
use crate::methods::pump_laws::{head_at, hydraulic_power};
use crate::methods::root;
use crate::methods::workings::{Off, Workings};
use crate::sources::DECLARED_DATA;

/// How a pump is driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drive<'a> {
    /// At a speed.
    Curve {
        /// Flow (l/h) and head (kPa) at full speed, by rising flow.
        points: &'a [(f64, f64)],
        /// Speed as a share of the full speed (above 0, to 1).
        speed: f64,
    },
    /// Turned up and down so that it gives one head at any flow.
    Constant {
        /// That head (Pa).
        head_pa: f64,
    },
}

/// A pump as it is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pump<'a> {
    /// How it is driven.
    pub drive: Drive<'a>,
    /// Density of the water in it (kg/m³).
    pub density_kg_m3: f64,
}

/// Difference of pump and tree, over their flow, at which the search ends.
const TOLERANCE: f64 = 1e-11;

/// Share of a flow beside which the slope of a curve is read; on straight lines any is right that stays on its line.
const BESIDE: f64 = 1e-7;

/// What the search for a flow and rounding may leave of it.
const HAIR: f64 = 1e-12;

impl Pump<'_> {
    /// Refuses what is no pump, and one that could work at more than one point, or at none.
    pub(super) fn check(&self) -> Result<(), MethodError> {
        if !(self.density_kg_m3.is_finite() && self.density_kg_m3 > 0.0) {
            return Err(MethodError::Impossible { reason: "the water in a pump has a density" });
        }
        match self.drive {
            Drive::Constant { head_pa } if !(head_pa.is_finite() && head_pa > 0.0) => {
                Err(MethodError::Impossible { reason: "the pump has no head to give" })
            }
            Drive::Constant { .. } => Ok(()),
            Drive::Curve { points, speed } => check_curve(points, speed),
        }
    }

    /// Head at a flow (Pa): before and behind its curve that of the curve's end.
    pub(super) fn head_pa(&self, flow_kg_s: f64) -> Result<f64, MethodError> {
        match self.drive {
            Drive::Constant { head_pa } => Ok(head_pa),
            Drive::Curve { points, speed } => {
                let curve = Curve { points, speed };
                let (first_l_h, last_l_h) = curve.ends_l_h();
                curve.head_pa(volume_flow(flow_kg_s, self.density_kg_m3, &mut Off).clamp(first_l_h, last_l_h))
            }
        }
    }

    /// Flow at which it meets a tree (kg/s); of its own curve what lies beside a flow (kg/s) stands for it.
    pub(super) fn flow_by(&self, law: Law, beside_kg_s: f64) -> Result<f64, MethodError> {
        match (self.drive, law) {
            (Drive::Constant { head_pa }, Law::Root(at_one)) => Ok(at_one * sqrt(head_pa)),
            (Drive::Constant { head_pa }, Law::Line(by_pascal, from_kg_s)) => Ok(from_kg_s + by_pascal * head_pa),
            (Drive::Curve { points, speed }, Law::Root(at_one)) => {
                let curve = Curve { points, speed };
                let one_l_h = volume_flow(1.0, self.density_kg_m3, &mut Off);
                let strongest_pa = curve.strongest_pa()?;
                let most_l_h = at_one * sqrt(strongest_pa) * one_l_h;
                Ok(curve.meets((strongest_pa, most_l_h), curve.ends_l_h())? / one_l_h)
            }
            (Drive::Curve { .. }, Law::Line(by_pascal, from_kg_s)) => {
                let head_pa = self.head_pa(beside_kg_s)?;
                let further_kg_s = beside_kg_s * (1.0 + BESIDE);
                let slope = (self.head_pa(further_kg_s)? - head_pa) / (further_kg_s - beside_kg_s);
                // its line put into that of the tree
                let by_flow = by_pascal * slope;
                Ok((from_kg_s + by_pascal * head_pa - by_flow * beside_kg_s) / (1.0 - by_flow))
            }
        }
    }

    /// What is to be said where a tree takes such a flow (kg/s) off the pump's curve, at the head of the curve's end.
    pub(super) fn beyond(&self, flow_kg_s: f64) -> Option<MethodError> {
        let Drive::Curve { points, speed } = self.drive else { return None };
        let curve = Curve { points, speed };
        let ((first_l_h, last_l_h), flow_l_h) =
            (curve.ends_l_h(), volume_flow(flow_kg_s, self.density_kg_m3, &mut Off));
        let is_beyond = flow_l_h < first_l_h * (1.0 - TOLERANCE) || flow_l_h > last_l_h * (1.0 + TOLERANCE);
        is_beyond.then(|| curve.beyond(flow_l_h))
    }

    /// Goes to where pump and tree agree, and gives the pump's head there (Pa).
    pub(super) fn find(&self, search: &mut Search<'_>) -> Result<f64, MethodError> {
        match self.drive {
            Drive::Constant { head_pa } => {
                search.run(Goal::Head(head_pa))?;
                Ok(head_pa)
            }
            Drive::Curve { points, speed } => self.find_on(&Curve { points, speed }, search),
        }
    }

    fn find_on(&self, curve: &Curve<'_>, search: &mut Search<'_>) -> Result<f64, MethodError> {
        let one_l_h = volume_flow(1.0, self.density_kg_m3, &mut Off);
        let strongest_pa = curve.strongest_pa()?;
        // no more flows than at the greatest head
        let most_l_h = search.run(Goal::Head(strongest_pa))?.flow_kg_s * one_l_h;
        let mut over = |flow_l_h: f64| -> Result<f64, MethodError> {
            if flow_l_h == 0.0 {
                return Ok(-1.0);
            }
            let taken_pa = search.run(Goal::Flow(flow_l_h / one_l_h, strongest_pa))?.head_pa;
            let given_pa = curve.head_pa(flow_l_h)?;
            Ok((taken_pa - given_pa) / max(taken_pa, given_pa))
        };
        let (first_l_h, last_l_h) = curve.ends_l_h();
        let is_before = most_l_h < first_l_h * (1.0 - HAIR) || over(first_l_h)? > TOLERANCE;
        if is_before || last_l_h < most_l_h && over(last_l_h)? < -TOLERANCE {
            let head_pa = curve.head_pa(if is_before { first_l_h } else { last_l_h })?;
            return Err(curve.beyond(search.run(Goal::Head(head_pa))?.flow_kg_s * one_l_h));
        }
        let ends_l_h = (first_l_h, max(first_l_h, min(last_l_h, most_l_h)));
        let guess_l_h = curve.meets((strongest_pa, most_l_h), ends_l_h)?;
        let first = (guess_l_h, -over(guess_l_h)?);
        // head by flow rises about twice as fast as the flow, against what the pump gives
        let second_l_h = guess_l_h * (1.0 + 0.5 * first.1);
        if let Some(found) = root::near((first, second_l_h), ends_l_h, TOLERANCE, |flow_l_h| Ok(-over(flow_l_h)?))? {
            return curve.head_pa(found.at);
        }
        let found = root::between("the flow of a pump", ends_l_h, TOLERANCE, &mut over)?;
        over(found.at)?;
        curve.head_pa(found.at)
    }

    /// Its point of work, recorded.
    pub(super) fn duty(&self, mass_flow_kg_s: f64, head_pa: f64, w: &mut impl Workings) -> Result<Duty, MethodError> {
        let flow_l_h = volume_flow(mass_flow_kg_s, self.density_kg_m3, w);
        if let Drive::Curve { points, speed } = self.drive {
            let (first_l_h, last_l_h) = Curve { points, speed }.ends_l_h();
            head_at(points, flow_l_h.clamp(first_l_h, last_l_h), speed, w)?;
        }
        let hydraulic_w = hydraulic_power(flow_l_h, head_pa / 1000.0, w);
        Ok(Duty { mass_flow_kg_s, flow_l_h, head_pa, hydraulic_w })
    }
}

/// A curve at a speed.
struct Curve<'a> {
    points: &'a [(f64, f64)],
    speed: f64,
}

impl Curve<'_> {
    fn head_pa(&self, flow_l_h: f64) -> Result<f64, MethodError> {
        Ok(1000.0 * head_at(self.points, flow_l_h, self.speed, &mut Off)?)
    }

    /// Its first and last flow, which rounding does not put behind its points.
    fn ends_l_h(&self) -> (f64, f64) {
        let (first, last) = (self.points[0].0, self.points[self.points.len() - 1].0);
        let (mut first_l_h, mut last_l_h) = (first * self.speed, last * self.speed);
        while first_l_h / self.speed < first {
            first_l_h = first_l_h.next_up();
        }
        while last_l_h / self.speed > last {
            last_l_h = last_l_h.next_down();
        }
        (first_l_h, last_l_h)
    }

    /// Its greatest head (Pa).
    fn strongest_pa(&self) -> Result<f64, MethodError> {
        let (first_l_h, last_l_h) = self.ends_l_h();
        self.points.iter().try_fold(0.0, |most_pa, point| {
            Ok(max(most_pa, self.head_pa((point.0 * self.speed).clamp(first_l_h, last_l_h))?))
        })
    }

    /// About where it meets a tree that takes so much head at a flow (Pa, l/h), and falls with nearly the square of the flow.
    fn meets(
        &self,
        (head_pa, at_l_h): (f64, f64),
        (mut low_l_h, mut high_l_h): (f64, f64),
    ) -> Result<f64, MethodError> {
        const HALVINGS: usize = 12;
        for _ in 0..HALVINGS {
            let middle_l_h = 0.5 * (low_l_h + high_l_h);
            let part = middle_l_h / at_l_h;
            let takes_more = head_pa * part * part > self.head_pa(middle_l_h)?;
            (low_l_h, high_l_h) = if takes_more { (low_l_h, middle_l_h) } else { (middle_l_h, high_l_h) };
        }
        Ok(0.5 * (low_l_h + high_l_h))
    }

    /// A point of work that does not lie on it.
    fn beyond(&self, flow_l_h: f64) -> MethodError {
        let (min, max) = (self.points[0].0 * self.speed, self.points[self.points.len() - 1].0 * self.speed);
        MethodError::OutOfRange { quantity: "flow_l_h", value: flow_l_h, min, max, published: &DECLARED_DATA }
    }
}

/// Refuses a curve that could hold more than one point of work, or none.
fn check_curve(points: &[(f64, f64)], speed: f64) -> Result<(), MethodError> {
    if !(speed > 0.0 && speed <= 1.0) {
        return Err(MethodError::Impossible { reason: "a pump runs at a share of its full speed, above nothing" });
    }
    let sound = |point: &(f64, f64)| point.0.is_finite() && point.0 >= 0.0 && point.1.is_finite() && point.1 >= 0.0;
    if points.len() < 2 || !points.iter().all(sound) {
        return Err(MethodError::Impossible { reason: "a pump's curve needs two points, of flow and head" });
    }
    // the tree's drop over its flow never falls: that of the pump must, so that they meet once
    if !points.is_sorted_by(|less, more| less.0 < more.0 && less.1 * more.0 > more.1 * less.0) {
        return Err(MethodError::Impossible { reason: "a pump's curve rises in flow, and nowhere as steeply in head" });
    }
    Ok(())
}
