//! Clients that generators make of the contract: made, checked by types, and two of them sent to a service.
//!
//! `tests/clients/install` puts what this needs into `target/clients`, and `.ci/run` runs it and sets `TUNDISH_CLIENTS=1`. Where
//! that is not set these tests are left out, and say so.

use std::collections::BTreeSet;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;
use tundish::http::openapi_document;

use super::helpers::spawn_service;

/// Longest that one generator or checker may take.
const LONGEST: Duration = Duration::from_mins(5);

/// Where what is known of installed modules is kept between runs.
const CACHED: &str = "--cache-dir=../../mypy";

/// A place of the project.
fn project(place: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(place)
}

/// Where the tools are, if this run shall use them; says so if not.
fn tools(test: &str) -> Option<PathBuf> {
    if std::env::var_os("TUNDISH_CLIENTS").is_some_and(|value| value == "1") {
        // `target/tmp` is cargo's own place for tests
        return Some(Path::new(env!("CARGO_TARGET_TMPDIR")).with_file_name("clients"));
    }
    let why = "left out, it needs Python, npm and tests/clients/install: TUNDISH_CLIENTS=1 runs it";
    // past what the harness captures, so that it is seen
    std::io::stderr().write_all(format!("{test}: {why}\n").as_bytes()).unwrap();
    None
}

/// An empty folder to make a client in.
fn made(tools: &Path, name: &str) -> PathBuf {
    let folder = tools.join("made").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// Copies what a client is used by.
fn copy(name: &str, folder: &Path) {
    std::fs::copy(project("tests/clients").join(name), folder.join(name)).unwrap();
}

/// Runs a tool in a folder to its end, which must be a good one; what it wrote.
fn run(tool: &Path, arguments: &[&str], folder: &Path) -> String {
    let what = format!("{} {arguments:?}", tool.display());
    let log = folder.join("tool.log");
    let file = std::fs::File::create(&log).unwrap();
    let mut command = Command::new(tool);
    command.args(arguments).current_dir(folder).stdin(Stdio::null());
    // the generator of functions formats what it made by a tool of its own environment
    let path = std::env::var("PATH").unwrap_or_default();
    command.env("PATH", format!("{}:{path}", tool.parent().unwrap().display())).env("NO_PROXY", "127.0.0.1");
    command.stdout(file.try_clone().unwrap()).stderr(file);
    let mut child = command.spawn().unwrap_or_else(|error| panic!("{what}: {error}; has tests/clients/install run?"));
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if begun.elapsed() > LONGEST {
            child.kill().unwrap();
            panic!("{what} did not end within {LONGEST:?}");
        }
        std::thread::sleep(Duration::from_millis(50));
    };
    let text = std::fs::read_to_string(&log).unwrap();
    assert!(status.success(), "{what}: {text}");
    text
}

fn contract() -> String {
    project("openapi/openapi.json").display().to_string()
}

#[tokio::test]
async fn functions_generated_in_python_are_checked_by_types_and_ask_a_service() {
    let Some(tools) = tools("functions_generated_in_python_are_checked_by_types_and_ask_a_service") else { return };
    let (bin, folder) = (tools.join("venv/bin"), made(&tools, "functions"));
    let contract = contract();
    run(&bin.join("openapi-spec-validator"), &[&contract], &folder);
    let generate = ["generate", "--path", &contract, "--meta", "none", "--output-path", "functions"];
    let said = run(&bin.join("openapi-python-client"), &generate, &folder);
    assert!(!said.to_lowercase().contains("warning"), "an operation or a schema is left out: {said}");
    copy("use_functions.py", &folder);
    let checked = [CACHED, "--strict", "--follow-imports=silent", "use_functions.py"];
    run(&bin.join("mypy"), &checked, &folder);
    let service = spawn_service();
    let job = project("src/http/openapi/annexe.json").display().to_string();
    let (python, url) = (bin.join("python"), service.url(""));
    let said = tokio::task::spawn_blocking(move || run(&python, &["use_functions.py", &url, &job], &folder));
    assert!(said.await.unwrap().contains("functions: heat loss, price, refusal and quote"));
}

#[tokio::test]
async fn models_generated_in_python_have_names_are_checked_by_types_and_read_the_answers() {
    let test = "models_generated_in_python_have_names_are_checked_by_types_and_read_the_answers";
    let Some(tools) = tools(test) else { return };
    let (bin, folder) = (tools.join("venv/bin"), made(&tools, "models"));
    let contract = contract();
    let generate = ["--input", &contract, "--input-file-type", "openapi", "--output", "models.py"];
    let style = ["--output-model-type", "pydantic_v2.BaseModel", "--use-annotated", "--target-python-version", "3.11"];
    run(&bin.join("datamodel-codegen"), &[&generate[..], &style].concat(), &folder);
    let numbered = numbered(&std::fs::read_to_string(folder.join("models.py")).unwrap());
    assert_eq!(numbered, Vec::<String>::new(), "schemas without a name of their own");
    copy("use_models.py", &folder);
    run(&bin.join("mypy"), &[CACHED, "--strict", "use_models.py", "models.py"], &folder);
    let service = spawn_service();
    let mut arguments = vec!["use_models.py".to_owned(), service.url("")];
    let jobs = ["bungalow", "chapel", "farmhouse", "terrace"];
    arguments.extend(jobs.map(|name| project(&format!("fixtures/jobs/{name}.json")).display().to_string()));
    let python = bin.join("python");
    let said = tokio::task::spawn_blocking(move || {
        run(&python, &arguments.iter().map(String::as_str).collect::<Vec<_>>(), &folder)
    });
    assert!(said.await.unwrap().contains("models: 4 jobs and their answers"));
}

/// Classes of a module that are called as a schema is not: by a number at the end.
fn numbered(module: &str) -> Vec<String> {
    let document = openapi_document();
    let schemas = document["components"]["schemas"].as_object().unwrap();
    let names = module.lines().filter_map(|line| line.strip_prefix("class ")?.split(['(', ':']).next());
    names.filter(|name| name.ends_with(char::is_numeric) && !schemas.contains_key(*name)).map(str::to_owned).collect()
}

#[test]
fn types_generated_in_typescript_tell_kinds_apart_and_keep_every_description() {
    let Some(tools) = tools("types_generated_in_typescript_tell_kinds_apart_and_keep_every_description") else {
        return;
    };
    // beside the modules, which the compiler looks for upwards
    let bin = tools.join("node/node_modules/.bin");
    let folder = made(&tools.join("node"), "types");
    run(&bin.join("openapi-typescript"), &[&contract(), "--output", "contract.d.ts"], &folder);
    copy("use_types.ts", &folder);
    copy("tsconfig.json", &folder);
    run(&bin.join("tsc"), &["--project", "tsconfig.json"], &folder);
    let types = bare(&std::fs::read_to_string(folder.join("contract.d.ts")).unwrap());
    let mut said = BTreeSet::new();
    descriptions(&openapi_document()["components"]["schemas"], &mut said);
    assert!(said.len() > 800, "{}", said.len());
    let lost: Vec<_> = said.iter().filter(|text| !types.contains(&bare(text))).collect();
    assert!(lost.is_empty(), "{} of {} descriptions are lost: {lost:#?}", lost.len(), said.len());
}

/// A text without blanks and marks of comments, which generators break lines by.
fn bare(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_whitespace() && !['*', '\\'].contains(letter)).collect()
}

/// What is said of properties.
fn descriptions(schema: &Value, said: &mut BTreeSet<String>) {
    match schema {
        Value::Object(members) => {
            let properties = members.get("properties").and_then(Value::as_object);
            let described = properties.into_iter().flat_map(|properties| properties.values());
            said.extend(described.filter_map(|property| Some(property["description"].as_str()?.to_owned())));
            members.values().for_each(|member| descriptions(member, said));
        }
        Value::Array(items) => items.iter().for_each(|item| descriptions(item, said)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}
