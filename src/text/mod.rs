//! Source texts, byte spans and places in them.
//!
//! The lowest layer: it knows nothing of slips, figures or pages. A [`Source`] is one file (or one
//! piece of standard input) with its name as the reader of a message should see it; a [`Span`] is a
//! byte range in it; a [`Spot`] is a span together with its source.

pub(crate) mod calendar;
mod date;
mod distance;
mod html;
pub(crate) mod runs;
mod span_set;
mod visible;
mod walk;
mod wording;

pub use date::Date;
pub(crate) use distance::{edit_distance, nearest};
pub(crate) use html::{each_escaped, escape_into, escaped};
pub(crate) use span_set::SpanSet;
pub(crate) use visible::{acts, visible};
pub use walk::{WalkPiece, WalkStep, Walkthrough};
pub(crate) use wording::{capitalised, listed, once_each, proper_name};

use std::sync::{Arc, OnceLock};

/// One text that a message can point into. Its name is relative to the folio, with `/` as the
/// separator on every platform.
#[derive(Debug)]
pub struct Source {
    /// Name shown in messages.
    pub name: String,
    /// The whole text, as read.
    pub text: String,
    line_starts: OnceLock<Vec<usize>>,
}

/// A half-open byte range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// The span `start..end`; an `end` before `start` gives the empty span at `start`.
    #[must_use]
    pub fn new(start: usize, end: usize) -> Span {
        Span { start, end: end.max(start) }
    }

    /// The same span moved right by `by` bytes.
    pub(crate) fn shifted(self, by: usize) -> Span {
        Span { start: self.start + by, end: self.end + by }
    }

    /// Whether `other` lies wholly inside.
    pub(crate) fn contains(self, other: Span) -> bool {
        self.start <= other.start && other.end <= self.end
    }

    /// Whether the two share at least one byte.
    #[must_use]
    pub fn overlaps(self, other: Span) -> bool {
        self.start < other.end && other.start < self.end
    }
}

impl From<std::ops::Range<usize>> for Span {
    fn from(range: std::ops::Range<usize>) -> Span {
        Span::new(range.start, range.end)
    }
}

/// Line and column as people count them: from one, columns in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1, in characters (not bytes).
    pub column: usize,
}

impl Source {
    /// Wraps a text under the name that messages will show.
    #[must_use]
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Source> {
        Arc::new(Source { name: name.into(), text: text.into(), line_starts: OnceLock::new() })
    }

    fn line_starts(&self) -> &[usize] {
        self.line_starts.get_or_init(|| {
            let after_breaks = self.text.bytes().enumerate().filter(|(_, b)| *b == b'\n');
            std::iter::once(0).chain(after_breaks.map(|(at, _)| at + 1)).collect()
        })
    }

    /// Place of a byte offset. Offsets past the end give the end; offsets inside a character give
    /// that character.
    #[must_use]
    pub fn place(&self, offset: usize) -> Place {
        let offset = self.floor_boundary(offset);
        let starts = self.line_starts();
        let line = starts.partition_point(|start| *start <= offset);
        let line_start = starts[line - 1];
        Place { line, column: self.text[line_start..offset].chars().count() + 1 }
    }

    /// Byte span of the line that holds `offset`, without its line break.
    #[must_use]
    pub fn line_span(&self, offset: usize) -> Span {
        let offset = self.floor_boundary(offset);
        let start = self.text[..offset].rfind('\n').map_or(0, |at| at + 1);
        let end = self.text[offset..].find('\n').map_or(self.text.len(), |at| offset + at);
        let end = if self.text[start..end].ends_with('\r') { end - 1 } else { end };
        Span::new(start, end.max(start))
    }

    /// Text of a span, cut back to character boundaries.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        let start = self.floor_boundary(span.start);
        let end = self.floor_boundary(span.end).max(start);
        &self.text[start..end]
    }

    fn floor_boundary(&self, offset: usize) -> usize {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        offset
    }
}

/// A span together with the text it lies in.
#[derive(Debug, Clone)]
pub struct Spot {
    /// The text.
    pub source: Arc<Source>,
    /// Where in it.
    pub span: Span,
}

impl Spot {
    /// A spot in `source`.
    pub(crate) fn new(source: &Arc<Source>, span: impl Into<Span>) -> Spot {
        Spot { source: Arc::clone(source), span: span.into() }
    }

    /// The text it covers.
    #[must_use]
    pub fn text(&self) -> &str {
        self.source.slice(self.span)
    }
}
/// Whether a text holds an ASCII digit: most paragraphs hold none.
pub(crate) fn holds_digit(text: &str) -> bool {
    // Looking at all of them without stopping is several times quicker.
    text.bytes().fold(false, |found, byte| found | byte.is_ascii_digit())
}
