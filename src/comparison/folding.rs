//! What one engine has only because it has a room or a part that the other lacks: the ways into
//! that room, the faces in it, the seals that keep it or that the part carries, the blows of that
//! part. Told with the room or the part, and not counted again.

use super::compare::{Row, RowStanding};
use super::words::{Two, listed};
use crate::cutaway::model::{ChamberId, Element, Engine, PushKind};

/// Folds rows of what comes with a room or a part under that of the room or the part.
pub(super) fn fold(two: &Two<'_>, rows: &mut [Row]) {
    for (side, standing) in
        [RowStanding::OnlyFirst, RowStanding::OnlySecond].into_iter().enumerate()
    {
        let is_alone = |row: &Row| row.standing == standing;
        for at in 0..rows.len() {
            let Some(whole) = rows[at].things[side].filter(|_| is_alone(&rows[at])) else {
                continue;
            };
            let comes_with = |row: &Row| {
                let is_its_own = |thing| comes_by(two.engines[side], thing, whole);
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

/// Whether a thing comes with a room or a part: it leads there, is pushed from there, keeps the
/// room or sits on the part.
fn comes_by(engine: &Engine, thing: Element, whole: Element) -> bool {
    match (whole, thing) {
        (Element::Chamber(room), Element::Way(at)) => {
            [engine.ways[at].from, engine.ways[at].to].contains(&room)
        }
        (Element::Chamber(room), Element::Seal(at)) => {
            <[ChamberId; 2]>::from(engine.seals[at].between).contains(&room)
        }
        (Element::Chamber(room), Element::Push(part, at)) => {
            engine.parts[part].pushes[at].kind == PushKind::Face(room)
        }
        (Element::Part(part), Element::Seal(at)) => engine.seals[at].on == Some(part),
        (Element::Part(striker), Element::Push(part, at)) => {
            engine.parts[part].pushes[at].kind == PushKind::Contact(striker)
        }
        _ => false,
    }
}
