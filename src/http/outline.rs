//! `POST /v1/outline`: a few facts in, a whole job out.

use actix_web::web::Data;
use actix_web::{HttpResponse, post};

use super::answer::{self, Body};
use super::error::ApiError;
use super::problems::Question;
use super::request::JsonRequest;
use super::service::Service;
use crate::outline::{Facts, Outline};

/// A whole job from a few facts
///
/// Rooms, surfaces and constructions of a dwelling that nobody has surveyed yet, by its kind, year and floor area; radiators that their
/// walls have room for, as many as each room needs, at the coolest flow that suits them; what heats now, pipes that stay and the grant, as a
/// caller tells them. Every filled value is an assumption, what the loss rests on with its spread. The job is accepted wherever a job is, and
/// corrected room by room; where the house cannot be heated so the warning `cannot_be_heated` says why.
#[utoipa::path(
    tag = "design",
    operation_id = "outline",
    request_body(content = Facts, description = "The facts: at most 2 MiB of JSON, nested at most 32 levels deep", content_type = "application/json"),
    responses(
        (status = 200, description = "The job and what was assumed for it", body = Outline),
        Question,
    )
)]
#[post("/outline")]
pub async fn outline(service: Data<Service>, request: JsonRequest) -> Result<HttpResponse, ApiError> {
    let readers = service.readers.clone();
    let body = service.work.run(move |turn| Body::written(&readers.outline(&request, turn)?, request.coding, turn));
    Ok(answer::ok(body.await?))
}
