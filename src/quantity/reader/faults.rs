//! What the reader says when it cannot read: constructor functions, one a fault.

use super::ReadFault;
use super::unread::nearest_unit;
use crate::quantity::number::NumberFault;
use crate::quantity::units::two_meanings;
use crate::text::Span;
use std::ops::Range;

/// A number that has more than one reading, or none.
pub(super) fn number(text: &str, range: Range<usize>, fault: NumberFault) -> ReadFault {
    let shown = clipped(&text[range.clone()]);
    let (code, message, help) = match fault {
        NumberFault::AmbiguousComma if shown.contains('.') => (
            "ambiguous-number",
            format!("`{shown}` has a decimal point where the decimal comma is declared"),
            Some(format!("write `{}`", shown.replacen('.', ",", 1))),
        ),
        NumberFault::AmbiguousComma => (
            "ambiguous-number",
            format!("`{shown}` may be a decimal or a list"),
            Some(format!(
                "write `{}`, or declare `decimal_comma: true`",
                shown.replacen(',', ".", 1)
            )),
        ),
        NumberFault::BadGrouping => (
            "ambiguous-number",
            format!("the digits of `{shown}` are not grouped in threes"),
            Some("group thousands in threes, `1,500`, or not at all".to_owned()),
        ),
        NumberFault::ZeroDenominator => {
            ("ambiguous-number", format!("`{shown}` divides by nought"), None)
        }
        NumberFault::TooLong => (
            "number-too-long",
            format!("`{shown}` has more digits than any figure needs"),
            Some("write at most 30 digits and a power of ten between -60 and 60".to_owned()),
        ),
    };
    ReadFault { span: Span::from(range), code, message, help }
}

/// "in" that may be the inch or the preposition.
pub(super) fn inch(text: &str, number: Range<usize>, word: Span) -> ReadFault {
    let shown = clipped(&text[number.start..word.end]);
    let digits = clipped(&text[number.clone()]);
    ReadFault {
        span: Span::new(number.start, word.end),
        code: "ambiguous-inch",
        message: format!("in `{shown}`, \"in\" may be the unit or the preposition"),
        help: Some(format!("write `{digits} inch` for the unit; reword for the preposition")),
    }
}

/// A unit glued to a number that the table does not have.
pub(super) fn unlisted(text: &str, number_start: usize, unit: Span) -> ReadFault {
    let written = clipped(&text[unit.start..unit.end]);
    let near = nearest_unit(&text[unit.start..unit.end]);
    ReadFault {
        span: Span::new(number_start, unit.end),
        code: "unlisted-unit",
        message: format!("`{written}` is not a unit in the table"),
        help: Some(near.map_or_else(
            || "write a listed unit, or set the text as code".to_owned(),
            |near| format!("did you mean `{near}`?"),
        )),
    }
}

/// Letters behind a number that are neither a unit nor a word.
pub(super) fn unread(text: &str, number_start: usize, word: Span) -> ReadFault {
    let written = clipped(&text[word.start..word.end]);
    let near = nearest_unit(&text[word.start..word.end]);
    let number = clipped(text[number_start..word.start].trim_end());
    ReadFault {
        span: Span::new(number_start, word.end),
        code: "unread-unit",
        message: format!("`{written}` behind a number is neither a unit nor a word"),
        help: Some(near.map_or_else(
            || "write a listed unit, or set the text as code".to_owned(),
            |near| format!("did you mean `{number} {near}`?"),
        )),
    }
}

/// "fps" that may be feet or frames per second.
pub(super) fn fps(text: &str, number_start: usize, word: Span) -> ReadFault {
    let number = clipped(text[number_start..word.start].trim_end_matches([' ', '-', '\u{a0}']));
    let [one, other] = two_meanings(&text[word.start..word.end]).unwrap_or_default();
    ReadFault {
        span: Span::new(number_start, word.end),
        code: "unread-unit",
        message: format!(
            "in `{}`, \"fps\" may be feet or frames per second",
            clipped(&text[number_start..word.end])
        ),
        help: Some(format!("write `{number} {one}` or `{number} {other}`")),
    }
}

/// Quoted text, cut to a length that fits a line.
pub(super) fn clipped(text: &str) -> String {
    if text.chars().count() <= 40 {
        return text.to_owned();
    }
    let head: String = text.chars().take(39).collect();
    format!("{head}…")
}
