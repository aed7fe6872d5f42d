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

/// A place of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Place {
    /// JSON Pointer to it.
    pub pointer: String,
    /// Its number within each list and object on the way; for a member that is missing that of the object.
    pub way: Vec<usize>,
    /// The name of a member that is missing there.
    pub missing: Option<String>,
}

/// What makes a place of a document usable.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Repair {
    /// Something stands in for what is there, or for what is missing, by a rule of the gate.
    StandIn { at: Place, rule: usize },
    /// The kind that was meant stands in for one that is misspelt or missing.
    Kind { at: Place, kind: String },
    /// A member or an entry is taken out.
    Out(Place),
    /// A list or a map is cut down to so many.
    CutDown { at: Place, most: usize },
    /// Nothing does.
    Never,
}

impl Repair {
    /// Pointers of what is stood in for or taken out.
    pub(super) fn places(&self, document: &mut Node<'_>) -> Vec<String> {
        match self {
            Self::StandIn { at, .. } | Self::Kind { at, .. } | Self::Out(at) => vec![at.pointer.clone()],
            Self::CutDown { at: Place { pointer, way, .. }, most } => match place(document, way) {
                Some(Node::Arr(items)) => (*most..items.len()).map(|item| format!("{pointer}/{item}")).collect(),
                Some(Node::Obj(members)) => {
                    let names = members.0.iter().skip(*most);
                    names.map(|(name, _)| format!("{pointer}/{}", escaped(name))).collect()
                }
                _ => vec![pointer.clone()],
            },
            Self::Never => vec![String::new()],
        }
    }

    /// Makes a document usable, as one of the [`VARIANTS`]; one that was made so as another is made so as this.
    pub(super) fn mend(&self, document: &mut Node<'_>, gate: &Gate, variant: usize) {
        match self {
            Self::StandIn { at, rule } => put(document, at, stand_in(gate, *rule, variant)),
            Self::Kind { at, kind } => put(document, at, Node::Str(Cow::Owned(kind.clone()))),
            // a member that is null is not there
            Self::Out(at) => put(document, at, Node::Null),
            Self::CutDown { at, most } => match place(document, &at.way) {
                Some(Node::Arr(items)) => items.truncate(*most),
                Some(Node::Obj(members)) => members.0.truncate(*most),
                _ => {}
            },
            Self::Never => {}
        }
    }
}

/// What stands at the end of a way, if it is still there: an outer part may be gone already.
fn place<'d, 'a>(document: &'d mut Node<'a>, way: &[usize]) -> Option<&'d mut Node<'a>> {
    let inner = if let Node::Twice(first) = document { &mut **first } else { document };
    let Some((step, way)) = way.split_first() else { return Some(inner) };
    match inner {
        Node::Obj(members) => place(&mut members.0.get_mut(*step)?.1, way),
        Node::Arr(items) => place(items.get_mut(*step)?, way),
        Node::Null | Node::Bool(_) | Node::Num(_) | Node::Str(_) | Node::Twice(_) => None,
    }
}

fn put(document: &mut Node<'_>, at: &Place, node: Node<'static>) {
    match (place(document, &at.way), &at.missing) {
        (Some(place), None) => *place = node,
        (Some(Node::Obj(members)), Some(name)) => match members.0.iter_mut().rev().find(|(key, _)| key == name) {
            Some((_, place)) => *place = node,
            None => members.0.push((Cow::Owned(name.clone()), node)),
        },
        (Some(_) | None, _) => {}
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
            Node::Obj(Members((0..count.min).map(entry).collect()))
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
    Node::Obj(Members(entries.collect()))
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
