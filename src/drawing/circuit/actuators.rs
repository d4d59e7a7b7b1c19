//! What moves a valve, at an end of its boxes: air, a finger, a part.

use crate::cutaway::model::Condition;
use crate::drawing::shape::{NARROW, Sketch};

/// What moves a valve while conditions hold; `side` is −1 for its left end. Pressures alone steer
/// it by air; of all else, what touches it counts.
pub(crate) fn draw(when: &[Condition], end: (f64, f64), side: f64, sketch: &mut Sketch) {
    if when.iter().all(is_pressure) {
        pilot(sketch, end, side);
    } else {
        mechanical(when, end, side, sketch);
    }
}

/// The same for a valve that is moved by touch: the roller of what a part moves, the button of a
/// trigger, else a plain rod.
pub(crate) fn mechanical(when: &[Condition], end: (f64, f64), side: f64, sketch: &mut Sketch) {
    let is_part = |condition: &Condition| {
        matches!(condition, Condition::At(..) | Condition::From(..) | Condition::Before(..))
    };
    let is_trigger = |condition: &Condition| matches!(condition, Condition::Pulled(_));
    if when.iter().any(is_part) {
        roller(sketch, end, side);
    } else if when.iter().any(is_trigger) {
        button(sketch, end, side);
    } else {
        rod(sketch, end, end.0 + side * 12.0);
        let head = end.0 + side * 12.0;
        sketch.line(NARROW, &[(head, end.1 - ROD), (head, end.1 + ROD)]);
    }
}

/// Half the thickness of a rod.
const ROD: f64 = 2.5;

fn is_pressure(condition: &Condition) -> bool {
    matches!(condition, Condition::Pressure(_) | Condition::NoPressure(_) | Condition::Above(..))
}

/// The open triangle of a pilot of air.
pub(crate) fn pilot(sketch: &mut Sketch, end: (f64, f64), side: f64) {
    let (x, y) = end;
    sketch.outline(NARROW, &[(x, y), (x + side * 11.0, y - 6.0), (x + side * 11.0, y + 6.0)]);
}

fn rod(sketch: &mut Sketch, end: (f64, f64), to: f64) {
    for offset in [-ROD, ROD] {
        sketch.line(NARROW, &[(end.0, end.1 + offset), (to, end.1 + offset)]);
    }
}

/// A rod with the round head that a finger pushes.
fn button(sketch: &mut Sketch, end: (f64, f64), side: f64) {
    let (x, y) = end;
    let head = x + side * 9.0;
    rod(sketch, end, head);
    sketch.line(NARROW, &[(head, y - 7.0), (head, y + 7.0)]);
    sketch.arc(NARROW, [(head, y - 7.0), (head, y + 7.0)], 9.0, 0.0 < side);
}

/// A short rod with the roller that a part runs on.
fn roller(sketch: &mut Sketch, end: (f64, f64), side: f64) {
    let (x, y) = end;
    let radius = 4.5;
    rod(sketch, end, x + side * 8.0);
    // The rod ends where its lines meet the circle.
    let reach = (radius * radius - ROD * ROD).sqrt();
    sketch.circle(NARROW, (x + side * (8.0 + reach), y), radius, false);
}
