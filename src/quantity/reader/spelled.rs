//! Numbers in words: "one hundred and twenty eight", "zero point nine", "two and a half".
//!
//! A grammar of English number words, closed like the table of units. It does not know what the
//! number counts; see `nouns.rs` and `after.rs` for what must follow.

use super::words::{blank, one_of, skip_blanks, word_at};
use crate::quantity::Number;

/// A number in words and where it ends.
#[derive(Debug, Clone)]
pub(super) struct Spelled {
    /// The number, marked as spelled.
    pub(super) number: Number,
    /// One past its last byte.
    pub(super) end: usize,
    /// Whether a fraction word stands last, after which "of an" may lead to the unit.
    pub(super) fraction: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum SpelledWord {
    Small(u32),
    Tens(u32),
    Hundred,
    Power(u32),
    Dozen,
}

/// Numbers below twenty in words, from nought.
pub(crate) const SMALL: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
/// Tens in words, from twenty.
pub(crate) const TENS: [&str; 8] =
    ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

/// Denominators in words, singular; the plural takes an `s`.
const PARTS: [(&str, u32); 13] = [
    ("half", 2),
    ("third", 3),
    ("quarter", 4),
    ("fourth", 4),
    ("fifth", 5),
    ("sixth", 6),
    ("seventh", 7),
    ("eighth", 8),
    ("ninth", 9),
    ("tenth", 10),
    ("sixteenth", 16),
    ("hundredth", 100),
    ("thousandth", 1000),
];

/// Whether a word may begin a cardinal number, by its first three letters: turns away nearly all
/// words of a text at once.
pub(super) fn may_begin(word: &[u8]) -> bool {
    let &[a, b, c, ..] = word else { return false };
    // Setting this bit makes ASCII letters small.
    matches!(
        &[a | 0x20, b | 0x20, c | 0x20],
        b"zer"
            | b"one"
            | b"two"
            | b"thr"
            | b"fou"
            | b"fiv"
            | b"six"
            | b"sev"
            | b"eig"
            | b"nin"
            | b"ten"
            | b"ele"
            | b"twe"
            | b"thi"
            | b"fif"
            | b"for"
            | b"nou"
            | b"nau"
    )
}

/// Whether an article or a word of part begins a number: by itself, or by what stands behind it.
pub(super) fn may_begin_behind(word: &[u8], behind: &[u8]) -> bool {
    match word {
        [b'a' | b'A'] | [b'a' | b'A', b'n'] => {
            let next = behind.get(1..4).unwrap_or_default();
            let part = matches!(
                next,
                b"hun"
                    | b"tho"
                    | b"hal"
                    | b"thi"
                    | b"qua"
                    | b"fif"
                    | b"six"
                    | b"sev"
                    | b"eig"
                    | b"nin"
                    | b"ten"
                    | b"doz"
                    | b"mil"
                    | b"fou"
            );
            part || holds_and(behind)
        }
        [b'h' | b'H', b'a', b'l', b'f'] | [b'p' | b'P', b'o', b'i', b'n', b't'] => true,
        [b't' | b'T', b'w' | b'h', b'i' | b'r', ..] => true,
        [b'd' | b'D', b'o', b'u', b'b', b'l', b'e'] | [b'q' | b'Q', b'u', b'a', b'r', ..] => true,
        _ => false,
    }
}

/// Whether the second word behind is "and": "an inch and a half".
fn holds_and(behind: &[u8]) -> bool {
    let word = behind.iter().skip(1).take(14).take_while(|b| b.is_ascii_alphabetic()).count();
    behind.get(word + 1..word + 5) == Some(b" and")
}

/// "and a half" behind `at`: the part and where it ends.
pub(super) fn and_part_behind(text: &str, at: usize) -> Option<((u32, u32), usize)> {
    let (and, and_at) = following(text, at);
    let part = and.eq_ignore_ascii_case("and").then(|| and_part(text, and_at + 3))??;
    // "a bar and a third seal" tells an ordinal.
    let (next, _) = super::words::next_word(text, part.1);
    let halves = matches!(part.0, (1 | 3, 2 | 4));
    (halves || next.is_empty()).then_some(part)
}

/// A whole number and a part.
pub(super) fn mixed(whole: i64, part: (u32, u32)) -> Number {
    fraction(whole, part, 0).number
}

/// Whether a word that begins with this letter may begin a spoken number.
pub(super) fn may_begin_spoken(first: u8) -> bool {
    matches!(
        first.to_ascii_lowercase(),
        b'z' | b'o' | b't' | b'f' | b's' | b'e' | b'n' | b'a' | b'h' | b'p' | b'q'
    )
}

fn number_word(word: &str) -> Option<SpelledWord> {
    if word.len() < 3 || 9 < word.len() {
        return None;
    }
    let position = |list: &[&str]| list.iter().position(|known| word.eq_ignore_ascii_case(known));
    if let Some(value) = position(&SMALL) {
        return u32::try_from(value).ok().map(SpelledWord::Small);
    }
    if let Some(index) = position(&TENS) {
        return u32::try_from(index).ok().map(|index| SpelledWord::Tens(10 * (index + 2)));
    }
    match () {
        () if one_of(word, &["nought", "naught"]) => Some(SpelledWord::Small(0)),
        () if one_of(word, &["fourty"]) => Some(SpelledWord::Tens(40)),
        () if one_of(word, &["hundred", "hundreds"]) => Some(SpelledWord::Hundred),
        () if word.eq_ignore_ascii_case("thousand") => Some(SpelledWord::Power(3)),
        () if word.eq_ignore_ascii_case("million") => Some(SpelledWord::Power(6)),
        () if word.eq_ignore_ascii_case("dozen") => Some(SpelledWord::Dozen),
        () => None,
    }
}

fn part_word(word: &str) -> Option<u32> {
    let singular = word.strip_suffix(['s', 'S']).unwrap_or(word);
    if word.eq_ignore_ascii_case("halves") {
        return Some(2);
    }
    PARTS.iter().find(|(part, _)| singular.eq_ignore_ascii_case(part)).map(|(_, value)| *value)
}

/// The word behind one gap (blanks or a hyphen) after `at`, and where it starts.
fn following(text: &str, at: usize) -> (&str, usize) {
    let bytes = text.as_bytes();
    let start = if bytes.get(at) == Some(&b'-') { at + 1 } else { skip_blanks(bytes, at) };
    if start == at { ("", at) } else { (word_at(text, start), start) }
}

/// Reads the number that the word at `at` begins, plain cardinal numbers only.
pub(super) fn cardinal(text: &str, at: usize) -> Option<Spelled> {
    let (value, end) = whole_number(text, at)?;
    Some(Spelled { number: spelled_integer(value), end, fraction: false })
}

/// Reads the number that the word at `at` begins, with parts; `aloud` also as it is only spoken:
/// "one fourteen", "one oh four", "point nine".
pub(super) fn spoken(text: &str, at: usize, aloud: bool) -> Option<Spelled> {
    let first = word_at(text, at);
    let whole = match number_word(first) {
        Some(SpelledWord::Small(_) | SpelledWord::Tens(_)) => accumulate(text, at, 0, aloud),
        _ => None,
    };
    let (value, end) = match whole {
        Some(found) => found,
        None if aloud && one_of(first, &["point", "oh"]) => return leading_point(text, at, first),
        None => return article_number(text, at, first),
    };
    let (next, next_at) = following(text, end);
    if next.eq_ignore_ascii_case("point")
        && let Some(found) = decimals(text, next_at + next.len(), value)
    {
        return Some(found);
    }
    if let Some(denominator) = part_word(next) {
        let next_end = next_at + next.len();
        let numerator = u32::try_from(value).ok().filter(|n| *n < denominator && 0 < *n)?;
        // "one second" is a time and "one third" a fraction; "two fifty" never comes here.
        return Some(fraction(0, (numerator, denominator), next_end));
    }
    if next.eq_ignore_ascii_case("and")
        && let Some((part, part_end)) = and_part(text, next_at + next.len())
    {
        return Some(fraction(value, part, part_end));
    }
    Some(Spelled { number: spelled_integer(value), end, fraction: false })
}

/// "a half", "a quarter", "three quarters" behind "and".
fn and_part(text: &str, at: usize) -> Option<((u32, u32), usize)> {
    let (word, start) = following(text, at);
    let numerator = match number_word(word) {
        Some(SpelledWord::Small(value)) if (1..16).contains(&value) => value,
        None if one_of(word, &["a", "an"]) => 1,
        _ => return None,
    };
    let (part, part_at) = following(text, start + word.len());
    Some(((numerator, part_word(part)?), part_at + part.len()))
}

/// "half", "a half", "a quarter", "a hundred", "a dozen".
fn article_number(text: &str, at: usize, first: &str) -> Option<Spelled> {
    if one_of(first, &["half", "quarter"]) {
        let denominator = part_word(first)?;
        return Some(fraction(0, (1, denominator), at + first.len()));
    }
    if !one_of(first, &["a", "an"]) {
        return None;
    }
    let (next, next_at) = following(text, at + first.len());
    let next_end = next_at + next.len();
    if let Some(denominator) = part_word(next) {
        return Some(fraction(0, (1, denominator), next_end));
    }
    match number_word(next)? {
        SpelledWord::Hundred | SpelledWord::Power(_) | SpelledWord::Dozen => {
            let (value, end) = accumulate(text, next_at, 1, false)?;
            Some(Spelled { number: spelled_integer(value), end, fraction: false })
        }
        _ => None,
    }
}

/// "point nine", "oh point nine".
fn leading_point(text: &str, at: usize, first: &str) -> Option<Spelled> {
    let end = at + first.len();
    if first.eq_ignore_ascii_case("point") {
        return decimals(text, end, 0);
    }
    let (point, point_at) = following(text, end);
    if point.eq_ignore_ascii_case("point") {
        decimals(text, point_at + point.len(), 0)
    } else {
        None
    }
}

/// The digits after "point": one by one, or a number below a hundred.
fn decimals(text: &str, at: usize, whole: i64) -> Option<Spelled> {
    let (mut end, mut digits) = (at, String::new());
    while digits.len() < 12 {
        let (word, start) = following(text, end);
        let value = match number_word(word) {
            Some(SpelledWord::Small(value)) if value < 10 => value,
            None if one_of(word, &["oh", "o"]) => 0,
            Some(SpelledWord::Small(value)) if digits.is_empty() => value,
            Some(SpelledWord::Tens(tens)) if digits.is_empty() => {
                let (unit, unit_at) = following(text, start + word.len());
                if let Some(SpelledWord::Small(unit_value @ 1..=9)) = number_word(unit) {
                    digits = (tens + unit_value).to_string();
                    end = unit_at + unit.len();
                } else {
                    digits = tens.to_string();
                    end = start + word.len();
                }
                break;
            }
            _ => break,
        };
        digits.push_str(&value.to_string());
        end = start + word.len();
        if 9 < value {
            break;
        }
    }
    if digits.is_empty() {
        return None;
    }
    let exponent = -i32::try_from(digits.len()).ok()?;
    let all = format!("{whole}{digits}");
    let significant = all.trim_start_matches('0').len().max(1);
    let number = Number {
        mantissa: all.parse().ok()?,
        exponent,
        fraction: None,
        significant: u32::try_from(significant).ok()?,
        integer_zeros: 0,
        spelled: true,
        negative: false,
    };
    Some(Spelled { number, end, fraction: false })
}

fn whole_number(text: &str, at: usize) -> Option<(i64, usize)> {
    match number_word(word_at(text, at))? {
        SpelledWord::Small(_) | SpelledWord::Tens(_) => accumulate(text, at, 0, false),
        SpelledWord::Hundred | SpelledWord::Power(_) | SpelledWord::Dozen => None,
    }
}

/// Adds up number words from `at`; `begun` is 1 after "a" ("a hundred and twenty").
fn accumulate(text: &str, at: usize, begun: i64, aloud: bool) -> Option<(i64, usize)> {
    let (mut total, mut current) = (0_i64, begun);
    let (mut end, mut start) = (at, at);
    let mut last: Option<SpelledWord> = None;
    for _ in 0..16 {
        let spelled = word_at(text, start);
        // "one oh four" is 104.
        if aloud
            && one_of(spelled, &["oh", "o"])
            && matches!(last, Some(SpelledWord::Small(1..=9)))
            && total == 0
            && let (unit, unit_at) = following(text, start + spelled.len())
            && let Some(SpelledWord::Small(value @ 1..=9)) = number_word(unit)
        {
            return Some((current * 100 + i64::from(value), unit_at + unit.len()));
        }
        let Some(word) = number_word(spelled) else { break };
        let fits = match (last, word) {
            (None, _) => true,
            (Some(SpelledWord::Tens(_)), SpelledWord::Small(1..=9)) => true,
            (
                Some(SpelledWord::Hundred | SpelledWord::Power(_)),
                SpelledWord::Small(1..) | SpelledWord::Tens(_),
            ) => true,
            // "one twenty eight" is 128 and "eight fifty" 850 when spoken.
            (Some(SpelledWord::Small(1..=9)), SpelledWord::Tens(_) | SpelledWord::Small(10..)) => {
                aloud && current < 10 && total == 0
            }
            (Some(SpelledWord::Small(_) | SpelledWord::Tens(_)), SpelledWord::Hundred) => {
                0 < current && current < 100
            }
            (Some(SpelledWord::Power(_)), _) => false,
            (Some(_), SpelledWord::Power(_)) => 0 < current,
            (Some(SpelledWord::Small(_) | SpelledWord::Tens(_)), SpelledWord::Dozen) => total == 0,
            _ => false,
        };
        if !fits {
            break;
        }
        match word {
            SpelledWord::Small(value) if matches!(last, Some(SpelledWord::Small(_))) => {
                current = current * 100 + i64::from(value);
            }
            SpelledWord::Small(value) => current += i64::from(value),
            SpelledWord::Tens(value) if matches!(last, Some(SpelledWord::Small(_))) => {
                current = current * 100 + i64::from(value);
            }
            SpelledWord::Tens(value) => current += i64::from(value),
            SpelledWord::Hundred => current *= 100,
            SpelledWord::Dozen => current *= 12,
            SpelledWord::Power(power) => {
                total += current.checked_mul(10_i64.checked_pow(power)?)?;
                current = 0;
            }
        }
        end = start + word_at(text, start).len();
        last = Some(word);
        let (mut next, mut next_at) = following(text, end);
        if next.eq_ignore_ascii_case("and")
            && matches!(word, SpelledWord::Hundred | SpelledWord::Power(_))
        {
            (next, next_at) = following(text, next_at + next.len());
        }
        if next.is_empty() {
            break;
        }
        start = next_at;
    }
    Some((total + current, end))
}

fn spelled_integer(value: i64) -> Number {
    Number { spelled: true, ..Number::integer(value) }
}

fn fraction(whole: i64, parts: (u32, u32), end: usize) -> Spelled {
    let number = Number {
        fraction: Some(parts),
        spelled: true,
        significant: 2,
        integer_zeros: 0,
        ..Number::integer(whole)
    };
    Spelled { number, end, fraction: true }
}

/// Where the filler after a fraction ends: "half **a** millimetre", "a quarter **of an** inch".
pub(super) fn filler_end(text: &str, at: usize) -> usize {
    let (mut word, mut start) = super::words::next_word(text, at);
    if word.eq_ignore_ascii_case("of") {
        (word, start) = super::words::next_word(text, start + word.len());
    }
    let fills = one_of(word, &["a", "an", "one"]) && blank(text.as_bytes(), at).is_some();
    if fills { start + word.len() } else { at }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Rational;

    fn value(text: &str) -> Option<(Rational, usize)> {
        spoken(text, 0, true).map(|found| (found.number.value(), found.end))
    }

    #[test]
    fn every_word_that_begins_a_number_may_begin_one() {
        let others = ["nought", "naught", "fourty"];
        for word in SMALL.iter().chain(&TENS).chain(&others) {
            assert!(
                may_begin(word.as_bytes()) && may_begin(word.to_uppercase().as_bytes()),
                "{word}"
            );
            assert!(may_begin_spoken(word.as_bytes()[0]), "{word}");
        }
    }

    #[test]
    fn spoken_numbers() {
        for (text, numerator, denominator) in [
            ("one hundred and twenty eight", 128, 1),
            ("one hundred and twenty-eight", 128, 1),
            ("a hundred and twenty", 120, 1),
            ("one twenty eight", 128, 1),
            ("one fourteen", 114, 1),
            ("one oh four", 104, 1),
            ("three fifty", 350, 1),
            ("fifty-two point three", 523, 10),
            ("a hundred and forty", 140, 1),
            ("forty five hundred", 4500, 1),
            ("three thousand", 3000, 1),
            ("three thousand two hundred", 3200, 1),
            ("zero point nine", 9, 10),
            ("point oh six two", 62, 1000),
            ("eight point eight", 88, 10),
            ("eight point twenty five", 825, 100),
            ("two and a half", 5, 2),
            ("one and three quarters", 7, 4),
            ("three eighths", 3, 8),
            ("two-thirds", 2, 3),
            ("half", 1, 2),
            ("a dozen", 12, 1),
        ] {
            let expected = Rational::new(numerator.into(), denominator.into());
            assert_eq!(value(text), Some((expected, text.len())), "{text}");
        }
    }

    #[test]
    fn words_that_only_look_like_numbers() {
        for text in ["tent", "often", "and a half", "hundred", "pointed", "oh dear", "a bore"] {
            assert_eq!(value(text), None, "{text}");
        }
    }
}
