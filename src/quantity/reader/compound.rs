//! Products and quotients of units behind a number: "19 metres a second", `31 bar-litres`,
//! `6.2 m s−1`, "40 bar per minute", "45 balls a minute".
//!
//! A unit is never cut short: what goes on behind a listed unit is read as a whole, as the listed
//! unit that it spells out or else as the product or quotient itself. What has no value, such as
//! a quotient of degrees Celsius, is told instead.

use super::nouns;
use super::words::{closes, next_word, one_of, phrase_after, skip_blanks, word_at};
use crate::quantity::{Dimension, Unit, units};

/// What goes on behind a unit.
#[derive(Debug, Clone, Copy)]
pub(super) enum Joined {
    /// The whole unit.
    Whole(&'static Unit),
    /// A whole that has no value.
    Unlisted,
}

/// How the next unit is joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sign {
    Times,
    Over,
}

/// Most units in one.
const MOST: usize = 4;

/// Reads on behind `unit`, which ends at `end`: the whole and where it ends, if anything follows.
pub(super) fn behind(text: &str, end: usize, unit: &'static Unit) -> Option<(Joined, usize)> {
    let (mut whole, mut at) = (Joined::Whole(unit), end);
    for _ in 1..MOST {
        let Some((sign, power, second, next)) = further(text, at, whole) else { break };
        whole = match whole {
            Joined::Whole(first) => {
                let exponent = if sign == Sign::Over { -power } else { power };
                units::joined(first, second, exponent).map_or(Joined::Unlisted, Joined::Whole)
            }
            Joined::Unlisted => Joined::Unlisted,
        };
        at = next;
    }
    (end < at).then_some((whole, at))
}

type Further = (Sign, i32, &'static Unit, usize);

/// The next unit, its power, and where it ends.
fn further(text: &str, at: usize, first: Joined) -> Option<Further> {
    let rest = &text[at..];
    match rest.chars().next()? {
        '/' => over(text, at + 1),
        c @ ('·' | '\u{22c5}') => powered(text, at + c.len_utf8(), Sign::Times),
        '-' => spelled_product(text, at + 1, first),
        _ if skip_blanks(text.as_bytes(), at) == at => None,
        _ => per(text, at)
            .or_else(|| negative_power(text, skip_blanks(text.as_bytes(), at)))
            .or_else(|| spelled_product(text, skip_blanks(text.as_bytes(), at), first)),
    }
}

/// A unit behind a stroke; `/shot` too, which counts.
fn over(text: &str, at: usize) -> Option<Further> {
    if nouns::is_counted(word_at(text, at)) && !is_joined_on(text, at + word_at(text, at).len()) {
        let noun = word_at(text, at);
        return Some((Sign::Over, 1, units::counted(noun)?, at + noun.len()));
    }
    powered(text, at, Sign::Over)
}

fn is_joined_on(text: &str, at: usize) -> bool {
    text[at..].starts_with(|c: char| c.is_alphanumeric() || matches!(c, '_' | '-'))
}

fn powered(text: &str, at: usize, sign: Sign) -> Option<Further> {
    if !text[at..].starts_with(|c: char| c.is_alphabetic() || c == '°') {
        return None;
    }
    let (unit, _, length) = units::match_unit(&text[at..])?;
    Some((sign, 1, unit, at + length))
}

/// `s−1` behind a blank: a power with its sign is never a word of its own.
fn negative_power(text: &str, at: usize) -> Option<Further> {
    let letters = word_at(text, at);
    if letters.is_empty() || 3 < letters.len() {
        return None;
    }
    let (unit, length) = units::table().longest_spelling(letters)?;
    let behind = text[at..].get(length..)?;
    let sign = ["\u{2212}", "-", "^-", "^\u{2212}", "⁻"];
    let sign = sign.iter().find(|sign| behind.starts_with(**sign))?;
    let digit = behind[sign.len()..].chars().next()?;
    let power = match digit {
        '1' | '¹' => 1,
        '2' | '²' => 2,
        '3' | '³' => 3,
        _ => return None,
    };
    let end = at + length + sign.len() + digit.len_utf8();
    let goes_on = text[end..].starts_with(|c: char| c.is_alphanumeric());
    (length == letters.len() && !goes_on).then_some((Sign::Over, power, unit, end))
}

/// "per second", "a second", "an hour", "each minute".
fn per(text: &str, at: usize) -> Option<Further> {
    if let Some(end) = phrase_after(text, at, "per") {
        let start = skip_blanks(text.as_bytes(), end);
        return powered(text, start, Sign::Over);
    }
    let (article, article_at) = next_word(text, at);
    if !one_of(article, &["a", "an", "each", "every"]) {
        return None;
    }
    let (word, start) = next_word(text, article_at + article.len());
    let (unit, length) = units::table().longest_spelling(word)?;
    // "a second" is an ordinal too, and nothing is told by "a g".
    let fits = length == word.len() && 3 <= length && !word.ends_with('s');
    let divides = [Dimension::TIME, Dimension::LENGTH, Dimension::VOLUME].contains(&unit.dimension);
    let end = start + length;
    let (next, _) = next_word(text, end);
    let is_later = one_of(next, &["ago", "after", "before", "earlier", "later", "on", "apart"]);
    // Of these only "a second" goes on as an ordinal.
    let plain = one_of(word, &["minute", "hour", "day"]);
    let rate = fits && divides && !is_later && (plain || closes(text, end));
    rate.then_some((Sign::Over, 1, unit, end))
}

/// "bar-litres", "bar litres", "watt hours": a product of two units in words or symbols, of the
/// kinds that are told so.
fn spelled_product(text: &str, at: usize, first: Joined) -> Option<Further> {
    let Joined::Whole(first) = first else { return None };
    let word = word_at(text, at);
    if word.len() < 2 || is_joined_on(text, at + word.len()) {
        return None;
    }
    let (second, length) = units::table().longest_spelling(word)?;
    let kinds = [
        (Dimension::PRESSURE, Dimension::VOLUME),
        (Dimension::FORCE, Dimension::LENGTH),
        (Dimension::FORCE, Dimension::TIME),
        (Dimension::POWER, Dimension::TIME),
        (Dimension::PRESSURE, Dimension::TIME),
        (Dimension::MASS, Dimension::LENGTH),
    ];
    let hyphen = text[..at].ends_with('-');
    let told = hyphen || 5 <= length && word.ends_with('s');
    (length == word.len() && told && kinds.contains(&(first.dimension, second.dimension)))
        .then_some((Sign::Times, 1, second, at + length))
}

/// Nouns that are counted by time though no engine is made of them.
const TIMED: &[&str] =
    &["balls", "beats", "cycles", "frames", "pulses", "rounds", "strokes", "turns", "darts"];

/// "45 balls a minute", "960 frames a second", "forty shots a day": the rate behind a number, and
/// where it ends.
pub(super) fn rate(text: &str, at: usize) -> Option<(&'static Unit, usize)> {
    let (noun, start) = next_word(text, at);
    if start == at || !(one_of(noun, TIMED) || nouns::is_counted(noun)) {
        return None;
    }
    let end = start + noun.len();
    let (time, end) = match text.as_bytes().get(end) {
        Some(b'/') => powered(text, end + 1, Sign::Over),
        _ => per(text, end),
    }
    .map(|(_, _, unit, end)| (unit, end))?;
    (time.dimension == Dimension::TIME).then_some(())?;
    Some((units::rate(noun, time)?, end))
}
