//! `GET /v1/quotes/{id}/changes`, `GET /v1/quotes/{id}/proof`

use std::sync::Arc;

use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse, get};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use validator::Validate;

use super::{Shown, id_of};
use crate::http::answer::{self, Body, Coding};
use crate::http::error::ApiError;
use crate::http::problems::{Comparing, Proving};
use crate::http::service::{Readers, Service};
use crate::http::work::Turn;
use crate::intake::{Fault, FaultCode, read_parameters};
use crate::proposal;
use crate::quotes::{self, Changes, Proof, Step};
use crate::render::json;

/// Which revisions are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema, IntoParams, Validate)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct ChangesQuery {
    /// Number of the revision then.
    #[schema(minimum = 1, maximum = 2_147_483_647)]
    #[param(minimum = 1, maximum = 2_147_483_647)]
    pub from: u32,
    /// Number of the revision now.
    #[schema(minimum = 1, maximum = 2_147_483_647)]
    #[param(minimum = 1, maximum = 2_147_483_647)]
    pub to: u32,
}

/// What moved between two revisions of a quote.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuoteChanges {
    /// Number of the revision then.
    #[schema(value_type = i32, minimum = 1)]
    pub from: u32,
    /// Number of the revision now.
    #[schema(value_type = i32, minimum = 1)]
    pub to: u32,
    /// The program that made the proposal then.
    pub from_program: String,
    /// The program that made the proposal now: where it is another, what moved may be its doing.
    pub to_program: String,
    /// What moved.
    pub changes: Changes,
}

/// Compare two revisions of a quote
///
/// What moved in the job, and what that moved in price, by section, in hours and days. Of what was varied, the job as the
/// variations left it.
#[utoipa::path(
    tag = "quotes",
    operation_id = "compare_quote_revisions",
    params(("id" = String, Path, format = "uuid", description = "Id of the quote"), ChangesQuery),
    responses(
        (status = 200, description = "What moved", body = QuoteChanges),
        Comparing,
    )
)]
#[get("/quotes/{id}/changes")]
pub async fn changes(request: HttpRequest, id: Path<String>, service: Data<Service>) -> Result<HttpResponse, ApiError> {
    let read = read_parameters::<ChangesQuery>(&service.readers.changes_query, request.query_string());
    let Some(query) = read.document.filter(|_| read.faults.is_empty()) else {
        return Err(ApiError::Faults { document: Vec::new(), query: read.faults });
    };
    let (id, store, coding) = (id_of(&id)?, service.store.clone(), Coding::asked_by(&request));
    let body = service.work.run_cheap(move |turn| {
        let last = Shown::latest(&store, id)?.number;
        let of = |number, name: &str| {
            if number > last {
                let detail = format!("the quote has no revision {number}, its last is {last}");
                let fault = Fault::unreadable(format!("/{name}"), FaultCode::TooLarge, detail).limit(f64::from(last));
                return Err(ApiError::Faults { document: Vec::new(), query: vec![fault] });
            }
            Shown::revision(&store, id, number)
        };
        let (then, now) = (of(query.from, "from")?.revision, of(query.to, "to")?.revision);
        turn.step()?;
        let changes = quotes::changes(then.current(), now.current())?;
        let [from_program, to_program] = [&then, &now].map(|revision| revision.current_program().to_owned());
        Body::written(&QuoteChanges { from: query.from, to: query.to, from_program, to_program, changes }, coding, turn)
    });
    Ok(answer::ok(body.await?))
}

/// What this program makes of the job that was issued: nothing where it takes that no more.
fn made(shown: &Shown, readers: &Readers, turn: &Arc<Turn>) -> Result<Option<String>, ApiError> {
    let made = readers.patched_job(shown.revision.job.get(), turn);
    let made = made.and_then(|prepared| Ok(json::to_string(&proposal::proposal(&prepared, false)?)?));
    if matches!(made, Err(ApiError::Quote(_) | ApiError::Faults { .. })) {
        return Ok(None);
    }
    made.map(Some)
}

/// Prove that a quote is what was issued
///
/// The digests that were frozen are held against what is kept, and the job is computed again by the program that is asked.
#[utoipa::path(
    tag = "quotes",
    operation_id = "prove_quote",
    params(("id" = String, Path, format = "uuid", description = "Id of the quote")),
    responses(
        (status = 200, description = "What is shown", body = Proof),
        Proving,
    )
)]
#[get("/quotes/{id}/proof")]
pub async fn proof(request: HttpRequest, id: Path<String>, service: Data<Service>) -> Result<HttpResponse, ApiError> {
    service.readers.no_parameters(request.query_string())?;
    let (id, coding, day) = (id_of(&id)?, Coding::asked_by(&request), quotes::day(quotes::now()));
    let (readers, store) = (service.readers.clone(), service.store.clone());
    let body = service.work.run(move |turn| {
        let shown = Shown::latest(&store, id)?;
        shown.may(Step::Prove, day)?;
        let frozen = shown.revision.issued.as_ref().map(|issued| &issued.digests).ok_or(ApiError::Internal)?;
        let made = made(&shown, &readers, turn)?;
        turn.step()?;
        Body::written(&Proof::of(&shown.revision, frozen, made.as_deref())?, coding, turn)
    });
    Ok(answer::ok(body.await?))
}
