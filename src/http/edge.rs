//! What every request passes: length of the target, name of the host, HEAD as GET, panics; and what has no handler.

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
use super::hosts::Hosts;
use super::tally::Tally;

/// The interactive page: paths that the document, made for machines, does not list.
const PAGES: [&str; 3] = ["/", "/docs", "/docs/{file:.*}"];

/// Every path with its methods, from the document that is published, and the interactive page.
pub struct Routes(Vec<(ResourceDef, String)>);

impl Routes {
    /// The paths of a document.
    #[must_use]
    pub fn from_document(document: &OpenApi) -> Self {
        let paths = document.paths.paths.iter().map(|(path, item)| (ResourceDef::new(path.as_str()), allowed(item)));
        let pages = PAGES.map(|path| (ResourceDef::new(path), "GET, HEAD, OPTIONS".to_owned()));
        Self(paths.chain(pages).collect())
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

/// HEAD is GET: actix sends no body to HEAD and keeps its length. A panic becomes a problem, and what is turned away is counted.
///
/// # Errors
/// [`ApiError::TargetTooLong`], [`ApiError::Misdirected`], [`ApiError::Internal`].
pub async fn edge<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let tally = request.app_data::<Data<Tally>>().cloned();
    let answer = passed(request, next).await;
    if let Some(tally) = tally {
        tally.count(match &answer {
            Ok(answer) => answer.status(),
            Err(error) => error.as_response_error().status_code(),
        });
    }
    answer
}

async fn passed<B: MessageBody + 'static>(
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let target = request.uri().path_and_query().map_or(0, |target| target.as_str().len());
    if target > TARGET_LIMIT {
        return Err(ApiError::TargetTooLong.into());
    }
    if request.app_data::<Data<Hosts>>().is_some_and(|hosts| !hosts.know(&request)) {
        return Err(ApiError::Misdirected.into());
    }
    if request.method() == Method::HEAD {
        request.head_mut().method = Method::GET;
    }
    match AssertUnwindSafe(next.call(request)).catch_unwind().await {
        Ok(answer) => answer.map(ServiceResponse::map_into_boxed_body),
        Err(_) => Err(ApiError::Internal.into()),
    }
}

#[cfg(test)]
mod tests {
    use actix_web::body::to_bytes;
    use actix_web::dev::Service as _;
    use actix_web::http::header::CONTENT_TYPE;
    use actix_web::middleware::from_fn;
    use actix_web::test::{TestRequest, init_service};
    use actix_web::{App, web};

    use super::*;

    async fn fails() -> HttpResponse {
        panic!("a secret of the program")
    }

    #[actix_web::test]
    async fn a_panic_becomes_a_problem_that_tells_nothing_of_it_and_the_next_question_is_answered() {
        let app = init_service(App::new().route("/", web::get().to(fails)).wrap(from_fn(edge))).await;
        for _ in 0..2 {
            let response = app.call(TestRequest::get().uri("/").to_request()).await.unwrap_err().error_response();
            assert_eq!(response.status(), 500);
            assert_eq!(response.headers().get(CONTENT_TYPE).unwrap(), "application/problem+json");
            let body = to_bytes(response.into_body()).await.unwrap();
            let text = String::from_utf8(body.to_vec()).unwrap();
            assert!(text.contains("\"code\":\"internal\"") && !text.contains("secret"), "{text}");
        }
    }
}
