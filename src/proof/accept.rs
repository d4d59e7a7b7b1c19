//! Accepting what the proof proposes: bindings written into a page, once for all of its figures.

use super::checks::tie::bound_to;
use super::figure::JudgedFigure;
use super::page::PageProof;
use crate::text::{Source, Span};

/// A change of a page's file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// What it replaces.
    pub span: Span,
    /// What it puts there.
    pub text: String,
}

/// The changes that accept every certain proposal of a page, in the order of the file. Accepting
/// twice changes nothing more: what is bound is proposed no longer.
#[must_use]
pub fn edits(source: &Source, proof: &PageProof) -> Vec<Edit> {
    let figures = proof.figures.iter().map(|(_, figure)| figure);
    let mut edits: Vec<Edit> = figures.flat_map(|figure| of_figure(source, figure)).collect();
    edits.sort_by_key(|edit| edit.span);
    edits.dedup_by(|later, first| first.span.overlaps(later.span));
    edits
}

/// A figure and its conversions are bound as one where nothing but a bracket parts them, and each
/// alone otherwise.
fn of_figure(source: &Source, figure: &JudgedFigure) -> Vec<Edit> {
    let Some(first) = figure.proposals.first().filter(|first| first.is_certain) else {
        return Vec::new();
    };
    let bind = |span: Span| {
        let text = source.text.get(span.start..span.end)?;
        let fits = !text.is_empty() && !text.contains(['\n', '[', ']', '|', '`', '<', '*']);
        fits.then(|| Edit { span, text: bound_to(text, &first.formula) })
    };
    figure.places().iter().filter_map(|span| bind(*span)).collect()
}
