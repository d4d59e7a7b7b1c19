//! What lies in the bore: rooms, moving parts, springs, catches.

use super::columns::{Body, Column, TRAVEL};
use crate::cutaway::model::{
    ChamberId, Direction, Engine, Part, PositionId, PushId, PushKind, Shape,
};
use crate::drawing::shape::{NARROW, Rect, Sketch, WIDE};
use crate::drawing::view::DrawingView;

/// Half the height of a bolt's shaft and of a poppet's stem.
const SHAFT: f64 = 11.0;
const STEM: f64 = 5.0;
/// How far a shaft reaches out of its part's column when the part is in front.
const REACH: f64 = 16.0;

/// Where the shaft of a bolt ends.
pub(crate) fn shaft_end(column: &Column, body: &Body) -> f64 {
    // The shaft keeps its length while the part moves.
    body.front + (column.right - column.left) - 20.0 + REACH - TRAVEL
}

/// The free rectangles of a column without a part. Where a shaft reaches in from behind, the
/// narrow room around it is left out.
pub(crate) fn room_voids(
    engine: &Engine,
    column: &Column,
    before: Option<&Column>,
) -> Vec<(Rect, ChamberId)> {
    let shaft = before.and_then(|before| {
        let body = before.body.filter(|it| engine.parts[it.part].shape == Shape::Bolt)?;
        Some(shaft_end(before, &body) + 2.0)
    });
    let start = shaft.map_or(column.left, |end| end.max(column.left));
    let mut voids = Vec::new();
    for (layer, chamber) in column.rooms() {
        let (inner, outer) = column.ring(layer);
        if layer == 0 {
            voids.push((rect(start, column.right, -outer, outer), chamber));
        } else {
            voids.push((rect(column.left, column.right, -outer, -inner), chamber));
            voids.push((rect(column.left, column.right, inner, outer), chamber));
        }
    }
    voids
}

/// The free rectangles behind and before a part.
pub(crate) fn part_voids(column: &Column, body: &Body) -> Vec<(Rect, ChamberId)> {
    let mut voids = Vec::new();
    let (inner, outer) = (body.radii.0.max(SHAFT + 1.0), body.radii.1 + 2.0);
    for (left, right, chamber) in
        [(column.left, body.rear, body.behind), (body.front, column.right, body.before)]
    {
        let Some(chamber) = chamber else { continue };
        voids.push((rect(left, right, -outer, -inner), chamber));
        voids.push((rect(left, right, inner, outer), chamber));
    }
    voids
}

/// A rectangle by its edges along the axis and across it.
pub(crate) fn rect(left: f64, right: f64, top: f64, bottom: f64) -> Rect {
    Rect { left, top, right, bottom }
}

/// Draws a moving part with its springs and its catch.
pub(crate) fn draw_part(
    engine: &Engine,
    view: &DrawingView,
    column: &Column,
    body: &Body,
    sketch: &mut Sketch,
) {
    let part = &engine.parts[body.part];
    let (inner, outer) = body.radii;
    let is_alone = column.things.len() == 1;
    if 0.0 < inner || part.shape == Shape::Sleeve && is_alone {
        // Around a room it slides along the tube of that room.
        let inner = if is_alone { inner.max(outer - 14.0) } else { inner };
        for side in [-1.0, 1.0] {
            block(sketch, body.rear, body.front, side * inner, side * outer);
        }
    } else {
        match part.shape {
            Shape::Bolt => {
                let end = shaft_end(column, body);
                let upper = [
                    (body.rear, -outer),
                    (body.front, -outer),
                    (body.front, -SHAFT),
                    (end, -SHAFT),
                ];
                turned(sketch, &upper);
            }
            Shape::Spool => {
                let third = (body.front - body.rear) / 3.0;
                let waist = outer * 0.55;
                let upper = [
                    (body.rear, -outer),
                    (body.rear + third, -outer),
                    (body.rear + third, -waist),
                    (body.front - third, -waist),
                    (body.front - third, -outer),
                    (body.front, -outer),
                ];
                turned(sketch, &upper);
            }
            Shape::Poppet => draw_poppet(part, body, sketch),
            Shape::Diaphragm => draw_membrane(column, body, sketch),
            Shape::Hammer => {
                let upper =
                    [(body.rear, -outer), (body.front - 10.0, -outer), (body.front, -outer * 0.6)];
                turned(sketch, &upper);
            }
            Shape::Piston | Shape::Sleeve => {
                turned(sketch, &[(body.rear, -outer), (body.front, -outer)]);
            }
        }
    }
    for (at, push) in part.pushes.entries() {
        if push.kind == PushKind::Spring {
            draw_spring(part, at, column, body, sketch);
        }
    }
    if part.latch.is_some() {
        let x = catch_place(body, part, view.travel(engine, body.part));
        // Let go, it lies in the wall.
        let root = outer + if view.is_latched(engine, body.part) { 2.0 } else { 13.0 };
        sketch.area(&[(x, root), (x + 9.0, root), (x, root - 11.0)]);
    }
}

/// Where a catch stands: just in front of its part when that is held.
pub(crate) fn catch_place(body: &Body, part: &Part, travel: f64) -> f64 {
    let last = part.positions.len().saturating_sub(1).max(1) as f64;
    let held = part.latch.as_ref().map_or(0.0, |latch| latch.at.place() as f64 / last);
    body.front + (held - travel) * TRAVEL + 2.0
}

/// An outline that is the same above and below the axis, given by its upper half.
fn turned(sketch: &mut Sketch, upper: &[(f64, f64)]) {
    let lower: Vec<_> = upper.iter().rev().map(|(x, y)| (*x, -y)).collect();
    sketch.outline(WIDE, &[upper.to_vec(), lower].concat());
}

fn block(sketch: &mut Sketch, left: f64, right: f64, a: f64, b: f64) {
    sketch.outline(WIDE, &[(left, a), (right, a), (right, b), (left, b)]);
}

/// A head with a cone towards its seat, and a stem through it.
fn draw_poppet(part: &Part, body: &Body, sketch: &mut Sketch) {
    let seats_at_rear = part.rest == PositionId::REAR;
    let head = body.radii.1 * 0.6;
    // At its seat the cone just fills the hole of the wall.
    let (cone, back, stem) = if seats_at_rear {
        (body.rear - 8.0, body.front, body.rear - 34.0)
    } else {
        (body.front + 8.0, body.rear, body.front + 34.0)
    };
    let mut upper =
        vec![(stem, -STEM), (cone, -STEM), (f64::midpoint(cone, back), -head), (back, -head)];
    if !seats_at_rear {
        upper.reverse();
    }
    turned(sketch, &upper);
}

/// A membrane clamped in the wall, with a plate in its middle.
fn draw_membrane(column: &Column, body: &Body, sketch: &mut Sketch) {
    let middle = f64::midpoint(column.left, column.right);
    let (outer, plate) = (body.radii.1 + 2.0, body.radii.1 * 0.5);
    turned(sketch, &[(body.rear, -plate), (body.front, -plate)]);
    for side in [-1.0, 1.0] {
        let x = f64::midpoint(body.rear, body.front);
        let bend = (f64::midpoint(x, middle), side * (outer + plate) / 2.0);
        sketch.line(WIDE, &[(middle, side * outer), bend, (x, side * plate)]);
    }
}

/// Springs of a part: place among its pushes, and a spot on it for a leader.
pub(crate) fn springs(part: &Part, column: &Column, body: &Body) -> Vec<(PushId, f64, f64)> {
    let all = part.pushes.entries();
    let springs = all.filter(|(_, push)| push.kind == PushKind::Spring);
    let spot = |(at, _): (PushId, &crate::cutaway::model::Push)| {
        let (from, to) = spring_span(part, at, column, body);
        (at, f64::midpoint(from, to), spring_height(part, body))
    };
    springs.map(spot).collect()
}

fn spring_span(part: &Part, push: PushId, column: &Column, body: &Body) -> (f64, f64) {
    match part.pushes[push].direction {
        Direction::Forward => (column.left, body.rear),
        Direction::Back => (body.front, column.right),
    }
}

fn spring_height(part: &Part, body: &Body) -> f64 {
    let share = if part.shape == Shape::Poppet { 0.4 } else { 0.7 };
    if 0.0 < body.radii.0 {
        f64::midpoint(body.radii.0, body.radii.1)
    } else {
        body.radii.1 * share
    }
}

/// The zigzag of a spring, above and below the axis.
fn draw_spring(part: &Part, push: PushId, column: &Column, body: &Body, sketch: &mut Sketch) {
    let (from, to) = spring_span(part, push, column, body);
    let height = spring_height(part, body);
    let turns = 8;
    // The fixed end rests on a step of the body.
    let fixed = if part.pushes[push].direction == Direction::Forward { from } else { to };
    for side in [-1.0, 1.0] {
        sketch.line(WIDE, &[(fixed, side * (body.radii.1 + 2.0)), (fixed, side * (height - 7.0))]);
        let step = (to - from) / f64::from(turns);
        let points = (0..=turns).map(|turn| {
            let swing = match turn {
                0 => 0.0,
                turn if turn == turns => 0.0,
                turn if turn % 2 == 0 => -6.0,
                _ => 6.0,
            };
            (from + step * f64::from(turn), side * (height + swing))
        });
        sketch.line(NARROW, &points.collect::<Vec<_>>());
    }
}
