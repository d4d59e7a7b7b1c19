//! Numbers without a unit that a reader takes for a figure of the page: "the relief lifts at 2.6",
//! "six screws", "the barrel takes up 19 of those".
//!
//! Such a number is a figure only where it equals a reading that words around it name, or counts
//! what a reading counts. All others are numbers, and no business of ours.

use super::evidence::{Around, Lexicon, plain};
use crate::folio::words::TextWord;
use crate::proof::prose::PageContext;
use crate::quantity::reader::{ReadOptions, SMALL, TENS, read_whole};
use crate::quantity::{Dimension, Figure};
use crate::text::{Span, SpanSet};

/// Words that a number needs beside a value that fits.
const WORDS: f64 = 2.0;
/// By so much the best entry must stand before the next.
const AHEAD: f64 = 0.5;

/// A number of a sentence.
#[derive(Debug, Clone)]
struct Numeral {
    span: Span,
    /// In digits.
    digits: String,
    /// The word behind it, in the form in which words are compared.
    noun: Option<String>,
    /// Whether only a part of what there is may be counted: "the other three", "four of the eight".
    is_part: bool,
}

/// A number that is a figure.
#[derive(Debug)]
pub(super) struct Bare {
    pub(super) entry: (usize, usize),
    /// As it would be with its unit.
    pub(super) figure: Figure,
    /// Whether it agrees; a count that does not may be another one.
    pub(super) fits: bool,
}

/// Whether a word is a number.
pub(super) fn is_number(word: &TextWord) -> bool {
    word.stem.bytes().all(|b| b.is_ascii_digit()) || spelled(&word.stem).is_some()
}

/// The numbers of a sentence that are figures. `taken` are spans that are accounted for; places are
/// those of `text`, the sentence's words those of the line.
pub(super) fn find(
    text: &str,
    sentence: &[TextWord],
    taken: &[Span],
    around: impl Fn(Span) -> Around,
    context: &PageContext<'_>,
) -> Vec<Bare> {
    let numerals = numerals(text, sentence, taken);
    let lexicon = context.lexicon();
    let found = numerals.into_iter().filter_map(|numeral| {
        counted(&numeral, lexicon, context).or_else(|| {
            let long = 2 <= numeral.digits.bytes().filter(u8::is_ascii_digit).count();
            long.then(|| elliptic(&numeral, &around(numeral.span), lexicon, context)).flatten()
        })
    });
    found.collect()
}

/// "Six screws", where one reading counts screws.
fn counted(numeral: &Numeral, lexicon: &Lexicon, context: &PageContext<'_>) -> Option<Bare> {
    let noun = numeral.noun.as_deref()?;
    let mut entries = lexicon.counting(noun).filter(|entry| {
        stated(context, *entry).is_some_and(|figure| figure.unit.dimension == Dimension::NONE)
    });
    let (entry, None) = (entries.next()?, entries.next()) else { return None };
    let figure = figure(numeral, entry, context)?;
    let fits = value(&figure) == value(stated(context, entry)?);
    (fits || !numeral.is_part).then_some(Bare { entry, figure, fits })
}

/// A number that is a reading's, whose unit goes without saying.
fn elliptic(
    numeral: &Numeral,
    around: &Around,
    lexicon: &Lexicon,
    context: &PageContext<'_>,
) -> Option<Bare> {
    let mut fitting: Vec<((usize, usize), f64)> = lexicon
        .entries()
        .filter_map(|entry| {
            let own = stated(context, entry)?;
            let figure = figure(numeral, entry, context)?;
            let words = lexicon.words_near(entry, around);
            (value(&figure) == value(own) && WORDS <= words).then_some((entry, words))
        })
        .collect();
    fitting.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let (entry, words) = *fitting.first()?;
    let next = fitting.get(1).map_or(f64::NEG_INFINITY, |(_, words)| *words);
    let figure = figure(numeral, entry, context)?;
    (AHEAD <= words - next).then_some(Bare { entry, figure, fits: true })
}

/// The figure by which a reading is stated first.
fn stated<'a>(context: &PageContext<'a>, (sheet, entry): (usize, usize)) -> Option<&'a Figure> {
    let reading = context.folio.ledger.sheets[sheet].entries[entry].reading()?;
    reading.statements.first()?.figures.first()
}

/// The number with the unit of a reading.
fn figure(numeral: &Numeral, entry: (usize, usize), context: &PageContext<'_>) -> Option<Figure> {
    let own = stated(context, entry)?;
    let read = read_whole(&numeral.digits, &ReadOptions::default()).ok()?.into_iter().next()?;
    let plain = Figure { tolerance: None, bound: None, hedge: None, pair: None, ..own.clone() };
    Some(Figure { span: numeral.span, amount: read.amount, noun: None, ..plain })
}

fn value(figure: &Figure) -> Option<crate::quantity::Rational> {
    match &figure.amount {
        crate::quantity::Amount::Point(number) => Some(number.value()),
        crate::quantity::Amount::Range(..) => None,
    }
}

/// Words before a number that counts a part of what there is.
const PARTS: [&str; 8] = ["other", "the", "of", "first", "last", "these", "those", "another"];
/// Words behind a number that is part of a date, an order or a share.
const NO_NOUNS: [&str; 16] = [
    "of",
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
    "and",
    "or",
    "to",
];

fn numerals(text: &str, sentence: &[TextWord], taken: &[Span]) -> Vec<Numeral> {
    let mut found = Vec::new();
    let taken: SpanSet = taken.iter().copied().collect();
    let mut at = 0;
    while let Some(word) = sentence.get(at) {
        let (length, digits, span) = match numeral_at(text, sentence, at) {
            Some(numeral) => numeral,
            None => {
                at += 1;
                continue;
            }
        };
        let behind = sentence.get(at + length);
        let is_taken = taken.overlaps(span);
        let is_date = behind.is_some_and(|word| NO_NOUNS[1..13].contains(&word.stem.as_str()));
        if !is_taken && !is_date {
            let close = |word: &&TextWord| text[span.end..word.span.start].trim().is_empty();
            let noun = behind.filter(close).filter(|w| !NO_NOUNS.contains(&w.stem.as_str()));
            let before = at.checked_sub(1).and_then(|before| sentence.get(before));
            let is_part = before.is_some_and(|word| PARTS.contains(&word.stem.as_str()));
            let noun = noun.map(|word| plain(&word.stem).to_owned());
            found.push(Numeral { span, digits, noun, is_part });
        }
        debug_assert!(word.span.start <= span.start);
        at += length.max(1);
    }
    found
}

/// A number that begins at a word: how many words it has, its digits and its place.
fn numeral_at(text: &str, sentence: &[TextWord], at: usize) -> Option<(usize, String, Span)> {
    let word = &sentence[at];
    if let Some(value) = spelled(&word.stem) {
        let next = sentence.get(at + 1);
        let joined = next.filter(|next| &text[word.span.end..next.span.start] == "-");
        let ones =
            joined.and_then(|next| Some((next, spelled(&next.stem).filter(|ones| *ones < 10)?)));
        return Some(match ones.filter(|_| 20 <= value && value % 10 == 0) {
            Some((next, ones)) => {
                (2, (value + ones).to_string(), Span::new(word.span.start, next.span.end))
            }
            None if joined.is_some() => return None,
            None => (1, value.to_string(), word.span),
        });
    }
    if !word.stem.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let joined = text[..word.span.start]
        .ends_with(|c: char| c.is_alphanumeric() || "-–_#/.:,+±²³^".contains(c));
    let rest = &text[word.span.end..];
    let mut end = word.span.end;
    let mut length = 1;
    if let Some(decimals) = rest.strip_prefix('.') {
        let digits = decimals.bytes().take_while(u8::is_ascii_digit).count();
        if 0 < digits {
            end += 1 + digits;
            length = 2;
        }
    }
    let goes_on = text[end..].starts_with(|c: char| c.is_alphanumeric() || "-–_/:%°".contains(c))
        || text[end..].starts_with([',', '.'])
            && text[end + 1..].starts_with(|c: char| c.is_ascii_digit());
    let span = Span::new(word.span.start, end);
    (!joined && !goes_on).then(|| (length, text[span.start..span.end].to_owned(), span))
}

/// A number in one word.
fn spelled(word: &str) -> Option<u32> {
    let among = |list: &[&str]| list.iter().position(|known| *known == word);
    let number = among(&SMALL).filter(|ones| 1 < *ones).or_else(|| Some(20 + 10 * among(&TENS)?));
    number.and_then(|number| u32::try_from(number).ok())
}
