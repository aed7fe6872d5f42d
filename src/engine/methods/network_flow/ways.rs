//! The ways through a tree: which are open, and in which order they are followed.

use super::parts::{drop_of, is_open, takes_any};
use super::{End, Network, Section};
use crate::methods::error::MethodError;
use crate::methods::workings::Off;

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

/// A tree that was looked through.
#[derive(Debug)]
pub(super) struct Ways<'a> {
    pub network: &'a Network,
    /// Chains, each after those that end on it; every open end begins one, and the last leads to the pump.
    pub chains: Vec<Chain>,
    /// Whether water passes each section as far as it is laid open.
    passes: Vec<bool>,
}

/// What flows, and how it balances.
#[derive(Debug)]
pub(super) struct Balance {
    /// Flow of every section, and of every end (kg/s).
    pub sections_kg_s: Vec<f64>,
    pub ends_kg_s: Vec<f64>,
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

    /// Flows and heads where each chain begins with a flow.
    pub(super) fn balance(&self, flows_kg_s: &[f64]) -> Result<Balance, MethodError> {
        let Network { sections, ends } = self.network;
        let (mut ends_kg_s, mut sections_kg_s) = (vec![0.0; ends.len()], vec![0.0; sections.len()]);
        for (chain, flow_kg_s) in self.chains.iter().zip(flows_kg_s) {
            ends_kg_s[chain.end] = *flow_kg_s;
        }
        for (end, flow_kg_s) in ends.iter().zip(&ends_kg_s) {
            if let Some(at) = end.at {
                sections_kg_s[at] += flow_kg_s;
            }
        }
        for (index, section) in sections.iter().enumerate().rev() {
            if let Some(from) = section.from {
                sections_kg_s[from] += sections_kg_s[index];
            }
        }
        let mut heads_pa = vec![0.0; sections.len()];
        // sums along a chain, in which a little pressure is not the rest of a great one
        let (mut tops_pa, mut worst) = (Vec::with_capacity(self.chains.len()), (self.chains[0].end, 0.0, 0.0));
        for chain in &self.chains {
            let mut head_pa = drop_of(&ends[chain.end].parts, ends_kg_s[chain.end], &mut Off)?;
            for Climb { sides, section } in &chain.climb {
                for &side in sides {
                    let left_pa: f64 = head_pa - tops_pa[side];
                    if left_pa.abs() / head_pa > worst.2 {
                        worst = (self.chains[side].end, left_pa, left_pa.abs() / head_pa);
                    }
                }
                if let Some(section) = *section {
                    heads_pa[section] = head_pa;
                    head_pa += drop_of(&sections[section].parts, sections_kg_s[section], &mut Off)?;
                }
            }
            tops_pa.push(head_pa);
        }
        let head_pa = tops_pa[tops_pa.len() - 1];
        for (index, section) in sections.iter().enumerate() {
            if self.passes[index] && sections_kg_s[index] == 0.0 {
                heads_pa[index] = section.from.map_or(head_pa, |from| heads_pa[from]);
            }
        }
        Ok(Balance { sections_kg_s, ends_kg_s, heads_pa, head_pa, worst })
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
