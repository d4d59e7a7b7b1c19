//! Slips of the hand in the digits of a number.
//!
//! All edits work on the writer's own spelling, so that grouping, sign and fraction stay. The
//! operators are those of the studies of number entry: decimal point and zeros (Lesar 2002),
//! substitution, adjacent transposition, omission and addition (Verhoeff 1969), both as read
//! second-hand.

use super::spelling::{PlacedEdit, Slot, SpelledNumber};
use super::{LikelyEdit, MOST_DIGITS};
use crate::quantity::{Amount, Number};
use std::collections::BTreeSet;

/// Applies `edits` to the spelling of every number and keeps those that read as a new value.
fn each_number(
    spelled: &SpelledNumber,
    words: &'static str,
    edits: impl Fn(&str) -> Vec<String>,
) -> Vec<LikelyEdit> {
    let mut found = Vec::new();
    for placed in &spelled.numbers {
        let written = spelled.number_text(placed);
        if MOST_DIGITS < written.chars().filter(char::is_ascii_digit).count() {
            continue;
        }
        let mut seen = BTreeSet::new();
        if let Some(old) = spelled.respelled(placed, written, words) {
            seen.extend(value_in(&old, placed));
        }
        for text in edits(written) {
            let Some(edit) = spelled.respelled(placed, &text, words) else { continue };
            if is_odd_fraction(&edit, placed)
                || leads_with_nought(&text) && !leads_with_nought(written)
            {
                continue;
            }
            // Nought stands for whatever is small: it is never what was meant.
            let is_something = |value: &Same| value.0 != 0 || value.2.is_some();
            if value_in(&edit, placed).filter(is_something).is_some_and(|value| seen.insert(value))
            {
                found.push(edit);
            }
        }
    }
    found
}

/// `01.0` is no number that anybody meant.
fn leads_with_nought(text: &str) -> bool {
    let digits = text.trim_start_matches(|c: char| !c.is_ascii_digit());
    digits.starts_with('0') && digits[1..].starts_with(|c: char| c.is_ascii_digit())
}

/// Fractions that nobody writes: improper, or with a denominator that no workshop uses.
fn is_odd_fraction(edit: &LikelyEdit, placed: &PlacedEdit) -> bool {
    number_in(edit, placed).and_then(|number| number.fraction).is_some_and(|(n, d)| {
        d <= n || !matches!(d, 2 | 3 | 4 | 5 | 6 | 8 | 10 | 16 | 32 | 64 | 128)
    })
}

/// What tells values apart, without the cost of exact numbers: digits without zeros at the end,
/// their power of ten, and the fraction.
type Same = (i128, i32, Option<(u32, u32)>, bool);

fn value_in(edit: &LikelyEdit, placed: &PlacedEdit) -> Option<Same> {
    let number = number_in(edit, placed)?;
    let (mut mantissa, mut exponent) = (number.mantissa, number.exponent);
    while mantissa != 0 && mantissa % 10 == 0 {
        (mantissa, exponent) = (mantissa / 10, exponent + 1);
    }
    let exponent = if mantissa == 0 { 0 } else { exponent };
    Some((mantissa, exponent, number.fraction, number.negative))
}

fn number_in<'a>(edit: &'a LikelyEdit, placed: &PlacedEdit) -> Option<&'a Number> {
    match (placed.slot, &edit.figure.amount) {
        (Slot::First, Amount::Point(number) | Amount::Range(number, _))
        | (Slot::Second, Amount::Range(_, number)) => Some(number),
        (Slot::Tolerance, _) => edit.figure.tolerance.as_ref().map(|ours| &ours.half_width),
        _ => None,
    }
}

/// Byte offsets of the digits.
fn digit_places(text: &str) -> Vec<usize> {
    text.bytes().enumerate().filter(|(_, b)| b.is_ascii_digit()).map(|(at, _)| at).collect()
}

fn with_byte(text: &str, at: usize, digit: u8) -> String {
    format!("{}{}{}", &text[..at], char::from(digit), &text[at + 1..])
}

/// The decimal point dropped or moved, a zero added or lost: a power of ten, up to a thousand.
pub(super) fn point_moved(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    let point = if spelled.comma { ',' } else { '.' };
    each_number(spelled, "decimal point moved", |text| {
        let (sign, body) = match text.find(|c: char| c.is_ascii_digit() || c == point) {
            Some(at) => text.split_at(at),
            None => return Vec::new(),
        };
        let plain = body.chars().all(|c| c.is_ascii_digit() || c == point || c == ',' || c == ' ');
        if !plain {
            return Vec::new();
        }
        let (whole, fraction) = body.split_once(point).unwrap_or((body, ""));
        let whole: String = whole.chars().filter(char::is_ascii_digit).collect();
        let digits = format!("{whole}{fraction}");
        let at = i64::try_from(whole.len()).unwrap_or(0);
        let shifts = [1, -1, 2, -2, 3, -3];
        // Zeros at the end of an integer may be the slip itself: 380 for 38.
        let moved = |shift: i64| {
            let bare = fraction.is_empty();
            [bare, !bare].map(|bare| shifted(&digits, at + shift, point, bare))
        };
        shifts.into_iter().flat_map(moved).map(|number| format!("{sign}{number}")).collect()
    })
}

/// `digits` with the point before the digit number `at`, padded with zeros; `bare` drops zeros at
/// the end, which were place holders.
fn shifted(digits: &str, at: i64, point: char, bare: bool) -> String {
    let count = i64::try_from(digits.len()).unwrap_or(0);
    let before = usize::try_from(-at.min(0)).unwrap_or(0);
    let behind = usize::try_from((at - count).max(0)).unwrap_or(0);
    let padded = format!("{}{digits}{}", "0".repeat(before), "0".repeat(behind));
    let (whole, fraction) = padded.split_at(usize::try_from(at.max(0)).unwrap_or(0));
    let whole = match whole.trim_start_matches('0') {
        "" => "0",
        trimmed => trimmed,
    };
    let fraction = if bare { fraction.trim_end_matches('0') } else { fraction };
    if fraction.is_empty() { whole.to_owned() } else { format!("{whole}{point}{fraction}") }
}

/// Two neighbouring digits swapped; then two digits around a third.
pub(super) fn neighbours_swapped(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    each_number(spelled, "digits swapped", |text| {
        let places = digit_places(text);
        let swap = |a: usize, b: usize| {
            let (x, y) = (text.as_bytes()[a], text.as_bytes()[b]);
            with_byte(&with_byte(text, a, y), b, x)
        };
        let near = places.windows(2).map(|pair| swap(pair[0], pair[1]));
        let jump = places.windows(3).map(|three| swap(three[0], three[2]));
        near.chain(jump).collect()
    })
}

/// "Fourteen" heard or written for "forty", also behind hundreds: "one fourteen" for 140.
pub(super) fn teens_and_tens(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    let in_words = match &spelled.figure.amount {
        Amount::Point(number) => number.spelled,
        Amount::Range(low, high) => low.spelled || high.spelled,
    };
    if !in_words {
        return Vec::new();
    }
    each_number(spelled, "-teen for -ty, or the other way round", |text| {
        let whole = text.split('.').next().unwrap_or_default();
        let rest = &text[whole.len()..];
        let Some(split) = whole.len().checked_sub(2) else { return Vec::new() };
        let Some((front, last)) = whole.split_at_checked(split) else { return Vec::new() };
        let other = match last.as_bytes() {
            [b'1', unit @ b'3'..=b'9'] => format!("{}0", char::from(*unit)),
            [tens @ b'3'..=b'9', b'0'] => format!("1{}", char::from(*tens)),
            _ => return Vec::new(),
        };
        vec![format!("{front}{other}{rest}")]
    })
}

/// One digit wrong.
pub(super) fn one_wrong(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    each_number(spelled, "one digit wrong", |text| {
        let places = digit_places(text);
        let each = |at: usize| (b'0'..=b'9').map(move |digit| (at, digit));
        places.into_iter().flat_map(each).map(|(at, digit)| with_byte(text, at, digit)).collect()
    })
}

/// One digit typed twice.
pub(super) fn one_doubled(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    each_number(spelled, "digit doubled", |text| {
        let places = digit_places(text);
        let twice = |pair: &&[usize]| text.as_bytes()[pair[0]] == text.as_bytes()[pair[1]];
        places.windows(2).filter(twice).map(|pair| without(text, pair[1])).collect()
    })
}

fn without(text: &str, at: usize) -> String {
    let shorter = format!("{}{}", &text[..at], &text[at + 1..]);
    // Groups of thousands no longer come out.
    let grouped = shorter.contains([',', ' ']) && !shorter.contains('/');
    if grouped { shorter.replace([',', ' '], "") } else { shorter }
}

/// One digit missing.
pub(super) fn one_missing(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    each_number(spelled, "digit missing", |text| {
        let places = digit_places(text);
        let behind = places.last().map(|last| last + 1);
        let ahead = |at: usize| (b'0'..=b'9').map(move |digit| (at, digit));
        let spots = places.iter().copied().chain(behind);
        let insert = |(at, digit): (usize, u8)| {
            let longer = format!("{}{}{}", &text[..at], char::from(digit), &text[at..]);
            let grouped = longer.contains([',', ' ']) && !longer.contains('/');
            if grouped { longer.replace([',', ' '], "") } else { longer }
        };
        spots.flat_map(ahead).map(insert).collect()
    })
}

/// One digit too many.
pub(super) fn one_added(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    each_number(spelled, "one digit too many", |text| {
        digit_places(text).into_iter().map(|at| without(text, at)).collect()
    })
}

/// A fraction misread: 1/16 as 0.16, 1/6, 1-1/16 as 11/16, and back.
pub(super) fn fraction_misread(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    each_number(spelled, "fraction misread", |text| {
        let digits: String = text.chars().filter(char::is_ascii_digit).collect();
        let mut found = Vec::new();
        if let Some(digits) = text.strip_prefix("0.").or_else(|| text.strip_prefix('.')) {
            // 0.16 for 1/16, 0.38 for 3/8.
            found.push(format!("1/{digits}"));
            for cut in 1..digits.len() {
                found.push(format!("{}/{}", &digits[..cut], &digits[cut..]));
            }
        }
        if text.contains(['/', '\u{2044}']) {
            let first = digits.get(..1).unwrap_or_default();
            for denominator in ["2", "4", "8", "16", "32", "64"] {
                // The denominator wrong.
                let numerator = text.split(['/', '\u{2044}']).next().unwrap_or_default();
                found.push(format!("{numerator}/{denominator}"));
                // 11/16 for 1-1/16.
                if let Some(rest) = numerator.strip_prefix(first).filter(|rest| !rest.is_empty()) {
                    found.push(format!("{first}-{rest}/{denominator}"));
                }
            }
        }
        found
    })
}

/// The ends of a range written in each other's place.
pub(super) fn ends_swapped_around(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    let Amount::Range(low, high) = &spelled.figure.amount else { return Vec::new() };
    let [first, second, ..] = spelled.numbers.as_slice() else { return Vec::new() };
    let mut figure = spelled.figure.clone();
    figure.amount = Amount::Range(high.clone(), low.clone());
    let between = spelled.text.get(first.end..second.start).unwrap_or_default();
    let text = format!(
        "{}{}{between}{}{}",
        spelled.text.get(..first.start).unwrap_or_default(),
        spelled.number_text(second),
        spelled.number_text(first),
        spelled.text.get(second.end..).unwrap_or_default(),
    );
    vec![LikelyEdit { figure, text, words: "ends of the range swapped" }]
}

/// A minus sign lost, or one too many.
pub(super) fn sign_lost(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    each_number(spelled, "sign lost or added", |text| {
        match text.strip_prefix(['-', '\u{2212}', '+']) {
            Some(rest) => vec![rest.to_owned()],
            None => vec![format!("\u{2212}{text}")],
        }
    })
}
