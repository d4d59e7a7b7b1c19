//! Chambers: the supply's triangle, stores as capsules, plain rooms as boxes; and regulators.

use super::block::{LETTER, MARK, PITCH, Pin, SymbolBlock, nodes, unit};
use super::marks;
use crate::cutaway::model::{Chamber, ChamberId, Element, Engine, Role};
use crate::drawing::lettering::{width, wrapped};
use crate::drawing::shape::{Align, DASHED, NARROW, Rect, Sketch, at};
use crate::drawing::view::{DrawingView, level_share};
use crate::logic::Level;

/// Widest name on one line.
const WIDEST: f64 = 130.0;
/// Height of a line of text.
const LINE: f64 = 15.0;
/// Room for the letter that stands for a line that is drawn in pieces.
const REFERENCE: f64 = 22.0;
/// The words of a level are smaller than names.
const LEVEL: f64 = 10.5;
/// Size of the mark of a level, and the room it takes before the word.
const LEVEL_MARK: (f64, f64) = (6.0, 9.0);
const BESIDE_MARK: f64 = 10.0;

/// Whether it is drawn as the triangle of a supply: one that hangs on another is a room.
pub(crate) fn is_source(chamber: &Chamber) -> bool {
    chamber.role == Role::Supply && chamber.regulated_from.is_none()
}

fn is_store(chamber: &Chamber) -> bool {
    chamber.role == Role::Store
}

fn lines(engine: &Engine, at: ChamberId) -> Vec<String> {
    let chamber = &engine.chambers[at];
    let mut lines = wrapped(&chamber.name.spoken(), LETTER, WIDEST);
    let reading = engine.readings.get(&Element::Chamber(at));
    if let Some(reading) = reading.filter(|_| chamber.is_supply()) {
        lines.push(format!("at {}", reading.spoken()));
    }
    lines
}

/// The block of a chamber.
pub(crate) fn block(engine: &Engine, chamber: ChamberId) -> SymbolBlock {
    let it = &engine.chambers[chamber];
    let lines = lines(engine, chamber);
    let widest = lines
        .iter()
        .map(|line| width(line, LETTER))
        .fold(width("drawn on", LEVEL) + BESIDE_MARK, f64::max);
    let text = widest + MARK + REFERENCE;
    let content = Element::Chamber(chamber);
    if is_source(it) {
        let width = nodes(text) | 1;
        let height = 1 + nodes(lines.len() as f64 * LINE + 4.0);
        let pins = vec![Pin { net: chamber.place(), node: (width / 2, -1) }];
        return SymbolBlock { content, is_flipped: false, width, height, pins };
    }
    let (ends, least) = if is_store(it) { (24.0, 5) } else { (10.0, 3) };
    let width = nodes(text + ends).max(least);
    let height = nodes(lines.len() as f64 * LINE + LEVEL + 10.0).max(2);
    let pins = edge_nodes(width, height, if is_store(it) { 1 } else { 0 });
    let pins = pins.into_iter().map(|node| Pin { net: chamber.place(), node }).collect();
    SymbolBlock { content, is_flipped: false, width, height, pins }
}

/// Nodes around a block; at top and bottom those of `inset` corners are left out.
fn edge_nodes(width: i32, height: i32, inset: i32) -> Vec<(i32, i32)> {
    let along = (inset..width - inset).flat_map(|x| [(x, -1), (x, height)]);
    let beside = (0..height).flat_map(|y| [(-1, y), (width, y)]);
    along.chain(beside).collect()
}

/// The outline of a room or store, around the nodes of its block.
fn outline(block: &SymbolBlock) -> Rect {
    let (width, height) = (unit(block.width - 1), unit(block.height - 1));
    Rect::new(at(0.0, 0.0), width, height).grown(8.0)
}

/// Draws a chamber; `reference` is the letter of its line where that is drawn in pieces.
pub(crate) fn draw(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    chamber: ChamberId,
    reference: Option<&str>,
    sketch: &mut Sketch,
) {
    let it = &engine.chambers[chamber];
    let pen = view.pen(engine, chamber);
    let mut lines = lines(engine, chamber);
    if let Some(first) = lines.first_mut() {
        *first = marks::named(view, block, first);
    }
    if let (Some(letter), Some(first)) = (reference, lines.first_mut()) {
        *first = format!("{first} ({letter})");
    }
    let middle = unit(block.width - 1) / 2.0;
    if is_source(it) {
        let (apex, base) = (-8.0, 9.0);
        let triangle = [(middle, apex), (middle - 10.0, base), (middle + 10.0, base)];
        sketch.outline(NARROW, &triangle);
        sketch.stub(pen, chamber.place(), &[(middle, -PITCH), (middle, apex)]);
        for (row, line) in lines.iter().enumerate() {
            sketch.text(LETTER, Align::Centre, (middle, 24.0 + row as f64 * LINE), line);
        }
        return;
    }
    let rect = outline(block);
    let radius = if is_store(it) { rect.height().min(36.0) / 2.0 } else { 3.0 };
    sketch.rect(pen, rect, radius);
    let level = view.level(chamber);
    let height = lines.len() as f64 * LINE + if level.is_some() { LEVEL + 2.0 } else { 0.0 };
    let mut base = rect.middle().y - height / 2.0 + 11.5;
    for line in &lines {
        sketch.text(LETTER, Align::Centre, (middle, base), line);
        base += LINE;
    }
    if let Some(level) = level {
        let left = middle - (width(level.word(), LEVEL) + BESIDE_MARK) / 2.0;
        level_mark(level, (left, base - 1.5), sketch);
        sketch.text(LEVEL, Align::Left, (left + BESIDE_MARK, base - 1.5), level.word());
    }
}

/// A small vessel, filled as far as the level goes, standing on the base line of its word.
pub(crate) fn level_mark(level: Level, corner: (f64, f64), sketch: &mut Sketch) {
    let ((left, base), (wide, high)) = (corner, LEVEL_MARK);
    sketch.rect(NARROW, Rect::new(at(left, base - high), wide, high), 0.0);
    let top = base - high * level_share(level);
    if top < base {
        sketch.area(&[(left, base), (left + wide, base), (left + wide, top), (left, top)]);
    }
}

/// Where a line that comes to a node beside a chamber meets its outline, both from the block's
/// upper left node.
pub(crate) fn landing(
    engine: &Engine,
    block: &SymbolBlock,
    chamber: ChamberId,
    node: (i32, i32),
) -> (f64, f64) {
    let rect = outline(block);
    let (x, y) = (unit(node.0), unit(node.1));
    if node.1 < 0 {
        return (x, rect.top);
    }
    if block.height <= node.1 {
        return (x, rect.bottom);
    }
    let radius = rect.height().min(36.0) / 2.0;
    // On the round end of a capsule the line goes on a little.
    let from_flat = (radius - (y - rect.top)).max(radius - (rect.bottom - y)).max(0.0);
    let more = radius - (radius * radius - from_flat * from_flat).max(0.0).sqrt();
    let more = if is_store(&engine.chambers[chamber]) { more } else { 0.0 };
    if node.0 < 0 { (rect.left + more, y) } else { (rect.right - more, y) }
}

/// The block of the regulator that feeds a chamber.
pub(crate) fn regulator_block(engine: &Engine, chamber: ChamberId) -> SymbolBlock {
    let it = &engine.chambers[chamber];
    let from = it.regulated_from.unwrap_or(chamber);
    let wide = 58.0 + MARK + width(&regulator_name(it), LETTER);
    let pins =
        vec![Pin { net: from.place(), node: (1, 3) }, Pin { net: chamber.place(), node: (1, -1) }];
    let content = Element::Regulator(chamber);
    SymbolBlock { content, is_flipped: false, width: nodes(wide) + 1, height: 3, pins }
}

fn regulator_name(chamber: &Chamber) -> String {
    chamber.regulator.as_ref().map_or_else(|| "regulator".to_string(), |name| name.spoken())
}

/// Draws a regulator: a square with the arrow on the line, since it is open until its outlet has
/// its pressure, which the dashed line leads to the side that the spring works against.
pub(crate) fn draw_regulator(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    chamber: ChamberId,
    sketch: &mut Sketch,
) {
    let it = &engine.chambers[chamber];
    let from = it.regulated_from.unwrap_or(chamber);
    sketch.rect(NARROW, Rect::new(at(0.0, 0.0), 40.0, 40.0), 0.0);
    sketch.stub(view.pen(engine, from), from.place(), &[(20.0, 60.0), (20.0, 40.0)]);
    sketch.stub(view.pen(engine, chamber), chamber.place(), &[(20.0, -20.0), (20.0, 0.0)]);
    sketch.line(NARROW, &[(20.0, 40.0), (20.0, 9.0)]);
    sketch.area(&[(20.0, 0.0), (16.5, 9.0), (23.5, 9.0)]);
    sketch.stub(DASHED, chamber.place(), &[(20.0, -8.0), (-7.0, -8.0), (-7.0, 20.0), (0.0, 20.0)]);
    let zigzag =
        [(40.0, 20.0), (43.0, 14.0), (47.0, 26.0), (51.0, 14.0), (55.0, 26.0), (58.0, 20.0)];
    sketch.line(NARROW, &zigzag);
    sketch.line(NARROW, &[(43.0, 31.0), (55.0, 9.0)]);
    sketch.area(&[(56.5, 6.0), (55.8, 12.5), (51.0, 10.0)]);
    let name = marks::named(view, block, &regulator_name(it));
    sketch.text(LETTER, Align::Left, (64.0, 24.0), name);
}
