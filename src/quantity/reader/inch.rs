//! "in": the unit or the preposition?
//!
//! Decided by what stands behind it; where neither reading is certain the answer is
//! [`Inch::Open`], never a guess.

use super::words::{blank, in_sorted, next_word, one_of, skip_blanks};
use crate::quantity::{Number, units};

/// What "in" behind a number is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Inch {
    /// The unit.
    Unit,
    /// The preposition.
    Preposition,
    /// Either.
    Open,
}

/// Words that a dimension in inches is followed by; those among them that join, and those that say
/// where or when, never follow the preposition.
#[rustfmt::skip]
const HEADS: &[&str] = &[
    "above", "across", "after", "again", "ahead", "along", "altogether", "apart", "as", "at",
    "away", "back", "backwards", "barrel", "because", "before", "behind", "below", "beneath",
    "beyond", "bolt", "bore", "by", "clear", "clearance", "deep", "depth", "dia", "diameter",
    "down", "drill", "fitting", "forward", "forwards", "from", "further", "gap", "hex", "high",
    "hole", "hose", "id", "if", "in", "inside", "into", "line", "long", "longer", "lower", "now",
    "od", "of", "off", "ones", "or", "orifice", "out", "outside", "over", "overall", "past", "per",
    "pipe", "plus", "port", "radius", "rod", "round", "section", "shaft", "shank", "shorter",
    "shy", "so", "square", "still", "stroke", "tall", "then", "thick", "thickness", "though",
    "through", "to", "too", "travel", "tube", "tubing", "under", "up", "upwards", "wall", "when",
    "where", "while", "wide", "wider", "width", "with", "without", "x",
];

/// Words that only follow the preposition.
#[rustfmt::skip]
const AFTER_PREPOSITION: &[&str] = &[
    "a", "advance", "all", "an", "another", "any", "between", "both", "case", "circulation",
    "common", "contact", "daily", "development", "each", "english", "every", "existence",
    "fact", "favor", "favour", "favourable", "front", "full", "general", "her", "hers", "his",
    "it", "its", "line", "many", "most", "my", "no", "number", "one", "operation", "order",
    "our", "parallel", "particular", "place", "position", "practice", "principle", "production",
    "progress", "query", "question", "reserve", "response", "sequence", "series", "service",
    "size", "some", "stock", "store", "such", "terms", "that", "the", "their", "them", "these",
    "this", "those", "time", "total", "turn", "use", "various", "view", "which", "your",
];

/// Whether a broken number and the "in" that ends at `end` are said of a size by the word behind:
/// "a port 3/16 in wide" has no number.
pub(super) fn is_size(text: &str, number: &Number, end: usize) -> bool {
    let broken = number.fraction.is_some() || number.exponent < 0;
    broken && in_sorted(next_word(text, end).0, HEADS)
}

/// Decides on the "in" that ends at `end`. `joined` says that no blank separates it from the
/// number.
pub(super) fn judge(text: &str, number: &Number, joined: bool, end: usize) -> Inch {
    let bytes = text.as_bytes();
    let broken = number.fraction.is_some() || number.exponent < 0;
    // Inches that are spoken are called inches.
    if number.spelled {
        return Inch::Preposition;
    }
    match bytes.get(end) {
        // `2-in-1`, `12-in-hand`; but `0.5-in-long`.
        Some(b'-') if !broken && joined => return Inch::Preposition,
        None | Some(b')' | b'.' | b',' | b';' | b':' | b']' | b'/' | b'-') => return Inch::Unit,
        Some(_) if joined => return Inch::Unit,
        Some(_) => {}
    }
    if blank(bytes, end).is_none() {
        return Inch::Unit;
    }
    let start = skip_blanks(bytes, end);
    let (word, word_at) = next_word(text, end);
    if word.is_empty() {
        return match bytes.get(start) {
            // "5 in 2019", "3 in 10": numbers follow the preposition.
            Some(b'0'..=b'9' | b'"' | b'#' | b'$') => Inch::Preposition,
            Some(0xE2) if text[start..].starts_with(['\u{201c}', '\u{2018}']) => Inch::Preposition,
            Some(0xEF) => Inch::Preposition,
            _ if start == end => Inch::Open,
            _ => Inch::Unit,
        };
    }
    // "Which has 52 in metres": told in that unit.
    let is_unit = word.ends_with('s') && units::match_unit(word).is_some_and(|u| u.2 == word.len());
    if is_unit || in_sorted(word, AFTER_PREPOSITION) && !in_sorted(word, HEADS) {
        return Inch::Preposition;
    }
    if broken
        || is_after_article(text, end)
        || in_sorted(word, HEADS)
        || one_of(word, &["and", "but", "is", "was", "are"])
    {
        return Inch::Unit;
    }
    let whole = number.value().to_integer();
    let capital = word.as_bytes()[0].is_ascii_uppercase();
    let gerund = word.len() > 4 && (word.ends_with("ing") || word.ends_with("ly"));
    let large = whole > 400.into();
    let joined_word = bytes.get(word_at + word.len()) == Some(&b'-');
    if capital || gerund || large || joined_word { Inch::Preposition } else { Inch::Open }
}

/// "A 5 in piece": a number behind an article is of what follows.
fn is_after_article(text: &str, end: usize) -> bool {
    let before = text[..end].trim_end_matches(|c: char| c.is_ascii_alphabetic()).trim_end();
    let before = before.trim_end_matches(|c: char| c.is_ascii_digit() || c == '.').trim_end();
    let word = before.rsplit(|c: char| !c.is_ascii_alphabetic()).next().unwrap_or_default();
    before.ends_with(word) && matches!(word, "a" | "A" | "an" | "An")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_are_sorted() {
        for list in [HEADS, AFTER_PREPOSITION] {
            assert!(list.is_sorted());
        }
    }
}
