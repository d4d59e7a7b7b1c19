//! Marks of difference: a frame around the symbol and a letter before its name.

use super::block::{SymbolBlock, unit};
use crate::cutaway::model::Element;
use crate::drawing::shape::{Pattern, Pen, Rect, Sketch, Weight, at};
use crate::drawing::view::{DrawingView, Mark};

fn mark(view: &DrawingView, block: &SymbolBlock) -> Option<Mark> {
    // A regulator is marked with the chamber that it feeds.
    let thing = match block.content {
        Element::Regulator(at) => Element::Chamber(at),
        other => other,
    };
    view.marks.get(&thing).copied()
}

/// The name with the letter of its mark, if it has one.
pub(crate) fn named(view: &DrawingView, block: &SymbolBlock, name: &str) -> String {
    match mark(view, block) {
        Some(mark) => format!("[{}] {name}", mark.letter()),
        None => name.to_string(),
    }
}

/// Draws the frame of a marked symbol, around the nodes of its block.
pub(crate) fn draw(view: &DrawingView, block: &SymbolBlock, sketch: &mut Sketch) {
    if mark(view, block).is_none() {
        return;
    }
    let (width, height) = (unit(block.width - 1), unit(block.height - 1));
    let pen = Pen { weight: Weight::Wide, pattern: Pattern::Chain };
    sketch.rect(pen, Rect::new(at(0.0, 0.0), width, height).grown(10.0), 0.0);
}
