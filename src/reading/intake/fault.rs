//! One thing that is wrong with a document, and where.

use std::borrow::Cow;

use validator::{ValidationErrors, ValidationErrorsKind};

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
    /// Places that this fault depends on: if one of them is itself at fault, this one is not reported.
    pub rests_on: Vec<String>,
}

impl Fault {
    /// A fault of a document that could be read.
    #[must_use]
    pub fn new(pointer: impl Into<String>, code: &'static str, detail: impl Into<String>) -> Self {
        Self {
            pointer: pointer.into(),
            code: Cow::Borrowed(code),
            detail: detail.into(),
            limit: None,
            severity: Severity::Unprocessable,
            rests_on: Vec::new(),
        }
    }

    /// A fault of the text itself.
    #[must_use]
    pub fn unreadable(pointer: impl Into<String>, code: &'static str, detail: impl Into<String>) -> Self {
        Self { severity: Severity::Unreadable, ..Self::new(pointer, code, detail) }
    }

    /// The same with the limit that was broken.
    #[must_use]
    pub fn limit(mut self, limit: f64) -> Self {
        self.limit = Some(limit);
        self
    }

    /// The same, resting on another place of the document.
    #[must_use]
    pub fn rests_on(mut self, pointer: impl Into<String>) -> Self {
        self.rests_on.push(pointer.into());
        self
    }

    /// Whether this fault only points at one of the places that were left out because they are at fault themselves.
    #[must_use]
    pub fn hangs_on(&self, left_out: &[String]) -> bool {
        let touches = |place: &str| left_out.iter().any(|out| lies_within(place, out) || lies_within(out, place));
        left_out.iter().any(|out| lies_within(&self.pointer, out)) || self.rests_on.iter().any(|place| touches(place))
    }
}

/// Whether `inner` is `outer` or lies below it.
fn lies_within(inner: &str, outer: &str) -> bool {
    inner.strip_prefix(outer).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
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
                Fault {
                    pointer: field.map_or_else(|| below.clone(), |field| format!("{below}/{field}")),
                    code: rule.code.clone(),
                    detail: rule.message.as_deref().unwrap_or("a rule of this object is broken").to_owned(),
                    limit: rule.params.get("limit").and_then(serde_json::Value::as_f64),
                    severity: Severity::Unprocessable,
                    rests_on: vec![at.to_owned()],
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
        let fault = Fault::new("/rooms/a/surfaces/w", "unknown_room", "").rests_on("/rooms/b");
        assert!(fault.hangs_on(&["/rooms/a".to_owned()]));
        assert!(fault.hangs_on(&["/rooms/b".to_owned()]));
        assert!(fault.hangs_on(&["/rooms/b/height_m".to_owned()]));
        assert!(fault.hangs_on(&["/rooms".to_owned()]));
        assert!(!fault.hangs_on(&["/rooms/a2".to_owned(), "/rooms/bb".to_owned(), "/rooms/a/surfaces/w2".to_owned()]));
    }
}
