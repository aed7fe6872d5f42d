//! `POST /v1/quotes/{id}/issue`, `…/accept`, `…/decline`

use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse, post};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;
use validator::Validate;

use super::change::stepped;
use super::once::{self, Asked};
use super::{Quote, Shown, answered_again};
use crate::http::answer::Coding;
use crate::http::error::{ApiError, QuoteProblem};
use crate::http::problems::{Issuing, Stepping};
use crate::http::request::OptionalJson;
use crate::http::service::Service;
use crate::intake::{Gate, read as read_document};
use crate::quotes::{self, Revision, Step, valid_until};

/// What is said when a quote is issued.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
pub struct Issue {
    /// Whether it is issued although its proposal is not complete.
    #[serde(default)]
    #[schema(required = false)]
    pub accept_unmet: bool,
}

/// Codes of what a proposal leaves unmet, each once; nothing where it is complete.
fn unmet(revision: &Revision) -> Result<Vec<String>, ApiError> {
    let proposal: Value = serde_json::from_str(revision.proposal.get()).map_err(|_| ApiError::Internal)?;
    if proposal["price"]["complete"] == true {
        return Ok(Vec::new());
    }
    let mut codes: Vec<String> = Vec::new();
    let stages = proposal.as_object().into_iter().flatten().filter_map(|(_, stage)| stage.get("unmet")?.as_array());
    for code in stages.flatten().filter_map(|row| row["code"].as_str()) {
        if !codes.iter().any(|known| known == code) {
            codes.push(code.to_owned());
        }
    }
    if codes.is_empty() {
        codes.push("the price lacks something".to_owned());
    }
    Ok(codes)
}

/// Gives a draft to the client.
fn issued(found: &Shown, Issue { accept_unmet }: Issue) -> Result<Revision, ApiError> {
    let now = quotes::now();
    let unmet = unmet(&found.revision)?;
    if !unmet.is_empty() && !accept_unmet {
        return Err(QuoteProblem::NotComplete { unmet }.into());
    }
    let valid_until = valid_until(&found.revision)?.ok_or(ApiError::Internal)?;
    if valid_until < quotes::day(now) {
        return Err(QuoteProblem::OverAlready { valid_until }.into());
    }
    Ok(found.revision.clone().issue(now, valid_until, !unmet.is_empty())?)
}

fn read(gate: &Gate, sent: &OptionalJson) -> Result<Issue, ApiError> {
    let reading = read_document::<Issue>(gate, &sent.0.body);
    match reading.document {
        Some(said) if reading.faults.is_empty() => Ok(said),
        Some(_) | None => Err(ApiError::Faults { document: reading.faults, query: Vec::new() }),
    }
}

/// Issue a draft
///
/// The quote is frozen as it stands, with digests of what it rests on. What is not complete is issued only with `accept_unmet`,
/// which the quote then shows. It lapses after its last day (`commercial.valid_until`). Needs the tag of the latest revision as
/// `If-Match`.
#[utoipa::path(
    tag = "quotes",
    operation_id = "issue_quote",
    params(
        ("id" = String, Path, format = "uuid", description = "Id of the quote"),
        ("If-Match" = String, Header, description = "Tag of the revision that was read"),
        ("Idempotency-Key" = Option<String>, Header, max_length = 257, description = once::TOLD),
    ),
    request_body(content = Option<Issue>, description = "May be left out: at most 2 MiB of JSON, nested at most 32 levels deep", content_type = "application/json"),
    responses(
        (status = 200, description = "The quote, issued", body = Quote, headers(("ETag" = String, description = "Tag of this revision"))),
        Issuing,
    )
)]
#[post("/quotes/{id}/issue")]
pub async fn issue(
    request: HttpRequest,
    id: Path<String>,
    service: Data<Service>,
    sent: OptionalJson,
) -> Result<HttpResponse, ApiError> {
    service.readers.no_parameters(&sent.0.query)?;
    let (said, coding) = (read(&service.readers.issue, &sent)?, sent.0.coding);
    let asked = Asked::of(&request, &sent.0.body, &service.store, &service.in_hand)?;
    match asked {
        Asked::Again(id, number) => answered_again(&service, (id, number), (StatusCode::OK, coding)).await,
        Asked::New { once, held } => {
            let issue = move |found: &Shown, _: &_, _: &_| issued(found, said);
            let answer = stepped((request, id, service), (Step::Issue, coding), once, issue).await;
            drop(held);
            answer
        }
    }
}

/// Declares a step that the client takes.
macro_rules! step {
    ($(#[$doc:meta])* $name:ident at $path:literal is $operation:literal: $step:ident by $take:ident says $says:literal) => {
        $(#[$doc])*
        #[utoipa::path(
            tag = "quotes",
            operation_id = $operation,
            params(
                ("id" = String, Path, format = "uuid", description = "Id of the quote"),
                ("If-Match" = String, Header, description = "Tag of the revision that was read"),
            ),
            responses(
                (status = 200, description = $says, body = Quote, headers(("ETag" = String, description = "Tag of this revision"))),
                Stepping,
            )
        )]
        #[post($path)]
        pub async fn $name(request: HttpRequest, id: Path<String>, service: Data<Service>) -> Result<HttpResponse, ApiError> {
            service.readers.no_parameters(request.query_string())?;
            let coding = Coding::asked_by(&request);
            let take = |found: &Shown, _: &_, _: &_| Ok(found.revision.clone().$take(quotes::now()));
            stepped((request, id, service), (Step::$step, coding), None, take).await
        }
    };
}

step! {
    /// Take down that the client accepts a quote
    ///
    /// One that was issued and has not lapsed. Needs the tag of the latest revision as `If-Match`.
    accept at "/quotes/{id}/accept" is "accept_quote": Accept by accept says "The quote, accepted"
}
step! {
    /// Take down that the client declines a quote
    ///
    /// One that was issued and has not lapsed. Needs the tag of the latest revision as `If-Match`.
    decline at "/quotes/{id}/decline" is "decline_quote": Decline by decline says "The quote, declined"
}
