//! The thin tubes between rooms and parts that lie around one another: closed at their ends where
//! a part slides along a room, with the slot that this part covers and uncovers.

use super::columns::{Body, Column, TRAVEL};
use super::fittings::rect;
use crate::cutaway::model::{ChamberId, Condition, Engine, PartId, PositionId, Way};
use crate::drawing::shape::{Rect, Sketch};
use crate::drawing::view::DrawingView;

/// Thickness of a tube between two rooms.
pub(crate) const TUBE: f64 = 3.0;
/// Thickness of the walls that close a room along which a part slides.
const END: f64 = 4.0;
/// How far a room inside of a part ends before the column, so that air gets around it.
const STAND: f64 = 6.0;
/// Widest slot, and what the part covers beside it: room for a seal.
const SLOT: f64 = 14.0;
const LAP: f64 = 9.0;

/// An opening in a tube.
struct TubeSlot {
    /// Which tube, counted from the axis; the first one has number 1.
    tube: usize,
    left: f64,
    right: f64,
}

/// Between which positions of a part a way opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Opening {
    /// It is open behind this position.
    Behind(PositionId),
    /// It is open from this position on.
    From(PositionId),
}

/// Where a part opens a way, if it opens it once along its travel.
pub(crate) fn opening(engine: &Engine, way: &Way, part: PartId) -> Option<Opening> {
    let allows = |condition: &Condition, position: PositionId| match *condition {
        Condition::At(of, at) if of == part => position == at,
        Condition::From(of, at) if of == part => at <= position,
        Condition::Before(of, at) if of == part => position < at,
        _ => true,
    };
    let positions = engine.parts[part].positions.ids();
    let is_open = |at: PositionId| way.when.iter().all(|condition| allows(condition, at));
    let turns = positions.filter(|at| at.behind().is_some_and(|b| is_open(b) != is_open(*at)));
    match turns.collect::<Vec<_>>()[..] {
        [at] if is_open(at) => Some(Opening::From(at)),
        [at] => Some(Opening::Behind(at)),
        _ => None,
    }
}

/// The other end of a way that joins a chamber.
pub(crate) fn across(way: &Way, chamber: ChamberId) -> Option<ChamberId> {
    match (way.from, way.to) {
        (from, to) if from == chamber => Some(to),
        (from, to) if to == chamber => Some(from),
        _ => None,
    }
}

/// The slots that the part of a column covers and uncovers: in front of it for what opens as it
/// goes back, behind it for what opens as it goes forward.
fn slots(engine: &Engine, view: &DrawingView, column: &Column) -> Vec<TubeSlot> {
    let Some(body) = column.body else { return Vec::new() };
    let last = engine.parts[body.part].positions.len().saturating_sub(1).max(1) as f64;
    let step = TRAVEL / last;
    let moved = |at: usize| TRAVEL * (at as f64 / last - view.travel(engine, body.part));
    let lap = LAP.min(0.3 * step);
    let wide = SLOT.min(step - lap - 1.0).max(0.0);
    let mut slots = Vec::new();
    for (tube, chamber) in rooms_beside(column, &body) {
        for way in &engine.ways {
            let Some(other) = across(way, chamber) else { continue };
            let left = match opening(engine, way, body.part) {
                Some(Opening::Behind(at)) if body.before == Some(other) => {
                    body.front + moved(at.place()) - lap - wide
                }
                Some(Opening::From(at)) if body.behind == Some(other) => {
                    body.rear + moved(at.place() - 1) + lap
                }
                _ => continue,
            };
            slots.push(TubeSlot { tube, left, right: left + wide });
        }
    }
    slots
}

/// The rooms inside and around a part, each with the number of the tube between.
fn rooms_beside(column: &Column, body: &Body) -> Vec<(usize, ChamberId)> {
    let rooms = column.rooms().into_iter();
    let beside = rooms.filter_map(|(layer, chamber)| {
        (layer.abs_diff(body.layer) == 1).then_some((layer.max(body.layer), chamber))
    });
    beside.collect()
}

/// Where a room along which a part slides starts and ends.
fn span(column: &Column, body: &Body, layer: usize) -> (f64, f64) {
    let stand = if layer < body.layer { STAND } else { 0.0 };
    (column.left + stand, column.right - stand)
}

/// The free rectangles of the rooms inside and around the part of a column.
pub(crate) fn voids(column: &Column, body: &Body) -> Vec<(Rect, ChamberId)> {
    let mut voids = Vec::new();
    for (layer, chamber) in column.rooms() {
        let (left, right) = span(column, body, layer);
        let (left, right) = (left + END, right - END);
        let (inner, outer) = column.ring(layer);
        if layer == 0 {
            voids.push((rect(left, right, -outer, outer), chamber));
        } else {
            voids.push((rect(left, right, -outer, -inner), chamber));
            voids.push((rect(left, right, inner, outer), chamber));
        }
    }
    voids
}

/// Draws the tubes of a column. Too thin to hatch, they are filled.
pub(crate) fn draw(engine: &Engine, view: &DrawingView, column: &Column, sketch: &mut Sketch) {
    let mut slots = slots(engine, view, column);
    slots.sort_by(|a, b| a.left.total_cmp(&b.left));
    for tube in 1..column.things.len() {
        let radius = column.ring(tube).0;
        let (mut from, end) = tube_span(column, tube);
        for slot in slots.iter().filter(|slot| slot.tube == tube) {
            wall(sketch, (from, slot.left), (radius - TUBE / 2.0, radius + TUBE / 2.0));
            from = slot.right;
        }
        wall(sketch, (from, end), (radius - TUBE / 2.0, radius + TUBE / 2.0));
    }
    let Some(body) = &column.body else { return };
    for (layer, _) in column.rooms() {
        let (left, right) = span(column, body, layer);
        let ring = column.ring(layer);
        wall(sketch, (left, left + END), ring);
        wall(sketch, (right - END, right), ring);
    }
}

/// Closes the rooms of a column that do not reach the part in front of it, where one of them does.
pub(crate) fn close(column: &Column, next: &Column, sketch: &mut Sketch) {
    let Some(open) = next.body.and_then(|body| body.behind) else { return };
    let rooms = column.rooms();
    if column.body.is_some() || rooms.iter().all(|(_, chamber)| *chamber != open) {
        return;
    }
    for (layer, _) in rooms.into_iter().filter(|(_, chamber)| *chamber != open) {
        wall(sketch, (column.right - END, column.right), column.ring(layer));
    }
}

/// A tube is as long as the room that it closes.
fn tube_span(column: &Column, tube: usize) -> (f64, f64) {
    match &column.body {
        Some(body) if tube <= body.layer => span(column, body, tube - 1),
        _ => (column.left, column.right),
    }
}

/// A filled wall above and below the axis.
fn wall(sketch: &mut Sketch, along: (f64, f64), across: (f64, f64)) {
    for side in [-1.0, 1.0] {
        let (a, b) = (side * across.0, side * across.1);
        sketch.area(&[(along.0, a), (along.1, a), (along.1, b), (along.0, b)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutaway::model::{List, Name, Part, Shape, TriggerId, Width};

    fn engine() -> Engine {
        let part = Part {
            name: Name::default(),
            shape: Shape::Sleeve,
            positions: std::iter::repeat_n(Name::default(), 3).collect(),
            rest: PositionId::at(2),
            pushes: List::default(),
            latch: None,
            blocks: Vec::new(),
            is_slow: false,
        };
        Engine { parts: List::from_iter([part]), ..Engine::default() }
    }

    fn place(at: usize) -> PositionId {
        PositionId::at(at)
    }

    fn opened(when: Vec<Condition>) -> Option<Opening> {
        let name = Name::default();
        let width = Width::Wide;
        let way = Way {
            name,
            from: ChamberId::at(1),
            to: ChamberId::at(2),
            width,
            one_way: false,
            barrel: false,
            when,
            relieves_at: None,
        };
        opening(&engine(), &way, PartId::at(0))
    }

    #[test]
    fn a_part_opens_a_way_once_or_it_has_no_slot() {
        assert_eq!(
            opened(vec![Condition::At(PartId::at(0), place(0))]),
            Some(Opening::Behind(place(1)))
        );
        assert_eq!(
            opened(vec![Condition::Before(PartId::at(0), place(2))]),
            Some(Opening::Behind(place(2)))
        );
        assert_eq!(
            opened(vec![Condition::From(PartId::at(0), place(1))]),
            Some(Opening::From(place(1)))
        );
        assert_eq!(
            opened(vec![Condition::At(PartId::at(0), place(1))]),
            None,
            "it opens and shuts again"
        );
        assert_eq!(
            opened(vec![Condition::Pulled(TriggerId::at(0))]),
            None,
            "something else opens it"
        );
        assert_eq!(opened(Vec::new()), None);
    }
}
