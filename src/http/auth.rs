//! The key of the service.

use actix_web::Error;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::{AUTHORIZATION, HeaderValue};
use actix_web::middleware::Next;
use actix_web::web::Data;

use super::error::ApiError;

/// The key that requests must bring, if there is one. Never logged.
pub struct Key(pub Option<String>);

/// Lets a request through that brings the key. OPTIONS needs none: a spreadsheet asks it first, without headers.
pub async fn with_key<B: MessageBody>(request: ServiceRequest, next: Next<B>) -> Result<ServiceResponse<B>, Error> {
    let key = request.app_data::<Data<Key>>().and_then(|key| key.0.as_deref());
    let open = key.is_none_or(|key| request.method() == Method::OPTIONS || brings(&request, key));
    if open { next.call(request).await } else { Err(ApiError::Unauthorized.into()) }
}

fn brings(request: &ServiceRequest, key: &str) -> bool {
    let header = request.headers().get(AUTHORIZATION).map(HeaderValue::as_bytes);
    let Some((scheme, token)) = header.and_then(|header| header.split_at_checked(7)) else { return false };
    scheme.eq_ignore_ascii_case(b"bearer ") && same(token, key.as_bytes())
}

/// Compares in a time that does not tell how far two keys agree.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |difference, (a, b)| difference | (a ^ b)) == 0
}
