//! Springs of parts with sizes: between the faces that have room for them in every pose. The sizes
//! of a cutaway do not say where a spring sits; the picture says so.

use super::plane::{Trapezoid, pressed_round};
use crate::cutaway::model::Direction;
use crate::cutaway::sized::SizedEngine;
use crate::geometry::{FIXED, Frustum};

/// Least room for the wire, m, and the most that it takes.
const LEAST: f64 = 0.3e-3;
const THICKEST: f64 = 1.4e-3;

/// Where a spring sits: its ends on the part and on the body, and its wire.
#[derive(Debug, Clone, Copy)]
pub(super) struct SpringSeat {
    /// Number of the part's body.
    pub(super) body: usize,
    /// The face of the part, m along its own axis.
    own: f64,
    /// The face of the body, m.
    against: f64,
    /// Radius of the middle of its coil, and thickness of the wire, m.
    coil: f64,
    wire: f64,
    /// Radius of what it lies around, m.
    shaft: f64,
    /// How many coils it has.
    coils: usize,
}

/// A piece as seen along the way that the spring is pressed.
struct OpposedFaces {
    near: f64,
    far: f64,
    inner: f64,
    outer: f64,
}

fn facing(pieces: &[Frustum<f64>], turn: f64) -> Vec<OpposedFaces> {
    let mut facing: Vec<OpposedFaces> = pieces
        .iter()
        .map(|piece| {
            let (a, b) = (turn * piece.from, turn * piece.to);
            let inner = piece.inner.map_or(0.0, |it| it.0.min(it.1));
            OpposedFaces {
                near: a.min(b),
                far: a.max(b),
                inner,
                outer: piece.outer.0.max(piece.outer.1),
            }
        })
        .collect();
    facing.sort_by(|a, b| a.near.total_cmp(&b.near));
    facing
}

/// Finds the seat with the longest room for a spring that pushes a part this way.
pub(super) fn seat(sized: &SizedEngine, body: usize, pushes: Direction) -> Option<SpringSeat> {
    // A spring that pushes back lies in front of what it pushes.
    let turn = if pushes == Direction::Back { 1.0 } else { -1.0 };
    let (own, fixed) = (&sized.assembly.bodies[body], &sized.assembly.bodies[FIXED]);
    let travel = (turn * own.travel.0, turn * own.travel.1);
    let travel = (travel.0.min(travel.1), travel.0.max(travel.1));
    let (part, walls) = (facing(&own.pieces, turn), facing(&fixed.pieces, turn));
    let mut best: Option<(f64, SpringSeat)> = None;
    for (at, step) in part.iter().enumerate() {
        let beyond = part.get(at + 1);
        for (number, wall) in walls.iter().enumerate() {
            let before = number.checked_sub(1).map(|it| &walls[it]);
            let (shortest, longest) =
                (wall.near - step.far - travel.1, wall.near - step.far - travel.0);
            if shortest < 0.2 * longest || shortest <= 0.0 {
                continue;
            }
            let face = (beyond.map_or(step.inner, |it| it.outer), step.outer);
            let rim = (wall.inner, before.map_or(wall.inner, |it| it.inner));
            let shaft = part.iter().filter(|it| step.far <= it.near);
            let shaft = shaft.filter(|it| it.near + travel.0 < wall.near).map(|it| it.outer);
            let bore = walls.iter().filter(|it| it.far <= wall.near);
            let bore = bore.filter(|it| step.far + travel.0 < it.far).map(|it| it.inner);
            let low = shaft.fold(face.0.max(rim.0), f64::max);
            let high = bore.fold(face.1.min(rim.1), f64::min);
            if high - low < LEAST || best.is_some_and(|(known, _)| longest <= known) {
                continue;
            }
            let wire = (0.8 * (high - low)).min(THICKEST);
            let coils = (longest / (3.0 * wire)).clamp(4.0, 9.0) as usize;
            let coil = f64::midpoint(low, high);
            let (own, against) = (turn * step.far, turn * wall.near);
            best = Some((
                longest,
                SpringSeat { body, own, against, coil, wire, shaft: face.0, coils },
            ));
        }
    }
    best.map(|(_, seat)| seat)
}

impl SpringSeat {
    /// The halves of its coils behind the plane of the section, as far as they can be seen.
    pub(super) fn behind(&self, position: f64, scale: f64) -> Vec<[(f64, f64); 2]> {
        let place = self.turns(position, scale);
        let (edge, shaft) = ((self.coil - self.wire / 2.0) * scale, self.shaft * scale);
        let half = (edge - shaft) / (4.0 * edge);
        let mut lines = Vec::new();
        for turn in 0..2 * self.coils {
            let (from, to) = (turn as f64 / 2.0, (turn + 1) as f64 / 2.0);
            // From above to below, or back.
            let side = if turn % 2 == 0 { -1.0 } else { 1.0 };
            lines.push([(place(from), side * edge), (place(from + half), side * shaft)]);
            lines.push([(place(to - half), -side * shaft), (place(to), -side * edge)]);
        }
        lines
    }

    /// Where its coils are cut above the axis: from where to where, and from what height to what.
    pub(super) fn band(&self, position: f64, scale: f64) -> ((f64, f64), (f64, f64)) {
        let ends = (self.own + position, self.against);
        let along = (ends.0.min(ends.1) * scale, ends.0.max(ends.1) * scale);
        let height = |radius: f64| -radius * scale;
        (along, (height(self.coil + self.wire / 2.0), height(self.coil - self.wire / 2.0)))
    }

    /// Where the wire is after so many turns.
    fn turns(&self, position: f64, scale: f64) -> impl Fn(f64) -> f64 + use<> {
        let ends = (self.own + position, self.against);
        let (from, to) = (ends.0.min(ends.1), ends.0.max(ends.1));
        let (pitch, wire) = ((to - from - self.wire) / self.coils.max(1) as f64, self.wire);
        move |turns: f64| (from + wire / 2.0 + turns * pitch) * scale
    }

    /// Its wire where the part stands here, cut above and below the axis, and a spot on it below.
    pub(super) fn coils(&self, position: f64, scale: f64) -> (Vec<Trapezoid>, (f64, f64)) {
        let wire = self.wire * scale;
        let place = self.turns(position, scale);
        let mut pieces = Vec::new();
        for coil in 0..=self.coils {
            let above = (place(coil as f64), -self.coil * scale);
            pieces.extend(pressed_round(above, wire, wire));
        }
        for coil in 0..self.coils {
            let below = (place(coil as f64 + 0.5), self.coil * scale);
            pieces.extend(pressed_round(below, wire, wire));
        }
        let spot = (place((self.coils / 2) as f64 + 0.5), self.coil * scale);
        (pieces, spot)
    }
}
