//! A request schema, compiled once into what the walk needs.
//!
//! Only what our own schemas use is understood, and anything else is refused when the gate is built: what the
//! published schema says and what is checked cannot drift apart.

use std::collections::HashMap;

use serde_json::{Map, Value};
use utoipa::ToSchema;

use super::form::Form;
use super::schema::{self, PREFIX, RequestSchema};

/// A compiled request schema.
#[derive(Debug)]
pub struct Gate {
    pub(super) rules: Vec<Rule>,
    pub(super) root: usize,
}

/// What one place of a document must be.
#[derive(Debug)]
pub(super) enum Rule {
    Bool,
    Number {
        whole: bool,
        bounds: Bounds,
        penny: bool,
    },
    Text {
        length: Count,
        form: Option<&'static Form>,
        date: bool,
        one_of: Vec<String>,
    },
    List {
        items: usize,
        count: Count,
    },
    Map {
        names: &'static Form,
        values: usize,
        count: Count,
    },
    Object(Object),
    Union(Vec<(String, Object)>),
    OrNull(usize),
    /// Stands for a rule that is still being compiled.
    Pending,
}

/// The members of an object.
#[derive(Debug)]
pub(super) struct Object {
    pub members: Vec<Member>,
    /// Which of the first of them must be there, a bit for each.
    pub required: u64,
}

impl Object {
    /// Where a member stands, looked for from a place on.
    pub fn place_of(&self, name: &str, from: usize) -> Option<usize> {
        let is = |member: &Member| member.name == name;
        if self.members.get(from).is_some_and(is) { Some(from) } else { self.members.iter().position(is) }
    }
}

/// One member of an object.
#[derive(Debug)]
pub(super) struct Member {
    pub name: String,
    pub rule: usize,
    pub required: bool,
}

/// Bounds of a number.
#[derive(Debug, Default)]
pub(super) struct Bounds {
    pub min: Option<f64>,
    pub above: Option<f64>,
    pub max: Option<f64>,
    pub below: Option<f64>,
}

/// Bounds of a count.
#[derive(Debug, Default)]
pub(super) struct Count {
    pub min: usize,
    pub max: Option<usize>,
}

impl Count {
    /// Whether so many are right.
    pub fn holds(&self, n: usize) -> bool {
        n >= self.min && self.max.is_none_or(|max| n <= max)
    }
}

/// A schema says something that the gate does not understand.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the schema at {place} cannot be compiled: {reason}")]
pub struct GateError {
    /// Where in the schema.
    pub place: String,
    /// Why not.
    pub reason: String,
}

impl Gate {
    /// The gate of a type's own schema.
    ///
    /// # Errors
    /// [`GateError`] if the schema uses what the gate does not understand; a fault of the program.
    pub fn for_type<T: ToSchema>() -> Result<Self, GateError> {
        Self::compile(&schema::of_type::<T>())
    }

    /// Compiles a request schema.
    ///
    /// # Errors
    /// As [`Gate::for_type`].
    pub fn compile(schema: &RequestSchema) -> Result<Self, GateError> {
        let mut compiler = Compiler { named: &schema.named, known: HashMap::new(), rules: Vec::new() };
        let root = compiler.by_name(&schema.name)?;
        Ok(Self { rules: compiler.rules, root })
    }
}

struct Compiler<'s> {
    named: &'s Map<String, Value>,
    known: HashMap<String, usize>,
    rules: Vec<Rule>,
}

/// Keywords that tell a reader something and refuse nothing.
const REMARKS: [&str; 7] = ["description", "title", "example", "examples", "default", "deprecated", "format"];

impl Compiler<'_> {
    fn by_name(&mut self, name: &str) -> Result<usize, GateError> {
        if let Some(&index) = self.known.get(name) {
            return if matches!(self.rules[index], Rule::Pending) {
                Err(refused(name, "refers to itself"))
            } else {
                Ok(index)
            };
        }
        let value = self.named.get(name).ok_or_else(|| refused(name, "is not defined"))?;
        let index = self.rules.len();
        self.rules.push(Rule::Pending);
        self.known.insert(name.to_owned(), index);
        self.rules[index] = self.rule(value, name)?;
        Ok(index)
    }

    /// The index of the rule for a schema that stands in another's place.
    fn place(&mut self, schema: &Value, place: &str) -> Result<usize, GateError> {
        if let Some(name) =
            schema.get("$ref").and_then(Value::as_str).and_then(|reference| reference.strip_prefix(PREFIX))
        {
            return self.by_name(name);
        }
        let rule = self.rule(schema, place)?;
        self.rules.push(rule);
        Ok(self.rules.len() - 1)
    }

    fn rule(&mut self, schema: &Value, place: &str) -> Result<Rule, GateError> {
        let members = schema.as_object().ok_or_else(|| refused(place, "is not an object"))?;
        if let Some(choices) = members.get("oneOf").and_then(Value::as_array) {
            only(members, &["oneOf"], place)?;
            return self.choices(choices, place);
        }
        let (kind, nullable) = kind_of(members, place)?;
        let rule = match kind {
            "boolean" => only(members, &["type"], place).map(|()| Rule::Bool)?,
            "number" | "integer" => number(members, kind == "integer", place)?,
            "string" => text(members, place)?,
            "array" => {
                only(members, &["type", "items", "minItems", "maxItems"], place)?;
                let items = members.get("items").ok_or_else(|| refused(place, "a list without items"))?;
                let items = self.place(items, &format!("{place}/items"))?;
                Rule::List { items, count: count(members, "minItems", "maxItems") }
            }
            "object" => self.object_or_map(members, place)?,
            other => return Err(refused(place, &format!("has the unknown type {other}"))),
        };
        if !nullable {
            return Ok(rule);
        }
        self.rules.push(rule);
        Ok(Rule::OrNull(self.rules.len() - 1))
    }

    fn object_or_map(&mut self, members: &Map<String, Value>, place: &str) -> Result<Rule, GateError> {
        if let Some(names) = members.get("propertyNames") {
            only(members, &["type", "propertyNames", "additionalProperties", "minProperties", "maxProperties"], place)?;
            let names = form(names.as_object().unwrap_or(&Map::new()), place)?
                .ok_or_else(|| refused(place, "names without a pattern"))?;
            let values = members.get("additionalProperties").ok_or_else(|| refused(place, "a map without values"))?;
            let values = self.place(values, &format!("{place}/*"))?;
            return Ok(Rule::Map { names, values, count: count(members, "minProperties", "maxProperties") });
        }
        self.object(members, place).map(Rule::Object)
    }

    fn object(&mut self, members: &Map<String, Value>, place: &str) -> Result<Object, GateError> {
        only(members, &["type", "properties", "required", "additionalProperties"], place)?;
        if members.get("additionalProperties") != Some(&Value::Bool(false)) {
            return Err(refused(place, "is an open object"));
        }
        let empty = Map::new();
        let properties = members.get("properties").and_then(Value::as_object).unwrap_or(&empty);
        let required: Vec<&str> =
            members.get("required").and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_str).collect();
        let compiled = properties.iter().map(|(name, property)| {
            let rule = self.place(property, &format!("{place}/{name}"))?;
            Ok(Member { name: name.clone(), rule, required: required.contains(&name.as_str()) })
        });
        let members: Vec<Member> = compiled.collect::<Result<_, GateError>>()?;
        if members.len() > u64::BITS as usize {
            return Err(refused(place, "has more members than are counted"));
        }
        let required = members.iter().enumerate().map(|(place, member)| u64::from(member.required) << place).sum();
        Ok(Object { members, required })
    }

    /// Either something or null, or a union told apart by `kind`.
    fn choices(&mut self, choices: &[Value], place: &str) -> Result<Rule, GateError> {
        let is_null = |choice: &Value| choice.get("type").and_then(Value::as_str) == Some("null");
        if let [one, other] = choices
            && is_null(one) != is_null(other)
        {
            return Ok(Rule::OrNull(self.place(if is_null(one) { other } else { one }, place)?));
        }
        let mut union = Vec::with_capacity(choices.len());
        for choice in choices {
            let members = choice.as_object().ok_or_else(|| refused(place, "a choice that is not an object"))?;
            let kinds = choice.pointer("/properties/kind/enum").and_then(Value::as_array).map(Vec::as_slice);
            let Some([Value::String(kind)]) = kinds else { return Err(refused(place, "a choice without one kind")) };
            union.push((kind.clone(), self.object(members, &format!("{place}:{kind}"))?));
        }
        Ok(Rule::Union(union))
    }
}

fn number(members: &Map<String, Value>, whole: bool, place: &str) -> Result<Rule, GateError> {
    only(members, &["type", "minimum", "exclusiveMinimum", "maximum", "exclusiveMaximum", "multipleOf"], place)?;
    let bound = |name: &str| members.get(name).and_then(Value::as_f64);
    let penny = match bound("multipleOf") {
        None => false,
        Some(0.01) => true,
        Some(_) => return Err(refused(place, "multiples other than of a penny")),
    };
    let bounds = Bounds {
        min: bound("minimum"),
        above: bound("exclusiveMinimum"),
        max: bound("maximum"),
        below: bound("exclusiveMaximum"),
    };
    Ok(Rule::Number { whole, bounds, penny })
}

fn text(members: &Map<String, Value>, place: &str) -> Result<Rule, GateError> {
    only(members, &["type", "minLength", "maxLength", "pattern", "enum"], place)?;
    let one_of = members
        .get("enum")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .map(str::to_owned)
        .collect();
    let date = members.get("format").and_then(Value::as_str) == Some("date");
    Ok(Rule::Text { length: count(members, "minLength", "maxLength"), form: form(members, place)?, date, one_of })
}

fn form(members: &Map<String, Value>, place: &str) -> Result<Option<&'static Form>, GateError> {
    let Some(pattern) = members.get("pattern").and_then(Value::as_str) else { return Ok(None) };
    Form::of(pattern).map(Some).ok_or_else(|| refused(place, &format!("has the pattern {pattern}, which has no words")))
}

fn count(members: &Map<String, Value>, min: &str, max: &str) -> Count {
    let bound = |name: &str| members.get(name).and_then(Value::as_u64).and_then(|n| usize::try_from(n).ok());
    Count { min: bound(min).unwrap_or(0), max: bound(max) }
}

/// The one type of a schema, and whether null is allowed beside it.
fn kind_of<'s>(members: &'s Map<String, Value>, place: &str) -> Result<(&'s str, bool), GateError> {
    match members.get("type") {
        Some(Value::String(kind)) => Ok((kind, false)),
        Some(Value::Array(kinds)) => {
            let others: Vec<&str> = kinds.iter().filter_map(Value::as_str).filter(|kind| *kind != "null").collect();
            match others[..] {
                [kind] => Ok((kind, others.len() < kinds.len())),
                _ => Err(refused(place, "has several types")),
            }
        }
        _ => Err(refused(place, "has no type")),
    }
}

fn only(members: &Map<String, Value>, understood: &[&str], place: &str) -> Result<(), GateError> {
    match members.keys().find(|key| !understood.contains(&key.as_str()) && !REMARKS.contains(&key.as_str())) {
        None => Ok(()),
        Some(key) => Err(refused(place, &format!("says {key}"))),
    }
}

fn refused(place: &str, reason: &str) -> GateError {
    GateError { place: place.to_owned(), reason: reason.to_owned() }
}
