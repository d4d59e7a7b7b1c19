//! Moving parts as cylinders: a stepped piston in a stepped bore, one room for each face, springs
//! in the end rooms, a rod, and a catch on the rod.
//!
//! Rear is left, front is right, ports are below: as cylinders stand in a circuit, and in the
//! order of the section.

use super::block::{LETTER, MARK, PITCH, Pin, SMALL, SymbolBlock, nodes, ties, unit};
use super::marks;
use super::valves::spring;
use crate::cutaway::model::{
    Direction, Element, Engine, OPEN_AIR, Part, PartId, Push, PushId, PushKind, Shape,
};
use crate::drawing::lettering::{bold_width, width, wrapped};
use crate::drawing::shape::{Align, DASHED, NARROW, Sketch};
use crate::drawing::view::DrawingView;
use crate::drawing::words;

/// Shortest distance of a face from the wall of its room: ports stay open.
const CLEAR: f64 = 16.0;
/// Travel from the rear position to the front one.
const TRAVEL: f64 = 26.0;
/// Half the height of the largest bore, and how much less each further step has.
const HALF: f64 = 28.0;
const STEP: f64 = 8.0;

/// Longest reach of a membrane from its rim to its plate.
const MEMBRANE: f64 = 22.0;
/// Nodes in front of the foremost room, for the rod.
const FRONT_ZONE: i32 = 3;
/// Gap between a name and where its part stands.
const BLANK: f64 = 6.0;

/// A room in front of a face.
struct Room {
    /// Place among the part's pushes; `None` for a side without a face.
    push: Option<PushId>,
    start: i32,
    length: i32,
    half: f64,
}

/// Sizes that block and drawing share.
struct PartLayout {
    /// Rear rooms, the largest bore first; so it stands for front rooms.
    rear: Vec<Room>,
    front: Vec<Room>,
    /// Nodes behind the rearmost room.
    rear_zone: i32,
    width: i32,
    notes: Vec<String>,
    springs: [Vec<PushId>; 2],
    /// Row of the names of faces, and that of the axis.
    faces_row: i32,
    axis_row: i32,
    height: i32,
}

fn faces(part: &Part, direction: Direction) -> Vec<PushId> {
    let is_face = |push: &Push| matches!(push.kind, PushKind::Face(_));
    let all = part.pushes.entries();
    let these = all.filter(|(_, push)| is_face(push) && push.direction == direction);
    these.map(|(at, _)| at).collect()
}

fn springs(part: &Part, direction: Direction) -> Vec<PushId> {
    let all = part.pushes.entries();
    let these = all.filter(|(_, p)| p.kind == PushKind::Spring && p.direction == direction);
    these.map(|(at, _)| at).collect()
}

/// Mechanical ties at the rear and the front end, as places in the list of all ties.
fn ends(engine: &Engine, part: PartId) -> [Vec<usize>; 2] {
    let mut ends = [Vec::new(), Vec::new()];
    for (at, tie) in ties(engine).into_iter().enumerate() {
        if tie.from == part {
            ends[1].push(at);
        }
        if tie.to == part {
            ends[usize::from(tie.at_front)].push(at);
        }
    }
    ends.each_mut().map(|end| {
        end.truncate(3);
        std::mem::take(end)
    })
}

impl PartLayout {
    fn of(engine: &Engine, at: PartId) -> PartLayout {
        let part = &engine.parts[at];
        let tied = ends(engine, at);
        let springs = [Direction::Forward, Direction::Back].map(|way| springs(part, way));
        let name_width = |push: Option<PushId>| {
            push.map_or(0.0, |push| width(&face_name(&part.pushes[push]), SMALL) + 8.0)
        };
        let rooms = |direction: Direction, springs: &[PushId]| {
            let faces = faces(part, direction);
            let count = faces.len().max(1);
            let mut rooms = Vec::new();
            for step in 0..count {
                let push = faces.get(step).copied();
                let mut names = name_width(push);
                if step + 1 == count {
                    names = names.max(width(&spring_names(part, springs), SMALL) + 8.0);
                }
                let least = if step == 0 { 2 } else { 3 };
                let half = (HALF - STEP * step as f64).max(6.0);
                rooms.push(Room { push, start: 0, length: nodes(names).max(least), half });
            }
            rooms
        };
        let (mut rear, mut front) =
            (rooms(Direction::Forward, &springs[0]), rooms(Direction::Back, &springs[1]));
        let catch = part.latch.as_ref().map(|latch| width(&latch.name.spoken(), SMALL) + 8.0);
        let has_rear_zone = catch.is_some() || !tied[0].is_empty();
        let rear_zone = if has_rear_zone { nodes(catch.unwrap_or(0.0)).max(3) } else { 0 };
        let mut x = rear_zone;
        for room in rear.iter_mut().rev().chain(front.iter_mut()) {
            room.start = x;
            x += room.length;
        }
        let notes = notes(engine, part);
        let title = bold_width(&part.name.spoken(), LETTER) + MARK + BLANK + position_width(part);
        let widest = notes.iter().map(|note| width(note, SMALL)).fold(title, f64::max);
        let has_names = springs.iter().any(|these| !these.is_empty()) || catch.is_some();
        let faces_row = 1 + nodes(notes.len() as f64 * 13.0);
        let axis_row = faces_row + 2 + i32::from(has_names);
        PartLayout {
            rear,
            front,
            rear_zone,
            width: (x + FRONT_ZONE).max(nodes(widest + 1.8)),
            notes,
            springs,
            faces_row,
            axis_row,
            height: axis_row + 2,
        }
    }

    fn rear_wall(&self) -> f64 {
        unit(self.rear_zone) - 10.0
    }

    fn front_wall(&self) -> f64 {
        self.front.last().map_or(0.0, |room| unit(room.start + room.length) - 10.0)
    }
}

fn position_width(part: &Part) -> f64 {
    let words = part.positions.ids().map(|at| part.positions[at].spoken());
    words.map(|word| width(&format!("at {word}"), LETTER)).fold(0.0, f64::max)
}

fn face_name(push: &Push) -> String {
    push.name.spoken()
}

fn spring_names(part: &Part, springs: &[PushId]) -> String {
    let names: Vec<String> = springs.iter().map(|at| part.pushes[*at].name.spoken()).collect();
    names.join(", ")
}

/// What is true of its pushes only at times, and of what it is tied to.
fn notes(engine: &Engine, part: &Part) -> Vec<String> {
    let conditional = part.pushes.iter().filter(|push| !push.when.is_empty());
    let notes = conditional.flat_map(|push| {
        let name = push.name.spoken();
        let note = format!("{name} acts while {}", words::conditions(engine, &push.when));
        wrapped(&note, SMALL, 220.0)
    });
    notes.collect()
}

/// The block of a moving part.
pub(crate) fn block(engine: &Engine, at: PartId) -> SymbolBlock {
    let part = &engine.parts[at];
    let layout = PartLayout::of(engine, at);
    let mut pins = Vec::new();
    let rear = layout.rear.iter().map(|room| (room, room.start));
    let front = layout.front.iter().map(|room| (room, room.start + room.length - 1));
    for (room, column) in rear.chain(front) {
        let Some(push) = room.push else { continue };
        if let PushKind::Face(chamber) = part.pushes[push].kind
            && chamber != OPEN_AIR
        {
            pins.push(Pin { net: chamber.place(), node: (column, layout.height) });
        }
    }
    let [rear, front] = ends(engine, at);
    for (ties, column) in [(rear, -1), (front, layout.width)] {
        for (tie, row) in ties.into_iter().zip([0, -1, 1]) {
            let net = engine.chambers.len() + tie;
            pins.push(Pin { net, node: (column, layout.axis_row + row) });
        }
    }
    let (width, height) = (layout.width, layout.height);
    SymbolBlock { content: Element::Part(at), is_flipped: false, width, height, pins }
}

/// Draws a moving part.
pub(crate) fn draw(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    at: PartId,
    sketch: &mut Sketch,
) {
    let part = &engine.parts[at];
    let layout = PartLayout::of(engine, at);
    let travel = view.travel(engine, at) * TRAVEL;
    draw_names(engine, view, block, at, &layout, sketch);
    draw_body(&layout, sketch);
    draw_ports(engine, view, part, &layout, sketch);
    let axis = unit(layout.axis_row);
    let (rear_face, front_face) = draw_piston(part, &layout, travel, sketch);
    draw_springs(&layout, (rear_face, front_face), sketch);
    let end = layout.front_wall() + 12.0 + travel;
    draw_rod(part, (front_face, end), axis, sketch);
    if 0 < layout.rear_zone {
        let end = layout.rear_wall() - 40.0 + travel;
        for side in [-2.5, 2.5] {
            sketch.line(NARROW, &[(rear_face, axis + side), (end, axis + side)]);
        }
        sketch.line(NARROW, &[(end, axis - 2.5), (end, axis + 2.5)]);
        if part.latch.is_some() {
            draw_catch(view.is_latched(engine, at), end + 4.0, axis, sketch);
        }
    }
    draw_ties(engine, at, &layout, travel, sketch);
}

fn draw_names(
    engine: &Engine,
    view: &DrawingView,
    block: &SymbolBlock,
    at: PartId,
    layout: &PartLayout,
    sketch: &mut Sketch,
) {
    let part = &engine.parts[at];
    let name = marks::named(view, block, &part.name.spoken());
    let beside = -7.0 + bold_width(&name, LETTER) + BLANK;
    sketch.bold(LETTER, Align::Left, (-7.0, 3.0), name);
    let position = part.positions[view.position(engine, at)].spoken();
    sketch.text(LETTER, Align::Left, (beside, 3.0), format!("at {position}"));
    for (row, note) in layout.notes.iter().enumerate() {
        sketch.text(SMALL, Align::Left, (-7.0, 18.0 + row as f64 * 13.0), note);
    }
    let base = unit(layout.faces_row) + 5.0;
    for room in layout.rear.iter().chain(&layout.front) {
        if let Some(push) = room.push {
            let middle = unit(room.start) - 10.0 + unit(room.length) / 2.0;
            sketch.text(SMALL, Align::Centre, (middle, base), face_name(&part.pushes[push]));
        }
    }
    let base = base + 16.0;
    let [rear, front] = &layout.springs;
    for (springs, rooms) in [(rear, &layout.rear), (front, &layout.front)] {
        let Some(room) = rooms.last() else { continue };
        let middle = unit(room.start) - 10.0 + unit(room.length) / 2.0;
        if !springs.is_empty() {
            sketch.text(SMALL, Align::Centre, (middle, base), spring_names(part, springs));
        }
    }
    if let Some(latch) = &part.latch {
        sketch.text(SMALL, Align::Left, (-7.0, base), latch.name.spoken());
    }
}

/// The walls of the stepped bore.
fn draw_body(layout: &PartLayout, sketch: &mut Sketch) {
    let axis = unit(layout.axis_row);
    let left = |room: &Room| unit(room.start) - 10.0;
    let right = |room: &Room| unit(room.start + room.length) - 10.0;
    let mut upper = Vec::new();
    for room in layout.rear.iter().rev().chain(&layout.front) {
        upper.push((left(room), axis - room.half));
        upper.push((right(room), axis - room.half));
    }
    let lower: Vec<_> = upper.iter().rev().map(|(x, y)| (*x, 2.0 * axis - y)).collect();
    sketch.outline(NARROW, &[upper, lower].concat());
}

fn draw_ports(
    engine: &Engine,
    view: &DrawingView,
    part: &Part,
    layout: &PartLayout,
    sketch: &mut Sketch,
) {
    let axis = unit(layout.axis_row);
    let rear = layout.rear.iter().map(|room| (room, room.start));
    let front = layout.front.iter().map(|room| (room, room.start + room.length - 1));
    for (room, column) in rear.chain(front) {
        let Some(push) = room.push else { continue };
        let PushKind::Face(chamber) = part.pushes[push].kind else { continue };
        let (x, edge) = (unit(column), axis + room.half);
        if chamber == OPEN_AIR {
            super::passages::exhaust(sketch, (x, edge), true);
        } else {
            let pen = view.pen(engine, chamber);
            sketch.stub(pen, chamber.place(), &[(x, unit(layout.height)), (x, edge)]);
        }
    }
}

/// Draws the stepped piston; gives its ends.
fn draw_piston(part: &Part, layout: &PartLayout, travel: f64, sketch: &mut Sketch) -> (f64, f64) {
    let axis = unit(layout.axis_row);
    let rear: Vec<(f64, f64)> = layout
        .rear
        .iter()
        .map(|room| (unit(room.start) - 10.0 + CLEAR + travel, room.half - 2.0))
        .collect();
    let front: Vec<(f64, f64)> = layout
        .front
        .iter()
        .map(|room| {
            let wall = unit(room.start + room.length) - 10.0;
            (wall - CLEAR - TRAVEL + travel, room.half - 2.0)
        })
        .collect();
    let ends = (rear.last().map_or(0.0, |end| end.0), front.last().map_or(0.0, |end| end.0));
    let mut upper: Vec<(f64, f64)> = Vec::new();
    for (x, half) in rear.iter().rev() {
        let step = upper.last().map(|(_, y)| (*x, *y));
        upper.extend(step);
        upper.push((*x, axis - half));
    }
    for (x, half) in &front {
        upper.push((*x, axis - half));
        upper.push((*x, axis - half));
        let next = front.iter().find(|(other, _)| x < other);
        upper.extend(next.map(|(_, less)| (*x, axis - less)));
    }
    upper.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9);
    let lower: Vec<_> = upper.iter().rev().map(|(x, y)| (*x, 2.0 * axis - y)).collect();
    let outline = [upper, lower].concat();
    match part.shape {
        Shape::Diaphragm if rear.len() == 1 && front.len() == 1 => {
            draw_membrane((rear[0].0, front[0].0), axis, rear[0].1, sketch);
        }
        Shape::Spool if rear.len() == 1 && front.len() == 1 => {
            sketch.outline(NARROW, &outline);
            let (groove, half) = (f64::midpoint(rear[0].0, front[0].0), rear[0].1);
            for side in [-1.0, 1.0] {
                let edge = axis + side * half;
                sketch.line(
                    NARROW,
                    &[
                        (groove - 4.0, edge),
                        (groove - 4.0, edge - side * 9.0),
                        (groove + 4.0, edge - side * 9.0),
                        (groove + 4.0, edge),
                    ],
                );
            }
        }
        _ => sketch.outline(NARROW, &outline),
    }
    ends
}

/// A membrane clamped at its rim, with the plate that it carries.
fn draw_membrane(faces: (f64, f64), axis: f64, half: f64, sketch: &mut Sketch) {
    // However long its rooms are, the membrane itself is short.
    let across = ((faces.1 - faces.0) / 2.0).min(MEMBRANE);
    for side in [-1.0, 1.0] {
        let rim = (faces.1 - across, axis + side * (half + 2.0));
        let radius = libm::hypot(across, half - 10.0) / 2.0;
        let ends = [rim, (faces.1, axis + side * 12.0)];
        sketch.arc(NARROW, ends, radius.max(14.0), side < 0.0);
        sketch.line(NARROW, &[(faces.0, axis + side * 12.0), (faces.1, axis + side * 12.0)]);
    }
    for x in [faces.0, faces.1] {
        sketch.line(NARROW, &[(x, axis - 12.0), (x, axis + 12.0)]);
    }
}

fn draw_springs(layout: &PartLayout, faces: (f64, f64), sketch: &mut Sketch) {
    let axis = unit(layout.axis_row);
    let spans = [(layout.rear_wall(), faces.0), (faces.1, layout.front_wall())];
    let rooms = [&layout.rear, &layout.front];
    for ((springs, (from, to)), rooms) in layout.springs.iter().zip(spans).zip(rooms) {
        let half = rooms.last().map_or(8.0, |room| room.half) - 4.0;
        let count = springs.len().min(3);
        for at in 0..count {
            let share = half / count.max(1) as f64;
            let y = axis - half + share * (2.0 * at as f64 + 1.0);
            spring(sketch, (from, y), (to, y), (share - 1.0).clamp(2.0, 8.0));
        }
    }
}

/// The rod through the front wall; a poppet has its cone at the end.
fn draw_rod(part: &Part, ends: (f64, f64), axis: f64, sketch: &mut Sketch) {
    let (from, end) = ends;
    let (half, neck) = if part.shape == Shape::Poppet { (2.5, end - 8.0) } else { (4.0, end) };
    for side in [-half, half] {
        sketch.line(NARROW, &[(from, axis + side), (neck, axis + side)]);
    }
    if part.shape == Shape::Poppet {
        let cone = [(neck, axis - 9.0), (neck, axis + 9.0), (end + 2.0, axis)];
        sketch.outline(NARROW, &cone);
    } else {
        sketch.line(NARROW, &[(end, axis - half), (end, axis + half)]);
    }
}

/// A catch with its tooth before the end of the rod, or lifted.
fn draw_catch(holds: bool, x: f64, axis: f64, sketch: &mut Sketch) {
    let lift = if holds { 0.0 } else { -9.0 };
    let (root, tip) = (axis - 14.0 + lift, axis - 2.5 + lift);
    sketch.outline(NARROW, &[(x, root), (x + 9.0, root), (x, tip)]);
    sketch.line(NARROW, &[(x - 5.0, root), (x + 18.0, root)]);
    sketch.circle(NARROW, (x + 21.0, root), 3.0, false);
}

/// The ends of mechanical lines, from the edge of the block to the rod.
fn draw_ties(engine: &Engine, at: PartId, layout: &PartLayout, travel: f64, sketch: &mut Sketch) {
    let axis = unit(layout.axis_row);
    let [rear, front] = ends(engine, at);
    let rods = [
        (rear, -PITCH, layout.rear_wall() - 40.0 + travel, 6.0),
        (front, unit(layout.width), layout.front_wall() + 12.0 + travel, -6.0),
    ];
    for (ties, node, rod, turn) in rods {
        for (tie, offset) in ties.into_iter().zip([0.0, -PITCH, PITCH]) {
            let net = engine.chambers.len() + tie;
            let y = axis + offset;
            let bend = rod - turn;
            sketch.stub(DASHED, net, &[(node, y), (bend, y)]);
            // From here on several ties are one: the rod.
            sketch.line(DASHED, &[(bend, y), (bend, axis), (rod, axis)]);
        }
    }
}
