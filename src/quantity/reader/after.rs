//! What follows a number: a unit, a ratio sign, a counted noun; or a unit that is not listed.
//!
//! A unit may be glued on (`135psi`), stand behind blanks (`135 psi`, also over a line break) or
//! behind a hyphen (`12-mm`). It is looked up in the closed table; here is decided only whether
//! the text means it.

use super::compound::{self, Joined};
use super::inch::{self, Inch};
use super::words::{blank, is_word_byte, next_word, one_of, phrase_after, skip_blanks, word_at};
use super::{never, nouns, spelled, unread};
use crate::quantity::{Dimension, Number, Reference, Unit, units};
use crate::text::Span;

/// What follows a number.
#[derive(Debug, Clone, Copy)]
pub(super) enum After {
    /// Nothing that makes it a figure.
    Nothing,
    /// A unit, perhaps with what a pressure counts from.
    Unit(&'static Unit, Option<Reference>),
    /// A sign or word of ratio.
    Ratio,
    /// A counted noun.
    Count(Span),
}

/// Outcome of looking: what follows, and where it ends (for a count: where the number ends).
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    /// What.
    pub(super) after: After,
    /// One past its last byte.
    pub(super) end: usize,
    /// A doubt that must be told.
    pub(super) doubt: Option<Doubt>,
}

/// What cannot be decided here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Doubt {
    /// "in" is the unit or the preposition; the span of "in".
    Inch(Span),
    /// A glued unit that the table does not have; its span.
    Unlisted(Span),
    /// Letters behind a blank that are neither a unit nor a word; their span.
    Unread(Span),
}

/// Where the number stands and what is known about its surroundings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place<'a> {
    /// The whole text.
    pub(super) text: &'a str,
    /// First byte of the number, sign included.
    pub(super) start: usize,
    /// One past the number.
    pub(super) end: usize,
    /// Whether a straight or curly quotation is open, so that `"` would close it.
    pub(super) quoted: bool,
}

const NOTHING: After = After::Nothing;

/// Looks behind a number.
pub(super) fn look(place: Place<'_>, number: &Number) -> Seen {
    let Place { text, start, end, .. } = place;
    let nothing = Seen { after: NOTHING, end, doubt: None };
    if let Some(seen) = unit_after(place, number) {
        return seen;
    }
    if let Some((unit, end)) = compound::rate(text, end) {
        return Seen { after: After::Unit(unit, None), end, doubt: None };
    }
    if let Some(end) = ratio_end(text, start, end, number) {
        return Seen { after: After::Ratio, end, doubt: None };
    }
    if is_countable(number)
        && !never::counts_nothing(text, start)
        && let Some(noun) = nouns::counted(text, end, number.mantissa == 1)
    {
        return Seen { after: After::Count(noun), end, doubt: None };
    }
    let doubt = unlisted(text, end).map(Doubt::Unlisted);
    let doubt = doubt.or_else(|| unread::behind(text, start, end).map(Doubt::Unread));
    Seen { doubt, ..nothing }
}

fn is_countable(number: &Number) -> bool {
    let plain = number.exponent == 0 && number.fraction.is_none() && !number.negative;
    plain && 0 < number.mantissa && number.mantissa < 1_000_000 && !never::year(number)
}

/// Where a unit after the number would begin, and whether nothing but a hyphen lies between.
fn unit_start(place: Place<'_>, number: &Number) -> (usize, Gap) {
    let Place { text, end, .. } = place;
    let bytes = text.as_bytes();
    if number.spelled && number.fraction.is_some() {
        let filled = spelled::filler_end(text, end);
        return (skip_blanks(bytes, filled), Gap::Blank);
    }
    match bytes.get(end) {
        Some(b'-') => (end + 1, Gap::Hyphen),
        Some(0xE2) if text[end..].starts_with('\u{2011}') => (end + 3, Gap::Hyphen),
        _ => {
            let start = skip_blanks(bytes, end);
            // "3/4 of an inch".
            let filled =
                if number.fraction.is_some() { spelled::filler_end(text, end) } else { end };
            if filled != end {
                return (skip_blanks(bytes, filled), Gap::Blank);
            }
            (start, if start == end { Gap::None } else { Gap::Blank })
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Gap {
    None,
    Blank,
    Hyphen,
}

fn unit_after(place: Place<'_>, number: &Number) -> Option<Seen> {
    let Place { text, start, end, .. } = place;
    let (unit_start, gap) = unit_start(place, number);
    let first = *text.as_bytes().get(unit_start)?;
    // No unit begins with these, and they are what mostly follows a number in prose.
    if matches!(first, b')' | b',' | b';' | b':' | b'(' | b'0'..=b'9' | b'\n') {
        return None;
    }
    let (unit, reference, length) = units::match_unit(&text[unit_start..])?;
    let unit_end = unit_start + length;
    let spelling = &text[unit_start..unit_end];
    let nothing = Some(Seen { after: NOTHING, end, doubt: None });
    if unit.dimension == Dimension::LENGTH && never::named_after(text, unit_end) {
        return nothing;
    }
    match spelling {
        "in" | "in." => {
            let in_end = unit_start + 2;
            let follows_full_stop = spelling == "in." && in_end + 1 == text.len();
            let judged = if spelling == "in." && !follows_full_stop {
                Inch::Unit
            } else {
                inch::judge(text, number, gap != Gap::Blank, in_end)
            };
            match judged {
                Inch::Unit => {}
                Inch::Preposition => return nothing,
                // `-113 in nitrile` is a ring.
                Inch::Open if number.negative => return nothing,
                Inch::Open if never::labelled(text, start) || never::year(number) => {
                    return nothing;
                }
                Inch::Open => {
                    let doubt = Some(Doubt::Inch(Span::new(unit_start, in_end)));
                    return Some(Seen { after: NOTHING, end, doubt });
                }
            }
        }
        "\"" | "\u{201d}" if gap != Gap::None || place.quoted => return nothing,
        "\u{2033}" if gap == Gap::Hyphen => return nothing,
        _ => {}
    }
    let weak = is_weak(spelling);
    if weak && (never::labelled(text, start) || is_name(place, number, spelling, gap)) {
        return nothing;
    }
    if gap == Gap::Hyphen && !hyphen_joins(text, spelling, unit_end) {
        return nothing;
    }
    if let Some((joined, joined_end)) = compound::behind(text, unit_end, unit) {
        return Some(match joined {
            Joined::Whole(whole) => {
                Seen { after: After::Unit(whole, None), end: joined_end, doubt: None }
            }
            Joined::Unlisted => {
                let doubt = Some(Doubt::Unlisted(Span::new(unit_start, joined_end)));
                Seen { after: NOTHING, end: place.end, doubt }
            }
        });
    }
    // A full stop that ends the sentence is not part of the unit.
    let full_stop = spelling.ends_with('.') && ends_sentence(text, unit_end);
    let unit_end = if full_stop { unit_end - 1 } else { unit_end };
    Some(Seen { after: After::Unit(unit, reference), end: unit_end, doubt: None })
}

/// Whether a unit behind a hyphen is meant as one: `12-mm hole`, `75-g ball`, `2.0-m-high`.
fn hyphen_joins(text: &str, spelling: &str, unit_end: usize) -> bool {
    if text.as_bytes().get(unit_end) == Some(&b'-') {
        let measured = [
            "long", "wide", "thick", "high", "deep", "tall", "diameter", "radius", "bore",
            "stroke", "travel", "square",
        ];
        return one_of(word_at(text, unit_end + 1), &measured);
    }
    let (word, _) = next_word(text, unit_end);
    let noun = word.bytes().next().is_some_and(|b| b.is_ascii_lowercase());
    2 <= spelling.len() || (noun && matches!(spelling, "m" | "g" | "N" | "W" | "J" | "L" | "l"))
}

/// Whether the full stop before `end` ends a sentence: nothing, or a capital, comes behind it.
fn ends_sentence(text: &str, end: usize) -> bool {
    let (word, start) = next_word(text, end);
    if word.is_empty() {
        return start == text.len()
            || blank(text.as_bytes(), end).is_none() && start == end
            || text.as_bytes().get(end) == Some(&b'\n');
    }
    word.as_bytes()[0].is_ascii_uppercase()
}

/// Units of one letter, and words that also mean something else.
fn is_weak(spelling: &str) -> bool {
    let single = spelling.chars().count() == 1 && spelling.as_bytes()[0].is_ascii_alphabetic();
    let word = one_of(
        spelling,
        &["in", "in.", "second", "minute", "day", "foot", "mil", "min", "deg", "mi", "no", "gal"],
    );
    single || word
}

/// Numbers with a letter that is a name, not a unit.
fn is_name(place: Place<'_>, number: &Number, spelling: &str, gap: Gap) -> bool {
    let Place { text, start, .. } = place;
    let whole = number.exponent == 0 && number.fraction.is_none();
    match (gap, spelling) {
        (Gap::None, "s") => never::decade(text, start, number),
        (Gap::None, "L") => never::alloy_grade(number, spelling),
        (Gap::None, "d") => whole,
        // `196K` is a thousand of something.
        (Gap::None, "K") => whole,
        (_, "second" | "minute" | "day") => number.spelled && number.mantissa == 1,
        _ => false,
    }
}

/// Longest text that may be a ratio and nothing else, in bytes.
const LONGEST_ALONE: usize = 64;

/// Where a sign of ratio behind the number ends: `:1`, `×`, `x`, " times", " to 1".
fn ratio_end(text: &str, start: usize, end: usize, number: &Number) -> Option<usize> {
    let bytes = text.as_bytes();
    let rest = &text[end..];
    let one_ends = |at: usize| {
        let next = bytes.get(at + 1);
        let one = bytes.get(at) == Some(&b'1') && !next.is_some_and(|b| is_word_byte(*b));
        let decimal = next == Some(&b'.') && bytes.get(at + 2).is_some_and(u8::is_ascii_digit);
        (one && !decimal && next != Some(&b':')).then_some(at + 1)
    };
    let bare = |sign_end: usize| {
        let then = skip_blanks(bytes, sign_end);
        let then = if bytes.get(then) == Some(&b'.') { then + 1 } else { then };
        !bytes.get(then).is_some_and(u8::is_ascii_digit)
    };
    if bytes.get(end) == Some(&b':') {
        return one_ends(end + 1);
    }
    if rest.starts_with('×') || rest.starts_with(" ×") {
        let sign_end = end + rest.find('×')? + '×'.len_utf8();
        return (bare(sign_end) && (number.exponent < 0 || !is_part_list(text, sign_end)))
            .then_some(sign_end);
    }
    if bytes.get(end) == Some(&b'x') && !bytes.get(end + 1).is_some_and(|b| is_word_byte(*b)) {
        let comparing = number.exponent < 0 || compares(text, end + 1);
        return (comparing && bare(end + 1)).then_some(end + 1);
    }
    if let Some(times) = phrase_after(text, end, "times") {
        let broken = number.exponent < 0 || number.fraction.is_some();
        // A text of its own: "three times", "about 3 times".
        let alone = text.len() <= LONGEST_ALONE
            && text[times..].trim().is_empty()
            && text[..start].split_whitespace().count() < 3;
        return (bare(times) && (broken || alone || compares(text, times))).then_some(times);
    }
    let cued = ["ratio of", "ratio is", "ratio was", "ratio:", "factor of", "ratio"]
        .iter()
        .any(|cue| super::words::phrase_before(text, start, cue).is_some());
    if !cued {
        return None;
    }
    let to_one = phrase_after(text, end, "to").map(|to| skip_blanks(bytes, to)).and_then(one_ends);
    to_one.or_else(|| {
        let free = bytes.get(end).is_none_or(|b| !is_word_byte(*b) && *b != b'/' && *b != b':');
        free.then_some(end)
    })
}

/// `4× hole`: a parts list, not a ratio.
fn is_part_list(text: &str, at: usize) -> bool {
    let (word, start) = next_word(text, at);
    start != at && !word.is_empty() && !compares(text, at)
}

/// Whether a comparison follows: "the area", "as large", "larger", "more".
fn compares(text: &str, at: usize) -> bool {
    let (word, _) = next_word(text, at);
    one_of(word, &["the", "as", "more", "less", "that", "its", "ambient", "atmospheric"])
        || (5 <= word.len() && word.ends_with("er") && !one_of(word, &["after", "under", "over"]))
}

/// Measures that are no business of launch engines but plainly units: a writer who glues one of
/// them to a number meant a figure.
#[rustfmt::skip]
const FOREIGN: &[&str] = &[
    "mV", "kV", "\u{b5}V", "uV", "mA", "\u{b5}A", "uA", "\u{3a9}", "\u{2126}", "k\u{3a9}",
    "k\u{2126}", "M\u{3a9}", "M\u{2126}", "nF", "pF", "\u{b5}F", "uF", "mH", "\u{b5}H", "mAh",
    "Ah", "eV", "keV", "MeV", "mT", "dB", "lx", "lm", "Nmm2", "kPsi", "mPa",
];

/// Letters glued to a number that are nobody's unit and nobody's mistake.
#[rustfmt::skip]
const INNOCENT: &[&str] = &[
    "ghz", "mhz", "thz", "bit", "bits", "byte", "bytes", "dpi", "ppi", "fold", "ish", "mbps",
    "gbps", "kbps", "nth", "rds", "ths", "pcs", "pin", "way", "ply", "odd", "plus", "pts",
    "mah", "fps", "mph", "pts", "bis", "ter", "cal", "ers",
];

/// A glued unit that the table does not have.
fn unlisted(text: &str, end: usize) -> Option<Span> {
    let rest = &text[end..];
    if !rest.starts_with(|c: char| c.is_alphabetic()) {
        return None;
    }
    let length: usize =
        rest.chars().take(12).take_while(|c| c.is_alphabetic()).map(char::len_utf8).sum();
    let word = &rest[..length];
    let follows = rest[length..].chars().next();
    if follows.is_some_and(|c| c.is_alphanumeric() || matches!(c, '_' | '-')) {
        return None;
    }
    let span = Span::new(end, end + length);
    if FOREIGN.contains(&word) {
        return Some(span);
    }
    if word_at(text, end).len() < 3 || one_of(word, INNOCENT) {
        return None;
    }
    unread::nearest_unit(word).map(|_| span)
}
