//! Proportions for engines of which no sizes are stated: bodies, rings and rooms that the section
//! is drawn from like those with sizes, and that show what the model says in every pose.
//!
//! An axis is a row of rooms between walls (`order`). A part is a rod through all rooms that push
//! it: wider on the far side of a room that pushes it forward, narrower beyond one that pushes it
//! back. Where it alone says whether two neighbours are joined, it is thick where it closes their
//! wall and thin where it opens it (`rods`). Whatever else joins rooms becomes a port.

mod facts;
mod order;
mod rods;

use crate::cutaway::model::{
    Axis, ChamberId, Condition, Direction, Engine, OPEN_AIR, PartId, PushKind, Role,
};
use crate::cutaway::sized::{SizedEngine, SizedRing};
use crate::drawing::view::DrawingView;
use crate::geometry::{
    Assembly, CrossHole, FIXED, Frustum, RingSide, RoomSpot, SealRing, Solid, Toward,
};
use order::{AxisCell, CellRow, PartSpan};
use rods::{FREE, WallPlan, WallShape};
use std::collections::{BTreeMap, BTreeSet};

/// A metre in the lengths of this module.
const METRE: f64 = 1e-3;
/// Radii of the body, of the bore of its rooms, and of the barrel.
const OUTSIDE: f64 = 46.0;
const BORE: f64 = 36.0;
const BARREL: f64 = 13.0;
/// Radii of rods: the thinnest, the thickest, and the usual step between.
const THINNEST: f64 = 8.0;
const THICKEST: f64 = 30.0;
const STEP: f64 = 6.0;
/// How much thinner a rod is where it lets air pass, and how much thicker a collar.
const THINNED: f64 = 4.5;
/// Length of a part's end, of a spring where it is shortest, and least length of a room.
const END: f64 = 8.0;
const SPRING: f64 = 22.0;
const ROOM: f64 = 30.0;
/// Least free length between two parts, and before the end of a room.
const CLEAR: f64 = 5.0;
/// Length of a room for each port in its wall.
const PORT: f64 = 15.0;
const CAP: f64 = 8.0;
/// Width of a hole to the open air.
const NECK: f64 = 16.0;
const MUZZLE: f64 = 48.0;
/// Section and groove of a ring.
const RING: f64 = 3.6;
const GROOVE: f64 = 2.5;
const FLOOR: f64 = 3.0;

/// The rooms and parts of one axis in made-up sizes.
#[derive(Debug, Clone)]
pub(super) struct AxisProportions {
    pub(super) sized: SizedEngine,
    /// Pairs of rooms that parts open and close as the model says.
    pub(super) steered: BTreeSet<(ChamberId, ChamberId)>,
    /// Holes to the open air, m along the axis, each with the room that is opened to it.
    pub(super) necks: Vec<(f64, ChamberId)>,
}

/// Those of all axes on which something lies.
pub(super) fn proportions(engine: &Engine, views: &[DrawingView]) -> Vec<AxisProportions> {
    let axes = engine.axes.iter().map(|axis| proportioned(engine, views, axis));
    axes.flatten().collect()
}

fn proportioned(engine: &Engine, views: &[DrawingView], axis: &Axis) -> Option<AxisProportions> {
    let row = CellRow::of(engine, axis);
    if row.cells.is_empty() {
        return None;
    }
    let walls = walls(engine, &row);
    let shapes: Vec<WallShape> = walls.iter().map(WallPlan::shape).collect();
    let mut stack =
        AxisStack { engine, views, row: &row, walls: &walls, shapes, cells: Vec::new() };
    stack.lay();
    Some(stack.model(axis.name.spoken()))
}

/// Distance of two positions of a part.
fn step(engine: &Engine, part: PartId) -> f64 {
    match engine.parts[part].positions.len() {
        0..=2 => 16.0,
        3 => 14.0,
        _ => 12.0,
    }
}

/// The walls between the cells of a row.
fn walls(engine: &Engine, row: &CellRow) -> Vec<WallPlan> {
    let mut seen = BTreeSet::new();
    let count = row.cells.len().saturating_sub(1);
    let mut walls: Vec<WallPlan> = (0..count)
        .map(|at| {
            let (pair, apart) = (row.sides(at), row.apart(at));
            let number = row.through(at);
            let part = number.map(|number| row.spans[number].part);
            let mut seals = (Vec::new(), Vec::new());
            for (id, seal) in engine.seals.entries() {
                let is_here = apart.is_some_and(|apart| facts::is_one_pair(seal.between, apart));
                match part {
                    Some(_) if is_here && seal.on == part && seen.insert(id) => seals.0.push(id),
                    Some(_) if is_here && seal.on.is_none() && seen.insert(id) => seals.1.push(id),
                    _ => {}
                }
            }
            let open = part.map_or_else(Vec::new, |part| match pair {
                Some(pair) if facts::is_steered(engine, part, pair) => {
                    facts::openings(engine, part, pair)
                }
                _ => vec![false; engine.parts[part].positions.len()],
            });
            let step = part.map_or(0.0, |part| step(engine, part));
            WallPlan { part: number, radius: 0.0, open, seals, step }
        })
        .collect();
    for span in &row.spans {
        let levels = levels(engine, row, span);
        let highest = levels.iter().copied().max().unwrap_or(0);
        let lift = STEP.min((THICKEST - THINNEST) / f64::from(highest.max(1)));
        for (wall, level) in walls[span.cells.0..span.cells.1].iter_mut().zip(levels) {
            wall.radius = THINNEST + lift * f64::from(level);
        }
    }
    walls
}

/// How wide a rod is in each wall that it passes, in steps from 0.
fn levels(engine: &Engine, row: &CellRow, span: &PartSpan) -> Vec<i32> {
    let mut level = 0;
    let mut levels = Vec::new();
    for at in span.cells.0..span.cells.1 {
        let is_end = at == span.cells.0;
        level += if is_end { 0 } else { widens(engine, row, span, at) };
        levels.push(level);
    }
    let lowest = levels.iter().copied().min().unwrap_or(0);
    levels.iter().map(|level| level - lowest).collect()
}

/// 1 where a rod grows wider in a cell, −1 where it grows narrower.
fn widens(engine: &Engine, row: &CellRow, span: &PartSpan, cell: usize) -> i32 {
    match row.cells[cell] {
        AxisCell::Room(room) => match facts::faces(engine, span.part, room) {
            [true, false] => 1,
            [false, true] => -1,
            _ => 0,
        },
        AxisCell::Spare(Some(Direction::Forward)) => 1,
        AxisCell::Spare(Some(Direction::Back)) => -1,
        AxisCell::Spare(None) => 0,
    }
}

/// Rooms, walls and rods on their way to a model.
struct AxisStack<'a> {
    engine: &'a Engine,
    views: &'a [DrawingView<'a>],
    row: &'a CellRow,
    walls: &'a [WallPlan],
    shapes: Vec<WallShape>,
    /// From where to where each cell reaches.
    cells: Vec<(f64, f64)>,
}

impl AxisStack<'_> {
    /// Gives each cell its place.
    fn lay(&mut self) {
        let mut left = CAP;
        for cell in 0..self.row.cells.len() {
            let right = left + self.length(cell);
            self.cells.push((left, right));
            left = right + self.shapes.get(cell).map_or(0.0, |wall| wall.long);
        }
    }

    fn travel(&self, span: &PartSpan) -> f64 {
        let last = self.engine.parts[span.part].positions.len().saturating_sub(1);
        step(self.engine, span.part) * last as f64
    }

    fn ends_in(&self, cell: usize) -> Option<&PartSpan> {
        self.row.spans.iter().find(|it| it.cells.1 == cell && it.cells.0 < cell)
    }

    fn begins_in(&self, cell: usize) -> Option<&PartSpan> {
        self.row.spans.iter().find(|it| it.cells.0 == cell && cell < it.cells.1)
    }

    fn length(&self, cell: usize) -> f64 {
        let spring = |span: &PartSpan| {
            let here = span.springs.iter().filter(|it| **it == Some(cell)).count();
            SPRING * here as f64
        };
        let end = |span: &PartSpan| FREE + END + self.travel(span) + spring(span);
        let needed = match (self.ends_in(cell), self.begins_in(cell)) {
            (Some(behind), Some(before)) => {
                let both = end(behind) + end(before);
                both - self.travel(behind) + self.apart(behind, before)
            }
            (Some(span), None) | (None, Some(span)) => end(span) + CLEAR,
            (None, None) => match self.row.through(cell).map(|it| &self.row.spans[it]) {
                Some(span) => self.travel(span) + 2.0 * FREE + spring(span).max(END),
                None => ROOM,
            },
        };
        needed.max(ROOM).max(PORT * (self.joints(cell) + 1) as f64)
    }

    /// How many ports a cell may have.
    fn joints(&self, cell: usize) -> usize {
        let AxisCell::Room(room) = self.row.cells[cell] else { return 0 };
        let ways = self.engine.ways.iter().filter(|way| way.from == room || way.to == room);
        let valves = self.engine.valves.iter().filter(|valve| {
            let mut joints = valve.rest.iter().chain(&valve.shifted);
            joints.any(|(a, b)| *a == room || *b == room)
        });
        ways.count() + valves.count()
    }

    /// How far the ends of two parts lie apart where both are at their rear ends: so that one
    /// touches the other where it strikes it, else so that they never touch.
    fn apart(&self, behind: &PartSpan, before: &PartSpan) -> f64 {
        let steps = [behind, before].map(|span| step(self.engine, span.part));
        let strikes = |by: &PartSpan, of: &PartSpan, way: Direction| {
            let pushes = self.engine.parts[of.part].pushes.iter();
            let mut blows = pushes
                .filter(|push| push.kind == PushKind::Contact(by.part) && push.direction == way);
            blows.next().map(|push| {
                let own = push.when.iter().find_map(|condition| match *condition {
                    Condition::At(part, at) | Condition::From(part, at) if part == by.part => {
                        Some(at.place())
                    }
                    _ => None,
                });
                let count = self.engine.parts[by.part].positions.len();
                let last = if way == Direction::Forward { count.saturating_sub(1) } else { 0 };
                (own.unwrap_or(last) as f64, self.engine.parts[of.part].rest.place() as f64)
            })
        };
        let touching = strikes(behind, before, Direction::Forward)
            .map(|(by, of)| by * steps[0] - of * steps[1])
            .or_else(|| {
                let struck = strikes(before, behind, Direction::Back);
                struck.map(|(by, of)| of * steps[0] - by * steps[1])
            });
        let nearest = self.views.iter().map(|view| {
            let place = |span: &PartSpan| view.position(self.engine, span.part).place() as f64;
            place(behind) * steps[0] - place(before) * steps[1]
        });
        let needed = nearest.fold(0.0, f64::max);
        // Where they would pass through each other, they are not drawn touching.
        let touching = touching.filter(|apart| needed <= apart + 1e-9);
        touching.unwrap_or(self.travel(behind) + CLEAR)
    }

    fn model(&self, name: String) -> AxisProportions {
        let mut model = AxisProportions {
            sized: SizedEngine {
                ports: Vec::new(),
                assembly: Assembly {
                    bodies: vec![self.body()],
                    rings: Vec::new(),
                    gates: Vec::new(),
                    holes: Vec::new(),
                    ports: Vec::new(),
                    rooms: Vec::new(),
                },
                parts: self.row.spans.iter().map(|span| span.part).collect(),
                rooms: Vec::new(),
                made: Vec::new(),
                rings: Vec::new(),
                places: BTreeMap::new(),
                guessed: Vec::new(),
                axis: Some(name),
                has_barrel: self.row.has_barrel,
            },
            steered: BTreeSet::new(),
            necks: Vec::new(),
        };
        for (number, (cell, (left, right))) in self.row.cells.iter().zip(&self.cells).enumerate() {
            match cell {
                AxisCell::Room(OPEN_AIR) => {
                    let at = METRE * f64::midpoint(*left, *right);
                    let diameter = METRE * NECK;
                    model.necks.extend(self.neck(number, at));
                    let bore = METRE * self.bore(*cell);
                    let hole = CrossHole { body: FIXED, at, diameter, count: 1, bore };
                    model.sized.assembly.holes.push(hole);
                }
                AxisCell::Room(room) => {
                    let (at, radius) = (METRE * left, METRE * (self.bore(*cell) - 0.5));
                    let toward = Toward::Front;
                    model.sized.assembly.rooms.push(RoomSpot { body: FIXED, at, toward, radius });
                    model.sized.rooms.push(*room);
                }
                AxisCell::Spare(_) => {}
            }
        }
        for (number, wall) in self.walls.iter().enumerate() {
            self.add_rings(number, &mut model);
            let pair = self.row.sides(number);
            let part = wall.part.map(|it| self.row.spans[it].part);
            if let (Some(pair), Some(part)) = (pair, part)
                && facts::is_steered(self.engine, part, pair)
            {
                model.steered.extend([pair, (pair.1, pair.0)]);
            }
        }
        for (number, span) in self.row.spans.iter().enumerate() {
            let rod = self.rod(number, span, &model.sized);
            model.sized.assembly.bodies.push(rod);
            let step = METRE * step(self.engine, span.part);
            for position in self.engine.parts[span.part].positions.ids() {
                let place = step * position.place() as f64;
                model.sized.places.insert((span.part, position), place);
            }
        }
        model
    }

    /// A hole to the open air, and the room in front of it or behind it.
    fn neck(&self, cell: usize, at: f64) -> Option<(f64, ChamberId)> {
        let beside = [Some(cell), cell.checked_sub(1)].into_iter().flatten();
        let pairs = beside.filter_map(|wall| self.row.sides(wall));
        let rooms = pairs.map(|(a, b)| if a == OPEN_AIR { b } else { a });
        rooms.map(|room| (at, room)).next()
    }

    /// Radius of the bore of a cell.
    fn bore(&self, cell: AxisCell) -> f64 {
        match cell {
            AxisCell::Room(room)
                if self.engine.chambers[room].role == Role::Breech && self.row.has_barrel =>
            {
                let nose = self.walls.last().map_or(0.0, |wall| wall.radius);
                nose.max(BARREL) + 3.0
            }
            _ => BORE,
        }
    }

    /// What does not move.
    fn body(&self) -> Solid<f64> {
        let mut pieces = Vec::new();
        let mut add = |from: f64, to: f64, inner: Option<f64>| {
            let inner = inner.map(|inner| (METRE * inner, METRE * inner));
            let outer = (METRE * OUTSIDE, METRE * OUTSIDE);
            pieces.push(Frustum { from: METRE * from, to: METRE * to, inner, outer });
        };
        add(0.0, CAP, None);
        for (at, (left, right)) in self.cells.iter().enumerate() {
            add(*left, *right, Some(self.bore(self.row.cells[at])));
            let Some(wall) = self.shapes.get(at) else { continue };
            let radius = self.walls[at].part.map(|_| self.walls[at].radius);
            let grooves = wall.rings.1.iter().map(|(_, middle)| right + middle);
            let mut from = *right;
            for middle in sorted(grooves.collect()) {
                add(from, middle - GROOVE, radius);
                add(middle - GROOVE, middle + GROOVE, radius);
                from = middle + GROOVE;
            }
            add(from, right + wall.long, radius);
        }
        let end = self.cells.last().map_or(CAP, |cell| cell.1);
        if self.row.has_barrel {
            add(end, end + MUZZLE, Some(BARREL));
        } else {
            add(end, end + CAP, None);
        }
        Solid { pieces, travel: (0.0, 0.0) }
    }

    fn add_rings(&self, number: usize, model: &mut AxisProportions) {
        let (wall, shape) = (&self.walls[number], &self.shapes[number]);
        let left = self.cells[number].1;
        let sides = [(RingSide::Outside, &shape.rings.0), (RingSide::Inside, &shape.rings.1)];
        for (side, rings) in sides {
            for (seal, middle) in rings {
                let at = left + middle;
                let turn = if side == RingSide::Outside { 1.0 } else { -1.0 };
                let body = if side == RingSide::Outside {
                    wall.part.map_or(FIXED, |part| part + 1)
                } else {
                    FIXED
                };
                let free = METRE * (wall.radius + turn * (RING - FLOOR));
                let half_section = METRE * RING / 2.0;
                let ring = SealRing { body, at: METRE * at, side, free, half_section };
                model.sized.assembly.rings.push(ring);
                model.sized.rings.push(SizedRing {
                    seal: *seal,
                    floor: METRE * (wall.radius - turn * FLOOR),
                    section: METRE * RING,
                    groove: (METRE * (at - GROOVE), METRE * (at + GROOVE)),
                });
            }
        }
    }

    /// A part as a rod, in pieces that end where its grooves do.
    fn rod(&self, number: usize, span: &PartSpan, sized: &SizedEngine) -> Solid<f64> {
        let mut runs: Vec<(f64, f64, f64)> = Vec::new();
        let travel = self.travel(span);
        for cell in span.cells.0..=span.cells.1 {
            let (left, right) = self.cells[cell];
            let behind = (span.cells.0 < cell).then(|| self.walls[cell - 1].radius);
            let before = (cell < span.cells.1).then(|| self.walls[cell].radius);
            let (from, to) = (left + FREE, right - travel - FREE);
            match (behind, before) {
                (None, Some(before)) => runs.push((to - END, to, before)),
                (Some(behind), None) => runs.push((from, from + END, behind)),
                (Some(behind), Some(before)) => {
                    let step = match span.springs.map(|it| it == Some(cell)) {
                        [true, _] => to,
                        [_, true] => from,
                        _ => f64::midpoint(from, to),
                    };
                    runs.push((from, step, behind));
                    runs.push((step, to, before));
                    let is_both = matches!(self.row.cells[cell], AxisCell::Room(room)
                        if facts::faces(self.engine, span.part, room) == [true; 2]);
                    if is_both {
                        let middle = f64::midpoint(from, to);
                        runs.push((middle - 2.0, middle + 2.0, behind.max(before) + THINNED));
                    }
                }
                (None, None) => {}
            }
            if before.is_some() {
                let radius = self.walls[cell].radius;
                for stretch in &self.shapes[cell].rod {
                    let thinned = if stretch.is_thin { THINNED } else { 0.0 };
                    runs.push((right + stretch.from, right + stretch.to, radius - thinned));
                }
            }
        }
        let body = number + 1;
        let rings = sized.assembly.rings.iter().zip(&sized.rings);
        let grooves = rings.filter(|(ring, _)| ring.body == body).map(|(_, own)| own.groove);
        let grooves: Vec<(f64, f64)> = grooves.collect();
        Solid { pieces: pieces(&runs, &grooves), travel: (0.0, METRE * travel) }
    }
}

fn sorted(mut places: Vec<f64>) -> Vec<f64> {
    places.sort_by(f64::total_cmp);
    places
}

/// Runs of a rod in metres, as wide as the widest run at each place, cut at the ends of grooves.
fn pieces(runs: &[(f64, f64, f64)], grooves: &[(f64, f64)]) -> Vec<Frustum<f64>> {
    let ends = runs.iter().flat_map(|run| [METRE * run.0, METRE * run.1]);
    let cuts = ends.chain(grooves.iter().flat_map(|groove| [groove.0, groove.1]));
    let mut cuts = sorted(cuts.collect());
    cuts.dedup_by(|b, a| *b - *a < 1e-9);
    let mut pieces: Vec<Frustum<f64>> = Vec::new();
    for pair in cuts.windows(2) {
        let middle = f64::midpoint(pair[0], pair[1]);
        let here = runs.iter().filter(|run| METRE * run.0 < middle && middle < METRE * run.1);
        let radius = METRE * here.map(|run| run.2).fold(0.0, f64::max);
        let is_groove = |at: f64| {
            grooves
                .iter()
                .any(|groove| (groove.0 - at).abs() < 1e-9 || (groove.1 - at).abs() < 1e-9)
        };
        match pieces.last_mut() {
            Some(last) if (last.outer.0 - radius).abs() < 1e-12 && !is_groove(pair[0]) => {
                last.to = pair[1];
            }
            _ if 0.0 < radius => pieces.push(Frustum {
                from: pair[0],
                to: pair[1],
                inner: None,
                outer: (radius, radius),
            }),
            _ => {}
        }
    }
    pieces
}
