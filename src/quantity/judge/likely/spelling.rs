//! A figure together with its spelling: where its numbers stand in the writer's text, so that an
//! edit keeps everything else as it was written.

use super::LikelyEdit;
use crate::quantity::judge::print;
use crate::quantity::number::scan;
use crate::quantity::{Amount, Figure, Number, Unit};

/// Which number of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Slot {
    /// The number, or the first end of a range.
    First,
    /// The second end of a range.
    Second,
    /// The ±.
    Tolerance,
}

/// A number in its place.
#[derive(Debug)]
pub(super) struct PlacedEdit {
    pub(crate) slot: Slot,
    pub(crate) start: usize,
    pub(crate) end: usize,
}

/// A figure, the text of its span, and its numbers in it.
#[derive(Debug)]
pub(super) struct SpelledNumber<'a> {
    pub(crate) figure: &'a Figure,
    /// The writer's text; a text of our own where the writer's is not at hand or spelled in words.
    pub(crate) text: String,
    pub(crate) numbers: Vec<PlacedEdit>,
    /// Whether the writer used a decimal comma.
    pub(crate) comma: bool,
}

/// Longest text of a figure that is looked through.
const LONGEST: usize = 200;

impl<'a> SpelledNumber<'a> {
    pub(super) fn new(text: &str, figure: &'a Figure) -> SpelledNumber<'a> {
        let own = text.get(figure.span.start..figure.span.end);
        let own = own.filter(|own| own.len() <= LONGEST);
        for comma in [false, true] {
            if let Some(numbers) = own.and_then(|own| locate(own, figure, comma)) {
                let text = own.unwrap_or_default().to_owned();
                return SpelledNumber { figure, text, numbers, comma };
            }
        }
        let text = rewritten(figure);
        let numbers = locate(&text, figure, false).unwrap_or_default();
        SpelledNumber { figure, text, numbers, comma: false }
    }

    pub(super) fn number_text(&self, placed: &PlacedEdit) -> &str {
        self.text.get(placed.start..placed.end).unwrap_or_default()
    }

    /// The figure with one number spelled differently; `None` if that is no number.
    pub(super) fn respelled(
        &self,
        placed: &PlacedEdit,
        number: &str,
        words: &'static str,
    ) -> Option<LikelyEdit> {
        let (scanned, length) = scan(number, self.comma)?;
        let read = scanned.ok().filter(|_| length == number.len())?;
        let mut figure = self.figure.clone();
        match (placed.slot, &mut figure.amount, &mut figure.tolerance) {
            (Slot::First, Amount::Point(old) | Amount::Range(old, _), _)
            | (Slot::Second, Amount::Range(_, old), _) => *old = read,
            (Slot::Tolerance, _, Some(tolerance)) => tolerance.half_width = read,
            _ => return None,
        }
        let (before, after) = (self.text.get(..placed.start)?, self.text.get(placed.end..)?);
        Some(LikelyEdit { figure, text: format!("{before}{number}{after}"), words })
    }

    /// The text with its only number replaced by a worked-out one.
    pub(super) fn with_number(&self, number: &str) -> String {
        match self.numbers.as_slice() {
            [only, ..] => {
                let before = self.text.get(..only.start).unwrap_or_default();
                let after = self.text.get(only.end..).unwrap_or_default();
                let number = self.regrouped(number, self.number_text(only));
                format!("{before}{number}{after}")
            }
            [] => print::with_unit(number, self.figure.unit, self.figure.reference),
        }
    }

    /// The text with another unit behind the numbers.
    pub(super) fn with_unit(&self, unit: &Unit) -> String {
        let Some(last) = self.numbers.last() else { return self.text.clone() };
        let head = self.text.get(..last.end).unwrap_or_default();
        let tail = self.text.get(last.end..).unwrap_or_default();
        // What stands between number and unit: a blank of some kind, a hyphen or nothing.
        let gap = tail.find(|c: char| !(c.is_whitespace() || c == '-')).unwrap_or(0);
        let gap = tail.get(..gap).filter(|_| !tail.trim().is_empty()).unwrap_or("\u{a0}");
        let gap = if gap.is_empty() && unit.symbol.starts_with(char::is_alphanumeric) {
            if tail.starts_with(char::is_alphanumeric) { "" } else { "\u{a0}" }
        } else {
            gap
        };
        let mark = self.figure.reference.map(|r| format!(" {}", r.word())).unwrap_or_default();
        format!("{head}{gap}{}{mark}", unit.symbol).trim_end().to_owned()
    }

    /// A plain number with the thousands, the decimal comma and the minus sign of `like`.
    fn regrouped(&self, number: &str, like: &str) -> String {
        let point = if self.comma { ',' } else { '.' };
        let group = like.chars().find(|c| {
            matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}')
                || (*c == ',' && !self.comma)
                || (*c == '.' && self.comma)
        });
        let (whole, fraction) = number.split_once('.').unwrap_or((number, ""));
        let (minus, digits) = match whole.strip_prefix('\u{2212}') {
            Some(digits) if like.starts_with('-') => ("-", digits),
            Some(digits) => ("\u{2212}", digits),
            None => ("", whole),
        };
        let mut grouped = String::from(minus);
        for (index, digit) in digits.chars().enumerate() {
            let behind = digits.len() - index;
            if let Some(group) = group.filter(|_| 0 < index && behind % 3 == 0) {
                grouped.push(group);
            }
            grouped.push(digit);
        }
        if !fraction.is_empty() {
            grouped.push(point);
            grouped.push_str(fraction);
        }
        grouped
    }
}

/// The figure in our own spelling.
fn rewritten(figure: &Figure) -> String {
    let numbers = match &figure.amount {
        Amount::Point(number) => print::as_written(number),
        Amount::Range(low, high) => {
            format!("{}–{}", print::as_written(low), print::as_written(high))
        }
    };
    match &figure.tolerance {
        None => print::with_unit(&numbers, figure.unit, figure.reference),
        Some(tolerance) => {
            let unit = tolerance.unit.unwrap_or(figure.unit);
            let value = print::with_unit(&numbers, figure.unit, figure.reference);
            print::with_unit(&(value + &print::plus_minus(tolerance)), unit, None)
        }
    }
}

/// Where the numbers of a figure stand in its text; `None` unless every one is found.
fn locate(text: &str, figure: &Figure, comma: bool) -> Option<Vec<PlacedEdit>> {
    let (first, second) = match &figure.amount {
        Amount::Point(number) => (number, None),
        Amount::Range(low, high) => (low, Some(high)),
    };
    let half = figure.tolerance.as_ref().map(|tolerance| &tolerance.half_width);
    let wanted = [(Slot::First, Some(first)), (Slot::Second, second), (Slot::Tolerance, half)];
    let mut at = 0;
    let mut found = Vec::new();
    for (slot, number) in wanted {
        let Some(number) = number else { continue };
        let (start, end) = find(text, at, number, comma)?;
        at = end;
        found.push(PlacedEdit { slot, start, end });
    }
    Some(found)
}

fn find(text: &str, from: usize, wanted: &Number, comma: bool) -> Option<(usize, usize)> {
    let rest = text.get(from..)?;
    let same = |number: &Number| {
        number.mantissa == wanted.mantissa
            && number.exponent == wanted.exponent
            && number.fraction == wanted.fraction
    };
    rest.char_indices().find_map(|(at, _)| match scan(&rest[at..], comma) {
        Some((Ok(number), length)) if same(&number) => Some((from + at, from + at + length)),
        _ => None,
    })
}
