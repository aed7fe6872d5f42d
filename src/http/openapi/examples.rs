//! One small job, sent to every operation: what it asks and what it is answered, as this program answers it.
//!
//! The answers are made when the document is, so that an example is never another program's.

use std::time::Duration;

use serde_json::{Map, Value, json};
use tundish_stages::each_stage;

use super::{example_quotes, operations};
use crate::http::error::{ApiError, QuoteProblem, Stale};
use crate::http::problems::Shared;
use crate::http::service::Readers;
use crate::intake::Fault;
use crate::outline;
use crate::proposal::{self, Limits, Needs, Prepared, ProposalError};
use crate::quotes::{State, Step};
use crate::render::json;

/// The job of the examples.
pub(super) const JOB: &str = include_str!("annexe.json");
/// The facts of the examples.
const FACTS: &str = include_str!("flat.json");
/// What is said of an answer.
pub(super) const ANSWERED: &str = "What is answered";

/// How an operation answers a job.
type Answer = fn(&Prepared) -> Result<String, ApiError>;

macro_rules! answers {
    ($(stage $stage:ident: $result:ident {
        from |$from:ident| $before:expr;
        notes $notes:ident;
        told $told:ident;
        $(answers $name:ident: $question:ident {
            $(#[$of:meta])* report $report:ident;
            $(#[$field:meta])* row $row:ident = |$run:ident| $answer:expr;
            $(#[$doc:meta])* at $path:literal for $needs:ident says $says:literal;
            figures $figures:tt;
        })?
    })*) => {
        /// The operations that take a job, by id.
        const ANSWERS: &[(&str, Answer)] = &[
            $($((stringify!($name), |job| Ok(json::to_string(&proposal::$name(job, false)?)?)),)?)*
            ("flow_temperatures", |job| Ok(json::to_string(&proposal::flow_temperatures(job, false)?)?)),
            ("proposal", |job| Ok(json::to_string(&proposal::proposal(job, false)?)?)),
        ];
    };
}

each_stage!(answers);

/// Gives every operation that takes a document or answers with one an example of it.
///
/// # Errors
/// The examples cannot be read or answered: a fault of the program, which the tests would have refused.
pub fn add(document: &mut Value) -> Result<(), String> {
    let (readers, told) = (Readers::shared()?, |error: ApiError| error.to_string());
    let job = read(&readers, JOB).map_err(|error| ApiError::from(error).to_string())?;
    for (operation, answer) in ANSWERS {
        put(document, operation, Some(named("annexe", "An annexe of one room", JOB)?), &answer(&job).map_err(told)?)?;
    }
    let outline = outline::read(&readers.facts, &readers.catalogue, FACTS.as_bytes(), &Limits::default());
    let outline = outline.map_err(|document| told(ApiError::Faults { document, query: Vec::new() }))?;
    let facts = named("flat", "A flat that nobody has surveyed", FACTS)?;
    put(document, "outline", Some(facts), &json::to_string(&outline).map_err(|error| error.to_string())?)?;
    example_quotes::add(document, &job)?;
    for health in ["live", "ready"] {
        let answer = json!({"health": health, "version": env!("CARGO_PKG_VERSION")}).to_string();
        put(document, &format!("health_{health}"), None, &answer)?;
    }
    Ok(())
}

fn read(readers: &Readers, job: &str) -> Result<Prepared, ProposalError> {
    proposal::read(&readers.job, &readers.catalogue, job.as_bytes(), Needs::Money)
}

pub(super) fn named(name: &str, summary: &str, text: &str) -> Result<Value, String> {
    let value: Value = serde_json::from_str(text).map_err(|error| error.to_string())?;
    Ok(json!({name: {"summary": summary, "value": value}}))
}

/// Puts what an operation asks, and the text that it answers, beside its schemas.
fn put(document: &mut Value, id: &str, asked: Option<Value>, answer: &str) -> Result<(), String> {
    let name = asked.as_ref().and_then(|asked| asked.as_object()?.keys().next().cloned());
    let answer = named(name.as_deref().unwrap_or("answer"), ANSWERED, answer)?;
    put_value(document, id, asked, &answer)
}

pub(super) fn put_value(document: &mut Value, id: &str, asked: Option<Value>, answer: &Value) -> Result<(), String> {
    let operation = operations(document).find(|operation| operation["operationId"] == id);
    let operation = operation.ok_or_else(|| format!("there is no operation {id}"))?;
    // of several types the first has it
    let content = operation.pointer_mut("/requestBody/content").and_then(Value::as_object_mut);
    if let (Some(asked), Some((_, content))) = (asked, content.and_then(|content| content.iter_mut().next())) {
        content["examples"] = asked;
    }
    let responses = operation["responses"].as_object_mut().into_iter().flatten();
    for (_, response) in responses.filter(|(status, _)| status.starts_with('2')) {
        response["content"]["application/json"]["examples"] = answer.clone();
    }
    Ok(())
}

/// Examples of a problem, each as it is sent.
pub fn of_problem(problem: Shared) -> Value {
    let all: Map<String, Value> = errors(problem)
        .into_iter()
        .map(|(name, error)| {
            (name.to_owned(), json!({"value": serde_json::from_str(&error.text()).unwrap_or(Value::Null)}))
        })
        .collect();
    Value::Object(all)
}

fn errors(problem: Shared) -> Vec<(&'static str, ApiError)> {
    match problem {
        Shared::Unreadable => vec![("broken_text", refused("{\"schema\": 1,"))],
        Shared::Unauthorized => vec![("unauthorized", ApiError::Unauthorized)],
        Shared::NotFound => vec![("no_quote", ApiError::NoQuote)],
        Shared::Stalled => vec![("stalled", ApiError::Stalled)],
        Shared::TooLarge => vec![("too_large", ApiError::TooLarge)],
        Shared::TargetTooLong => vec![("target_too_long", ApiError::TargetTooLong)],
        Shared::MediaType => vec![("media_type", ApiError::MediaType)],
        Shared::Misdirected => vec![("misdirected", ApiError::Misdirected)],
        Shared::Unprocessable => vec![("nothing_but_its_number", refused("{\"schema\": 1}"))],
        Shared::Internal => vec![("internal", ApiError::Internal)],
        Shared::KeyRunning => vec![("key_running", QuoteProblem::KeyRunning.into())],
        Shared::Conflict => vec![
            ("wrong_state", QuoteProblem::WrongState { state: State::Declined, step: Step::Issue }.into()),
            ("not_complete", QuoteProblem::NotComplete { unmet: vec!["no_radiator".to_owned()] }.into()),
        ],
        Shared::Stale => {
            vec![
                ("stale", QuoteProblem::Stale { why: Stale::Moved }.into()),
                ("star", QuoteProblem::Stale { why: Stale::Star }.into()),
            ]
        }
        Shared::NoTag => vec![("no_tag", QuoteProblem::NoTag.into())],
        Shared::PatchType => vec![("media_type", QuoteProblem::PatchType.into())],
        Shared::UnprocessableOnce => {
            vec![("nothing_but_its_number", refused("{\"schema\": 1}")), ("key_reused", QuoteProblem::KeyReused.into())]
        }
        Shared::Failed => vec![("internal", ApiError::Internal), ("damaged", ApiError::Damaged)],
        Shared::NoSpace => vec![("disk_full", ApiError::DiskFull), ("read_only", ApiError::ReadOnly)],
        Shared::Busy => unavailable(),
        Shared::NotReady => vec![("not_ready", ApiError::NotReady), ("stopping", ApiError::Stopping)],
        Shared::Unavailable => unavailable().into_iter().chain([("not_ready", ApiError::NotReady)]).collect(),
    }
}

fn unavailable() -> Vec<(&'static str, ApiError)> {
    vec![
        ("busy", ApiError::busy(Duration::from_secs(2))),
        ("out_of_time", ApiError::OutOfTime),
        ("stopping", ApiError::Stopping),
    ]
}

/// How a job that cannot be read is refused.
fn refused(job: &str) -> ApiError {
    let faults: Vec<Fault> = match Readers::shared().ok().map(|readers| read(&readers, job)) {
        Some(Err(error)) => error.into_faults().unwrap_or_default(),
        Some(Ok(_)) | None => Vec::new(),
    };
    ApiError::Faults { document: faults, query: Vec::new() }
}
