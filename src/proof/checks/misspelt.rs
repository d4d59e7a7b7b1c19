//! Figures that a slip of the hand has hidden: `128 pis` or `29. J` where the sentence names a
//! pressure or an energy.
//!
//! The figure reader passes over a number that no unit follows, as most numbers of a text are no
//! figures. Where the words name a figure, a word that is one slip away from a unit of that
//! figure is no accident.

use crate::folio::cues::Cue;
use crate::proof::passage::Passage;
use crate::proof::prose::PageContext;
use crate::quantity::units::{match_unit, table};
use crate::quantity::{Dimension, Unit};
use crate::slip::Slip;
use crate::text::{Span, SpanSet, edit_distance};

/// Longest word looked at, in characters: the longest unit in common use has ten letters.
const LONGEST: usize = 12;

/// A number that is no figure, with the word behind it.
#[derive(Debug, Clone, Copy)]
pub(in crate::proof) struct Suspect {
    number: Span,
    word: Span,
    /// Whether the number ends in a point, and the word is a unit.
    is_pointed: bool,
}

/// Numbers of `text[sentence]` with a word behind them that is no unit, or that is one behind a
/// point. `taken` are the spans that are accounted for.
pub(in crate::proof) fn suspects(text: &str, sentence: Span, taken: &[Span]) -> Vec<Suspect> {
    let mut found = Vec::new();
    let taken: SpanSet = taken.iter().copied().collect();
    let bytes = text.as_bytes();
    let mut at = sentence.start;
    while at < sentence.end {
        if !bytes[at].is_ascii_digit() {
            at += 1;
            continue;
        }
        let start = at;
        while at < sentence.end && (bytes[at].is_ascii_digit() || matches!(bytes[at], b'.' | b','))
        {
            at += 1;
        }
        let joined = text[..start].ends_with(|c: char| c.is_alphanumeric() || "-_#/.".contains(c));
        let number = Span::new(start, at);
        let is_pointed = text[start..at].ends_with('.');
        let word = match is_pointed {
            true => unit_behind(text, at, sentence.end),
            false => word_behind(text, at, sentence.end),
        };
        if !joined && let Some(word) = word {
            let whole = Span::new(start, word.end);
            if !taken.overlaps(whole) {
                found.push(Suspect { number, word, is_pointed });
            }
        }
    }
    found
}

/// A unit behind a point, or the "to" of a range.
fn unit_behind(text: &str, at: usize, end: usize) -> Option<Span> {
    let start = at + text[at..end].chars().next().filter(|c| c.is_whitespace())?.len_utf8();
    let rest = &text[start..end];
    if rest.strip_prefix("to ").is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit())) {
        return Some(Span::new(start, start + 2));
    }
    let (_, _, length) = match_unit(rest)?;
    let ends = !rest[length..].starts_with(char::is_alphanumeric);
    ends.then(|| Span::new(start, start + length))
}

fn word_behind(text: &str, at: usize, end: usize) -> Option<Span> {
    let rest = &text[at..end];
    let start = at + rest.chars().next().filter(|c| c.is_whitespace()).map_or(0, char::len_utf8);
    let rest = &text[start..end];
    let letters: usize = rest.chars().take_while(|c| c.is_alphabetic()).map(char::len_utf8).sum();
    let word = &rest[..letters];
    let ends = !rest[letters..].starts_with(|c: char| c.is_alphanumeric() || "-_'’".contains(c));
    let is_unit = match_unit(word).is_some_and(|(_, _, length)| length == word.len());
    let fits = (2..=LONGEST).contains(&word.chars().count());
    (ends && fits && !is_unit).then(|| Span::new(start, start + letters))
}

/// Complains of suspects whose word is one slip away from a unit of a figure that the sentence
/// names.
pub(in crate::proof) fn judge(
    passage: &Passage<'_>,
    suspects: &[Suspect],
    cues: &[Cue],
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) {
    let ledger = &context.folio.ledger;
    let named = cues.iter().filter_map(|cue| ledger.nominal(cue.sheet, cue.entry));
    let dimensions: Vec<Dimension> = named.map(|value| value.quantity.dimension).collect();
    for Suspect { number, word, is_pointed } in suspects {
        let written = &passage.text[word.start..word.end];
        if *is_pointed {
            let measures = |(unit, _, _): (&Unit, _, _)| dimensions.contains(&unit.dimension);
            let is_range = written == "to" && !dimensions.is_empty();
            let fits = is_range || match_unit(written).is_some_and(measures);
            slips.extend(fits.then(|| pointed(passage, Span::new(number.start, word.end))));
            continue;
        }
        let Some(near) = nearest_of(written, &dimensions) else { continue };
        let whole = Span::new(number.start, word.end);
        let message = format!("`{written}` is not a unit in the table");
        let slip = Slip::stop("unlisted-unit", passage.spot(whole), message);
        let number = &passage.text[number.start..number.end];
        slips.push(slip.write(format!("{number} {near}")));
    }
}

fn pointed(passage: &Passage<'_>, span: Span) -> Slip {
    let message = "this number ends in a point, so that a digit may be missing";
    Slip::stop("ambiguous-number", passage.spot(span), message)
        .help("write the digit behind the point, or leave the point out")
}

/// The unit of one of the dimensions that one slip turns into the word.
fn nearest_of(word: &str, dimensions: &[Dimension]) -> Option<&'static str> {
    let is_word = word.contains(|c: char| "aeiouy".contains(c.to_ascii_lowercase()));
    let letters = word.chars().count();
    let units = table().units().iter().filter(|unit| dimensions.contains(&unit.dimension));
    let mut spellings = units.flat_map(|unit| table().spellings_of(unit));
    spellings.find(|spelling| {
        let length = spelling.chars().count();
        let one_slip = edit_distance(word, spelling, 1) == Some(1);
        // "4 car" is no mistyped bar: a word that could be one must be the unit's own letters
        // in another order, or with one too many or too few.
        let same_letters = sorted(word) == sorted(spelling);
        let is_slip = if is_word {
            3 <= letters.min(length) && (same_letters || letters != length)
        } else {
            2 <= length
        };
        one_slip && is_slip && spelling.chars().all(char::is_alphabetic)
    })
}

fn sorted(word: &str) -> Vec<char> {
    let mut letters: Vec<char> = word.to_lowercase().chars().collect();
    letters.sort_unstable();
    letters
}
