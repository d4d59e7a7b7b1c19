//! Ways that something opens: a 2/2 valve of two boxes, the one at the ports telling how it
//! stands, with the words of what moves it at its end.
//!
//! What moves it is told in words and not by a line across the picture, as limit valves are drawn
//! apart from the cylinder that works them and carry its mark.

use super::block::{LETTER, MARK, PITCH, SMALL, SymbolBlock, nodes, unit};
use super::passages::{column_pins, ends, open_end, square};
use super::{actuators, marks};
use crate::cutaway::model::{Element, Engine, OPEN_AIR, Way, WayId, Width};
use crate::drawing::lettering::{width, wrapped};
use crate::drawing::shape::{Align, NARROW, Sketch};
use crate::drawing::view::DrawingView;
use crate::drawing::words;

/// Widest line of conditions.
const WIDEST: f64 = 120.0;
/// Height of a line of conditions.
const LINE: f64 = 14.0;
/// Width of each box.
const BOX: f64 = 40.0;

/// Sizes that block and drawing share.
struct GateLayout {
    /// Node of the ports' column.
    column: i32,
    height: i32,
    lines: Vec<String>,
}

fn layout(engine: &Engine, way: &Way) -> GateLayout {
    let terms = way.when.iter().enumerate().map(|(at, condition)| {
        let words = words::condition(engine, *condition);
        if at == 0 { words } else { format!("and {words}") }
    });
    let lines: Vec<String> = terms.flat_map(|term| wrapped(&term, SMALL, WIDEST)).collect();
    let widest = lines.iter().map(|line| width(line, SMALL)).fold(0.0, f64::max);
    let name = width(&way.name.spoken(), LETTER) + MARK;
    let column = nodes(widest.max(name).max(70.0));
    let height = 3 + nodes(lines.len() as f64 * LINE);
    GateLayout { column, height, lines }
}

/// The block of a way with conditions.
pub(crate) fn block(engine: &Engine, at: WayId, is_flipped: bool) -> SymbolBlock {
    let way = &engine.ways[at];
    let layout = layout(engine, way);
    let pins = column_pins(ends(way, is_flipped), layout.column, layout.height);
    let (width, height) = (layout.column + 4, layout.height);
    SymbolBlock { content: Element::Way(at), is_flipped, width, height, pins }
}

/// Draws a way with conditions.
pub(crate) fn draw(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    at: WayId,
    sketch: &mut Sketch,
) {
    let way = &engine.ways[at];
    let layout = layout(engine, way);
    let port = unit(layout.column);
    let (top, bottom) = (10.0, 50.0);
    let name = marks::named(view, block, &way.name.spoken());
    sketch.text(LETTER, Align::Left, (-7.0, 3.0), name);
    let [below, above] = ends(way, block.is_flipped);
    for (chamber, node, edge) in [(below, unit(block.height), bottom), (above, -PITCH, top)] {
        if chamber == OPEN_AIR {
            open_end(way, sketch, (port, edge), edge > 20.0);
        } else {
            sketch.stub(view.pen(engine, chamber), chamber.place(), &[(port, node), (port, edge)]);
        }
    }
    // The box at the ports tells how it stands; the whole valve slides by one box when it moves.
    let is_open = view.is_open(engine, way);
    let opens_from_rest = !DrawingView::default().is_open(engine, way);
    let has_moved = is_open == opens_from_rest;
    let slide = if has_moved { BOX } else { 0.0 };
    let lefts = [port - 1.5 * BOX + slide, port - 0.5 * BOX + slide];
    for (left, shows_open) in lefts.into_iter().zip([opens_from_rest, !opens_from_rest]) {
        sketch.rect(NARROW, square(left, top, BOX), 0.0);
        let upwards = above == way.to;
        inside(way, shows_open, upwards, (left + BOX / 2.0, top), sketch);
    }
    actuators::draw(&way.when, (lefts[0], 30.0), -1.0, sketch);
    for (row, line) in layout.lines.iter().enumerate() {
        sketch.text(SMALL, Align::Left, (-7.0, 63.0 + row as f64 * LINE), line);
    }
}

/// What a box shows: the way through it, or its two ports shut.
fn inside(way: &Way, is_open: bool, upwards: bool, top: (f64, f64), sketch: &mut Sketch) {
    let (x, top) = top;
    let bottom = top + 40.0;
    if !is_open {
        shut(sketch, (x, top), 1.0);
        shut(sketch, (x, bottom), -1.0);
        return;
    }
    let (tail, head, turn) = if upwards { (bottom, top, 1.0) } else { (top, bottom, -1.0) };
    sketch.line(NARROW, &[(x, tail), (x, head + turn * 8.0)]);
    arrow(sketch, (x, head), turn);
    if way.one_way {
        let middle = top + 22.0;
        sketch.line(
            NARROW,
            &[
                (x - 7.0, middle - turn * 2.0),
                (x, middle + turn * 5.0),
                (x + 7.0, middle - turn * 2.0),
            ],
        );
    } else if way.width == Width::Wide {
        arrow(sketch, (x, tail), -turn);
    }
    if way.width != Width::Wide {
        let middle = top + 20.0;
        sketch.arc(NARROW, [(x - 8.0, middle - 7.0), (x - 8.0, middle + 7.0)], 8.0, true);
        sketch.arc(NARROW, [(x + 8.0, middle - 7.0), (x + 8.0, middle + 7.0)], 8.0, false);
    }
}

/// The head of an arrow at the edge of a box; `turn` is 1 for one that points up.
pub(crate) fn arrow(sketch: &mut Sketch, tip: (f64, f64), turn: f64) {
    let (x, y) = tip;
    sketch.area(&[(x, y), (x - 3.5, y + turn * 8.0), (x + 3.5, y + turn * 8.0)]);
}

/// The T of a shut port; `turn` is 1 at the upper edge of a box.
pub(crate) fn shut(sketch: &mut Sketch, port: (f64, f64), turn: f64) {
    let (x, y) = port;
    sketch.line(NARROW, &[(x, y), (x, y + turn * 10.0)]);
    sketch.line(NARROW, &[(x - 5.0, y + turn * 10.0), (x + 5.0, y + turn * 10.0)]);
}
