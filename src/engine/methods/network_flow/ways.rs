//! The ways through a tree: which are open, and in which order they are followed.

use super::parts::{drop_and_slope, is_open, takes_any};
use super::{End, Network, Part, Section};
use crate::methods::error::MethodError;
use crate::methods::math::max;

/// A way that leaves from a joint.
#[derive(Debug, Clone, Copy)]
enum Way {
    /// To an end.
    End(usize),
    /// Into a section, and whatever stands behind it.
    Section(usize),
}

/// A way from an end up to a joint that another way passes, or to the pump.
#[derive(Debug)]
pub(super) struct Chain {
    /// The end that it begins at.
    pub end: usize,
    /// What it passes from there.
    pub climb: Vec<Climb>,
}

/// A joint on the way up, and the section before it.
#[derive(Debug)]
pub(super) struct Climb {
    /// The other chains that end at the joint.
    pub sides: Vec<usize>,
    /// The section that leads to it; nothing at the pump.
    pub section: Option<usize>,
}

/// What a section or an end carries, and what it takes there.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Line {
    pub flow_kg_s: f64,
    pub drop_pa: f64,
    /// By how much the drop grows with the flow (Pa s/kg).
    pub slope: f64,
}

/// What everything in a tree carries.
#[derive(Debug)]
pub(super) struct Carrying {
    pub sections: Vec<Line>,
    pub ends: Vec<Line>,
}

/// A tree that was looked through.
#[derive(Debug)]
pub(super) struct Ways<'a> {
    pub network: &'a Network,
    /// Chains, each after those that end on it; every open end begins one, and the last leads to the pump.
    pub chains: Vec<Chain>,
    /// Whether water passes each section as far as it is laid open.
    passes: Vec<bool>,
}

/// How what flows balances.
#[derive(Debug)]
pub(super) struct Balance {
    /// Pressure of the flow above the return behind every section, and at the pump (Pa).
    pub heads_pa: Vec<f64>,
    pub head_pa: f64,
    /// The chain that is furthest off at the joint where it ends, by its end: by how much (Pa), and what share of the head there.
    pub worst: (usize, f64, f64),
}

impl<'a> Ways<'a> {
    /// Looks a tree through, and refuses what is none.
    pub(super) fn new(network: &'a Network) -> Result<Self, MethodError> {
        let Network { sections, ends } = network;
        let is_behind = |index: usize, from: Option<usize>| from.is_none_or(|from| from < index);
        let sound = sections.iter().enumerate().all(|(index, section)| is_behind(index, section.from));
        if !(sound && ends.iter().all(|end| is_behind(sections.len(), end.at))) {
            let reason = "in a tree a section stands behind the one that it leaves from";
            return Err(MethodError::Impossible { reason });
        }
        let mut passes: Vec<bool> = Vec::with_capacity(sections.len());
        for section in sections {
            passes.push(is_open(&section.parts)? && section.from.is_none_or(|from| passes[from]));
        }
        let open = open_ends(ends, &passes)?;
        let mut ways = Self { network, chains: Vec::with_capacity(open.len()), passes };
        let joints = joints(sections, ends, &open);
        ways.grow(&joints, None);
        Ok(ways)
    }

    /// Adds the chain that comes down a way, or from the pump, and goes on where most ends are; those at its sides before it.
    fn grow(&mut self, joints: &[(Vec<Way>, usize)], from: Option<Way>) -> usize {
        let (mut way, mut climb) = (from, Vec::new());
        let end = loop {
            let section = match way {
                Some(Way::End(end)) => break end,
                Some(Way::Section(section)) => Some(section),
                None => None,
            };
            let size = |way: Way| if let Way::Section(section) = way { joints[section + 1].1 } else { 1 };
            let leaving = &joints[section.map_or(0, |section| section + 1)].0;
            let most = (0..leaving.len())
                .fold(0, |most, one| if size(leaving[one]) > size(leaving[most]) { one } else { most });
            let others = leaving.iter().enumerate().filter(|(index, _)| *index != most);
            let sides = others.map(|(_, other)| self.grow(joints, Some(*other))).collect();
            climb.push(Climb { sides, section });
            way = Some(leaving[most]);
        };
        climb.reverse();
        self.chains.push(Chain { end, climb });
        self.chains.len() - 1
    }

    /// What everything carries where ends carry so much (kg/s), and what that takes.
    pub(super) fn carrying(&self, ends_kg_s: &[f64]) -> Result<Carrying, MethodError> {
        let Network { sections, ends } = self.network;
        let mut sections_kg_s = vec![0.0; sections.len()];
        for (end, flow_kg_s) in ends.iter().zip(ends_kg_s) {
            if let Some(at) = end.at {
                sections_kg_s[at] += flow_kg_s;
            }
        }
        for (index, section) in sections.iter().enumerate().rev() {
            if let Some(from) = section.from {
                sections_kg_s[from] += sections_kg_s[index];
            }
        }
        let line = |parts: &[Part], flow_kg_s: f64| {
            if flow_kg_s == 0.0 {
                return Ok(Line::default());
            }
            let (drop_pa, slope) = drop_and_slope(parts, flow_kg_s)?;
            Ok(Line { flow_kg_s, drop_pa, slope })
        };
        let of_sections =
            sections.iter().zip(sections_kg_s).map(|(section, flow_kg_s)| line(&section.parts, flow_kg_s));
        let of_ends = ends.iter().zip(ends_kg_s).map(|(end, flow_kg_s)| line(&end.parts, *flow_kg_s));
        Ok(Carrying { sections: of_sections.collect::<Result<_, _>>()?, ends: of_ends.collect::<Result<_, _>>()? })
    }

    /// A flow for every open end, by index; nothing for the others.
    pub(super) fn of_ends(&self, each: impl Iterator<Item = f64>) -> Vec<f64> {
        let mut flows_kg_s = vec![0.0; self.network.ends.len()];
        for (chain, flow_kg_s) in self.chains.iter().zip(each) {
            flows_kg_s[chain.end] = flow_kg_s;
        }
        flows_kg_s
    }

    /// Heads of what is carried, and how the ways agree.
    pub(super) fn balance(&self, carrying: &Carrying) -> Balance {
        let Network { sections, .. } = self.network;
        let mut heads_pa = vec![0.0; sections.len()];
        // sums along a chain, in which a little pressure is not the rest of a great one
        let (mut tops_pa, mut worst) = (Vec::with_capacity(self.chains.len()), (self.chains[0].end, 0.0, 0.0));
        for chain in &self.chains {
            let mut head_pa = carrying.ends[chain.end].drop_pa;
            for Climb { sides, section } in &chain.climb {
                for &side in sides {
                    let left_pa: f64 = head_pa - tops_pa[side];
                    if left_pa.abs() / head_pa > worst.2 {
                        worst = (self.chains[side].end, left_pa, left_pa.abs() / head_pa);
                    }
                }
                if let Some(section) = *section {
                    heads_pa[section] = head_pa;
                    head_pa += carrying.sections[section].drop_pa;
                }
            }
            tops_pa.push(head_pa);
        }
        let head_pa = tops_pa[tops_pa.len() - 1];
        for (index, section) in sections.iter().enumerate() {
            if self.passes[index] && carrying.sections[index].flow_kg_s == 0.0 {
                heads_pa[index] = section.from.map_or(head_pa, |from| heads_pa[from]);
            }
        }
        Balance { heads_pa, head_pa, worst }
    }
}

impl Carrying {
    /// Flow of the pump (kg/s).
    pub(super) fn total_kg_s(&self, network: &Network) -> f64 {
        let at_pump = |(way, line): (Option<usize>, &Line)| if way.is_none() { line.flow_kg_s } else { 0.0 };
        let sections = network.sections.iter().map(|section| section.from).zip(&self.sections);
        sections.chain(network.ends.iter().map(|end| end.at).zip(&self.ends)).map(at_pump).sum()
    }
}

impl Balance {
    /// Difference of a head that the pump gives (Pa) and what the tree takes, over the greater.
    pub(super) fn off(&self, given_pa: f64) -> f64 {
        (self.head_pa - given_pa).abs() / max(self.head_pa, given_pa)
    }
}

/// Ends that water reaches and passes.
fn open_ends(ends: &[End], passes: &[bool]) -> Result<Vec<usize>, MethodError> {
    let mut open = Vec::new();
    for (index, end) in ends.iter().enumerate() {
        if is_open(&end.parts)? && end.at.is_none_or(|section| passes[section]) {
            if !takes_any(&end.parts) {
                return Err(MethodError::Impossible { reason: "an end that takes no pressure joins flow and return" });
            }
            open.push(index);
        }
    }
    if open.is_empty() { Err(MethodError::Impossible { reason: "no end of the tree is open" }) } else { Ok(open) }
}

/// Ways that leave from the pump and from behind every section, with the open ends behind each.
fn joints(sections: &[Section], ends: &[End], open: &[usize]) -> Vec<(Vec<Way>, usize)> {
    let place = |joint: Option<usize>| joint.map_or(0, |section| section + 1);
    let mut joints = vec![(Vec::new(), 0); sections.len() + 1];
    for &end in open {
        let joint = &mut joints[place(ends[end].at)];
        joint.0.push(Way::End(end));
        joint.1 += 1;
    }
    for (index, section) in sections.iter().enumerate().rev() {
        let behind = joints[index + 1].1;
        if behind > 0 {
            let joint = &mut joints[place(section.from)];
            joint.0.push(Way::Section(index));
            joint.1 += behind;
        }
    }
    joints
}
