//! What one engine has only because it has a room that the other lacks: the ways into that room,
//! the faces in it, the seals that keep it. Told with the room, and not counted again.

use super::compare::{Row, RowStanding};
use super::words::{Two, listed};
use crate::cutaway::model::{ChamberId, Element, Engine, PushKind};

/// Folds rows of what comes with a room under that of the room.
pub(super) fn fold(two: &Two<'_>, rows: &mut [Row]) {
    for (side, standing) in
        [RowStanding::OnlyFirst, RowStanding::OnlySecond].into_iter().enumerate()
    {
        let is_alone = |row: &Row| row.standing == standing;
        for at in 0..rows.len() {
            let Some(Element::Chamber(room)) = rows[at].things[side] else { continue };
            if !is_alone(&rows[at]) {
                continue;
            }
            let comes_with = |row: &Row| {
                let is_its_own = |thing| touches(two.engines[side], thing, room);
                is_alone(row)
                    && row.tells_a_difference()
                    && row.things[side].is_some_and(is_its_own)
            };
            let mut names = Vec::new();
            for row in rows.iter_mut().filter(|row| comes_with(row)) {
                row.says.iter_mut().for_each(|says| says.counts = false);
                names.extend(row.names[side].iter().map(|name| format!("the {name}")));
            }
            let first = rows[at].says.first_mut().filter(|_| !names.is_empty());
            if let Some(says) = first {
                says.text.push_str(&format!("; with it {}", listed(names, "and")));
            }
        }
    }
}

/// Whether a thing is there for a room alone: it leads there, is pushed from there, or keeps it.
fn touches(engine: &Engine, thing: Element, room: ChamberId) -> bool {
    match thing {
        Element::Way(at) => [engine.ways[at].from, engine.ways[at].to].contains(&room),
        Element::Seal(at) => <[ChamberId; 2]>::from(engine.seals[at].between).contains(&room),
        Element::Push(part, at) => engine.parts[part].pushes[at].kind == PushKind::Face(room),
        _ => false,
    }
}
