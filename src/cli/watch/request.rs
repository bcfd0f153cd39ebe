//! What a browser asks, and whether it may.
//!
//! Only two are answered: pages that `watch` itself served, and a person who typed the address. A page from elsewhere, or
//! one whose name was made to point here (DNS rebinding), gives itself away. Browsers send the host that they asked (RFC
//! 9110, 7.2), the origin of a script (RFC 6454, 7) and how far away that is (W3C Fetch Metadata Request Headers).

use httparse::{Error, Request, Status};

/// The longest head of a request that is read.
pub(super) const HEAD_BYTES: usize = 8 << 10;
/// More header lines than a browser sends.
const LINES: usize = 64;

/// Why a request is not answered: the status of RFC 9110 or RFC 6585.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refusal {
    Malformed,
    /// From another site's page, or for another host.
    Foreign,
    NoSuchMethod,
    TooSlow,
    /// It has a body, and none is taken.
    HasBody,
    TooLong,
}

impl Refusal {
    pub fn status(self) -> (u16, &'static str) {
        match self {
            Self::Malformed => (400, "Bad Request"),
            Self::Foreign => (403, "Forbidden"),
            Self::NoSuchMethod => (405, "Method Not Allowed"),
            Self::TooSlow => (408, "Request Timeout"),
            Self::HasBody => (413, "Content Too Large"),
            Self::TooLong => (431, "Request Header Fields Too Large"),
        }
    }
}

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Asked {
    /// The path as it was sent, not decoded: either it names a page or it does not.
    pub target: String,
    /// Whether only the head of the answer is wanted.
    pub is_head: bool,
}

/// Reads the head of a request that came in at a port; `None` while it is incomplete.
///
/// # Errors
///
/// Where it is not to be answered.
pub(super) fn read(bytes: &[u8], port: u16) -> Result<Option<Asked>, Refusal> {
    let mut lines = [httparse::EMPTY_HEADER; LINES];
    let mut request = Request::new(&mut lines);
    match request.parse(bytes) {
        Ok(Status::Complete(_)) => {}
        Ok(Status::Partial) if bytes.len() < HEAD_BYTES => return Ok(None),
        Ok(Status::Partial) | Err(Error::TooManyHeaders) => return Err(Refusal::TooLong),
        Err(_) => return Err(Refusal::Malformed),
    }
    let said = |name: &str| -> Vec<&[u8]> {
        let lines = request.headers.iter().filter(|line| line.name.eq_ignore_ascii_case(name));
        lines.map(|line| line.value).collect()
    };
    let hosts = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let is_own = |host: &[u8]| hosts.iter().any(|own| own.as_bytes().eq_ignore_ascii_case(host));
    let is_own_origin = |origin: &&[u8]| origin.strip_prefix(b"http://").is_some_and(is_own);
    match said("host").as_slice() {
        [host] if is_own(host) => {}
        [_] => return Err(Refusal::Foreign),
        _ => return Err(Refusal::Malformed),
    }
    // `none` means that somebody typed the address.
    let is_near = |site: &&[u8]| [&b"same-origin"[..], b"none"].contains(site);
    if !said("origin").iter().all(is_own_origin) || !said("sec-fetch-site").iter().all(is_near) {
        return Err(Refusal::Foreign);
    }
    let is_head = match request.method {
        Some("GET") => false,
        Some("HEAD") => true,
        _ => return Err(Refusal::NoSuchMethod),
    };
    let is_nothing = |length: &&[u8]| *length == b"0";
    if !said("content-length").iter().all(is_nothing) || !said("transfer-encoding").is_empty() {
        return Err(Refusal::HasBody);
    }
    let target = request.path.filter(|target| target.starts_with('/')).ok_or(Refusal::Malformed)?;
    Ok(Some(Asked { target: target.to_owned(), is_head }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(head: &str) -> Result<Option<Asked>, Refusal> {
        read(head.as_bytes(), 4000)
    }

    fn with(lines: &str) -> Result<Option<Asked>, Refusal> {
        asked(&format!("GET /a.html HTTP/1.1\r\nHost: 127.0.0.1:4000\r\n{lines}\r\n"))
    }

    #[test]
    fn its_own_pages_and_whoever_types_the_address_are_answered() {
        let page = Ok(Some(Asked { target: "/a.html".to_owned(), is_head: false }));
        for lines in [
            "",
            "Sec-Fetch-Site: none\r\n",
            "Origin: http://127.0.0.1:4000\r\nSec-Fetch-Site: same-origin\r\n",
            "origin: http://localhost:4000\r\n",
            "Content-Length: 0\r\n",
        ] {
            assert_eq!(with(lines), page, "{lines}");
        }
        assert_eq!(asked("GET /a.html HTTP/1.1\r\nhost: LOCALHOST:4000\r\n\r\n"), page);
        let head = asked("HEAD / HTTP/1.1\r\nHost: localhost:4000\r\n\r\n").unwrap().unwrap();
        assert!(head.is_head);
    }

    #[test]
    fn other_hosts_and_origins_are_refused() {
        for host in [
            "evil.example",
            "127.0.0.1",
            "127.0.0.1:4001",
            "evil.example:4000",
            "127.0.0.1:4000.evil.example",
            "",
        ] {
            let head = format!("GET / HTTP/1.1\r\nHost: {host}\r\n\r\n");
            assert_eq!(asked(&head), Err(Refusal::Foreign), "{host}");
        }
        for lines in [
            "Origin: http://evil.example\r\n",
            "Origin: null\r\n",
            "Origin: https://127.0.0.1:4000\r\n",
            "Origin: http://127.0.0.1:4001\r\n",
            "Origin: http://127.0.0.1:4000\r\nOrigin: http://evil.example\r\n",
            "Sec-Fetch-Site: cross-site\r\n",
            "Sec-Fetch-Site: same-site\r\n",
            "Sec-Fetch-Site: none\r\nSec-Fetch-Site: cross-site\r\n",
        ] {
            assert_eq!(with(lines), Err(Refusal::Foreign), "{lines}");
        }
        assert_eq!(asked("GET / HTTP/1.1\r\n\r\n"), Err(Refusal::Malformed));
        assert_eq!(with("Host: 127.0.0.1:4000\r\n"), Err(Refusal::Malformed));
    }

    #[test]
    fn what_is_no_question_is_refused() {
        let own = "Host: 127.0.0.1:4000\r\n\r\n";
        for method in ["POST", "PUT", "OPTIONS", "CONNECT", "PROPFIND"] {
            assert_eq!(
                asked(&format!("{method} / HTTP/1.1\r\n{own}")),
                Err(Refusal::NoSuchMethod),
                "{method}"
            );
        }
        assert_eq!(asked(&format!("GET http://127.0.0.1:4000/ HTTP/1.1\r\n{own}")), Err(Refusal::Malformed));
        assert_eq!(asked("GET / HTTP/2.0\r\n\r\n"), Err(Refusal::Malformed));
        assert_eq!(asked("\u{16}\u{3}\u{1}"), Err(Refusal::Malformed));
        assert_eq!(with("Content-Length: 5\r\n"), Err(Refusal::HasBody));
        assert_eq!(with("Transfer-Encoding: chunked\r\n"), Err(Refusal::HasBody));
        assert_eq!(asked("GET / HTTP/1.1\r\nHost: 127"), Ok(None));
        assert_eq!(with(&"X: y\r\n".repeat(LINES)), Err(Refusal::TooLong));
        assert_eq!(asked(&format!("GET /{}", "a".repeat(HEAD_BYTES))), Err(Refusal::TooLong));
    }
}
