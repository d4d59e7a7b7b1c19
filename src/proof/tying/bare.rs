//! Numbers without a unit that a reader takes for a figure of the page: "the relief lifts at 2.6",
//! "nine bolts", "the sleeve hides 7 of these".
//!
//! Such a number is a figure only where it equals a reading that words around it name, or counts
//! what a reading counts. All others are numbers, and no business of ours.

use super::background::StatedFigure;
use super::beside::{NamedFigureBeside, beside};
use super::digits::same_digits;
use super::evidence::{Around, Lexicon};
use super::mentions::Owner;
use super::weights::{SAME_DIGITS, SOME_WORDS};
use crate::folio::meaning::plain;
use crate::folio::words::TextWord;
use crate::proof::prose::PageContext;
use crate::proof::reference_value::verdict_on;
use crate::quantity::reader::{ReadOptions, SMALL, TENS, read_whole};
use crate::quantity::{Dimension, Figure, Verdict};
use crate::statement::is_light;
use crate::text::calendar::MONTHS;
use crate::text::{Span, SpanSet};

/// Words that a number needs beside a value that fits.
const WORDS: f64 = 2.0;
/// By so much the best entry must stand before the next.
const AHEAD: f64 = 0.5;

/// Words and digits that a number needs before it is asked about.
const NEARLY: f64 = 4.0;

/// A number of a sentence.
#[derive(Debug, Clone)]
pub(super) struct Numeral {
    pub(super) span: Span,
    /// In digits.
    digits: String,
    /// The word behind it, in the form in which words are compared.
    pub(super) noun: Option<String>,
    /// Whether only a part of what there is may be counted: "the other three", "four of the eight".
    is_part: bool,
}

/// A number that is a figure.
#[derive(Debug)]
pub(super) struct Bare {
    pub(super) entry: (usize, usize),
    /// As it would be with its unit.
    pub(super) figure: Figure,
    pub(super) fits: NumberFit,
}

/// How a number goes with an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NumberFit {
    /// It agrees, and the words say so.
    Words,
    /// It agrees, and nothing else does.
    Value,
    /// It does not agree; a count that does not may be another one.
    Not,
}

/// What is looked at around a number.
pub(super) struct Looking<'m, A, E> {
    /// The words around a span.
    pub(super) around: A,
    /// Whose a span is, where the page is about several engines.
    pub(super) owner: E,
    /// What the figures nearby measure.
    pub(super) measured: &'m [Dimension],
    /// The figures of the sentence, in whose units a number may be.
    pub(super) here: Vec<&'m Figure>,
    /// The figures of the sentence that state something.
    pub(super) models: &'m [NamedFigureBeside<'m>],
}

/// What lends a number its unit.
#[derive(Clone, Copy)]
struct Lenders<'m> {
    around: &'m Around<'m>,
    here: &'m [&'m Figure],
}

/// Whether a word is a number.
pub(super) fn is_number(word: &TextWord) -> bool {
    word.stem.bytes().all(|b| b.is_ascii_digit()) || spelled(&word.stem).is_some()
}

/// The numbers of a sentence that are figures. `taken` are spans that are accounted for; places are
/// those of `text`, the sentence's words those of the line.
pub(super) fn find<'a>(
    text: &str,
    sentence: &[TextWord],
    taken: &[Span],
    looking: Looking<'_, impl Fn(Span) -> Around<'a>, impl Fn(Span) -> Owner>,
    context: &PageContext<'_>,
) -> Vec<Bare> {
    let lexicon = context.lexicon();
    let numerals = numerals(text, sentence, taken, lexicon);
    let found = numerals.into_iter().filter_map(|numeral| {
        let owner = (looking.owner)(numeral.span);
        let engine = owner.or(None);
        let entries: Vec<(usize, usize)> = lexicon
            .entries()
            .filter(|(sheet, _)| engine.is_none_or(|engine| engine == *sheet))
            .collect();
        counted(&numeral, &entries, lexicon, context)
            .or_else(|| beside(&numeral, owner, looking.models, context))
            .or_else(|| {
                let long = 2 <= numeral.digits.bytes().filter(u8::is_ascii_digit).count();
                if !long {
                    return None;
                }
                let around = (looking.around)(numeral.span);
                let models = Lenders { around: &around, here: &looking.here };
                elliptic(&numeral, models, &entries, context)
                    .or_else(|| {
                        unit_understood(&numeral, models, looking.measured, &entries, context)
                    })
                    .or_else(|| nearly(&numeral, &around, looking.measured, &entries, context))
            })
    });
    found.collect()
}

/// "The bottle gives 11 bar, of which the valve leaves 9.25": a long number without a unit
/// that equals one entry only, of what the figures nearby measure. A short one needs words.
fn unit_understood(
    numeral: &Numeral,
    models: Lenders<'_>,
    measured: &[Dimension],
    entries: &[(usize, usize)],
    context: &PageContext<'_>,
) -> Option<Bare> {
    let digits = numeral.digits.bytes().filter(u8::is_ascii_digit).count();
    let is_long = numeral.digits.contains('.') || digits == 3;
    if numeral.noun.is_some() {
        return None;
    }
    let ledger = &context.folio.ledger;
    let is_said = |entry| SOME_WORDS <= context.lexicon().words_near(entry, models.around);
    let mut equal = entries.iter().filter_map(|entry| {
        let dimension = ledger.nominal(entry.0, entry.1)?.quantity.dimension;
        if !measured.contains(&dimension) || !is_long && !is_said(*entry) {
            return None;
        }
        let figure = equals(numeral, *entry, models, context)?;
        Some(Bare { entry: *entry, figure, fits: NumberFit::Value })
    });
    let (first, None) = (equal.next()?, equal.next()) else { return None };
    Some(first)
}

/// "In its seat it is 28.5", which is one slip from what the words say, among figures that measure
/// the same.
fn nearly(
    numeral: &Numeral,
    around: &Around<'_>,
    measured: &[Dimension],
    entries: &[(usize, usize)],
    context: &PageContext<'_>,
) -> Option<Bare> {
    if numeral.noun.is_some() {
        return None;
    }
    let lexicon = context.lexicon();
    let measures = |entry: &&(usize, usize)| {
        stated(context, **entry).is_some_and(|own| measured.contains(&own.unit.dimension))
    };
    let said = entries.iter().filter(measures);
    let mut said: Vec<(f64, (usize, usize))> =
        said.map(|entry| (lexicon.words_near(*entry, around), *entry)).collect();
    said.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let sheets = &context.folio.ledger.sheets;
    let name = |(sheet, entry): (usize, usize)| &sheets[sheet].entries[entry].name.text;
    let (most, first) = *said.first()?;
    let next = said.iter().find(|(_, entry)| name(*entry) != name(first));
    let next = next.map_or(0.0, |(words, _)| *words);
    // Of engines side by side, the one whose digits these are.
    let namesakes = said.iter().filter(|(_, entry)| name(*entry) == name(first));
    let is_same = |entry: (usize, usize)| {
        let figure = in_unit_of(numeral, stated(context, entry)?)?;
        Some((same_digits(&figure, entry, context), figure))
    };
    let mut judged = namesakes.filter_map(|(_, entry)| Some((*entry, is_same(*entry)?)));
    let first = judged.next()?;
    let (entry, (is_same, figure)) = match first.1.0 {
        true => first,
        false => judged.find(|(_, (is_same, _))| *is_same).unwrap_or(first),
    };
    let digits = if is_same { SAME_DIGITS } else { 0.0 };
    let is_said = NEARLY <= most + digits && SOME_WORDS <= most && AHEAD <= most - next;
    is_said.then_some(Bare { entry, figure, fits: NumberFit::Not })
}

/// The number as an entry's figure, where it agrees.
fn equals(
    numeral: &Numeral,
    entry: (usize, usize),
    models: Lenders<'_>,
    context: &PageContext<'_>,
) -> Option<Figure> {
    let is_stated =
        |figure: &Figure| stated(context, entry).is_some_and(|own| value(figure) == value(own));
    figure(numeral, entry, context)
        .filter(is_stated)
        .or_else(|| worked_out(numeral, entry, models, context))
}

/// "Six screws", where one reading counts screws.
fn counted(
    numeral: &Numeral,
    among: &[(usize, usize)],
    lexicon: &Lexicon,
    context: &PageContext<'_>,
) -> Option<Bare> {
    let noun = numeral.noun.as_deref()?;
    let counting = lexicon.counting(noun).filter(|entry| among.contains(entry));
    let mut entries = counting.filter(|entry| {
        stated(context, *entry).is_some_and(|figure| figure.unit.dimension == Dimension::NONE)
    });
    let (entry, None) = (entries.next()?, entries.next()) else { return None };
    let figure = figure(numeral, entry, context)?;
    let fits = value(&figure) == value(stated(context, entry)?);
    let is_told = fits || !numeral.is_part;
    is_told.then_some(Bare {
        entry,
        figure,
        fits: if fits { NumberFit::Words } else { NumberFit::Not },
    })
}

/// A number that is a named figure's, whose unit goes without saying.
fn elliptic(
    numeral: &Numeral,
    models: Lenders<'_>,
    among: &[(usize, usize)],
    context: &PageContext<'_>,
) -> Option<Bare> {
    let mut fitting: Vec<((usize, usize), f64, Figure)> = Vec::new();
    for entry in among.iter().copied() {
        let words = context.lexicon().words_near(entry, models.around);
        if words < WORDS {
            continue;
        }
        let figure = equals(numeral, entry, models, context);
        fitting.extend(figure.map(|figure| (entry, words, figure)));
    }
    fitting.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let next = fitting.get(1).map_or(f64::NEG_INFINITY, |(_, words, _)| *words);
    let (entry, words, figure) = fitting.into_iter().next()?;
    (AHEAD <= words - next).then_some(Bare { entry, figure, fits: NumberFit::Words })
}

/// The number in the unit of a figure stated lately, where a result measures the same and agrees.
fn worked_out(
    numeral: &Numeral,
    entry: (usize, usize),
    models: Lenders<'_>,
    context: &PageContext<'_>,
) -> Option<Figure> {
    let ledger = &context.folio.ledger;
    if ledger.sheets[entry.0].entries[entry.1].reading().is_some() {
        return None;
    }
    let dimension = ledger.nominal(entry.0, entry.1)?.quantity.dimension;
    if dimension == Dimension::NONE {
        return None;
    }
    let lately = models.around.stated().filter_map(|(_, figure)| match figure {
        StatedFigure::Entry(named) => stated(context, *named),
        StatedFigure::Formula(_) => None,
    });
    let all = context.lexicon().entries().filter_map(|other| stated(context, other));
    let here = models.here.iter().copied();
    let mut like = here.chain(lately).chain(all).filter(|own| own.unit.dimension == dimension);
    let own = like.next()?;
    let figure = in_unit_of(numeral, own)?;
    let verdict = verdict_on(&figure, ledger, entry, context.conventions)?;
    (verdict == Verdict::Agree).then_some(figure)
}

/// The figure by which a reading is stated first.
fn stated<'a>(context: &PageContext<'a>, (sheet, entry): (usize, usize)) -> Option<&'a Figure> {
    let reading = context.folio.ledger.sheets[sheet].entries[entry].reading()?;
    reading.statements.first()?.figures.first()
}

/// The number with the unit of a reading.
fn figure(numeral: &Numeral, entry: (usize, usize), context: &PageContext<'_>) -> Option<Figure> {
    in_unit_of(numeral, stated(context, entry)?)
}

pub(super) fn in_unit_of(numeral: &Numeral, own: &Figure) -> Option<Figure> {
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

/// Words behind a number that goes on top of another.
const MORE: [&str; 2] = ["more", "further"];
/// Words before a number that counts a part of what there is.
const PARTS: [&str; 8] = ["other", "the", "of", "first", "last", "these", "those", "another"];
fn numerals(text: &str, sentence: &[TextWord], taken: &[Span], lexicon: &Lexicon) -> Vec<Numeral> {
    let is_noun = |stem: &str| {
        let is_word = lexicon.knows(plain(stem)) || !is_light(stem);
        is_word && !MONTHS.contains(&stem) && !MORE.contains(&stem)
    };
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
        let is_date = behind.is_some_and(|word| MONTHS.contains(&word.stem.as_str()));
        if !is_taken && !is_date {
            let close = |word: &&TextWord| text[span.end..word.span.start].trim().is_empty();
            let noun = behind.filter(close).filter(|word| is_noun(&word.stem));
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
