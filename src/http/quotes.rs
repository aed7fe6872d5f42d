//! `POST /v1/quotes`, `GET /v1/quotes/{id}`: a job kept with its proposal.

use std::sync::Arc;

use actix_web::http::StatusCode;
use actix_web::http::header::{ETAG, EntityTag, Header as _, IfNoneMatch, LOCATION};
use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse, get, post};
use jiff::Timestamp;
use serde::Serialize;
use serde_json::value::RawValue;
use utoipa::ToSchema;
use uuid::Uuid;

use super::answer::{self, Body, Coding};
use super::error::ApiError;
use super::problems::{Keeping, Reading};
use super::request::JsonRequest;
use super::service::{Readers, Service};
use super::work::Turn;
use crate::intake::utf8;
use crate::job::Job;
use crate::proposal::{self, ProposalError, ProposalReport};
use crate::quotes::{Card, Revision};
use crate::render::json;
use crate::store::Put;

/// A quote, as it is kept.
#[derive(Debug, Serialize, ToSchema)]
pub struct Quote<'r> {
    /// Its id.
    #[schema(value_type = String, format = "uuid")]
    pub id: String,
    /// Number of this revision, from 1.
    #[schema(value_type = i32, minimum = 1)]
    pub revision: u32,
    /// Where it stands: `draft`.
    pub state: &'r str,
    /// The program that made the proposal: its version, with the commit that it is built from (where known) and the digest of
    /// its catalogue, twelve digits each, as build metadata: `0.1.0+commit.0123456789ab.catalogue.ba9876543210`. A program of
    /// before kept its version alone.
    pub program: &'r str,
    /// The job, as it was sent.
    #[schema(value_type = Job)]
    pub job: &'r RawValue,
    /// The proposal, as it was answered when the job was kept.
    #[schema(value_type = ProposalReport)]
    pub proposal: &'r RawValue,
}

/// Makes the proposal of a job and puts both together as a draft.
fn drafted(readers: &Readers, request: JsonRequest, turn: &Arc<Turn>) -> Result<Revision, ApiError> {
    let sent = request.body.clone();
    let proposal = proposal::proposal(&readers.kept_job(request, turn)?, false)?;
    turn.step()?;
    let job = utf8(&sent).map_err(|fault| ProposalError::Faults(vec![fault]))?;
    Ok(Revision::draft(job, json::to_string(&proposal)?)?)
}

/// A quote, written.
fn written((id, number): (Uuid, u32), revision: &Revision, (coding, turn): (Coding, &Turn)) -> Result<Body, ApiError> {
    let Revision { state, program, job, proposal, .. } = revision;
    let quote = Quote { id: id.to_string(), revision: number, state, program, job, proposal };
    Body::written(&quote, coding, turn)
}

/// A quote as it is answered, with its tag; the tag changes with every revision.
fn answered(status: StatusCode, id: Uuid, number: u32, body: Body) -> HttpResponse {
    let mut response = answer::response(status);
    if status == StatusCode::CREATED {
        response.insert_header((LOCATION, format!("/v1/quotes/{id}")));
    }
    response.insert_header((ETAG, tag(number)));
    body.sent_by(response)
}

/// The number that a quote begins with.
const FIRST: u32 = 1;

fn tag(revision: u32) -> EntityTag {
    EntityTag::new_strong(revision.to_string())
}

/// Whether the asker holds this revision already (RFC 9110, 13.1.2: compared weakly).
fn is_held(held: Option<&IfNoneMatch>, revision: u32) -> bool {
    match held {
        Some(IfNoneMatch::Any) => true,
        Some(IfNoneMatch::Items(tags)) => tags.iter().any(|held| held.weak_eq(&tag(revision))),
        None => false,
    }
}

/// Keep a job and its proposal as a draft
///
/// Answered only once both are on the disk. Nothing is kept of a job with faults. Needs `commercial.quote_date`.
#[utoipa::path(
    tag = "quotes",
    operation_id = "create_quote",
    request_body(content = Job, description = "The job: at most 2 MiB of JSON, nested at most 32 levels deep", content_type = "application/json"),
    responses(
        (status = 201, description = "The quote, kept", body = Quote, headers(
            ("Location" = String, description = "Where it can be read"),
            ("ETag" = String, description = "Tag of this revision"),
        )),
        Keeping,
    )
)]
#[post("/quotes")]
pub async fn create(service: Data<Service>, request: JsonRequest) -> Result<HttpResponse, ApiError> {
    let readers = service.readers.clone();
    let id = Uuid::now_v7();
    let drafted = service.work.run(move |turn| {
        let (coding, draft) = (request.coding, drafted(&readers, request, turn)?);
        let now = Timestamp::now();
        let put = Put::new(id, FIRST - 1, Card::of(&draft, now, now)?, &draft.to_bytes()?);
        Ok((put, written((id, FIRST), &draft, (coding, turn))?))
    });
    let (put, body) = drafted.await?;
    let number = service.store.put(put).await?;
    Ok(answered(StatusCode::CREATED, id, number, body))
}

/// Read a quote
///
/// Its latest revision: the job as it was sent, the proposal as it was answered then.
#[utoipa::path(
    tag = "quotes",
    operation_id = "read_quote",
    params(("id" = String, Path, format = "uuid", description = "Id of the quote")),
    responses(
        (status = 200, description = "The quote", body = Quote, headers(("ETag" = String, description = "Tag of this revision"))),
        (status = 304, description = "The asker holds this revision already, by `If-None-Match`"),
        Reading,
    )
)]
#[get("/quotes/{id}")]
pub async fn read(request: HttpRequest, id: Path<String>, service: Data<Service>) -> Result<HttpResponse, ApiError> {
    service.readers.no_parameters(request.query_string())?;
    // one spelling for each quote: the one that it was given
    let id = Uuid::try_parse(&id).ok().filter(|uuid| uuid.to_string() == *id).ok_or(ApiError::NoQuote)?;
    let (store, coding, held) = (service.store.clone(), Coding::asked_by(&request), IfNoneMatch::parse(&request).ok());
    // a quote may be long: it is in memory while it has its turn
    let found = service.work.run_cheap(move |turn| {
        let kept = store.latest(id)?.ok_or(ApiError::NoQuote)?;
        if is_held(held.as_ref(), kept.revision) {
            return Ok((kept.revision, None));
        }
        let body = written((id, kept.revision), &Revision::from_bytes(&kept.value)?, (coding, turn))?;
        Ok((kept.revision, Some(body)))
    });
    Ok(match found.await? {
        (number, Some(body)) => answered(StatusCode::OK, id, number, body),
        (number, None) => HttpResponse::NotModified().insert_header((ETAG, tag(number))).finish(),
    })
}
