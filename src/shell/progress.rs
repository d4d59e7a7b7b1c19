//! A line of progress for long work, on a terminal only.

use std::cell::Cell;
use std::io::{IsTerminal, Write};
use std::time::{Duration, Instant};

/// Shows how far a run has come. Silent when the error stream is no terminal, and for work that is
/// done at once.
#[derive(Debug)]
pub(crate) struct Progress {
    what: &'static str,
    begun: Instant,
    last: Cell<Option<Instant>>,
    is_terminal: bool,
}

impl Progress {
    /// Progress of `what` ("judging").
    pub(crate) fn new(what: &'static str) -> Progress {
        let is_terminal = std::io::stderr().is_terminal();
        Progress { what, begun: Instant::now(), last: Cell::new(None), is_terminal }
    }

    /// Shows that `done` of `of` pages are through.
    pub(crate) fn show(&self, done: usize, of: usize) {
        let recent =
            self.last.get().is_some_and(|last| last.elapsed() < Duration::from_millis(100));
        let short = self.begun.elapsed() < Duration::from_millis(400);
        if !self.is_terminal || short || recent {
            return;
        }
        self.last.set(Some(Instant::now()));
        let mut out = std::io::stderr().lock();
        let _ = write!(out, "\r{} {done} of {of} pages", self.what);
        let _ = out.flush();
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.last.get().is_some() {
            let _ = write!(std::io::stderr().lock(), "\r\u{1b}[2K");
        }
    }
}
