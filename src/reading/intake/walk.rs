//! One walk over a document against its gate: every fault, with its pointer, in our own words.

use std::fmt::Write as _;

use regex::Regex;

use super::fault::{Fault, escaped};
use super::gate::{Bounds, Count, Gate, Object, Rule};
use super::node::{Members, Node};

/// Faults told of one document; a document with more is told so.
pub(super) const MOST_FAULTS: usize = 500;

/// What the walk found.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub faults: Vec<Fault>,
    /// For each fault, what is left out so that the rest can still be checked.
    pub cuts: Vec<Cut>,
}

/// What is left out of a document because of a fault.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Cut {
    /// The nearest entry of a map or optional member that the fault lies in, by its path.
    Out(Vec<String>),
    /// A required part of the document, which a stand-in replaces.
    Part(String),
    /// The whole document.
    Whole,
}

/// Walks a document.
pub(super) fn walk(gate: &Gate, document: &Node<'_>) -> Found {
    let mut walker = Walker { gate, path: Vec::new(), cut: 0, found: Found::default() };
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
    /// Length of the path to the part that would be left out.
    cut: usize,
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
                } else if self.counted(text.chars().count(), length, "character", "characters") {
                    self.form(text, pattern.as_ref(), *date);
                }
            }
            (Rule::List { items, count }, Node::Arr(nodes)) => {
                self.counted(nodes.len(), count, "item", "items");
                for (i, item) in nodes.iter().enumerate() {
                    self.below(Step::Item(i), false, |walker| walker.value(*items, item));
                }
            }
            (Rule::Map { names, values, count }, Node::Obj(members)) => {
                self.repeated(members, |_| true);
                self.counted(members.entries.len(), count, "entry", "entries");
                for (name, entry) in &members.entries {
                    self.below(Step::Name(name), true, |walker| {
                        if names.is_match(name) {
                            walker.value(*values, entry);
                        } else {
                            walker.fault(
                                "bad_id",
                                format!("{} is not a name of the form {}", quoted(name), names.as_str()),
                            );
                        }
                    });
                }
            }
            (Rule::Object(object), Node::Obj(members)) => self.object(object, members),
            (Rule::Union(kinds), Node::Obj(members)) => self.union(kinds, members),
            (rule, _) => {
                self.fault(
                    "wrong_type",
                    format!("{} was expected here, and {} was found", expected(rule), node.kind()),
                );
            }
        }
    }

    fn object(&mut self, object: &'w Object, members: &'w Members<'_>) {
        self.repeated(members, |name| !object.members.iter().any(|member| member.required && member.name == name));
        for member in object.members.iter().filter(|member| member.required) {
            if members.get(&member.name).is_none() {
                self.missing(&member.name);
            }
        }
        for (name, node) in &members.entries {
            match object.members.iter().find(|member| member.name == **name) {
                Some(member) => {
                    self.below(Step::Name(name), !member.required, |walker| walker.value(member.rule, node));
                }
                None => self.below(Step::Name(name), true, |walker| {
                    let known: Vec<&str> = object.members.iter().map(|member| member.name.as_str()).collect();
                    let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
                    walker
                        .fault("unknown_field", format!("there is no field {} here; there are: {known}", quoted(name)));
                }),
            }
        }
    }

    fn union(&mut self, kinds: &'w [(String, Object)], members: &'w Members<'_>) {
        match members.get("kind") {
            Some(Node::Str(kind)) => match kinds.iter().find(|(name, _)| name == kind) {
                Some((_, object)) => self.object(object, members),
                None => {
                    self.repeated(members, |_| true);
                    let known: Vec<String> = kinds.iter().map(|(name, _)| name.clone()).collect();
                    self.below(Step::Name("kind"), false, |walker| walker.choice(kind, &known));
                }
            },
            Some(other) => self.below(Step::Name("kind"), false, |walker| {
                walker.fault("wrong_type", format!("text was expected here, and {} was found", other.kind()));
            }),
            None => {
                self.repeated(members, |_| true);
                self.missing("kind");
            }
        }
    }

    fn number(&mut self, x: f64, whole: bool, bounds: &Bounds, penny: bool) {
        let Bounds { min, above, max, below } = *bounds;
        if whole && x.fract() != 0.0 {
            self.fault("not_whole", format!("{x} is not a whole number"));
        } else if let Some(min) = min.filter(|min| x < *min) {
            self.out("too_small", format!("{x} is less than {min}"), min);
        } else if let Some(above) = above.filter(|above| x <= *above) {
            self.out("too_small", format!("{x} is not more than {above}"), above);
        } else if let Some(max) = max.filter(|max| x > *max) {
            self.out("too_large", format!("{x} is more than {max}"), max);
        } else if let Some(below) = below.filter(|below| x >= *below) {
            self.out("too_large", format!("{x} is not less than {below}"), below);
        } else if penny && !has_two_decimals(x) {
            self.out("too_fine", format!("{x} has more than two decimals"), 0.01);
        }
    }

    fn form(&mut self, text: &str, pattern: Option<&Regex>, date: bool) {
        if date && !is_date(text) {
            self.fault("not_a_date", format!("{} is not a date written as 2026-03-31", quoted(text)));
        } else if let Some(pattern) = pattern.filter(|pattern| !pattern.is_match(text)) {
            self.fault("wrong_form", format!("{} is not of the form {}", quoted(text), pattern.as_str()));
        }
    }

    fn choice(&mut self, text: &str, one_of: &[String]) {
        if !one_of.iter().any(|known| known == text) {
            self.fault("unknown_choice", format!("{} is none of {}", quoted(text), one_of.join(", ")));
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "a count far below 2^53")]
    fn counted(&mut self, n: usize, count: &Count, one: &str, many: &str) -> bool {
        let noun = |n: usize| if n == 1 { one.to_owned() } else { many.to_owned() };
        if n < count.min {
            self.out("too_few", format!("{n} {} where at least {} must be", noun(n), count.min), count.min as f64);
            return false;
        }
        if let Some(max) = count.max.filter(|max| n > *max) {
            self.out("too_many", format!("{n} {} where at most {max} may be", noun(n)), max as f64);
            return false;
        }
        true
    }

    fn repeated(&mut self, members: &'w Members<'_>, can_be_left_out: impl Fn(&str) -> bool) {
        for name in &members.repeated {
            self.below(Step::Name(name), can_be_left_out(name), |walker| {
                let at = walker.pointer();
                walker.push(Fault::unreadable(
                    at,
                    "duplicate_key",
                    format!("the key {} stands more than once", quoted(name)),
                ));
            });
        }
    }

    fn below(&mut self, step: Step<'w>, can_be_left_out: bool, look: impl FnOnce(&mut Self)) {
        let cut = self.cut;
        self.path.push(step);
        if can_be_left_out {
            self.cut = self.path.len();
        }
        look(self);
        self.path.pop();
        self.cut = cut;
    }

    fn fault(&mut self, code: &'static str, detail: impl Into<String>) {
        let at = self.pointer();
        self.push(Fault::new(at, code, detail));
    }

    fn out(&mut self, code: &'static str, detail: String, limit: f64) {
        let at = self.pointer();
        self.push(Fault::new(at, code, detail).limit(limit));
    }

    fn missing(&mut self, name: &str) {
        let fault = Fault::new(self.pointer(), "missing_field", format!("the field {name} is missing"));
        if self.path.is_empty() {
            self.found.faults.push(fault);
            self.found.cuts.push(Cut::Part(name.to_owned()));
        } else {
            self.push(fault);
        }
    }

    fn push(&mut self, fault: Fault) {
        let cut = match (self.path.first(), self.cut) {
            (None, _) => Cut::Whole,
            (Some(part), 0) => Cut::Part(part.name()),
            (Some(_), cut) => Cut::Out(self.path[..cut].iter().map(Step::name).collect()),
        };
        self.found.faults.push(fault);
        self.found.cuts.push(cut);
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

/// A text of the document, shortened so that an answer stays readable.
fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut shown: String = text.chars().take(LONGEST).collect();
    if text.chars().nth(LONGEST).is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
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
