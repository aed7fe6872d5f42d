//! `GET /v1/quotes/{id}`, `GET /v1/quotes/{id}/revisions/{revision}`

use actix_web::http::StatusCode;
use actix_web::http::header::{ETAG, EntityTag, Header as _, IfNoneMatch};
use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse, get};

use super::{Quote, Shown, answered, id_of};
use crate::http::answer::Coding;
use crate::http::error::ApiError;
use crate::http::problems::Reading;
use crate::http::service::Service;
use crate::quotes;
use crate::store::Store;

/// Whether the asker holds this revision already (RFC 9110, 13.1.2: compared weakly).
fn is_held(held: Option<&IfNoneMatch>, tag: &EntityTag) -> bool {
    match held {
        Some(IfNoneMatch::Any) => true,
        Some(IfNoneMatch::Items(tags)) => tags.iter().any(|held| held.weak_eq(tag)),
        None => false,
    }
}

/// Answers a revision, unless the asker holds it. A quote may be long: it is in memory while it has its turn.
async fn shown(
    request: &HttpRequest,
    service: &Service,
    find: impl FnOnce(&Store) -> Result<Shown, ApiError> + Send + 'static,
) -> Result<HttpResponse, ApiError> {
    service.readers.no_parameters(request.query_string())?;
    let (store, coding, held) = (service.store.clone(), Coding::asked_by(request), IfNoneMatch::parse(request).ok());
    let found = service.work.run_cheap(move |turn| {
        let (shown, day) = (find(&store)?, quotes::day(quotes::now()));
        let tag = shown.tag(day);
        if is_held(held.as_ref(), &tag) {
            return Ok((shown.id, tag, None));
        }
        let body = shown.written(day, (coding, turn))?;
        Ok((shown.id, tag, Some(body)))
    });
    Ok(match found.await? {
        (id, tag, Some(body)) => answered(StatusCode::OK, id, tag, body),
        (_, tag, None) => HttpResponse::NotModified().insert_header((ETAG, tag)).finish(),
    })
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
    let id = id_of(&id);
    shown(&request, &service, move |store| Shown::latest(store, id?)).await
}

/// Read a revision of a quote
///
/// As it was kept then; of what was issued, as it stands today.
#[utoipa::path(
    tag = "quotes",
    operation_id = "read_quote_revision",
    params(
        ("id" = String, Path, format = "uuid", description = "Id of the quote"),
        ("revision" = i32, Path, minimum = 1, description = "Number of the revision"),
    ),
    responses(
        (status = 200, description = "The revision", body = Quote, headers(("ETag" = String, description = "Tag of this revision"))),
        (status = 304, description = "The asker holds this revision already, by `If-None-Match`"),
        Reading,
    )
)]
#[get("/quotes/{id}/revisions/{revision}")]
pub async fn read_revision(
    request: HttpRequest,
    path: Path<(String, String)>,
    service: Data<Service>,
) -> Result<HttpResponse, ApiError> {
    let (id, number) = path.into_inner();
    let (id, number) = (id_of(&id), number.parse().ok().filter(|parsed: &u32| parsed.to_string() == number));
    shown(&request, &service, move |store| Shown::revision(store, id?, number.ok_or(ApiError::NoQuote)?)).await
}
