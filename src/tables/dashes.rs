//! Dash numbers in prose: "a -015 for a -012", "AS568-012".
//!
//! Conservative: a dash number is a hyphen at the start of a word with exactly three digits behind
//! it, or any of these behind `AS568`. `M3-012` or `10-012` are part numbers, `-0123` is none, and
//! `-012 mm` would be a length.

use super::rings::ring_by_number;
use crate::quantity::reader::{SMALL, TENS};
use crate::quantity::units::match_unit;
use crate::text::{Span, holds_digit};

/// Every dash number in a text with its three digits, whether or not such a ring exists. A bare
/// `-200` may also be a negative number, so that without `AS568` before it a dash number needs a
/// leading nought, or to be the size of a ring and stand beside the word "ring", "seal" or "dash".
pub(crate) fn find_dashes(text: &str) -> Vec<(Span, String)> {
    let mut found = Vec::new();
    if !holds_digit(text) {
        return found;
    }
    let bytes = text.as_bytes();
    let begins = |at: &usize| bytes[*at].is_ascii_digit() && !bytes[at - 1].is_ascii_digit();
    for start in (1..bytes.len()).filter(begins) {
        let Some(c) = text[..start].chars().next_back() else { continue };
        if !matches!(c, '-' | '\u{2011}' | '\u{2013}') {
            continue;
        }
        let at = start - c.len_utf8();
        let Some(digits) = three_digits(&text[start..]) else { continue };
        let Some((named_from, is_named)) = before(text, at) else { continue };
        let after = &text[start + 3..];
        let is_length = match_unit(after.trim_start()).is_some() && after.starts_with(' ');
        let plausible = digits.starts_with('0') || (ring_exists(digits) && is_ring_talk(text, at));
        if is_named || (plausible && !is_length) {
            found.push((Span::new(named_from, start + 3), digits.to_owned()));
        }
    }
    found
}

/// Every dash number in words: "dash oh one two", "dash one eighteen", "dash two hundred and ten".
pub(crate) fn find_spoken_dashes(text: &str) -> Vec<(Span, String)> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices("dash ") {
        let is_word = !text[..at].ends_with(char::is_alphanumeric);
        if let Some((digits, end)) = spoken_digits(text, at + "dash ".len()).filter(|_| is_word) {
            found.push((Span::new(at, end), digits));
        }
    }
    found
}

/// Three digits in words that begin at `at`, and where they end.
fn spoken_digits(text: &str, at: usize) -> Option<(String, usize)> {
    let mut digits = String::new();
    let mut end = at;
    let is_letter = |c: char| c.is_ascii_alphabetic();
    while digits.len() < 3 {
        let gap = text[end..].find(is_letter)?;
        if !matches!(&text[end..end + gap], "" | " " | "-") {
            return None;
        }
        let start = end + gap;
        let length = text[start..].find(|c| !is_letter(c)).unwrap_or(text.len() - start);
        let word = text[start..start + length].to_ascii_lowercase();
        let among = |list: &[&str]| list.iter().position(|known| *known == word);
        match (word.as_str(), digits.len()) {
            ("oh" | "o" | "nought" | "naught", _) => digits.push('0'),
            ("hundred", 1) => {
                let behind = text[start + length..].trim_start();
                let rest = behind.strip_prefix("and ").unwrap_or(behind);
                end = text.len() - rest.len();
                let (mut rest, end) = spoken_digits_of(text, end, 2)?;
                if rest.len() < 2 {
                    rest.insert(0, '0');
                }
                return Some((digits + &rest, end));
            }
            _ => match (among(&SMALL), among(&TENS)) {
                (Some(number), _) => digits.push_str(&number.to_string()),
                (None, Some(tens)) => {
                    let (ones, behind) =
                        spoken_digits_of(text, start + length, 1).unwrap_or_default();
                    let is_joined = ones.len() == 1 && ones != "0";
                    digits.push_str(&(tens + 2).to_string());
                    digits.push_str(if is_joined { &ones } else { "0" });
                    if is_joined {
                        end = behind;
                        continue;
                    }
                }
                _ => return None,
            },
        }
        end = start + length;
    }
    (digits.len() == 3).then_some((digits, end))
}

/// A number below a hundred in words: its digits, at most so many, and where it ends.
fn spoken_digits_of(text: &str, at: usize, most: usize) -> Option<(String, usize)> {
    let rest = &text[at..];
    let start = at + rest.find(|c: char| c.is_ascii_alphabetic())?;
    if !matches!(&text[at..start], "" | " " | "-") {
        return None;
    }
    let tail = &text[start..];
    let length = tail.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(tail.len());
    let word = tail[..length].to_ascii_lowercase();
    let among = |list: &[&str]| list.iter().position(|known| *known == word);
    if let Some(number) = among(&SMALL) {
        let digits = number.to_string();
        return (digits.len() <= most).then_some((digits, start + length));
    }
    let tens = among(&TENS).filter(|_| most == 2)? + 2;
    match spoken_digits_of(text, start + length, 1) {
        Some((ones, end)) if ones != "0" => Some((format!("{tens}{ones}"), end)),
        _ => Some((format!("{tens}0"), start + length)),
    }
}

fn three_digits(rest: &str) -> Option<&str> {
    let digits = rest.get(..3).filter(|head| head.bytes().all(|b| b.is_ascii_digit()))?;
    let next = rest[3..].chars().next();
    let after = rest[3..].chars().nth(1);
    let goes_on = next.is_some_and(|c| c.is_alphanumeric() || matches!(c, '-' | '/' | '_'))
        || (matches!(next, Some('.' | ',')) && after.is_some_and(|c| c.is_ascii_digit()));
    (!goes_on).then_some(digits)
}

/// Where the dash number begins, and whether the standard is named; `None` inside another word.
fn before(text: &str, at: usize) -> Option<(usize, bool)> {
    let head = &text[..at];
    for name in ["AS568A", "AS568", "AS 568", "dash", "Dash"] {
        for gap in ["", " ", "\u{a0}"] {
            let whole = format!("{name}{gap}");
            if head.ends_with(&whole) {
                return Some((at - whole.len(), true));
            }
        }
    }
    let before = head.chars().next_back();
    let opens =
        before.is_none_or(|c| c.is_whitespace() || matches!(c, '(' | '[' | '"' | '“' | '\''));
    // `5 -200` is arithmetic.
    let after_number = head.trim_end().chars().next_back().is_some_and(|c| c.is_ascii_digit());
    (opens && !after_number).then_some((at, false))
}

fn ring_exists(digits: &str) -> bool {
    digits.parse().ok().and_then(ring_by_number).is_some()
}

/// Bytes around a dash number in which a word may say that rings are meant.
const NEAR: usize = 120;

/// Whether the text speaks of rings or seals near the place.
fn is_ring_talk(text: &str, at: usize) -> bool {
    let mut start = at.saturating_sub(NEAR);
    while !text.is_char_boundary(start) {
        start += 1;
    }
    let mut end = text.len().min(at + NEAR);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let words = ["ring", "seal", "dash"];
    let near = |span: &str| {
        span.split(|c: char| !c.is_alphabetic())
            .map(str::to_lowercase)
            .any(|word| words.iter().any(|known| word.trim_end_matches('s') == *known))
    };
    near(&text[start..end])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> Vec<String> {
        find_dashes(text).into_iter().map(|(_, dash)| dash).collect()
    }

    #[test]
    fn dash_numbers_are_heard_in_words() {
        let heard =
            |text: &str| find_spoken_dashes(text).into_iter().map(|d| d.1).collect::<Vec<_>>();
        assert_eq!(heard("a dash oh one two, flat on one side"), ["012"]);
        assert_eq!(
            heard("takes a dash one eighteen, the piston a dash two eighteen."),
            ["118", "218"]
        );
        assert_eq!(heard("dash two hundred and ten and dash one oh four"), ["210", "104"]);
        assert_eq!(heard("dash one twenty-four"), ["124"]);
        assert_eq!(heard("dash one hundred and six"), ["106"]);
        assert!(heard("we dash one by one to the door, a dash of oil").is_empty());
    }

    #[test]
    fn dash_numbers_in_sentences() {
        assert_eq!(found("Swap a -015 for a -012."), ["015", "012"]);
        assert_eq!(found("an AS568-212 ring, or (-014)"), ["212", "014"]);
        assert_eq!(found("the ring is a -210"), ["210"]);
        let text = "an AS568 -012 here";
        assert_eq!(&text[find_dashes(text)[0].0.start..find_dashes(text)[0].0.end], "AS568 -012");
    }

    #[test]
    fn other_hyphens_are_left_alone() {
        for text in [
            "part 10-012",
            "M3-012",
            "-0123",
            "-012.5",
            "between -200 and 300",
            "down to -040 °C",
            "2026-012-3",
            "5 -012",
        ] {
            assert!(found(text).is_empty(), "{text}");
        }
    }
}
