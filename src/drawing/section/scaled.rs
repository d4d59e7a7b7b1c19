//! The writer of sections: cut faces, rings and springs of a dimensioned cutaway where its parts
//! stand, or those of made-up sizes, one axis below the other.
//!
//! Lines and hatching after ISO 128: wide outlines, cut faces hatched each part its own way, a long
//! dash and dot for the axis, zigzag lines where something is broken off. What the sizes do not
//! say (ports in the wall, seats of springs, an outside that nobody measured) is drawn and told as
//! such.

use super::flow::{arrows, trend};
use super::labels::{self, SectionLabel};
use super::legend;
use super::plane::{Trapezoid, outlines, pressed_round, zigzag};
use super::ports::{self, DrilledPort, PIPE, PortOf, PortPlaces, WallPort};
use super::proportions::AxisProportions;
use super::solids::ScaledBodies;
use super::springs::{self, SpringSeat};
use super::voids::{RoomSeed, VoidMap};
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Element, Engine, OPEN_AIR, PartId, PushId, PushKind,
};
use crate::cutaway::sized::SizedEngine;
use crate::drawing::shape::{
    Align, Drawing, DrawnShape, Hatch, NARROW, Pattern, Pen, Point, Rect, Sketch, WIDE, Weight, at,
};
use crate::drawing::view::DrawingView;
use crate::geometry::{CutAssembly, FIXED, PoseCell, PoseFinding, Toward};

const SMALL: f64 = 10.0;
/// Space between two axes.
const BETWEEN: f64 = 26.0;
/// Space between the body and its labels below.
const BELOW: f64 = 4.0;

/// How far in the picture a part is moved on so that what it opens can be seen to be open.
const SEEN: f64 = 7.0;

/// An engine with everything that is the same in all its pictures.
pub(super) struct SectionScene<'a> {
    pub(super) engine: &'a Engine,
    pub(super) source: SectionSource<'a>,
    pub(super) sized: &'a SizedEngine,
    pub(super) scaled: ScaledBodies,
    pub(super) ports: PortPlaces,
    pub(super) springs: Vec<(PartId, PushId, SpringSeat)>,
}

/// One state of it.
pub(super) struct PosedScene<'a> {
    pub(super) view: &'a DrawingView<'a>,
    positions: Vec<f64>,
    /// Parts that are drawn a little further than where they stand.
    past: Vec<PartId>,
    /// Parts that are drawn where they meet what they strike, short of where they drive it.
    short: Vec<PartId>,
    cell: PoseCell<f64>,
    ball: Option<(f64, f64)>,
    pub(super) map: VoidMap,
}

/// What a section is drawn from.
#[derive(Clone, Copy)]
pub(super) enum SectionSource<'a> {
    /// The sizes of a cutaway.
    Stated(&'a SizedEngine),
    /// Made-up sizes of one axis.
    MadeUp(&'a AxisProportions),
}

impl<'a> SectionSource<'a> {
    fn sized(self) -> &'a SizedEngine {
        match self {
            SectionSource::Stated(sized) => sized,
            SectionSource::MadeUp(own) => &own.sized,
        }
    }
}

/// The sections of an engine on one frame, one axis below the other; `None` where nothing is
/// drawn, or where it is not known how a part stands in one of the states.
pub(super) fn sections(
    engine: &Engine,
    sources: &[SectionSource],
    views: &[DrawingView],
) -> Option<Vec<Drawing>> {
    let mut sketches: Vec<Sketch> = views.iter().map(|_| Sketch::default()).collect();
    let mut scenes: Vec<SectionScene> = Vec::new();
    let mut past: Vec<Vec<PartId>> = vec![Vec::new(); views.len()];
    let mut top = 0.0;
    let scales = sources.iter().map(|source| ScaledBodies::largest_scale(source.sized()));
    let scale = scales.reduce(f64::min)?;
    for source in sources {
        let (scene, poses) = SectionScene::of(engine, (*source, scale), views)?;
        let mut own: Vec<Sketch> = views.iter().map(|_| Sketch::default()).collect();
        for (pose, sketch) in poses.iter().zip(&mut own) {
            scene.draw(pose, sketch);
        }
        scene.label(&poses, &mut own);
        let high = bounds(&own)?;
        if let (Some(axis), true) = (&scene.sized.axis, 1 < sources.len()) {
            for sketch in &mut own {
                let words = format!("axis {axis}");
                sketch.text(SMALL, Align::Left, (high.left, high.top - 8.0), words);
            }
        }
        let high = bounds(&own)?;
        for ((all, own), (past, pose)) in
            sketches.iter_mut().zip(own).zip(past.iter_mut().zip(poses))
        {
            all.shapes.extend(own.shapes.into_iter().map(|mut shape| {
                shape.shift(0.0, top - high.top);
                shape
            }));
            past.extend(pose.past);
        }
        top += high.height() + BETWEEN;
        scenes.push(scene);
    }
    let bounds = bounds(&sketches)?;
    let drawings = views.iter().zip(sketches).zip(&past);
    let drawings = drawings
        .map(|((view, sketch), past)| legend::framed(&scenes, sketch, bounds, (view, past)));
    Some(drawings.collect())
}

/// What holds all sketches.
fn bounds(sketches: &[Sketch]) -> Option<Rect> {
    let shapes = sketches.iter().flat_map(|sketch| &sketch.shapes).map(DrawnShape::bounds);
    shapes.reduce(|all, one| all.joined(&one))
}

/// Where the springs of all drawn parts sit.
fn spring_seats(engine: &Engine, sized: &SizedEngine) -> Vec<(PartId, PushId, SpringSeat)> {
    let mut seats = Vec::new();
    for (number, part) in sized.parts.iter().enumerate() {
        for (at, push) in engine.parts[*part].pushes.entries() {
            if push.kind == PushKind::Spring {
                let seat = springs::seat(sized, number + 1, push.direction);
                seats.extend(seat.map(|seat| (*part, at, seat)));
            }
        }
    }
    seats
}

impl<'a> SectionScene<'a> {
    /// A scene, and what it looks like in each state.
    fn of<'v>(
        engine: &'a Engine,
        (source, scale): (SectionSource<'a>, f64),
        views: &'v [DrawingView<'v>],
    ) -> Option<(SectionScene<'a>, Vec<PosedScene<'v>>)> {
        let sized = source.sized();
        let cut = CutAssembly::new(sized.assembly.clone());
        let scaled = ScaledBodies::of(sized, scale);
        let springs = spring_seats(engine, sized);
        let ports = PortPlaces::default();
        let mut scene = SectionScene { engine, source, sized, scaled, ports, springs };
        let poses = views.iter().map(|view| scene.posed(&cut, view));
        let poses: Vec<PosedScene> = poses.collect::<Option<_>>()?;
        let drawn = |a: ChamberId, b: ChamberId| scene.is_drawn((a, b), &poses);
        let joints = ports::joints(engine, (&sized.rooms, sized.has_barrel), &drawn);
        let maps: Vec<&VoidMap> = poses.iter().map(|pose| &pose.map).collect();
        let outside = -scene.scaled.radius;
        let drilled = sized.ports.iter().zip(&sized.assembly.ports);
        let drilled = drilled.map(|(way, hole)| DrilledPort {
            of: PortOf::Way(*way),
            x: hole.at * scale,
            width: hole.diameter * scale,
        });
        let drilled: Vec<DrilledPort> = drilled.collect();
        let places = ports::placed(engine, &joints, (&sized.rooms, &maps), (outside, &drilled));
        scene.ports = places;
        for port in &scene.ports.ports {
            scene.scaled.bodies[FIXED].cut(&port.hole());
        }
        Some((scene, poses))
    }

    /// Whether the sizes show where two rooms are joined.
    fn is_drawn(&self, (a, b): (ChamberId, ChamberId), poses: &[PosedScene]) -> bool {
        if let SectionSource::MadeUp(own) = self.source {
            return own.steered.contains(&(a, b));
        }
        let is_drilled = self.sized.assembly.holes.iter().any(|hole| hole.body == FIXED);
        // Of a room that the barrel opens, only a hole tells that something else does too.
        let is_barrel = self.engine.ways.iter().any(|way| way.barrel && [a, b].contains(&way.from));
        let is_told = ![a, b].contains(&OPEN_AIR) || !is_barrel || is_drilled;
        is_told && poses.iter().any(|pose| self.is_open(&pose.cell, &pose.positions, (a, b)))
    }

    fn posed<'v>(
        &self,
        cut: &CutAssembly<f64>,
        view: &'v DrawingView<'v>,
    ) -> Option<PosedScene<'v>> {
        let parts = self.sized.parts.iter().map(|part| {
            let position = view.position(self.engine, *part);
            self.sized.places.get(&(*part, position)).copied()
        });
        let positions: Option<Vec<f64>> = std::iter::once(Some(0.0)).chain(parts).collect();
        let (positions, past) = self.past_openings(cut, view, positions?);
        let (positions, short) = self.short_of_struck(cut, positions);
        let cell = cut.cell_at(&positions);
        let ball = self.ball(view, &positions);
        let mut solids: Vec<Trapezoid> = Vec::new();
        for body in 0..self.scaled.bodies.len() {
            solids.extend(self.scaled.body(body, &positions));
            solids.extend(self.rings(body, (&cell, &positions)).into_iter().flatten());
        }
        // Where the barrel is broken off its bore goes on all the same.
        if let (Some(gap), Some((bore, _))) = (self.scaled.gap, self.scaled.barrel) {
            let wall = Trapezoid::upright(gap, (bore, self.scaled.radius));
            solids.extend([wall.mirrored(), wall]);
        }
        if let Some((x, radius)) = ball {
            solids.extend(pressed_round((x, 0.0), 2.0 * radius, 2.0 * radius));
        }
        let edge = self.scaled.radius + PIPE + 10.0;
        let along = (-30.0, self.scaled.front + 30.0);
        let mut seeds = self.seeds(&positions);
        if ball.is_none() {
            seeds.extend(self.muzzle());
        }
        let drawn = (&*seeds, &*self.scaled.mouths(self.sized, &positions));
        let map = VoidMap::of(&solids, (along, edge), drawn);
        Some(PosedScene { view, positions, past, short, cell, ball, map })
    }

    /// Moves parts that stand right where a way begins to open a little further, so that it can be
    /// seen to be open.
    fn past_openings(
        &self,
        cut: &CutAssembly<f64>,
        view: &DrawingView,
        mut positions: Vec<f64>,
    ) -> (Vec<f64>, Vec<PartId>) {
        let mut past = Vec::new();
        for way in self.engine.ways.iter().filter(|way| view.is_open(self.engine, way)) {
            for condition in &way.when {
                let Condition::From(part, at) = *condition else { continue };
                let number = self.sized.parts.iter().position(|it| *it == part);
                let place = |at| self.sized.places.get(&(part, at)).copied();
                let ends = (place(at), place(at.in_front()));
                let (Some(number), (Some(from), Some(to))) = (number, ends) else { continue };
                if view.position(self.engine, part) != at {
                    continue;
                }
                for share in [0.0, 0.15, 0.3, 0.45] {
                    let mut tried = positions.clone();
                    tried[number + 1] = from + share * (to - from);
                    if self.is_open(&cut.cell_at(&tried), &tried, (way.from, way.to)) {
                        if 0.0 < share {
                            // Further, to be seen well.
                            let seen = SEEN / self.scaled.scale / (to - from);
                            let share = share + seen.clamp(0.15, 0.8 - share);
                            positions[number + 1] = from + share * (to - from);
                            past.push(part);
                        }
                        break;
                    }
                }
            }
        }
        (positions, past)
    }

    /// Moves parts back that stand where they have driven another one to, which has not moved yet.
    fn short_of_struck(
        &self,
        cut: &CutAssembly<f64>,
        mut positions: Vec<f64>,
    ) -> (Vec<f64>, Vec<PartId>) {
        let number = |part| self.sized.parts.iter().position(|it| *it == part).map(|at| at + 1);
        let mut short = Vec::new();
        for part in &self.sized.parts {
            for push in self.engine.parts[*part].pushes.iter() {
                let PushKind::Contact(by) = push.kind else { continue };
                let (Some(struck), Some(striker)) = (number(*part), number(by)) else { continue };
                let findings = cut.cell_at(&positions).findings;
                let depth = findings.iter().find_map(|finding| match finding {
                    PoseFinding::Collision(it)
                        if it.bodies == (struck.min(striker), struck.max(striker)) =>
                    {
                        Some(it.to - it.from)
                    }
                    _ => None,
                });
                let Some(depth) = depth else { continue };
                positions[striker] -=
                    if push.direction == Direction::Forward { depth } else { -depth };
                short.push(by);
            }
        }
        (positions, short)
    }

    /// Whether two rooms stand open to each other by the sizes.
    fn is_open(
        &self,
        cell: &PoseCell<f64>,
        positions: &[f64],
        pair: (ChamberId, ChamberId),
    ) -> bool {
        let joined = |rooms| {
            let rooms = self.chambers(rooms);
            rooms == pair || rooms == (pair.1, pair.0)
        };
        let openings = cell.openings(positions).into_iter();
        openings.filter(|it| 0.0 < it.area).any(|it| joined(it.rooms))
    }

    /// The chambers of two rooms of the geometry; the open air is behind the last of them.
    fn chambers(&self, rooms: (usize, usize)) -> (ChamberId, ChamberId) {
        let chamber = |at: usize| self.sized.rooms.get(at).copied().unwrap_or(OPEN_AIR);
        (chamber(rooms.0), chamber(rooms.1))
    }

    /// Spots of all rooms, above and below the axis.
    fn seeds(&self, positions: &[f64]) -> Vec<RoomSeed> {
        let mut seeds = Vec::new();
        for (chamber, spot) in self.sized.rooms.iter().zip(&self.sized.assembly.rooms) {
            let aside = if spot.toward == Toward::Rear { -0.2 } else { 0.2 };
            let x = (spot.at + positions[spot.body]) * self.scaled.scale + aside;
            for side in [-1.0, 1.0] {
                let y = side * spot.radius * self.scaled.scale;
                seeds.push(RoomSeed { chamber: *chamber, x, y });
            }
        }
        seeds
    }

    /// Without a ball the breech reaches to the muzzle.
    fn muzzle(&self) -> Option<RoomSeed> {
        self.scaled.barrel?;
        let way = self.engine.ways.iter().find(|way| way.barrel)?;
        self.sized.rooms.contains(&way.from).then_some(RoomSeed {
            chamber: way.from,
            x: self.scaled.front - 1.0,
            y: 0.0,
        })
    }

    /// Where the ball sits and its radius: in the barrel, in front of what has pushed it there.
    fn ball(&self, view: &DrawingView, positions: &[f64]) -> Option<(f64, f64)> {
        let (radius, from) = self.scaled.barrel.filter(|_| view.has_ball(self.engine))?;
        let bodies = (1..self.scaled.bodies.len()).flat_map(|at| self.scaled.body(at, positions));
        let nose = bodies.map(|piece| piece.right).fold(0.0, f64::max);
        Some(((from + 0.3 * radius).max(nose + radius), radius))
    }

    /// The rings that a body carries, each above and below.
    fn rings(&self, body: usize, pose: (&PoseCell<f64>, &[f64])) -> Vec<Vec<Trapezoid>> {
        let rings = self.sized.assembly.rings.iter().enumerate();
        let own = rings.filter(|(_, ring)| ring.body == body);
        let below = own.map(|(at, _)| self.scaled.ring(self.sized, at, pose).0);
        let both = |half: Vec<Trapezoid>| half.into_iter().flat_map(|it| [it.mirrored(), it]);
        below.map(|half| both(half).collect()).collect()
    }

    fn draw(&self, pose: &PosedScene, sketch: &mut Sketch) {
        for room in &self.sized.rooms {
            tint(pose.view, *room, &pose.map.room(*room), sketch);
        }
        for port in &self.ports.ports {
            let state = port.of.state(self.engine, pose.view, port.room);
            let (under, above) = port.bore(state.is_open);
            if let Some(under) = under {
                tint(pose.view, port.room, &[under], sketch);
            }
            if let Some(room) = state.leads_to {
                tint(pose.view, room, &[above], sketch);
            }
        }
        for body in 0..self.scaled.bodies.len() {
            // Each as it is by itself, so that it looks the same wherever it stands.
            sketch.move_to(at(pose.positions[body] * self.scaled.scale, 0.0));
            self.draw_body(body, &pose.cell, sketch);
        }
        sketch.move_to(at(0.0, 0.0));
        for (_, _, seat) in &self.springs {
            let position = pose.positions[seat.body];
            full(&seat.coils(position, self.scaled.scale).0, sketch);
            for line in seat.behind(position, self.scaled.scale) {
                sketch.line(NARROW, &line);
            }
        }
        if let Some((x, radius)) = pose.ball {
            sketch.circle(WIDE, (x, 0.0), radius, false);
        }
        for line in self.scaled.far_edges(self.sized, &pose.positions) {
            // In short pieces: a longer narrow line is where something is broken off.
            for piece in line.windows(2).filter(|it| it.iter().all(|at| pose.map.is_free(*at))) {
                sketch.line(NARROW, piece);
            }
        }
        for port in &self.ports.ports {
            if !port.is_open_end(self.engine) {
                full(&port.pipe(), sketch);
                sketch.line(NARROW, &port.end());
            }
            if !port.of.state(self.engine, pose.view, port.room).is_open {
                full(&[port.shutter()], sketch);
            }
        }
        arrows(self, pose, sketch);
        let pen = Pen { weight: Weight::Narrow, pattern: Pattern::Chain };
        sketch.line(pen, &[(-16.0, 0.0), (self.scaled.front + 16.0, 0.0)]);
    }

    /// A body and the rings that it carries, where it stands at nought.
    fn draw_body(&self, body: usize, cell: &PoseCell<f64>, sketch: &mut Sketch) {
        for (number, piece) in self.scaled.bodies[body].pieces.iter().enumerate() {
            let figure = outlines(piece);
            for outline in &figure {
                self.outline(body, outline, sketch);
            }
            // Whatever moves may come to lie against the body, and against its neighbours.
            let step = if body == FIXED { 10.0 } else { [6.0, 9.0, 4.5][(body - 1) % 3] };
            // Neighbours that are screwed together differ as well.
            let step = if number % 2 == 0 { step } else { 1.5 * step };
            let hatch = Hatch::Lines { rising: body == FIXED, step };
            sketch.add(DrawnShape::Cut { outlines: figure, hatch });
        }
        for ring in self.rings(body, (cell, &[])) {
            full(&ring, sketch);
        }
    }

    /// An outline of a body: wide, but where it is broken off or was never measured.
    fn outline(&self, body: usize, outline: &[Point], sketch: &mut Sketch) {
        let is_broken = |a: Point, b: Point| {
            let outside = |it: Point| self.scaled.radius - 0.01 < it.y.abs();
            let at_gap = |x: f64| (a.x - x).abs() < 0.01 && (b.x - x).abs() < 0.01;
            let is_outside = self.scaled.is_outside_guessed && outside(a) && outside(b);
            body == FIXED
                && (is_outside && a.x != b.x
                    || self.scaled.gap.is_some_and(|gap| at_gap(gap.0) || at_gap(gap.1)))
        };
        let count = outline.len();
        let edge = |at: usize| (outline[at % count], outline[(at + 1) % count]);
        let broken = |at: usize| is_broken(edge(at).0, edge(at).1);
        let Some(first) = (0..count).find(|at| broken(*at)) else {
            sketch.add(DrawnShape::outline(outline, WIDE));
            return;
        };
        let mut run: Vec<(f64, f64)> = Vec::new();
        for at in first..first + count {
            let (a, b) = edge(at);
            if broken(at) {
                if 1 < run.len() {
                    sketch.line(WIDE, &run);
                }
                run.clear();
                sketch.line(NARROW, &zigzag(a, b));
            } else {
                if run.is_empty() {
                    run.push((a.x, a.y));
                }
                run.push((b.x, b.y));
            }
        }
        if 1 < run.len() {
            sketch.line(WIDE, &run);
        }
    }

    /// Labels of rooms and ports above, of parts and what belongs to them below.
    fn label(&self, poses: &[PosedScene], sketches: &mut [Sketch]) {
        let long = self.scaled.front;
        let above = labels::set(poses.iter().map(|pose| self.labels_above(pose)).collect(), long);
        let below = labels::set(poses.iter().map(|pose| self.part_labels(pose)).collect(), long);
        for ((above, below), sketch) in above.iter().zip(&below).zip(sketches) {
            labels::draw(above, -self.scaled.radius - PIPE - BELOW, true, sketch);
            labels::draw(below, self.scaled.radius + BELOW, false, sketch);
        }
    }

    fn labels_above(&self, pose: &PosedScene) -> Vec<SectionLabel> {
        let ports = self.ports.ports.iter().map(|port| self.port_label(port, pose));
        let necks = self.neck_labels(pose);
        self.room_labels(pose, false).into_iter().chain(ports).chain(necks).collect()
    }

    /// Those of holes to the open air, with the ways that lead there.
    fn neck_labels(&self, pose: &PosedScene) -> Vec<SectionLabel> {
        let SectionSource::MadeUp(own) = self.source else { return Vec::new() };
        let labels = own.necks.iter().map(|(at, room)| {
            let mut lines = vec![self.room_name(OPEN_AIR)];
            for (id, way) in self.engine.ways.entries().filter(|(_, way)| !way.barrel) {
                if [(way.from, way.to), (way.to, way.from)].contains(&(*room, OPEN_AIR)) {
                    let shut = if pose.view.lets_pass(self.engine, way) { "" } else { ", shut" };
                    let name = marked(pose.view, Element::Way(id), way.name.spoken());
                    lines.push(format!("{name}{shut}"));
                }
            }
            let to = (at * self.scaled.scale, 2.0 - self.scaled.radius);
            SectionLabel { key: format!("neck {}", self.room_name(*room)), lines, to }
        });
        labels.collect()
    }

    /// Those of rooms whose leaders come from above, or from below.
    fn room_labels(&self, pose: &PosedScene, from_below: bool) -> Vec<SectionLabel> {
        let mut labels = Vec::new();
        for room in &self.sized.rooms {
            let leader = self.ports.leaders.get(room);
            if leader.is_some_and(|it| it.is_below) != from_below {
                continue;
            }
            let name = self.engine.chambers[*room].name.spoken();
            let mut lines = vec![marked(pose.view, Element::Chamber(*room), name)];
            let trend = trend(self.engine, pose.view, *room).map(|it| format!(", {it}"));
            let level = pose.view.level(*room).map(|it| it.word().to_owned());
            lines.extend(level.map(|level| level + &trend.unwrap_or_default()));
            let usual = leader.map(|it| (it.x, it.wall + 1.0));
            let usual = usual.filter(|place| pose.map.room_at(*place) == Some(*room));
            let spot = usual.or_else(|| pose.map.largest(*room));
            let turn = if from_below { -1.0 } else { 1.0 };
            let spot = spot.and_then(|spot| pose.map.free_below(spot));
            let spot = spot.map(|spot| self.beside_springs(pose, *room, spot));
            labels.extend(spot.map(|(x, y)| SectionLabel {
                key: format!("room {}", lines[0]),
                lines,
                to: (x, turn * y),
            }));
        }
        labels
    }

    /// A spot of a room above the axis, moved out of the wire of a spring.
    fn beside_springs(&self, pose: &PosedScene, room: ChamberId, (x, y): (f64, f64)) -> (f64, f64) {
        const CLEAR: f64 = 2.0;
        for (_, _, seat) in &self.springs {
            let (along, high) = seat.band(pose.positions[seat.body], self.scaled.scale);
            let is_in = along.0 <= x && x <= along.1;
            if is_in && high.0 - CLEAR < y && y < high.1 + CLEAR {
                let beside = [high.0 - CLEAR, high.1 + CLEAR].map(|y| (x, y));
                let free = beside.into_iter().find(|it| pose.map.room_at(*it) == Some(room));
                return free.unwrap_or((x, y));
            }
        }
        (x, y)
    }

    fn port_label(&self, port: &WallPort, pose: &PosedScene) -> SectionLabel {
        let state = port.of.state(self.engine, pose.view, port.room);
        let (by, thing) = match port.of {
            PortOf::Way(way) => (&self.engine.ways[way].name, Element::Way(way)),
            PortOf::Valve(valve) => (&self.engine.valves[valve].name, Element::Valve(valve)),
        };
        let shut = if state.is_open { "" } else { ", shut" };
        let mut lines: Vec<String> =
            state.leads_to.map(|to| self.room_name(to)).into_iter().collect();
        lines.push(format!("{}{shut}", marked(pose.view, thing, by.spoken())));
        let above = if port.is_open_end(self.engine) { 2.0 } else { PIPE - 5.0 };
        let key = format!("port {} {}", by.id, self.room_name(port.room));
        SectionLabel { key, lines, to: (port.x, port.wall.1 - above) }
    }

    fn room_name(&self, room: ChamberId) -> String {
        match room {
            OPEN_AIR => "open air".to_owned(),
            room => self.engine.chambers[room].name.spoken(),
        }
    }

    fn part_labels(&self, pose: &PosedScene) -> Vec<SectionLabel> {
        let mut labels = self.room_labels(pose, true);
        for (number, part) in self.sized.parts.iter().enumerate() {
            let own = &self.engine.parts[*part];
            let position = own.positions[pose.view.position(self.engine, *part)].spoken();
            let at = match part {
                part if pose.past.contains(part) => "just past",
                part if pose.short.contains(part) => "just before",
                _ => "at",
            };
            let name = marked(pose.view, Element::Part(*part), own.name.spoken());
            let mut lines = vec![name, format!("{at} {position}")];
            lines.extend(self.holders(pose.view, *part));
            let pieces = self.scaled.body(number + 1, &pose.positions);
            let below = pieces.into_iter().filter(|it| 0.0 < it.bottom.0);
            let longest = below.max_by(|a, b| (a.right - a.left).total_cmp(&(b.right - b.left)));
            labels.extend(longest.map(|it| {
                let to = (it.left + 0.1 * (it.right - it.left), self.within(&it));
                SectionLabel::new(lines, to)
            }));
        }
        for (at, ring) in self.sized.rings.iter().enumerate() {
            let seal = &self.engine.seals[ring.seal];
            let size = seal.size.as_ref().map(|size| format!(" {}", size.id)).unwrap_or_default();
            let (_, spot) = self.scaled.ring(self.sized, at, (&pose.cell, &pose.positions));
            labels.push(SectionLabel::new(vec![format!("{}{size}", seal.name.spoken())], spot));
        }
        for (part, push, seat) in &self.springs {
            let name = self.engine.parts[*part].pushes[*push].name.spoken();
            let (_, spot) = seat.coils(pose.positions[seat.body], self.scaled.scale);
            let name = if name.contains("spring") { name } else { format!("{name} spring") };
            labels.push(SectionLabel::new(vec![name], spot));
        }
        if let (Some((x, radius)), Some(ball)) = (pose.ball, &self.engine.ball) {
            labels.push(SectionLabel::new(vec![ball.name.spoken()], (x, 0.6 * radius)));
        }
        if let Some((radius, _)) = self.scaled.barrel {
            let to = (self.scaled.front - 8.0, f64::midpoint(radius, self.scaled.radius));
            labels.push(SectionLabel::new(vec!["barrel".to_owned()], to));
        }
        labels
    }

    /// What a part moves with, and what holds it.
    fn holders(&self, view: &DrawingView, part: PartId) -> Vec<String> {
        let linked = self.engine.links.iter().filter_map(|(a, b)| match part {
            part if part == *a => Some(*b),
            part if part == *b => Some(*a),
            _ => None,
        });
        let parts = &self.engine.parts;
        let linked = linked.map(|other| format!("moves with {}", parts[other].name.spoken()));
        let latch = parts[part].latch.as_ref().filter(|_| view.is_latched(self.engine, part));
        linked.chain(latch.map(|latch| format!("held by {}", latch.name.spoken()))).collect()
    }

    /// A height within a piece, below the axis.
    fn within(&self, piece: &Trapezoid) -> f64 {
        let (top, bottom) = piece.edges_at(f64::midpoint(piece.left, piece.right));
        f64::midpoint(top.max(0.0), bottom)
    }
}

/// A name with its mark of difference.
fn marked(view: &DrawingView, thing: Element, name: String) -> String {
    match view.marks.get(&thing) {
        Some(mark) => format!("[{}] {name}", mark.letter()),
        None => name,
    }
}

/// The ground of a room at its level.
fn tint(view: &DrawingView, room: ChamberId, figure: &[Trapezoid], sketch: &mut Sketch) {
    let level = view.level(room).filter(|_| room != OPEN_AIR);
    let share = level.map_or(0.0, legend::ink);
    if 0.0 < share {
        sketch.add(DrawnShape::Tint { outlines: outlines(figure), share });
    }
}

/// What is told by ink alone.
fn full(figure: &[Trapezoid], sketch: &mut Sketch) {
    if !figure.is_empty() {
        sketch.add(DrawnShape::Cut { outlines: outlines(figure), hatch: Hatch::Full });
    }
}
