//! What a request brings: its query as it stands, and its body, read with limits of length, of time and of all that comes in
//! at once.

use std::pin::Pin;
use std::sync::Arc;

use actix_web::dev::Payload;
use actix_web::http::header::{CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE, HeaderMap};
use actix_web::web::{Bytes, BytesMut, Data};
use actix_web::{FromRequest, HttpRequest};
use futures_util::StreamExt as _;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::{Instant, timeout, timeout_at};

use super::BODY_LIMIT;
use super::answer::Coding;
use super::error::{ApiError, QuoteProblem};
use super::service::Service;
use crate::settings::Times;

/// Bodies that may be there at once, coming in or waiting to be read: small ones, and large ones, which take none of their room (KiB).
const ROOM_KIB: [usize; 2] = [16 * 1024, 64 * 1024];

/// A body beyond this is large (bytes): it has room of its own, and is read in the long lane, which takes some twenty milliseconds.
pub(super) const LARGE: usize = 256 * 1024;

/// What a body says that it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A JSON document.
    Json,
    /// A merge patch (RFC 7396).
    MergePatch,
    /// A JSON Patch (RFC 6902).
    JsonPatch,
}

/// A patch that was sent, in either form.
#[derive(Debug)]
pub struct PatchRequest(pub JsonRequest);

/// A JSON text that may be left out: then it is an empty object.
#[derive(Debug)]
pub struct OptionalJson(pub JsonRequest);

/// A JSON text that was sent, and the query beside it.
#[derive(Debug)]
pub struct JsonRequest {
    /// The body as it came.
    pub body: Bytes,
    /// What it says that it is.
    pub kind: Kind,
    /// The query as it came.
    pub query: String,
    /// How the answer is to be coded.
    pub coding: Coding,
    /// The room that the body takes.
    _room: Held,
}

/// Room for bodies that come in, over all connections (KiB): for small ones and for large ones.
#[derive(Debug, Clone)]
pub struct Room([Arc<Semaphore>; 2]);

/// The room that a body takes.
#[derive(Debug, Default)]
struct Held {
    permit: Option<OwnedSemaphorePermit>,
    is_large: bool,
}

impl Default for Room {
    fn default() -> Self {
        Self::of(ROOM_KIB)
    }
}

impl Room {
    fn of(kib: [usize; 2]) -> Self {
        Self(kib.map(|kib| Arc::new(Semaphore::new(kib))))
    }

    /// Room for so many bytes in all; what comes in dribs takes no more than its begun kibibytes. What becomes large leaves the room
    /// of small bodies.
    fn grow(&self, held: &mut Held, bytes: usize) -> Result<(), ApiError> {
        if bytes > LARGE && !held.is_large {
            *held = Held { permit: None, is_large: true };
        }
        let more = bytes.div_ceil(1024) - held.permit.as_ref().map_or(0, OwnedSemaphorePermit::num_permits);
        let more = u32::try_from(more).map_err(|_| ApiError::NoRoom)?;
        let room = self.0[usize::from(held.is_large)].clone();
        let more = room.try_acquire_many_owned(more).map_err(|_| ApiError::NoRoom)?;
        match &mut held.permit {
            Some(permit) => permit.merge(more),
            none => *none = Some(more),
        }
        Ok(())
    }
}

/// A request whose body is read.
type Reading<T> = Pin<Box<dyn Future<Output = Result<T, ApiError>>>>;

impl FromRequest for JsonRequest {
    type Error = ApiError;
    type Future = Reading<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let kind = kind(request.headers()).filter(|kind| *kind == Kind::Json).ok_or(ApiError::MediaType);
        Box::pin(read_as(request, payload, kind))
    }
}

impl FromRequest for PatchRequest {
    type Error = ApiError;
    type Future = Reading<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let kind = kind(request.headers()).filter(|kind| *kind != Kind::Json).ok_or(QuoteProblem::PatchType.into());
        let read = read_as(request, payload, kind);
        Box::pin(async { read.await.map(Self) })
    }
}

impl FromRequest for OptionalJson {
    type Error = ApiError;
    type Future = Reading<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let is_typed = request.headers().contains_key(CONTENT_TYPE);
        let kind = kind(request.headers()).filter(|kind| *kind == Kind::Json).ok_or(ApiError::MediaType);
        let read = read_as(request, payload, if is_typed { kind } else { Ok(Kind::Json) });
        Box::pin(async move {
            let mut sent = read.await?;
            if !sent.body.is_empty() && !is_typed {
                return Err(ApiError::MediaType);
            }
            if sent.body.is_empty() {
                sent.body = Bytes::from_static(b"{}");
            }
            Ok(Self(sent))
        })
    }
}

/// Reads a body that says what it is.
fn read_as(
    request: &HttpRequest,
    payload: &mut Payload,
    kind: Result<Kind, ApiError>,
) -> impl Future<Output = Result<JsonRequest, ApiError>> + 'static {
    let checked = kind.and_then(|kind| fits(request.headers()).map(|()| kind));
    let service = request.app_data::<Data<Service>>().cloned();
    let (query, coding) = (request.query_string().to_owned(), Coding::asked_by(request));
    let payload = payload.take();
    async move {
        let kind = checked?;
        let service = service.ok_or(ApiError::Internal)?;
        let (body, room) = read(payload, &service.times, &service.room).await?;
        Ok(JsonRequest { body, kind, query, coding, _room: room })
    }
}

/// What the body says that it is, where that is JSON in UTF-8, as it stands.
fn kind(headers: &HeaderMap) -> Option<Kind> {
    let coding = headers.get(CONTENT_ENCODING).map(|value| value.as_bytes().to_ascii_lowercase());
    if coding.is_some_and(|coding| coding != b"identity") {
        return None;
    }
    let content_type = headers.get(CONTENT_TYPE)?.to_str().ok()?;
    let mut parts = content_type.split(';').map(|part| part.trim().to_ascii_lowercase());
    let kind = match parts.next()?.as_str() {
        "application/json" => Kind::Json,
        "application/merge-patch+json" => Kind::MergePatch,
        "application/json-patch+json" => Kind::JsonPatch,
        _ => return None,
    };
    parts
        .all(|part| part.strip_prefix("charset=").is_none_or(|charset| charset.trim_matches('"') == "utf-8"))
        .then_some(kind)
}

/// Whether the length that the sender announces is within the limit.
fn fits(headers: &HeaderMap) -> Result<(), ApiError> {
    let announced =
        headers.get(CONTENT_LENGTH).and_then(|value| value.to_str().ok()).and_then(|text| text.parse::<u64>().ok());
    let limit = u64::try_from(BODY_LIMIT).unwrap_or(u64::MAX);
    if announced.is_some_and(|length| length > limit) { Err(ApiError::TooLarge) } else { Ok(()) }
}

/// Reads a body whose sender neither falls silent nor drips without an end.
async fn read(mut payload: Payload, times: &Times, room: &Room) -> Result<(Bytes, Held), ApiError> {
    let last = Instant::now() + times.body;
    let (mut body, mut held) = (BytesMut::new(), Held::default());
    loop {
        let next = timeout_at(last, timeout(times.silence, payload.next())).await.map_err(|_| ApiError::Stalled)?;
        match next {
            Err(_) => return Err(ApiError::Stalled),
            Ok(None) => return Ok((body.freeze(), held)),
            Ok(Some(Err(_))) => return Err(ApiError::BrokenOff),
            Ok(Some(Ok(chunk))) if body.len() + chunk.len() > BODY_LIMIT => return Err(ApiError::TooLarge),
            Ok(Some(Ok(chunk))) => {
                room.grow(&mut held, body.len() + chunk.len())?;
                body.extend_from_slice(&chunk);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn room_is_for_all_together_and_comes_back() {
        let room = Room::of([3, 300]);
        let (mut one, mut other) = (Held::default(), Held::default());
        // a body that grows byte by byte takes what it holds, begun kibibytes in full
        for bytes in 1..=2048 {
            room.grow(&mut one, bytes).unwrap();
        }
        room.grow(&mut other, 1024).unwrap();
        assert!(matches!(room.grow(&mut other, 1025), Err(ApiError::NoRoom)));
        drop(one);
        room.grow(&mut other, 3 * 1024).unwrap();
        assert!(matches!(room.grow(&mut other, 3 * 1024 + 1), Err(ApiError::NoRoom)));
    }

    #[test]
    fn large_bodies_take_no_room_of_small_ones() {
        let room = Room::of([257, 300]);
        let [mut small, mut large, mut more] = [Held::default(), Held::default(), Held::default()];
        room.grow(&mut large, LARGE).unwrap();
        room.grow(&mut large, LARGE + 1).unwrap();
        // it has left
        room.grow(&mut small, LARGE).unwrap();
        room.grow(&mut large, 299 * 1024).unwrap();
        drop(small);
        room.grow(&mut more, LARGE).unwrap();
        assert!(matches!(room.grow(&mut more, LARGE + 1), Err(ApiError::NoRoom)));
        drop(large);
        room.grow(&mut more, 300 * 1024).unwrap();
        assert!(matches!(room.grow(&mut more, 300 * 1024 + 1), Err(ApiError::NoRoom)));
    }
}
