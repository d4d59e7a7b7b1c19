//! The streams that people read: what a folio, a file name or an argument holds is shown on them
//! and never obeyed.

use super::CommandOutcome;
use crate::text::visible;
use std::io::{self, StderrLock, StdoutLock, Write};

/// A stream on which characters that would act are written out.
pub(crate) struct ShownText<W>(W);

/// The program's output.
pub(crate) fn stdout() -> ShownText<StdoutLock<'static>> {
    ShownText(io::stdout().lock())
}

/// The program's complaints.
pub(crate) fn stderr() -> ShownText<StderrLock<'static>> {
    ShownText(io::stderr().lock())
}

impl<W: Write> Write for ShownText<W> {
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
pub(crate) fn told(
    ended: CommandOutcome,
    tell: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> CommandOutcome {
    let mut out = stdout();
    let done = tell(&mut out).and_then(|()| out.flush());
    super::streamed(done.map(|()| ended), &mut stderr())
}
