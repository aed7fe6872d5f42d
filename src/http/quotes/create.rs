//! `POST /v1/quotes`

use std::sync::Arc;

use actix_web::http::StatusCode;
use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse, post};

use super::once::{self, Asked};
use super::{Quote, Shown, answered, answered_again};
use crate::http::error::ApiError;
use crate::http::problems::Keeping;
use crate::http::request::JsonRequest;
use crate::http::service::{Readers, Service};
use crate::http::work::Turn;
use crate::intake::utf8;
use crate::job::Job;
use crate::proposal::{self, ProposalError};
use crate::quotes::{self, Revision};
use crate::render::json;

/// Makes the proposal of a job and puts both together as a draft.
pub(super) fn drafted(readers: &Readers, request: JsonRequest, turn: &Arc<Turn>) -> Result<Revision, ApiError> {
    let sent = request.body.clone();
    let proposal = proposal::proposal(&readers.kept_job(request, turn)?, false)?;
    turn.step()?;
    let job = utf8(&sent).map_err(|fault| ProposalError::Faults(vec![fault]))?;
    Ok(Revision::draft(job, json::to_string(&proposal)?)?)
}

/// Keep a job and its proposal as a draft
///
/// Answered only once both are on the disk. Nothing is kept of a job with faults. Needs `commercial.quote_date`.
#[utoipa::path(
    tag = "quotes",
    operation_id = "create_quote",
    params(("Idempotency-Key" = Option<String>, Header, max_length = 257, description = once::TOLD)),
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
pub async fn create(
    asked: HttpRequest,
    service: Data<Service>,
    request: JsonRequest,
) -> Result<HttpResponse, ApiError> {
    let day = quotes::day(quotes::now());
    let (readers, coding) = (service.readers.clone(), request.coding);
    let (once, held) = match Asked::of(&asked, &request.body, &service.store, &service.in_hand)? {
        Asked::New { once, held } => (once, held),
        Asked::Again(id, number) => return answered_again(&service, (id, number), (StatusCode::CREATED, coding)).await,
    };
    let drafted = service.work.run(move |turn| {
        let shown = Shown::first(drafted(&readers, request, turn)?)?;
        let put = shown.put()?.once(once);
        Ok((shown.id, shown.tag(day), put, shown.written(day, (coding, turn))?))
    });
    let (id, tag, put, body) = drafted.await?;
    service.store.put(put).await?;
    drop(held);
    Ok(answered(StatusCode::CREATED, id, tag, body))
}
