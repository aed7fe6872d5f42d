//! `PUT`, `PATCH` and `DELETE /v1/quotes/{id}`: every change is a new revision with its proposal.

use std::sync::Arc;

use actix_web::http::StatusCode;
use actix_web::http::header::EntityTag;
use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse, delete, patch, post, put};
use serde_json::Value;

use super::create::drafted;
use super::precondition::Precondition;
use super::{Quote, Shown, answered, id_of};
use crate::http::answer::Coding;
use crate::http::error::{ApiError, QuoteProblem};
use crate::http::problems::{Changing, Deleting, Patching, Varying};
use crate::http::quotes::patches::{JsonPatch, MergePatch};
use crate::http::request::{JsonRequest, Kind, PatchRequest};
use crate::http::service::{Readers, Service};
use crate::http::work::Turn;
use crate::intake::{Fault, FaultCode, Node, utf8};
use crate::job::Job;
use crate::patch as patches;
use crate::proposal;
use crate::quotes::{self, PatchForm, Revision, Step};
use crate::render::json;
use crate::store::{Once, Put};

/// Makes the next revision of a quote and keeps it: where the asker read the latest, and that can take the step.
pub(super) async fn stepped(
    (request, id, service): (HttpRequest, Path<String>, Data<Service>),
    (step, coding): (Step, Coding),
    once: Option<Once>,
    make: impl FnOnce(&Shown, &Readers, &Arc<Turn>) -> Result<Revision, ApiError> + Send + 'static,
) -> Result<HttpResponse, ApiError> {
    let id = id_of(&id)?;
    let precondition = Precondition::of(request.headers());
    let (readers, store) = (service.readers.clone(), service.store.clone());
    let made = service.work.run(move |turn| {
        let (found, day) = (Shown::latest(&store, id)?, quotes::day(quotes::now()));
        precondition.holds(&found, day)?;
        found.may(step, day)?;
        let next = found.next(make(&found, &readers, turn)?)?;
        Ok((next.tag(day), next.put()?.once(once), next.written(day, (coding, turn))?))
    });
    let (tag, put, body): (EntityTag, Put, _) = made.await?;
    service.store.put(put).await?;
    Ok(answered(StatusCode::OK, id, tag, body))
}

/// Replace the job of a draft
///
/// The job is a whole one, and its proposal is made anew. Needs the tag of the latest revision as `If-Match`.
#[utoipa::path(
    tag = "quotes",
    operation_id = "replace_quote",
    params(
        ("id" = String, Path, format = "uuid", description = "Id of the quote"),
        ("If-Match" = String, Header, description = "Tag of the revision that was read"),
    ),
    request_body(content = Job, description = "The job: at most 2 MiB of JSON, nested at most 32 levels deep", content_type = "application/json"),
    responses(
        (status = 200, description = "The new revision, kept", body = Quote, headers(("ETag" = String, description = "Tag of this revision"))),
        Changing,
    )
)]
#[put("/quotes/{id}")]
pub async fn replace(
    request: HttpRequest,
    id: Path<String>,
    service: Data<Service>,
    sent: JsonRequest,
) -> Result<HttpResponse, ApiError> {
    let coding = sent.coding;
    let make = move |_: &Shown, readers: &Readers, turn: &Arc<Turn>| drafted(readers, sent, turn);
    stepped((request, id, service), (Step::Change, coding), None, make).await
}

/// Patch the job of a draft
///
/// By a merge patch (RFC 7396) or a JSON Patch (RFC 6902), as the type of the body says; the proposal of what comes of it is made
/// anew, and faults stand at places of the patched job. Needs the tag of the latest revision as `If-Match`.
#[utoipa::path(
    tag = "quotes",
    operation_id = "patch_quote",
    params(
        ("id" = String, Path, format = "uuid", description = "Id of the quote"),
        ("If-Match" = String, Header, description = "Tag of the revision that was read"),
    ),
    request_body(content(
        (MergePatch = "application/merge-patch+json"),
        (JsonPatch = "application/json-patch+json"),
    ), description = "The patch: at most 2 MiB of JSON, nested at most 32 levels deep"),
    responses(
        (status = 200, description = "The new revision, kept", body = Quote, headers(("ETag" = String, description = "Tag of this revision"))),
        Patching,
    )
)]
#[patch("/quotes/{id}")]
pub async fn patch(
    request: HttpRequest,
    id: Path<String>,
    service: Data<Service>,
    PatchRequest(sent): PatchRequest,
) -> Result<HttpResponse, ApiError> {
    service.readers.no_parameters(&sent.query)?;
    let coding = sent.coding;
    let make = move |found: &Shown, readers: &Readers, turn: &Arc<Turn>| {
        patched_draft(found.revision.job.get(), &sent, (readers, turn))
    };
    stepped((request, id, service), (Step::Change, coding), None, make).await
}

/// The draft of a job that a patch was applied to.
fn patched_draft(job: &str, sent: &JsonRequest, (readers, turn): (&Readers, &Arc<Turn>)) -> Result<Revision, ApiError> {
    let job = patched(job, sent)?;
    let proposal = proposal::proposal(&readers.patched_job(&job, turn)?, false);
    let proposal = proposal.map_err(|error| match error.into_faults() {
        Ok(faults) => QuoteProblem::Patched(faults).into(),
        Err(late) => ApiError::from(late),
    })?;
    turn.step()?;
    Ok(Revision::draft(&job, json::to_string(&proposal)?)?)
}

/// Vary what the client has accepted
///
/// By a patch of the job as it stands, with the variations before: the variation says what it adds to the price or takes off, and
/// when the work then ends. What was accepted stays in the quote as it was. Needs the tag of the latest revision as `If-Match`.
#[utoipa::path(
    tag = "quotes",
    operation_id = "vary_quote",
    params(
        ("id" = String, Path, format = "uuid", description = "Id of the quote"),
        ("If-Match" = String, Header, description = "Tag of the revision that was read"),
    ),
    request_body(content(
        (MergePatch = "application/merge-patch+json"),
        (JsonPatch = "application/json-patch+json"),
    ), description = "The patch: at most 2 MiB of JSON, nested at most 32 levels deep"),
    responses(
        (status = 200, description = "The quote with the variation, kept", body = Quote, headers(("ETag" = String, description = "Tag of this revision"))),
        Varying,
    )
)]
#[post("/quotes/{id}/variations")]
pub async fn vary(
    request: HttpRequest,
    id: Path<String>,
    service: Data<Service>,
    PatchRequest(sent): PatchRequest,
) -> Result<HttpResponse, ApiError> {
    service.readers.no_parameters(&sent.query)?;
    let coding = sent.coding;
    let make = move |found: &Shown, readers: &Readers, turn: &Arc<Turn>| {
        let with = patched_draft(found.revision.current().0, &sent, (readers, turn))?;
        let form = if sent.kind == Kind::JsonPatch { PatchForm::JsonPatch } else { PatchForm::MergePatch };
        let text = utf8(&sent.body).map_err(|fault| QuoteProblem::Patched(vec![fault]))?;
        Ok(found.revision.clone().vary(with, (form, text), quotes::now())?)
    };
    stepped((request, id, service), (Step::Vary, coding), None, make).await
}

/// The text of a job that a patch was applied to.
fn patched(job: &str, sent: &JsonRequest) -> Result<String, ApiError> {
    let unreadable = |fault| ApiError::Faults { document: vec![fault], query: Vec::new() };
    let tree = Node::parse(&sent.body).map_err(unreadable)?;
    if let Some(pointer) = patches::repeated(&tree) {
        return Err(unreadable(Fault::unreadable(
            pointer,
            FaultCode::DuplicateKey,
            "this name stands twice in its object",
        )));
    }
    drop(tree);
    let text = utf8(&sent.body).map_err(unreadable)?;
    // what the tree took is JSON, and the job was kept as such
    let change: Value = serde_json::from_str(text).map_err(|_| ApiError::Internal)?;
    let mut job: Value = serde_json::from_str(job).map_err(|_| ApiError::Internal)?;
    match sent.kind {
        Kind::MergePatch | Kind::Json => patches::merge(&mut job, change),
        Kind::JsonPatch => {
            let operations = patches::operations(&change).map_err(QuoteProblem::NotApplied)?;
            patches::operate(&mut job, &operations).map_err(QuoteProblem::NotApplied)?;
        }
    }
    serde_json::to_string(&job).map_err(|_| ApiError::Internal)
}

/// Delete a draft
///
/// Its revisions are not listed and not read any more. Needs the tag of the latest revision as `If-Match`.
#[utoipa::path(
    tag = "quotes",
    operation_id = "delete_quote",
    params(
        ("id" = String, Path, format = "uuid", description = "Id of the quote"),
        ("If-Match" = String, Header, description = "Tag of the revision that was read"),
    ),
    responses(
        (status = 204, description = "The draft is deleted"),
        Deleting,
    )
)]
#[delete("/quotes/{id}")]
pub async fn delete(request: HttpRequest, id: Path<String>, service: Data<Service>) -> Result<HttpResponse, ApiError> {
    service.readers.no_parameters(request.query_string())?;
    let id = id_of(&id)?;
    let precondition = Precondition::of(request.headers());
    let store = service.store.clone();
    let found = service.work.run_cheap(move |_| {
        let (found, day) = (Shown::latest(&store, id)?, quotes::day(quotes::now()));
        precondition.holds(&found, day)?;
        found.may(Step::Delete, day)?;
        Ok(found.number)
    });
    service.store.put(Put::taking_away(id, found.await?)).await?;
    Ok(HttpResponse::NoContent().finish())
}
