//! Accepting what the proof proposes: bindings written into a page, once for all of its figures.

use super::checks::bound::in_unit_of;
use super::checks::tie::bound_to;
use super::figure::JudgedFigure;
use super::page::{PageProof, judge};
use super::reference_value::{Worth, judge_entry, of_formula};
use crate::folio::Folio;
use crate::quantity::judge::against;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::{Figure, Reference, Verdict};
use crate::text::{Source, Span};
use std::sync::Arc;

/// A change of a page's file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// What it replaces.
    pub span: Span,
    /// What it puts there.
    pub text: String,
}

/// Letters that make a text more than the words it shows, or that would end a binding.
const MARKUP: [char; 9] = ['\n', '\r', '[', ']', '|', '`', '<', '*', '{'];

/// As many times a page is read again: each binding may make another figure certain.
const ROUNDS: usize = 6;

/// The changes that accept every certain proposal of a page, in the order of the file, and those
/// that become certain by them. Accepting twice changes nothing more.
#[must_use]
pub fn edits(
    folio: &Arc<Folio>,
    page: usize,
    source: &Arc<Source>,
    proof: &PageProof,
) -> Vec<Edit> {
    let mut all = round(folio, page, source, proof);
    for _ in 1..ROUNDS {
        if all.is_empty() {
            break;
        }
        let now = Source::new(source.name.as_str(), edited(&source.text, &all));
        let more = round(folio, page, &now, &judge(folio, page, &now));
        if more.is_empty() {
            break;
        }
        all = joined(all, more);
    }
    all
}

/// Edits of a text and edits of what they make of it, as edits of the text.
fn joined(mut first: Vec<Edit>, more: Vec<Edit>) -> Vec<Edit> {
    let shifts: Vec<(usize, usize, usize)> = first
        .iter()
        .scan(0, |grown: &mut usize, edit| {
            let start = edit.span.start + *grown;
            *grown += edit.text.len() - (edit.span.end - edit.span.start);
            Some((start, start + edit.text.len(), *grown))
        })
        .collect();
    for edit in more {
        let before = shifts.partition_point(|(_, end, _)| *end <= edit.span.start);
        // What is bound already stays as it is.
        if shifts.get(before).is_some_and(|(start, ..)| *start < edit.span.end) {
            continue;
        }
        let grown = before.checked_sub(1).map_or(0, |at| shifts[at].2);
        let span = Span::new(edit.span.start - grown, edit.span.end - grown);
        first.push(Edit { span, ..edit });
    }
    first.sort_by_key(|edit| edit.span);
    first
}

fn round(folio: &Folio, page: usize, source: &Source, proof: &PageProof) -> Vec<Edit> {
    let figures = proof.figures.iter().map(|(_, figure)| figure);
    let found = figures.flat_map(|figure| of_figure(folio, page, source, figure));
    let mut edits: Vec<Edit> = found.collect();
    edits.sort_by_key(|edit| edit.span);
    edits.dedup_by(|later, first| first.span.overlaps(later.span));
    edits
}

/// The text of a page after its edits.
#[must_use]
pub fn edited(text: &str, edits: &[Edit]) -> String {
    let mut new = String::with_capacity(text.len());
    let mut at = 0;
    for edit in edits {
        new.push_str(&text[at..edit.span.start]);
        new.push_str(&edit.text);
        at = edit.span.end;
    }
    new.push_str(&text[at..]);
    new
}

/// A figure and its conversions are one binding where they are one statement for the reader too,
/// `[128 psi (8.83 bar)](by:x)`; else each has its own, so that the words between them stay.
fn of_figure(folio: &Folio, page: usize, source: &Source, figure: &JudgedFigure) -> Vec<Edit> {
    let Some(first) = figure.proposals.first().filter(|first| first.is_certain) else {
        return Vec::new();
    };
    let bind = |span: Span| {
        let text = source.text.get(span.start..span.end)?;
        let is_plain = !text.is_empty() && !text.contains(MARKUP);
        let fits = is_plain && agrees(folio, page, (text, figure.figure.reference), &first.formula);
        fits.then(|| Edit { span, text: bound_to(text, &first.formula) })
    };
    let places = figure.places();
    if let [one, .., last] = places
        && let Some(whole) = bind(with_bracket(&source.text, Span::new(one.start, last.end)))
    {
        return vec![whole];
    }
    places.iter().filter_map(|span| bind(*span)).collect()
}

/// A span with the bracket behind it that it opens.
fn with_bracket(text: &str, span: Span) -> Span {
    let is_open = text.get(span.start..span.end).is_some_and(|inside| inside.contains(" ("));
    let is_closed = is_open && text[span.end..].starts_with(')');
    Span::new(span.start, span.end + usize::from(is_closed))
}

/// Whether a text would stand as a binding to a formula: each figure of it. Its clause may say what
/// its pressures count from.
fn agrees(
    folio: &Folio,
    page: usize,
    (text, reference): (&str, Option<Reference>),
    formula: &str,
) -> bool {
    let page = &folio.pages[page];
    let conventions = &page.conventions;
    let options =
        ReadOptions { decimal_comma: conventions.decimal_comma, ..ReadOptions::default() };
    let (Ok(figures), Ok(formula)) = (read_whole(text, &options), crate::formula::parse(formula))
    else {
        return false;
    };
    let sheet = page.sheet.unwrap_or(usize::MAX);
    let Ok(worth) = of_formula(&formula, &folio.ledger, sheet, conventions) else { return false };
    let stands = |mut figure: Figure| {
        figure.reference = figure.reference.or(reference);
        let judgement = match &worth {
            Worth::Entry(sheet, entry) => {
                in_unit_of(&mut figure, &folio.ledger, (*sheet, *entry), conventions);
                judge_entry(text, &figure, &folio.ledger, (*sheet, *entry), conventions)
            }
            Worth::Value(computed) => Some(against(text, &figure, computed, conventions)),
            _ => None,
        };
        judgement.is_some_and(|judgement| judgement.verdict == Verdict::Agree)
    };
    !figures.is_empty() && figures.into_iter().all(stands)
}
