//! The one register of codes: what each means, and which values stand beside its sentence. Each is declared where it arises.

use crate::notes::{Registered, Sort};
use crate::{outline, proposal};

/// A code of the register. Several findings may share one: then they mean much the same, and it has the values of all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// Stable name, in snake case.
    pub code: &'static str,
    /// What it is a code of.
    pub sort: Sort,
    /// What it means; several where several findings share it.
    pub meanings: Vec<String>,
    /// Names of its values, without repeats.
    pub values: Vec<&'static str>,
}

/// Every code that an answer can hold, by sort and name.
#[must_use]
pub fn codes() -> Vec<Code> {
    let mut codes: Vec<Code> = Vec::new();
    for Registered { code, sort, meaning, values } in proposal::registered().into_iter().chain(outline::registered()) {
        let at = codes.iter().position(|known| (known.sort, known.code) == (sort, code)).unwrap_or_else(|| {
            codes.push(Code { code, sort, meanings: Vec::new(), values: Vec::new() });
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
    }
    codes.sort_by_key(|code| (code.sort, code.code));
    codes
}

/// The register as a table in Markdown.
#[must_use]
pub fn table() -> String {
    let mut rows = vec!["| what | code | meaning | values |".to_owned(), "| --- | --- | --- | --- |".to_owned()];
    rows.extend(codes().into_iter().map(|Code { code, sort, meanings, values }| {
        let values: Vec<String> = values.iter().map(|name| format!("`{name}`")).collect();
        format!("| {} | `{code}` | {} | {} |", sort.code(), meanings.join(" "), values.join(", "))
    }));
    rows.join("\n")
}
