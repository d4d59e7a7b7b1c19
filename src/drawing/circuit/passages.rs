//! Ways that are always open, as what they are on the line: a duct, a restrictor, a check valve;
//! and the barrel.

use super::block::{LETTER, MARK, PITCH, Pin, SMALL, SymbolBlock, nodes, unit};
use super::marks;
use crate::cutaway::model::{ChamberId, Element, Engine, OPEN_AIR, Way, WayId, Width};
use crate::drawing::lettering::{width, wrapped};
use crate::drawing::shape::{Align, NARROW, Rect, Sketch, at};
use crate::drawing::view::DrawingView;

/// Widest line of a name beside a symbol.
const WIDEST: f64 = 90.0;
/// Where the name starts, right of the line.
const NAME: f64 = 13.0;

/// The chambers at the bottom and the top of a way's symbol. The open air is always below.
pub(crate) fn ends(way: &Way, is_flipped: bool) -> [ChamberId; 2] {
    match (way.from, way.to, is_flipped) {
        (from, OPEN_AIR, _) => [OPEN_AIR, from],
        (OPEN_AIR, to, _) => [OPEN_AIR, to],
        (from, to, false) => [from, to],
        (from, to, true) => [to, from],
    }
}

/// Pins at the bottom and the top of a column of nodes, but none in the open air.
pub(crate) fn column_pins(ends: [ChamberId; 2], column: i32, height: i32) -> Vec<Pin> {
    let [below, above] = ends;
    let pins = [
        Pin { net: above.place(), node: (column, -1) },
        Pin { net: below.place(), node: (column, height) },
    ];
    pins.into_iter().filter(|pin| pin.net != OPEN_AIR.place()).collect()
}

fn name_lines(way: &Way) -> Vec<String> {
    wrapped(&way.name.spoken(), LETTER, WIDEST)
}

/// Heights of a way's symbols along its line, from the bottom: check valve, then restrictor.
fn has_both(way: &Way) -> bool {
    way.one_way && way.width != Width::Wide
}

/// The block of a way that is always open.
pub(crate) fn block(engine: &Engine, at: WayId, is_flipped: bool) -> SymbolBlock {
    let way = &engine.ways[at];
    let lines = name_lines(way);
    let widest = lines.iter().map(|line| width(line, LETTER)).fold(0.0, f64::max);
    let symbols = if has_both(way) { 3 } else { 2 };
    let height = symbols.max(nodes(lines.len() as f64 * 15.0));
    let ends = ends(way, is_flipped);
    let width = 1 + nodes(NAME + MARK + widest - PITCH / 2.0);
    let pins = column_pins(ends, 0, height);
    SymbolBlock { content: Element::Way(at), is_flipped, width, height, pins }
}

/// Draws a way that is always open.
pub(crate) fn draw(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    at: WayId,
    sketch: &mut Sketch,
) {
    let way = &engine.ways[at];
    let [below, above] = ends(way, block.is_flipped);
    let upwards = above == way.to;
    let (top, bottom) = (-PITCH, unit(block.height));
    let middle = (top + bottom) / 2.0;
    let reach = if has_both(way) { 20.0 } else { 10.0 };
    for (chamber, from, to) in [(below, bottom, middle + reach), (above, top, middle - reach)] {
        if chamber == OPEN_AIR {
            open_end(way, sketch, (0.0, to), from > to);
        } else {
            sketch.stub(view.pen(engine, chamber), chamber.place(), &[(0.0, from), (0.0, to)]);
        }
    }
    match (way.one_way, way.width) {
        (true, Width::Wide) => check(sketch, middle, upwards),
        (true, _) => {
            check(sketch, middle + 10.0, upwards);
            restrictor(sketch, middle - 10.0);
        }
        (false, Width::Wide) => duct(sketch, middle),
        (false, _) => restrictor(sketch, middle),
    }
    let mut lines = name_lines(way);
    if let Some(first) = lines.first_mut() {
        *first = marks::named(view, block, first);
    }
    let mut base = middle - lines.len() as f64 * 7.5 + 11.5;
    for line in lines {
        sketch.text(LETTER, Align::Left, (NAME, base), line);
        base += 15.0;
    }
}

/// A plain duct of full width: walls along the line.
fn duct(sketch: &mut Sketch, middle: f64) {
    sketch.line(NARROW, &[(0.0, middle - 10.0), (0.0, middle + 10.0)]);
    for side in [-5.0, 5.0] {
        sketch.line(NARROW, &[(side, middle - 8.0), (side, middle + 8.0)]);
    }
}

/// A restrictor: walls that bulge towards the line.
pub(crate) fn restrictor(sketch: &mut Sketch, middle: f64) {
    sketch.line(NARROW, &[(0.0, middle - 10.0), (0.0, middle + 10.0)]);
    sketch.arc(NARROW, [(-8.0, middle - 8.0), (-8.0, middle + 8.0)], 9.0, true);
    sketch.arc(NARROW, [(8.0, middle - 8.0), (8.0, middle + 8.0)], 9.0, false);
}

/// A check valve: the flow lifts the ball out of its seat.
fn check(sketch: &mut Sketch, middle: f64, upwards: bool) {
    let turn = if upwards { 1.0 } else { -1.0 };
    let point = |x: f64, y: f64| (x, middle + turn * y);
    sketch.line(NARROW, &[point(-8.0, -2.0), point(0.0, 6.0), point(8.0, -2.0)]);
    sketch.line(NARROW, &[point(0.0, 10.0), point(0.0, 6.0)]);
    sketch.circle(NARROW, point(0.0, -1.5), 5.0, false);
    sketch.line(NARROW, &[point(0.0, -6.5), point(0.0, -10.0)]);
}

/// The open triangle of an exhaust, standing on a port.
pub(crate) fn exhaust(sketch: &mut Sketch, port: (f64, f64), down: bool) {
    let tip = if down { port.1 + 10.0 } else { port.1 - 10.0 };
    sketch.outline(NARROW, &[(port.0 - 6.0, port.1), (port.0 + 6.0, port.1), (port.0, tip)]);
}

/// The end of a way in the open air: an exhaust, or where air comes in.
pub(crate) fn open_end(way: &Way, sketch: &mut Sketch, port: (f64, f64), down: bool) {
    let turn = if down { 1.0 } else { -1.0 };
    if way.from == OPEN_AIR {
        let base = port.1 + turn * 10.0;
        sketch.outline(NARROW, &[(port.0 - 6.0, base), (port.0 + 6.0, base), port]);
    } else {
        exhaust(sketch, port, down);
    }
}

const TUBE: f64 = 74.0;

/// The block of a barrel; flipped, its line comes from below instead of from the rear.
pub(crate) fn barrel_block(engine: &Engine, at: WayId, is_flipped: bool) -> SymbolBlock {
    let way = &engine.ways[at];
    let ball = engine
        .ball
        .as_ref()
        .map_or(0.0, |ball| width(&format!("{} is gone", ball.name.spoken()), SMALL));
    let widest = (width(&way.name.spoken(), LETTER) + MARK).max(ball + 18.0).max(TUBE + 30.0);
    let chamber = if way.from == OPEN_AIR { way.to } else { way.from };
    let node = if is_flipped { (0, 3) } else { (-1, 1) };
    let pins = vec![Pin { net: chamber.place(), node }];
    let pins = pins.into_iter().filter(|pin| pin.net != OPEN_AIR.place()).collect();
    SymbolBlock { content: Element::Way(at), is_flipped, width: nodes(widest) + 1, height: 3, pins }
}

/// Draws a barrel with the ball in it, if it is there.
pub(crate) fn draw_barrel(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    way: WayId,
    sketch: &mut Sketch,
) {
    let it = &engine.ways[way];
    let middle = PITCH;
    let name = marks::named(view, block, &it.name.spoken());
    sketch.text(LETTER, Align::Left, (-6.0, 4.0), name);
    let chamber = if it.from == OPEN_AIR { it.to } else { it.from };
    let pen = view.pen(engine, chamber);
    if chamber != OPEN_AIR && block.is_flipped {
        sketch.stub(pen, chamber.place(), &[(0.0, 3.0 * PITCH), (0.0, middle), (8.0, middle)]);
    } else if chamber != OPEN_AIR {
        sketch.stub(pen, chamber.place(), &[(-PITCH, middle), (8.0, middle)]);
    }
    let (rear, muzzle) = (8.0, 8.0 + TUBE);
    sketch.line(NARROW, &[(rear, middle - 8.0), (rear, middle + 8.0)]);
    for side in [-8.0, 8.0] {
        sketch.line(NARROW, &[(rear, middle + side), (muzzle, middle + side)]);
    }
    sketch.outline(
        NARROW,
        &[(muzzle + 2.0, middle - 6.0), (muzzle + 2.0, middle + 6.0), (muzzle + 12.0, middle)],
    );
    let Some(ball) = &engine.ball else { return };
    let sits = view.has_ball(engine);
    if sits {
        sketch.circle(NARROW, (rear + 8.5, middle), 6.5, false);
    }
    let words = if sits { ball.name.spoken() } else { format!("{} is gone", ball.name.spoken()) };
    sketch.text(SMALL, Align::Left, (rear + 2.0, middle + 20.0), words);
}

/// The rectangle of a box of a valve.
pub(crate) fn square(left: f64, top: f64, width: f64) -> Rect {
    Rect::new(at(left, top), width, 40.0)
}
