//! `POST /v1/heat-loss`

use actix_web::web::Data;
use actix_web::{HttpResponse, post};

use super::answer;
use super::error::{ApiError, Problem};
use super::request::JsonRequest;
use super::service::{Service, StageQuery};
use crate::job::Job;
use crate::proposal::{self, HeatLossReport};

/// Heat loss of every room and of the dwelling
///
/// Design heat loss by EN 12831, steady state: transmission, thermal bridges and ventilation, with signed flows
/// between rooms that cancel in the dwelling's total.
#[utoipa::path(
    tag = "design",
    operation_id = "heat_loss",
    params(StageQuery),
    request_body(content = Job, description = "The job", content_type = "application/json"),
    responses(
        (status = 200, description = "The heat loss", body = HeatLossReport),
        (status = "4XX", description = "What is wrong with the request", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", description = "The service could not answer", body = Problem, content_type = "application/problem+json"),
    )
)]
#[post("/heat-loss")]
pub async fn heat_loss(service: Data<Service>, request: JsonRequest) -> Result<HttpResponse, ApiError> {
    let readers = service.readers.clone();
    let report = service.work.run(move || {
        let (prepared, query) = readers.stage(&request)?;
        Ok(proposal::heat_loss(prepared, query.workings)?)
    });
    answer::ok(&report.await?)
}
