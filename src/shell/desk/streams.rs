//! The open pages: each follows a stream of events (the HTML standard's "server-sent events") and
//! reloads when there is a new edition.

use super::http;
use std::io::Write as _;
use std::net::TcpStream;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Who follows, and what there is to see.
#[derive(Debug, Default)]
pub(super) struct Streams(Mutex<StreamState>);

#[derive(Debug, Default)]
struct StreamState {
    /// What was built, counting from 1 for each desk.
    edition: u64,
    /// The state in one line.
    headline: String,
    open: Vec<TcpStream>,
    is_closed: bool,
}

impl Streams {
    /// Lets a page follow: the state now, then every new one. A page that connects again after a
    /// pause finds from the edition whether it missed something.
    pub(super) fn join(&self, mut stream: TcpStream) {
        let kind = ("content-type", "text/event-stream".to_owned());
        let head = http::head("200 OK", [&kind].into_iter());
        let mut state = self.lock();
        let first = format!("{head}{}", state.event("state"));
        // From here on nobody waits for a page: one that does not read is let go and comes back.
        let is_open = stream.set_nonblocking(true).is_ok()
            && stream.write_all(first.as_bytes()).is_ok()
            && !state.is_closed;
        if is_open {
            state.open.push(stream);
        }
    }

    /// Tells of a new edition.
    pub(super) fn announce(&self, headline: String) {
        let mut state = self.lock();
        state.edition += 1;
        state.headline = headline;
        let event = state.event("reload");
        state.send(&event);
    }

    /// Says that the desk is still there, which also finds out who is not.
    pub(super) fn still_here(&self) {
        self.lock().send(": still here\n\n");
    }

    /// Ends all of them, and whoever comes later.
    pub(super) fn close(&self) {
        let mut state = self.lock();
        state.is_closed = true;
        state.open.clear();
    }

    fn lock(&self) -> MutexGuard<'_, StreamState> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl StreamState {
    fn event(&self, name: &str) -> String {
        let edition = format!("{}-{}", std::process::id(), self.edition);
        let data = serde_json::json!({ "edition": edition, "headline": self.headline });
        format!("event: {name}\ndata: {data}\n\n")
    }

    fn send(&mut self, text: &str) {
        self.open.retain_mut(|stream| stream.write_all(text.as_bytes()).is_ok());
    }
}
