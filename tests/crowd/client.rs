//! A client that costs next to nothing: what is sent stands ready, and what comes is counted, not read.

use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

/// One connection that is kept.
pub struct Client {
    stream: BufReader<TcpStream>,
    address: SocketAddr,
    is_closed: bool,
    /// Where the last answer says that something lies.
    pub location: String,
}

/// What came.
#[derive(Debug, Clone, Copy)]
pub struct Answer {
    pub status: u16,
    /// When to ask again (s).
    pub retry_after_s: Option<u64>,
    pub bytes: u64,
    pub took: Duration,
}

/// A request as it is sent.
pub fn request(method: &str, target: &str, headers: &str, body: &str) -> Vec<u8> {
    let length = if method == "POST" { format!("Content-Length: {}\r\n", body.len()) } else { String::new() };
    format!(
        "{method} {target} HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n{headers}{length}\r\n{body}"
    )
    .into_bytes()
}

impl Client {
    pub fn new(address: SocketAddr) -> io::Result<Self> {
        let stream = TcpStream::connect(address)?;
        stream.set_nodelay(true)?;
        stream.set_read_timeout(Some(Duration::from_secs(30)))?;
        Ok(Self {
            stream: BufReader::with_capacity(64 * 1024, stream),
            address,
            is_closed: false,
            location: String::new(),
        })
    }

    /// Sends a request and reads its answer to the end.
    pub fn ask(&mut self, request: &[u8]) -> io::Result<Answer> {
        if self.is_closed {
            *self = Self::new(self.address)?;
        }
        let begun = Instant::now();
        // who refuses a body may have answered and closed before all of it is sent
        let _ = self.stream.get_mut().write_all(request);
        let mut line = String::new();
        self.stream.read_line(&mut line)?;
        let status = line.split(' ').nth(1).and_then(|status| status.parse().ok());
        let status = status.ok_or_else(|| io::Error::other(format!("no status in {line:?}")))?;
        let (mut length, mut retry_after_s, mut closes) = (0, None, false);
        loop {
            line.clear();
            self.stream.read_line(&mut line)?;
            let Some((name, value)) = line.trim_end().split_once(": ") else { break };
            match name.to_ascii_lowercase().as_str() {
                "content-length" => length = value.parse().map_err(io::Error::other)?,
                "retry-after" => retry_after_s = value.parse().ok(),
                "location" => value.clone_into(&mut self.location),
                "connection" => closes = value.eq_ignore_ascii_case("close"),
                _ => {}
            }
        }
        let bytes = if request.starts_with(b"HEAD") { 0 } else { length };
        io::copy(&mut self.stream.by_ref().take(bytes), &mut io::sink())?;
        let answer = Answer { status, retry_after_s, bytes, took: begun.elapsed() };
        self.is_closed = closes;
        Ok(answer)
    }
}

/// The duration below which so many hundredths lie.
pub fn percentile(durations: &mut [Duration], hundredths: usize) -> Duration {
    durations.sort_unstable();
    durations.get((durations.len() * hundredths).div_ceil(100).saturating_sub(1)).copied().unwrap_or_default()
}
