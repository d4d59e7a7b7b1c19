//! Words and sentences of a passage.

use crate::quantity::units::match_unit;
use crate::text::Span;
use crate::text::runs::alphanumerics;
use std::borrow::Cow;

/// A word with its place and the form in which words are compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct TextWord {
    pub(crate) span: Span,
    /// Small letters, without possessive and plural s.
    pub(crate) stem: String,
    /// Whether it stands in the possessive ("Rowan's").
    pub(crate) possessive: bool,
}

/// The same while a text is read: the form is a piece of the text where it can be.
#[derive(Debug, Clone)]
pub(crate) struct ReadWord<'t> {
    pub(crate) span: Span,
    pub(crate) stem: Cow<'t, str>,
    pub(crate) possessive: bool,
}

impl ReadWord<'_> {
    pub(crate) fn owned(self) -> TextWord {
        TextWord { span: self.span, stem: self.stem.into_owned(), possessive: self.possessive }
    }
}

/// The comparable form of a word: "Rowan's" and "rowan" are one, "bores" and "bore" too.
pub(crate) fn stem(word: &str) -> String {
    let mut lower = word.to_lowercase();
    if !word.is_ascii() {
        lower = lower.replace('’', "'");
    }
    let length = base(&lower).len();
    lower.truncate(length);
    lower
}

/// A word in small letters without possessive and plural s.
fn base(lower: &str) -> &str {
    let base = ["'s", "s'"].iter().find_map(|end| lower.strip_suffix(end)).unwrap_or(lower);
    let is_plural = 3 < base.len() && base.ends_with('s') && !base.ends_with("ss");
    &base[..base.len() - usize::from(is_plural)]
}

/// The words of `text[span]`; hyphens part words, apostrophes do not.
pub(crate) fn words(text: &str, span: Span) -> Vec<TextWord> {
    read_words(text, span).map(ReadWord::owned).collect()
}

/// The same, one after the other.
pub(crate) fn read_words(text: &str, span: Span) -> impl Iterator<Item = ReadWord<'_>> {
    let piece = &text[..span.end];
    let mut at = span.start;
    std::iter::from_fn(move || {
        while at < span.end {
            let from = at;
            at += alphanumerics(&piece.as_bytes()[at..]);
            if from < at && piece.as_bytes().get(at).is_none_or(|b| b.is_ascii() && *b != b'\'') {
                return Some(plain_word(text, from, at));
            }
            while let Some(more) = goes_on(&piece[at..], from < at) {
                at += more;
                at += alphanumerics(&piece.as_bytes()[at..]);
            }
            if from < at {
                return Some(word(text, from, at));
            }
            at += piece[at..].chars().next().map_or(1, char::len_utf8);
        }
        None
    })
}

/// Bytes of the character by which a word goes on, or begins, beside letters and digits of ASCII.
fn goes_on(rest: &str, is_begun: bool) -> Option<usize> {
    match rest.as_bytes().first()? {
        b'\'' => is_begun.then_some(1),
        byte if byte.is_ascii() => None,
        _ => {
            let c = rest.chars().next()?;
            (c.is_alphanumeric() || c == '’' && is_begun).then_some(c.len_utf8())
        }
    }
}

fn word(text: &str, start: usize, end: usize) -> ReadWord<'_> {
    let whole = &text[start..end];
    let typed = whole.trim_end_matches(['\'', '’']);
    let possessive = whole.ends_with('s') && (whole.ends_with("'s") || whole.ends_with("’s"));
    ReadWord {
        span: Span::new(start, start + typed.len()),
        stem: Cow::Owned(stem(whole)),
        possessive,
    }
}

/// A word of ASCII letters and digits alone.
fn plain_word(text: &str, start: usize, end: usize) -> ReadWord<'_> {
    let whole = &text[start..end];
    let is_plural = match whole.as_bytes() {
        [_, _, .., before, b's' | b'S'] => !before.eq_ignore_ascii_case(&b's'),
        _ => false,
    };
    let base = &whole[..whole.len() - usize::from(is_plural)];
    let is_small = !base.bytes().any(|byte| byte.is_ascii_uppercase());
    let stem = if is_small { Cow::Borrowed(base) } else { Cow::Owned(base.to_ascii_lowercase()) };
    ReadWord { span: Span::new(start, end), stem, possessive: false }
}

/// Words behind which a full stop ends no sentence.
const SHORT: [&str; 18] = [
    "e.g", "i.e", "cf", "approx", "fig", "no", "vs", "etc", "dia", "min", "max", "in", "sq", "cu",
    "ca", "st", "dr", "incl",
];

/// Sentences: parted at `.`, `!`, `?` before a blank and a capital, a digit or an opening mark, at
/// line breaks of lists, and at the end.
pub(crate) fn sentences(text: &str) -> Vec<Span> {
    let mut found = Vec::new();
    let (mut start, mut from) = (0, 0);
    let bytes = text.as_bytes();
    let is_mark = |byte: &u8| matches!(byte, b'.' | b'!' | b'?');
    while let Some(step) = bytes[from..].iter().position(is_mark) {
        let (at, after) = (from + step, from + step + 1);
        from = after;
        let rest = text[after..].trim_start_matches(['"', '”', '’', ')', '\'']);
        let ahead = rest.trim_start();
        if ahead.len() == rest.len() && !rest.is_empty() {
            continue;
        }
        let next = ahead.chars().next();
        let opens =
            next.is_none_or(|n| n.is_uppercase() || n.is_ascii_digit() || "\"“‘([−-*".contains(n));
        let before = || text[start..at].rsplit(|c: char| c.is_whitespace() || c == '(').next();
        let is_short = bytes[at] == b'.'
            && next.is_some_and(|n| !n.is_uppercase())
            && before().is_some_and(|word| {
                SHORT.contains(&word.to_lowercase().as_str())
                    || word.chars().count() == 1 && !word.chars().all(|c| c.is_ascii_digit())
            });
        // "29. J" has lost a digit; it ends no sentence.
        let is_pointed = text[..at].ends_with(|c: char| c.is_ascii_digit())
            && match_unit(ahead)
                .is_some_and(|(_, _, length)| !ahead[length..].starts_with(char::is_alphanumeric));
        if opens && !is_short && !is_pointed && bytes.get(after).is_none_or(|b| !b.is_ascii_digit())
        {
            let end = text.len() - ahead.len();
            found.push(Span::new(start, end));
            start = end;
        }
    }
    if start < text.len() {
        found.push(Span::new(start, text.len()));
    }
    found
}

/// Comparatives behind a figure that is a difference.
const COMPARATIVES: [&str; 26] = [
    "farther",
    "further",
    "more",
    "less",
    "larger",
    "smaller",
    "bigger",
    "greater",
    "longer",
    "shorter",
    "wider",
    "narrower",
    "thicker",
    "thinner",
    "higher",
    "lower",
    "deeper",
    "shallower",
    "heavier",
    "lighter",
    "faster",
    "slower",
    "earlier",
    "later",
    "stronger",
    "weaker",
];

/// Whether a figure says by how much two values differ: "1.5 mm more than", "wider by 1.5 mm".
pub(crate) fn is_difference(text: &str, figure: Span) -> bool {
    let behind = text[figure.end..].trim_start_matches([')', ']']);
    let mut words = behind.trim_start().split(|c: char| !c.is_alphabetic());
    let (word, next) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
    let before = text[..figure.start].trim_end();
    let ends_in = |word: &str| {
        before.strip_suffix(word).is_some_and(|head| head.ends_with(char::is_whitespace))
    };
    // "leaving 45 psi in hand" says what is between; a ± alone is of something else.
    // "2 by 3/4 inch" are two sides.
    let side = before.strip_suffix("by").map_or("", str::trim_end);
    let is_side = side.ends_with(|c: char| c.is_ascii_digit());
    let by = ends_in("by") && !is_side || ends_in("leaving") || before.ends_with('±');
    // "8 N more" may count on; "8 N more than" compares.
    let compares = COMPARATIVES.contains(&word) && (word.ends_with("er") || next == "than");
    // "90 kPa above the set pressure", "9 N short of it"; "612 mm over the caps" is a length.
    let compares = compares
        || matches!(word, "above" | "below") && !next.is_empty()
        || matches!(word, "short" | "shy") && next == "of"
        || word == "over" && next == "its";
    compares || by || is_accuracy(before)
}

/// "Good to within 0.2 bar", "held within 0.2 bar", "known to 2 m/s": how far a value is sure, from
/// what stands before a figure. What is "full within 2 s" is bounded.
fn is_accuracy(before: &str) -> bool {
    let mut back = before.rsplit(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    let (last, verb) = (back.next().unwrap_or(""), back.next().unwrap_or(""));
    let is_sure = matches!(verb, "good" | "known" | "accurate" | "true" | "right");
    let is_kept = matches!(verb, "held" | "holds" | "hold" | "kept" | "keeps" | "steady");
    match last {
        "within" => verb == "to" || is_sure || is_kept,
        "to" => is_sure,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Said once more, character by character.
        #[test]
        fn a_word_is_letters_digits_and_apostrophes_within(text in "[ a-cA-C09'’é_½.\u{0}-]{0,40}") {
            let mut expected: Vec<(usize, usize)> = Vec::new();
            let mut open = false;
            for (at, c) in text.char_indices() {
                let is_word = c.is_alphanumeric() || matches!(c, '\'' | '’') && open;
                match (is_word, open) {
                    (true, true) => expected.last_mut().unwrap().1 = at + c.len_utf8(),
                    (true, false) => expected.push((at, at + c.len_utf8())),
                    _ => {}
                }
                open = is_word;
            }
            let found = words(&text, Span::new(0, text.len()));
            prop_assert_eq!(found.len(), expected.len());
            for (word, (start, end)) in found.iter().zip(expected) {
                let typed = text[start..end].trim_end_matches(['\'', '’']);
                prop_assert_eq!(word.span, Span::new(start, start + typed.len()));
                prop_assert_eq!(&word.stem, &stem(&text[start..end]));
            }
        }
    }

    #[test]
    fn decimal_points_and_abbreviations_end_no_sentence() {
        let text = "The bore is 0.90 mm. About 8 bar, i.e. less than Ash's 12 bar. Next";
        let found: Vec<&str> = sentences(text).iter().map(|s| &text[s.start..s.end]).collect();
        assert_eq!(
            found,
            ["The bore is 0.90 mm. ", "About 8 bar, i.e. less than Ash's 12 bar. ", "Next"]
        );
    }

    #[test]
    fn stems_join_plurals_and_possessives() {
        assert_eq!(stem("Rowan's"), stem("rowan"));
        assert_eq!(stem("bores"), "bore");
        assert_eq!(stem("glass"), "glass");
    }
}
