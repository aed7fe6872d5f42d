//! What stands in for the places of a document that are at fault, so that the rest can be looked at further.
//!
//! A stand-in is as good as what the gate takes there, and no better: it says nothing of what was meant. So there are
//! several documents, in which other values stand in, and what is found in one of them alone comes from its stand-ins.

use std::borrow::Cow;

use super::fault::escaped;
use super::gate::{Bounds, Gate, Object, Rule};
use super::node::{Members, Node};

/// Documents that are made of one with faults.
pub(super) const VARIANTS: usize = 3;

/// What makes a place of a document usable.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Repair {
    /// Something stands in for what is there, or for what is missing, by a rule of the gate.
    StandIn { path: Vec<String>, rule: usize },
    /// The kind that was meant stands in for one that is misspelt or missing.
    Kind { path: Vec<String>, kind: String },
    /// A member or an entry is taken out.
    Out(Vec<String>),
    /// A list or a map is cut down to so many.
    CutDown { path: Vec<String>, most: usize },
    /// Nothing does.
    Never,
}

impl Repair {
    /// Pointers of what is stood in for or taken out.
    pub(super) fn places(&self, document: &Node<'_>) -> Vec<String> {
        match self {
            Self::StandIn { path, .. } | Self::Kind { path, .. } | Self::Out(path) => vec![pointer(path)],
            Self::CutDown { path, most } => {
                let at = pointer(path);
                match found(document, path) {
                    Some(Node::Arr(items)) => (*most..items.len()).map(|item| format!("{at}/{item}")).collect(),
                    Some(Node::Obj(members)) => {
                        let names = members.entries.iter().skip(*most);
                        names.map(|(name, _)| format!("{at}/{}", escaped(name))).collect()
                    }
                    _ => vec![at],
                }
            }
            Self::Never => vec![String::new()],
        }
    }

    /// Makes a document usable, as one of the [`VARIANTS`].
    pub(super) fn mend(&self, document: &mut Node<'_>, gate: &Gate, variant: usize) {
        match self {
            Self::StandIn { path, rule } => put(document, path, stand_in(gate, *rule, variant)),
            Self::Kind { path, kind } => put(document, path, Node::Str(Cow::Owned(kind.clone()))),
            Self::Out(path) => remove(document, path),
            Self::CutDown { path, most } => match place(document, path) {
                Some(Node::Arr(items)) => items.truncate(*most),
                Some(Node::Obj(members)) => members.entries.truncate(*most),
                _ => {}
            },
            Self::Never => {}
        }
    }
}

fn pointer(path: &[String]) -> String {
    path.iter().fold(String::new(), |pointer, name| pointer + "/" + &escaped(name))
}

/// What stands at a path.
fn found<'d, 'a>(document: &'d Node<'a>, path: &[String]) -> Option<&'d Node<'a>> {
    path.iter().try_fold(document, |place, step| match place {
        Node::Obj(members) => members.get(step),
        Node::Arr(items) => step.parse().ok().and_then(|item: usize| items.get(item)),
        Node::Null | Node::Bool(_) | Node::Num(_) | Node::Str(_) => None,
    })
}

/// The same to be changed, if it is still there: an outer part may be gone already.
fn place<'d, 'a>(document: &'d mut Node<'a>, path: &[String]) -> Option<&'d mut Node<'a>> {
    path.iter().try_fold(document, |place, step| match place {
        Node::Obj(members) => members.get_mut(step),
        Node::Arr(items) => step.parse().ok().and_then(|item: usize| items.get_mut(item)),
        Node::Null | Node::Bool(_) | Node::Num(_) | Node::Str(_) => None,
    })
}

fn put(document: &mut Node<'_>, path: &[String], node: Node<'static>) {
    let Some((last, way)) = path.split_last() else { return };
    match place(document, way) {
        Some(Node::Obj(members)) => match members.get_mut(last) {
            Some(place) => *place = node,
            None => members.entries.push((Cow::Owned(last.clone()), node)),
        },
        Some(Node::Arr(items)) => {
            if let Some(place) = last.parse().ok().and_then(|item: usize| items.get_mut(item)) {
                *place = node;
            }
        }
        _ => {}
    }
}

fn remove(document: &mut Node<'_>, path: &[String]) {
    let Some((last, way)) = path.split_last() else { return };
    if let Some(Node::Obj(members)) = place(document, way) {
        members.entries.retain(|(name, _)| name != last);
    }
}

/// The least that a rule takes, other in each variant.
fn stand_in(gate: &Gate, rule: usize, variant: usize) -> Node<'static> {
    match &gate.rules[rule] {
        Rule::Bool => Node::Bool(variant > 0),
        Rule::Number { whole, bounds, penny } => Node::Num(number(bounds, *whole, *penny, variant)),
        Rule::Text { length, form, date, one_of } => {
            let text = match (one_of.is_empty(), form) {
                (false, _) => one_of[spread(one_of.len(), variant)].clone(),
                (true, _) if *date => ["1970-01-01", "2026-01-01", "2999-12-31"][variant].to_owned(),
                (true, Some(form)) => form.stand_ins[variant].to_owned(),
                (true, None) => "-".repeat(variant + 1),
            };
            let lacking = length.min.saturating_sub(text.chars().count());
            Node::Str(Cow::Owned(text + &"-".repeat(lacking)))
        }
        Rule::List { items, count } => Node::Arr((0..count.min).map(|_| stand_in(gate, *items, variant)).collect()),
        Rule::Map { values, count, .. } => {
            let entry = |number| (Cow::Owned(format!("stand-in-{number}")), stand_in(gate, *values, variant));
            Node::Obj(Members { entries: (0..count.min).map(entry).collect(), repeated: Vec::new() })
        }
        Rule::Object(object) => of_object(gate, object, variant),
        Rule::Union(kinds) => of_object(gate, &kinds[spread(kinds.len(), variant)].1, variant),
        Rule::OrNull(inner) if variant > 0 => stand_in(gate, *inner, variant),
        Rule::OrNull(_) | Rule::Pending => Node::Null,
    }
}

fn of_object(gate: &Gate, object: &Object, variant: usize) -> Node<'static> {
    let required = object.members.iter().filter(|member| member.required);
    let entries = required.map(|member| (Cow::Owned(member.name.clone()), stand_in(gate, member.rule, variant)));
    Node::Obj(Members { entries: entries.collect(), repeated: Vec::new() })
}

/// The first, a middle one and the last of so many.
fn spread(count: usize, variant: usize) -> usize {
    count.saturating_sub(1) * variant / (VARIANTS - 1)
}

/// A number near the lower bound, in the middle, or near the upper bound.
#[expect(clippy::cast_precision_loss, reason = "a few variants")]
fn number(bounds: &Bounds, whole: bool, penny: bool, variant: usize) -> f64 {
    let low = bounds.min.or(bounds.above);
    let high = bounds.max.or(bounds.below);
    let low = low.unwrap_or_else(|| high.map_or(0.0, |high| high.min(0.0) - 1000.0));
    let high = high.unwrap_or(low + 1000.0);
    let part = variant as f64 / (VARIANTS - 1) as f64;
    // what must be more or less than a bound stays off it
    let inner = (high - low) / 1024.0;
    let (from, to) = if bounds.min.is_some() { (low, high) } else { (low + inner, high) };
    let to = if bounds.below.is_some() && bounds.max.is_none() { to - inner } else { to };
    let found = from + part * (to - from);
    if whole {
        let found = found.round();
        if bounds.above.is_some_and(|above| found <= above) { found + 1.0 } else { found }
    } else if penny {
        (found * 100.0).ceil().min((high * 100.0).floor()) / 100.0
    } else {
        found
    }
}
