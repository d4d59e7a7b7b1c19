//! Accepting what the proof proposes: bindings written into a page, once for all of its figures.

use super::checks::bound::in_unit_of;
use super::checks::tie::bound_to;
use super::figure::JudgedFigure;
use super::page::PageProof;
use super::reference_value::{Worth, judge_entry, of_formula};
use crate::folio::Folio;
use crate::quantity::Verdict;
use crate::quantity::judge::against;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::text::{Source, Span};

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

/// The changes that accept every certain proposal of a page, in the order of the file. Accepting
/// twice changes nothing more: what is bound is proposed no longer.
#[must_use]
pub fn edits(folio: &Folio, page: usize, source: &Source, proof: &PageProof) -> Vec<Edit> {
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

/// A figure and its conversions are bound one by one, so that the words between them stay.
fn of_figure(folio: &Folio, page: usize, source: &Source, figure: &JudgedFigure) -> Vec<Edit> {
    let Some(first) = figure.proposals.first().filter(|first| first.is_certain) else {
        return Vec::new();
    };
    let bind = |span: Span| {
        let text = source.text.get(span.start..span.end)?;
        let is_plain = !text.is_empty() && !text.contains(MARKUP);
        let fits = is_plain && agrees(folio, page, text, &first.formula);
        fits.then(|| Edit { span, text: bound_to(text, &first.formula) })
    };
    figure.places().iter().filter_map(|span| bind(*span)).collect()
}

/// Whether a text would stand as a binding to a formula.
fn agrees(folio: &Folio, page: usize, text: &str, formula: &str) -> bool {
    let page = &folio.pages[page];
    let conventions = &page.conventions;
    let options =
        ReadOptions { decimal_comma: conventions.decimal_comma, ..ReadOptions::default() };
    let (Ok(figures), Ok(formula)) = (read_whole(text, &options), crate::formula::parse(formula))
    else {
        return false;
    };
    let sheet = page.sheet.unwrap_or(usize::MAX);
    let [figure] = figures.as_slice() else { return false };
    let mut figure = figure.clone();
    let judgement = match of_formula(&formula, &folio.ledger, sheet, conventions) {
        Ok(Worth::Entry(sheet, entry)) => {
            in_unit_of(&mut figure, &folio.ledger, (sheet, entry), conventions);
            judge_entry(text, &figure, &folio.ledger, (sheet, entry), conventions)
        }
        Ok(Worth::Value(computed)) => Some(against(text, &figure, &computed, conventions)),
        _ => None,
    };
    judgement.is_some_and(|judgement| judgement.verdict == Verdict::Agree)
}
