//! What the model says of a part and of what lies on both sides of a wall that it passes.

use crate::cutaway::model::{
    ChamberId, Condition, Direction, Engine, PartId, PositionId, PushKind, Way,
};

/// Whether a room pushes a part forward, and whether it pushes it back.
pub(super) fn faces(engine: &Engine, part: PartId, room: ChamberId) -> [bool; 2] {
    [Direction::Forward, Direction::Back].map(|way| {
        let mut pushes = engine.parts[part].pushes.iter();
        pushes.any(|push| push.kind == PushKind::Face(room) && push.direction == way)
    })
}

/// Whether two pairs of rooms are one.
pub(super) fn is_one_pair(a: (ChamberId, ChamberId), b: (ChamberId, ChamberId)) -> bool {
    a == b || a == (b.1, b.0)
}

/// Whether where a part stands tells by itself whether a way is open.
pub(super) fn tells(way: &Way, part: PartId) -> bool {
    let is_own = |condition: &Condition| match condition {
        Condition::At(at, _) | Condition::From(at, _) | Condition::Before(at, _) => *at == part,
        _ => false,
    };
    let is_plain = !way.barrel && !way.one_way && way.relieves_at.is_none();
    is_plain && !way.when.is_empty() && way.when.iter().all(is_own)
}

/// Whether where a part stands tells by itself whether two rooms are joined.
pub(super) fn is_steered(engine: &Engine, part: PartId, pair: (ChamberId, ChamberId)) -> bool {
    let ways = engine.ways.iter().filter(|way| !way.barrel);
    let mut ways = ways.filter(|way| is_one_pair((way.from, way.to), pair)).peekable();
    let valves = engine.valves.iter();
    let mut joints = valves.flat_map(|valve| valve.rest.iter().chain(&valve.shifted));
    let is_plain = ways.peek().is_some() && !joints.any(|joint| is_one_pair(*joint, pair));
    is_plain && ways.all(|way| tells(way, part))
}

/// At which positions of a part two rooms are joined that it steers.
pub(super) fn openings(engine: &Engine, part: PartId, pair: (ChamberId, ChamberId)) -> Vec<bool> {
    let positions = engine.parts[part].positions.ids();
    let ways = || engine.ways.iter().filter(|way| is_one_pair((way.from, way.to), pair));
    let is_open = |here: PositionId| {
        let holds = |condition: &Condition| match *condition {
            Condition::At(_, at) => here == at,
            Condition::From(_, at) => at <= here,
            Condition::Before(_, at) => here < at,
            _ => false,
        };
        ways().any(|way| !way.barrel && way.when.iter().all(holds))
    };
    positions.map(is_open).collect()
}
