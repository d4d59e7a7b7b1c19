//! The desk's server: the site from memory, the slips, and the stream that reloads pages.
//!
//! It answers only questions that name this machine as their host, so that a page from elsewhere
//! cannot reach it under a name of its own, and forbids other sites to embed what it serves.

use super::http::{self, HttpAnswer, HttpQuestion};
use super::inject::{self, LIVE_ADDRESS};
use super::streams::Streams;
use super::{Current, DeskState};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, PoisonError};
use std::thread;
use std::time::Duration;

/// Most questions that are answered at a time: more than any browser asks.
const MOST_AT_ONCE: usize = 1000;

/// Stack of a thread that answers one question.
const STACK: usize = 256 << 10;

/// What the server hands out.
#[derive(Debug)]
pub(super) struct Server {
    pub(super) address: SocketAddr,
    pub(super) current: Current,
    pub(super) streams: Streams,
    pub(super) is_closed: AtomicBool,
    /// Questions being answered.
    busy: AtomicUsize,
}

impl Server {
    pub(super) fn new(address: SocketAddr, current: Current) -> Server {
        Server {
            address,
            current,
            streams: Streams::default(),
            is_closed: AtomicBool::new(false),
            busy: AtomicUsize::new(0),
        }
    }

    /// Answers until the server is closed.
    pub(super) fn serve(self: &Arc<Server>, listener: &TcpListener) {
        for stream in listener.incoming() {
            if self.is_closed.load(Ordering::SeqCst) {
                return;
            }
            // Without sockets to spare, some will be free in a moment.
            let Ok(stream) = stream else {
                thread::sleep(Duration::from_millis(20));
                continue;
            };
            if MOST_AT_ONCE <= self.busy.fetch_add(1, Ordering::SeqCst) {
                self.busy.fetch_sub(1, Ordering::SeqCst);
                continue;
            }
            let server = Arc::clone(self);
            let answering = thread::Builder::new().stack_size(STACK).spawn(move || {
                // Given back even if answering panics.
                let _busy = Busy(&server.busy);
                server.answer(stream);
            });
            if answering.is_err() {
                self.busy.fetch_sub(1, Ordering::SeqCst);
            }
        }
    }

    fn answer(&self, mut stream: TcpStream) {
        match http::question(&mut stream) {
            Err(None) => {}
            Err(Some(answer)) => http::send(stream, &answer, true),
            Ok(question) => match self.respond(&question) {
                Some(answer) => http::send(stream, &answer, question.method == "GET"),
                None => self.streams.join(stream),
            },
        }
    }

    /// The answer to a question; `None` for the stream of events.
    fn respond(&self, question: &HttpQuestion) -> Option<HttpAnswer> {
        if !is_for_us(&question.hosts, self.address.port()) {
            let why = "The desk answers only under the names localhost and 127.0.0.1.\n";
            return Some(HttpAnswer::words("403 Forbidden", why));
        }
        if !matches!(question.method.as_str(), "GET" | "HEAD") {
            let mut answer = HttpAnswer::words("405 Method Not Allowed", "");
            answer.headers.push(("allow", "GET, HEAD".to_owned()));
            return Some(answer);
        }
        let state = Arc::clone(&self.current.read().unwrap_or_else(PoisonError::into_inner));
        Some(match question.path.as_str() {
            "/_desk/events" if question.method == "GET" => return None,
            "/_desk/slips" => desk_page("200 OK", "Slips", &state.slips_html),
            "/_desk/desk.css" => file("desk.css", Arc::from(*include_bytes!("desk.css"))),
            LIVE_ADDRESS => file("live.js", Arc::from(*include_bytes!("live.js"))),
            path => match file_name(path) {
                Some(name) => from_site(&state, path, &name),
                None => HttpAnswer::words("400 Bad Request", "Not an address of the site.\n"),
            },
        })
    }
}

/// A question that is being answered.
struct Busy<'a>(&'a AtomicUsize);

impl Drop for Busy<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

/// Whether the request was sent to this machine by name, not to some name that merely leads here.
fn is_for_us(hosts: &[String], port: u16) -> bool {
    let [host] = hosts else { return false };
    let names = ["localhost", "127.0.0.1", "[::1]"];
    names.iter().any(|name| {
        let rest = host.get(..name.len()).filter(|start| start.eq_ignore_ascii_case(name));
        let rest = rest.map(|_| &host[name.len()..]);
        rest == Some(&format!(":{port}")) || (port == 80 && rest == Some(""))
    })
}

/// The file that a path asks for; `None` for paths that no page of a site links to.
fn file_name(path: &str) -> Option<String> {
    let path = percent_decoded(path.strip_prefix('/')?)?;
    if path.contains(['\\', '\0']) {
        return None;
    }
    let mut parts: Vec<&str> = path.split('/').collect();
    if parts.last() == Some(&"") {
        parts.pop();
        parts.push("index.html");
    }
    let strange = parts.iter().any(|part| matches!(*part, "" | "." | ".."));
    (!strange).then(|| parts.join("/"))
}

fn percent_decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        if *first == b'%' {
            let digits = std::str::from_utf8(after.get(..2)?).ok()?;
            bytes.push(u8::from_str_radix(digits, 16).ok()?);
            rest = &after[2..];
        } else {
            bytes.push(*first);
            rest = after;
        }
    }
    String::from_utf8(bytes).ok()
}

fn from_site(state: &DeskState, path: &str, name: &str) -> HttpAnswer {
    if let Some(bytes) = state.files.get(name) {
        return file(name, Arc::clone(bytes));
    }
    if state.files.contains_key(&format!("{name}/index.html")) {
        let mut answer = HttpAnswer::words("308 Permanent Redirect", "");
        answer.headers.push(("location", format!("{path}/")));
        return answer;
    }
    if let Some(page) = state.files.get("404.html") {
        return HttpAnswer { status: "404 Not Found", ..file("404.html", Arc::clone(page)) };
    }
    let text = "<h1>No such page</h1><p>The site has no page at this address. \
                <a href=\"/\">Home page</a>, <a href=\"/_desk/slips\">slips</a>.</p>";
    desk_page("404 Not Found", "No such page", text)
}

/// A page of the desk's own: `inside` as it is if it is a whole page, else with a frame around.
fn desk_page(status: &'static str, title: &str, inside: &str) -> HttpAnswer {
    let is_whole =
        inside.trim_start().get(..9).is_some_and(|s| s.eq_ignore_ascii_case("<!doctype"));
    let page = if is_whole {
        inside.to_string()
    } else {
        format!(
            "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\">\
             <meta name=\"viewport\" content=\"width=device-width\"><title>{title}</title>\
             <link rel=\"stylesheet\" href=\"/_desk/desk.css\"></head>\
             <body><main>{inside}</main></body></html>"
        )
    };
    HttpAnswer { status, ..file("desk.html", Arc::from(page.into_bytes())) }
}

fn file(name: &str, bytes: Arc<[u8]>) -> HttpAnswer {
    let kind = content_type(name);
    let body = if kind.starts_with("text/html") { inject::for_desk(&bytes).into() } else { bytes };
    HttpAnswer { status: "200 OK", headers: vec![("content-type", kind.to_owned())], body }
}

/// Media types of what a site may hold (IANA registry, memory).
fn content_type(name: &str) -> &'static str {
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    match ending.to_ascii_lowercase().as_str() {
        "html" | "htm" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "csv" => "text/csv; charset=utf-8",
        "txt" | "md" => "text/plain; charset=utf-8",
        "vtt" => "text/vtt; charset=utf-8",
        "xml" => "application/xml",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "ico" => "image/x-icon",
        "ttf" => "font/ttf",
        "woff2" => "font/woff2",
        "pdf" => "application/pdf",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_names_of_this_machine_are_answered() {
        let asked = |host: &str, port| is_for_us(&[host.to_owned()], port);
        for host in ["localhost:7417", "LocalHost:7417", "127.0.0.1:7417", "[::1]:7417"] {
            assert!(asked(host, 7417), "{host}");
        }
        for host in [
            "",
            "localhost",
            "localhost:7418",
            "localhost:07417",
            "example.org:7417",
            "example.org",
            "localhost.example.org:7417",
            "127.0.0.1.example.org:7417",
            "127.0.0.2:7417",
            "xlocalhost:7417",
            "localhost:7417.example.org",
            "localhost:7417,example.org",
            "é",
        ] {
            assert!(!asked(host, 7417), "{host}");
        }
        assert!(asked("localhost", 80) && asked("localhost:80", 80));
        assert!(!is_for_us(&[], 7417));
        assert!(!is_for_us(&["localhost:7417", "example.org"].map(str::to_owned), 7417));
    }

    #[test]
    fn addresses_become_names_and_never_climb() {
        let is = |path: &str, name: &str| assert_eq!(file_name(path).as_deref(), Some(name));
        is("/", "index.html");
        is("/engines/", "engines/index.html");
        is("/engines/rowan", "engines/rowan");
        is("/a%20b/gr%C3%BC%C3%9Fe.png", "a b/grüße.png");
        for path in [
            "",
            "a",
            "//a",
            "/a//b",
            "/..",
            "/../a",
            "/a/../b",
            "/%2e%2e/a",
            "/.%2E/a",
            "/a/./b",
            "/a%2f..%2fb",
            "/a\\b",
            "/a%5cb",
            "/a%00",
            "/%",
            "/%4",
            "/%zz",
            "/%ff",
            "/%2F",
        ] {
            assert_eq!(file_name(path), None, "{path}");
        }
    }
}
