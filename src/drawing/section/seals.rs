//! Where seals lie: those of a part towards the end whose rooms they keep apart, those of the body
//! in its bore.

use super::columns::{BORE, Body, Column, NARROW_BORE};
use super::fittings::shaft_end;
use crate::cutaway::model::{ChamberId, Engine, PositionId, Seal, SealId, Shape};

/// Half the height of a seal's dot.
pub(crate) const DOT: f64 = 3.5;
/// Distance of seals that lie side by side at an end.
const APART: f64 = 9.0;

/// Which end of a part a seal lies at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum SealEnd {
    Rear,
    Middle,
    Front,
}

/// Seals that have a place on these columns: which, and where the upper and lower dot lie.
pub(crate) fn seals(engine: &Engine, columns: &[Column]) -> Vec<(SealId, f64, f64)> {
    let mut places = Vec::new();
    for column in columns {
        if let Some(body) = &column.body {
            places.extend(part_seals(engine, column, body));
        }
    }
    for (seal, it) in engine.seals.entries() {
        if it.on.is_none() {
            places.extend(body_seal(it.between, columns).map(|(x, y)| (seal, x, y)));
        }
    }
    places
}

/// The seals of a part from rear to front, in the writer's order where nothing tells.
fn part_seals(engine: &Engine, column: &Column, body: &Body) -> Vec<(SealId, f64, f64)> {
    let all = engine.seals.entries().filter(|(_, seal)| seal.on == Some(body.part));
    let mut all: Vec<(SealEnd, SealId)> =
        all.map(|(at, seal)| (end_of(column, body, seal), at)).collect();
    all.sort_by_key(|(end, _)| *end);
    let is_bolt = engine.parts[body.part].shape == Shape::Bolt && body.layer == 0;
    let (nose, head): (Vec<_>, Vec<_>) =
        all.into_iter().partition(|(end, _)| is_bolt && *end == SealEnd::Front);
    let mut places = Vec::new();
    for (nth, (_, seal)) in nose.iter().rev().enumerate() {
        let x = shaft_end(column, body) - 6.0 - APART * nth as f64;
        places.push((*seal, x, NARROW_BORE - DOT));
    }
    let ends: Vec<SealEnd> = head.iter().map(|(end, _)| *end).collect();
    for ((_, seal), x) in head.iter().zip(along(engine, column, body, &ends)) {
        places.push((*seal, x, height(engine, column, body, &engine.seals[*seal])));
    }
    places
}

/// Where seals lie along a part, given from rear to front.
fn along(engine: &Engine, column: &Column, body: &Body, ends: &[SealEnd]) -> Vec<f64> {
    let count = ends.len();
    let (from, to) = land(engine, body);
    // Those of one end leave the other one free.
    let is_all = |end: SealEnd| ends.iter().all(|it| *it == end);
    let (before, behind) =
        (usize::from(is_all(SealEnd::Front)), usize::from(is_all(SealEnd::Rear)));
    let place = |(nth, end): (usize, &SealEnd)| match end {
        // Beside a room the ends are what slides over the slots of its tube.
        SealEnd::Rear if 1 < column.things.len() => body.rear + 1.5 + DOT + APART * nth as f64,
        SealEnd::Front if 1 < column.things.len() => {
            body.front - 1.5 - DOT - APART * (count - 1 - nth) as f64
        }
        _ => {
            let share = ((nth + before) as f64 + 0.5) / (before + count + behind) as f64;
            from + (to - from) * share
        }
    };
    ends.iter().enumerate().map(place).collect()
}

fn end_of(column: &Column, body: &Body, seal: &Seal) -> SealEnd {
    let keeps = |chamber: ChamberId| seal.between.0 == chamber || seal.between.1 == chamber;
    let beside = |at: usize, side: Option<ChamberId>| {
        column.beside[at].iter().copied().chain(side).any(keeps)
    };
    match (beside(0, body.behind), beside(1, body.before)) {
        (true, false) => SealEnd::Rear,
        (false, true) => SealEnd::Front,
        _ => SealEnd::Middle,
    }
}

/// How far from the axis a seal of a part lies: where it slides along what the seal is for.
fn height(engine: &Engine, column: &Column, body: &Body, seal: &Seal) -> f64 {
    let is_inside = |chamber: ChamberId| {
        column.rooms().iter().any(|(layer, room)| *layer < body.layer && *room == chamber)
    };
    if is_inside(seal.between.0) || is_inside(seal.between.1) {
        return body.radii.0 + 2.5;
    }
    match engine.parts[body.part].shape {
        // On the cone.
        Shape::Poppet => body.radii.1 * 0.36,
        _ => body.radii.1 - 2.5,
    }
}

/// Where the seals of a part may lie along it.
fn land(engine: &Engine, body: &Body) -> (f64, f64) {
    match engine.parts[body.part].shape {
        Shape::Hammer => (body.rear + 2.0, body.front - 12.0),
        Shape::Poppet if engine.parts[body.part].rest == PositionId::REAR => {
            (body.rear - 2.0, body.rear + 6.0)
        }
        Shape::Poppet => (body.front - 6.0, body.front + 2.0),
        _ => (body.rear + 2.0, body.front - 2.0),
    }
}

/// A seal in the body lies in the bore between the chambers that it keeps apart: around the part
/// between them, or in the wall across the bore. Where the axis shows only one of the two, its
/// place is not known.
fn body_seal(between: (ChamberId, ChamberId), columns: &[Column]) -> Option<(f64, f64)> {
    let is_pair = |a: Option<ChamberId>, b: Option<ChamberId>| {
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
