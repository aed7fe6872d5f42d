//! One thing that is wrong with a document, and where.

use std::borrow::Cow;
use std::collections::BTreeSet;

use validator::{ValidationErrors, ValidationErrorsKind};

use super::FaultCode;
use super::words::plain;

/// How far a document with this fault could be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// It is JSON, but not a document that can be worked with.
    Unprocessable,
    /// The text itself is at fault: not JSON, not UTF-8, too deep, a key twice.
    Unreadable,
}

/// One fault of a document.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// JSON Pointer to the place at fault; for something missing, to the object that lacks it.
    pub pointer: String,
    /// Stable name of the kind of fault, in snake case.
    pub code: Cow<'static, str>,
    /// What is wrong, in plain words.
    pub detail: String,
    /// The limit that was broken, where there is one.
    pub limit: Option<f64>,
    /// How far the document could be read.
    pub severity: Severity,
    /// Other places that it has to do with.
    beside: Box<Beside>,
}

/// Other places that a fault has to do with.
#[derive(Debug, Clone, PartialEq, Default)]
struct Beside {
    /// Places that this fault depends on: if one of them is itself at fault, this one is not reported. They are named as
    /// narrowly as can be, for whatever is at fault within one of them silences this fault.
    rests_on: Vec<String>,
    /// Places that are at fault as much as the first, where a fault lies between several.
    also: Vec<String>,
}

impl Fault {
    /// A fault of a document that could be read.
    #[must_use]
    pub fn new(pointer: impl Into<String>, code: FaultCode, detail: impl Into<String>) -> Self {
        Self::with_code(pointer, code.into(), detail)
    }

    fn with_code(pointer: impl Into<String>, code: Cow<'static, str>, detail: impl Into<String>) -> Self {
        Self {
            pointer: pointer.into(),
            code,
            detail: plain(&detail.into()).into_owned(),
            limit: None,
            severity: Severity::Unprocessable,
            beside: Box::default(),
        }
    }

    /// A fault of the text itself.
    #[must_use]
    pub fn unreadable(pointer: impl Into<String>, code: FaultCode, detail: impl Into<String>) -> Self {
        Self { severity: Severity::Unreadable, ..Self::new(pointer, code, detail) }
    }

    /// The same with the limit that was broken.
    #[must_use]
    pub fn limit(mut self, limit: f64) -> Self {
        self.limit = Some(limit);
        self
    }

    /// Places that are at fault as much as the first, where a fault lies between several.
    #[must_use]
    pub fn others(&self) -> &[String] {
        &self.beside.also
    }

    /// The same with further places that are at fault as much as the first.
    #[must_use]
    pub fn also(mut self, pointers: impl IntoIterator<Item = String>) -> Self {
        self.beside.also.extend(pointers);
        self
    }

    /// The same, resting on another place of the document.
    #[must_use]
    pub fn rests_on(mut self, pointer: impl Into<String>) -> Self {
        self.beside.rests_on.push(pointer.into());
        self
    }

    /// Whether another fault says the same of the same place.
    #[must_use]
    pub fn is_told_as(&self, other: &Self) -> bool {
        (&self.pointer, &self.code, &self.detail) == (&other.pointer, &other.code, &other.detail)
    }

    /// Whether this fault only points at one of the places that are at fault themselves, or rests on one.
    #[must_use]
    pub fn hangs_on(&self, places: &Places) -> bool {
        places.hold(&self.pointer) || self.beside.rests_on.iter().any(|place| places.touch(place))
    }

    /// Whether this fault rests on one of the places of others; its own place may be among them.
    #[must_use]
    pub fn follows_from(&self, others: &mut Places) -> bool {
        let own = others.0.take(&self.pointer);
        let follows = self.beside.rests_on.iter().any(|place| others.touch(place));
        others.0.extend(own);
        follows
    }
}

/// Pointers of places of a document that are at fault themselves.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Places(BTreeSet<String>);

impl Places {
    /// Whether a place is one of these, or lies within one.
    #[must_use]
    pub fn hold(&self, place: &str) -> bool {
        let ends = place.match_indices('/').map(|(at, _)| at).chain([place.len()]);
        !self.0.is_empty() && ends.into_iter().any(|end| self.0.contains(&place[..end]))
    }

    /// Whether a place is one of these, lies within one, or has one within it.
    #[must_use]
    pub fn touch(&self, place: &str) -> bool {
        let within = format!("{place}/");
        self.hold(place) || self.0.range(within.clone()..).next().is_some_and(|next| next.starts_with(&within))
    }
}

impl FromIterator<String> for Places {
    fn from_iter<I: IntoIterator<Item = String>>(pointers: I) -> Self {
        Self(pointers.into_iter().collect())
    }
}

/// A segment of a JSON Pointer, escaped (RFC 6901, section 3).
///
/// # Examples
/// ```
/// assert_eq!(tundish_reading::intake::fault::escaped("a/b~c"), "a~1b~0c");
/// ```
#[must_use]
pub fn escaped(segment: &str) -> Cow<'_, str> {
    if segment.contains(['~', '/']) {
        Cow::Owned(segment.replace('~', "~0").replace('/', "~1"))
    } else {
        Cow::Borrowed(segment)
    }
}

/// The faults that `validator` found, in the order of their pointers. A rule about a whole object names the
/// member at fault in a parameter called `field`.
#[must_use]
pub fn of_rules(errors: &ValidationErrors) -> Vec<Fault> {
    let mut faults = Vec::new();
    collect(errors, "", &mut faults);
    faults.sort_by(|a, b| (&a.pointer, &a.code).cmp(&(&b.pointer, &b.code)));
    faults
}

fn collect(errors: &ValidationErrors, at: &str, faults: &mut Vec<Fault>) {
    for (name, kind) in errors.errors() {
        let below = if name == "__all__" { at.to_owned() } else { format!("{at}/{}", escaped(name)) };
        match kind {
            ValidationErrorsKind::Struct(inner) => collect(inner, &below, faults),
            ValidationErrorsKind::List(items) => {
                for (i, inner) in items {
                    collect(inner, &format!("{below}/{i}"), faults);
                }
            }
            ValidationErrorsKind::Field(broken) => faults.extend(broken.iter().map(|rule| {
                let field = rule.params.get("field").and_then(|value| value.as_str());
                let pointer = field.map_or_else(|| below.clone(), |field| format!("{below}/{field}"));
                let detail = rule.message.as_deref().unwrap_or("a rule of this object is broken");
                Fault {
                    limit: rule.params.get("limit").and_then(serde_json::Value::as_f64),
                    ..Fault::with_code(pointer, rule.code.clone(), detail)
                }
            })),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_hangs_on_what_it_lies_in_and_what_it_rests_on() {
        let fault = Fault::new("/rooms/a/surfaces/w", FaultCode::UnknownRoom, "").rests_on("/rooms/b");
        let hangs_on = |places: &[&str]| fault.hangs_on(&places.iter().map(|place| (*place).to_owned()).collect());
        for place in ["/rooms/a", "/rooms/b", "/rooms/b/height_m", "/rooms", "/rooms/a/surfaces/w"] {
            assert!(hangs_on(&["/q", place, "/rooms/a-b"]), "{place}");
        }
        assert!(!hangs_on(&[
            "/rooms/a2",
            "/rooms/bb",
            "/rooms/b-c/x",
            "/rooms/a/surfaces/w2",
            "/rooms/a/surfaces/w/area_m2"
        ]));
        assert!(!hangs_on(&[]));
    }
}
