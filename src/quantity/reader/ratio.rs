//! Ratios: `2.4:1`, "seven to four", "a factor of fifteen", "three times the air", "half as wide",
//! "twice its area", "two thirds of the stroke".

use super::comparison;
use super::never;
use super::spelled;
use super::words::{
    closes, in_sorted, is_word_byte, next_word, one_of, phrase_after, phrase_before, skip_blanks,
    word_before,
};
use crate::quantity::Number;

/// Words that begin what something is so many times.
#[rustfmt::skip]
const COMPARED: &[&str] = &[
    "ambient", "as", "atmospheric", "every", "his", "its", "less", "more", "my", "our", "that",
    "the", "their", "these", "this", "those", "what", "working", "your",
];

/// Wholes that are named as figures of speech.
#[rustfmt::skip]
const OF_SPEECH: &[&str] = &[
    "afternoon", "art", "battle", "day", "evening", "fun", "job", "morning", "night", "people",
    "point", "price", "story", "time", "town", "trick", "trouble", "village", "way", "week",
    "work", "world", "year",
];

/// Words between a cue and its number.
const HEDGES: &[&str] =
    &["about", "almost", "approximately", "around", "just", "nearly", "roughly", "some", "only"];

/// Where the number starts when words of hedge before it are passed over.
fn before_hedge(text: &str, start: usize) -> usize {
    let (word, at) = word_before(text, start);
    if one_of(word, HEDGES) { at } else { start }
}

/// Whether the words before announce a ratio: "a factor of", "the ratio is about".
fn is_cued(text: &str, start: usize) -> bool {
    let at = before_hedge(text, start);
    ["ratio of", "ratio is", "ratio was", "ratio:", "factor of", "ratio"]
        .iter()
        .any(|cue| phrase_before(text, at, cue).is_some())
}

/// The ratio of two whole numbers that begins at `start` with `first`, which ends at `end`:
/// `7:4`, "seven to four", "twenty to one", "7-to-4". Its value and where it ends.
pub(super) fn of_two(
    text: &str,
    start: usize,
    end: usize,
    first: &Number,
) -> Option<(Number, usize)> {
    let whole = first.exponent == 0 && first.fraction.is_none() && !first.negative;
    if !whole || !(1..1000).contains(&first.mantissa) || never::labelled(text, start) {
        return None;
    }
    let bytes = text.as_bytes();
    if bytes.get(end) == Some(&b':') {
        let (second, second_end) = plain(text, end + 1)?;
        let goes_on = bytes.get(second_end).is_some_and(|b| is_word_byte(*b) || *b == b':')
            || bytes.get(second_end) == Some(&b'.')
                && bytes.get(second_end + 1).is_some_and(u8::is_ascii_digit);
        return if second == 1 || goes_on {
            None
        } else {
            quotient(first, second).map(|n| (n, second_end))
        };
    }
    let hyphened = text[end..].starts_with("-to-");
    let to = if hyphened { end + 4 } else { skip_blanks(bytes, phrase_after(text, end, "to")?) };
    let (second, second_end) = plain(text, to).or_else(|| {
        let found = spelled::cardinal(text, to)?;
        Some((u32::try_from(found.number.mantissa).ok()?, found.end))
    })?;
    let after_ratio = phrase_after(text, second_end, "ratio").is_some();
    let at = before_hedge(text, start);
    let (cue, cue_at) = word_before(text, at);
    // "It is ten to six" tells the time.
    let is_clock = one_of(cue, &["is", "was"]) && one_of(word_before(text, cue_at).0, &["it"]);
    let stated = one_of(cue, &["by", "as", "is", "are", "was", "were", "of", "to"]) && !is_clock;
    let is_cued = is_cued(text, start) || after_ratio;
    // Ranges and hours run upwards.
    let falls = i128::from(second) < first.mantissa;
    let joined = bytes.get(second_end).is_some_and(|b| is_word_byte(*b) || *b == b'-')
        || bytes.get(second_end) == Some(&b'.')
            && bytes.get(second_end + 1).is_some_and(u8::is_ascii_digit);
    let alone = !joined && (after_ratio || closes(text, second_end));
    let fits = alone && (is_cued || falls && (hyphened || stated));
    if fits { quotient(first, second).map(|number| (number, second_end)) } else { None }
}

/// One to three digits at `at`.
fn plain(text: &str, at: usize) -> Option<(u32, usize)> {
    let digits = text.as_bytes().get(at..)?.iter().take(4).take_while(|b| b.is_ascii_digit());
    let count = digits.count();
    let value = text[at..at + count].parse().ok()?;
    ((1..=3).contains(&count) && value != 0).then_some((value, at + count))
}

fn quotient(first: &Number, second: u32) -> Option<Number> {
    if second == 1 {
        return Some(first.clone());
    }
    let top = u32::try_from(first.mantissa).ok()?;
    let significant = first.significant + 1;
    Some(Number {
        mantissa: 0,
        fraction: Some((top, second)),
        significant,
        integer_zeros: 0,
        ..first.clone()
    })
}

/// Where a share ends, which is the number alone: "a quarter **of the** diameter", "half **as**
/// wide", "half **its** stroke", "a third **heavier**".
fn share_end(text: &str, end: usize, number: &Number) -> Option<usize> {
    number.fraction.filter(|_| number.mantissa == 0)?;
    let (word, at) = next_word(text, end);
    let next = at + word.len();
    let of = one_of(word, &["of"]);
    let (article, article_at) = if of { next_word(text, next) } else { (word, at) };
    let half = number.fraction == Some((1, 2));
    let whole = one_of(article, &["the", "its", "that", "this", "their", "these", "those", "what"]);
    let names = whole && (of || half && number.spelled);
    let likens = !of && number.spelled && one_of(article, &["as"]);
    let behind = next_word(text, article_at + article.len()).0;
    let outdoes = number.spelled && comparison::outdoes(text, end);
    (likens || outdoes || names && !in_sorted(behind, OF_SPEECH)).then_some(end)
}

/// "twice", "double": a ratio in one word, where something is compared.
pub(super) fn of_one_word(text: &str, word: &str, end: usize) -> Option<i64> {
    let value = match () {
        () if one_of(word, &["twice"]) => 2,
        () if one_of(word, &["thrice"]) => 3,
        () if one_of(word, &["double"]) => 2,
        () => return None,
    };
    let (next, _) = next_word(text, end);
    (in_sorted(next, COMPARED) && !one_of(next, &["every", "more", "less"])).then_some(value)
}

/// Words between "as" and "again": "half as many balls again".
const MOST_AGAIN: usize = 3;

/// "half as much **again**" and "half **again** as much" are one and a half.
pub(super) fn again(text: &str, end: usize) -> Option<usize> {
    if let Some(again) = phrase_after(text, end, "again") {
        return phrase_after(text, again, "as").map(|_| again);
    }
    let mut at = phrase_after(text, end, "as")?;
    for _ in 0..MOST_AGAIN {
        let (word, word_at) = next_word(text, at);
        at = word_at + word.len();
        if word.is_empty() || one_of(word, &["as"]) {
            return None;
        }
        if let Some(again) = phrase_after(text, at, "again") {
            return Some(again);
        }
    }
    None
}

/// Longest text that may be a ratio and nothing else, in bytes.
const LONGEST_ALONE: usize = 64;

/// Where a sign of ratio behind the number ends: `:1`, `×`, `x`, " times", " to 1".
pub(super) fn end(text: &str, start: usize, end: usize, number: &Number) -> Option<usize> {
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
        // "I read it one and a half times" compares nothing.
        let (said, _) = word_before(text, start);
        let told = !number.spelled || one_of(said, HEDGES) || one_of(said, &["by", "is", "was"]);
        let broken = told && (number.exponent < 0 || number.fraction.is_some());
        // A text of its own: "three times", "about 3 times".
        let alone = text.len() <= LONGEST_ALONE
            && text[times..].trim().is_empty()
            && text[..start].split_whitespace().count() < 3;
        return (bare(times) && (broken || alone || compares(text, times))).then_some(times);
    }
    if let Some(end) = share_end(text, end, number) {
        return Some(end);
    }
    if !is_cued(text, start) {
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
    in_sorted(word, COMPARED)
        || (5 <= word.len() && word.ends_with("er") && !one_of(word, &["after", "under", "over"]))
}

#[cfg(test)]
mod tests {
    use super::{COMPARED, OF_SPEECH};

    #[test]
    fn lists_are_sorted() {
        assert!(COMPARED.is_sorted());
        assert!(OF_SPEECH.is_sorted());
    }
}
