//! The places of an axis as columns: how long each is, how wide its bore, which rooms lie around
//! its part, and where the part stands in it.

use crate::cutaway::model::{
    Axis, ChamberId, Direction, Element, Engine, Part, PartId, Push, PushKind, Role, Shape,
};
use crate::drawing::view::DrawingView;

use super::tubes::{self, Opening};

/// Half the height of the largest bore.
pub(crate) const BORE: f64 = 46.0;
/// Half the height of the barrel's bore, and of what feeds it.
pub(crate) const NARROW_BORE: f64 = 15.0;
/// Thickness of the body around its bore.
pub(crate) const WALL: f64 = 16.0;
/// Thickness of a wall across the bore.
pub(crate) const BULKHEAD: f64 = 9.0;
/// Travel of a part from its rear position to its front one.
pub(crate) const TRAVEL: f64 = 30.0;
/// Room that a spring takes when it is pressed together.
const SPRING: f64 = 34.0;
/// How much longer a bolt is with a room around its shaft.
const ROOM: f64 = 46.0;
/// Smallest distance of a face from the end of its column.
const CLEAR: f64 = 10.0;

/// One place of an axis.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    /// Where it starts and ends.
    pub(crate) left: f64,
    /// See `left`.
    pub(crate) right: f64,
    /// Half the height of its bore.
    pub(crate) bore: f64,
    /// What lies in it, the inner first.
    pub(crate) things: Vec<Element>,
    /// Where the moving part in it stands.
    pub(crate) body: Option<Body>,
    /// The chambers of the places behind and before it.
    pub(crate) beside: [Vec<ChamberId>; 2],
}

/// A moving part in its column.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Body {
    pub(crate) part: PartId,
    pub(crate) rear: f64,
    pub(crate) front: f64,
    /// Its place among the things of its column, 0 for the inmost.
    pub(crate) layer: usize,
    /// Half its height, inside and outside.
    pub(crate) radii: (f64, f64),
    /// The chamber behind it.
    pub(crate) behind: Option<ChamberId>,
    /// The chamber in front of it.
    pub(crate) before: Option<ChamberId>,
}

/// The columns of an axis from rear to front, the first one starting at 0.
pub(crate) fn columns(engine: &Engine, view: &DrawingView, axis: &Axis) -> Vec<Column> {
    let places = places(engine, axis);
    let mut columns = Vec::new();
    let mut left = 0.0;
    for (at, (place, around)) in places.iter().enumerate() {
        let widest = place.iter().map(|thing| length(engine, *thing)).fold(0.0, f64::max);
        let width = widest + around;
        let bore = place.iter().map(|thing| bore(engine, *thing)).fold(0.0, f64::max);
        let next = |at: Option<usize>| {
            at.and_then(|at| places.get(at)).map_or(&[][..], |(place, _)| place.as_slice())
        };
        let nexts = [next(at.checked_sub(1)), next(Some(at + 1))];
        let sides = (
            facing(engine, place, nexts[0], Direction::Forward),
            facing(engine, place, nexts[1], Direction::Back),
        );
        let body = body(engine, view, place, (left, left + width, bore), sides);
        let beside = nexts.map(|next| rooms(next).map(|(_, chamber)| chamber).collect());
        let (right, things) = (left + width, (*place).clone());
        columns.push(Column { left, right, bore, things, body, beside });
        left += width;
    }
    columns
}

/// The room of a neighbouring place that reaches a part: the one that pushes it, of several that
/// do not the outermost.
fn facing(
    engine: &Engine,
    place: &[Element],
    next: &[Element],
    direction: Direction,
) -> Option<ChamberId> {
    // Of a part and a room in one place, only the part reaches out of it for certain.
    if next.iter().any(|thing| matches!(thing, Element::Part(_))) {
        return None;
    }
    let pushes = |chamber: &ChamberId| {
        place.iter().any(|thing| match thing {
            Element::Part(part) => engine.parts[*part]
                .pushes
                .iter()
                .any(|push| push.direction == direction && push.kind == PushKind::Face(*chamber)),
            _ => false,
        })
    };
    // A room of the bolt's own width lies in front of the body, not around the part.
    let wide = || {
        let chambers = rooms(next).map(|(_, chamber)| chamber);
        chambers.filter(|at| engine.chambers[*at].role != Role::Breech)
    };
    wide().find(pushes).or_else(|| wide().last())
}

/// The places of an axis that have a column of their own, and how much longer each is for a room
/// around its part.
fn places<'a>(engine: &Engine, axis: &'a Axis) -> Vec<(&'a Vec<Element>, f64)> {
    let mut places = Vec::new();
    let mut around = 0.0;
    let mut written = axis.places.iter().filter(|place| !place.is_empty()).peekable();
    while let Some(place) = written.next() {
        let next = written.peek().map_or(&[][..], |next| next.as_slice());
        if is_before_collar(engine, place, next) {
            around = ROOM;
        } else {
            places.push((place, around));
            around = 0.0;
        }
    }
    places
}

/// Whether a room that stands behind a bolt only pushes it back: then it lies around the bolt's
/// shaft, in front of its collar, and has no place of its own.
fn is_before_collar(engine: &Engine, place: &[Element], next: &[Element]) -> bool {
    let ([Element::Chamber(room)], [Element::Part(part)]) = (place, next) else { return false };
    let it = &engine.parts[*part];
    let faces = |way: Direction| it.pushes.iter().filter(move |push| push.direction == way);
    let is_here = |push: &Push| push.kind == PushKind::Face(*room);
    let is_elsewhere = |push: &Push| matches!(push.kind, PushKind::Face(at) if at != *room);
    it.shape == Shape::Bolt
        && faces(Direction::Back).any(is_here)
        && !faces(Direction::Forward).any(is_here)
        && faces(Direction::Forward).any(is_elsewhere)
}

/// The chambers of a place with their layers, the inmost first.
fn rooms(place: &[Element]) -> impl Iterator<Item = (usize, ChamberId)> {
    place.iter().enumerate().filter_map(|(layer, thing)| match thing {
        Element::Chamber(at) => Some((layer, *at)),
        _ => None,
    })
}

fn length(engine: &Engine, thing: Element) -> f64 {
    match thing {
        Element::Chamber(at) if engine.chambers[at].role == Role::Breech => 64.0,
        Element::Chamber(_) => 92.0,
        Element::Part(at) => {
            let part = &engine.parts[at];
            let springs = [Direction::Forward, Direction::Back].map(|way| spring_room(part, way));
            own_length(part) + TRAVEL + 2.0 * CLEAR + springs[0] + springs[1]
        }
        // Of all else only the barrel lies on an axis.
        _ => 150.0,
    }
}

fn own_length(part: &Part) -> f64 {
    match part.shape {
        Shape::Diaphragm | Shape::Poppet => 14.0,
        Shape::Bolt => 26.0,
        Shape::Piston => 34.0,
        Shape::Spool | Shape::Sleeve => 56.0,
        Shape::Hammer => 60.0,
    }
}

fn spring_room(part: &Part, direction: Direction) -> f64 {
    let has_spring = |push: &Push| push.kind == PushKind::Spring && push.direction == direction;
    if part.pushes.iter().any(has_spring) { SPRING } else { 0.0 }
}

fn bore(engine: &Engine, thing: Element) -> f64 {
    match thing {
        Element::Chamber(at) if engine.chambers[at].role == Role::Breech => NARROW_BORE,
        Element::Way(_) => NARROW_BORE,
        _ => BORE,
    }
}

/// The moving part of a place; of several, the outermost.
fn body(
    engine: &Engine,
    view: &DrawingView,
    place: &[Element],
    span: (f64, f64, f64),
    sides: (Option<ChamberId>, Option<ChamberId>),
) -> Option<Body> {
    let (layer, part) = place.iter().enumerate().rev().find_map(|(layer, thing)| match thing {
        Element::Part(part) => Some((layer, *part)),
        _ => None,
    })?;
    let it = &engine.parts[part];
    let rear =
        span.0 + CLEAR + spring_room(it, Direction::Forward) + TRAVEL * view.travel(engine, part);
    let share = span.2 / place.len() as f64;
    let inner = if layer == 0 { 0.0 } else { share * layer as f64 + 2.0 };
    let outer = share * (layer + 1) as f64 - 2.0;
    let is_here = |chamber: ChamberId| place.contains(&Element::Chamber(chamber));
    let face = |direction: Direction, side: Option<ChamberId>| {
        let other = if direction == Direction::Forward { sides.1 } else { sides.0 };
        let mut faces = it.pushes.iter().filter(|push| push.direction == direction);
        let face = || {
            faces.find_map(|push| match push.kind {
                PushKind::Face(at) if Some(at) != other && !is_here(at) => Some(at),
                _ => None,
            })
        };
        side.or_else(|| opened(engine, place, part, direction)).or_else(face)
    };
    Some(Body {
        part,
        rear,
        front: rear + own_length(it),
        layer,
        radii: (inner, outer),
        behind: face(Direction::Forward, sides.0),
        before: face(Direction::Back, sides.1),
    })
}

/// The room at the end of a part that it opens to a room in its own place: behind it what opens as
/// it goes forward, before it what opens as it goes back.
fn opened(
    engine: &Engine,
    place: &[Element],
    part: PartId,
    pushed: Direction,
) -> Option<ChamberId> {
    rooms(place).find_map(|(_, chamber)| {
        engine.ways.iter().find_map(|way| {
            let other = tubes::across(way, chamber)?;
            match (tubes::opening(engine, way, part)?, pushed) {
                (Opening::From(_), Direction::Forward) | (Opening::Behind(_), Direction::Back) => {
                    Some(other)
                }
                _ => None,
            }
        })
    })
}

impl Column {
    /// The chambers in it with their layers, the inmost first.
    pub(crate) fn rooms(&self) -> Vec<(usize, ChamberId)> {
        rooms(&self.things).collect()
    }

    /// Half the height of a layer, inside and outside.
    pub(crate) fn ring(&self, layer: usize) -> (f64, f64) {
        let share = self.bore / self.things.len().max(1) as f64;
        (share * layer as f64, share * (layer + 1) as f64)
    }

    /// The chamber that fills it, where no part is in it; of several, the outermost.
    pub(crate) fn chamber(&self) -> Option<ChamberId> {
        if self.body.is_some() {
            return None;
        }
        self.rooms().last().map(|(_, chamber)| *chamber)
    }

    /// Whether it is the barrel.
    pub(crate) fn is_barrel(&self) -> bool {
        self.things.iter().any(|thing| matches!(thing, Element::Way(_)))
    }
}
