//! The desk's server: the site from memory, the slips, and the stream that reloads pages.
//!
//! It answers only requests that name this machine as their host, so that a page from elsewhere
//! cannot reach it under a name of its own, and forbids other sites to embed what it serves.

use super::inject::{self, LIVE_ADDRESS};
use super::{Current, DeskState};
use axum::Router;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse as _, Response};
use std::convert::Infallible;
use std::future::IntoFuture as _;
use std::io;
use std::net::{SocketAddr, TcpListener};
use std::sync::{Arc, PoisonError};
use std::time::Duration;
use tokio::sync::{oneshot, watch as latest};
use tokio_stream::StreamExt as _;
use tokio_stream::wrappers::WatchStream;

/// How often an idle event stream says that it is still there.
const STILL_HERE: Duration = Duration::from_secs(15);

/// What was built, by number.
#[derive(Debug, Clone)]
pub(super) struct Edition {
    /// Counts from 1 for each desk.
    pub(super) number: u64,
    /// The state in one line.
    pub(super) headline: String,
}

#[derive(Clone)]
struct Server {
    address: SocketAddr,
    current: Current,
    editions: latest::Receiver<Edition>,
}

/// Serves until `stop` is sent and the open streams have ended.
pub(super) async fn serve(
    listener: TcpListener,
    address: SocketAddr,
    current: Current,
    editions: latest::Receiver<Edition>,
    stop: oneshot::Receiver<()>,
) -> io::Result<()> {
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let router = Router::new().fallback(answer).with_state(Server { address, current, editions });
    let stopped = async {
        let _ = stop.await;
    };
    axum::serve(listener, router).with_graceful_shutdown(stopped).into_future().await
}

async fn answer(State(server): State<Server>, request: Request) -> Response {
    let mut response = server.respond(&request);
    let guards = [
        (header::CACHE_CONTROL, "no-store"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    for (name, value) in guards {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response
}

impl Server {
    fn respond(&self, request: &Request) -> Response {
        if !is_for_us(request.headers(), self.address.port()) {
            let why = "The desk answers only under the names localhost and 127.0.0.1.\n";
            return (StatusCode::FORBIDDEN, why).into_response();
        }
        if !matches!(*request.method(), Method::GET | Method::HEAD) {
            let allow = [(header::ALLOW, "GET, HEAD")];
            return (StatusCode::METHOD_NOT_ALLOWED, allow).into_response();
        }
        let state = Arc::clone(&self.current.read().unwrap_or_else(PoisonError::into_inner));
        match request.uri().path() {
            "/_desk/events" => self.events(),
            "/_desk/slips" => desk_page(StatusCode::OK, "Slips", &state.slips_html),
            "/_desk/desk.css" => file("desk.css", include_bytes!("desk.css").to_vec()),
            LIVE_ADDRESS => file("live.js", include_bytes!("live.js").to_vec()),
            path => match file_name(path) {
                Some(name) => from_site(&state, path, &name),
                None => (StatusCode::BAD_REQUEST, "Not an address of the site.\n").into_response(),
            },
        }
    }

    /// The state now, then every new one. A page that connects again after a pause finds from the
    /// edition whether it missed something.
    fn events(&self) -> Response {
        let desk = std::process::id();
        let mut is_first = true;
        let stream = WatchStream::new(self.editions.clone()).map(move |edition| {
            let name = if std::mem::take(&mut is_first) { "state" } else { "reload" };
            let number = format!("{desk}-{}", edition.number);
            let data = serde_json::json!({ "edition": number, "headline": edition.headline });
            Ok::<_, Infallible>(Event::default().event(name).data(data.to_string()))
        });
        let keep_alive = KeepAlive::new().interval(STILL_HERE).text("still here");
        Sse::new(stream).keep_alive(keep_alive).into_response()
    }
}

/// Whether the request was sent to this machine by name, not to some name that merely leads here.
fn is_for_us(headers: &HeaderMap, port: u16) -> bool {
    let mut hosts = headers.get_all(header::HOST).iter();
    let (Some(host), None) = (hosts.next(), hosts.next()) else { return false };
    let Ok(host) = host.to_str() else { return false };
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

fn from_site(state: &DeskState, path: &str, name: &str) -> Response {
    if let Some(bytes) = state.files.get(name) {
        return file(name, bytes.to_vec());
    }
    if state.files.contains_key(&format!("{name}/index.html")) {
        let to = [(header::LOCATION, format!("{path}/"))];
        return (StatusCode::PERMANENT_REDIRECT, to).into_response();
    }
    if let Some(page) = state.files.get("404.html") {
        let mut response = file("404.html", page.to_vec());
        *response.status_mut() = StatusCode::NOT_FOUND;
        return response;
    }
    let text = "<h1>No such page</h1><p>The site has no page at this address. \
                <a href=\"/\">Home page</a>, <a href=\"/_desk/slips\">slips</a>.</p>";
    desk_page(StatusCode::NOT_FOUND, "No such page", text)
}

/// A page of the desk's own: `inside` as it is if it is a whole page, else with a frame around.
fn desk_page(status: StatusCode, title: &str, inside: &str) -> Response {
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
    let mut response = file("desk.html", page.into_bytes());
    *response.status_mut() = status;
    response
}

fn file(name: &str, bytes: Vec<u8>) -> Response {
    let kind = content_type(name);
    let bytes = if kind.starts_with("text/html") { inject::for_desk(&bytes) } else { bytes };
    ([(header::CONTENT_TYPE, kind)], Body::from(bytes)).into_response()
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
        let asked = |host: &str, port| {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, HeaderValue::from_bytes(host.as_bytes()).unwrap());
            is_for_us(&headers, port)
        };
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
        assert!(!is_for_us(&HeaderMap::new(), 7417));
        let mut two = HeaderMap::new();
        two.append(header::HOST, HeaderValue::from_static("localhost:7417"));
        two.append(header::HOST, HeaderValue::from_static("example.org"));
        assert!(!is_for_us(&two, 7417));
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
