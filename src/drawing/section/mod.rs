//! The section: to scale where the cutaway has sizes (`scaled`), else in symbols.
//!
//! In symbols it shows body, rooms and moving parts in their order along each axis; nothing is to
//! scale and the picture says so, and moving parts are not hatched, as shafts are not. Line kinds
//! are those of ISO 128: wide outlines, narrow leaders and hatching, long dash and dot for the
//! axis.

mod columns;
mod fittings;
mod flow;
mod labels;
mod plane;
mod ports;
mod scaled;
mod seals;
mod solids;
mod springs;
mod tubes;
mod voids;

use super::describe;
use super::lettering;
use super::shape::{
    Align, Drawing, DrawnShape, NARROW, Pattern, Pen, Rect, Sketch, WIDE, Weight, at as place,
};
use super::view::{DrawingView, LEVELS};
use crate::cutaway::model::{
    Axis, ChamberId, Element, Engine, OPEN_AIR, PositionId, Role, Shape as PartShape,
};
use crate::cutaway::sized::SizedEngine;
use crate::logic::Level;
use columns::{BORE, BULKHEAD, Body, Column, NARROW_BORE, WALL, columns};
use labels::SectionLabel;
use std::collections::BTreeSet;

/// Distance of hatching lines, across the axis.
const HATCH: f64 = 9.0;
/// Distance of the lines that show a level.
const SHADE: f64 = 7.0;
/// Free space around the picture.
const MARGIN: f64 = 10.0;
const SMALL: f64 = 10.0;
/// Half the height of a hole in a wall across the bore.
const HOLE: f64 = 9.0;

/// The section of an engine, if the order of things along an axis is known.
#[must_use]
pub fn section(engine: &Engine, view: &DrawingView) -> Option<Drawing> {
    sections(engine, None, std::slice::from_ref(view))?.pop()
}

/// The sections of an engine in several states, on one frame: what does not move stays where it
/// is, its label too. To scale where the sizes are given and
/// tell how all parts stand.
#[must_use]
pub fn sections(
    engine: &Engine,
    sized: Option<&SizedEngine>,
    views: &[DrawingView],
) -> Option<Vec<Drawing>> {
    sized
        .and_then(|sized| scaled::sections(engine, sized, views))
        .or_else(|| symbolic(engine, views))
}

/// The same in symbols.
fn symbolic(engine: &Engine, views: &[DrawingView]) -> Option<Vec<Drawing>> {
    let mut sketches: Vec<Sketch> = views.iter().map(|_| Sketch::default()).collect();
    let mut top = 0.0;
    for axis in &engine.axes {
        top = draw_axes(engine, views, axis, top, &mut sketches);
    }
    if sketches.iter().any(|sketch| sketch.shapes.is_empty()) {
        return None;
    }
    let shapes = sketches.iter().flat_map(|sketch| &sketch.shapes).map(DrawnShape::bounds);
    let bounds = shapes.reduce(|all, one| all.joined(&one))?;
    let drawings = views.iter().zip(sketches);
    let drawings = drawings.map(|(view, sketch)| framed(engine, sketch.shapes, bounds, view));
    Some(drawings.collect())
}

/// Draws one axis in every state; gives the height at which the next one starts.
fn draw_axes(
    engine: &Engine,
    views: &[DrawingView],
    axis: &Axis,
    top: f64,
    sketches: &mut [Sketch],
) -> f64 {
    let columns: Vec<_> = views.iter().map(|view| columns(engine, view, axis)).collect();
    if columns.iter().any(Vec::is_empty) {
        return top;
    }
    let labels = views.iter().zip(&columns).map(|(view, it)| labels_of(engine, view, it));
    let (above, below): (Vec<_>, Vec<_>) = labels.unzip();
    let [high, low] =
        [&above, &below].map(|rows| rows.iter().map(|row| labels::height(row)).fold(0.0, f64::max));
    let name = if 1 < engine.axes.len() { 18.0 } else { 0.0 };
    let middle = top + name + high + BORE + WALL;
    let labels = labels::set(above).into_iter().zip(labels::set(below));
    for (at, ((view, sketch), (above, below))) in
        views.iter().zip(sketches.iter_mut()).zip(labels).enumerate()
    {
        if 0.0 < name {
            let words = format!("axis {}", axis.name.spoken());
            sketch.move_to(place(0.0, 0.0));
            sketch.text(SMALL, Align::Left, (-BULKHEAD, top + 10.0), words);
        }
        sketch.move_to(place(0.0, middle));
        draw_axis(engine, view, &columns[at], sketch);
        labels::draw(&above, -BORE - WALL, true, sketch);
        labels::draw(&below, BORE + WALL, false, sketch);
    }
    middle + BORE + WALL + low + 12.0
}

fn draw_axis(engine: &Engine, view: &DrawingView, columns: &[Column], sketch: &mut Sketch) {
    draw_body(engine, columns, sketch);
    for (rect, chamber) in voids(engine, columns) {
        shade(view, chamber, rect, sketch);
    }
    for column in columns {
        tubes::draw(engine, view, column, sketch);
        if let Some(body) = &column.body {
            fittings::draw_part(engine, view, column, body, sketch);
        }
        if column.is_barrel() && view.has_ball(engine) {
            sketch.circle(WIDE, (column.left + NARROW_BORE, 0.0), NARROW_BORE - 1.5, false);
        }
    }
    for pair in columns.windows(2) {
        tubes::close(&pair[0], &pair[1], sketch);
    }
    for (_, x, y) in seals::seals(engine, columns) {
        for side in [-1.0, 1.0] {
            sketch.circle(NARROW, (x, side * y), seals::DOT, true);
        }
    }
    let ends =
        [columns.first(), columns.last()].map(|c| c.map_or((0.0, 0.0), |c| (c.left, c.right)));
    let pen = Pen { weight: Weight::Narrow, pattern: Pattern::Chain };
    sketch.line(pen, &[(ends[0].0 - BULKHEAD - 14.0, 0.0), (ends[1].1 + 16.0, 0.0)]);
}

/// Half the height of the outside at a column.
fn outside(column: &Column) -> f64 {
    if column.is_barrel() { NARROW_BORE + 8.0 } else { BORE + WALL }
}

/// Whether a wall stands between two neighbours: where no part slides from one into the other.
fn has_bulkhead(engine: &Engine, left: &Column, right: &Column) -> bool {
    let is_seat = |column: &Column, at_rear: bool| {
        column.body.is_some_and(|body| {
            let part = &engine.parts[body.part];
            part.shape == PartShape::Poppet && (part.rest == PositionId::REAR) == at_rear
        })
    };
    let both_rooms = left.body.is_none() && right.body.is_none();
    let both_wide = (left.bore - right.bore).abs() < 1.0;
    both_rooms && both_wide && !right.is_barrel() || is_seat(right, true) || is_seat(left, false)
}

/// Whether air passes the wall between two neighbours: by a seat, or by a way between rooms.
fn has_hole(engine: &Engine, left: &Column, right: &Column) -> bool {
    let rooms = |column: &Column| column.things.clone();
    let is_room = |things: &[Element], at: ChamberId| things.contains(&Element::Chamber(at));
    let (a, b) = (rooms(left), rooms(right));
    let joined = engine.ways.iter().any(|way| {
        is_room(&a, way.from) && is_room(&b, way.to) || is_room(&b, way.from) && is_room(&a, way.to)
    });
    joined || left.body.is_some() || right.body.is_some()
}

/// The body: hatched walls with their outlines, closed at the rear, with walls across the bore.
fn draw_body(engine: &Engine, columns: &[Column], sketch: &mut Sketch) {
    let first = columns.first().map_or(0.0, |column| column.left);
    for side in [-1.0, 1.0] {
        let outer = columns.first().map_or(BORE + WALL, outside);
        let rear = [(first, 0.0), (first - BULKHEAD, 0.0)];
        let corner = [(first - BULKHEAD, side * outer)];
        let mut inner: Vec<(f64, f64)> = Vec::new();
        let mut rim: Vec<(f64, f64)> = [&rear[1..], &corner].concat();
        inner.push(rear[0]);
        for column in columns {
            inner.push((column.left, side * column.bore));
            inner.push((column.right, side * column.bore));
            let edge = side * outside(column);
            if rim.last().is_some_and(|(_, y)| 1.0 < (y - edge).abs()) {
                rim.push((column.left, rim.last().map_or(edge, |(_, y)| *y)));
                rim.push((column.left, edge));
            }
            rim.push((column.right, edge));
            hatch(sketch, upright(column.left, column.right, side * column.bore, edge));
        }
        hatch(sketch, upright(first - BULKHEAD, first, 0.0, side * outer));
        sketch.line(WIDE, &inner);
        sketch.line(WIDE, &rim);
        if let Some(last) = columns.last() {
            draw_front_end(last, side, sketch);
        }
        for pair in columns.windows(2) {
            if has_bulkhead(engine, &pair[0], &pair[1]) {
                let x = pair[1].left;
                let hole = if has_hole(engine, &pair[0], &pair[1]) { HOLE } else { 0.0 };
                let rect =
                    upright(x - BULKHEAD / 2.0, x + BULKHEAD / 2.0, side * hole, side * BORE);
                hatch(sketch, rect);
                sketch.outline(
                    WIDE,
                    &[
                        (rect.left, rect.top),
                        (rect.right, rect.top),
                        (rect.right, rect.bottom),
                        (rect.left, rect.bottom),
                    ],
                );
            }
        }
    }
}

/// The front end of the body: the muzzle, or a wall like that at the rear.
fn draw_front_end(last: &Column, side: f64, sketch: &mut Sketch) {
    let (end, edge) = (last.right, side * outside(last));
    if last.is_barrel() {
        sketch.line(WIDE, &[(end, side * last.bore), (end, edge)]);
        return;
    }
    hatch(sketch, upright(end, end + BULKHEAD, 0.0, edge));
    sketch.line(WIDE, &[(end, 0.0), (end, side * last.bore)]);
    sketch.line(WIDE, &[(end, edge), (end + BULKHEAD, edge), (end + BULKHEAD, 0.0)]);
}

fn upright(left: f64, right: f64, a: f64, b: f64) -> Rect {
    Rect { left, right, top: a.min(b), bottom: a.max(b) }
}

/// Lines at 45° over a rectangle, on one raster for all rectangles, so that one part is hatched
/// as one.
fn hatch(sketch: &mut Sketch, rect: Rect) {
    let first = ((rect.left + rect.top) / HATCH).ceil() as i64;
    let last = ((rect.right + rect.bottom) / HATCH).floor() as i64;
    for line in first..=last {
        let sum = line as f64 * HATCH;
        let (from, to) = ((sum - rect.bottom).max(rect.left), (sum - rect.top).min(rect.right));
        if 0.5 < to - from {
            sketch.line(NARROW, &[(from, sum - from), (to, sum - to)]);
        }
    }
}

/// The free rectangles of all chambers of an axis.
fn voids(engine: &Engine, columns: &[Column]) -> Vec<(Rect, ChamberId)> {
    let mut voids = Vec::new();
    for (at, column) in columns.iter().enumerate() {
        let Some(body) = &column.body else {
            let before = at.checked_sub(1).map(|at| &columns[at]);
            voids.extend(fittings::room_voids(engine, column, before));
            continue;
        };
        voids.extend(fittings::part_voids(column, body));
        voids.extend(tubes::voids(column, body));
    }
    voids
}

/// Lines that tell the level of a chamber: the pattern that its line has in the circuit.
fn shade(view: &DrawingView, chamber: ChamberId, rect: Rect, sketch: &mut Sketch) {
    let Some(pattern) = view.level(chamber).and_then(shade_pattern) else { return };
    if chamber == OPEN_AIR {
        return;
    }
    let pen = Pen { weight: Weight::Narrow, pattern };
    let rect = rect.grown(-3.0);
    let first = (rect.top / SHADE).ceil() as i64;
    let last = (rect.bottom / SHADE).floor() as i64;
    for line in first..=last {
        // None lies on the axis.
        let y = (line as f64 + 0.5) * SHADE;
        if y < rect.bottom && rect.left < rect.right {
            sketch.line(pen, &[(rect.left, y), (rect.right, y)]);
        }
    }
}

fn shade_pattern(level: Level) -> Option<Pattern> {
    match level {
        Level::Full(_) => Some(Pattern::Continuous),
        Level::Drawn => Some(Pattern::LongDashed),
        Level::Spent => Some(Pattern::Dotted),
        Level::Empty => None,
    }
}

/// Labels above (chambers) and below (parts and what belongs to them).
fn labels_of(
    engine: &Engine,
    view: &DrawingView,
    columns: &[Column],
) -> (Vec<SectionLabel>, Vec<SectionLabel>) {
    let mut above = Vec::new();
    let mut below = Vec::new();
    let mut named = BTreeSet::new();
    for column in columns {
        let rings = column.things.len().max(1) as f64;
        for (layer, thing) in column.things.iter().enumerate() {
            let height = column.bore * (layer as f64 + 0.55) / rings;
            let Element::Chamber(at) = *thing else { continue };
            // The front end of a breech stays free of the bolt.
            let is_breech = engine.chambers[at].role == Role::Breech;
            let share = if is_breech { 0.8 } else { 0.4 + 0.25 * layer as f64 / rings };
            let x = column.left + (column.right - column.left) * share;
            named.insert(at);
            above.push(chamber_label(engine, view, at, (x, -height)));
        }
        if column.is_barrel() {
            let x = column.right - 40.0;
            let mut lines = vec!["barrel".to_string()];
            let gone = engine.ball.as_ref().filter(|_| !view.has_ball(engine));
            lines.extend(gone.map(|ball| format!("{} is gone", ball.name.spoken())));
            below.push(SectionLabel::new(lines, (x, NARROW_BORE + 4.0)));
        }
    }
    for column in columns {
        let Some(body) = &column.body else { continue };
        for (chamber, x) in [
            (body.behind, (column.left + body.rear) / 2.0),
            (body.before, (body.front + column.right) / 2.0),
        ] {
            if let Some(chamber) = chamber.filter(|chamber| named.insert(*chamber)) {
                above.push(chamber_label(engine, view, chamber, (x, -body.radii.1 * 0.7)));
            }
        }
        below.extend(part_labels(engine, view, column, body));
    }
    for (seal, x, y) in seals::seals(engine, columns) {
        let seal = &engine.seals[seal];
        let size = seal.size.as_ref().map(|size| format!(" {}", size.id)).unwrap_or_default();
        let lines = vec![format!("{}{size}", seal.name.spoken())];
        below.push(SectionLabel::new(lines, (x, y)));
    }
    let seated = engine.ball.as_ref().filter(|_| view.has_ball(engine));
    if let (Some(ball), Some(barrel)) = (seated, columns.iter().find(|it| it.is_barrel())) {
        let to = (barrel.left + NARROW_BORE, NARROW_BORE * 0.6);
        below.push(SectionLabel::new(vec![ball.name.spoken()], to));
    }
    (above, below)
}

fn marked(view: &DrawingView, thing: Element, name: &str) -> String {
    match view.marks.get(&thing) {
        Some(mark) => format!("[{}] {name}", mark.letter()),
        None => name.to_string(),
    }
}

fn chamber_label(
    engine: &Engine,
    view: &DrawingView,
    chamber: ChamberId,
    to: (f64, f64),
) -> SectionLabel {
    let name = match chamber {
        OPEN_AIR => "open air".to_string(),
        _ => engine.chambers[chamber].name.spoken(),
    };
    let mut lines = vec![marked(view, Element::Chamber(chamber), &name)];
    lines.extend(view.level(chamber).map(|level| level.word().to_string()));
    SectionLabel::new(lines, to)
}

/// The part with its position, what it is linked to, its springs and its catch.
fn part_labels(
    engine: &Engine,
    view: &DrawingView,
    column: &Column,
    body: &Body,
) -> Vec<SectionLabel> {
    let part = &engine.parts[body.part];
    let position = part.positions[view.position(engine, body.part)].spoken();
    let mut lines = vec![marked(view, Element::Part(body.part), &part.name.spoken())];
    lines.push(format!("at {position}"));
    let linked = engine.links.iter().filter_map(|(a, b)| match body.part {
        part if part == *a => Some(*b),
        part if part == *b => Some(*a),
        _ => None,
    });
    lines.extend(linked.map(|other| format!("moves with {}", engine.parts[other].name.spoken())));
    // Beside its seals, whose leaders come from the same side.
    let x = body.rear + 0.38 * (body.front - body.rear);
    let mut labels = vec![SectionLabel::new(lines, (x, label_height(body)))];
    for (push, x, y) in fittings::springs(part, column, body) {
        let name = part.pushes[push].name.spoken();
        labels.push(SectionLabel::new(vec![name], (x, y)));
    }
    if let Some(latch) = &part.latch {
        let x = fittings::catch_place(body, part, view.travel(engine, body.part));
        let to = (x, body.radii.1 + 1.0);
        labels.push(SectionLabel::new(vec![latch.name.spoken()], to));
    }
    labels
}

/// Where the leader of a part ends, between its axis and its seals.
fn label_height(body: &Body) -> f64 {
    let middle = f64::midpoint(body.radii.0, body.radii.1);
    if 0 < body.layer { middle } else { middle - 6.0 }
}

/// Moves all into a picture with these bounds, with the legend and the stamp under it.
fn framed(
    engine: &Engine,
    mut shapes: Vec<DrawnShape>,
    bounds: Rect,
    view: &DrawingView,
) -> Drawing {
    let mut sketch = Sketch::default();
    let base = bounds.bottom + 22.0;
    let mut x = bounds.left;
    if view.state.is_some() {
        for level in LEVELS {
            let rect = Rect::new(place(x, base - 11.0), 30.0, 14.0);
            sketch.rect(NARROW, rect, 0.0);
            if let Some(pattern) = shade_pattern(level) {
                let pen = Pen { weight: Weight::Narrow, pattern };
                for y in [base - 7.5, base - 0.5] {
                    sketch.line(pen, &[(x + 2.0, y), (x + 28.0, y)]);
                }
            }
            sketch.text(SMALL, Align::Left, (x + 36.0, base), level.word());
            x += 52.0 + lettering::width(level.word(), SMALL);
        }
    }
    let stamp = "not to scale";
    let right = bounds.right.max(x + 14.0 + lettering::width(stamp, SMALL));
    sketch.text(SMALL, Align::Right, (right, base), stamp);
    shapes.extend(sketch.shapes);
    Drawing::around(shapes, bounds, MARGIN, describe::section(engine, view, false))
}
