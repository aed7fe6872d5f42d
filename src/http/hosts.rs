//! Under which names the service may be asked. A page of a stranger can let its own name point to this machine and ask from a
//! browser here; an open service, which has no key, answers under none but its own.

use std::net::IpAddr;

use actix_web::dev::ServiceRequest;
use actix_web::http::header::{HOST, HeaderValue};

use crate::settings::Settings;

/// Names under which the service may be asked.
#[derive(Debug, Clone)]
pub struct Hosts {
    /// Whether it needs no key, so that names count.
    is_open: bool,
    /// Names besides those of loopback.
    names: Vec<String>,
}

impl Hosts {
    /// The names that settings allow.
    #[must_use]
    pub fn new(settings: &Settings) -> Self {
        let names = settings.hosts.iter().map(|name| plain(name)).collect();
        Self { is_open: settings.key.is_none(), names }
    }

    /// Whether a request may be answered. One that names no host, as it may before HTTP/1.1, does not come from a browser.
    pub fn know(&self, request: &ServiceRequest) -> bool {
        if !self.is_open {
            return true;
        }
        let authority = request.uri().authority().map(|authority| authority.as_str().as_bytes());
        let headers = request.headers().get_all(HOST).map(HeaderValue::as_bytes);
        let mut named = authority.into_iter().chain(headers);
        named.all(|named| std::str::from_utf8(named).is_ok_and(|named| self.has(named)))
    }

    /// Whether a host, with or without a port, is one of its own.
    fn has(&self, named: &str) -> bool {
        let Some(host) = without_port(named).map(plain) else { return false };
        let is_loopback = match host.parse::<IpAddr>() {
            Ok(address) => address.is_loopback(),
            // RFC 6761, 6.3: such names never leave this machine
            Err(_) => host == "localhost" || host.ends_with(".localhost"),
        };
        is_loopback || self.names.contains(&host)
    }
}

/// A host without its port (RFC 9110, 7.2): `[::1]:80`, `localhost:80`; nothing of what is neither.
fn without_port(named: &str) -> Option<&str> {
    let (host, rest) = match named.strip_prefix('[') {
        Some(rest) => rest.split_once(']')?,
        None => named.split_at(named.find(':').unwrap_or(named.len())),
    };
    let is_port =
        |rest: &str| rest.strip_prefix(':').is_some_and(|port| port.bytes().all(|byte| byte.is_ascii_digit()));
    (rest.is_empty() || is_port(rest)).then_some(host)
}

/// A name as it is compared: small letters, without the last point.
fn plain(name: &str) -> String {
    name.strip_suffix('.').unwrap_or(name).to_ascii_lowercase()
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use actix_web::test::TestRequest;

    use super::*;

    #[test]
    fn an_open_service_knows_its_own_names_and_one_with_a_key_every_name() {
        let mut settings = Settings::new(([127, 0, 0, 1], 80).into(), PathBuf::new(), None);
        settings.hosts = vec!["Office.example".to_owned()];
        let (open, key) = (Hosts::new(&settings), Some("k".repeat(32)));
        let locked = Hosts::new(&Settings { key, ..settings });
        let known = [
            "localhost",
            "LOCALHOST:8080",
            "localhost.:80",
            "a.localhost",
            "127.0.0.1:8080",
            "127.9.9.9",
            "[::1]:8080",
            "[::1]",
            "office.example:8080",
            "OFFICE.EXAMPLE.",
        ];
        let unknown = [
            "",
            "evil.example",
            "localhost.evil.example",
            "evil.example:127",
            "192.0.2.1",
            "[2001:db8::1]:80",
            "0.0.0.0",
            "xlocalhost",
            "[::1].evil.example",
            "[::1",
            "localhost:80:90",
            "localhost:evil.example",
        ];
        let asked = |host: &str| TestRequest::default().insert_header((HOST, host)).to_srv_request();
        for (hosts, is_known) in [(&known[..], true), (&unknown[..], false)] {
            for host in hosts {
                assert_eq!(open.know(&asked(host)), is_known, "{host}");
                assert!(locked.know(&asked(host)));
            }
        }
        assert!(open.know(&TestRequest::default().to_srv_request()));
        // the target names a host too, and then both count
        let target = TestRequest::with_uri("http://evil.example/").insert_header((HOST, "localhost"));
        assert!(!open.know(&target.to_srv_request()));
        let twice = TestRequest::default().append_header((HOST, "localhost")).append_header((HOST, "evil.example"));
        assert!(!open.know(&twice.to_srv_request()));
    }
}
