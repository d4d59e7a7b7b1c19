//! A whole text that must be one figure: a reading (`128 psi ± 4 psi`) or the text of a binding
//! ("nearly two and a half times").
//!
//! The same passes as for prose, with numbers in words allowed and bare numbers taken; then
//! whatever is left over is told with its place.

use super::faults::clipped;
use super::pieces::pieces;
use super::statements::ReadStatement;
use super::words::{one_of, word_at};
use super::{ReadOptions, WholeFault, after, statements, unread};
use crate::quantity::{Amount, Figure, Kind, Number, units};
use crate::text::Span;

/// Words that may stand around a figure without meaning.
const FILLERS: &[&str] = &[
    "a",
    "an",
    "the",
    "only",
    "just",
    "exactly",
    "some",
    "its",
    "is",
    "of",
    "by",
    "at",
    "as",
    "between",
    "from",
    "factor",
    "ratio",
    "fully",
    "full",
    "precisely",
    "or",
    "i.e.",
];

/// Reads a whole text as one figure, or as one dual statement: its members then share a pair.
///
/// # Errors
/// Where the text does not begin or end as a figure does, holds more than one, or holds a number
/// or unit that cannot be read.
pub fn read_whole(text: &str, options: &ReadOptions) -> Result<Vec<Figure>, WholeFault> {
    let options = ReadOptions { spoken: true, ..options.clone() };
    let one = units::table().by_code("1");
    let bare = ReadOptions { column_unit: options.column_unit.or(one), ..options.clone() };
    let found = pieces(text, &options);
    if let Some(fault) = found.faults.into_iter().next() {
        return Err(WholeFault { span: fault.span, message: fault.message, help: fault.help });
    }
    let mut pieces = found.all;
    for piece in &mut pieces {
        // Alone, a number is what it says: `12` may be anything, "0.9 in" only an inch.
        piece.never = false;
        if let Some(after::UnitDoubt::Fps(word)) = piece.doubt {
            let fault = super::faults::fps(text, piece.start, word);
            return Err(WholeFault { span: fault.span, message: fault.message, help: fault.help });
        }
        if let Some(after::UnitDoubt::Inch(word)) = piece.doubt.take()
            && let Some(inch) = units::table().by_code("[in_i]")
        {
            piece.after = after::After::Unit(inch, None);
            piece.end = word.end;
        }
        // In prose "four times" may count; as a whole text it is a ratio.
        if matches!(piece.after, after::After::Nothing)
            && let Some(times) = super::words::phrase_after(text, piece.number_end, "times")
        {
            piece.after = after::After::Ratio;
            piece.end = times;
        }
    }
    let mut statements = statements(text, &pieces, &bare);
    if statements.is_empty() {
        statements.extend(word_of_ratio(text));
    }
    let Some(first) = statements.first() else { return Err(no_number(text)) };
    let pair = first.figure.pair;
    if let Some(second) = statements.get(1)
        && (pair.is_none() || statements.iter().any(|s| s.figure.pair != pair))
    {
        return Err(second_figure(text, &statements[0], second));
    }
    leftovers(text, &statements)?;
    let mut figures: Vec<Figure> = statements.into_iter().map(|s| s.figure).collect();
    for figure in &mut figures {
        settle_bare(figure);
    }
    Ok(figures)
}

/// A bare integer is taken for a count and any other bare number for a ratio, until the reading it
/// belongs to says more.
fn settle_bare(figure: &mut Figure) {
    if figure.unit.code != "1" || !figure.kind_yields {
        return;
    }
    let integer =
        |number: &Number| number.exponent == 0 && number.fraction.is_none() && !number.negative;
    let whole = match &figure.amount {
        Amount::Point(number) => integer(number),
        Amount::Range(low, high) => integer(low) && integer(high),
    };
    figure.kind = if whole { Kind::Count } else { Kind::Ratio };
}

/// "twice", "double", "half": ratios of one word.
fn word_of_ratio(text: &str) -> Option<ReadStatement> {
    let one = units::table().by_code("1")?;
    let words = [("twice", 2), ("double", 2), ("doubled", 2), ("thrice", 3), ("triple", 3)];
    let mut at = 0;
    while at < text.len() {
        let word = word_at(text, at);
        let known = words.iter().find(|(known, _)| word.eq_ignore_ascii_case(known));
        if let Some((_, value)) = known {
            let figure = Figure {
                span: Span::new(at, at + word.len()),
                amount: Amount::Point(Number { spelled: true, ..Number::integer(*value) }),
                tolerance: None,
                bound: None,
                hedge: None,
                unit: one,
                kind: Kind::Ratio,
                kind_yields: false,
                reference: None,
                pair: None,
                comparison: None,
                noun: None,
            };
            let mut statement =
                ReadStatement { lead: at, tail: at + word.len(), figure, told: false, list: 0 };
            super::marks::marks(text, &mut statement, 0);
            return Some(statement);
        }
        at += word.len().max(1);
        while !text.is_char_boundary(at) {
            at += 1;
        }
    }
    None
}

fn no_number(text: &str) -> WholeFault {
    let trimmed = text.trim();
    let start = text.len() - text.trim_start().len();
    WholeFault {
        span: Span::new(start, start + trimmed.len()),
        message: format!("there is no number in `{}`", clipped(trimmed)),
        help: Some("write a number with its unit, such as `128 psi`".to_owned()),
    }
}

fn second_figure(text: &str, first: &ReadStatement, second: &ReadStatement) -> WholeFault {
    let (a, b) = (first.figure.span, second.figure.span);
    WholeFault {
        span: b,
        message: format!(
            "`{}` is a second figure beside `{}`",
            clipped(&text[b.start..b.end]),
            clipped(&text[a.start..a.end]),
        ),
        help: Some("write one figure; the same value in another unit goes in brackets".to_owned()),
    }
}

/// Every part of the text outside the statements must be punctuation or filler.
fn leftovers(text: &str, statements: &[ReadStatement]) -> Result<(), WholeFault> {
    let mut at = 0;
    for statement in statements {
        check(text, at, statement.lead.max(at), false)?;
        at = at.max(statement.tail).max(statement.figure.noun.map_or(0, |noun| noun.end));
    }
    let ratio =
        statements.iter().all(|s| s.figure.kind == Kind::Ratio || s.figure.unit.code == "1");
    check(text, at, text.len(), ratio && statements.len() == 1)
}

/// Marks that may stand between the parts of a statement.
const MARKS: &[char] = &['(', ')', '[', ']', ',', ';', ':', '=', '/', '.', '–', '-'];

/// Looks for a word that does not belong in `from..to`. Behind a ratio a comparison may follow:
/// "twice **as much**", "half **the volume**".
fn check(text: &str, from: usize, to: usize, comparison: bool) -> Result<(), WholeFault> {
    let part = &text[from..to.max(from)];
    let mut words = part.split_whitespace().peekable();
    if comparison && words.peek().is_some_and(|word| one_of(word, &["as", "the", "of", "more"])) {
        return Ok(());
    }
    let mut seen = 0;
    for word in part.split_whitespace() {
        let word_at = seen + part[seen..].find(word).unwrap_or(0);
        seen = word_at + word.len();
        let bare = word.trim_matches(MARKS);
        if bare.is_empty() || one_of(bare, FILLERS) {
            continue;
        }
        let start = from + word_at + (word.len() - word.trim_start_matches(MARKS).len());
        let span = Span::new(start, start + bare.len());
        return Err(left_over(text, from, bare, span));
    }
    Ok(())
}

fn left_over(text: &str, from: usize, word: &str, span: Span) -> WholeFault {
    let after_number =
        0 < from && text[..span.start].trim_end().ends_with(|c: char| c.is_ascii_digit());
    if !after_number {
        return WholeFault {
            span,
            message: format!("`{}` is not part of a figure", clipped(word)),
            help: Some("leave only the number, its unit and its ±".to_owned()),
        };
    }
    let near = unread::nearest_unit(word);
    WholeFault {
        span,
        message: format!("`{}` is not a unit in the table", clipped(word)),
        help: near.map(|near| format!("did you mean `{near}`?")),
    }
}
