//! Sizes that are not known. Stand-ins are drawn for them; what rests on these is neither judged
//! nor told as measured.

use super::super::routing::Routed;
use super::build::BuiltEngine;
use super::judge::spot;
use super::sizes::{SolidInput, sizes};
use crate::geometry::{Dual, Frustum, PoseCell, PoseFinding, Scalar, TOUCH};
use crate::slip::Slip;
use crate::text::Span;
use std::collections::BTreeSet;

/// What a number rests on that is not known.
pub(super) fn blank_in<'a>(inputs: &'a [SolidInput], value: &Dual) -> Option<&'a str> {
    let slopes = value.slopes().iter().filter(|(_, slope)| *slope != 0.0);
    let mut used = slopes.filter_map(|(input, _)| inputs.get(usize::try_from(*input).ok()?));
    used.find_map(|input| match input {
        SolidInput::Unknown(what) => Some(what.as_str()),
        SolidInput::Known(_) => None,
    })
}

/// The numbers of a piece.
fn numbers(piece: &Frustum<Dual>) -> impl Iterator<Item = &Dual> {
    let inner = piece.inner.iter().flat_map(|(rear, front)| [rear, front]);
    [&piece.from, &piece.to, &piece.outer.0, &piece.outer.1].into_iter().chain(inner)
}

/// What some pieces rest on that is not known.
pub(super) fn blank_of<'a>(inputs: &'a [SolidInput], pieces: &[&Frustum<Dual>]) -> Option<&'a str> {
    pieces.iter().flat_map(|piece| numbers(piece)).find_map(|it| blank_in(inputs, it))
}

/// Whether two bodies overlap somewhere by sizes that are all known.
pub(super) fn is_measured(
    built: &BuiltEngine,
    positions: &[Dual],
    (one, other): (usize, usize),
) -> bool {
    let bodies = &built.cut.assembly().bodies;
    let is_known = |body: usize, piece: &Frustum<Dual>| {
        blank_in(&built.inputs, &positions[body]).is_none()
            && blank_of(&built.inputs, &[piece]).is_none()
    };
    let known = |body: usize| {
        let pieces = bodies[body].pieces.iter().enumerate();
        pieces.filter(move |(_, piece)| is_known(body, piece))
    };
    known(one).any(|(number, piece)| {
        let apart = positions[other].value() - positions[one].value();
        known(other)
            .any(|(at, against)| (one != other || number != at) && overlap(piece, against, apart))
    })
}

/// Whether two pieces are in each other, the second moved to the front.
fn overlap(one: &Frustum<Dual>, other: &Frustum<Dual>, moved: f64) -> bool {
    let from = one.from.value().max(other.from.value() + moved);
    let to = one.to.value().min(other.to.value() + moved);
    let middle = f64::midpoint(from, to);
    let across = |piece: &Frustum<Dual>, at: f64| {
        let share = (at - piece.from.value()) / (piece.to.value() - piece.from.value());
        let on =
            |radii: &(Dual, Dual)| radii.0.value() + share * (radii.1.value() - radii.0.value());
        (piece.inner.as_ref().map_or(0.0, on), on(&piece.outer))
    };
    let (a, b) = (across(one, middle), across(other, middle - moved));
    TOUCH < to - from && TOUCH < a.1.min(b.1) - a.0.max(b.0)
}

/// The rooms that are one with others, or stand in the open, in a pose of a drawing with stand-ins.
pub(super) fn astray(built: &BuiltEngine, cell: &PoseCell<Dual>) -> BTreeSet<usize> {
    let findings = cell.findings.iter().filter(|_| !built.blanks.is_empty());
    let rooms = findings.flat_map(|finding| match finding {
        PoseFinding::Merged { rooms: (one, other), .. } => vec![*one, *other],
        PoseFinding::Outside { room } => vec![*room],
        PoseFinding::Unclaimed { rooms } => rooms.clone(),
        _ => Vec::new(),
    });
    rooms.collect()
}

/// That a drawing is not held against itself as long as sizes that shape it are not known.
pub(super) fn slip(routed: &Routed, built: &BuiltEngine) -> Option<Slip> {
    let engine = &routed.engine;
    let (first, more) = built.blanks.split_first()?;
    let all = sizes(engine);
    let size = all.iter().find(|(what, _)| what == first).map(|(_, size)| size.span);
    let ring =
        |seal: &crate::cutaway::model::Seal| *first == format!("the size of `{}`", seal.name.id);
    let seal = || engine.seals.iter().find(|seal| ring(seal)).map(|seal| seal.name.span);
    let span: Span = size.or_else(seal).unwrap_or(engine.name.span);
    let until = match more.len() {
        0 => format!("until {first} is measured"),
        1 => format!("until {first} and one more size are measured"),
        count => format!("until {first} and {count} more sizes are measured"),
    };
    let message =
        format!("whether the parts fit, and what stands open to what, cannot be said {until}");
    let slip = Slip::note("drawing-not-judged", spot(routed, span), message);
    Some(slip.help(
        "measure it, or write about how much it is, as `~5 mm`: the measuring sheet of the engine has \
         a blank for each",
    ))
}
