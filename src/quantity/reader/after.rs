//! What follows a number: a unit, a ratio sign, a counted noun; or a unit that is not listed.
//!
//! A unit may be glued on (`135psi`), stand behind blanks (`135 psi`, also over a line break) or
//! behind a hyphen (`12-mm`). It is looked up in the closed table; here is decided only whether
//! the text means it.

use super::compound::{self, Joined};
use super::inch::{self, Inch};
use super::words::{blank, next_word, one_of, phrase_after, skip_blanks, word_at};
use super::{ReadOptions, frames, never, nouns, ratio, spelled, unread};
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
    pub(super) doubt: Option<UnitDoubt>,
}

/// What cannot be decided here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum UnitDoubt {
    /// "in" is the unit or the preposition; the span of "in".
    Inch(Span),
    /// A glued unit that the table does not have; its span.
    Unlisted(Span),
    /// Letters behind a blank that are neither a unit nor a word; their span.
    Unread(Span),
    /// Feet or frames per second; the span of "fps".
    Fps(Span),
}

/// Where the number stands and what is known about its surroundings.
#[derive(Debug, Clone, Copy)]
pub(super) struct UnitPlace<'a> {
    /// The whole text.
    pub(super) text: &'a str,
    /// First byte of the number, sign included.
    pub(super) start: usize,
    /// One past the number.
    pub(super) end: usize,
    /// Whether a straight or curly quotation is open, so that `"` would close it.
    pub(super) quoted: bool,
    /// How the text is to be read.
    pub(super) options: &'a ReadOptions,
}

const NOTHING: After = After::Nothing;

/// Looks behind a number.
pub(super) fn look(place: UnitPlace<'_>, number: &Number) -> Seen {
    let UnitPlace { text, start, end, .. } = place;
    let nothing = Seen { after: NOTHING, end, doubt: None };
    if let Some(seen) = unit_after(place, number).or_else(|| thousandths(place, number)) {
        return seen;
    }
    if let Some((fps, unit)) = frames::meant(text, start, unit_start(place, number).0) {
        return match unit {
            Some(unit) => Seen { after: After::Unit(unit, None), end: fps.end, doubt: None },
            None => Seen { doubt: Some(UnitDoubt::Fps(fps)), ..nothing },
        };
    }
    if let Some((unit, end)) = compound::rate(text, end) {
        return Seen { after: After::Unit(unit, None), end, doubt: None };
    }
    if let Some(end) = ratio::end(text, start, end, number) {
        return Seen { after: After::Ratio, end, doubt: None };
    }
    if is_countable(place, number)
        && !never::counts_nothing(text, start)
        && let Some(noun) = nouns::counted(text, end, number.mantissa == 1)
    {
        return Seen { after: After::Count(noun), end, doubt: None };
    }
    let doubt = unlisted(text, end).map(UnitDoubt::Unlisted);
    let doubt = doubt.or_else(|| unread::behind(text, start, end).map(UnitDoubt::Unread));
    Seen { doubt, ..nothing }
}

/// "120 thousandths", with the inch left out or not.
fn thousandths(UnitPlace { text, end, .. }: UnitPlace<'_>, number: &Number) -> Option<Seen> {
    let thou = units::table().by_code("[mil_i]").filter(|_| number.fraction.is_none())?;
    let behind = phrase_after(text, end, "thousandths")?;
    let inch = phrase_after(text, behind, "of an inch");
    let is_of_another = inch.is_none() && phrase_after(text, behind, "of").is_some();
    let end = inch.unwrap_or(behind);
    (!is_of_another).then_some(Seen { after: After::Unit(thou, None), end, doubt: None })
}

fn is_countable(place: UnitPlace<'_>, number: &Number) -> bool {
    let plain = number.exponent == 0 && number.fraction.is_none() && !number.negative;
    plain
        && 0 < number.mantissa
        && number.mantissa < 1_000_000
        && !never::year(place.text, place.start, number)
}

/// Where a unit after the number would begin, and whether nothing but a hyphen lies between.
fn unit_start(place: UnitPlace<'_>, number: &Number) -> (usize, Gap) {
    let UnitPlace { text, end, .. } = place;
    let bytes = text.as_bytes();
    // "Point eight of a bar" is a part of one; "point four a minute" is so much in each.
    let is_decimal = number.spelled && number.exponent < 0;
    let is_part = number.fraction.is_some() || phrase_after(text, end, "of").is_some();
    if is_decimal && !is_part {
        return (skip_blanks(bytes, end), Gap::Blank);
    }
    if number.spelled && (number.fraction.is_some() || is_decimal) {
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

fn unit_after(place: UnitPlace<'_>, number: &Number) -> Option<Seen> {
    let UnitPlace { text, start, end, .. } = place;
    let (unit_start, gap) = unit_start(place, number);
    let first = *text.as_bytes().get(unit_start)?;
    // No unit begins with these, and they are what mostly follows a number in prose.
    if matches!(first, b')' | b',' | b';' | b':' | b'(' | b'0'..=b'9' | b'\n') {
        return None;
    }
    if place.options.spoken
        && let Some((unit, end)) = in_letters(text, unit_start)
    {
        return Some(Seen { after: After::Unit(unit, None), end, doubt: None });
    }
    let (unit, reference, length) = units::match_unit(&text[unit_start..])?;
    let unit_end = unit_start + length;
    let spelling = &text[unit_start..unit_end];
    let nothing = Some(Seen { after: NOTHING, end, doubt: None });
    let unit = match place.options.mil {
        Some(meant) if one_of(spelling, &["mil", "mils"]) => meant,
        _ => unit,
    };
    if number.spelled && is_loose(place, number, spelling, unit_start) {
        return nothing;
    }
    if unit.dimension == Dimension::LENGTH && never::named_after(text, unit_end) {
        return nothing;
    }
    match spelling {
        "in" | "in." => match is_inch(place, number, unit_start, gap) {
            Inch::Unit => {}
            Inch::Preposition => return nothing,
            Inch::Open => {
                let doubt = Some(UnitDoubt::Inch(Span::new(unit_start, unit_start + 2)));
                return Some(Seen { after: NOTHING, end, doubt });
            }
        },
        "\"" | "\u{201d}" if gap != Gap::None || place.quoted => return nothing,
        "\u{2033}" if gap == Gap::Hyphen => return nothing,
        _ => {}
    }
    let weak = is_weak(spelling) && !(spelling == "in" && inch::is_size(text, number, unit_end));
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
                let doubt = Some(UnitDoubt::Unlisted(Span::new(unit_start, joined_end)));
                Seen { after: NOTHING, end: place.end, doubt }
            }
        });
    }
    // A full stop that ends the sentence is not part of the unit.
    let full_stop = spelling.ends_with('.') && ends_sentence(text, unit_end);
    let unit_end = if full_stop { unit_end - 1 } else { unit_end };
    Some(Seen { after: After::Unit(unit, reference), end: unit_end, doubt: None })
}

/// Decides on the "in" at `at`; where neither reading is certain but the number is no measure, it
/// is the preposition.
fn is_inch(place: UnitPlace<'_>, number: &Number, at: usize, gap: Gap) -> Inch {
    let UnitPlace { text, start, .. } = place;
    let is_pointed = at + 3 != text.len()
        && units::match_unit(&text[at..]).is_some_and(|(_, _, length)| length == 3);
    if is_pointed {
        return Inch::Unit;
    }
    match inch::judge(text, number, gap != Gap::Blank, at + 2) {
        // `-113 in nitrile` is a ring.
        Inch::Open
            if number.negative
                || never::labelled(text, start)
                || never::year(text, start, number) =>
        {
            Inch::Preposition
        }
        judged => judged,
    }
}

/// Units that are spoken letter by letter.
const LETTERS: &[(&str, &str)] =
    &[("p s i", "[psi]"), ("p.s.i.", "[psi]"), ("r p m", "{rev}/min"), ("k p a", "kPa")];

fn in_letters(text: &str, at: usize) -> Option<(&'static Unit, usize)> {
    LETTERS.iter().find_map(|(letters, code)| {
        let end = phrase_after(text, at, letters)?;
        Some((units::table().by_code(code)?, end))
    })
}

/// Whether a number in words and a unit behind it are no figure: "one bar of soap", "on two feet",
/// "a third bar", "two s".
fn is_loose(place: UnitPlace<'_>, number: &Number, spelling: &str, unit_start: usize) -> bool {
    let UnitPlace { text, start, end, options, .. } = place;
    let short = spelling.chars().count() < 2 && !matches!(spelling, "%" | "°");
    let one = number.mantissa == 1 && number.fraction.is_none() && number.exponent == 0;
    let common =
        ["second", "minute", "day", "foot", "bar", "mil", "pound", "yard", "turn", "degree"];
    let single = one && !options.spoken && (spelling.len() < 4 || one_of(spelling, &common));
    let (before, _) = super::words::word_before(text, start);
    let stands = one_of(spelling, &["feet"])
        && one_of(before, &["on", "its", "his", "her", "their", "both", "all", "my", "these"]);
    // An ordinal: "a third bar"; but "a third of a bar", "half a bar", "two thirds of an inch".
    let part =
        number.mantissa == 0 && number.fraction.is_some_and(|(n, d)| n == 1 && 2 < d && d != 4);
    let ordinal = part && unit_start == skip_blanks(text.as_bytes(), end);
    short && !options.spoken || single || stands || ordinal
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
fn is_name(place: UnitPlace<'_>, number: &Number, spelling: &str, gap: Gap) -> bool {
    let UnitPlace { text, start, .. } = place;
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

/// Measures that are no business of launch engines but plainly units: a writer who glues one of
/// them to a number meant a figure.
#[rustfmt::skip]
const FOREIGN: &[&str] = &[
    "\u{b5}V", "uV", "M\u{3a9}", "M\u{2126}", "nF", "pF", "\u{b5}F", "uF", "mH", "\u{b5}H", "eV",
    "keV", "MeV", "mT", "lx", "Nmm2", "kPsi", "mPa",
];

/// Letters glued to a number that are nobody's unit and nobody's mistake.
#[rustfmt::skip]
const INNOCENT: &[&str] = &[
    "ghz", "mhz", "thz", "bit", "bits", "byte", "bytes", "dpi", "ppi", "fold", "ish", "mbps",
    "gbps", "kbps", "nth", "rds", "ths", "pcs", "pin", "way", "ply", "odd", "plus", "pts",
    "mah", "mph", "pts", "bis", "ter", "cal", "ers",
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
