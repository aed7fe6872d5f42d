//! One walk over a document against its gate: every fault, with its pointer, in our own words.

mod plain;

use std::fmt::Write as _;

use super::FaultCode;
use super::fault::{Fault, escaped};
use super::form::Form;
use super::gate::{Bounds, Count, Gate, Member, Object, Rule};
use super::mend::Repair;
use super::node::{Members, Node};
use super::words::{did_you_mean, figure, is_misspelt, near, quoted, steers};

/// Faults told of one document; a document with more is told so.
pub(super) const MOST_FAULTS: usize = 500;

/// What the walk found.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub faults: Vec<Fault>,
    /// What makes the document usable in spite of its faults, what holds others before what is within it.
    pub repairs: Vec<Repair>,
}

/// Walks a document.
pub(super) fn walk(gate: &Gate, document: &Node<'_>) -> Found {
    let mut walker = Walker { gate, path: Vec::new(), rules: vec![gate.root], found: Found::default() };
    if !walker.is_of_another_schema(document) {
        walker.value(gate.root, document);
    }
    walker.found
}

/// The member by which a document says its form.
const SCHEMA: &str = "schema";

/// The member by which an object says which of a union it is.
const KIND: &str = "kind";

enum Step<'w> {
    Name(&'w str),
    Item(usize),
}

struct Walker<'w> {
    gate: &'w Gate,
    path: Vec<Step<'w>>,
    /// The rule of what is looked at, behind those of what holds it.
    rules: Vec<usize>,
    found: Found,
}

impl<'w> Walker<'w> {
    /// Whether a document says that its form is another than the one that is read: then that is told, and nothing else,
    /// for what would be a fault here may be right there.
    fn is_of_another_schema(&mut self, document: &'w Node<'_>) -> bool {
        let (Rule::Object(object), Node::Obj(members)) = (&self.gate.rules[self.gate.root], document) else {
            return false;
        };
        let member = object.members.iter().find(|member| member.name == SCHEMA);
        let Some(Rule::Number { bounds: Bounds { min: Some(read), max: Some(newest), .. }, .. }) =
            member.map(|member| &self.gate.rules[member.rule])
        else {
            return false;
        };
        let Some(&Node::Num(sent)) = members.get(SCHEMA) else { return false };
        // what is not whole is no schema at all
        if sent.fract() != 0.0 || (*read..=*newest).contains(&sent) {
            return false;
        }
        let detail = format!("this service reads schema {read}, and schema {} was sent", figure(sent));
        self.path.push(Step::Name(SCHEMA));
        let fault = self.told(FaultCode::OtherSchema, detail).limit(*newest);
        self.path.pop();
        self.found.faults.push(fault);
        self.found.repairs.push(Repair::Never);
        true
    }

    fn value(&mut self, rule: usize, node: &'w Node<'_>) {
        let gate = self.gate;
        match (&gate.rules[rule], node) {
            (Rule::OrNull(_), Node::Null) | (Rule::Bool, Node::Bool(_)) => {}
            (Rule::OrNull(inner), _) => self.value(*inner, node),
            (Rule::Number { whole, bounds, penny }, Node::Num(x)) => self.number(*x, *whole, bounds, *penny),
            (Rule::Text { length, form, date, one_of }, Node::Str(text)) => {
                if !one_of.is_empty() {
                    self.choice(text, one_of);
                } else if self.counted(text.chars().count(), length, ["character", "characters"]) {
                    self.form(text, *form, *date);
                }
            }
            (Rule::List { items, count }, Node::Arr(nodes)) => {
                self.counted(nodes.len(), count, ["item", "items"]);
                for (i, item) in nodes.iter().enumerate() {
                    self.below(Step::Item(i), *items, |walker| walker.value(*items, item));
                }
            }
            (Rule::Map { names, values, count }, Node::Obj(members)) => self.map(names, *values, count, members),
            (Rule::Object(object), Node::Obj(members)) => self.object(object, members, None),
            (Rule::Union(kinds), Node::Obj(members)) => self.union(kinds, members),
            (rule, _) => {
                self.fault(
                    FaultCode::WrongType,
                    format!("{} was expected here, and {} was found", expected(rule), node.kind()),
                );
            }
        }
    }

    fn map(&mut self, names: &Form, values: usize, count: &Count, members: &'w Members<'_>) {
        self.repeated(members, |_| Some(values));
        self.counted(members.entries.len(), count, ["entry", "entries"]);
        for (name, entry) in &members.entries {
            self.below(Step::Name(name), values, |walker| {
                if !(names.holds)(name) {
                    let fault = walker.told(FaultCode::BadId, format!("{} is not {}", quoted(name), names.words));
                    walker.found.faults.push(fault);
                    // what is no id cannot stand in a pointer as it is, but for one that is only spelled as no id may be
                    if !names.is_id() || name.is_empty() || name.contains(['/', '~']) || name.contains(steers) {
                        walker.found.repairs.push(Repair::Out(walker.names()));
                    }
                }
                walker.value(values, entry);
            });
        }
    }

    /// Looks at the members of an object, but for one that has been told already.
    fn object(&mut self, object: &'w Object, members: &'w Members<'_>, told: Option<&str>) {
        let is_told = |name: &str| told == Some(name);
        let member = |name: &str| object.members.iter().find(|member| member.name == name);
        self.repeated(members, |name| member(name).map(|member| member.rule));
        // what is there already was not meant by a name that is none
        let free = || object.members.iter().map(|member| &*member.name).filter(|name| members.get(name).is_none());
        let strange = || members.entries.iter().map(|(name, _)| &**name).filter(|name| member(name).is_none());
        let is_missing =
            |member: &&Member| member.required && members.get(&member.name).is_none() && !is_told(&member.name);
        for missing in object.members.iter().filter(is_missing) {
            let is_meant = |name: &str| is_misspelt(name, &missing.name) && near(name, free()) == Some(&missing.name);
            let is_misspelt = strange().any(is_meant);
            self.missing(missing, is_misspelt);
        }
        for (name, node) in members.entries.iter().filter(|(name, _)| !is_told(name)) {
            match member(name) {
                Some(member) => self.below(Step::Name(name), member.rule, |walker| walker.value(member.rule, node)),
                None => {
                    let known: Vec<&str> = object.members.iter().map(|member| member.name.as_str()).collect();
                    let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
                    let meant = did_you_mean(name, free());
                    let detail = format!("there is no field {} here; there are: {known}{meant}", quoted(name));
                    self.path.push(Step::Name(name));
                    let fault = self.told(FaultCode::UnknownField, detail);
                    self.found.faults.push(fault);
                    self.found.repairs.push(Repair::Out(self.names()));
                    self.path.pop();
                }
            }
        }
    }

    fn union(&mut self, kinds: &'w [(String, Object)], members: &'w Members<'_>) {
        let known = || kinds.iter().map(|(name, _)| name.as_str());
        let of = |kind: &str| kinds.iter().find(|(name, _)| name == kind);
        let (told, meant) = match members.get(KIND) {
            Some(Node::Str(kind)) => match of(kind) {
                Some((_, object)) => return self.object(object, members, None),
                None => {
                    let known: Vec<&str> = known().collect();
                    let meant = near(kind, known.iter().copied()).and_then(of);
                    (Some((FaultCode::UnknownChoice, not_among(kind, &known))), meant)
                }
            },
            Some(other) => {
                let detail = format!("text was expected here, and {} was found", other.kind());
                (Some((FaultCode::WrongType, detail)), only_with(kinds, members))
            }
            None => (None, only_with(kinds, members)),
        };
        let fault = match told {
            Some((code, detail)) => {
                self.path.push(Step::Name(KIND));
                let fault = self.told(code, detail);
                self.path.pop();
                fault
            }
            None => self.told(FaultCode::MissingField, "the field kind is missing"),
        };
        self.found.faults.push(fault);
        match meant {
            Some((kind, object)) => {
                let path = self.names().into_iter().chain([KIND.to_owned()]).collect();
                self.found.repairs.push(Repair::Kind { path, kind: kind.clone() });
                self.object(object, members, Some(KIND));
            }
            None => {
                // which members there may be is not known: something stands in for the whole
                self.stands_in();
                self.repeated(members, |_| None);
            }
        }
    }

    /// Tells the names that stood more than once. Which one was meant is not known, so something stands in for each that
    /// has a rule.
    fn repeated(&mut self, members: &'w Members<'_>, rule: impl Fn(&str) -> Option<usize>) {
        for name in &members.repeated {
            let detail = format!("the key {} stands more than once", quoted(name));
            self.path.push(Step::Name(name));
            let fault = Fault::unreadable(self.pointer(), FaultCode::DuplicateKey, detail);
            self.found.faults.push(fault);
            if let Some(rule) = rule(name) {
                self.found.repairs.push(Repair::StandIn { path: self.names(), rule });
            }
            self.path.pop();
        }
    }

    fn below(&mut self, step: Step<'w>, rule: usize, look: impl FnOnce(&mut Self)) {
        self.path.push(step);
        self.rules.push(rule);
        look(self);
        self.path.pop();
        self.rules.pop();
    }

    /// A fault of what is looked at, which is not told yet.
    fn told(&self, code: FaultCode, detail: impl Into<String>) -> Fault {
        Fault::new(self.pointer(), code, detail)
    }

    /// Tells a fault of what is looked at, for which something stands in.
    fn fault(&mut self, code: FaultCode, detail: impl Into<String>) {
        let fault = self.told(code, detail);
        self.found.faults.push(fault);
        self.stands_in();
    }

    fn out(&mut self, code: FaultCode, detail: String, limit: f64) {
        let fault = self.told(code, detail).limit(limit);
        self.found.faults.push(fault);
        self.stands_in();
    }

    /// Tells that a member is missing, unless a name that is none was meant for it: then that is told.
    fn missing(&mut self, member: &Member, is_misspelt: bool) {
        if !is_misspelt {
            let fault = self.told(FaultCode::MissingField, format!("the field {} is missing", member.name));
            self.found.faults.push(fault);
        }
        let path = self.names().into_iter().chain([member.name.clone()]).collect();
        self.found.repairs.push(Repair::StandIn { path, rule: member.rule });
    }

    fn stands_in(&mut self) {
        let repair = match self.rules.last() {
            Some(&rule) if !self.path.is_empty() => Repair::StandIn { path: self.names(), rule },
            _ => Repair::Never,
        };
        self.found.repairs.push(repair);
    }

    fn names(&self) -> Vec<String> {
        self.path.iter().map(Step::name).collect()
    }

    fn pointer(&self) -> String {
        let mut pointer = String::new();
        for step in &self.path {
            // writing to a String cannot fail
            let _ = match step {
                Step::Name(name) => write!(pointer, "/{}", escaped(name)),
                Step::Item(i) => write!(pointer, "/{i}"),
            };
        }
        pointer
    }
}

impl Step<'_> {
    fn name(&self) -> String {
        match self {
            Step::Name(name) => (*name).to_owned(),
            Step::Item(i) => i.to_string(),
        }
    }
}

/// The only kind of a union that has every member that stands there.
fn only_with<'w>(kinds: &'w [(String, Object)], members: &Members<'_>) -> Option<&'w (String, Object)> {
    let named = members.entries.iter().map(|(name, _)| &**name).filter(|name| *name != KIND);
    let named: Vec<&str> = named.collect();
    if named.is_empty() {
        return None;
    }
    let has = |object: &Object, name: &str| object.members.iter().any(|member| member.name == name);
    let mut fit = kinds.iter().filter(|(_, object)| named.iter().all(|name| has(object, name)));
    fit.next().filter(|_| fit.next().is_none())
}

/// What is said of a choice that is none.
fn not_among(sent: &str, known: &[&str]) -> String {
    let meant = did_you_mean(sent, known.iter().copied());
    format!("{} is none of {}{meant}", quoted(sent), known.join(", "))
}

fn expected(rule: &Rule) -> &'static str {
    match rule {
        Rule::Bool => "true or false",
        Rule::Number { whole: true, .. } => "a whole number",
        Rule::Number { .. } => "a number",
        Rule::Text { .. } => "text",
        Rule::List { .. } => "a list",
        Rule::Map { .. } | Rule::Object(_) | Rule::Union(_) => "an object",
        Rule::OrNull(_) | Rule::Pending => "something else",
    }
}
