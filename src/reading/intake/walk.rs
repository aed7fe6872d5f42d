//! One walk over a document against its gate: every fault, with its pointer, in our own words.

use std::fmt::Write as _;

use super::FaultCode;
use super::fault::{Fault, escaped};
use super::gate::{Bounds, Count, Gate, Member, Object, Pattern, Rule};
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
    walker.value(gate.root, document);
    walker.found
}

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
    fn value(&mut self, rule: usize, node: &'w Node<'_>) {
        let gate = self.gate;
        match (&gate.rules[rule], node) {
            (Rule::OrNull(_), Node::Null) | (Rule::Bool, Node::Bool(_)) => {}
            (Rule::OrNull(inner), _) => self.value(*inner, node),
            (Rule::Number { whole, bounds, penny }, Node::Num(x)) => self.number(*x, *whole, bounds, *penny),
            (Rule::Text { length, pattern, date, one_of }, Node::Str(text)) => {
                if !one_of.is_empty() {
                    self.choice(text, one_of);
                } else if self.counted(text.chars().count(), length, ["character", "characters"]) {
                    self.form(text, pattern.as_ref(), *date);
                }
            }
            (Rule::List { items, count }, Node::Arr(nodes)) => {
                self.counted(nodes.len(), count, ["item", "items"]);
                for (i, item) in nodes.iter().enumerate() {
                    self.below(Step::Item(i), *items, |walker| walker.value(*items, item));
                }
            }
            (Rule::Map { names, values, count }, Node::Obj(members)) => self.map(names, *values, count, members),
            (Rule::Object(object), Node::Obj(members)) => self.object(object, members),
            (Rule::Union(kinds), Node::Obj(members)) => self.union(kinds, members),
            (rule, _) => {
                self.fault(
                    FaultCode::WrongType,
                    format!("{} was expected here, and {} was found", expected(rule), node.kind()),
                );
            }
        }
    }

    fn map(&mut self, names: &Pattern, values: usize, count: &Count, members: &'w Members<'_>) {
        self.repeated(members, |_| Some(values));
        self.counted(members.entries.len(), count, ["entry", "entries"]);
        for (name, entry) in &members.entries {
            self.below(Step::Name(name), values, |walker| {
                if !names.regex.is_match(name) {
                    let fault = walker.told(FaultCode::BadId, format!("{} is not {}", quoted(name), names.form.words));
                    walker.found.faults.push(fault);
                    // what is no id cannot stand in a pointer as it is, but for one that is only spelled as no id may be
                    if !names.form.is_id() || name.is_empty() || name.contains(['/', '~']) || name.contains(steers) {
                        walker.found.repairs.push(Repair::Out(walker.names()));
                    }
                }
                walker.value(values, entry);
            });
        }
    }

    fn object(&mut self, object: &'w Object, members: &'w Members<'_>) {
        let member = |name: &str| object.members.iter().find(|member| member.name == name);
        self.repeated(members, |name| member(name).map(|member| member.rule));
        // what is there already was not meant by a name that is none
        let free = || object.members.iter().map(|member| &*member.name).filter(|name| members.get(name).is_none());
        let strange = || members.entries.iter().map(|(name, _)| &**name).filter(|name| member(name).is_none());
        for missing in object.members.iter().filter(|member| member.required && members.get(&member.name).is_none()) {
            let is_meant = |name: &str| is_misspelt(name, &missing.name) && near(name, free()) == Some(&missing.name);
            let is_misspelt = strange().any(is_meant);
            self.missing(missing, is_misspelt);
        }
        for (name, node) in &members.entries {
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
        let told = match members.get("kind") {
            Some(Node::Str(kind)) => match kinds.iter().find(|(name, _)| name == kind) {
                Some((_, object)) => return self.object(object, members),
                None => {
                    let known: Vec<&str> = kinds.iter().map(|(name, _)| name.as_str()).collect();
                    Some((FaultCode::UnknownChoice, not_among(kind, &known)))
                }
            },
            Some(other) => {
                Some((FaultCode::WrongType, format!("text was expected here, and {} was found", other.kind())))
            }
            None => None,
        };
        // which members there may be is not known: something stands in for the whole
        self.stands_in();
        self.repeated(members, |_| None);
        let fault = match told {
            Some((code, detail)) => {
                self.path.push(Step::Name("kind"));
                let fault = self.told(code, detail);
                self.path.pop();
                fault
            }
            None => self.told(FaultCode::MissingField, "the field kind is missing"),
        };
        self.found.faults.push(fault);
    }

    fn number(&mut self, x: f64, whole: bool, bounds: &Bounds, penny: bool) {
        let Bounds { min, above, max, below } = *bounds;
        let told = figure(x);
        if whole && x.fract() != 0.0 {
            self.fault(FaultCode::NotWhole, format!("{told} is not a whole number"));
        } else if let Some(min) = min.filter(|min| x < *min) {
            self.out(
                FaultCode::TooSmall,
                self.only_one(&told, bounds).unwrap_or(format!("{told} is less than {min}")),
                min,
            );
        } else if let Some(above) = above.filter(|above| x <= *above) {
            self.out(FaultCode::TooSmall, format!("{told} is not more than {above}"), above);
        } else if let Some(max) = max.filter(|max| x > *max) {
            self.out(
                FaultCode::TooLarge,
                self.only_one(&told, bounds).unwrap_or(format!("{told} is more than {max}")),
                max,
            );
        } else if let Some(below) = below.filter(|below| x >= *below) {
            self.out(FaultCode::TooLarge, format!("{told} is not less than {below}"), below);
        } else if penny && !has_two_decimals(x) {
            self.out(FaultCode::TooFine, format!("{told} has more than two decimals"), 0.01);
        }
    }

    /// What is said of a number of which only one is read, such as that of the schema.
    fn only_one(&self, sent: &str, bounds: &Bounds) -> Option<String> {
        let only = bounds.min.filter(|min| bounds.max.is_some_and(|max| max.total_cmp(min).is_eq()))?;
        let name = self.path.last().map(Step::name).unwrap_or_default();
        Some(format!("this service reads {name} {only}, and {name} {sent} was sent"))
    }

    fn form(&mut self, text: &str, pattern: Option<&Pattern>, date: bool) {
        if date && !is_date(text) {
            self.fault(FaultCode::NotADate, format!("{} is not a date written as 2026-03-31", quoted(text)));
        }
        let Some(Pattern { form, .. }) = pattern.filter(|pattern| !pattern.regex.is_match(text)) else { return };
        match text.chars().enumerate().find(|(_, character)| form.is_free_text() && steers(*character)) {
            Some((before, character)) => self.fault(
                FaultCode::ControlCharacter,
                format!(
                    "character {} is a control character, U+{:04X}; text is one line that steers nothing",
                    before + 1,
                    u32::from(character)
                ),
            ),
            None => self.fault(FaultCode::WrongForm, format!("{} is not {}", quoted(text), form.words)),
        }
    }

    fn choice(&mut self, text: &str, one_of: &[String]) {
        if !one_of.iter().any(|known| known == text) {
            let known: Vec<&str> = one_of.iter().map(String::as_str).collect();
            self.fault(FaultCode::UnknownChoice, not_among(text, &known));
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "a count far below 2^53")]
    fn counted(&mut self, n: usize, count: &Count, [one, many]: [&str; 2]) -> bool {
        let noun = |n: usize| if n == 1 { one.to_owned() } else { many.to_owned() };
        if n < count.min {
            let detail = format!("{n} {} where at least {} must be", noun(n), count.min);
            self.out(FaultCode::TooFew, detail, count.min as f64);
            return false;
        }
        let Some(most) = count.max.filter(|max| n > *max) else { return true };
        let detail = format!("{n} {} where at most {most} may be", noun(n));
        let fault = self.told(FaultCode::TooMany, detail).limit(most as f64);
        self.found.faults.push(fault);
        if one == "character" {
            self.stands_in();
        } else {
            self.found.repairs.push(Repair::CutDown { path: self.names(), most });
        }
        false
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

/// Whether a text is a full date of RFC 3339; jiff alone would also take times, signs and dates without hyphens.
fn is_date(text: &str) -> bool {
    let mut bytes = text.bytes().enumerate();
    let formed = bytes.all(|(i, byte)| if i == 4 || i == 7 { byte == b'-' } else { byte.is_ascii_digit() });
    formed && text.len() == 10 && text.parse::<jiff::civil::Date>().is_ok()
}

/// Whether a number's shortest decimal text has no more than two decimals.
fn has_two_decimals(x: f64) -> bool {
    crate::money::Money::from_f64(x).is_some()
}
