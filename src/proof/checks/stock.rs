//! Stock sizes in prose, ring sizes and drills, against the readings that the words name: "the
//! drag seal is a -012", "the pilot hole is a drill #60".

use super::unused::Named;
use crate::folio::cues::Cue;
use crate::folio::words::TextWord;
use crate::proof::passage::Passage;
use crate::proof::prose::PageContext;
use crate::proof::tying::weights::{AHEAD, SLIP, SOME_WORDS};
use crate::proof::tying::{Around, Background, TiedLine, assign, distance, lines, ring_of};
use crate::quantity::Rational;
use crate::sheet::Stated;
use crate::slip::Slip;
use crate::tables;
use crate::text::{Span, Spot};

/// A stock size as named in a text or reading.
#[derive(Debug, Clone, PartialEq)]
enum Stock {
    /// Its three digits.
    Ring(String),
    /// Its diameter in inches.
    Drill(Rational),
}

/// Judges the stock sizes of a passage, given its dash numbers, and returns the readings that they
/// were held against.
pub(in crate::proof) fn judge(
    passage: &Passage<'_>,
    dashes: &[(Span, String)],
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Vec<Named> {
    let mut sizes: Vec<(Span, Stock)> = drills(passage, slips);
    sizes.extend(dashes.iter().map(|(span, digits)| (*span, Stock::Ring(digits.clone()))));
    if sizes.is_empty() || passage.setting.is_some() {
        return Vec::new();
    }
    sizes.sort_by_key(|(span, _)| *span);
    let mut rest = sizes.as_slice();
    let mut held = Vec::new();
    let mut background = Background::new(passage.heading, passage.lead, context);
    for (sentence, line) in lines(passage) {
        let line = line.hearing(&background, context);
        let (here, behind) =
            rest.split_at(rest.partition_point(|(span, _)| span.start < sentence.end));
        rest = behind;
        if !here.is_empty() {
            held.extend(in_sentence(passage, &line, here, &background, context, slips));
        }
        background.hear(line.own_words(), &line.own_engines());
    }
    held
}

fn in_sentence(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    sizes: &[(Span, Stock)],
    background: &Background,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Vec<Named> {
    let stocked = |cue: &Cue| {
        let entry = &context.folio.ledger.sheets[cue.sheet].entries[cue.entry];
        let drill = || stock_of(entry.reading()?.statements.first()?);
        ring_of(entry).map(Stock::Ring).or_else(drill)
    };
    let cues: Vec<(Cue, Stock)> = line
        .cues(context, background.engine)
        .into_iter()
        .filter_map(|cue| {
            let stock = stocked(&cue)?;
            Some((cue, stock))
        })
        .collect();
    let spans: Vec<Span> = sizes.iter().map(|(span, _)| span.shifted(line.shift)).collect();
    let cost = |row: usize, column: usize| {
        let (cue, stock) = &cues[column];
        let alike = std::mem::discriminant(stock) == std::mem::discriminant(&sizes[row].1);
        alike.then(|| distance(line.text, &line.words, spans[row], &spans, cue)).flatten()
    };
    let agrees = |row: usize, column: usize| sizes[row].1 == cues[column].1;
    let chosen = assign(sizes.len(), cues.len(), cost, agrees);
    let mut held = Vec::new();
    for (row, column) in chosen.into_iter().enumerate() {
        let Some(column) = column else {
            let ring = (spans.as_slice(), row, &sizes[row].1);
            held.extend(by_words(passage, line, ring, background, context, slips));
            continue;
        };
        let cue = &cues[column].0;
        if !agrees(row, column) {
            if line.was_until_then(spans[row]) {
                continue;
            }
            let is_said = line.is_hearsay(spans[row]);
            let named = (cue.sheet, cue.entry);
            slips.push(differs(passage, sizes[row].0, (named, is_said), context));
        }
        held.push((cue.sheet, cue.entry));
    }
    held
}

/// Words that tell what a ring was, or is in place of, rather than what it is.
const ELSEWHERE: [&str; 12] = [
    "had",
    "once",
    "used",
    "originally",
    "formerly",
    "previous",
    "previously",
    "wrong",
    "instead",
    "old",
    "not",
    "replaced",
];

/// A dash number whose ring no name in full says: by the words around it. It is one ring's size, or
/// one slip away from it, or another ring's.
fn by_words(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    (spans, row, stock): (&[Span], usize, &Stock),
    background: &Background,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<Named> {
    let Stock::Ring(said) = stock else { return None };
    if !context.has_words() || line.names_another(context) {
        return None;
    }
    let around = Around::look(line.text, &line.words, spans[row], spans, background);
    let mut rings = context.lexicon().weigh_rings(&around, &context.folio.ledger);
    let engine = line.owner_of(spans[row], context).or(background.engine);
    if let (Some(engine), false) = (engine, context.compared().is_empty()) {
        rings.retain(|((sheet, _), ..)| *sheet == engine);
    }
    let (named, words, size) = rings.first().cloned()?;
    let next = rings.get(1).map_or(0.0, |(_, words, _)| *words);
    let equal = rings.iter().find(|(_, words_for, size)| size == said && words < words_for + AHEAD);
    if let Some((equal, ..)) = equal {
        return Some(*equal);
    }
    let before = |word: &&TextWord| word.span.end <= spans[row].start;
    let is_elsewhere =
        line.own_words().iter().filter(before).any(|word| ELSEWHERE.contains(&word.stem.as_str()))
            || line.own_words().iter().any(|word| word.stem == "once")
            || line.was_until_then(spans[row]);
    let is_slip = one_slip(said, &size) || rings.iter().any(|(.., other)| other == said);
    if is_elsewhere || !is_slip || words < SOME_WORDS || words - next < AHEAD {
        return None;
    }
    let span = Span::new(spans[row].start - line.shift, spans[row].end - line.shift);
    let is_asked = words < SLIP || line.is_hearsay(spans[row]);
    slips.push(differs(passage, span, (named, is_asked), context));
    Some(named)
}

/// Whether two dash numbers differ in one digit, or have two in each other's place.
fn one_slip(said: &str, meant: &str) -> bool {
    let apart: Vec<(u8, u8)> = said.bytes().zip(meant.bytes()).filter(|(a, b)| a != b).collect();
    match apart.as_slice() {
        [_] => true,
        [(a, b), (c, d)] => a == d && b == c,
        _ => false,
    }
}

/// The drill that a reading states.
fn stock_of(stated: &Stated) -> Option<Stock> {
    let text = stated.text.trim();
    let is_drill = text.get(..6).is_some_and(|head| head.eq_ignore_ascii_case("drill "));
    is_drill.then(|| tables::drill(&text[6..]).ok()).flatten().map(|d| Stock::Drill(d.diameter))
}

/// A size that is not the reading's; `named` says which that is, and whether it is asked about.
fn differs(
    passage: &Passage<'_>,
    span: Span,
    (named, is_asked): (Named, bool),
    context: &PageContext<'_>,
) -> Slip {
    let ledger = &context.folio.ledger;
    let entry = &ledger.sheets[named.0].entries[named.1];
    let name = super::tie::named_entry(context, named);
    let statements = entry.reading().map(|reading| reading.statements.as_slice());
    let written = statements.unwrap_or_default().first().map_or("", |stated| &stated.written);
    let said = &passage.text[span.start..span.end];
    if is_asked {
        let message = format!("did you mean {name}? it is {written}; this says {said}");
        return Slip::mark("near-miss", passage.spot(span), message);
    }
    let message = format!("{name} is {written}; this says {said}");
    let declared = Spot::new(&ledger.sheets[named.0].source, entry.name.span);
    Slip::stop("figure-disagrees", passage.spot(span), message)
        .label(declared, format!("{} is declared here", entry.words()))
}

/// Drills named by number or letter beside the word "drill".
fn drills(passage: &Passage<'_>, slips: &mut Vec<Slip>) -> Vec<(Span, Stock)> {
    let text = passage.text;
    let mut found = Vec::new();
    for (at, _) in text.match_indices('#') {
        let digits = text[at + 1..].bytes().take_while(u8::is_ascii_digit).count();
        let span = Span::new(at, at + 1 + digits);
        let ends = !text[span.end..].starts_with(|c: char| c.is_alphanumeric() || c == '-');
        if (1..=2).contains(&digits) && ends && is_drill_talk(text, span) {
            found.push(span);
        }
    }
    // To look for a word in vain is several times quicker than to go through its places.
    let letters = text.contains("letter ").then(|| text.match_indices("letter "));
    for (at, head) in letters.into_iter().flatten() {
        let span = Span::new(at, at + head.len() + 1);
        let letter = text[at + head.len()..].starts_with(|c: char| c.is_ascii_uppercase());
        let ends = letter && !text[span.end..].starts_with(char::is_alphanumeric);
        if ends && is_drill_talk(text, span) {
            found.push(span);
        }
    }
    let mut sizes = Vec::new();
    for span in found {
        match tables::drill(&text[span.start..span.end]) {
            Ok(drill) => sizes.push((span, Stock::Drill(drill.diameter))),
            Err(fault) => slips.push(crate::sheet::declare::table_slip(
                "drill-unknown",
                passage.spot(span),
                &fault,
            )),
        }
    }
    sizes
}

fn is_drill_talk(text: &str, span: Span) -> bool {
    let before = text[..span.start].trim_end().to_ascii_lowercase();
    let after = text[span.end..].trim_start().to_ascii_lowercase();
    before.ends_with("drill") || after.starts_with("drill")
}
