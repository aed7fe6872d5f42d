//! The whole reading: text, tree, gate, rules within objects, typed document.

use serde::de::DeserializeOwned;
use utoipa::ToSchema;
use validator::Validate;

use super::FaultCode;
use super::fault::{self, Fault, Places, Severity};
use super::gate::Gate;
use super::mend::VARIANTS;
use super::node::{Node, utf8};
use super::parameters;
use super::strict;
use super::walk::{Found, MOST_FAULTS, walk};

/// A type that is read from requests.
pub trait Document: ToSchema + DeserializeOwned + Validate {}

impl<T: ToSchema + DeserializeOwned + Validate> Document for T {}

/// What came of reading a document.
#[derive(Debug)]
pub struct Reading<T> {
    /// The document; nothing if it cannot be worked with. Where a place is at fault, something stands in for it.
    pub document: Option<T>,
    /// The same with other stand-ins.
    others: Vec<T>,
    /// Every fault found so far, in the order of the document. A document without faults is whole.
    pub faults: Vec<Fault>,
    /// Places that are at fault themselves, for which something stands in.
    stood_in: Places,
}

impl<T: Validate> Reading<T> {
    /// A document that the gate let through, held against the rules within its objects.
    fn of(document: T, others: Vec<T>, faults: Vec<Fault>, stood_in: Places) -> Self {
        let mut reading = Self { document: Some(document), others, faults, stood_in };
        reading.check(|document| document.validate().map_or_else(|errors| fault::of_rules(&errors), |()| Vec::new()));
        reading
    }
}

impl<T> Reading<T> {
    /// Looks at the document further and adds the faults that are found, save those that only follow from what stands in
    /// for a place at fault: they point at it, rest on it, or are not found with every stand-in alike. One that rests on the
    /// place of another is left to that.
    pub fn check(&mut self, mut look: impl FnMut(&T) -> Vec<Fault>) {
        let Some(document) = &self.document else { return };
        let found = look(document);
        let mut found: Vec<Fault> = found.into_iter().filter(|fault| !fault.hangs_on(&self.stood_in)).collect();
        for other in &self.others {
            if found.is_empty() {
                return;
            }
            let there = look(other);
            found.retain(|fault| there.iter().any(|same| same.is_told_as(fault)));
        }
        let mut at: Places = found.iter().map(|fault| fault.pointer.clone()).collect();
        self.faults.extend(found.into_iter().filter(|fault| !fault.follows_from(&mut at)));
        if self.faults.len() > MOST_FAULTS {
            self.faults.truncate(MOST_FAULTS);
            self.faults.push(many_more(&self.faults));
        }
    }
}

/// Reads a JSON text as a document: every fault at once.
#[must_use]
pub fn read<T: Document>(gate: &Gate, text: &[u8]) -> Reading<T> {
    if let Some(document) = utf8(text).ok().and_then(|text| strict::read(gate, text)) {
        return Reading::of(document, Vec::new(), Vec::new(), Places::default());
    }
    match Node::parse(text) {
        Ok(tree) => read_tree(gate, tree),
        Err(fault) => Reading { document: None, others: Vec::new(), faults: vec![fault], stood_in: Places::default() },
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

/// What one pass makes of a text, and what its tree does where the gate has no fault to tell.
#[cfg(test)]
pub(crate) fn both_ways<T: Document>(gate: &Gate, text: &str) -> (Option<T>, Option<T>) {
    let tree = Node::parse(text.as_bytes()).ok().filter(|tree| walk(gate, tree).faults.is_empty());
    (strict::read(gate, text), tree.and_then(|tree| T::deserialize(&tree).ok()))
}

fn read_tree<T: Document>(gate: &Gate, mut tree: Node<'_>) -> Reading<T> {
    let Found { mut faults, repairs, more } = walk(gate, &tree);
    if more {
        // with so many faults nobody asks what else there is
        faults.push(many_more(&faults));
        return Reading { document: None, others: Vec::new(), faults, stood_in: Places::default() };
    }
    let stood_in = repairs.iter().flat_map(|repair| repair.places(&mut tree)).collect();
    let mut documents: Vec<T> = Vec::with_capacity(VARIANTS);
    for variant in 0..if repairs.is_empty() { 1 } else { VARIANTS } {
        // what is within a place before the place itself
        repairs.iter().rev().for_each(|repair| repair.mend(&mut tree, gate, variant));
        let Some(document) = typed(&tree, &mut faults) else { break };
        documents.push(document);
    }
    let others = if documents.len() > 1 { documents.split_off(1) } else { Vec::new() };
    match documents.pop() {
        Some(document) => Reading::of(document, others, faults, stood_in),
        None => Reading { document: None, others, faults, stood_in },
    }
}

/// The typed document. What passed the gate can be read; should that ever fail, it is told as a fault.
fn typed<T: Document>(tree: &Node<'_>, faults: &mut Vec<Fault>) -> Option<T> {
    match T::deserialize(tree) {
        Ok(document) => Some(document),
        Err(_) if faults.is_empty() => {
            let detail = "the document has passed every check and still cannot be read: a fault of this program";
            faults.push(Fault::new("", FaultCode::UnreadableValue, detail));
            None
        }
        Err(_) => None,
    }
}

/// That a document has more faults than are told, as severe as the worst of those.
fn many_more(faults: &[Fault]) -> Fault {
    let mut more = Fault::new("", FaultCode::MoreFaults, "and more: the first of them are told");
    more.severity = faults.iter().map(|fault| fault.severity).max().unwrap_or(Severity::Unprocessable);
    more
}
