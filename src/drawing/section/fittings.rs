//! What lies in the bore: rings around one another, moving parts, springs, seals, catches.

use super::columns::{BORE, Body, Column, TRAVEL};
use crate::cutaway::model::{Direction, Engine, OnAxis, Part, PushKind, Shape};
use crate::drawing::shape::{NARROW, Rect, Sketch, WIDE};
use crate::drawing::view::View;

/// Half the height of a bolt's shaft and of a poppet's stem.
const SHAFT: f64 = 11.0;
const STEM: f64 = 5.0;
/// How far a shaft reaches out of its part's column when the part is in front.
const REACH: f64 = 16.0;
/// Thickness of a tube between two rooms.
const TUBE: f64 = 3.0;

/// The thin walls between rooms that lie around one another.
pub fn draw_rings(column: &Column, sketch: &mut Sketch) {
    let rings = column.things.len();
    let share = column.bore / rings.max(1) as f64;
    for ring in 1..rings {
        let radius = share * ring as f64;
        for side in [-1.0, 1.0] {
            let (a, b) = (side * (radius - TUBE / 2.0), side * (radius + TUBE / 2.0));
            // Too thin to hatch, so filled.
            sketch.area(&[
                (column.left, a),
                (column.right, a),
                (column.right, b),
                (column.left, b),
            ]);
        }
    }
}

fn shaft_end(column: &Column, body: &Body) -> f64 {
    // The shaft keeps its length while the part moves.
    body.front + (column.right - column.left) - 20.0 + REACH - TRAVEL
}

/// The free rectangles of a column without a part. Where a shaft reaches in from behind, the
/// narrow room around it is left out.
pub fn room_voids(engine: &Engine, column: &Column, before: Option<&Column>) -> Vec<(Rect, usize)> {
    let rings = column.things.len().max(1);
    let share = column.bore / rings as f64;
    let shaft = before.and_then(|before| {
        let body = before.body.filter(|it| engine.parts[it.part].shape == Shape::Bolt)?;
        Some(shaft_end(before, &body) + 2.0)
    });
    let start = shaft.map_or(column.left, |end| end.max(column.left));
    let mut voids = Vec::new();
    for (ring, thing) in column.things.iter().enumerate() {
        let OnAxis::Chamber(chamber) = *thing else { continue };
        let (inner, outer) = (share * ring as f64, share * (ring + 1) as f64);
        if ring == 0 {
            voids.push((rect(start, column.right, -outer, outer), chamber));
        } else {
            voids.push((rect(column.left, column.right, -outer, -inner), chamber));
            voids.push((rect(column.left, column.right, inner, outer), chamber));
        }
    }
    voids
}

/// The free rectangles behind and before a part.
pub fn part_voids(column: &Column, body: &Body) -> Vec<(Rect, usize)> {
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

fn rect(left: f64, right: f64, top: f64, bottom: f64) -> Rect {
    Rect { left, top, right, bottom }
}

/// Draws a moving part with its springs and its catch.
pub fn draw_part(engine: &Engine, view: &View, column: &Column, body: &Body, sketch: &mut Sketch) {
    let part = &engine.parts[body.part];
    let (inner, outer) = body.radii;
    if 0.0 < inner || part.shape == Shape::Sleeve {
        let inner = inner.max(outer - 14.0);
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
    for (at, push) in part.pushes.iter().enumerate() {
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
pub fn catch_place(body: &Body, part: &Part, travel: f64) -> f64 {
    let last = part.positions.len().saturating_sub(1).max(1) as f64;
    let held = part.latch.as_ref().map_or(0.0, |latch| latch.at as f64 / last);
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
    let seats_at_rear = part.rest == 0;
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
pub fn springs(part: &Part, column: &Column, body: &Body) -> Vec<(usize, f64, f64)> {
    let all = part.pushes.iter().enumerate();
    let springs = all.filter(|(_, push)| push.kind == PushKind::Spring);
    let spot = |(at, _): (usize, &crate::cutaway::model::Push)| {
        let (from, to) = spring_span(part, at, column, body);
        (at, f64::midpoint(from, to), spring_height(part, body))
    };
    springs.map(spot).collect()
}

fn spring_span(part: &Part, push: usize, column: &Column, body: &Body) -> (f64, f64) {
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
fn draw_spring(part: &Part, push: usize, column: &Column, body: &Body, sketch: &mut Sketch) {
    let (from, to) = spring_span(part, push, column, body);
    let height = spring_height(part, body);
    let turns = 8;
    // The fixed end rests on a step of the body.
    let fixed = if part.pushes[push].direction == Direction::Forward { from } else { to };
    for side in [-1.0, 1.0] {
        sketch.line(WIDE, &[(fixed, side * column.bore), (fixed, side * (height - 7.0))]);
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

/// Seals that have a place on these columns: which, and where the upper and lower dot lie.
pub fn seals(engine: &Engine, columns: &[Column]) -> Vec<(usize, f64, f64)> {
    let mut places = Vec::new();
    for body in columns.iter().filter_map(|column| column.body) {
        let all = engine.seals.iter().enumerate();
        let here: Vec<usize> =
            all.filter(|(_, seal)| seal.on == Some(body.part)).map(|(at, _)| at).collect();
        let land = land(engine, &body);
        for (nth, seal) in here.iter().enumerate() {
            let share = (nth as f64 + 0.5) / here.len() as f64;
            let height = match engine.parts[body.part].shape {
                // On the cone.
                Shape::Poppet => body.radii.1 * 0.36,
                _ => body.radii.1 - 2.5,
            };
            places.push((*seal, land.0 + (land.1 - land.0) * share, height));
        }
    }
    for (seal, it) in engine.seals.iter().enumerate() {
        if it.on.is_none() {
            places.extend(body_seal(it.between, columns).map(|(x, y)| (seal, x, y)));
        }
    }
    places
}

/// Where the seals of a part may lie along it.
fn land(engine: &Engine, body: &Body) -> (f64, f64) {
    match engine.parts[body.part].shape {
        Shape::Hammer => (body.rear + 2.0, body.front - 12.0),
        Shape::Poppet if engine.parts[body.part].rest == 0 => (body.rear - 2.0, body.rear + 6.0),
        Shape::Poppet => (body.front - 6.0, body.front + 2.0),
        _ => (body.rear + 2.0, body.front - 2.0),
    }
}

/// A seal in the body lies in the bore between the chambers that it keeps apart: around the part
/// between them, or in the wall across the bore. Where the axis shows only one of the two, its
/// place is not known.
fn body_seal(between: (usize, usize), columns: &[Column]) -> Option<(f64, f64)> {
    let is_pair = |a: Option<usize>, b: Option<usize>| {
        let pair = (Some(between.0), Some(between.1));
        (a, b) == pair || (b, a) == pair
    };
    let around = columns.iter().find_map(|column| {
        let body = column.body?;
        let middle = f64::midpoint(column.left, column.right);
        is_pair(body.behind, body.before).then_some((middle, BORE + 3.5))
    });
    let across = || {
        columns.windows(2).find_map(|pair| {
            let is_wall = is_pair(pair[0].chamber(), pair[1].chamber());
            is_wall.then_some((pair[1].left, 13.0))
        })
    };
    around.or_else(across)
}
