//! The tree as it is laid and set, to be solved freely: every end takes what valves and pump leave it.

use super::balancing::{Setting, SettingOf};
use super::circuits::Circuit;
use super::ends::Loop;
use super::hidden::{AsKnown, Hidden};
use super::laying::Laying;
use super::options;
use super::section::Section;
use crate::catalogue::offer::Tube as OfferedTube;
use crate::design::emitters::{Emitters, loop_bore};
use crate::design::own_pump::OwnPump;
use crate::job::pipework::Manifold;
use crate::list::{Index, List, indexed};
use crate::methods::network_flow::{End as NetworkEnd, Network, Part, Section as NetworkSection, Tube};
use crate::methods::{MethodError, Off, fittings, handbook_zeta};
use crate::survey::{EmitterAt, End, Loss, Run, Survey};

/// How valves stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stand {
    /// At the flow coefficients that they must have.
    Exactly,
    /// At the nearest of their positions or turns, where they have any.
    AsMade,
}

/// A tree with what stands at its ends.
#[derive(Debug, Clone, PartialEq)]
pub struct FreeTree {
    /// The tree.
    pub network: Network,
    /// The emitter at each of its ends: one end for a radiator or fan convector, one for each loop of a floor.
    pub ends: Vec<EmitterAt>,
}

/// What a tree is made of.
#[derive(Clone, Copy)]
pub(super) struct Piped<'p> {
    pub survey: &'p Survey,
    pub emitters: &'p Emitters,
    /// Whether plant room and primary stand before all runs.
    pub has_before: bool,
    pub own: OwnPump,
    pub primary: Option<&'p Section>,
    pub sections: &'p List<Run, Section>,
    /// Tubes that nobody can see, and what they are taken for.
    pub hidden: (&'p [Hidden], AsKnown),
    pub circuits: &'p List<Circuit>,
    pub loops: &'p [Loop],
    pub settings: &'p [Setting],
}

impl Laying<'_> {
    /// The tree with those of its emitters that stand open; and whether plant room and primary stand before its runs.
    pub(super) fn free_tree(
        &self,
        (stand, has_before): (Stand, bool),
        is_open: impl Fn(EmitterAt) -> bool,
    ) -> Result<FreeTree, MethodError> {
        let piped = Piped {
            survey: self.survey,
            emitters: self.emitters,
            has_before,
            own: self.own,
            primary: self.primary.as_ref(),
            sections: &self.sections,
            hidden: (&self.hidden, AsKnown::Greatest),
            circuits: &self.circuits,
            loops: &self.loops,
            settings: &self.settings,
        };
        piped.free_tree(stand, is_open)
    }
}

impl Piped<'_> {
    /// The tree with those of its emitters that stand open; plant room and primary are in it unless a separation parts them from
    /// the system. Valves are set as they are told.
    pub(super) fn free_tree(&self, stand: Stand, is_open: impl Fn(EmitterAt) -> bool) -> Result<FreeTree, MethodError> {
        let (survey, emitters) = (self.survey, self.emitters);
        let density_kg_m3 = emitters.water.density_kg_m3;
        let valve = |kv_m3_h: f64| Part::Valve { kv_m3_h, density_kg_m3 };
        let mut sections = vec![NetworkSection { from: None, parts: self.before()? }];
        for (index, (run, section)) in indexed(survey.pipes.runs.iter().zip(self.sections)) {
            let from = Some(run.from.map_or(0, |from| from.number() + 1));
            let parts = match section.tube {
                Some(tube) => parts_of(survey, emitters, run, tube),
                None => self.hidden_part(index).into_iter().collect(),
            };
            sections.push(NetworkSection { from, parts });
        }
        let mut found = FreeTree { network: Network { sections, ends: Vec::new() }, ends: Vec::new() };
        for circuit in self.circuits {
            let at = circuit.sections.last().map(|run| run.number() + 1);
            match circuit.end {
                End::Radiator(emitter) if is_open(emitter) => {
                    let set = self.setting(SettingOf::End(circuit.end)).and_then(|setting| kv_of(setting, stand));
                    let parts = std::iter::once(valve(survey.pipes.radiator_kv_m3_h)).chain(set.map(valve));
                    found.push(emitter, NetworkEnd { at, parts: parts.collect() });
                }
                End::Radiator(_) => {}
                End::Manifold(manifold) => self.loops_of(manifold, (at, stand), &is_open, &mut found),
            }
        }
        Ok(found)
    }

    /// The open loops of a manifold behind its own valve.
    fn loops_of(
        &self,
        manifold: Index<Manifold>,
        (from, stand): (Option<usize>, Stand),
        is_open: &impl Fn(EmitterAt) -> bool,
        found: &mut FreeTree,
    ) {
        let (survey, emitters) = (self.survey, self.emitters);
        let of_manifold = self.setting(SettingOf::End(End::Manifold(manifold)));
        let density_kg_m3 = emitters.water.density_kg_m3;
        let own = of_manifold.and_then(|setting| kv_of(setting, stand));
        let parts = own.map(|kv_m3_h| Part::Valve { kv_m3_h, density_kg_m3 }).into_iter().collect();
        let at = found.network.sections.len();
        found.network.sections.push(NetworkSection { from, parts });
        let kv_m3_h = survey.pipes.manifold_loop_kv_m3_h[manifold];
        for one in self.loops.iter().filter(|one| one.manifold == manifold && is_open(one.at)) {
            let Some(floor) = survey.emitter(one.at).floor() else { continue };
            let bore = loop_bore(&floor.tube);
            let bend = handbook_zeta::zeta(handbook_zeta::Named::LongBend, bore.inside_diameter_mm);
            let zeta = floor.laying.loop_bends * bend;
            let density_kg_m3 = one.water.density_kg_m3;
            let tube = Part::Tube(Tube { bore, length_m: one.length_m, zeta, liquid: one.water });
            let mut parts = vec![tube, Part::Valve { kv_m3_h, density_kg_m3 }];
            // a loop is set by its meter, whatever stands on its valve
            let set = self.setting(SettingOf::Loop(*one)).and_then(|setting| setting.kv_m3_h);
            parts.extend(set.map(|kv_m3_h| Part::Valve { kv_m3_h, density_kg_m3 }));
            found.push(one.at, NetworkEnd { at: Some(at), parts });
        }
    }

    fn setting(&self, of: SettingOf) -> Option<&Setting> {
        self.settings.iter().find(|setting| setting.of == of)
    }

    /// A run with a tube that nobody can see, where its readings tell one.
    fn hidden_part(&self, run: Index<Run>) -> Option<Part> {
        let (hidden, as_known) = self.hidden;
        let found = hidden.iter().find(|hidden| hidden.run == run)?;
        found.part(self.survey, (as_known, self.emitters.water))
    }

    /// What stands before all runs: plant room and primary, unless a separation parts them from the system.
    fn before(&self) -> Result<Vec<Part>, MethodError> {
        if !self.has_before || self.own.flow_l_h <= 0.0 {
            return Ok(Vec::new());
        }
        let (survey, emitters) = (self.survey, self.emitters);
        let density_kg_m3 = emitters.water.density_kg_m3;
        let mut parts = Vec::new();
        if self.own.plant_pa > 0.0 {
            let kv_m3_h = fittings::kv_for(self.own.flow_l_h, self.own.plant_pa, density_kg_m3, &mut Off)?;
            parts.push(Part::Valve { kv_m3_h, density_kg_m3 });
        }
        let tube = self.primary.and_then(|section| section.tube);
        if let (Some(primary), Some(tube)) = (&survey.pipes.primary, tube) {
            parts.extend(parts_of(survey, emitters, &primary.run, tube));
        }
        Ok(parts)
    }
}

impl FreeTree {
    fn push(&mut self, at: EmitterAt, end: NetworkEnd) {
        self.network.ends.push(end);
        self.ends.push(at);
    }
}

/// Both legs of a run with its fittings.
fn parts_of(survey: &Survey, emitters: &Emitters, run: &Run, tube: Index<OfferedTube>) -> Vec<Part> {
    let density_kg_m3 = emitters.water.density_kg_m3;
    let zeta = 2.0 * options::zeta(survey, run, Some(tube), &mut Off);
    let bore = options::bore(survey, tube);
    let mut parts = vec![Part::Tube(Tube { bore, length_m: 2.0 * run.length_m, zeta, liquid: emitters.water })];
    for (loss, count) in &run.losses {
        if let Loss::Kv(kv_m3_h) = loss {
            let each = fittings::kv_in_series(*kv_m3_h, *count, &mut Off);
            parts.push(Part::Valve { kv_m3_h: each, density_kg_m3 });
        }
    }
    parts
}

/// What a setting adds to its way (m³/h), where it adds anything: with the valve at its position what that takes beyond the open
/// valve, which the way holds already.
fn kv_of(setting: &Setting, stand: Stand) -> Option<f64> {
    match (stand, &setting.position, setting.open_kv_m3_h) {
        (Stand::AsMade, Some(preset), Some(open_m3_h)) => {
            (preset.kv_m3_h < open_m3_h).then(|| fittings::kv_besides(preset.kv_m3_h, open_m3_h, &mut Off))
        }
        (Stand::Exactly | Stand::AsMade, _, _) => setting.kv_m3_h,
    }
}
