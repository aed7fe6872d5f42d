//! Answers: written by the one formatter, compressed where that is asked for, and handed on piece by piece.

use std::convert::Infallible;
use std::io::Write as _;

use actix_web::body::SizedStream;
use actix_web::http::StatusCode;
use actix_web::http::header::{
    AcceptEncoding, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_TYPE, ContentEncoding, Encoding, Header as _, VARY,
};
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse, HttpResponseBuilder};
use flate2::Compression;
use flate2::write::GzEncoder;
use futures_util::stream;
use serde::Serialize;

use super::error::ApiError;
use super::work::Turn;
use crate::render::json;

/// Text that is not worth compressing (bytes): it goes into one packet as it is.
const SMALL: usize = 1024;
/// What is handed on at a time (bytes): a long answer holds no thread that serves others.
const PIECE: usize = 64 * 1024;

/// How an answer is coded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Coding {
    /// As it is.
    Plain,
    /// By gzip (RFC 9110, 8.4.1.3).
    Gzip,
}

impl Coding {
    /// The one that a request prefers (RFC 9110, 12.5.3); plain where it takes none that there is.
    pub fn asked_by(request: &HttpRequest) -> Self {
        let preferred = AcceptEncoding::parse(request).ok();
        let preferred = preferred.and_then(|asked| asked.negotiate([Encoding::identity(), Encoding::gzip()].iter()));
        if preferred == Some(Encoding::gzip()) { Self::Gzip } else { Self::Plain }
    }
}

/// The body of an answer.
#[derive(Debug, Clone)]
pub struct Body {
    bytes: Bytes,
    coding: Coding,
}

impl Body {
    /// Writes an answer. It is long: write it where it was computed, not on a connection's thread.
    ///
    /// # Errors
    /// [`ApiError::Internal`] if a figure of the answer is not finite; why the turn ends.
    pub fn written<T: Serialize>(answer: &T, coding: Coding, turn: &Turn) -> Result<Self, ApiError> {
        turn.step()?;
        let text = json::to_string(answer)?;
        turn.step()?;
        Ok(Self::coded(text.into_bytes(), coding))
    }

    /// A text that is written, in a coding.
    pub fn coded(text: Vec<u8>, coding: Coding) -> Self {
        let compressed = (coding == Coding::Gzip && text.len() > SMALL).then(|| {
            let mut encoder = GzEncoder::new(Vec::with_capacity(text.len() / 4), Compression::fast());
            // what is written to memory does not fail; what did would be sent as it is
            encoder.write_all(&text).and_then(|()| encoder.finish()).ok()
        });
        match compressed.flatten() {
            Some(compressed) => Self { bytes: compressed.into(), coding: Coding::Gzip },
            None => Self { bytes: text.into(), coding: Coding::Plain },
        }
    }

    /// The response that sends it.
    pub fn sent_by(self, mut response: HttpResponseBuilder) -> HttpResponse {
        response.insert_header((VARY, "accept-encoding"));
        match self.coding {
            Coding::Plain => {}
            Coding::Gzip => _ = response.insert_header((CONTENT_ENCODING, ContentEncoding::Gzip)),
        }
        if self.bytes.len() <= PIECE {
            return response.body(self.bytes);
        }
        let length = u64::try_from(self.bytes.len()).unwrap_or(u64::MAX);
        let pieces = stream::unfold(self.bytes, |mut rest| async move {
            let piece = rest.split_to(rest.len().min(PIECE));
            (!piece.is_empty()).then_some((Ok::<_, Infallible>(piece), rest))
        });
        response.body(SizedStream::new(length, Box::pin(pieces)))
    }
}

/// A response of this status for an answer, to be given more headers and then its body.
pub fn response(status: StatusCode) -> HttpResponseBuilder {
    let mut response = HttpResponse::build(status);
    response.insert_header((CONTENT_TYPE, "application/json")).insert_header((CACHE_CONTROL, "no-cache"));
    response
}

/// An answer with 200.
pub fn ok(body: Body) -> HttpResponse {
    body.sent_by(response(StatusCode::OK))
}

#[cfg(test)]
mod tests {
    use std::io::Read as _;

    use actix_web::body::to_bytes;
    use actix_web::http::header::ACCEPT_ENCODING;
    use actix_web::test::TestRequest;
    use flate2::read::GzDecoder;

    use super::*;

    #[test]
    fn gzip_is_for_those_who_ask_for_it() {
        for (asked, coding) in [
            ("gzip", Coding::Gzip),
            ("deflate, gzip, br, zstd", Coding::Gzip),
            ("gzip;q=0.5, identity;q=0.8", Coding::Plain),
            ("gzip;q=0", Coding::Plain),
            ("br", Coding::Plain),
            ("identity;q=0", Coding::Plain),
            ("nonsense;;", Coding::Plain),
        ] {
            let request = TestRequest::default().insert_header((ACCEPT_ENCODING, asked)).to_http_request();
            assert_eq!(Coding::asked_by(&request), coding, "{asked}");
        }
        assert_eq!(Coding::asked_by(&TestRequest::default().to_http_request()), Coding::Plain);
    }

    #[actix_web::test]
    async fn a_long_answer_arrives_whole_in_either_coding() {
        for length in [0, SMALL, SMALL + 1, PIECE, PIECE + 1, 3 * PIECE, 1_000_003] {
            let text: Vec<u8> = (0..length).map(|place| b"heat"[place * place % 4]).collect();
            let plain = to_bytes(ok(Body::coded(text.clone(), Coding::Plain)).into_body()).await.unwrap();
            assert_eq!(plain, text);
            let sent = ok(Body::coded(text.clone(), Coding::Gzip));
            assert_eq!(sent.headers().contains_key(CONTENT_ENCODING), length > SMALL);
            let mut bytes = to_bytes(sent.into_body()).await.unwrap().to_vec();
            if length > SMALL {
                let compressed = std::mem::take(&mut bytes);
                GzDecoder::new(compressed.as_slice()).read_to_end(&mut bytes).unwrap();
            }
            assert_eq!(bytes, text);
        }
    }
}
