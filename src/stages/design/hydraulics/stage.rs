//! The stage as it is run with the others, and what must be true of its result.

use super::{Cooling, Hydraulics, Unmet, Warning, compute};
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::pipework::{Pipe, Pipework};
use crate::design::source::Source;
use crate::design::stage::{Asked, NoCaution, Stage, same, so};
use crate::methods::Workings;
use crate::survey::Survey;

impl Stage for Hydraulics {
    type Before<'b> = (&'b Emitters, &'b Source, &'b Pipework);
    type Error = DesignError;
    type Unmet = Unmet;
    type Warning = Warning;
    type Caution = NoCaution;

    fn compute<W: Workings>(
        asked: Asked<'_>,
        (emitters, source, pipework): Self::Before<'_>,
        w: &mut W,
    ) -> Result<Self, DesignError> {
        compute(asked, emitters, source, pipework, w)
    }

    fn unmet(&self) -> &[Self::Unmet] {
        &self.unmet
    }

    fn warnings(&self) -> &[Self::Warning] {
        &self.warnings
    }

    /// A second pump stands only behind a separation and gives what the system takes, a pump is turned down, not up, and what a
    /// hidden tube lets through is no more than is wanted.
    fn check(&self, survey: &Survey, (emitters, _, pipework): Self::Before<'_>) -> Result<(), String> {
        let is_separated = pipework.joining.is_separated();
        let has_second = self.arrangement.second_pump.is_some();
        so(is_separated || !has_second, || "no second pump without a separation".to_owned())?;
        let own_kpa = pipework.joining.own.head_kpa;
        let is_told = self.unmet.iter().any(|unmet| matches!(unmet, Unmet::Pump { .. }));
        let carries = own_kpa.is_none_or(|own_kpa| own_kpa >= self.carried_kpa);
        so(carries != is_told, || "the own pump carries its part, or it is told".to_owned())?;
        so(self.electric_w >= self.hydraulic_w, || "a pump takes no less than the water".to_owned())?;
        self.check_second_pump(survey, pipework)?;
        self.check_hidden(emitters, pipework)?;
        self.check_cooling(survey, emitters, pipework)?;
        let is_turned_down = |speed: f64| speed > 0.0 && speed <= 1.0;
        so(self.speed.is_none_or(|found| is_turned_down(found.speed)), || "a share of full speed".to_owned())
    }
}

impl Hydraulics {
    /// The pump behind a separation has the head that the system takes, read off its points; or its want is told.
    fn check_second_pump(&self, survey: &Survey, pipework: &Pipework) -> Result<(), String> {
        let is_told = self.unmet.iter().any(|unmet| matches!(unmet, Unmet::SecondPump { .. }));
        let Some(chosen) = self.arrangement.second_pump else {
            let is_separated = pipework.joining.is_separated();
            return so(is_separated == is_told, || "a separation without a second pump is told".to_owned());
        };
        so(!is_told, || "a second pump stands and is told to be wanting".to_owned())?;
        let points = &survey.offer.circulators[chosen].pump;
        let (flow_l_h, head_kpa) = (pipework.flow_l_h(), pipework.head_kpa());
        // a curve falls: what it gives at the next point beyond is no more than what it gives here
        let nearest_kpa = points.iter().rfind(|point| point.flow_l_h <= flow_l_h).map(|point| point.head_kpa);
        so(nearest_kpa.is_some_and(|most_kpa| most_kpa >= head_kpa), || format!("a second pump for {head_kpa} kPa"))
    }

    /// Heat through each hidden tube: the least no more than the likely, the likely no more than is asked, and that no more than its flow
    /// can carry; what the pump that stands there does not give is told.
    fn check_hidden(&self, emitters: &Emitters, pipework: &Pipework) -> Result<(), String> {
        so(self.delivered.len() == pipework.hidden.len(), || "heat of each hidden pipe".to_owned())?;
        let coldest_c =
            emitters.rooms.iter().flatten().map(|emitter| emitter.at_load.return_c).fold(emitters.flow_c, f64::min);
        for (hidden, delivered) in pipework.hidden.iter().zip(&self.delivered) {
            let Some(found) = delivered else { continue };
            for with in &found.pumps {
                let (least_w, likely_w) = (with.least_w, with.likely_w);
                let is_in_order = 0.0 <= least_w && least_w <= likely_w && likely_w <= found.wanted_w * (1.0 + 1e-9);
                so(is_in_order, || format!("{least_w} to {likely_w} of {} W through a hidden pipe", found.wanted_w))?;
            }
            let flow_kg_s = pipework.sections[hidden.run].flow_kg_s;
            let carried_w = flow_kg_s * emitters.water.specific_heat_j_kgk * (emitters.flow_c - coldest_c);
            let wanted_w = found.wanted_w;
            so(wanted_w <= carried_w * (1.0 + 1e-9), || format!("{wanted_w} W in a flow that carries {carried_w}"))?;
            let is_short = found.standing().is_some_and(|with| with.likely_w < wanted_w * (1.0 - 1e-6));
            let is_told = self
                .unmet
                .iter()
                .any(|unmet| matches!(unmet, Unmet::HiddenTube { pipe, .. } if *pipe == Pipe::Run(hidden.run)));
            so(is_short == is_told, || "what a hidden pipe does not give is told".to_owned())?;
        }
        Ok(())
    }

    /// While floors cool, the water takes up what they take out of their rooms.
    fn check_cooling(&self, survey: &Survey, emitters: &Emitters, pipework: &Pipework) -> Result<(), String> {
        let taken_w: f64 = emitters.floors().filter_map(|(_, floor, _)| Some(floor.cooling.as_ref()?.output_w)).sum();
        let Some((Cooling { flow, .. }, wanted)) = self.cooling.as_ref().zip(survey.cooling.as_ref()) else {
            return so(self.cooling.is_none() && taken_w <= 0.0, || format!("{taken_w} W of cooling without a flow"));
        };
        same(flow.output_w, taken_w, || "heat that floors take".to_owned())?;
        // a litre of water or brine takes up between 0.85 and 1.17 Wh/K
        let wh_lk = flow.output_w / (flow.flow_l_h * wanted.rise_k);
        so((0.85..1.17).contains(&wh_lk), || format!("{wh_lk} Wh by litre and kelvin of cooling"))?;
        let of_manifolds = pipework.circuits.iter().any(|circuit| Some(circuit.end) == flow.index);
        so(of_manifolds && flow.head_kpa > 0.0, || "a way that cools takes head".to_owned())
    }
}
