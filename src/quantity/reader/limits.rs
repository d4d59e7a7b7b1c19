//! Limit deviations: `8.0 +0.1/−0.05 mm` is a size between 7.95 mm and 8.1 mm.
//!
//! Drawings give a nominal size with an upper and a lower deviation, which add up to the limits of
//! size (ISO 286-1; memory). Where the nominal size lies between the limits they are a ± with two
//! sides; where both lie above or below it (a shaft's fit), the figure is the range between them.
//! Both deviations have a sign, or one of them is nought; the nominal size and both share one unit.

use super::words::skip_blanks;
use crate::quantity::number::scan;
use crate::quantity::{Amount, Number, Tolerance};

/// What deviations make of a nominal size.
#[derive(Debug, Clone)]
pub(super) struct Limits {
    /// The nominal size, or both limits.
    pub(super) amount: Amount,
    /// Its ±, where it is the nominal size.
    pub(super) tolerance: Option<Tolerance>,
    /// One past the deviations.
    pub(super) end: usize,
}

/// A deviation and where it ends.
struct Deviation {
    number: Number,
    is_signed: bool,
    /// Whether blanks stand behind the sign, as in a sum.
    is_spaced: bool,
    end: usize,
}

/// Reads the deviations behind a nominal size, from `at` on; they may stand in brackets.
pub(super) fn behind(text: &str, at: usize, nominal: &Number, comma: bool) -> Option<Limits> {
    let bytes = text.as_bytes();
    let mut start = skip_blanks(bytes, at);
    let is_open = bytes.get(start) == Some(&b'(');
    if is_open {
        start = skip_blanks(bytes, start + 1);
    }
    // Nearly every number is turned away here.
    if !starts_deviation(&text[start..], is_open) {
        return None;
    }
    let first = deviation(text, start, comma)?;
    let (second_at, mark) = separator(text, first.end)?;
    let second = deviation(text, second_at, comma)?;
    let nought = |deviation: &Deviation| deviation.number.mantissa == 0;
    let known = |deviation: &Deviation| deviation.is_signed || nought(deviation);
    let below = |deviation: &Deviation| deviation.number.negative;
    // "5 mm -3 -2" and "1 + 2 - 3" are no sizes. With a stroke blanks may stand behind the signs,
    // and both limits may lie on one side (a shaft's fit).
    let is_clear = mark == Some(b'/')
        || !(first.is_spaced || second.is_spaced)
            && (below(&first) != below(&second) || nought(&first) || nought(&second));
    if !known(&first) || !known(&second) || !(first.is_signed || second.is_signed) || !is_clear {
        return None;
    }
    let end = if is_open {
        let close = skip_blanks(bytes, second.end);
        (bytes.get(close) == Some(&b')')).then_some(close + 1)?
    } else {
        second.end
    };
    let mut deviations = [first.number, second.number];
    deviations.sort_by_key(Number::value);
    let [lower, upper] = deviations;
    if lower.mantissa <= 0 && 0 <= upper.mantissa {
        // A nought is as fine as the other side: `+0.1/−0` allows nothing below.
        let finest = lower.exponent.min(upper.exponent);
        let side = |number: &Number| Number {
            mantissa: number.mantissa.abs(),
            exponent: if number.mantissa == 0 { finest } else { number.exponent },
            negative: false,
            ..number.clone()
        };
        let (half_width, below) = (side(&upper), side(&lower));
        let tolerance = Tolerance { half_width, below: Some(below), unit: None, coverage: None };
        let amount = Amount::Point(nominal.clone());
        return Some(Limits { amount, tolerance: Some(tolerance), end });
    }
    let amount = Amount::Range(sum(nominal, &lower)?, sum(nominal, &upper)?);
    Some(Limits { amount, tolerance: None, end })
}

fn starts_deviation(text: &str, in_brackets: bool) -> bool {
    text.starts_with(['+', '-', '\u{2212}', '–']) || in_brackets && text.starts_with('0')
}

fn deviation(text: &str, at: usize, comma: bool) -> Option<Deviation> {
    let rest = text.get(at..)?;
    let sign = rest.chars().next().filter(|c| matches!(c, '+' | '-' | '\u{2212}' | '–'));
    let behind_sign = sign.map_or(0, char::len_utf8);
    let body_at = if sign.is_some() { skip_blanks(rest.as_bytes(), behind_sign) } else { 0 };
    let body = &rest[body_at..];
    let point = if comma { ',' } else { '.' };
    let mut length = 0;
    for (at, c) in body.char_indices() {
        let goes_on = c.is_ascii_digit()
            || c == point && body[at + 1..].starts_with(|next: char| next.is_ascii_digit());
        if !goes_on {
            break;
        }
        length = at + 1;
    }
    // Of the number itself the usual reader knows more.
    let (Ok(number), read) = scan(&body[..length], comma)? else { return None };
    if read != length || number.fraction.is_some() {
        return None;
    }
    let is_below = sign.is_some_and(|sign| sign != '+');
    let number = if is_below {
        Number { mantissa: -number.mantissa, negative: true, ..number }
    } else {
        number
    };
    let (is_signed, is_spaced) = (sign.is_some(), behind_sign < body_at);
    Some(Deviation { number, is_signed, is_spaced, end: at + body_at + length })
}

/// Where the second deviation starts, and the stroke or comma before it.
fn separator(text: &str, at: usize) -> Option<(usize, Option<u8>)> {
    let bytes = text.as_bytes();
    let next = skip_blanks(bytes, at);
    if let Some(mark @ (b'/' | b',')) = bytes.get(next) {
        return Some((skip_blanks(bytes, next + 1), Some(*mark)));
    }
    let is_glued = next == at && !text[at..].starts_with(['-', '\u{2212}', '+']);
    (!is_glued).then_some((next, None))
}

/// The sum of two decimals, with as many decimals as the finer of them.
fn sum(a: &Number, b: &Number) -> Option<Number> {
    if a.fraction.is_some() || b.fraction.is_some() {
        return None;
    }
    let exponent = a.exponent.min(b.exponent);
    let aligned = |number: &Number| {
        let places = u32::try_from(number.exponent - exponent).ok()?;
        number.mantissa.checked_mul(10_i128.checked_pow(places)?)
    };
    let mantissa = aligned(a)?.checked_add(aligned(b)?)?;
    let digits = mantissa.unsigned_abs().to_string().len();
    Some(Number {
        mantissa,
        exponent,
        significant: u32::try_from(digits).ok()?,
        integer_zeros: 0,
        negative: mantissa < 0,
        ..Number::integer(0)
    })
}
