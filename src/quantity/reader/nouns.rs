//! What the model counts: the closed list of nouns before which a bare or spelled integer is a
//! figure.
//!
//! The parts of an engine that its cutaway has, and what its cycle counts. Anything else that is
//! counted in prose ("three reasons", "12 readers") is not a figure.

use super::words::{in_sorted, is_word_byte, next_word, skip_blanks};
use crate::text::Span;

/// Singular and plural.
const NOUNS: &[(&str, &str)] = &[
    ("o-ring", "o-rings"),
    ("seal", "seals"),
    ("chamber", "chambers"),
    ("port", "ports"),
    ("spring", "springs"),
    ("coil", "coils"),
    ("shot", "shots"),
    ("event", "events"),
    ("groove", "grooves"),
    ("hole", "holes"),
    ("land", "lands"),
    ("flute", "flutes"),
    ("vent", "vents"),
    ("orifice", "orifices"),
    ("gallery", "galleries"),
    ("poppet", "poppets"),
    ("piston", "pistons"),
    ("spool", "spools"),
    ("sear", "sears"),
    ("detent", "detents"),
    ("diaphragm", "diaphragms"),
    ("bumper", "bumpers"),
    ("pellet", "pellets"),
];

/// Words that may stand between the number and the noun.
#[rustfmt::skip]
const BETWEEN: &[&str] = &[
    "active", "axial", "back", "bleed", "cross", "drilled", "dynamic", "equal", "exhaust",
    "feed", "fixed", "front", "identical", "inner", "large", "larger", "main", "metering",
    "moving", "outer", "pilot", "pressure", "radial", "rear", "return", "separate", "sliding",
    "small", "smaller", "spaced", "static", "total", "transfer", "vent", "working",
];

/// Whether a word is one of the counted nouns, in the singular or the plural.
pub(super) fn is_counted(word: &str) -> bool {
    let known = |noun: &str| word.eq_ignore_ascii_case(noun);
    !word.is_empty() && NOUNS.iter().any(|(singular, plural)| known(singular) || known(plural))
}

/// The counted noun behind `at`, for a number that is one or is not one.
pub(super) fn counted(text: &str, at: usize, one: bool) -> Option<Span> {
    let mut at = at;
    for _ in 0..3 {
        let start = skip_blanks(text.as_bytes(), at);
        if start == at {
            return None;
        }
        if let Some(end) = noun_at(text, start, one) {
            return Some(Span::new(start, end));
        }
        let (word, start) = next_word(text, at);
        if !in_sorted(word, BETWEEN) {
            return None;
        }
        at = start + word.len();
        if text.as_bytes().get(at).is_some_and(|b| is_word_byte(*b) || *b == b'-') {
            return None;
        }
    }
    None
}

fn noun_at(text: &str, start: usize, one: bool) -> Option<usize> {
    let bytes = &text.as_bytes()[start..];
    let length =
        bytes.iter().take(24).take_while(|b| b.is_ascii_alphabetic() || **b == b'-').count();
    let word = text[start..start + length].trim_end_matches('-');
    if bytes.get(word.len()).is_some_and(|b| is_word_byte(*b) || *b == b'-') {
        return None;
    }
    let fits = |singular: &str, plural: &str| {
        word.eq_ignore_ascii_case(if one { singular } else { plural })
    };
    if NOUNS.iter().any(|(singular, plural)| fits(singular, plural)) {
        return Some(start + word.len());
    }
    // Two words: "O rings", "moving parts".
    let (next, next_at) = next_word(text, start + word.len());
    let two = |first: &str, singular: &str, plural: &str| {
        word.eq_ignore_ascii_case(first)
            && next.eq_ignore_ascii_case(if one { singular } else { plural })
    };
    let known = two("o", "ring", "rings") || two("moving", "part", "parts");
    known.then_some(next_at + next.len())
}

#[cfg(test)]
mod tests {
    use super::{BETWEEN, counted};

    #[test]
    fn lists_are_sorted() {
        assert!(BETWEEN.is_sorted());
    }

    #[test]
    fn nouns_agree_in_number_and_stand_close() {
        for text in [" O-rings", " seals.", " small radial ports", " moving parts", " O rings"] {
            assert!(counted(text, 0, false).is_some(), "{text}");
        }
        for text in [" seal", " reasons", " portholes", " seal-like rings", " of the seals"] {
            assert!(counted(text, 0, false).is_none(), "{text}");
        }
    }
}
