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
use crate::store::{Lost, Restored, Told};

/// What is missing is named up to so many.
const NAMED: usize = 100;

/// The state of the service.
#[derive(Debug, Serialize, ToSchema)]
pub struct Health {
    /// `live`.
    pub health: &'static str,
    /// Version of the program.
    pub version: &'static str,
}

/// Whether the service can work, and how its store is.
#[derive(Debug, Serialize, ToSchema)]
pub struct Ready {
    /// `ready`; `degraded` while something that was kept is missing.
    pub health: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// What was restored since the service was started, where anything was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub restored: Option<Restored>,
    /// Damaged files of the store that were put aside since the service was started: what they hold is not thrown away.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub put_aside: Vec<String>,
    /// Revisions that were kept and are in no part of the store any more; the first hundred.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub missing: Vec<Missing>,
}

/// A revision that is missing.
#[derive(Debug, Serialize, ToSchema)]
pub struct Missing {
    /// Number of its record, in the order of commits, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<i64>, minimum = 1)]
    pub record: Option<u64>,
    /// The quote, where that is still known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(format = "uuid")]
    pub id: Option<String>,
    /// Number of the revision, where that is still known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<i32>, minimum = 1)]
    pub revision: Option<u32>,
}

impl From<&Lost> for Missing {
    fn from(lost: &Lost) -> Self {
        let (id, revision) = (lost.what.map(|(id, _)| id.to_string()), lost.what.map(|(_, revision)| revision));
        Self { record: lost.n, id, revision }
    }
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
    let text = json::to_string(&Health { health: "live", version: env!("CARGO_PKG_VERSION") })?;
    Ok(answer::ok(Body::coded(text.into_bytes(), Coding::Plain)))
}

/// Whether the service can work: its store answers
///
/// What a damaged part of the store had lost and was given back from the others is told, and so is what none has any more.
#[utoipa::path(
    tag = "operation",
    operation_id = "health_ready",
    responses(
        (status = 200, description = "It can work", body = Ready),
        Readiness,
    )
)]
#[get("/health/ready")]
pub async fn ready(service: Data<Service>) -> Result<HttpResponse, ApiError> {
    service.store.check()?;
    let Told { restored, lost, aside, .. } = service.store.told();
    let ready = Ready {
        health: if lost.is_empty() { "ready" } else { "degraded" },
        version: env!("CARGO_PKG_VERSION"),
        restored: restored.is_any().then_some(restored),
        put_aside: aside,
        missing: lost.iter().take(NAMED).map(Missing::from).collect(),
    };
    Ok(answer::ok(Body::coded(json::to_string(&ready)?.into_bytes(), Coding::Plain)))
}
