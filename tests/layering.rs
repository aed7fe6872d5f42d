//! Imports go one way, and only one layer names each outside engine. The files are read as tokens, so grouped imports,
//! paths within code and macro bodies count, and comments and texts do not.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a helper of a test has nobody to hand an error to")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use proc_macro2::{TokenStream, TokenTree};

/// The layers, outermost first: a layer may use any below it, and not its neighbours on the same line.
const ORDER: [&[&str]; 18] = [
    &["main"],
    &["console"],
    &["http", "client"],
    &["settings"],
    &["render", "store"],
    &["register"],
    &["quotes", "commissioning", "outline"],
    &["proposal"],
    &["estimate"],
    &["design"],
    &["survey"],
    &["job"],
    &["catalogue"],
    &["patch"],
    &["intake", "notes"],
    &["list", "money"],
    &["methods"],
    &["sources"],
];

/// Folders of `src` that hold a crate of their own, and its name.
const MEMBERS: [(&str, &str); 3] =
    [("engine", "tundish_engine"), ("reading", "tundish_reading"), ("stages", "tundish_stages")];

/// The stages of a layer and what they share, the last first: none names what stands above it.
const STAGES: [(&str, &[&str]); 2] = [
    (
        "design",
        &[
            "plant",
            "hydraulics",
            "pipework",
            "own_pump",
            "source",
            "emitters",
            "heat_loss",
            "stage",
            "known",
            "lagging",
            "findings",
            "units",
        ],
    ),
    (
        "estimate",
        &["stage", "price", "payments", "programme", "visits", "emitter_cost", "bill", "labour", "takeoff", "findings"],
    ),
];

/// Who may name an outside engine: `actix_web::rt` alone is free to the console, which starts it.
const ENGINES: [(&str, &str); 10] = [
    ("actix_http", "http"),
    ("actix_server", "http"),
    ("actix_service", "http"),
    ("actix_web", "http"),
    ("utoipa_actix_web", "http"),
    ("utoipa_swagger_ui", "http"),
    ("sled", "store"),
    ("tokio_postgres", "store"),
    ("reqwest", "client"),
    ("rustls", "client"),
];

/// Only these may know how the service was set up.
const KNOW_SETTINGS: [&str; 4] = ["main", "console", "http", "client"];

/// Longest file outside tests and tables, in lines.
const LONGEST: usize = 400;

/// A word or a mark of a file, whatever group it stands in.
#[derive(Debug, Clone, PartialEq)]
enum Token {
    Word(String),
    Mark(char),
    Open,
    Close,
}

fn flatten(stream: TokenStream, tokens: &mut Vec<Token>) {
    for tree in stream {
        match tree {
            TokenTree::Ident(word) => tokens.push(Token::Word(word.to_string().trim_start_matches("r#").to_owned())),
            TokenTree::Punct(mark) => tokens.push(Token::Mark(mark.as_char())),
            TokenTree::Literal(_) => tokens.push(Token::Mark('"')),
            TokenTree::Group(group) => {
                tokens.push(Token::Open);
                flatten(group.stream(), tokens);
                tokens.push(Token::Close);
            }
        }
    }
}

fn tokens(text: &str) -> Vec<Token> {
    let stream: TokenStream = text.parse().unwrap_or_else(|error| panic!("not Rust: {error}"));
    let mut tokens = Vec::new();
    flatten(stream, &mut tokens);
    tokens
}

fn is_word(token: Option<&Token>, word: &str) -> bool {
    matches!(token, Some(Token::Word(found)) if found == word)
}

fn path_separator(tokens: &[Token], at: usize) -> bool {
    tokens.get(at) == Some(&Token::Mark(':')) && tokens.get(at + 1) == Some(&Token::Mark(':'))
}

/// The first words of the paths that begin at a place: one, or several where a group follows.
fn heads(tokens: &[Token], at: usize) -> Vec<String> {
    match tokens.get(at) {
        Some(Token::Word(word)) => vec![word.clone()],
        Some(Token::Open) => {
            let (mut depth, mut expects, mut found) = (0, true, Vec::new());
            for token in &tokens[at..] {
                match token {
                    Token::Open => depth += 1,
                    Token::Close => {
                        depth -= 1;
                        if depth == 0 {
                            break;
                        }
                    }
                    Token::Mark(',') if depth == 1 => expects = true,
                    Token::Word(word) if depth == 1 && expects => {
                        found.push(word.clone());
                        expects = false;
                    }
                    Token::Word(_) | Token::Mark(_) => {}
                }
            }
            found
        }
        Some(Token::Close | Token::Mark(_)) | None => Vec::new(),
    }
}

/// Whether a word stands for one of our own crates: the one that the file is in, or by its name.
fn is_crate(token: Option<&Token>) -> bool {
    let ours = |word: &String| word == "crate" || word == "tundish" || MEMBERS.iter().any(|(_, name)| word == name);
    matches!(token, Some(Token::Word(word)) if ours(word))
}

/// The modules that a file names by `crate::`, or by the name of a crate of ours.
fn named_modules(tokens: &[Token]) -> Vec<String> {
    // `$crate::methods` in a macro is a path like any other; `pub(crate)` is none
    let roots = (0..tokens.len()).filter(|&i| is_crate(tokens.get(i)) && path_separator(tokens, i + 1));
    roots.flat_map(|i| heads(tokens, i + 3)).collect()
}

fn height(layer: &str) -> Option<usize> {
    ORDER.iter().rev().position(|names| names.contains(&layer))
}

/// What is wrong with a file of a top module.
fn violations(layer: &str, text: &str, macros: &BTreeMap<String, String>) -> Vec<String> {
    let tokens = tokens(text);
    let mut found = Vec::new();
    for module in named_modules(&tokens) {
        // a macro that is exported stands at the root, whatever module wrote it
        let module = macros.get(&module).unwrap_or(&module);
        match (height(layer), height(module)) {
            _ if module == layer => {}
            (_, None) => found.push(format!("{layer} names crate::{module}, which is no layer")),
            (None, _) => found.push(format!("{layer} is no layer")),
            (Some(own), Some(other)) if other >= own => {
                found.push(format!("{layer} uses {module}, which is not below it"));
            }
            (Some(_), Some(_)) if module == "settings" && !KNOW_SETTINGS.contains(&layer) => {
                found.push(format!("{layer} uses settings"));
            }
            (Some(_), Some(_)) => {}
        }
    }
    for i in 0..tokens.len() {
        if is_word(tokens.get(i), "super") && path_separator(&tokens, i + 1) && is_word(tokens.get(i + 3), "super") {
            found.push(format!("{layer} climbs by super::super"));
        }
        for (engine, owner) in ENGINES {
            // the name of a field or of a feature is no path: an engine is named where a path begins or is imported
            let begins = is_word(tokens.get(i), engine) && (path_separator(&tokens, i + 1) || imported(&tokens, i));
            let runtime = engine == "actix_web" && layer == "console" && is_word(tokens.get(i + 3), "rt");
            if begins && layer != owner && !runtime {
                found.push(format!("{layer} names {engine}"));
            }
        }
    }
    // a layer hands on what is its own: `pub use crate::other` would let others reach past it
    for i in 0..tokens.len() {
        if is_word(tokens.get(i), "pub") && is_word(tokens.get(i + 1), "use") && is_crate(tokens.get(i + 2)) {
            for module in heads(&tokens, i + 5).iter().filter(|module| *module != layer) {
                found.push(format!("{layer} hands on {module}"));
            }
        }
    }
    found
}

fn imported(tokens: &[Token], i: usize) -> bool {
    i > 0
        && (is_word(tokens.get(i - 1), "use")
            || (is_word(tokens.get(i - 1), "crate") && is_word(tokens.get(i - 2), "extern")))
}

/// What is wrong with a file of a stage: it names a later one of its layer.
fn reaches_ahead(layer: &str, stage: &str, is_root: bool, text: &str) -> Vec<String> {
    let Some((_, order)) = STAGES.iter().find(|(of, _)| *of == layer) else { return Vec::new() };
    let Some(own) = order.iter().position(|known| *known == stage) else {
        return vec![format!("{layer}::{stage} has no place among its stages")];
    };
    let tokens = tokens(text);
    let mut named = Vec::new();
    for i in 0..tokens.len() {
        // in a path of its own or within a group
        let from_layer = is_word(tokens.get(i), layer) && path_separator(&tokens, i + 1);
        // `super` is the layer where the stage's own root says it
        let from_super = is_root && is_word(tokens.get(i), "super") && path_separator(&tokens, i + 1);
        if from_layer || from_super {
            named.extend(heads(&tokens, i + 3));
        }
    }
    let ahead =
        named.into_iter().filter(|name| order.iter().position(|known| known == name).is_some_and(|at| at < own));
    ahead.map(|name| format!("{layer}::{stage} reaches ahead to {name}")).collect()
}

/// Every source file with its layer: the module below the root of its crate.
fn files() -> Vec<(String, PathBuf)> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let (mut found, mut folders) = (Vec::new(), vec![src.clone()]);
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let below = path.strip_prefix(&src).unwrap().with_extension("");
                let mut parts = below.components().map(|part| part.as_os_str().to_string_lossy().into_owned());
                let top = parts.next().unwrap();
                let is_member = MEMBERS.iter().any(|(folder, _)| *folder == top);
                found.push((if is_member { parts.next().unwrap() } else { top }, path));
            }
        }
    }
    found.sort();
    found
}

/// Exported macros and the modules that write them.
fn exported_macros() -> BTreeMap<String, String> {
    let mut macros = BTreeMap::new();
    for (layer, path) in files() {
        let tokens = tokens(&std::fs::read_to_string(path).unwrap());
        for i in 0..tokens.len() {
            if is_word(tokens.get(i), "macro_export") {
                let at = (i..tokens.len()).find(|&j| is_word(tokens.get(j), "macro_rules")).unwrap();
                let Some(Token::Word(name)) = tokens.get(at + 2) else { panic!("a macro without a name") };
                macros.insert(name.clone(), layer.clone());
            }
        }
    }
    macros
}

#[test]
fn every_layer_uses_only_what_lies_below_it() {
    let macros = exported_macros();
    let mut found = Vec::new();
    let (mut files_seen, mut layers_seen) = (0, std::collections::BTreeSet::new());
    for (layer, path) in files() {
        if layer == "lib" {
            continue;
        }
        files_seen += 1;
        layers_seen.insert(layer.clone());
        let text = std::fs::read_to_string(&path).unwrap();
        found.extend(violations(&layer, &text, &macros).into_iter().map(|what| format!("{}: {what}", path.display())));
    }
    assert!(found.is_empty(), "{found:#?}");
    assert!(files_seen > 60 && layers_seen.len() > 12, "{files_seen} files of {layers_seen:?}");
}

#[test]
fn no_stage_reaches_ahead_to_a_later_one() {
    let (mut found, mut seen) = (Vec::new(), 0);
    for (layer, path) in files() {
        let below_src = path.strip_prefix(Path::new(env!("CARGO_MANIFEST_DIR")).join("src")).unwrap();
        let parts: Vec<String> = below_src.iter().map(|part| part.to_string_lossy().into_owned()).collect();
        let Some(at) = parts.iter().position(|part| *part == layer) else { continue };
        let Some(below) = parts.get(at + 1).filter(|below| *below != "mod.rs") else { continue };
        let is_root = parts.len() == at + 2 || parts[at + 2..] == ["mod.rs"];
        let text = std::fs::read_to_string(&path).unwrap();
        found.extend(reaches_ahead(&layer, below.trim_end_matches(".rs"), is_root, &text));
        seen += usize::from(STAGES.iter().any(|(of, _)| *of == layer));
    }
    assert!(found.is_empty(), "{found:#?}");
    assert!(seen > 60, "{seen}");
}

/// The root of a crate lists its layers, and brings those below within reach of `crate::`; that of the library hands all of
/// them on, so that each has one path.
#[test]
fn the_root_of_each_crate_only_lists_layers() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let roots = MEMBERS.map(|(folder, _)| src.join(folder).join("lib.rs"));
    let macros = exported_macros();
    let mut listed = Vec::new();
    for root in roots.into_iter().chain([src.join("lib.rs")]) {
        let tokens = tokens(&std::fs::read_to_string(&root).unwrap());
        for i in 0..tokens.len() {
            let found = match tokens.get(i) {
                Some(Token::Word(word)) if word == "mod" => heads(&tokens, i + 1),
                Some(Token::Word(word)) if word == "use" => {
                    let ours = is_crate(tokens.get(i + 1)) && path_separator(&tokens, i + 2);
                    assert!(ours, "{}: only layers are brought in", root.display());
                    heads(&tokens, i + 4)
                }
                Some(_) | None => Vec::new(),
            };
            for module in &found {
                let is_known = height(module).is_some() || macros.contains_key(module);
                assert!(is_known, "{}: {module} has no place in the order", root.display());
            }
            listed.extend(found);
        }
    }
    for layer in
        ORDER.iter().flat_map(|layers| layers.iter()).filter(|layer| !["main", "commissioning"].contains(layer))
    {
        assert!(listed.iter().any(|found| found == layer), "{layer} stands in no root");
    }
}

/// Lines of a file before its tests.
fn length(text: &str) -> usize {
    text.lines().position(|line| line.starts_with("#[cfg(test)]")).unwrap_or_else(|| text.lines().count())
}

#[test]
fn no_file_is_longer_than_a_reader_can_bear() {
    for (_, path) in files() {
        let lines = length(&std::fs::read_to_string(&path).unwrap());
        assert!(lines <= LONGEST, "{} has {lines} lines", path.display());
    }
}

#[test]
fn the_checker_catches_what_it_is_there_for() {
    let macros = BTreeMap::from([("eq".to_owned(), "methods".to_owned())]);
    for (layer, text, wanted) in [
        ("survey", "use crate::design::DesignError;", "survey uses design"),
        ("survey", "use crate::{job::Job, design::{heat_loss, DesignError}, notes};", "survey uses design"),
        ("survey", "fn f() -> u8 { let x = crate::http::BODY_LIMIT; x }", "survey uses http"),
        ("survey", "fn f() { println!(\"{}\", crate::proposal::read()); }", "survey uses proposal"),
        ("survey", "macro_rules! m { () => { $crate::http::start() } }", "survey uses http"),
        ("sources", "use crate::eq;", "sources uses methods"),
        ("render", "use crate::store::Store;", "render uses store"),
        ("http", "use crate::client::Client;", "http uses client"),
        ("design", "use crate::settings::Settings;", "design uses settings"),
        ("store", "use crate::settings::Settings;", "store uses settings"),
        ("design", "use super::super::job;", "design climbs by super::super"),
        ("design", "use actix_web::web;", "design names actix_web"),
        ("console", "use actix_web::web;", "console names actix_web"),
        ("http", "fn f() { let db = sled::open(\"x\"); }", "http names sled"),
        ("http", "use reqwest;", "http names reqwest"),
        ("design", "pub use crate::job::Job;", "design hands on job"),
        ("survey", "use crate::attic::Trunk;", "survey names crate::attic"),
        ("survey", "use tundish_stages::design::DesignError;", "survey uses design"),
        ("estimate", "pub use tundish_reading::job::Job;", "estimate hands on job"),
    ] {
        let found = violations(layer, text, &macros);
        assert!(found.iter().any(|what| what.starts_with(wanted)), "{text}: {found:?}");
    }
    for (layer, text) in [
        ("survey", "use crate::{job::Job, notes}; // crate::http"),
        ("survey", "fn f() -> &'static str { \"crate::http::start\" }"),
        ("survey", "pub(crate) fn f() {} use crate::survey::Survey; use crate::eq;"),
        ("console", "fn f() { actix_web::rt::spawn(async {}); }"),
        ("store", "fn f() { let db = sled::open(\"x\"); }"),
        ("design", "fn f(sled: u8, reqwest: u8) -> u8 { sled + reqwest }"),
    ] {
        assert_eq!(violations(layer, text, &macros), Vec::<String>::new(), "{text}");
    }
    for (text, is_root, ahead) in [
        ("use crate::design::hydraulics::Hydraulics;", false, true),
        ("use crate::{design::plant::Plant, survey::Survey};", false, true),
        ("use super::plant::Plant;", true, true),
        ("use super::{emitters::Emitters, plant::Plant};", true, true),
        ("use super::plant::Plant;", false, false),
        ("use super::source::Source; use crate::design::findings;", true, false),
    ] {
        assert_eq!(!reaches_ahead("design", "pipework", is_root, text).is_empty(), ahead, "{text}");
    }
    assert!(!reaches_ahead("design", "attic", true, "").is_empty());
    assert_eq!(length("a\nb\n#[cfg(test)]\nmod tests {}\n"), 2);
}
