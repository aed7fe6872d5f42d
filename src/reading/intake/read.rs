//! The whole reading: text, tree, gate, rules within objects, typed document.

use std::borrow::Cow;

use serde::de::DeserializeOwned;
use utoipa::ToSchema;
use validator::Validate;

use super::fault::{self, Fault, Severity};
use super::gate::Gate;
use super::node::Node;
use super::parameters;
use super::walk::{Cut, MOST_FAULTS, walk};

/// A type that is read from requests.
pub trait Document: ToSchema + DeserializeOwned + Validate {
    /// JSON that stands in for a required part of the document when that part is at fault, so that the rest can
    /// still be checked. The document is refused all the same.
    fn stand_in(part: &str) -> Option<&'static str>;
}

/// What came of reading a document.
#[derive(Debug)]
pub struct Reading<T> {
    /// The document, with faulty parts left out; nothing if too little of it is left.
    pub document: Option<T>,
    /// Every fault found so far, in the order of the document. A document without faults is whole.
    pub faults: Vec<Fault>,
    /// Pointers of the parts that were left out because they are at fault.
    pub left_out: Vec<String>,
}

impl<T> Reading<T> {
    /// Adds faults found later, save those that only point at what was left out.
    pub fn add(&mut self, faults: impl IntoIterator<Item = Fault>) {
        let left_out = std::mem::take(&mut self.left_out);
        self.faults.extend(faults.into_iter().filter(|fault| !fault.hangs_on(&left_out)));
        self.left_out = left_out;
    }
}

/// Reads a JSON text as a document: every fault at once.
#[must_use]
pub fn read<T: Document>(gate: &Gate, text: &[u8]) -> Reading<T> {
    match Node::parse(text) {
        Ok(tree) => read_tree(gate, tree),
        Err(fault) => Reading { document: None, faults: vec![fault], left_out: Vec::new() },
    }
}

/// Reads the query of a URL as a document whose members are plain values: every fault at once, all of them
/// unreadable, and each pointing at the parameter it names.
#[must_use]
pub fn read_parameters<T: Document>(gate: &Gate, query: &str) -> Reading<T> {
    let mut reading = read_tree(gate, parameters::tree(gate, query));
    reading.faults.iter_mut().for_each(|fault| fault.severity = Severity::Unreadable);
    reading
}

fn read_tree<T: Document>(gate: &Gate, mut tree: Node<'_>) -> Reading<T> {
    let found = walk(gate, &tree);
    let mut left_out: Vec<String> = Vec::new();
    let mut usable = true;
    for cut in &found.cuts {
        match leave_out::<T>(&mut tree, cut) {
            Some(pointer) => left_out.push(pointer),
            None => usable = false,
        }
    }
    let mut reading = Reading { document: None, faults: found.faults, left_out };
    if usable {
        reading.document = typed(&tree, &mut reading.faults);
    }
    if let Some(Err(errors)) = reading.document.as_ref().map(Validate::validate) {
        let broken = fault::of_rules(&errors);
        reading.add(broken);
    }
    shorten(&mut reading.faults);
    reading
}

/// The typed document. What passed the gate can be read; should that ever fail, it is told as a fault.
fn typed<T: Document>(tree: &Node<'_>, faults: &mut Vec<Fault>) -> Option<T> {
    match T::deserialize(tree) {
        Ok(document) => Some(document),
        Err(error) if faults.is_empty() => {
            faults.push(Fault::new("", "unreadable_value", format!("the document cannot be read: {error}")));
            None
        }
        Err(_) => None,
    }
}

/// Leaves a part out of the tree, or puts a stand-in in its place, and answers where; nothing if what is left
/// cannot be read.
fn leave_out<T: Document>(tree: &mut Node<'_>, cut: &Cut) -> Option<String> {
    match cut {
        Cut::Whole => None,
        Cut::Part(part) => {
            let Node::Obj(document) = tree else { return None };
            let stand_in = Node::parse(T::stand_in(part)?.as_bytes()).ok()?;
            match document.get_mut(part) {
                Some(place) => *place = stand_in,
                None => document.entries.push((Cow::Owned(part.clone()), stand_in)),
            }
            Some(format!("/{}", fault::escaped(part)))
        }
        Cut::Out(path) => {
            remove(tree, path);
            Some(path.iter().fold(String::new(), |pointer, name| pointer + "/" + &fault::escaped(name)))
        }
    }
}

/// Removes the member that stands at a path, if it is still there: an outer part may be gone already.
fn remove(tree: &mut Node<'_>, path: &[String]) {
    let Some((last, way)) = path.split_last() else { return };
    let mut place = tree;
    for step in way {
        let below = match place {
            Node::Obj(members) => members.get_mut(step),
            Node::Arr(items) => step.parse().ok().and_then(|item: usize| items.get_mut(item)),
            Node::Null | Node::Bool(_) | Node::Num(_) | Node::Str(_) => None,
        };
        let Some(below) = below else { return };
        place = below;
    }
    if let Node::Obj(members) = place {
        members.entries.retain(|(name, _)| name != last);
    }
}

/// Keeps an answer readable: beyond a number of faults, the rest is counted.
fn shorten(faults: &mut Vec<Fault>) {
    let more = faults.len().saturating_sub(MOST_FAULTS);
    if more > 0 {
        let severity = faults.iter().map(|fault| fault.severity).max();
        faults.truncate(MOST_FAULTS);
        faults.push(Fault {
            severity: severity.unwrap_or(Severity::Unprocessable),
            ..Fault::new("", "more_faults", format!("and {more} more"))
        });
    }
}
