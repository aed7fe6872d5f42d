//! The one register of codes: what each means, and which values stand beside its sentence. Each is declared where it arises.

use crate::intake::FaultCode;
use crate::notes::{Registered, Sort};
use crate::{outline, proposal};

/// What a code stands at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Of {
    /// A note or a need of an answer.
    Finding(Sort),
    /// A fault of a document, in the `errors` of a problem.
    Fault,
    /// A problem.
    Problem,
}

impl Of {
    fn words(self) -> &'static str {
        match self {
            Self::Finding(sort) => sort.code(),
            Self::Fault => "fault",
            Self::Problem => "problem",
        }
    }
}

/// A code of the register. Several findings may share one: then they mean much the same, and it has the values of all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// Stable name, in snake case.
    pub code: &'static str,
    /// What it stands at.
    pub of: Of,
    /// What it means; several where several findings share it.
    pub meanings: Vec<String>,
    /// Names of its values, without repeats.
    pub values: Vec<&'static str>,
    /// The words that a value may take, by its name, where they are a closed set.
    pub terms: Vec<(&'static str, Vec<&'static str>)>,
}

/// Every code of answers and of faults, by what it stands at and by name.
#[must_use]
pub fn codes() -> Vec<Code> {
    let mut codes: Vec<Code> = Vec::new();
    for Registered { code, sort, meaning, values, terms } in
        proposal::registered().into_iter().chain(outline::registered())
    {
        let of = Of::Finding(sort);
        let at = codes.iter().position(|known| (known.of, known.code) == (of, code)).unwrap_or_else(|| {
            codes.push(Code { code, of, meanings: Vec::new(), values: Vec::new(), terms: Vec::new() });
            codes.len() - 1
        });
        let known = &mut codes[at];
        if !known.meanings.contains(&meaning) {
            known.meanings.push(meaning);
        }
        for name in values {
            if !known.values.contains(&name) {
                known.values.push(name);
            }
        }
        for of_value in terms {
            if !known.terms.contains(&of_value) {
                known.terms.push(of_value);
            }
        }
    }
    codes.extend(FaultCode::ALL.iter().map(|fault| told(Of::Fault, fault.code(), fault.meaning())));
    codes.sort_by_key(|code| (code.of, code.code));
    codes
}

/// A code without values.
#[must_use]
pub fn told(of: Of, code: &'static str, meaning: &str) -> Code {
    Code { code, of, meanings: vec![meaning.to_owned()], values: Vec::new(), terms: Vec::new() }
}

/// Codes as a table in Markdown.
#[must_use]
pub fn table(codes: impl IntoIterator<Item = Code>) -> String {
    let mut rows = vec!["| what | code | meaning | values |".to_owned(), "| --- | --- | --- | --- |".to_owned()];
    rows.extend(codes.into_iter().map(|Code { code, of, meanings, values, terms }| {
        let of_value = |name: &str| -> Vec<&str> {
            terms.iter().filter(|(of, _)| *of == name).flat_map(|(_, words)| words.iter().copied()).collect()
        };
        let told = |name: &&str| match of_value(name).join("`, `") {
            words if words.is_empty() => format!("`{name}`"),
            words => format!("`{name}` (`{words}`)"),
        };
        let values: Vec<String> = values.iter().map(told).collect();
        let meaning = meanings.join(" ").replace('|', "\\|");
        format!("| {} | `{code}` | {meaning} | {} |", of.words(), values.join(", "))
    }));
    rows.join("\n")
}
