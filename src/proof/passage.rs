//! A passage: text to be proofed, whatever part of the folio it stands in.

use crate::body::blocks::{Block, BlockKind, BoundText, Document, Setting};
use crate::body::template::Rendered;
use crate::page::yaml::Text;
use crate::quantity::Unit;
use crate::text::{Source, Span, Spot};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Text with the way back to the writer's file.
pub(crate) struct Passage<'a> {
    pub(crate) text: &'a str,
    pub(crate) bounds: &'a [BoundText],
    /// Set apart from fact.
    pub(crate) setting: Option<&'a Setting>,
    /// Bytes at the start that say so.
    pub(crate) setting_length: usize,
    /// The heading above.
    pub(crate) heading: &'a str,
    /// The running text before it, below the same heading.
    pub(crate) lead: &'a str,
    /// Unit of the column for bare numbers.
    pub(crate) column_unit: Option<&'static Unit>,
    /// Row and column of a cell, a blank, and the text; empty without a frame.
    framed: String,
    place: WrittenPlace<'a>,
}

/// A run of a passage's bytes and where it stands in the file, letter by letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Piece {
    pub(crate) at: usize,
    /// Bytes.
    pub(crate) length: usize,
    pub(crate) source: usize,
}

enum WrittenPlace<'a> {
    Pieces { source: &'a Arc<Source>, rendered: &'a Rendered<'a>, pieces: &'a [Piece] },
    Block { source: &'a Arc<Source>, rendered: &'a Rendered<'a>, block: &'a Block },
    Text { source: &'a Arc<Source>, text: &'a Text },
}

impl<'a> Passage<'a> {
    /// A text of the front matter.
    pub(crate) fn of_text(source: &'a Arc<Source>, text: &'a Text) -> Passage<'a> {
        Passage::plain(&text.text, WrittenPlace::Text { source, text })
    }

    fn plain(text: &'a str, place: WrittenPlace<'a>) -> Passage<'a> {
        Passage {
            text,
            bounds: &[],
            setting: None,
            setting_length: 0,
            heading: "",
            lead: "",
            column_unit: None,
            framed: String::new(),
            place,
        }
    }

    /// A text put together from pieces of what a file prints.
    pub(crate) fn of_pieces(
        source: &'a Arc<Source>,
        rendered: &'a Rendered<'a>,
        (text, pieces, bounds): (&'a str, &'a [Piece], &'a [BoundText]),
    ) -> Passage<'a> {
        Passage {
            bounds,
            ..Passage::plain(text, WrittenPlace::Pieces { source, rendered, pieces })
        }
    }

    /// A block of the page.
    pub(crate) fn of_block(
        source: &'a Arc<Source>,
        rendered: &'a Rendered<'a>,
        block: &'a Block,
    ) -> Passage<'a> {
        Passage {
            bounds: &block.bounds,
            setting: block.setting.as_ref(),
            setting_length: block.setting_length,
            ..Passage::plain(&block.text, WrittenPlace::Block { source, rendered, block })
        }
    }

    /// Puts the passage into a frame: words that name figures, but hold none.
    pub(crate) fn within(mut self, frame: &str) -> Passage<'a> {
        if !frame.is_empty() {
            self.framed = format!("{frame} {}", self.text);
        }
        self
    }

    /// The text with its frame, if it has one, and a blank before it.
    pub(crate) fn framed(&self) -> &str {
        if self.framed.is_empty() { self.text } else { &self.framed }
    }

    /// Where a span of the text was written.
    pub(crate) fn spot(&self, span: Span) -> Spot {
        match &self.place {
            WrittenPlace::Block { source, rendered, block } => {
                Spot::new(source, rendered.origin(block.rendered(span)).span)
            }
            WrittenPlace::Text { source, text } => Spot::new(source, text.part(span)),
            WrittenPlace::Pieces { source, rendered, pieces } => {
                Spot::new(source, rendered.origin(in_pieces(pieces, span)).span)
            }
        }
    }

    /// The expression that printed a span; `None` where the writer typed it.
    pub(crate) fn printed_by(&self, span: Span) -> Option<String> {
        match &self.place {
            WrittenPlace::Block { source, rendered, block } => {
                let origin = rendered.origin(block.rendered(span));
                origin.printed.then(|| source.slice(origin.span).to_owned())
            }
            WrittenPlace::Pieces { source, rendered, pieces } => {
                let origin = rendered.origin(in_pieces(pieces, span));
                origin.printed.then(|| source.slice(origin.span).to_owned())
            }
            WrittenPlace::Text { .. } => None,
        }
    }

    /// The whole link of a bound piece, as typed.
    pub(crate) fn link_spot(&self, bound: &BoundText) -> Spot {
        match &self.place {
            WrittenPlace::Block { source, rendered, .. }
            | WrittenPlace::Pieces { source, rendered, .. } => {
                Spot::new(source, rendered.origin(bound.link).span)
            }
            WrittenPlace::Text { source, text } => Spot::new(source, text.span),
        }
    }
}

/// Where a span was taken from.
fn in_pieces(pieces: &[Piece], span: Span) -> Span {
    let place = |offset: usize| {
        let piece = pieces.iter().rev().find(|piece| piece.at <= offset);
        piece.map_or(0, |piece| piece.source + (offset - piece.at).min(piece.length))
    };
    Span::new(place(span.start), place(span.end.saturating_sub(1).max(span.start)) + 1)
}

/// Frames and column units of the cells of a document, by block.
pub(crate) fn cell_frames(document: &Document<'_>) -> Vec<Option<(String, Option<String>)>> {
    let cell = |block: &Block| match block.kind {
        BlockKind::Cell { table, row, column } => Some((table, row, column)),
        _ => None,
    };
    let mut heads: BTreeMap<(usize, usize), String> = BTreeMap::new();
    let mut labels: BTreeMap<(usize, usize), String> = BTreeMap::new();
    for block in &document.blocks {
        if let Some((table, row, column)) = cell(block) {
            if row == 0 {
                heads.insert((table, column), block.text.clone());
            }
            if column == 0 {
                labels.insert((table, row), block.text.clone());
            }
        }
    }
    document
        .blocks
        .iter()
        .map(|block| {
            let (table, row, column) = cell(block)?;
            if row == 0 {
                return Some((String::new(), None));
            }
            let head = heads.get(&(table, column)).cloned().unwrap_or_default();
            let label = if column == 0 { None } else { labels.get(&(table, row)) };
            let frame = match label {
                // An engine's name may stand in either: it must come before the words it governs.
                Some(label) => format!("{head}: {label} {head}"),
                None => head.clone(),
            };
            let label_unit = label.and_then(|label| unit_of_head(label));
            Some((frame, unit_of_head(&head).or(label_unit)))
        })
        .collect()
}

/// `Bore (mm)`, `Bore [mm]`, `Bore, mm`, `Bore in mm`: the text of the unit.
fn unit_of_head(head: &str) -> Option<String> {
    let trimmed = head.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some(inner) = trimmed.strip_suffix(close)
            && let Some((_, unit)) = inner.rsplit_once(open)
        {
            return Some(unit.trim().to_owned());
        }
    }
    let (_, unit) = trimmed.rsplit_once(',').or_else(|| trimmed.rsplit_once(" in "))?;
    Some(unit.trim().to_owned())
}
