//! As much of HTTP/1.1 (RFC 9112) as a desk needs: one question on each connection, one answer.
//!
//! Everything that is read has a limit, in bytes and in time. A body is never read, so nothing that
//! follows a question can be taken for another one.

use std::io::{self, Read as _, Write as _};
use std::net::{Shutdown, TcpStream};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Most bytes of a question, with its headers.
const LONGEST: usize = 16 << 10;

/// How long a question may take to come in, and each piece of an answer to go out.
const PATIENCE: Duration = Duration::from_secs(10);

/// What more of a question is read and thrown away, so that the answer is not lost with it.
const MOST_IGNORED: usize = 8 << 20;

/// A question.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct HttpQuestion {
    pub(super) method: String,
    /// Path without the query, as it was sent.
    pub(super) path: String,
    /// Every `Host` that was sent.
    pub(super) hosts: Vec<String>,
}

/// An answer.
#[derive(Debug)]
pub(super) struct HttpAnswer {
    pub(super) status: &'static str,
    pub(super) headers: Vec<(&'static str, String)>,
    pub(super) body: Arc<[u8]>,
}

impl HttpAnswer {
    /// An answer in plain words.
    pub(super) fn words(status: &'static str, words: &str) -> HttpAnswer {
        let kind = ("content-type", "text/plain; charset=utf-8".to_owned());
        HttpAnswer { status, headers: vec![kind], body: Arc::from(words.as_bytes()) }
    }
}

/// Headers of every answer: nothing is kept, guessed at, or embedded by other sites.
const GUARDS: [(&str, &str); 5] = [
    ("cache-control", "no-store"),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-resource-policy", "same-origin"),
    ("connection", "close"),
];

/// Reads the question of a new connection; what to answer when it is none.
pub(super) fn question(stream: &mut TcpStream) -> Result<HttpQuestion, Option<HttpAnswer>> {
    let begun = Instant::now();
    stream.set_write_timeout(Some(PATIENCE)).map_err(|_| None)?;
    let mut head = Vec::with_capacity(1 << 10);
    let mut piece = [0; 4 << 10];
    let end = loop {
        let left = PATIENCE.checked_sub(begun.elapsed()).filter(|left| !left.is_zero());
        let left =
            left.ok_or_else(|| Some(HttpAnswer::words("408 Request Timeout", "Too slow.\n")))?;
        stream.set_read_timeout(Some(left)).map_err(|_| None)?;
        let count = match stream.read(&mut piece) {
            Ok(0) => return Err(None),
            Ok(count) => count,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(_) => return Err(None),
        };
        let seen = head.len().saturating_sub(3);
        head.extend_from_slice(&piece[..count]);
        if let Some(at) = head[seen..].windows(4).position(|four| four == b"\r\n\r\n") {
            break seen + at;
        }
        if LONGEST < head.len() {
            break head.len();
        }
    };
    if LONGEST < end {
        let status = "431 Request Header Fields Too Large";
        return Err(Some(HttpAnswer::words(status, "Too long.\n")));
    }
    let bad =
        || Some(HttpAnswer::words("400 Bad Request", "This is no question a browser asks.\n"));
    std::str::from_utf8(&head[..end]).ok().and_then(parsed).ok_or_else(bad)
}

fn parsed(head: &str) -> Option<HttpQuestion> {
    let mut lines = head.split("\r\n");
    let mut words = lines.next()?.split(' ');
    let (method, target, version) = (words.next()?, words.next()?, words.next()?);
    let is_plain = |text: &str| !text.is_empty() && text.bytes().all(|b| (0x21..0x7f).contains(&b));
    let is_word = |text: &str| {
        !text.is_empty()
            && text.bytes().all(|b| b.is_ascii_alphanumeric() || b"-_!#$%&'*+.^`|~".contains(&b))
    };
    let is_known = matches!(version, "HTTP/1.1" | "HTTP/1.0") && words.next().is_none();
    if !is_known || !is_word(method) || !is_plain(target) || !target.starts_with('/') {
        return None;
    }
    let mut hosts = Vec::new();
    for line in lines {
        let (name, value) = line.split_once(':')?;
        if !is_word(name) || value.chars().any(|c| c.is_control() && c != '\t') {
            return None;
        }
        if name.eq_ignore_ascii_case("host") {
            hosts.push(value.trim().to_owned());
        }
    }
    let path = target.split(['?', '#']).next().unwrap_or(target);
    Some(HttpQuestion { method: method.to_owned(), path: path.to_owned(), hosts })
}

/// Sends an answer and ends the connection.
pub(super) fn send(mut stream: TcpStream, answer: &HttpAnswer, with_body: bool) {
    let length = ("content-length", answer.body.len().to_string());
    let head = head(answer.status, answer.headers.iter().chain([&length]));
    let sent = stream.write_all(head.as_bytes());
    let sent = sent.and_then(|()| stream.write_all(if with_body { &answer.body } else { &[] }));
    if sent.is_ok() && stream.shutdown(Shutdown::Write).is_ok() {
        ignore_rest(&mut stream);
    }
}

/// The head of an answer, with its empty line.
pub(super) fn head<'a>(
    status: &str,
    headers: impl Iterator<Item = &'a (&'static str, String)>,
) -> String {
    let guards = GUARDS.iter().map(|(name, value)| format!("{name}: {value}\r\n"));
    let own = headers.map(|(name, value)| format!("{name}: {value}\r\n"));
    format!("HTTP/1.1 {status}\r\n{}{}\r\n", own.collect::<String>(), guards.collect::<String>())
}

/// Reads what the other side still sends: closing with something unread would take back an answer
/// that is on its way.
fn ignore_rest(stream: &mut TcpStream) {
    let begun = Instant::now();
    let mut piece = [0; 4 << 10];
    let mut ignored = 0;
    if stream.set_read_timeout(Some(Duration::from_secs(1))).is_err() {
        return;
    }
    while ignored < MOST_IGNORED && begun.elapsed() < PATIENCE {
        match stream.read(&mut piece) {
            Ok(0) | Err(_) => return,
            Ok(count) => ignored += count,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The forms of RFC 9112, sections 2.2, 3 and 5 (from memory).
    #[test]
    fn questions_are_read_and_anything_else_is_refused() {
        let head = "GET /a%20b?x=1 HTTP/1.1\r\nHost: localhost:7417\r\nAccept: */*\r\nX:";
        let question = parsed(head).unwrap();
        assert_eq!((question.method.as_str(), question.path.as_str()), ("GET", "/a%20b"));
        assert_eq!(question.hosts, ["localhost:7417"]);
        let two = parsed("GET / HTTP/1.1\r\nhost: a\r\nHOST: b").unwrap();
        assert_eq!(two.hosts, ["a", "b"]);
        for bad in [
            "",
            "GET",
            "GET /",
            "GET  / HTTP/1.1",
            "GET / HTTP/1.1 ",
            "GET / HTTP/2",
            "GET http://evil/ HTTP/1.1",
            "GET * HTTP/1.1",
            "G\u{e9}T / HTTP/1.1",
            "GET /\u{e9} HTTP/1.1",
            "GET /\ta HTTP/1.1",
            "GET / HTTP/1.1\r\nHost",
            "GET / HTTP/1.1\r\nHost : a",
            "GET / HTTP/1.1\r\n folded",
            "GET / HTTP/1.1\r\n: a",
            "GET / HTTP/1.1\r\nA: \u{0}",
            "GET / HTTP/1.1\nHost: a",
        ] {
            assert_eq!(parsed(bad), None, "{bad:?}");
        }
    }
}
