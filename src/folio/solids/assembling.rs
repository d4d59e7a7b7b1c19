//! Whether parts can be got into the bores in which they are drawn, and where the body has to open
//! for them.
//!
//! A part that goes into a bore lies in pieces of the body that slide off it, those at its rear end
//! to the rear and the others to the front. So there has to be a place along the body behind which
//! each piece slides off to the rear and in front of which each slides off to the front; else a
//! narrow step is caught between two wide ones. Rings give way and do not count.

use super::super::measured::Readings;
use super::super::routing::Routed;
use super::build::{BuiltEngine, tube_of};
use super::judge::spot;
use super::results::{LookedAtPose, figure, is_above};
use crate::cutaway::Engine;
use crate::cutaway::model::{Element, PartId};
use crate::cutaway::solids::{DrawnSolid, InsertPlace};
use crate::geometry::{Dual, FIXED, Frustum, PoseFinding, Scalar, TOUCH, Toward};
use crate::quantity::{Dimension, Kind};
use crate::slip::Slip;
use crate::text::Span;
use std::ops::Range;

/// Two steps that do not pass each other.
#[derive(Debug, Clone, Copy)]
struct Blocked {
    /// Step of what is put in.
    own: usize,
    /// Step of the body.
    wall: usize,
    /// Their radii there, m; nought where the body has no bore.
    radii: (f64, f64),
}

/// Pieces of the body that lie behind each other.
#[derive(Debug, Clone)]
struct WallRow {
    pieces: Vec<Range<usize>>,
    /// Whether the drawing says where they come apart.
    is_said: bool,
}

/// A piece that is put into the body.
struct PutIn<'a> {
    pieces: &'a [Frustum<Dual>],
    /// Its steps among these.
    steps: Range<usize>,
    /// How far it is from where its own lengths are counted, m.
    at: f64,
}

/// Where the body opens for a part: between two of its steps, or at an end.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BodyOpening {
    pub(crate) behind: Option<usize>,
    pub(crate) before: Option<usize>,
}

/// An engine, as far as its parts are put together.
pub(super) struct Assembling<'a> {
    pub(super) engine: &'a Engine,
    pub(super) built: &'a BuiltEngine,
    pub(super) readings: Readings<'a>,
}

/// Tells of parts that cannot be got into the body.
pub(super) fn slips(
    routed: &Routed,
    (built, poses): (&BuiltEngine, &[LookedAtPose]),
    readings: Readings<'_>,
) -> Vec<Slip> {
    let engine = &routed.engine;
    let Some(body) = &engine.drawn.body else { return Vec::new() };
    let all = Assembling { engine, built, readings };
    let at = all.rest();
    let mut slips = Vec::new();
    let mut told = |span: Span, name: String, own: &DrawnSolid, (front, rear)| {
        let caught = Caught { own, body, front, rear };
        let slip = Slip::mark("cannot-be-assembled", spot(routed, span), caught.message(&name));
        slips.push(slip.help(caught.help(&name)));
    };
    for (number, part) in built.parts.iter().enumerate() {
        // What is in something else has been told of already.
        if poses.iter().any(|looked| is_in_another(number + 1, looked)) {
            continue;
        }
        let Some(own) = engine.drawn.parts.get(part) else { continue };
        let Some(name) = Element::Part(*part).name(engine) else { continue };
        let mut pieces = own.made().into_iter();
        let caught = pieces.find_map(|steps| {
            let piece = all.piece((number + 1, at[number + 1]), steps);
            let rows = all.rows(body, *part).into_iter();
            let own = rows.chain(all.insert_rows(body, *part));
            own.into_iter().find_map(|row| all.caught(&piece, &row))
        });
        if let Some(blocks) = caught {
            told(name.span, format!("`{}`", name.id), own, blocks);
        }
    }
    for (number, insert) in body.inserts.iter().enumerate() {
        if matches!(insert.place, InsertPlace::Beside(_)) {
            continue;
        }
        let row = all.row(body, tube_number(body, insert.first));
        let caught = body.made().into_iter().filter(|it| is_of(body, it.start) == Some(number));
        let caught = caught.filter(|_| row.is_said).find_map(|steps| {
            let piece = all.piece((FIXED, 0.0), steps.clone());
            all.caught(&piece, &row)
        });
        if let Some(blocks) = caught {
            told(insert.name.span, format!("`{}`", insert.name.id), body, blocks);
        }
    }
    slips
}

/// Whether a body overlaps another one in a pose.
fn is_in_another(body: usize, looked: &LookedAtPose) -> bool {
    looked.cell.findings.iter().any(|finding| match finding {
        PoseFinding::Collision(collision) => {
            [collision.bodies.0, collision.bodies.1].contains(&body)
        }
        _ => false,
    })
}

/// The insert, or the tube beside, that a step of the body belongs to.
fn is_of(body: &DrawnSolid, step: usize) -> Option<usize> {
    body.inserts.iter().rposition(|insert| insert.first <= step)
}

/// The tube that a step of the body belongs to, itself or by its insert: 0 for the first.
fn tube_number(body: &DrawnSolid, step: usize) -> usize {
    let tubes = body.inserts.iter().filter(|it| matches!(it.place, InsertPlace::Beside(_)));
    tubes.filter(|tube| tube.first <= step).count()
}

/// Whether a step belongs to an insert.
fn is_inserted(body: &DrawnSolid, step: usize) -> bool {
    let of = is_of(body, step).map(|at| &body.inserts[at].place);
    of.is_some_and(|place| !matches!(place, InsertPlace::Beside(_)))
}

impl Assembling<'_> {
    /// Where each body is at rest, m.
    fn rest(&self) -> Vec<f64> {
        let rest = self.built.poses(self.engine).into_iter().next();
        let rest = rest.map(|pose| pose.positions.iter().map(Scalar::value).collect());
        rest.unwrap_or_else(|| vec![0.0; self.built.parts.len() + 1])
    }

    fn piece(&self, (body, at): (usize, f64), steps: Range<usize>) -> PutIn<'_> {
        PutIn { pieces: &self.built.cut.assembly().bodies[body].pieces, steps, at }
    }

    /// The pieces of a tube; its single steps where nothing says where it comes apart.
    fn row(&self, body: &DrawnSolid, tube: usize) -> WallRow {
        let is_own = |step: usize| tube_number(body, step) == tube && !is_inserted(body, step);
        let pieces: Vec<Range<usize>> =
            body.made().into_iter().filter(|it| is_own(it.start)).collect();
        let is_said = 1 < pieces.len();
        let single = || pieces.iter().cloned().flatten().map(|step| step..step + 1).collect();
        WallRow { pieces: if is_said { pieces.clone() } else { single() }, is_said }
    }

    fn tube(&self, part: PartId) -> usize {
        let tubes = &self.built.tubes;
        let own = tube_of(self.engine, tubes, part);
        own.and_then(|own| tubes.iter().position(|it| it.name == own.name)).map_or(0, |at| at + 1)
    }

    fn rows(&self, body: &DrawnSolid, part: PartId) -> Option<WallRow> {
        Some(self.row(body, self.tube(part)))
    }

    /// Each insert of the tube of a part by itself.
    fn insert_rows(&self, body: &DrawnSolid, part: PartId) -> Vec<WallRow> {
        let tube = self.tube(part);
        let inserts = body.inserts.iter().enumerate();
        let inserts = inserts.filter(|(_, it)| !matches!(it.place, InsertPlace::Beside(_)));
        let own = inserts.filter(|(_, it)| tube_number(body, it.first) == tube);
        let row = |number: usize| {
            let made = body.made().into_iter().filter(|it| is_of(body, it.start) == Some(number));
            WallRow { pieces: made.collect(), is_said: true }
        };
        own.map(|(number, _)| row(number)).collect()
    }

    /// From which to which of the places between pieces the row opens for a piece: 0 is its rear
    /// end. With it what blocks it to the front and to the rear.
    fn openings(&self, own: &PutIn, row: &WallRow) -> (Range<usize>, [Option<Blocked>; 2]) {
        let blocked =
            |toward| row.pieces.iter().map(move |walls| self.blocked(own, walls.clone(), toward));
        let front: Vec<Option<Blocked>> = blocked(Toward::Front).collect();
        let rear: Vec<Option<Blocked>> = blocked(Toward::Rear).collect();
        let first = front.iter().position(Option::is_some);
        let last = rear.iter().rposition(Option::is_some);
        let range = last.map_or(0, |at| at + 1)..first.unwrap_or(row.pieces.len()) + 1;
        (range, [first.and_then(|at| front[at]), last.and_then(|at| rear[at])])
    }

    /// What catches a piece in a row, to the front and to the rear; `None` where it comes out.
    fn caught(&self, own: &PutIn, row: &WallRow) -> Option<(Blocked, Blocked)> {
        match self.openings(own, row) {
            (range, [Some(front), Some(rear)]) if range.is_empty() => Some((front, rear)),
            _ => None,
        }
    }

    /// The first step of a piece of the body that something does not pass one way, whatever is
    /// uncertain in their sizes.
    fn blocked(&self, own: &PutIn, walls: Range<usize>, toward: Toward) -> Option<Blocked> {
        let fixed = &self.built.cut.assembly().bodies[FIXED].pieces;
        let mut order: Vec<usize> = walls.collect();
        if toward == Toward::Rear {
            order.reverse();
        }
        order.into_iter().find_map(|wall| {
            let mut ends: Vec<(usize, StepEnd)> = own
                .steps
                .clone()
                .flat_map(|step| StepEnd::of(&own.pieces[step]).map(|end| (step, end)))
                .collect();
            ends.sort_by(|(_, a), (_, b)| b.outer.value().total_cmp(&a.outer.value()));
            ends.into_iter().find_map(|(step, end)| {
                let mut stops = StepEnd::of(&fixed[wall]).into_iter();
                let hit = stops.find(|stop| self.meets((&end, own.at), stop, toward))?;
                let bore = hit.inner.map_or(0.0, Scalar::value);
                Some(Blocked { own: step, wall, radii: (end.outer.value(), bore) })
            })
        })
    }

    /// Whether one end of a step runs against one of another that lies ahead of it.
    fn meets(&self, (own, at): (&StepEnd, f64), wall: &StepEnd, toward: Toward) -> bool {
        let is_ahead = match toward {
            Toward::Rear => wall.at + TOUCH < own.at + at,
            Toward::Front => own.at + at + TOUCH < wall.at,
        };
        is_ahead
            && own.inner.is_none_or(|inner| self.is_longer(wall.outer, inner))
            && wall.inner.is_none_or(|inner| self.is_longer(own.outer, inner))
    }

    /// Whether a radius is larger than another, whatever is uncertain in them.
    fn is_longer(&self, one: &Dual, other: &Dual) -> bool {
        if one.value() <= other.value() + TOUCH {
            return false;
        }
        let over = one.clone() - other.clone();
        let told = (Dimension::LENGTH, Kind::Plain, None);
        is_above(self.readings, &figure(&self.built.inputs, &over, told), 0.0)
    }

    /// Where the body opens for each piece of each part; nothing for a tube of which no joint is
    /// said.
    pub(super) fn body_openings(&self) -> Vec<(PartId, Range<usize>, Vec<BodyOpening>)> {
        let Some(body) = &self.engine.drawn.body else { return Vec::new() };
        let at = self.rest();
        let mut found = Vec::new();
        for (number, part) in self.built.parts.iter().enumerate() {
            let (Some(own), row) =
                (self.engine.drawn.parts.get(part), self.row(body, self.tube(*part)))
            else {
                continue;
            };
            for steps in own.made().into_iter().filter(|_| row.is_said) {
                let piece = self.piece((number + 1, at[number + 1]), steps.clone());
                let openings = self.openings(&piece, &row).0.map(|before| BodyOpening {
                    behind: before.checked_sub(1).map(|at| row.pieces[at].end - 1),
                    before: row.pieces.get(before).map(|piece| piece.start),
                });
                let inserts = self.insert_rows(body, *part).into_iter().flat_map(|it| it.pieces);
                let inserts: Vec<Range<usize>> = inserts.collect();
                let is_free = |opening: &BodyOpening| {
                    inserts.iter().all(|insert| self.is_before(&piece, insert.clone(), *opening))
                };
                let openings = openings.filter(is_free);
                found.push((*part, steps, openings.collect()));
            }
        }
        found
    }
}

impl Assembling<'_> {
    /// Whether a piece gets to an opening of the body without passing an insert that it cannot.
    fn is_before(&self, own: &PutIn, insert: Range<usize>, opening: BodyOpening) -> bool {
        let fixed = &self.built.cut.assembly().bodies[FIXED].pieces;
        let at = match (opening.behind, opening.before) {
            (Some(behind), _) => fixed[behind].to.value(),
            (None, Some(before)) => fixed[before].from.value(),
            (None, None) => return true,
        };
        let front = self.blocked(own, insert.clone(), Toward::Front);
        let rear = self.blocked(own, insert, Toward::Rear);
        front.is_none_or(|it| at < fixed[it.wall].to.value())
            && rear.is_none_or(|it| fixed[it.wall].from.value() < at)
    }
}

/// An end of a step.
struct StepEnd<'a> {
    at: f64,
    outer: &'a Dual,
    inner: Option<&'a Dual>,
}

impl StepEnd<'_> {
    fn of(piece: &Frustum<Dual>) -> [StepEnd<'_>; 2] {
        let inner = piece.inner.as_ref();
        [
            StepEnd {
                at: piece.from.value(),
                outer: &piece.outer.0,
                inner: inner.map(|radii| &radii.0),
            },
            StepEnd {
                at: piece.to.value(),
                outer: &piece.outer.1,
                inner: inner.map(|radii| &radii.1),
            },
        ]
    }
}

/// Something that comes out of the body neither way.
struct Caught<'a> {
    own: &'a DrawnSolid,
    body: &'a DrawnSolid,
    front: Blocked,
    rear: Blocked,
}

impl Caught<'_> {
    fn message(&self, name: &str) -> String {
        let wide = |radius: f64| format!("{:.2} mm", radius * 2e3);
        let told = |blocked: &Blocked| {
            let own = self.own.step_name(blocked.own);
            let wall = self.body.step_name(blocked.wall);
            let bore = match blocked.radii.1 {
                0.0 => String::new(),
                bore => format!(" of {}", wide(bore)),
            };
            format!("its {own} of {} does not pass {wall}{bore}", wide(blocked.radii.0))
        };
        format!(
            "{name} cannot be put in: to the front {}, to the rear {}",
            told(&self.front),
            told(&self.rear)
        )
    }

    fn help(&self, name: &str) -> String {
        let (of, a, b) = match self.rear.wall < self.front.wall {
            true => (self.body, self.rear.wall, self.front.wall),
            false => (self.own, self.front.own, self.rear.own),
        };
        let what = if self.rear.wall < self.front.wall { "the body" } else { name };
        format!(
            "say with a line `joint` between {} and {} where {what} comes apart, or put the sizes right",
            of.step_name(a.min(b)),
            of.step_name(a.max(b)),
        )
    }
}
