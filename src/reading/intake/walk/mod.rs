//! One walk over a document against its gate: every fault, with its pointer, in our own words.

mod plain;

pub(super) use plain::{is_right_number, is_right_text};

use std::fmt::Write as _;

use super::FaultCode;
use super::fault::{Fault, escaped};
use super::form::Form;
use super::gate::{Bounds, Count, Gate, Member, Object, Rule};
use super::mend::{Place, Repair};
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
    /// Whether there are more faults than these, at which the walk ended.
    pub more: bool,
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
pub(super) const KIND: &str = "kind";

/// A step from an object or a list to what is in it, with its number there.
#[derive(Clone, Copy)]
enum Step<'w> {
    Name(&'w str, usize),
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
        let Some(place) = members.place_of(SCHEMA) else { return false };
        let Node::Num(sent) = members.0[place].1 else { return false };
        // what is not whole is no schema at all
        if sent.fract() != 0.0 || (*read..=*newest).contains(&sent) {
            return false;
        }
        let detail = format!("this service reads schema {read}, and schema {} was sent", figure(sent));
        self.path.push(Step::Name(SCHEMA, place));
        let fault = self.told(FaultCode::OtherSchema, detail).limit(*newest);
        self.path.pop();
        self.tell(fault, Some(Repair::Never));
        true
    }

    fn value(&mut self, rule: usize, node: &'w Node<'_>) {
        let gate = self.gate;
        if self.found.more {
            return;
        }
        match (&gate.rules[rule], node) {
            // that its name stands twice is told with its object
            (_, Node::Twice(first)) => self.value(rule, first),
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
                    if self.found.more {
                        break;
                    }
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
        self.counted(members.0.len(), count, ["entry", "entries"]);
        for (place, (name, entry)) in members.0.iter().enumerate() {
            if self.found.more {
                return;
            }
            self.below(Step::Name(name, place), values, |walker| {
                if !(names.holds)(name) {
                    let fault = walker.told(FaultCode::BadId, format!("{} is not {}", quoted(name), names.words));
                    // what is no id cannot stand in a pointer as it is, but for one that is only spelled as no id may be
                    let goes = !names.is_id() || name.is_empty() || name.contains(['/', '~']) || name.contains(steers);
                    let repair = goes.then(|| Repair::Out(walker.place()));
                    walker.tell(fault, repair);
                }
                walker.value(values, entry);
            });
        }
    }

    /// Looks at the members of an object, but for one that has been told already.
    fn object(&mut self, object: &'w Object, members: &'w Members<'_>, told: Option<&str>) {
        /// Names that are none and are held against those that are missing.
        const LOOKED_AT: usize = 64;
        let is_told = |name: &str| told == Some(name);
        let place_of = |name: &str| object.members.iter().position(|member| member.name == name);
        let places: Vec<Option<usize>> = members.0.iter().map(|(name, _)| place_of(name)).collect();
        let mut is_there = vec![false; object.members.len()];
        places.iter().flatten().for_each(|&place| is_there[place] = true);
        self.repeated(members, |place| places[place].map(|member| object.members[member].rule));
        // what is there already was not meant by a name that is none
        let absent = object.members.iter().zip(&is_there).filter(|(_, is_there)| !**is_there).map(|(member, _)| member);
        let free: Vec<&str> = absent.clone().map(|member| member.name.as_str()).collect();
        let strange =
            || members.0.iter().zip(&places).filter(|(_, place)| place.is_none()).map(|((name, _), _)| &**name);
        for missing in absent.filter(|member| member.required && !is_told(&member.name)) {
            let is_meant = |name: &str| {
                is_misspelt(name, &missing.name) && near(name, free.iter().copied()) == Some(&missing.name)
            };
            let is_misspelt = strange().take(LOOKED_AT).any(is_meant);
            self.missing(missing, is_misspelt);
        }
        for ((at, (name, node)), place) in members.0.iter().enumerate().zip(&places) {
            if self.found.more {
                return;
            }
            if is_told(name) {
                continue;
            }
            let step = Step::Name(name, at);
            match place.map(|place| &object.members[place]) {
                Some(member) => self.below(step, member.rule, |walker| walker.value(member.rule, node)),
                None => {
                    let known: Vec<&str> = object.members.iter().map(|member| member.name.as_str()).collect();
                    let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
                    let meant = did_you_mean(name, free.iter().copied());
                    let detail = format!("there is no field {} here; there are: {known}{meant}", quoted(name));
                    self.path.push(step);
                    self.tell(self.told(FaultCode::UnknownField, detail), Some(Repair::Out(self.place())));
                    self.path.pop();
                }
            }
        }
    }

    fn union(&mut self, kinds: &'w [(String, Object)], members: &'w Members<'_>) {
        let known = || kinds.iter().map(|(name, _)| name.as_str());
        let of = |kind: &str| kinds.iter().find(|(name, _)| name == kind);
        let place = members.place_of(KIND);
        let sent = place.map(|place| members.0[place].1.first());
        let (told, meant) = match sent {
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
        let fault = match (told, place) {
            (Some((code, detail)), Some(place)) => {
                self.path.push(Step::Name(KIND, place));
                let fault = self.told(code, detail);
                self.path.pop();
                fault
            }
            (Some(_) | None, _) => self.told(FaultCode::MissingField, "the field kind is missing"),
        };
        match meant {
            Some((kind, object)) => {
                let mut at = self.place();
                at.pointer = format!("{}/{KIND}", at.pointer);
                match place {
                    Some(place) => at.way.push(place),
                    None => at.missing = Some(KIND.to_owned()),
                }
                self.tell(fault, Some(Repair::Kind { at, kind: kind.clone() }));
                self.object(object, members, Some(KIND));
            }
            None => {
                // which members there may be is not known: something stands in for the whole
                self.tell(fault, Some(self.standing_in()));
                self.repeated(members, |_| None);
            }
        }
    }

    /// Tells the names that stood more than once. Which one was meant is not known, so something stands in for each that
    /// has a rule, by where it stands.
    fn repeated(&mut self, members: &'w Members<'_>, rule: impl Fn(usize) -> Option<usize>) {
        for (at, (name, _)) in members.0.iter().enumerate().filter(|(_, (_, node))| matches!(node, Node::Twice(_))) {
            if self.found.more {
                return;
            }
            let detail = format!("the key {} stands more than once", quoted(name));
            self.path.push(Step::Name(name, at));
            let fault = Fault::unreadable(self.pointer(), FaultCode::DuplicateKey, detail);
            let repair = rule(at).map(|rule| Repair::StandIn { at: self.place(), rule });
            self.tell(fault, repair);
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

    /// Adds a fault with what makes its place usable, up to so many faults.
    fn tell(&mut self, fault: Fault, repair: Option<Repair>) {
        if self.found.faults.len() == MOST_FAULTS {
            self.found.more = true;
            return;
        }
        self.found.faults.push(fault);
        self.found.repairs.extend(repair);
    }

    /// Tells a fault of what is looked at, for which something stands in.
    fn fault(&mut self, code: FaultCode, detail: impl Into<String>) {
        self.tell(self.told(code, detail), Some(self.standing_in()));
    }

    fn out(&mut self, code: FaultCode, detail: String, limit: f64) {
        self.tell(self.told(code, detail).limit(limit), Some(self.standing_in()));
    }

    /// Tells that a member is missing, unless a name that is none was meant for it: then that is told.
    fn missing(&mut self, member: &Member, is_misspelt: bool) {
        let mut at = self.place();
        at.pointer = format!("{}/{}", at.pointer, escaped(&member.name));
        at.missing = Some(member.name.clone());
        let repair = Repair::StandIn { at, rule: member.rule };
        if is_misspelt {
            self.found.repairs.push(repair);
        } else {
            let fault = self.told(FaultCode::MissingField, format!("the field {} is missing", member.name));
            self.tell(fault, Some(repair));
        }
    }

    /// That something stands in for what is looked at.
    fn standing_in(&self) -> Repair {
        match self.rules.last() {
            Some(&rule) if !self.path.is_empty() => Repair::StandIn { at: self.place(), rule },
            _ => Repair::Never,
        }
    }

    fn place(&self) -> Place {
        let way = self.path.iter().map(|step| match *step {
            Step::Name(_, at) | Step::Item(at) => at,
        });
        Place { pointer: self.pointer(), way: way.collect(), missing: None }
    }

    fn pointer(&self) -> String {
        let mut pointer = String::new();
        for step in &self.path {
            // writing to a String cannot fail
            let _ = match step {
                Step::Name(name, _) => write!(pointer, "/{}", escaped(name)),
                Step::Item(i) => write!(pointer, "/{i}"),
            };
        }
        pointer
    }
}

/// The only kind of a union that has every member that stands there.
fn only_with<'w>(kinds: &'w [(String, Object)], members: &Members<'_>) -> Option<&'w (String, Object)> {
    let named = members.0.iter().map(|(name, _)| &**name).filter(|name| *name != KIND);
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
