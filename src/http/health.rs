//! `GET /health/live`, `GET /health/ready`

use actix_web::web::Data;
use actix_web::{HttpResponse, get};
use serde::Serialize;
use utoipa::ToSchema;

use super::answer::{self, Body, Coding};
use super::error::ApiError;
use super::problems::{Program, Readiness};
use super::service::Service;
use crate::render::json;

/// The state of the service.
#[derive(Debug, Serialize, ToSchema)]
pub struct Health {
    /// `live`, or `ready`.
    pub health: &'static str,
    /// Version of the program.
    pub version: &'static str,
}

fn health(health: &'static str) -> Result<HttpResponse, ApiError> {
    let text = json::to_string(&Health { health, version: env!("CARGO_PKG_VERSION") })?;
    Ok(answer::ok(Body::coded(text.into_bytes(), Coding::Plain)))
}

/// Whether the service is there
#[utoipa::path(
    tag = "operation",
    operation_id = "health_live",
    responses(
        (status = 200, description = "It is there", body = Health),
        Program,
    )
)]
#[get("/health/live")]
pub async fn live() -> Result<HttpResponse, ApiError> {
    health("live")
}

/// Whether the service can work: its store answers
#[utoipa::path(
    tag = "operation",
    operation_id = "health_ready",
    responses(
        (status = 200, description = "It can work", body = Health),
        Readiness,
    )
)]
#[get("/health/ready")]
pub async fn ready(service: Data<Service>) -> Result<HttpResponse, ApiError> {
    service.store.check().await?;
    health("ready")
}
