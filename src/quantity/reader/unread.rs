//! Letters behind a number that are neither a unit nor a word: `128 pis`, `9 mAj`, `12 Kg`.
//!
//! Most numbers of a text are no figures, and most words behind a number are its noun. What is
//! left is told: letters that no word has, and words one slip away from a unit where only the end
//! of a figure can follow. Words that are both are listed; the list was checked against the words
//! of a hundred megabytes of English documentation.

use super::never;
use super::words::{closes, in_sorted, one_of, skip_blanks, word_at};
use crate::quantity::units;
use crate::text::Span;

/// Longest word looked at.
const LONGEST: usize = 14;

/// Words one slip away from the spelling of a unit.
#[rustfmt::skip]
const WORDS: &[&str] = &[
    "afoot", "atom", "barb", "bard", "bare", "bark", "barn", "barns", "bear", "bears", "boar",
    "bolts", "bounce", "bound", "bounds", "brain", "brains", "burns", "call", "calls", "calm",
    "camp", "camps", "cinch", "coal", "damp", "decree", "decrees", "drain", "drains", "dray",
    "fee", "fees", "files", "finch", "fleet", "foot", "found", "fours", "gain", "gains", "gale",
    "galleon", "galleons", "goal", "goals", "groin", "hound", "hounds", "inches", "ing", "jolts",
    "lamp", "lamps", "later", "libs", "linter", "lite", "lithe", "litter", "litters", "lug",
    "lugs", "mail", "mails", "main", "mains", "males", "map", "maps", "mere", "mete", "mill",
    "mills", "mind", "minds", "mine", "mines", "mini", "minor", "mint", "mints", "minuet",
    "minuets", "minus", "mitre", "mitres", "moles", "mound", "mounds", "mules", "once", "our",
    "ours", "paint", "paints", "peter", "piles", "pinch", "pinches", "plugs", "point", "points",
    "pond", "ponds", "pounce", "pours", "quarto", "quartz", "radial", "rain", "rains", "ram",
    "ramp", "ramps", "rams", "rand", "read", "round", "rounds", "run", "runs", "sect", "sects",
    "slung", "smile", "smiles", "sound", "sounds", "spec", "specs", "tiles", "tips", "tone",
    "tones", "torn", "tours", "train", "trains", "trams", "urn", "urns", "waits", "wants",
    "winch", "winches", "wound", "wounds", "yours", "zips",
];

/// Letters without a vowel that are nobody's unit.
#[rustfmt::skip]
const INNOCENT: &[&str] = &[
    "am", "bc", "cf", "cwt", "ff", "hp", "nd", "nth", "ppm", "pcs", "pm", "pp", "pph", "pts", "px", "rd", "rds",
    "st", "tbsp", "th", "tsp", "vs", "xx", "xxx",
];

/// The letters behind the number `start..end`, if they can be neither its unit nor its noun.
pub(super) fn behind(text: &str, start: usize, end: usize) -> Option<Span> {
    let word_start = skip_blanks(text.as_bytes(), end);
    let word = word_at(text, word_start);
    let word_end = word_start + word.len();
    let fits = word_start != end && (2..=LONGEST).contains(&word.len());
    if !fits || !(is_symbol(word) || is_misspelt(word)) {
        return None;
    }
    let alone = closes(text, word_end) && !never::labelled(text, start);
    alone.then_some(Span::new(word_start, word_end))
}

fn has_vowel(word: &str) -> bool {
    word.bytes().any(|b| matches!(b.to_ascii_lowercase(), b'a' | b'e' | b'i' | b'o' | b'u' | b'y'))
}

/// Letters that no word has: `mAj`, `dBq`, `psl`, `Kg`.
fn is_symbol(word: &str) -> bool {
    let small = word.bytes().all(|b| b.is_ascii_lowercase());
    let first_small = word.as_bytes()[0].is_ascii_lowercase();
    if word.len() < 2 || 4 < word.len() {
        return false;
    }
    if small {
        return !has_vowel(word) && !one_of(word, INNOCENT);
    }
    if first_small {
        return !one_of(word, &["pH", "iOS"]);
    }
    // `Kg`, `CM`: a unit in the wrong case.
    !has_vowel(word) && units::table().spellings().any(|unit| word.eq_ignore_ascii_case(unit))
}

/// Whether a word is one slip of the hand away from a unit and is none itself.
fn is_misspelt(word: &str) -> bool {
    let small = word.bytes().all(|b| b.is_ascii_lowercase());
    small && 3 <= word.len() && !in_sorted(word, WORDS) && {
        let spelled =
            |unit: &&str| 3 <= unit.len() && unit.bytes().all(|b| b.is_ascii_alphabetic());
        units::table().spellings().filter(spelled).any(|unit| one_slip(word, unit))
    }
}

/// Whether two neighbouring letters are swapped, one is missing or too many, or, in a longer
/// word, one is wrong: short words are too near to each other for that.
fn one_slip(word: &str, unit: &str) -> bool {
    let (a, b) = (word.as_bytes(), unit.as_bytes());
    if 1 < a.len().abs_diff(b.len()) {
        return false;
    }
    let front = a.iter().zip(b).take_while(|(a, b)| a == b).count();
    let (a, b) = (&a[front..], &b[front..]);
    let back = a.iter().rev().zip(b.iter().rev()).take_while(|(a, b)| a == b).count();
    match (&a[..a.len() - back], &b[..b.len() - back]) {
        ([], [_]) | ([_], []) => true,
        ([_], [_]) => 5 <= word.len(),
        ([a, b], [c, d]) => a == d && b == c,
        _ => false,
    }
}

/// The listed spelling within one edit of `word`.
pub(super) fn nearest_unit(word: &str) -> Option<&'static str> {
    let near = units::table()
        .spellings()
        .filter(|spelling| 2 <= spelling.len() && spelling.bytes().all(|b| b.is_ascii_alphabetic()))
        .filter(|spelling| spelling.len().abs_diff(word.len()) <= 1);
    near.filter_map(|spelling| {
        let case_only = word.eq_ignore_ascii_case(spelling);
        let distance = crate::text::edit_distance(word, spelling, 1);
        let distance = if case_only { Some(0) } else { distance };
        Some((distance?, spelling))
    })
    .min_by_key(|(distance, spelling)| (*distance, !word.starts_with(&spelling[..1])))
    .map(|(_, spelling)| spelling)
}

#[cfg(test)]
mod tests {
    use super::{INNOCENT, WORDS};

    #[test]
    fn lists_are_sorted() {
        assert!(WORDS.is_sorted(), "{:?}", WORDS.windows(2).find(|two| two[1] < two[0]));
        assert!(!INNOCENT.is_empty());
    }
}
