//! Numbers as people write them, with the digits they wrote.
//!
//! Trailing zeros are information: `1.50` stands for a narrower interval than `1.5`. So a number
//! keeps its mantissa and exponent as written and becomes a [`Rational`] only when judged.

use super::exact::{Rational, decimal};
use num_bigint::BigInt;
use num_traits::Signed;

/// A number as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number {
    /// All written digits as an integer, with the sign; the whole part of a mixed fraction.
    pub mantissa: i128,
    /// Power of ten of the last written digit.
    pub exponent: i32,
    /// Numerator and denominator of a written fraction.
    pub fraction: Option<(u32, u32)>,
    /// Count of significant digits, trailing zeros of an integer included.
    pub significant: u32,
    /// Trailing zeros of an integer written without point or exponent.
    pub integer_zeros: u32,
    /// Whether it was spelled in words.
    pub spelled: bool,
    /// Whether a minus sign stands before it (a mixed fraction may have a zero whole part).
    pub negative: bool,
}

impl Number {
    /// An integer, as if written plainly.
    #[must_use]
    pub fn integer(value: i64) -> Number {
        let digits = value.unsigned_abs().to_string();
        let zeros = digits.len() - digits.trim_end_matches('0').len();
        Number {
            mantissa: i128::from(value),
            exponent: 0,
            fraction: None,
            significant: u32::try_from(digits.len()).unwrap_or(1),
            integer_zeros: if value == 0 { 0 } else { u32::try_from(zeros).unwrap_or(0) },
            spelled: false,
            negative: value < 0,
        }
    }

    /// Exact value.
    #[must_use]
    pub fn value(&self) -> Rational {
        let whole = decimal(self.mantissa, self.exponent);
        match self.fraction {
            None => whole,
            Some((numerator, denominator)) => {
                let part = Rational::new(numerator.into(), BigInt::from(denominator.max(1)));
                if self.negative {
                    whole.abs() * Rational::from(BigInt::from(-1)) - part
                } else {
                    whole + part
                }
            }
        }
    }

    /// Resolution: one unit of the last written digit, or one part of a fraction. (R1)
    pub(crate) fn resolution(&self) -> Rational {
        match self.fraction {
            Some((_, denominator)) => Rational::new(1.into(), BigInt::from(denominator.max(1))),
            None => decimal(1, self.exponent),
        }
    }

    /// Loose resolution: trailing zeros of an integer may be mere place holders, but two figures
    /// always count (4500 → 100, 300 → 10, 30 → 1). (R1; ASTM E29 §3.1 on 140 000)
    pub(crate) fn loose_resolution(&self) -> Rational {
        let holders = self.integer_zeros.min(self.significant.saturating_sub(2));
        decimal(1, self.exponent + i32::try_from(holders).unwrap_or(0))
    }

    /// Digits that certainly count: trailing zeros of an integer do not.
    pub(crate) fn certain_digits(&self) -> u32 {
        (self.significant - self.integer_zeros.min(self.significant)).max(1)
    }
}

/// What stopped a number from being read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberFault {
    /// `2,5` where no decimal comma is declared: 2.5 or a list?
    AmbiguousComma,
    /// More digits or a larger exponent than any figure needs.
    TooLong,
    /// A fraction over nought.
    ZeroDenominator,
    /// Two points, or a group of other than three digits (`1,50,000`).
    BadGrouping,
}

/// Outcome of [`scan`]: the number or why not, and how many bytes it covers.
pub(crate) type Scanned = (Result<Number, NumberFault>, usize);

const MAX_DIGITS: usize = 30;
const MAX_EXPONENT: i32 = 60;

/// Reads the number that `text` starts with. Handles a sign (`-`, `+`, U+2212), a leading point,
/// thousands separated by comma, blank, no-break or thin blank, a decimal comma where declared,
/// mixed fractions with blank or hyphen, vulgar fractions, U+2044, and exponents
/// (`1.5e-3`, `1.5×10^-3`, `1.5 × 10⁻³`). `None` when no number starts here.
#[must_use]
pub fn scan(text: &str, decimal_comma: bool) -> Option<Scanned> {
    let (negative, sign_length) = sign(text);
    let body = &text[sign_length..];
    let (mut outcome, length) = unsigned(body, decimal_comma)?;
    if let Ok(number) = &mut outcome
        && negative
    {
        number.mantissa = -number.mantissa;
        number.negative = true;
    }
    Some((outcome, sign_length + length))
}

fn sign(text: &str) -> (bool, usize) {
    let bytes = text.as_bytes();
    match bytes.first() {
        Some(b'-') => (true, 1),
        Some(b'+') => (false, 1),
        Some(0xE2) if text.starts_with('\u{2212}') => (true, '\u{2212}'.len_utf8()),
        _ => (false, 0),
    }
}

fn unsigned(text: &str, decimal_comma: bool) -> Option<Scanned> {
    let bytes = text.as_bytes();
    let first = *bytes.first()?;
    if let Some((fraction, length)) = vulgar(text) {
        return Some((Ok(from_fraction(0, 0, fraction)), length));
    }
    let (point, other) = if decimal_comma { (b',', b'.') } else { (b'.', b',') };
    let digit_behind = |at: usize, mark: u8| {
        bytes.get(at) == Some(&mark) && bytes.get(at + 1).is_some_and(u8::is_ascii_digit)
    };
    if !first.is_ascii_digit() && !digit_behind(0, point) {
        return None;
    }
    let whole_end = digits_end(bytes, 0);
    let groups_end = whole_groups(text, whole_end, decimal_comma);
    // A plain fraction `3/8` or a mixed one `1 1/16`, `1-1/16`.
    if groups_end == whole_end
        && bytes.get(whole_end) != Some(&point)
        && let Some((outcome, length)) = fractions(text, whole_end)
    {
        return Some((outcome, length));
    }
    let mut at = groups_end;
    let chain = |from: usize, mark: u8| {
        let mut end = from;
        while digit_behind(end, mark) {
            end = digits_end(bytes, end + 1);
        }
        end
    };
    // `2,5`, `1,50,000`: neither a decimal nor thousands.
    if digit_behind(at, other) {
        let end = chain(at, other);
        let grouped = text[whole_end..groups_end].contains(char::from(other));
        let once = !grouped && end == digits_end(bytes, at + 1);
        let fault = if once { NumberFault::AmbiguousComma } else { NumberFault::BadGrouping };
        return Some((Err(fault), end));
    }
    let mut decimals = 0;
    if digit_behind(at, point) {
        let end = digits_end(bytes, at + 1);
        decimals = end - at - 1;
        // `1.2.3` is a version, not a number.
        if digit_behind(end, b'.') {
            return Some((Err(NumberFault::BadGrouping), chain(end, b'.')));
        }
        at = end;
    }
    let (ten_power, exponent_length) = exponent(&text[at..]);
    let digits: String = text[..at].bytes().filter(u8::is_ascii_digit).map(char::from).collect();
    let plain_integer = decimals == 0 && exponent_length == 0;
    let number = built(&digits, decimals, ten_power, plain_integer);
    Some((number, at + exponent_length))
}

/// Where thousands behind the whole digits end: groups of exactly three behind one separator.
/// Nobody groups behind a nought: `0,500` is a decimal comma.
fn whole_groups(text: &str, whole_end: usize, decimal_comma: bool) -> usize {
    if !(1..=3).contains(&whole_end) || text.starts_with('0') {
        return whole_end;
    }
    groups(text, whole_end, decimal_comma)
}

/// The number of these digits, the last `decimals` of which stand behind the point.
fn built(
    digits: &str,
    decimals: usize,
    ten_power: i32,
    plain_integer: bool,
) -> Result<Number, NumberFault> {
    if digits.len() > MAX_DIGITS || ten_power.abs() > MAX_EXPONENT {
        return Err(NumberFault::TooLong);
    }
    let mantissa = digits.parse::<i128>().map_err(|_| NumberFault::TooLong)?;
    let significant = digits.trim_start_matches('0').len().max(1);
    let zeros = digits.len() - digits.trim_end_matches('0').len();
    let counted = plain_integer && mantissa != 0;
    let exponent = ten_power - i32::try_from(decimals).unwrap_or(0);
    Ok(Number {
        mantissa,
        // A power of ten says nothing of nought: `0e60` does not stand for whatever is below that.
        exponent: if mantissa == 0 { exponent.min(0) } else { exponent },
        fraction: None,
        significant: u32::try_from(significant).unwrap_or(1),
        integer_zeros: if counted { u32::try_from(zeros).unwrap_or(0) } else { 0 },
        spelled: false,
        negative: false,
    })
}

fn digits_end(bytes: &[u8], from: usize) -> usize {
    let rest = bytes.get(from..).unwrap_or_default();
    from + rest.iter().take_while(|b| b.is_ascii_digit()).count()
}

/// Where groups of three digits after `at` end.
fn groups(text: &str, at: usize, decimal_comma: bool) -> usize {
    let separators: &[&str] = if decimal_comma {
        &[".", " ", "\u{a0}", "\u{202f}", "\u{2009}"]
    } else {
        &[",", " ", "\u{a0}", "\u{202f}", "\u{2009}"]
    };
    let bytes = text.as_bytes();
    for separator in separators {
        let mut end = at;
        while text.get(end..).is_some_and(|rest| rest.starts_with(separator)) {
            let group = end + separator.len();
            if digits_end(bytes, group) != group + 3 {
                break;
            }
            // `1 500/600` is a mixed fraction or a list, never thousands.
            if *separator == " " && matches!(bytes.get(group + 3), Some(b'/')) {
                break;
            }
            end = group + 3;
        }
        if end > at {
            return end;
        }
    }
    at
}

fn vulgar(text: &str) -> Option<((u32, u32), usize)> {
    let c = text.chars().next().filter(|c| !c.is_ascii())?;
    let fraction = match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅒' => (1, 10),
        _ => return None,
    };
    Some((fraction, c.len_utf8()))
}

/// `n/d` at `from` with denominators that workshops use; its value and where it ends.
fn slash_fraction(text: &str, from: usize) -> Option<(u32, u32, usize)> {
    let bytes = text.as_bytes();
    let numerator_end = digits_end(bytes, from);
    let slash = ["/", "\u{2044}"]
        .iter()
        .find(|slash| text.get(numerator_end..).is_some_and(|rest| rest.starts_with(*slash)))?;
    let denominator_start = numerator_end + slash.len();
    let end = digits_end(bytes, denominator_start);
    let short = |length: usize| (1..=3).contains(&length);
    if !short(numerator_end - from) || !short(end - denominator_start) {
        return None;
    }
    // `3/8/24` is a date.
    if bytes.get(end) == Some(&b'/') && bytes.get(end + 1).is_some_and(u8::is_ascii_digit) {
        return None;
    }
    let numerator = text[from..numerator_end].parse().ok()?;
    let denominator = text[denominator_start..end].parse().ok()?;
    Some((numerator, denominator, end))
}

fn fractions(text: &str, whole_end: usize) -> Option<Scanned> {
    let built = |whole: &str, numerator: u32, denominator: u32| {
        if denominator == 0 {
            return Err(NumberFault::ZeroDenominator);
        }
        let digits = u32::try_from(whole.len()).unwrap_or(1);
        let whole = whole.parse().map_err(|_| NumberFault::TooLong)?;
        Ok(from_fraction(whole, digits, (numerator, denominator)))
    };
    if let Some((numerator, denominator, end)) = slash_fraction(text, 0)
        && whole_end < end
    {
        return Some((built("0", numerator, denominator), end));
    }
    let rest = text.get(whole_end..)?;
    if whole_end > 4 {
        return None;
    }
    if let Some((fraction, length)) = vulgar(rest) {
        return Some((built(&text[..whole_end], fraction.0, fraction.1), whole_end + length));
    }
    let gap = [" ", "-", "\u{a0}", "\u{2011}"].iter().find(|gap| rest.starts_with(**gap))?;
    let from = whole_end + gap.len();
    if let Some((fraction, length)) = text.get(from..).and_then(vulgar) {
        return Some((built(&text[..whole_end], fraction.0, fraction.1), from + length));
    }
    let (numerator, denominator, end) = slash_fraction(text, from)?;
    let proper =
        numerator < denominator && matches!(denominator, 2 | 3 | 4 | 8 | 16 | 32 | 64 | 128);
    proper.then(|| (built(&text[..whole_end], numerator, denominator), end))
}

fn from_fraction(whole: i128, whole_digits: u32, fraction: (u32, u32)) -> Number {
    Number {
        mantissa: whole,
        exponent: 0,
        fraction: Some(fraction),
        significant: whole_digits + 2,
        integer_zeros: 0,
        spelled: false,
        negative: false,
    }
}

/// Power of ten behind the digits, and the bytes it covers.
fn exponent(text: &str) -> (i32, usize) {
    let bytes = text.as_bytes();
    if matches!(bytes.first(), Some(b'e' | b'E')) {
        let (negative, sign_length) = sign(&text[1..]);
        let start = 1 + sign_length;
        let end = digits_end(bytes, start);
        let continues = bytes.get(end).is_some_and(u8::is_ascii_alphabetic);
        if start < end && !continues {
            let power: i32 = text[start..end].parse().unwrap_or(i32::MAX / 2);
            return (if negative { -power } else { power }, end);
        }
        return (0, 0);
    }
    let trimmed = text.trim_start_matches([' ', '\u{a0}', '\u{202f}', '\u{2009}']);
    let Some(after) = trimmed
        .strip_prefix('×')
        .or_else(|| trimmed.strip_prefix('·'))
        .map(|rest| rest.trim_start_matches([' ', '\u{a0}', '\u{202f}', '\u{2009}']))
        .and_then(|rest| rest.strip_prefix("10"))
    else {
        return (0, 0);
    };
    let covered = |rest: &str| text.len() - rest.len();
    if let Some(caret) = after.strip_prefix('^') {
        let (negative, sign_length) = sign(caret);
        let end = digits_end(caret.as_bytes(), sign_length);
        if sign_length < end {
            let power: i32 = caret[sign_length..end].parse().unwrap_or(i32::MAX / 2);
            return (if negative { -power } else { power }, covered(&caret[end..]));
        }
        return (0, 0);
    }
    let mut power: i32 = 0;
    let mut negative = false;
    let mut rest = after;
    while let Some(c) = rest.chars().next() {
        match "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|digit| digit == c) {
            Some(digit) => {
                power = power.saturating_mul(10).saturating_add(i32::try_from(digit).unwrap_or(0));
            }
            None if c == '⁻' && rest.len() == after.len() => negative = true,
            None => break,
        }
        rest = &rest[c.len_utf8()..];
    }
    if rest.len() == after.len() {
        return (0, 0);
    }
    (if negative { -power } else { power }, covered(rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Rational, usize) {
        match scan(text, false) {
            Some((Ok(number), length)) => (number.value(), length),
            other => panic!("{text}: {other:?}"),
        }
    }

    fn ratio(numerator: i64, denominator: i64) -> Rational {
        Rational::new(numerator.into(), denominator.into())
    }

    #[test]
    fn forms_that_people_write() {
        for (text, value) in [
            ("128", ratio(128, 1)),
            (".25", ratio(1, 4)),
            ("1,500", ratio(1500, 1)),
            ("3 000 psi", ratio(3000, 1)),
            ("3\u{202f}000", ratio(3000, 1)),
            ("1 1/16 in", ratio(17, 16)),
            ("1-1/16", ratio(17, 16)),
            ("3/8\"", ratio(3, 8)),
            ("2½", ratio(5, 2)),
            ("1\u{2044}4", ratio(1, 4)),
            ("\u{2212}5", ratio(-5, 1)),
            ("-1 1/2", ratio(-3, 2)),
            ("1.5e-3", ratio(3, 2000)),
            ("1.5×10⁻³", ratio(3, 2000)),
            ("2 × 10^3", ratio(2000, 1)),
        ] {
            assert_eq!(read(text).0, value, "{text}");
        }
    }

    #[test]
    fn a_decimal_comma_is_read_only_where_declared() {
        assert_eq!(scan("0,500 mm", false), Some((Err(NumberFault::AmbiguousComma), 5)));
        assert_eq!(scan("1,50,000 mm", false), Some((Err(NumberFault::BadGrouping), 8)));
        assert_eq!(scan("2,5 mm", false), Some((Err(NumberFault::AmbiguousComma), 3)));
        let (comma, _) = scan("2,5 mm", true).expect("a number");
        assert_eq!(comma.expect("declared").value(), ratio(5, 2));
    }

    #[test]
    fn resolutions_follow_the_written_digits() {
        let resolution = |text: &str| {
            let number = scan(text, false).and_then(|(n, _)| n.ok()).expect(text);
            (number.resolution(), number.loose_resolution())
        };
        assert_eq!(resolution("4500"), (ratio(1, 1), ratio(100, 1)));
        assert_eq!(resolution("300"), (ratio(1, 1), ratio(10, 1)));
        assert_eq!(resolution("30"), (ratio(1, 1), ratio(1, 1)));
        assert_eq!(resolution("9.30"), (ratio(1, 100), ratio(1, 100)));
        assert_eq!(resolution("1/16").0, ratio(1, 16));
    }

    #[test]
    fn monstrous_numbers_are_refused_quickly() {
        assert_eq!(scan("1e1000000000", false).map(|s| s.0), Some(Err(NumberFault::TooLong)));
        assert_eq!(scan(&"9".repeat(5000), false).map(|s| s.0), Some(Err(NumberFault::TooLong)));
    }
}
