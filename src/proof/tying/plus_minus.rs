//! A ± that stands apart from its figure: "tolerance ± 0.1", "give or take 5", a cell of its own.
//!
//! It restates the ± of a reading that the words name. Beside its figure it is the figure reader's.

use super::TiedLine;
use super::assign::distance;
use crate::folio::cues::Cue;
use crate::proof::figure::{JudgedFigure, PassageProof, Status};
use crate::proof::passage::Passage;
use crate::proof::prose::{Group, PageContext, made};
use crate::proof::reference_value::stated_tolerance;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::{Amount, Figure, units};
use crate::slip::Slip;
use crate::text::Span;

/// What a ± is called.
const MARKS: [&str; 4] = ["±", "give or take", "plus or minus", "+/-"];

/// A ± of a text.
#[derive(Debug)]
pub(super) struct PlusMinus {
    /// The mark, the number and its unit.
    pub(super) span: Span,
    /// Its number, and its unit where one is written.
    pub(super) figure: Figure,
}

/// Every ± of a sentence that stands apart from a figure. `figures` are spans of figures, which
/// hold those that do not, in order.
pub(super) fn find(text: &str, sentence: Span, figures: &[Span]) -> Vec<PlusMinus> {
    let piece = text[sentence.start..sentence.end].to_ascii_lowercase();
    let marks = MARKS.iter().flat_map(|mark| piece.match_indices(mark));
    let mut found: Vec<PlusMinus> = marks
        .filter_map(|(at, mark)| {
            let start = sentence.start + at;
            let (figure, end) = number(text, start + mark.len(), sentence.end)?;
            let span = Span::new(start, end);
            let before = figures.partition_point(|other| other.start < start);
            let is_part = before.checked_sub(1).is_some_and(|at| start < figures[at].end);
            (!is_part).then_some(PlusMinus { span, figure })
        })
        .collect();
    found.sort_by_key(|found| found.span);
    found
}

/// The number at the start of a text, blanks aside, and where it ends with its unit.
fn number(text: &str, from: usize, upto: usize) -> Option<(Figure, usize)> {
    let rest = &text[from..upto];
    let start = from + rest.len() - rest.trim_start().len();
    let upto = text.floor_char_boundary(upto.min(start + IN_SIGHT));
    let rest = text[start..upto].split([',', ';', '(', ')', '|']).next().unwrap_or_default();
    // The longest run of words that is one figure: a number, and the words of its unit.
    let ends = rest.char_indices().filter(|(_, c)| c.is_whitespace()).map(|(at, _)| at);
    let mut ends: Vec<usize> = ends.take(LONGEST).collect();
    ends.push(rest.len());
    ends.into_iter().rev().find_map(|end| {
        let piece = rest[..end].trim_end_matches(['.', ' ', '!', '?', ':']);
        let carried = units::table().by_code("1");
        let spoken = ReadOptions { spoken: true, carried, ..ReadOptions::default() };
        let read =
            read_whole(piece, &ReadOptions::default()).or_else(|_| read_whole(piece, &spoken));
        let read = read.ok()?;
        let [figure] = read.as_slice() else { return None };
        // "Give or take a quarter" is a way of speaking.
        let is_share = figure.unit.code == "1"
            && matches!(&figure.amount, Amount::Point(number) if number.fraction.is_some());
        // "Give or take two hundredths" is not two.
        let next = rest[end..].trim_start().split(' ').next().unwrap_or_default();
        let next = next.trim_end_matches(|c: char| !c.is_alphabetic());
        let is_in_parts = PARTS.contains(&next.trim_end_matches('s'));
        let is_plain =
            figure.tolerance.is_none() && figure.bound.is_none() && !is_share && !is_in_parts;
        let figure = Figure { span: Span::new(start, start + piece.len()), ..figure.clone() };
        is_plain.then_some((figure, start + piece.len()))
    })
}

/// Parts that a number may count.
const PARTS: [&str; 3] = ["tenth", "hundredth", "thousandth"];
/// Bytes in which a number and its unit stand.
const IN_SIGHT: usize = 60;
/// Words between a name and its ±.
const FARTHEST: f64 = 10.0;
/// Words of a number with its unit.
const LONGEST: usize = 4;

/// Judges every ± of a sentence. `named` are the names in it, and what was stated right before.
pub(super) fn judge_all(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    found: Vec<PlusMinus>,
    named: (&[Cue], Option<(usize, usize)>),
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    for found in found {
        let mut slips = Vec::new();
        let judged = judge(passage, line, found, named, context, &mut slips);
        proof.take(judged, slips);
    }
}

/// Judges a ± by the reading whose name stands nearest; where it is a sentence of its own ("Plus or
/// minus one."), by the one that was stated last.
fn judge(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    found: PlusMinus,
    (cues, last): (&[Cue], Option<(usize, usize)>),
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    let own = found.span.shifted(line.shift);
    let near = |cue: &Cue| distance(line.text, &line.words, own, &[], cue);
    let ledger = &context.folio.ledger;
    let meant = |named| {
        let tolerance = stated_tolerance(ledger, named)?;
        let is_meant = found.figure.unit.code == "1"
            || found.figure.unit.dimension == tolerance.unit.dimension;
        is_meant.then_some(tolerance)
    };
    let named = cues.iter().filter_map(|cue| {
        let named = (cue.sheet, cue.entry);
        let tolerance = meant(named)?;
        let apart = near(cue).filter(|apart| *apart <= FARTHEST)?;
        Some((apart, named, tolerance))
    });
    let opens = line.text[..own.start].trim_end();
    let is_alone = opens.is_empty() || opens.ends_with(['.', '!', '?']);
    let last = last.filter(|_| is_alone && cues.is_empty());
    let (_, named, tolerance) = named
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .or_else(|| last.and_then(|named| Some((0.0, named, meant(named)?))))?;
    let Amount::Point(number) = &found.figure.amount else { return None };
    let unit = if found.figure.unit.code == "1" { tolerance.unit } else { found.figure.unit };
    let size = |unit: &crate::quantity::Unit, number: &crate::quantity::Number| {
        unit.span_to_si(&number.value().into())
    };
    let said = size(unit, number);
    let sides = std::iter::once(&tolerance.upper).chain(&tolerance.lower);
    let agrees = sides.into_iter().any(|side| size(tolerance.unit, side) == said);
    let group = Group::new(found.span, vec![found.figure]);
    if agrees {
        return Some(made(group, Status::OwnReading, Some(named)));
    }
    let name = crate::proof::checks::tie::named_entry(context, named);
    let is = format!("{} {}", tolerance.written, tolerance.unit.symbol);
    let said = passage.text[found.span.start..found.span.end].trim();
    let message = format!("the ± of {name} is {is}; this says {said}");
    slips.push(Slip::stop("figure-disagrees", passage.spot(found.span), message));
    Some(made(group, Status::Disagrees, Some(named)))
}
