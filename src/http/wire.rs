//! The connection below HTTP's parser. What the parser refuses never becomes a request; the bare answers that it gives leave here
//! as problems.

use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll, ready};
use std::time::Duration;

use actix_web::ResponseError as _;
use actix_web::http::StatusCode;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep, sleep, sleep_until};

use super::error::ApiError;
use super::tally::Tally;

/// How an answer begins.
const BEGINS: &[u8] = b"HTTP/1.1 ";
/// The longest head of a bare answer (bytes).
const LONGEST_HEAD: usize = 160;

/// How long a connection may hold on to what is the service's.
#[derive(Debug, Clone, Copy)]
pub struct Patience {
    /// While it takes nothing of an answer.
    pub taking: Duration,
    /// While nothing is answered to it: longer than any question may take.
    pub unanswered: Duration,
}

/// A connection.
#[derive(Debug)]
pub struct Wire<T> {
    inner: T,
    tally: Arc<Tally>,
    /// What stands in for an answer of the parser, and how much of it is sent.
    instead: Option<(Vec<u8>, usize)>,
    patience: Patience,
    /// Ends the connection while nothing of an answer is taken.
    taking: Option<Pin<Box<Sleep>>>,
    /// When something was answered last; looked at when the other is over.
    answered: Instant,
    unanswered: Pin<Box<Sleep>>,
}

impl<T> Wire<T> {
    /// A connection whose problems are counted.
    pub fn new(inner: T, tally: Arc<Tally>, patience: Patience) -> Self {
        let (answered, unanswered) = (Instant::now(), Box::pin(sleep(patience.unanswered)));
        Self { inner, tally, instead: None, patience, taking: None, answered, unanswered }
    }

    /// What came of writing, unless the other side has taken nothing for too long.
    fn taken<R>(&mut self, written: Poll<io::Result<R>>, context: &mut Context<'_>) -> Poll<io::Result<R>> {
        if written.is_ready() {
            (self.taking, self.answered) = (None, Instant::now());
            return written;
        }
        let patience = self.patience.taking;
        let taking = self.taking.get_or_insert_with(|| Box::pin(sleep(patience)));
        taking.as_mut().poll(context).map(|()| Err(io::ErrorKind::TimedOut.into()))
    }

    /// Ready once nothing has been answered for too long.
    fn is_unanswered(&mut self, context: &mut Context<'_>) -> Poll<()> {
        while self.unanswered.as_mut().poll(context).is_ready() {
            let until = self.answered + self.patience.unanswered;
            if until <= Instant::now() {
                return Poll::Ready(());
            }
            self.unanswered.set(sleep_until(until));
        }
        Poll::Pending
    }
}

/// Where a bare answer of the parser stands in what is written, and what it stands for. It is the last of its connection.
fn bare(written: &[u8]) -> Option<(usize, ApiError)> {
    let tail = written.len().saturating_sub(LONGEST_HEAD);
    let begin = tail + written[tail..].windows(BEGINS.len()).rposition(|part| part == BEGINS)?;
    let head = std::str::from_utf8(&written[begin..]).ok()?.strip_suffix("\r\n\r\n")?;
    let mut lines = head.split("\r\n");
    let status: u16 = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let is_empty = lines.any(|line| line.eq_ignore_ascii_case("content-length: 0"));
    let error = match StatusCode::from_u16(status).ok()? {
        StatusCode::BAD_REQUEST => ApiError::NotHttp,
        StatusCode::REQUEST_TIMEOUT => ApiError::HeadStalled,
        StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE => ApiError::HeadTooLarge,
        _ => return None,
    };
    is_empty.then_some((begin, error))
}

/// A problem as it is sent, with the date of the answer that it stands in for.
fn problem(error: &ApiError, head: &[u8]) -> Vec<u8> {
    let (status, text) = (error.status_code(), error.text());
    let head = String::from_utf8_lossy(head);
    let date = head.split("\r\n").find(|line| line.to_ascii_lowercase().starts_with("date: "));
    let date = date.map_or_else(String::new, |date| format!("{date}\r\n"));
    let length = text.len();
    format!(
        "HTTP/1.1 {status}\r\ncontent-type: application/problem+json\r\ncontent-length: {length}\r\nconnection: close\r\n{date}\r\n{text}"
    )
    .into_bytes()
}

impl<T: AsyncWrite + Unpin> AsyncWrite for Wire<T> {
    fn poll_write(self: Pin<&mut Self>, context: &mut Context<'_>, written: &[u8]) -> Poll<io::Result<usize>> {
        let wire = self.get_mut();
        if wire.instead.is_none() {
            // answers before a bare one go first
            let first = match bare(written) {
                None => Some(written),
                Some((begin @ 1.., _)) => Some(&written[..begin]),
                Some((0, error)) => {
                    wire.tally.count(error.status_code());
                    wire.instead = Some((problem(&error, written), 0));
                    None
                }
            };
            if let Some(first) = first {
                let written = Pin::new(&mut wire.inner).poll_write(context, first);
                return wire.taken(written, context);
            }
        }
        while let Some((problem, sent)) = &wire.instead {
            let Some(rest) = problem.get(*sent..).filter(|rest| !rest.is_empty()) else {
                wire.instead = None;
                break;
            };
            let written = Pin::new(&mut wire.inner).poll_write(context, rest);
            let more = ready!(wire.taken(written, context))?;
            if more == 0 {
                return Poll::Ready(Err(io::ErrorKind::WriteZero.into()));
            }
            wire.instead.iter_mut().for_each(|(_, sent)| *sent += more);
        }
        Poll::Ready(Ok(written.len()))
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_shutdown(context)
    }
}

impl<T: AsyncRead + Unpin> AsyncRead for Wire<T> {
    fn poll_read(mut self: Pin<&mut Self>, context: &mut Context<'_>, read: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        if self.is_unanswered(context).is_ready() {
            return Poll::Ready(Err(io::ErrorKind::TimedOut.into()));
        }
        Pin::new(&mut self.inner).poll_read(context, read)
    }
}

#[cfg(test)]
mod tests {
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _, duplex};

    use super::*;

    /// What arrives of what is written, through a pipe that takes a few bytes at a time.
    async fn arrives(written: &[&[u8]]) -> String {
        let (inner, mut other) = duplex(7);
        let mut wire = Wire::new(inner, Arc::default(), PATIENT);
        let all = async {
            for written in written {
                wire.write_all(written).await.unwrap();
            }
            drop(wire);
        };
        let mut text = String::new();
        let ((), read) = tokio::join!(all, other.read_to_string(&mut text));
        read.unwrap();
        text
    }

    const PATIENT: Patience = Patience { taking: Duration::from_mins(1), unanswered: Duration::from_mins(1) };

    /// Whoever takes nothing of his answer does not hold it for ever, and whoever is answered nothing does not hold his connection, however
    /// much he sends.
    #[actix_web::test]
    async fn a_connection_ends_that_takes_nothing_or_is_answered_nothing() {
        let soon = Duration::from_millis(50);
        let (inner, _kept) = duplex(7);
        let mut wire = Wire::new(inner, Arc::default(), Patience { taking: soon, ..PATIENT });
        let error = wire.write_all(&[b'a'; 100]).await.unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::TimedOut);
        let (inner, mut other) = duplex(64);
        let mut wire = Wire::new(inner, Arc::default(), Patience { unanswered: soon, ..PATIENT });
        // what is answered gives it as long again
        actix_web::rt::time::sleep(soon / 2).await;
        wire.write_all(b"an answer").await.unwrap();
        let (begun, mut read) = (Instant::now(), 0);
        let error = loop {
            other.write_all(b"x").await.unwrap();
            match wire.read_u8().await {
                Ok(_) => read += 1,
                Err(error) => break error,
            }
            actix_web::rt::time::sleep(soon / 10).await;
        };
        assert_eq!(error.kind(), io::ErrorKind::TimedOut);
        assert!(read > 0 && begun.elapsed() >= soon, "{read} {:?}", begun.elapsed());
    }

    const BARE: &[u8] = b"HTTP/1.1 431 Request Header Fields Too Large\r\ncontent-length: 0\r\nconnection: close\r\ndate: today\r\n\r\n";
    const FULL: &[u8] = b"HTTP/1.1 400 Bad Request\r\ncontent-length: 2\r\n\r\n{}";

    #[actix_web::test]
    async fn a_bare_answer_leaves_as_a_problem_behind_what_was_answered_before() {
        let instead = String::from_utf8(problem(&ApiError::HeadTooLarge, BARE)).unwrap();
        assert!(instead.contains("\r\ndate: today\r\n\r\n{") && instead.contains("\"status\":431"), "{instead}");
        assert_eq!(arrives(&[BARE]).await, instead);
        let full = std::str::from_utf8(FULL).unwrap();
        assert_eq!(arrives(&[FULL]).await, full);
        assert_eq!(arrives(&[FULL, BARE]).await, format!("{full}{instead}"));
        assert_eq!(arrives(&[&[FULL, BARE].concat()]).await, format!("{full}{instead}"));
        // no answer of ours is empty, and what says so in its body is none
        let told = b"HTTP/1.1 200 OK\r\ncontent-length: 9\r\n\r\nHTTP/1.1 ";
        assert_eq!(arrives(&[told]).await.as_bytes(), told);
    }
}
