//! Valves of boxes: one box for each state, the one at the ports telling the state that is shown,
//! and at the ends what shifts the valve and what brings it back.

use super::block::{LETTER, MARK, PITCH, Pin, SMALL, SymbolBlock, SymbolNode, nodes, unit};
use super::gates::shut;
use super::passages::{exhaust, square};
use super::ports::{Port, paths, pilot_number, ports, return_number};
use super::{actuators, marks, selectors};
use crate::cutaway::model::{
    Condition, Drive, Element, Engine, OPEN_AIR, Returns, Valve, ValveId, ValveKind,
};
use crate::drawing::lettering::{width, wrapped};
use crate::drawing::shape::{Align, NARROW, Rect, Sketch, at};
use crate::drawing::view::DrawingView;
use crate::drawing::words;

/// Widest line of what shifts it or brings it back.
const WIDEST: f64 = 110.0;
/// Height of a line of these.
const LINE: f64 = 13.0;
/// Length of what is drawn at each end.
const END: f64 = 30.0;

/// Sizes that block and drawing share.
struct ValveLayout {
    ports: Vec<Port>,
    /// Ports at the side drawn above, with their columns.
    above: Vec<(usize, i32)>,
    /// Ports at the side drawn below.
    below: Vec<(usize, i32)>,
    /// First column of ports.
    base: i32,
    columns: i32,
    width: i32,
    height: i32,
    shifts: Vec<String>,
    returns: Vec<String>,
}

impl ValveLayout {
    fn of(engine: &Engine, valve: &Valve, is_flipped: bool) -> ValveLayout {
        let ports = ports(valve, &engine.chambers);
        let (mut outlets, mut inlets): (Vec<usize>, Vec<usize>) =
            (0..ports.len()).partition(|at| ports[*at].number.is_multiple_of(2));
        outlets.sort_by_key(|at| std::cmp::Reverse(ports[*at].number));
        // 5 lies left of 1, so that each outlet stands between what feeds and what vents it.
        inlets.sort_by_key(|at| if ports[*at].number == 5 { 0 } else { ports[*at].number });
        let columns = outlets.len().max(inlets.len()).max(1);
        let step = if outlets.len() == 2 && 3 <= columns { 2 } else { 1 };
        let column = |(at, port): (usize, usize)| (port, i32::try_from(at).unwrap_or(0));
        let outlets: Vec<_> =
            outlets.into_iter().enumerate().map(column).map(|(p, c)| (p, c * step)).collect();
        let inlets: Vec<_> = inlets.into_iter().enumerate().map(column).collect();
        let columns = i32::try_from(columns).unwrap_or(1);
        let [shifts, returns] = [shift_words(engine, valve), return_words(engine, valve)]
            .map(|words| wrapped(&words, SMALL, WIDEST));
        let widest =
            |lines: &[String]| lines.iter().map(|line| width(line, SMALL)).fold(0.0, f64::max);
        let name = width(&valve.name.spoken(), LETTER) + MARK;
        let pad = pad(columns);
        let boxes = box_width(columns);
        let base = nodes((pad + boxes + END).max(widest(&shifts)).max(name) + 2.0);
        let right = (pad + boxes + END).max(widest(&returns) + 24.0);
        let lines = shifts.len().max(returns.len()).max(1);
        let (above, below) = if is_flipped { (inlets, outlets) } else { (outlets, inlets) };
        ValveLayout {
            ports,
            above,
            below,
            base,
            columns,
            width: base + columns + nodes(right - 10.0),
            height: 3 + nodes(lines as f64 * LINE + 4.0),
            shifts,
            returns,
        }
    }

    fn x(&self, column: i32) -> f64 {
        unit(self.base + column)
    }
}

fn box_width(columns: i32) -> f64 {
    unit(columns).max(2.0 * PITCH)
}

/// Distance from the first port to the edge of its box.
fn pad(columns: i32) -> f64 {
    (box_width(columns) - unit(columns - 1)) / 2.0
}

fn shift_words(engine: &Engine, valve: &Valve) -> String {
    let pulled = |condition: &Condition| match condition {
        Condition::Pulled(trigger) => Element::Trigger(*trigger).spoken(engine),
        other => words::condition(engine, *other),
    };
    let terms: Vec<String> = valve.shifts.iter().map(pulled).collect();
    match (terms.is_empty(), valve.on_edge) {
        (true, _) => String::new(),
        (false, true) => format!("on {}", terms.join(" and ")),
        (false, false) => format!("while {}", terms.join(" and ")),
    }
}

fn return_words(engine: &Engine, valve: &Valve) -> String {
    match &valve.returns {
        Returns::Spring => String::new(),
        Returns::After(time) => format!("after {}", time.spoken()),
        Returns::While(when) => format!("back while {}", words::conditions(engine, when)),
    }
}

/// The block of a valve.
pub(crate) fn block(engine: &Engine, at: ValveId, is_flipped: bool) -> SymbolBlock {
    let valve = &engine.valves[at];
    if !matches!(valve.kind, ValveKind::Boxes(_)) {
        return selectors::block(engine, at, is_flipped);
    }
    let layout = ValveLayout::of(engine, valve, is_flipped);
    let pins = |side: &[(usize, i32)], y: i32| -> Vec<Pin> {
        let pin = |(port, column): &(usize, i32)| {
            let node: SymbolNode = (layout.base + column, y);
            Pin { net: layout.ports[*port].chamber.place(), node }
        };
        side.iter().map(pin).filter(|pin| pin.net != OPEN_AIR.place()).collect()
    };
    let pins = [pins(&layout.above, -1), pins(&layout.below, layout.height)].concat();
    let (width, height) = (layout.width, layout.height);
    SymbolBlock { content: Element::Valve(at), is_flipped, width, height, pins }
}

/// Draws a valve of boxes.
pub(crate) fn draw(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    at: ValveId,
    sketch: &mut Sketch,
) {
    let valve = &engine.valves[at];
    let layout = ValveLayout::of(engine, valve, block.is_flipped);
    let name = marks::named(view, block, &valve.name.spoken());
    sketch.text(LETTER, Align::Left, (-7.0, 3.0), name);
    draw_ports(engine, view, &layout, sketch);
    let boxes = box_width(layout.columns);
    let is_shifted = view.is_shifted(at);
    let slide = if is_shifted { boxes } else { 0.0 };
    let active = layout.x(0) - pad(layout.columns);
    let lefts = [active - boxes + slide, active + slide];
    for (left, joins) in lefts.into_iter().zip([&valve.shifted, &valve.rest]) {
        sketch.rect(NARROW, square(left, 10.0, boxes), 0.0);
        let first = left + pad(layout.columns);
        draw_state(&layout, &paths(&layout.ports, joins), first, sketch);
    }
    draw_drive(valve, lefts[0], sketch);
    draw_return(valve, lefts[1] + boxes, sketch);
    let numbers = [pilot_number(valve, &layout.ports), return_number(valve, &layout.ports)];
    sketch.text(SMALL, Align::Right, (lefts[0] - 3.0, 18.0), numbers[0].to_string());
    if !matches!(valve.returns, Returns::Spring) {
        sketch.text(SMALL, Align::Left, (lefts[1] + boxes + 3.0, 18.0), numbers[1].to_string());
    }
    for (row, line) in layout.shifts.iter().enumerate() {
        sketch.text(SMALL, Align::Left, (-7.0, 63.0 + row as f64 * LINE), line);
    }
    let right = layout.x(layout.columns - 1) + 20.0;
    for (row, line) in layout.returns.iter().enumerate() {
        sketch.text(SMALL, Align::Left, (right, 63.0 + row as f64 * LINE), line);
    }
}

fn draw_ports(engine: &Engine, view: &DrawingView, layout: &ValveLayout, sketch: &mut Sketch) {
    let sides =
        [(&layout.above, -PITCH, 10.0, 6.0), (&layout.below, unit(layout.height), 50.0, 61.0)];
    for (side, node, edge, number_at) in sides {
        for (port, column) in side {
            let it = layout.ports[*port];
            let x = layout.x(*column);
            if it.chamber == OPEN_AIR {
                exhaust(sketch, (x, edge), 20.0 < edge);
            } else {
                sketch.stub(
                    view.pen(engine, it.chamber),
                    it.chamber.place(),
                    &[(x, node), (x, edge)],
                );
            }
            let beside = if it.chamber == OPEN_AIR { 7.0 } else { 3.0 };
            sketch.text(SMALL, Align::Left, (x + beside, number_at), it.number.to_string());
        }
    }
}

/// The inside of one box.
fn draw_state(layout: &ValveLayout, paths: &[(usize, usize)], first: f64, sketch: &mut Sketch) {
    let place = |port: usize| {
        let find = |side: &[(usize, i32)]| side.iter().find(|(p, _)| *p == port).map(|(_, c)| *c);
        match (find(&layout.above), find(&layout.below)) {
            (Some(column), _) => (first + unit(column), 10.0, 1.0),
            (None, column) => (first + unit(column.unwrap_or(0)), 50.0, -1.0),
        }
    };
    for port in 0..layout.ports.len() {
        if !paths.iter().any(|(from, to)| *from == port || *to == port) {
            let (x, y, turn) = place(port);
            shut(sketch, (x, y), turn);
        }
    }
    for (from, to) in paths {
        // Air goes from 1 to an outlet, and from an outlet to its exhaust.
        let is_towards = |n: u8| if n == 1 { 0 } else { 1 + n % 2 };
        let numbers = [*from, *to].map(|port| layout.ports[port].number);
        let swap = is_towards(numbers[1]) < is_towards(numbers[0]);
        let (from, to) = if swap { (*to, *from) } else { (*from, *to) };
        let ((x, y, turn), (to_x, to_y, to_turn)) = (place(from), place(to));
        if (turn - to_turn).abs() < 0.5 {
            let depth = y + turn * 15.0;
            sketch.line(NARROW, &[(x, y), (x, depth), (to_x, depth), (to_x, to_y)]);
            super::gates::arrow(sketch, (to_x, to_y), to_turn);
        } else {
            arrow_line(sketch, (x, y), (to_x, to_y));
        }
    }
}

/// A straight line with the head of an arrow at its end.
pub(crate) fn arrow_line(sketch: &mut Sketch, from: (f64, f64), to: (f64, f64)) {
    let (x, y) = (to.0 - from.0, to.1 - from.1);
    let length = (x * x + y * y).sqrt().max(1e-9);
    let (x, y) = (x / length, y / length);
    let neck = (to.0 - 8.0 * x, to.1 - 8.0 * y);
    sketch.line(NARROW, &[from, neck]);
    sketch.area(&[to, (neck.0 - 3.5 * y, neck.1 + 3.5 * x), (neck.0 + 3.5 * y, neck.1 - 3.5 * x)]);
}

/// What shifts it, at the left end of the boxes.
fn draw_drive(valve: &Valve, end: f64, sketch: &mut Sketch) {
    match valve.drive {
        Drive::Solenoid => {
            sketch.rect(NARROW, Rect::new(at(end - END, 20.0), END, 20.0), 0.0);
            sketch.line(NARROW, &[(end - 21.0, 20.0), (end - 9.0, 40.0)]);
        }
        Drive::Mechanical => actuators::mechanical(&valve.shifts, (end, 30.0), -1.0, sketch),
        Drive::Air => actuators::pilot(sketch, (end, 30.0), -1.0),
    }
}

/// What brings it back, at the right end.
fn draw_return(valve: &Valve, end: f64, sketch: &mut Sketch) {
    match &valve.returns {
        Returns::Spring => spring(sketch, (end, 30.0), (end + 26.0, 30.0), 6.0),
        Returns::After(_) => {
            sketch.rect(NARROW, Rect::new(at(end, 20.0), 20.0, 20.0), 0.0);
            sketch.circle(NARROW, (end + 10.0, 30.0), 7.0, false);
            sketch.line(NARROW, &[(end + 10.0, 25.0), (end + 10.0, 30.0), (end + 14.0, 32.0)]);
        }
        Returns::While(when) => actuators::draw(when, (end, 30.0), 1.0, sketch),
    }
}

/// The zigzag of a spring between two places at one height.
pub(crate) fn spring(sketch: &mut Sketch, from: (f64, f64), to: (f64, f64), height: f64) {
    let turns = 6;
    let step = (to.0 - from.0) / f64::from(turns);
    let mut points = vec![from];
    for turn in 0..turns {
        let side = if turn % 2 == 0 { -height } else { height };
        points.push((from.0 + step * (f64::from(turn) + 0.5), from.1 + side));
    }
    points.push(to);
    sketch.line(NARROW, &points);
}
