//! Answers, written by the one formatter.

use actix_web::http::StatusCode;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use actix_web::{HttpResponse, HttpResponseBuilder};
use serde::Serialize;

use super::error::ApiError;
use crate::render::json;

/// The text of an answer. It is long: write it where the answer was computed, not on a connection's thread.
///
/// # Errors
/// [`ApiError::Internal`] if a figure of the answer is not finite.
pub fn text<T: Serialize>(answer: &T) -> Result<String, ApiError> {
    Ok(json::to_string(answer)?)
}

/// A response of this status for an answer, to be given more headers and then its text.
pub fn response(status: StatusCode) -> HttpResponseBuilder {
    let mut response = HttpResponse::build(status);
    response.insert_header((CONTENT_TYPE, "application/json")).insert_header((CACHE_CONTROL, "no-cache"));
    response
}

/// An answer with 200.
pub fn ok(text: String) -> HttpResponse {
    response(StatusCode::OK).body(text)
}
