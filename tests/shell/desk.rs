//! The desk as a browser meets it: over a plain socket.

use gaugebook::shell::desk::{Desk, DeskEvent, DeskFault, DeskOptions, DeskState};
use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tempfile::TempDir;

const PAGE: &str = "<html><head><meta http-equiv=\"Content-Security-Policy\" content=\"\
                    default-src 'none'; script-src 'self'\"></head><body>Rowan</body></html>";

/// Longest wait for something that happens in milliseconds.
const LONG: Duration = Duration::from_secs(20);

/// A folio whose site has a page, a script and a copy of its one source.
fn folio() -> TempDir {
    let folio = tempfile::tempdir().unwrap();
    fs::create_dir(folio.path().join("content")).unwrap();
    fs::write(folio.path().join("content/rowan.md"), "first").unwrap();
    folio
}

fn site_of(folio: &Path) -> DeskState {
    let source = fs::read_to_string(folio.join("content/rowan.md")).unwrap_or_default();
    assert_ne!(source, "panic", "a fault of the builder's own");
    let drawing = fs::read_to_string(drawing_of(folio)).unwrap_or_default();
    let file = |name: &str, text: &str| (name.to_string(), Arc::from(text.as_bytes()));
    DeskState {
        files: [
            file("index.html", PAGE),
            file("engines/rowan/index.html", PAGE),
            file("source.txt", &source),
            file("units.js", "var a"),
        ]
        .into(),
        slips_html: "<p>one slip</p>".into(),
        headline: format!("read {source}{drawing}"),
    }
}

fn drawing_of(folio: &Path) -> PathBuf {
    folio.join("diagrams/rowan.cut")
}

fn open(folio: &TempDir) -> Desk {
    let path = folio.path().to_path_buf();
    let options = DeskOptions { port: Some(0), ..DeskOptions::default() };
    Desk::open(folio.path(), &options, move || site_of(&path), |_| {}).unwrap()
}

fn connect(desk: &Desk) -> TcpStream {
    let stream = TcpStream::connect(desk.address()).unwrap();
    stream.set_read_timeout(Some(LONG)).unwrap();
    stream
}

fn ask_as(desk: &Desk, method: &str, path: &str, host: &str) -> String {
    let mut stream = connect(desk);
    write!(stream, "{method} {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")
        .unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

fn get(desk: &Desk, path: &str) -> String {
    ask_as(desk, "GET", path, &desk.address().to_string())
}

#[track_caller]
fn assert_holds(answer: &str, pieces: &[&str]) {
    for piece in pieces {
        assert!(answer.contains(piece), "expected {piece:?} in:\n{answer}");
    }
}

#[test]
fn pages_come_with_the_reloading_script_and_a_policy_that_lets_it_ask() {
    let folio = folio();
    let desk = open(&folio);
    assert_eq!(desk.url(), format!("http://127.0.0.1:{}/", desk.address().port()));
    let page = get(&desk, "/");
    assert_holds(
        &page,
        &[
            "HTTP/1.1 200 OK",
            "content-type: text/html; charset=utf-8",
            "cache-control: no-store",
            "cross-origin-resource-policy: same-origin",
            "script-src 'self'; connect-src 'self'",
            "Rowan<script src=\"/_desk/live.js\" defer></script></body>",
        ],
    );
    assert_eq!(get(&desk, "/engines/rowan/"), page, "the same page");
    assert_holds(&get(&desk, "/_desk/live.js"), &["text/javascript", "EventSource"]);
    assert_holds(&get(&desk, "/_desk/slips"), &["200 OK", "one slip", "/_desk/live.js"]);
    let script = get(&desk, "/units.js");
    assert_holds(&script, &["text/javascript"]);
    assert!(script.ends_with("\r\n\r\nvar a"), "only pages are changed: {script}");
}

#[test]
fn a_folder_leads_to_its_page_and_nothing_to_not_found() {
    let folio = folio();
    let desk = open(&folio);
    let redirect = get(&desk, "/engines/rowan");
    assert_holds(&redirect, &["308 Permanent Redirect", "location: /engines/rowan/\r\n"]);
    assert_holds(&get(&desk, "/nowhere"), &["404 Not Found", "No such page", "href=\"/\""]);
}

#[test]
fn nothing_outside_of_the_site_can_be_reached() {
    let folio = folio();
    fs::write(folio.path().join("secret.txt"), "secret").unwrap();
    let desk = open(&folio);
    for path in [
        "/../secret.txt",
        "/content/../../secret.txt",
        "/%2e%2e/secret.txt",
        "/..%2fsecret.txt",
        "/..%5csecret.txt",
        "//secret.txt",
    ] {
        assert_holds(&get(&desk, path), &["400 Bad Request"]);
    }
    for path in ["/secret.txt", "/content/rowan.md"] {
        assert_holds(&get(&desk, path), &["404 Not Found"]);
    }
}

#[test]
fn only_this_machine_is_answered_and_only_questions() {
    let folio = folio();
    let desk = open(&folio);
    assert!(desk.address().ip().is_loopback());
    let port = desk.address().port();
    for host in [format!("localhost:{port}"), format!("127.0.0.1:{port}")] {
        assert_holds(&ask_as(&desk, "GET", "/", &host), &["200 OK"]);
    }
    for host in ["example.org".to_string(), format!("example.org:{port}"), "localhost:1".into()] {
        for path in ["/", "/_desk/events", "/_desk/slips"] {
            let answer = ask_as(&desk, "GET", path, &host);
            assert_holds(&answer, &["403 Forbidden"]);
            assert!(!answer.contains("Rowan"));
        }
    }
    let post = ask_as(&desk, "POST", "/", &desk.address().to_string());
    assert_holds(&post, &["405 Method Not Allowed", "allow: GET, HEAD"]);
    let head = ask_as(&desk, "HEAD", "/", &desk.address().to_string());
    assert!(head.starts_with("HTTP/1.1 200 OK") && head.ends_with("\r\n\r\n"), "{head}");
}

/// The event stream of a desk, as a browser follows it.
struct Events(BufReader<TcpStream>);

impl Events {
    fn follow(desk: &Desk) -> Events {
        let mut stream = connect(desk);
        let host = desk.address();
        write!(stream, "GET /_desk/events HTTP/1.1\r\nHost: {host}\r\n\r\n").unwrap();
        Events(BufReader::new(stream))
    }

    /// Name and data of the next event; `None` at the end of the stream.
    fn next(&mut self) -> Option<(String, serde_json::Value)> {
        let mut name = None;
        let mut line = String::new();
        while 0 < self.0.read_line(&mut line).unwrap() {
            if let Some(text) = line.strip_prefix("event: ") {
                name = Some(text.trim().to_string());
            } else if let Some(text) = line.strip_prefix("data: ") {
                return Some((name.unwrap(), serde_json::from_str(text).unwrap()));
            }
            line.clear();
        }
        None
    }
}

#[test]
fn a_save_reloads_the_page() {
    let folio = folio();
    let desk = open(&folio);
    let mut events = Events::follow(&desk);
    let (name, first) = events.next().unwrap();
    assert_eq!((name.as_str(), first["headline"].as_str()), ("state", Some("read first")));

    // As editors save: another file renamed over the old one.
    let content = folio.path().join("content");
    fs::write(content.join("rowan.md.new"), "second").unwrap();
    fs::rename(content.join("rowan.md.new"), content.join("rowan.md")).unwrap();
    let (name, second) = events.next().unwrap();
    assert_eq!((name.as_str(), second["headline"].as_str()), ("reload", Some("read second")));
    assert_ne!(first["edition"], second["edition"]);
    assert_holds(&get(&desk, "/source.txt"), &["second"]);

    // A page that connects only now learns of the same edition.
    let (_, late) = Events::follow(&desk).next().unwrap();
    assert_eq!(late["edition"], second["edition"]);
}

#[test]
fn a_folder_made_later_is_watched_too() {
    let folio = folio();
    let desk = open(&folio);
    let mut events = Events::follow(&desk);
    events.next().unwrap();
    fs::create_dir(folio.path().join("diagrams")).unwrap();
    events.next().unwrap();
    fs::write(drawing_of(folio.path()), " bore 15.9").unwrap();
    while events.next().unwrap().1["headline"] != "read first bore 15.9" {}
}

#[test]
fn a_builder_that_panics_leaves_the_last_good_site() {
    let folio = folio();
    let desk = open(&folio);
    let mut events = Events::follow(&desk);
    events.next().unwrap();
    fs::write(folio.path().join("content/rowan.md"), "panic").unwrap();
    loop {
        let (_, state) = events.next().unwrap();
        if state["headline"].as_str().unwrap().starts_with("a fault in gaugebook") {
            break;
        }
    }
    assert_holds(&get(&desk, "/source.txt"), &["200 OK"]);
    assert_holds(&get(&desk, "/_desk/slips"), &["not in your pages"]);
    fs::write(folio.path().join("content/rowan.md"), "mended").unwrap();
    while events.next().unwrap().1["headline"] != "read mended" {}
}

#[test]
fn closing_ends_the_open_streams() {
    let folio = folio();
    let desk = open(&folio);
    let mut events = Events::follow(&desk);
    events.next().unwrap();
    let address = desk.address();
    drop(desk);
    assert_eq!(events.next(), None);
    assert!(TcpStream::connect(address).is_err());
}

#[test]
fn what_happens_is_told() {
    let folio = folio();
    let told: Arc<Mutex<Vec<DeskEvent>>> = Arc::default();
    let telling = Arc::clone(&told);
    let options = DeskOptions { port: Some(0), ..DeskOptions::default() };
    let path = folio.path().to_path_buf();
    let tell = move |event| telling.lock().unwrap().push(event);
    let desk = Desk::open(folio.path(), &options, move || site_of(&path), tell).unwrap();
    let events = told.lock().unwrap().clone();
    let [DeskEvent::Built { headline, .. }, DeskEvent::Open { url }] = events.as_slice() else {
        panic!("{events:?}");
    };
    assert_eq!((headline.as_str(), url), ("read first", &desk.url()));

    // A port that is taken, and a folio that is not there.
    let taken = DeskOptions { port: Some(desk.address().port()), ..DeskOptions::default() };
    let fault = Desk::open(folio.path(), &taken, DeskState::default, |_| {}).unwrap_err();
    assert!(matches!(fault, DeskFault::Port { .. }));
    assert!(fault.to_string().contains("choose another one with --port"), "{fault}");
    let nowhere = folio.path().join("nowhere");
    let fault = Desk::open(&nowhere, &options, DeskState::default, |_| {}).unwrap_err();
    assert!(fault.to_string().contains("cannot watch `"), "{fault}");
}

/// Sends bytes that are no question, and gives the answer.
fn say(desk: &Desk, bytes: &[u8]) -> String {
    let mut stream = connect(desk);
    // The desk may answer before it has read all.
    let _ = stream.write_all(bytes);
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

#[test]
fn what_is_no_question_is_refused_within_limits() {
    let folio = folio();
    let desk = open(&folio);
    let host = desk.address();
    let long = format!("GET /{} HTTP/1.1\r\nHost: {host}\r\n\r\n", "a".repeat(1 << 20));
    let many = format!("GET / HTTP/1.1\r\n{}\r\n", "A: b\r\n".repeat(10_000));
    for bytes in [long, many] {
        assert_holds(&say(&desk, bytes.as_bytes()), &["431 Request Header Fields Too Large"]);
    }
    for bytes in [
        "\r\n\r\n".to_owned(),
        "hello\r\n\r\n".to_owned(),
        format!("GET http://example.org/ HTTP/1.1\r\nHost: {host}\r\n\r\n"),
        format!("GET /\0 HTTP/1.1\r\nHost: {host}\r\n\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\n folded\r\n\r\n"),
    ] {
        assert_holds(&say(&desk, bytes.as_bytes()), &["400 Bad Request"]);
    }
    let bare = say(&desk, b"GET / HTTP/1.1\r\n\r\n");
    assert_holds(&bare, &["403 Forbidden"]);
    let two = format!("GET / HTTP/1.1\r\nHost: {host}\r\nHost: {host}\r\n\r\n");
    assert_holds(&say(&desk, two.as_bytes()), &["403 Forbidden"]);
    // A second question behind the first one, or hidden in its body, is never answered.
    let question = format!("GET /units.js HTTP/1.1\r\nHost: {host}\r\n\r\n");
    assert_eq!(say(&desk, question.repeat(2).as_bytes()).matches("HTTP/1.1 200").count(), 1);
}

#[test]
fn questions_that_never_end_keep_nobody_waiting() {
    let folio = folio();
    let desk = open(&folio);
    let mut halves = Vec::new();
    for _ in 0..200 {
        let mut stream = connect(&desk);
        stream.write_all(b"GET / HTTP/1.1\r\n").unwrap();
        halves.push(stream);
    }
    let mut pages: Vec<Events> = (0..100).map(|_| Events::follow(&desk)).collect();
    assert_holds(&get(&desk, "/"), &["200 OK"]);
    fs::write(folio.path().join("content/rowan.md"), "second").unwrap();
    for page in &mut pages {
        while page.next().unwrap().1["headline"] != "read second" {}
    }
}

#[test]
fn a_desk_closes_in_the_middle_of_a_build() {
    let folio = folio();
    let (begun, begins) = std::sync::mpsc::channel();
    let (go_on, waits) = std::sync::mpsc::channel::<()>();
    let path = folio.path().to_path_buf();
    let rebuild = move || {
        if fs::read_to_string(path.join("content/rowan.md")).unwrap() == "long" {
            begun.send(()).unwrap();
            // Until the test lets go.
            let _ = waits.recv();
        }
        DeskState::default()
    };
    let options = DeskOptions { port: Some(0), ..DeskOptions::default() };
    let desk = Desk::open(folio.path(), &options, rebuild, |_| {}).unwrap();
    fs::write(folio.path().join("content/rowan.md"), "long").unwrap();
    begins.recv_timeout(LONG).unwrap();
    // Whoever waits for the build here waits for ever.
    drop(desk);
    drop(go_on);
}

#[cfg(unix)]
#[test]
fn the_program_ends_when_it_is_told_to() {
    let folio = folio();
    fs::write(folio.path().join("content/rowan.md"), "---\ntitle: x\n---\n").unwrap();
    for signal in ["INT", "TERM"] {
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_gaugebook"))
            .args(["desk", "--port", "0"])
            .arg(folio.path())
            .stdout(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        assert!(lines.map(Result::unwrap).any(|line| line.starts_with("open http://127.0.0.1:")));
        let kill = std::process::Command::new("kill")
            .args(["-s", signal, &child.id().to_string()])
            .status();
        assert!(kill.unwrap().success());
        assert_eq!(child.wait().unwrap().code(), Some(0), "SIG{signal}");
    }
}
