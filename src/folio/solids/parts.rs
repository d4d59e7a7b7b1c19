//! What the parts and rings of a drawing measure as wholes, and what a part has to pass to come
//! out.

use super::build::{BuiltEngine, BuiltRing};
use super::results::{SolidResult, figure};
use crate::cutaway::Engine;
use crate::cutaway::model::PartId;
use crate::cutaway::solids::DrawnSolid;
use crate::geometry::{Dual, FIXED, Frustum, RingSide, Scalar, TOUCH, Toward};
use crate::quantity::{Dimension, Kind};
use std::collections::BTreeMap;

fn twice(radius: &Dual) -> Dual {
    radius.clone() + radius.clone()
}

fn circle(radius: &Dual) -> Dual {
    Dual::constant(std::f64::consts::PI) * radius.clone() * radius.clone()
}

/// Length, greatest diameter and volume of each part, and the groove of each ring, as results that
/// formulas name.
pub(super) fn results(
    built: &BuiltEngine,
    engine: &Engine,
    found: &mut BTreeMap<String, SolidResult>,
) {
    let told =
        |value: &Dual, of: Dimension, kind: Kind| figure(&built.inputs, value, (of, kind, None));
    let bodies = &built.cut.assembly().bodies;
    for (number, part) in built.parts.iter().enumerate() {
        let name = &engine.parts[*part].name.id;
        let pieces = &bodies[number + 1].pieces;
        let (Some(first), Some(last)) = (pieces.first(), pieces.last()) else { continue };
        let length = last.to.clone() - first.from.clone();
        found.insert(format!("{name}.length"), told(&length, Dimension::LENGTH, Kind::Plain));
        if let Some(widest) = widest(pieces) {
            let widest = told(&twice(&widest), Dimension::LENGTH, Kind::Plain);
            found.insert(format!("{name}.widest"), widest);
        }
        let volume = volume(built, number + 1);
        found.insert(format!("{name}.volume"), told(&volume, Dimension::VOLUME, Kind::Plain));
    }
    for (at, ring) in built.rings.iter().enumerate() {
        let name = &engine.seals[ring.seal].name.id;
        let floor = told(&twice(&ring.floor), Dimension::LENGTH, Kind::Plain);
        found.insert(format!("{name}.floor"), floor);
        let width = told(&ring.width, Dimension::LENGTH, Kind::Plain);
        found.insert(format!("{name}.width"), width);
        if let Some(fill) = fill(built, (at, ring)) {
            found.insert(format!("{name}.fill"), told(&fill, Dimension::NONE, Kind::Ratio));
        }
    }
}

/// The greatest outside radius.
fn widest(pieces: &[Frustum<Dual>]) -> Option<Dual> {
    let radii = pieces.iter().flat_map(|piece| [&piece.outer.0, &piece.outer.1]);
    radii.max_by(|a, b| a.value().total_cmp(&b.value())).cloned()
}

/// What a part is made of: its steps, less the grooves of its rings and its holes across.
fn volume(built: &BuiltEngine, body: usize) -> Dual {
    let assembly = built.cut.assembly();
    let three = || Dual::constant(3.0);
    let within = |(a, b): &(Dual, Dual), length: &Dual| {
        let squares = a.clone() * a.clone() + a.clone() * b.clone() + b.clone() * b.clone();
        Dual::constant(std::f64::consts::PI) * squares * length.clone() / three()
    };
    let mut sum = Dual::constant(0.0);
    for piece in &assembly.bodies[body].pieces {
        let length = piece.to.clone() - piece.from.clone();
        sum = sum + within(&piece.outer, &length);
        if let Some(inner) = &piece.inner {
            sum = sum - within(inner, &length);
        }
    }
    for (ring, groove) in assembly.rings.iter().zip(&built.rings) {
        let Some(piece) = around(&assembly.bodies[body].pieces, &ring.at) else { continue };
        if ring.body != body {
            continue;
        }
        let edge = match ring.side {
            RingSide::Outside => Some(&piece.outer.0),
            RingSide::Inside => piece.inner.as_ref().map(|inner| &inner.0),
        };
        let Some(edge) = edge else { continue };
        let ring_area = circle(edge) - circle(&groove.floor);
        let groove = ring_area * groove.width.clone();
        sum = if ring.side == RingSide::Outside { sum - groove } else { sum + groove };
    }
    for hole in assembly.holes.iter().filter(|hole| hole.body == body) {
        let Some(piece) = around(&assembly.bodies[body].pieces, &hole.at) else { continue };
        let wall = match &piece.inner {
            Some(inner) => piece.outer.0.clone() - inner.0.clone(),
            None => piece.outer.0.clone(),
        };
        let half = hole.diameter.clone() / Dual::constant(2.0);
        sum = sum - circle(&half) * wall * Dual::constant(f64::from(hole.count));
    }
    sum
}

/// The piece at a place.
fn around<'a>(pieces: &'a [Frustum<Dual>], at: &Dual) -> Option<&'a Frustum<Dual>> {
    let is_there =
        |piece: &&Frustum<Dual>| piece.from.value() <= at.value() && at.value() <= piece.to.value();
    pieces.iter().find(is_there)
}

/// How much of the room between its groove and what it seals against a ring fills, by its free
/// section; `None` where it is not known or in no bore.
pub(super) fn fill(built: &BuiltEngine, (at, ring): (usize, &BuiltRing)) -> Option<Dual> {
    let (section, _) = ring.sizes.as_ref()?;
    let depth = match built.cut.assembly().rings[at].side {
        RingSide::Outside => ring.facing.as_ref()?.clone() - ring.floor.clone(),
        RingSide::Inside => ring.floor.clone() - ring.facing.as_ref()?.clone(),
    };
    let half = section.clone() / Dual::constant(2.0);
    Some(circle(&half) / (depth * ring.width.clone()))
}

/// By how much a ring on a part is stretched over its groove, by its free sizes; `None` where that
/// is not known, or the ring is pressed into a bore.
pub(super) fn stretch(built: &BuiltEngine, (at, ring): (usize, &BuiltRing)) -> Option<Dual> {
    let (_, inside) = ring.sizes.as_ref()?;
    let is_on_part = built.cut.assembly().rings[at].side == RingSide::Outside;
    is_on_part.then(|| twice(&ring.floor) / inside.clone() - Dual::constant(1.0))
}

/// What keeps a part from coming out one way.
#[derive(Debug, Clone, Default)]
pub(crate) struct WayOut {
    /// Steps of the body that are too narrow for it, from where it stands on.
    pub(crate) steps: Vec<usize>,
    /// Whether these are all that there are up to the end of the body, so that it comes out once
    /// they are off.
    pub(crate) is_end: bool,
    /// Parts in its way.
    pub(crate) parts: Vec<PartId>,
}

/// What keeps each part from coming out, to the rear and to the front, as it stands at rest.
pub(super) fn ways_out(built: &BuiltEngine, engine: &Engine) -> Vec<(PartId, [WayOut; 2])> {
    let Some(rest) = built.poses(engine).into_iter().next() else { return Vec::new() };
    let at: Vec<f64> = rest.positions.iter().map(Scalar::value).collect();
    let steps = engine.drawn.body.as_ref().map_or(&[][..], |body: &DrawnSolid| &body.steps);
    let parts = built.parts.iter().enumerate();
    parts
        .map(|(number, part)| {
            let ways = [Toward::Rear, Toward::Front];
            (*part, ways.map(|toward| way_out(built, (number + 1, &at), toward, steps.len())))
        })
        .collect()
}

fn way_out(
    built: &BuiltEngine,
    (body, at): (usize, &[f64]),
    toward: Toward,
    steps: usize,
) -> WayOut {
    let bodies = &built.cut.assembly().bodies;
    let passes = |other: usize| {
        let wall = &bodies[other].pieces;
        let hits = wall.iter().enumerate().filter(move |(_, wall)| {
            bodies[body]
                .pieces
                .iter()
                .any(|piece| is_in_the_way(piece, wall, at[body] - at[other], toward))
        });
        hits.map(|(number, _)| number).collect::<Vec<usize>>()
    };
    let narrow = passes(FIXED);
    let is_end = match (narrow.first(), narrow.last(), toward) {
        (Some(_), Some(last), Toward::Rear) => *last + 1 == narrow.len(),
        (Some(first), Some(_), Toward::Front) => *first + narrow.len() == steps,
        _ => true,
    };
    let others = built.parts.iter().enumerate().filter(|(number, _)| number + 1 != body);
    let others = others.filter(|(number, _)| !passes(number + 1).is_empty());
    WayOut { steps: narrow, is_end, parts: others.map(|(_, part)| *part).collect() }
}

/// Whether a piece that moves along meets another that lies ahead of it.
fn is_in_the_way(piece: &Frustum<Dual>, wall: &Frustum<Dual>, apart: f64, toward: Toward) -> bool {
    let is_ahead = match toward {
        Toward::Rear => wall.from.value() + TOUCH < piece.from.value() + apart,
        Toward::Front => piece.to.value() + apart < wall.to.value() - TOUCH,
    };
    let low = |radii: &Option<(Dual, Dual)>| {
        radii.as_ref().map_or(0.0, |(a, b)| a.value().min(b.value()))
    };
    let high = |(a, b): &(Dual, Dual)| a.value().max(b.value());
    let overlaps = low(&piece.inner) + TOUCH < high(&wall.outer)
        && low(&wall.inner) + TOUCH < high(&piece.outer);
    is_ahead && overlaps
}
