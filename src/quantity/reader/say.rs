//! How a figure is said: "1.8 bar" is "one point eight bar".

use super::spelled::{SMALL, TENS};
use crate::quantity::Unit;
use crate::quantity::units::{match_unit, table};

/// A figure as a speaker says it; `None` where it is more than a number with a unit.
pub(crate) fn said(figure: &str) -> Option<String> {
    let figure = figure.trim();
    let end = figure.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(figure.len());
    let (number, rest) = (&figure[..end], figure[end..].trim());
    let (whole, decimals) = match number.split_once('.') {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (number, None),
    };
    let mut words = match whole {
        "" | "0" if decimals.is_some() => "nought".to_owned(),
        whole => cardinal(whole.parse().ok()?)?,
    };
    if let Some(decimals) = decimals {
        let digits = decimals.bytes().map(|byte| SMALL.get(usize::from(byte.wrapping_sub(b'0'))));
        let digits: Option<Vec<&str>> = digits.map(|word| word.copied()).collect();
        words = format!("{words} point {}", digits?.join(" ").replace("zero", "oh"));
    }
    if rest.is_empty() {
        return Some(words);
    }
    let (unit, _, length) = match_unit(rest)?;
    let is_one = words == "one";
    let name = spoken_unit(unit, is_one).unwrap_or_else(|| rest[..length].to_owned());
    let behind = &rest[length..];
    Some(format!("{words} {name}{behind}"))
}

/// A unit as it is said: its symbol where that is a word, else the British spelling.
fn spoken_unit(unit: &Unit, is_one: bool) -> Option<String> {
    let is_word = |text: &str| text.bytes().all(|b| b.is_ascii_lowercase() || b == b' ');
    let all: Vec<&str> = table().spellings_of(unit).collect();
    if 3 <= unit.symbol.len() && is_word(&unit.symbol) {
        return Some(unit.symbol.to_string());
    }
    if !is_one && all.contains(&"feet") {
        return Some("feet".to_owned());
    }
    let is_plural = |text: &&&str| text.ends_with('s') || text.contains("s per ");
    let long = all.iter().filter(|text| 4 <= text.len() && is_word(text));
    let of_number = long.filter(|text| is_plural(text) != is_one);
    of_number.max().map(|text| (*text).to_owned())
}

/// A whole number below a million in words.
fn cardinal(number: u32) -> Option<String> {
    let small = |number: u32| SMALL.get(usize::try_from(number).ok()?).map(|w| (*w).to_owned());
    match number {
        0..20 => small(number),
        20..100 => {
            let tens = TENS.get(usize::try_from(number / 10 - 2).ok()?)?;
            match number % 10 {
                0 => Some((*tens).to_owned()),
                ones => Some(format!("{tens}-{}", small(ones)?)),
            }
        }
        100..1000 => {
            let hundreds = format!("{} hundred", small(number / 100)?);
            match number % 100 {
                0 => Some(hundreds),
                rest => Some(format!("{hundreds} and {}", cardinal(rest)?)),
            }
        }
        1000..1_000_000 => {
            let thousands = format!("{} thousand", cardinal(number / 1000)?);
            match number % 1000 {
                0 => Some(thousands),
                rest if rest < 100 => Some(format!("{thousands} and {}", cardinal(rest)?)),
                rest => Some(format!("{thousands} {}", cardinal(rest)?)),
            }
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_said_as_people_say_them() {
        for (figure, words) in [
            ("1.8 bar", "one point eight bar"),
            ("0.05 mm", "nought point oh five millimetres"),
            ("118 m", "one hundred and eighteen metres"),
            ("2500", "two thousand five hundred"),
            ("42 ms", "forty-two milliseconds"),
        ] {
            assert_eq!(said(figure).as_deref(), Some(words));
        }
        assert_eq!(said("3 to 5 mm"), None);
    }
}
