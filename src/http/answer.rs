//! Answers, written by the one formatter.

use actix_web::http::StatusCode;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use actix_web::{HttpResponse, HttpResponseBuilder};
use serde::Serialize;

use super::error::ApiError;
use crate::render::json;

/// An answer of this status, to be given more headers.
///
/// # Errors
/// [`ApiError::Internal`] if a figure of the answer is not finite.
pub fn written<T: Serialize>(status: StatusCode, answer: &T) -> Result<(HttpResponseBuilder, String), ApiError> {
    let body = json::to_string(answer)?;
    let mut response = HttpResponse::build(status);
    response.insert_header((CONTENT_TYPE, "application/json")).insert_header((CACHE_CONTROL, "no-cache"));
    Ok((response, body))
}

/// An answer with 200.
///
/// # Errors
/// As [`written`].
pub fn ok<T: Serialize>(answer: &T) -> Result<HttpResponse, ApiError> {
    written(StatusCode::OK, answer).map(|(mut response, body)| response.body(body))
}
