//! What the text between two neighbouring numbers says of them.
//!
//! Only short, known forms count; anything else leaves the two numbers apart.

use super::pieces::NumberPiece;
use super::words::{blank, phrase_before};

/// How two neighbouring numbers belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Glue {
    /// Not at all.
    Apart,
    /// The second is the ± of the first.
    PlusMinus,
    /// Two ends: dash, "to", "up to", or "and" after "between".
    Range,
    /// Members of a list: "and", "or", or a comma with one of them.
    And,
    /// Members of a list that goes on: a comma alone.
    Comma,
    /// Measures of one thing: `12 × 1.5 mm`.
    By,
}

/// Longest text that can glue two numbers.
const LONGEST: usize = 24;

/// The glue between two pieces, the first of which ends with its unit.
pub(super) fn between(text: &str, first: &NumberPiece, second: &NumberPiece) -> Glue {
    let Some(gap) = text.get(first.end..second.start) else { return Glue::Apart };
    // A sign of the second may be the dash of a range: "105 -110".
    if gap.is_empty() || LONGEST < gap.len() {
        return Glue::Apart;
    }
    let mut folded = String::with_capacity(gap.len());
    let bytes = gap.as_bytes();
    let (mut at, mut breaks) = (0, 0);
    while at < gap.len() {
        if let Some(length) = blank(bytes, at) {
            breaks += usize::from(bytes[at] == b'\n');
            if !folded.ends_with(' ') {
                folded.push(' ');
            }
            at += length;
        } else {
            let Some(c) = gap[at..].chars().next() else { break };
            folded.push(c.to_ascii_lowercase());
            at += c.len_utf8();
        }
    }
    if 1 < breaks {
        return Glue::Apart;
    }
    match folded.as_str() {
        "±" | " ± " | " ±" | "± " | " +/- " | " +/-" | "+/-" | " +/\u{2212} " | " +- "
        | " +/\u{2212}" | " plus or minus " | " plus/minus " | " plus-or-minus "
        | ", plus or minus " | " give or take " | ", give or take " => Glue::PlusMinus,
        "-" | "–" | "\u{2010}" | "\u{2011}" | "\u{2212}" | "—" | " - " | " – " | " -" | "…"
        | "..." | " … " | ".." | " to " | ". to " | "-to-" | " up to " | " through " | "~" => {
            Glue::Range
        }
        " and " if phrase_before(text, first.start, "between").is_some() => Glue::Range,
        " and " | " or " | ", and " | ", or " | " & " | " and/or " => Glue::And,
        ", " | " / " | "/" => Glue::Comma,
        " × " | "×" | " x " | " by " => Glue::By,
        _ => Glue::Apart,
    }
}
