//! Valves with three ports and a loose part between two seats: quick exhaust, shuttle, two
//! pressures.

use super::block::{LETTER, MARK, PITCH, Pin, SMALL, SymbolBlock, nodes, unit};
use super::marks;
use super::passages::exhaust;
use crate::cutaway::model::{ChamberId, Element, Engine, OPEN_AIR, Valve, ValveId, ValveKind};
use crate::drawing::lettering::{width, wrapped};
use crate::drawing::shape::{Align, DASHED, NARROW, Rect, Sketch, at};
use crate::drawing::view::DrawingView;

/// Left and right edge and middle of the symbol.
const EDGES: [f64; 2] = [-8.0, 48.0];
const MIDDLE: f64 = 20.0;

/// The chambers at its three ports: left, middle, right.
pub(crate) fn chambers(valve: &Valve) -> Option<[ChamberId; 3]> {
    let (rest, shifted) = (valve.rest.first()?, valve.shifted.first()?);
    let [a, b] = [[rest.0, rest.1], [shifted.0, shifted.1]];
    let common = a.into_iter().find(|chamber| b.contains(chamber))?;
    let other = |pair: [ChamberId; 2]| if pair[0] == common { pair[1] } else { pair[0] };
    Some([other(a), common, other(b)])
}

fn numbers(kind: ValveKind) -> [&'static str; 3] {
    match kind {
        ValveKind::QuickExhaust => ["1", "2", "3"],
        _ => ["1", "2", "1"],
    }
}

/// Ends of its three lines: the outer ones below and the middle one above, or the other way round.
fn pins(valve: &Valve, is_flipped: bool) -> Vec<Pin> {
    let (outer, middle) = if is_flipped { (-1, 3) } else { (3, -1) };
    let nodes = [(0, outer), (1, middle), (2, outer)];
    let chambers = chambers(valve).into_iter().flatten();
    let pins = chambers.zip(nodes).map(|(chamber, node)| Pin { net: chamber.place(), node });
    pins.filter(|pin| pin.net != OPEN_AIR.place()).collect()
}

fn name_lines(valve: &Valve) -> Vec<String> {
    wrapped(&valve.name.spoken(), LETTER, 90.0)
}

/// The block of such a valve.
pub(crate) fn block(engine: &Engine, at: ValveId, is_flipped: bool) -> SymbolBlock {
    let valve = &engine.valves[at];
    let widest = name_lines(valve).iter().map(|line| width(line, LETTER)).fold(0.0, f64::max);
    let width = 3 + nodes(6.0 + MARK + widest);
    let height = 3.max(nodes(name_lines(valve).len() as f64 * 15.0));
    let pins = pins(valve, is_flipped);
    let pins = pins.into_iter().map(|pin| match pin.node {
        (x, 3) => Pin { node: (x, height), ..pin },
        _ => pin,
    });
    SymbolBlock { content: Element::Valve(at), is_flipped, width, height, pins: pins.collect() }
}

/// Draws such a valve.
pub(crate) fn draw(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    at_valve: ValveId,
    sketch: &mut Sketch,
) {
    let valve = &engine.valves[at_valve];
    // Written for the outer ports below; turned over otherwise.
    let y = |down: f64| if block.is_flipped { 40.0 - down } else { down };
    sketch.rect(NARROW, Rect::new(at(EDGES[0], 3.0), EDGES[1] - EDGES[0], 34.0), 0.0);
    let below = if block.is_flipped { -PITCH } else { unit(block.height) };
    let above = if block.is_flipped { unit(block.height) } else { -PITCH };
    let ends = [(0.0, below, y(37.0)), (MIDDLE, above, y(3.0)), (40.0, below, y(37.0))];
    let ports = chambers(valve).unwrap_or([OPEN_AIR; 3]);
    for ((chamber, number), (x, node, edge)) in ports.into_iter().zip(numbers(valve.kind)).zip(ends)
    {
        let is_open_air = chamber == OPEN_AIR;
        if is_open_air {
            exhaust(sketch, (x, edge), 20.0 < edge);
        } else {
            sketch.stub(view.pen(engine, chamber), chamber.place(), &[(x, node), (x, edge)]);
        }
        let base = if 20.0 < edge { edge + 8.5 } else { edge - 2.0 };
        let beside = if is_open_air { 7.0 } else { 3.0 };
        sketch.text(SMALL, Align::Left, (x + beside, base), number);
    }
    let is_shifted = view.is_shifted(at_valve);
    draw_inside(valve, is_shifted, y, sketch);
    for (row, line) in name_lines(valve).iter().enumerate() {
        let name = if row == 0 { marks::named(view, block, line) } else { line.clone() };
        sketch.text(LETTER, Align::Left, (EDGES[1] + 7.0, 24.0 + row as f64 * 15.0), name);
    }
}

/// The ball, or the pin with its two bars, between two seats.
fn draw_inside(valve: &Valve, is_shifted: bool, y: impl Fn(f64) -> f64, sketch: &mut Sketch) {
    let level = y(24.0);
    for (x, side) in [(0.0, 1.0), (40.0, -1.0)] {
        let seat = x + side * 7.0;
        sketch.line(NARROW, &[(x, y(37.0)), (x, level), (seat, level)]);
        let mouth = seat + side * 6.0;
        sketch.line(NARROW, &[(mouth, level - 6.0), (seat, level), (mouth, level + 6.0)]);
    }
    sketch.line(NARROW, &[(MIDDLE, y(3.0)), (MIDDLE, y(15.0))]);
    // The ball lies in the seat that is shut: at rest the left way is open.
    let from_middle = if is_shifted { -5.5 } else { 5.5 };
    if valve.kind == ValveKind::TwoPressure {
        // The higher pressure shuts its own side, so the pin leans to the side that is shut.
        let middle = MIDDLE + from_middle / 2.0;
        sketch.line(NARROW, &[(middle - 4.0, level), (middle + 4.0, level)]);
        for side in [-4.0, 4.0] {
            sketch.line(NARROW, &[(middle + side, level - 5.0), (middle + side, level + 5.0)]);
        }
        return;
    }
    sketch.circle(NARROW, (MIDDLE + from_middle, level), 4.5, false);
    if valve.kind == ValveKind::QuickExhaust {
        // What the inlet holds keeps the exhaust shut.
        sketch.line(DASHED, &[(0.0, y(33.0)), (MIDDLE, y(33.0)), (MIDDLE, y(29.0))]);
    }
}
