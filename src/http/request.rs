//! What a request brings: its query as it stands, and its body read with a limit and with patience.

use std::pin::Pin;
use std::time::Duration;

use actix_web::dev::Payload;
use actix_web::http::header::{CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE, HeaderMap};
use actix_web::web::{Bytes, BytesMut, Data};
use actix_web::{FromRequest, HttpRequest};
use futures_util::StreamExt as _;

use super::BODY_LIMIT;
use super::error::ApiError;
use super::service::Service;

/// A JSON text that was sent, and the query beside it.
#[derive(Debug)]
pub struct JsonRequest {
    /// The body as it came.
    pub body: Bytes,
    /// The query as it came.
    pub query: String,
}

impl FromRequest for JsonRequest {
    type Error = ApiError;
    type Future = Pin<Box<dyn Future<Output = Result<Self, ApiError>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let checked =
            is_json(request.headers()).then_some(()).ok_or(ApiError::MediaType).and_then(|()| fits(request.headers()));
        let patience = request.app_data::<Data<Service>>().map_or(Duration::from_secs(10), |service| service.patience);
        let query = request.query_string().to_owned();
        let payload = payload.take();
        Box::pin(async move {
            checked?;
            Ok(Self { body: read(payload, patience).await?, query })
        })
    }
}

/// Whether the body says that it is JSON in UTF-8, as it stands.
fn is_json(headers: &HeaderMap) -> bool {
    let coding = headers.get(CONTENT_ENCODING).map(|value| value.as_bytes().to_ascii_lowercase());
    if coding.is_some_and(|coding| coding != b"identity") {
        return false;
    }
    let Some(Ok(content_type)) = headers.get(CONTENT_TYPE).map(|value| value.to_str()) else { return false };
    let mut parts = content_type.split(';').map(|part| part.trim().to_ascii_lowercase());
    let is_json = parts.next().is_some_and(|kind| kind == "application/json");
    is_json
        && parts.all(|part| part.strip_prefix("charset=").is_none_or(|charset| charset.trim_matches('"') == "utf-8"))
}

/// Whether the length that the sender announces is within the limit.
fn fits(headers: &HeaderMap) -> Result<(), ApiError> {
    let announced =
        headers.get(CONTENT_LENGTH).and_then(|value| value.to_str().ok()).and_then(|text| text.parse::<u64>().ok());
    let limit = u64::try_from(BODY_LIMIT).unwrap_or(u64::MAX);
    if announced.is_some_and(|length| length > limit) { Err(ApiError::TooLarge) } else { Ok(()) }
}

async fn read(mut payload: Payload, patience: Duration) -> Result<Bytes, ApiError> {
    let mut body = BytesMut::new();
    loop {
        match tokio::time::timeout(patience, payload.next()).await {
            Err(_) => return Err(ApiError::Stalled),
            Ok(None) => return Ok(body.freeze()),
            Ok(Some(Err(_))) => return Err(ApiError::BrokenOff),
            Ok(Some(Ok(chunk))) if body.len() + chunk.len() > BODY_LIMIT => return Err(ApiError::TooLarge),
            Ok(Some(Ok(chunk))) => body.extend_from_slice(&chunk),
        }
    }
}
