//! Slips for people at a terminal.
//!
//! ```text
//! content/rowan.md:42:27  figure-disagrees (stops publishing)
//!   operating pressure is 128 psi, this sentence says 182 psi
//!     The operating pressure is 182 psi (8.83 bar).
//!                               ‾‾‾‾‾‾‾
//!   works out as  128 psi, from "Rowan service card"
//!   likely slip   digits swapped
//!   write         128 psi
//! ```

use super::{Severity, Slip};
use crate::text::{Source, Span, acts, visible};
use std::fmt::Write as _;

/// Styles for the parts of a slip; [`Paint::plain`] for pipes and tests.
#[derive(Debug, Clone, Copy)]
pub struct Paint {
    /// Place and fault name of a slip that stops.
    pub(crate) stop: anstyle::Style,
    /// Place and fault name of the others.
    pub(crate) mark: anstyle::Style,
    pub(crate) under: anstyle::Style,
    /// The words in the left column.
    pub(crate) dim: anstyle::Style,
}

impl Paint {
    /// No colour.
    #[must_use]
    pub fn plain() -> Paint {
        let none = anstyle::Style::new();
        Paint { stop: none, mark: none, under: none, dim: none }
    }

    /// Colour; whether it reaches the terminal is for the stream to decide.
    pub(crate) fn coloured() -> Paint {
        use anstyle::AnsiColor::{Cyan, Magenta};
        Paint {
            stop: anstyle::Style::new().bold().fg_color(Some(Magenta.into())),
            mark: anstyle::Style::new().bold().fg_color(Some(Cyan.into())),
            under: anstyle::Style::new().fg_color(Some(Magenta.into())),
            dim: anstyle::Style::new().dimmed(),
        }
    }
}

const WIDEST_EXCERPT: usize = 96;

/// The whole text of one slip, ending in a line break.
#[must_use]
pub fn render(slip: &Slip, paint: Paint) -> String {
    let mut out = String::new();
    let source = &slip.spot.source;
    let place = source.place(slip.spot.span.start);
    let head = if slip.severity == Severity::Stop { paint.stop } else { paint.mark };
    let effect = match slip.severity {
        Severity::Stop => "stops publishing",
        Severity::Mark => "published with a mark",
        Severity::Note => "for your information",
    };
    let _ = writeln!(
        out,
        "{head}{}:{}:{}  {}{head:#} ({effect})",
        visible(&source.name),
        place.line,
        place.column,
        slip.code
    );
    let _ = writeln!(out, "  {}", visible(&slip.message));
    excerpt(&mut out, source, slip.spot.span, paint);
    let mut row = |name: &str, text: &str| {
        let dim = paint.dim;
        let _ = writeln!(out, "  {dim}{name:<13}{dim:#} {}", visible(text));
    };
    if let Some(text) = &slip.works_out {
        row("works out as", text);
    }
    if let Some(text) = &slip.likely {
        row("likely slip", text);
    }
    for label in &slip.labels {
        let at = label.spot.source.place(label.spot.span.start);
        let file = &label.spot.source.name;
        row("see also", &format!("{file}:{}:{}  {}", at.line, at.column, label.text));
    }
    for note in &slip.notes {
        row("because", note);
    }
    for help in &slip.helps {
        row(if help.replacement.is_some() { "write" } else { "to do" }, &help.text);
    }
    out
}

/// The line around the span, shortened to the terminal, with the span underlined.
fn excerpt(out: &mut String, source: &Source, span: Span, paint: Paint) {
    let line = source.line_span(span.start);
    // One sign for each that acts, so that the line below stays under its words.
    let text: String = source
        .slice(line)
        .chars()
        .map(|c| {
            if c == '\t' {
                ' '
            } else if acts(c) {
                char::REPLACEMENT_CHARACTER
            } else {
                c
            }
        })
        .collect();
    if text.trim().is_empty() {
        return;
    }
    let chars: Vec<char> = text.chars().collect();
    let first = source.slice(Span::new(line.start, span.start)).chars().count();
    let covered = source.slice(Span::new(span.start, span.end.min(line.end))).chars().count();
    let from = if WIDEST_EXCERPT < first + covered + 12 { first.saturating_sub(48) } else { 0 };
    let to = chars.len().min(from + WIDEST_EXCERPT);
    let lead = if 0 < from { "… " } else { "" };
    let tail = if to < chars.len() { " …" } else { "" };
    let shown: String = chars.get(from..to).unwrap_or_default().iter().collect();
    let indent = first - from + lead.chars().count();
    let length = covered.max(1).min((to - from).saturating_sub(first - from).max(1));
    let under = paint.under;
    let _ = writeln!(out, "    {lead}{shown}{tail}");
    let _ = writeln!(out, "    {}{under}{}{under:#}", " ".repeat(indent), "‾".repeat(length));
}

/// The closing line: how many slips there are and what they do.
#[must_use]
pub fn summary(slips: &[Slip]) -> String {
    let count = |severity| slips.iter().filter(|slip| slip.severity == severity).count();
    let (stops, marks) = (count(Severity::Stop), count(Severity::Mark));
    match (stops, marks) {
        (0, 0) => "no slips".to_owned(),
        (0, marks) => format!("{marks} published with a mark, none stops publishing"),
        (stops, 0) => format!("{stops} stopping publication"),
        (stops, marks) => format!("{stops} stopping publication, {marks} more would carry a mark"),
    }
}
