//! The streams that people read: what a folio, a file name or an argument holds is shown on them
//! and never obeyed.

use super::Outcome;
use crate::text::visible;
use std::io::{self, StderrLock, StdoutLock, Write};

/// A stream on which characters that would act are written out.
pub(crate) struct Shown<W>(W);

/// The program's output.
pub(crate) fn stdout() -> Shown<StdoutLock<'static>> {
    Shown(io::stdout().lock())
}

/// The program's complaints.
pub(crate) fn stderr() -> Shown<StderrLock<'static>> {
    Shown(io::stderr().lock())
}

impl<W: Write> Write for Shown<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // Whole texts are written at a time; what is none is no business of a terminal either.
        let text = String::from_utf8_lossy(bytes);
        self.0.write_all(visible(&text).as_bytes())?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

/// How a command ended that has something to tell.
pub(crate) fn told(ended: Outcome, tell: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Outcome {
    let mut out = stdout();
    let done = tell(&mut out).and_then(|()| out.flush());
    super::streamed(done.map(|()| ended), &mut stderr())
}
