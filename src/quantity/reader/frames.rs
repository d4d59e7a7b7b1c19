//! "fps": feet per second or frames per second, as the words beside it say; else it stays open.

use super::words::{one_of, skip_blanks, word_at};
use crate::quantity::{Unit, units};
use crate::text::Span;

/// Words of pictures.
#[rustfmt::skip]
const PICTURES: &[&str] = &[
    "camera", "cameras", "cam", "clip", "clips", "film", "filmed", "filming", "films", "footage",
    "frame", "frames", "picture", "pictures", "playback", "shutter", "slow-motion", "video",
    "videos",
];

/// Words of speed; units of speed are among them, for a pair in two units.
#[rustfmt::skip]
const SPEEDS: &[&str] = &[
    "ball", "balls", "chrono", "chronograph", "chronographed", "chronographs", "faster", "flies",
    "ft/s", "km/h", "leaves", "m/s", "mph", "muzzle", "pellet", "pellets", "projectile",
    "projectiles", "slower", "speed", "speeds", "travels", "velocities", "velocity",
];

/// How far words are looked for, in bytes, on each side.
const REACH: usize = 120;
/// What a mark between the parts of a sentence adds to a distance.
const PART: usize = 40;

/// What "fps" at `at`, behind the number that begins at `number`, means: its span, and the unit
/// where the nearest telling word decides.
pub(super) fn meant(text: &str, number: usize, at: usize) -> Option<(Span, Option<&'static Unit>)> {
    let word = word_at(text, at);
    units::two_meanings(word)?;
    let span = Span::new(at, at + word.len());
    let distance = |list| {
        let before = words_before(text, number).filter(|(word, _)| one_of(word, list));
        let behind = words_behind(text, span.end).filter(|(word, _)| one_of(word, list));
        before.chain(behind).map(|(_, distance)| distance).min()
    };
    let code = match (distance(PICTURES), distance(SPEEDS)) {
        (Some(pictures), Some(speeds)) if pictures == speeds => None,
        (Some(pictures), speeds) if speeds.is_none_or(|speeds| pictures < speeds) => {
            Some("{frame}/s")
        }
        (_, Some(_)) => Some("[ft_i]/s"),
        _ => None,
    };
    Some((span, code.and_then(|code| units::table().by_code(code))))
}

/// The words of the sentence behind a place, each with its distance.
fn words_behind(text: &str, at: usize) -> impl Iterator<Item = (&str, usize)> {
    let mut end = text.len().min(at + REACH);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let sentence = &text[at..end];
    let stop = sentence_end(sentence).unwrap_or(sentence.len());
    words(&sentence[..stop]).map(|word| (word, distance(&sentence[..offset(sentence, word)])))
}

/// The words of the sentence before a place, each with its distance.
fn words_before(text: &str, at: usize) -> impl Iterator<Item = (&str, usize)> {
    let mut start = at.saturating_sub(REACH);
    while !text.is_char_boundary(start) {
        start += 1;
    }
    let mut sentence = &text[start..at];
    while let Some(end) = sentence_end(sentence) {
        sentence = &sentence[end..];
    }
    words(sentence).map(|word| (word, distance(&sentence[offset(sentence, word) + word.len()..])))
}

fn offset(whole: &str, part: &str) -> usize {
    part.as_ptr() as usize - whole.as_ptr() as usize
}

/// One past the first mark that ends a sentence, if more than blanks follow the blank behind it.
fn sentence_end(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let ends = |at: &usize| {
        matches!(bytes[*at], b'.' | b'!' | b'?') && skip_blanks(bytes, at + 1) != at + 1
            || bytes[*at..].starts_with(b"\n\n")
    };
    (0..bytes.len()).find(ends).map(|at| at + 1)
}

/// Words with the hyphens and strokes in them; "high speed" is one of pictures and speeds alike.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let is_mark = |c: char| !(c.is_alphabetic() || matches!(c, '-' | '/'));
    let mut before = "";
    text.split(is_mark).filter(|word| !word.is_empty()).filter(move |word| {
        let is_high = before.eq_ignore_ascii_case("high");
        before = word;
        !is_high
    })
}

/// How far apart two words are that have this between them.
fn distance(between: &str) -> usize {
    let parts = between.matches([',', ';', ':', '(', ')', '\u{2013}', '\u{2014}']).count();
    let parts =
        parts + between.split(' ').filter(|word| one_of(word, &["and", "but", "while"])).count();
    between.len() + PART * parts
}
