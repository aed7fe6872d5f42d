//! What every request passes: length of the target, HEAD as GET, panics; and what has no handler.

use std::panic::AssertUnwindSafe;

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ResourceDef, ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::ALLOW;
use actix_web::middleware::Next;
use actix_web::web::Data;
use actix_web::{Error, HttpRequest, HttpResponse};
use futures_util::FutureExt as _;
use utoipa::openapi::OpenApi;
use utoipa::openapi::path::PathItem;

use super::TARGET_LIMIT;
use super::error::ApiError;

/// Every path with its methods, from the document that is published.
pub struct Routes(Vec<(ResourceDef, String)>);

impl Routes {
    /// The paths of a document.
    #[must_use]
    pub fn of(document: &OpenApi) -> Self {
        let paths = document.paths.paths.iter().map(|(path, item)| (ResourceDef::new(path.as_str()), allowed(item)));
        Self(paths.collect())
    }
}

fn allowed(item: &PathItem) -> String {
    let methods = [
        ("GET, HEAD", item.get.is_some()),
        ("POST", item.post.is_some()),
        ("PUT", item.put.is_some()),
        ("PATCH", item.patch.is_some()),
        ("DELETE", item.delete.is_some()),
        ("OPTIONS", true),
    ];
    methods.iter().filter(|(_, there)| *there).map(|(method, _)| *method).collect::<Vec<_>>().join(", ")
}

/// What no handler takes: 404, 405 with `Allow`, and OPTIONS.
///
/// # Errors
/// [`ApiError::NotFound`], [`ApiError::Method`].
pub async fn otherwise(request: HttpRequest, routes: Data<Routes>) -> Result<HttpResponse, ApiError> {
    let path = request.match_info().as_str();
    match routes.0.iter().find(|(route, _)| route.is_match(path)) {
        None => Err(ApiError::NotFound),
        Some((_, allowed)) if request.method() == Method::OPTIONS => {
            Ok(HttpResponse::NoContent().insert_header((ALLOW, allowed.as_str())).finish())
        }
        Some((_, allowed)) => Err(ApiError::Method(allowed.clone())),
    }
}

/// HEAD is GET: actix sends no body to HEAD and keeps its length. A panic becomes a problem.
///
/// # Errors
/// [`ApiError::TargetTooLong`], [`ApiError::Internal`].
pub async fn edge<B: MessageBody + 'static>(
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let target = request.uri().path_and_query().map_or(0, |target| target.as_str().len());
    if target > TARGET_LIMIT {
        return Err(ApiError::TargetTooLong.into());
    }
    if request.method() == Method::HEAD {
        request.head_mut().method = Method::GET;
    }
    match AssertUnwindSafe(next.call(request)).catch_unwind().await {
        Ok(answer) => answer.map(ServiceResponse::map_into_boxed_body),
        Err(_) => Err(ApiError::Internal.into()),
    }
}
