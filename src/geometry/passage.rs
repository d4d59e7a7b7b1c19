//! How wide the way between two rooms is: the least area that air has to pass.
//!
//! Along an annular way there is a line of inner surfaces and one of outer ones. Whoever turns a
//! straight line from one to the other around the axis cuts the way in two; the least of these
//! frusta is where it is narrowest. It starts at a corner of one side and ends at the nearest point
//! of the other, so that flat and conical seats, lands that leave their bores and clearances all
//! follow one rule. A ring that has left its bore counts as the round section that it has.

use super::holes::RoomMouth;
use super::polynomial::BodyPlace;
use super::rooms::{Border, Borders};
use super::scalar::Scalar;
use super::slabs::Portal;
use super::solid::{RingSide, Surface, TOUCH};
use std::sync::Arc;

/// Ways that are followed from one room to another, the widest of them counts.
const MOST_PATHS: usize = 8;
/// Steps in looking for them.
const MOST_STEPS: usize = 4_000;

/// A corner of a surface; on the axis where there is none.
#[derive(Debug, Clone)]
struct SideCorner<T> {
    place: BodyPlace<T>,
    surface: Option<Surface<T>>,
}

impl<T: Scalar> SideCorner<T> {
    fn at(&self, positions: &[T]) -> (T, T) {
        let radius = match &self.surface {
            Some(surface) => self.place.radius_of(surface, positions),
            None => T::constant(0.0),
        };
        (self.place.position(positions), radius)
    }

    /// Whether it lies elsewhere when its bodies move against another one.
    fn moves_against(&self, body: usize) -> bool {
        let sloped = self.surface.as_ref().filter(|surface| surface.slope.is_some());
        self.place.body != body || sloped.is_some_and(|surface| surface.body != body)
    }
}

/// What may bound a way.
#[derive(Debug, Clone)]
enum Law<T> {
    /// From a corner to the nearest point between two others.
    Curtain(Box<(SideCorner<T>, SideCorner<T>, SideCorner<T>)>),
    /// From the section of a ring to the edge that it has left.
    Ring(Box<RingLaw<T>>),
    /// What of a hole opens into a room.
    Hole(Arc<RoomMouth<T>>),
}

#[derive(Debug, Clone)]
struct RingLaw<T> {
    ring: BodyPlace<T>,
    /// Radius of the middle of its section.
    middle: T,
    half_section: T,
    /// The stretch of the other side.
    facing: (SideCorner<T>, SideCorner<T>),
}

impl<T: Scalar> Law<T> {
    fn area(&self, positions: &[T]) -> T {
        match self {
            Law::Curtain(corners) => {
                let (corner, from, to) = &**corners;
                curtain(corner.at(positions), from.at(positions), to.at(positions))
            }
            Law::Ring(law) => law.area(positions),
            Law::Hole(mouth) => mouth.area(positions),
        }
    }

    /// What its area is at least, wherever the bodies stand: the ring between the radii, where
    /// these are always the same.
    fn least(&self) -> f64 {
        let Law::Curtain(corners) = self else { return 0.0 };
        let (corner, from, to) = &**corners;
        let radius = |it: &SideCorner<T>| match &it.surface {
            None => Some(0.0),
            Some(surface) => surface.slope.is_none().then(|| surface.radius.value()),
        };
        let (Some(own), Some(a), Some(b)) = (radius(corner), radius(from), radius(to)) else {
            return 0.0;
        };
        let nearest = own.clamp(a.min(b), a.max(b));
        std::f64::consts::PI * (own * own - nearest * nearest).abs()
    }
}

impl<T: Scalar> RingLaw<T> {
    /// The frustum between a surface and the section's nearest point; nought while they touch.
    fn area(&self, positions: &[T]) -> T {
        let middle = (self.ring.position(positions), self.middle.clone());
        let (from, to) = (self.facing.0.at(positions), self.facing.1.at(positions));
        let foot = nearest(&middle, from, to);
        let (along, across) = (foot.0 - middle.0, foot.1.clone() - middle.1.clone());
        let square = along.clone() * along + across.clone() * across.clone();
        if square.value() <= self.half_section.value() * self.half_section.value() {
            return T::constant(0.0);
        }
        let away = square.root();
        let gap = away.clone() - self.half_section.clone();
        let edge = middle.1 + self.half_section.clone() * across / away;
        T::constant(std::f64::consts::PI) * (foot.1 + edge) * gap
    }
}

/// The frustum that a line from a point to the nearest one of a stretch makes around the axis.
fn curtain<T: Scalar>(point: (T, T), from: (T, T), to: (T, T)) -> T {
    let foot = nearest(&point, from, to);
    let (dx, dr) = (point.0 - foot.0, point.1.clone() - foot.1.clone());
    let square = dx.clone() * dx + dr.clone() * dr;
    if square.value() <= f64::MIN_POSITIVE {
        return T::constant(0.0);
    }
    T::constant(std::f64::consts::PI) * (point.1 + foot.1) * square.root()
}

/// The point of a stretch that is nearest to another point.
fn nearest<T: Scalar>((x, r): &(T, T), from: (T, T), to: (T, T)) -> (T, T) {
    let (along, rise) = (to.0 - from.0.clone(), to.1 - from.1.clone());
    let length = along.clone() * along.clone() + rise.clone() * rise.clone();
    let reach =
        (x.clone() - from.0.clone()) * along.clone() + (r.clone() - from.1.clone()) * rise.clone();
    if reach.value() <= 0.0 || length.value() <= 0.0 {
        return from;
    }
    if length.value() <= reach.value() {
        return (from.0 + along, from.1 + rise);
    }
    let share = reach / length;
    (from.0 + share.clone() * along, from.1 + share * rise)
}

/// One way from a room to another.
#[derive(Debug, Clone)]
struct Path<T> {
    /// The least of what does not hang on the positions; `None` where all does.
    least_fixed: Option<T>,
    laws: Vec<Law<T>>,
}

/// All ways from one room to another.
#[derive(Debug, Clone)]
pub(super) struct RoomPassage<T> {
    pub(super) rooms: (usize, usize),
    paths: Vec<Path<T>>,
}

impl<T: Scalar> RoomPassage<T> {
    /// The area of the widest way.
    pub(super) fn area(&self, positions: &[T]) -> T {
        let areas = self.paths.iter().map(|path| {
            let laws = path.laws.iter().map(|law| law.area(positions));
            let least = path.least_fixed.iter().cloned().chain(laws);
            least.min_by(|a, b| a.value().total_cmp(&b.value())).unwrap_or(T::constant(0.0))
        });
        areas.max_by(|a, b| a.value().total_cmp(&b.value())).unwrap_or(T::constant(0.0))
    }
}

/// A step of a way: through a portal, across a seat, or in at one mouth of a hole and out at
/// another.
#[derive(Debug, Clone)]
pub(super) enum WayStep<T> {
    Portal(usize),
    Seat,
    Hole([Arc<RoomMouth<T>>; 2]),
}

/// A link of two rings of void.
pub(super) struct VoidLink<T> {
    pub(super) rings: (usize, usize),
    pub(super) by: WayStep<T>,
}

/// Where a way comes into a ring of void and leaves it across the same edge.
struct WayTurn<T> {
    /// The corners of the wall that it goes around, the inner one first.
    corners: [SideCorner<T>; 2],
    ring: usize,
    /// Whether that edge is the front one of the ring of void.
    is_front: bool,
}

/// Looks for the ways between two rooms.
pub(super) struct Ways<'a, T> {
    pub(super) borders: &'a Borders<'a, T>,
    pub(super) links: &'a [VoidLink<T>],
    /// The room of each ring of void.
    pub(super) rooms: &'a [Option<usize>],
}

impl<T: Scalar> Ways<'_, T> {
    /// The passage between two rooms, from where each of them starts.
    pub(super) fn passage(&self, rooms: (usize, usize), starts: (usize, usize)) -> RoomPassage<T> {
        let mut paths = Vec::new();
        let mut steps = MOST_STEPS;
        let mut way = vec![(starts.0, None)];
        self.follow(rooms, starts.1, &mut way, &mut paths, &mut steps);
        RoomPassage { rooms, paths }
    }

    fn follow<'l>(
        &'l self,
        rooms: (usize, usize),
        end: usize,
        way: &mut Vec<(usize, Option<&'l WayStep<T>>)>,
        paths: &mut Vec<Path<T>>,
        steps: &mut usize,
    ) {
        let Some((at, _)) = way.last().copied() else { return };
        let is_open_air = |ring: usize| self.borders.slabs.rings[ring].outer.is_none();
        if at == end || (is_open_air(at) && is_open_air(end)) {
            paths.push(self.path(way));
            return;
        }
        for link in self.links {
            let next = match link.rings {
                (one, other) if one == at => other,
                (one, other) if other == at => one,
                _ => continue,
            };
            let is_in = self.rooms[next].is_some_and(|room| room == rooms.0 || room == rooms.1);
            let is_new = way.iter().all(|(ring, _)| *ring != next);
            if paths.len() == MOST_PATHS || *steps == 0 {
                return;
            }
            if is_in && is_new {
                *steps -= 1;
                way.push((next, Some(&link.by)));
                self.follow(rooms, end, way, paths, steps);
                way.pop();
            }
        }
    }

    /// The laws of a way.
    fn path(&self, way: &[(usize, Option<&WayStep<T>>)]) -> Path<T> {
        let mut path = Path { least_fixed: None, laws: Vec::new() };
        let mut start = 0;
        for (at, (_, by)) in way.iter().enumerate() {
            if let Some(WayStep::Hole(mouths)) = by {
                self.stretch(&way[start..at], &mut path);
                for mouth in mouths {
                    match mouth.is_fixed() {
                        true => path.bound(mouth.area(self.borders.positions)),
                        false => path.laws.push(Law::Hole(Arc::clone(mouth))),
                    }
                }
                start = at;
            }
            let around = way.get(at + 1).and_then(|next| self.turn(*by, next.1, way[at].0));
            if let Some(turn) = around {
                self.stretch(&way[start..=at], &mut path);
                self.turn_laws(&turn, &mut path);
                start = at;
            }
        }
        self.stretch(&way[start..], &mut path);
        let cap = path.least_fixed.as_ref().map_or(f64::INFINITY, Scalar::value);
        path.laws.retain(|law| law.least() < cap);
        path
    }

    /// Whether a way comes into a ring of void and leaves it again across the same edge: around the
    /// end of a tube.
    fn turn(
        &self,
        by: Option<&WayStep<T>>,
        next: Option<&WayStep<T>>,
        ring: usize,
    ) -> Option<WayTurn<T>> {
        let (Some(WayStep::Portal(one)), Some(WayStep::Portal(other))) = (by, next) else {
            return None;
        };
        let slabs = self.borders.slabs;
        let (one, other) = (&slabs.portals[*one], &slabs.portals[*other]);
        if one.edge != other.edge {
            return None;
        }
        let is_inner = self.borders.radii(one).0 < self.borders.radii(other).0;
        let (low, high) = if is_inner { (one, other) } else { (other, one) };
        let place = &slabs.edges[one.edge].place;
        let corner = |surface: &Option<Surface<T>>| SideCorner {
            place: place.clone(),
            surface: surface.clone(),
        };
        let is_front = slabs.rings[ring].slab == one.edge;
        Some(WayTurn { corners: [corner(&low.outer), corner(&high.inner)], ring, is_front })
    }

    /// What is left between the end of a tube and the face of a body that stands before it.
    fn turn_laws(&self, turn: &WayTurn<T>, path: &mut Path<T>) {
        let slabs = self.borders.slabs;
        let mut ring = turn.ring;
        for _ in 0..slabs.edges.len() {
            let slab = slabs.rings[ring].slab;
            let far = if turn.is_front { slab.checked_sub(1) } else { Some(slab) };
            let Some(edge) = far.filter(|edge| *edge < slabs.edges.len()) else { return };
            let beyond = |portal: &&Portal<T>| {
                let own = if turn.is_front { portal.rings.1 } else { portal.rings.0 };
                portal.edge == edge && own == ring
            };
            let place = &slabs.edges[edge].place;
            let corner = |surface: &Option<Surface<T>>| SideCorner {
                place: place.clone(),
                surface: surface.clone(),
            };
            let positions = self.borders.positions;
            let own = corner(&slabs.rings[ring].inner);
            let lowest = slabs
                .portals
                .iter()
                .filter(beyond)
                .min_by(|a, b| self.borders.radii(a).0.total_cmp(&self.borders.radii(b).0));
            let top = match lowest {
                Some(portal) => corner(&portal.inner),
                None => corner(&slabs.rings[ring].outer),
            };
            if TOUCH < top.at(positions).1.value() - own.at(positions).1.value() {
                for end in &turn.corners {
                    self.hold(end, (&own, &top), path);
                }
                return;
            }
            let Some(portal) = lowest else { return };
            ring = if turn.is_front { portal.rings.0 } else { portal.rings.1 };
        }
    }

    /// The laws of a stretch without holes.
    fn stretch(&self, way: &[(usize, Option<&WayStep<T>>)], path: &mut Path<T>) {
        let steps = way.windows(2).filter_map(|pair| match pair[1].1 {
            Some(WayStep::Portal(portal)) => Some((*portal, [pair[0].0, pair[1].0])),
            _ => None,
        });
        let steps: Vec<(usize, [usize; 2])> = steps.collect();
        let (inner, outer) = self.sides(&steps);
        for (side, other) in [(&inner, &outer), (&outer, &inner)] {
            for corner in side.iter().flatten() {
                for pair in other.windows(2) {
                    let [Some(from), Some(to)] = pair else { continue };
                    self.hold(corner, (from, to), path);
                }
            }
        }
        for (portal, _) in steps {
            self.ring(portal, [&inner, &outer], path);
        }
    }

    /// The corners of the inner and of the outer side of a way, at each portal those behind and in
    /// front of it. The open air has no outer side.
    #[allow(clippy::type_complexity, reason = "the two sides, once")]
    fn sides(
        &self,
        steps: &[(usize, [usize; 2])],
    ) -> (Vec<Option<SideCorner<T>>>, Vec<Option<SideCorner<T>>>) {
        let slabs = self.borders.slabs;
        let (mut inner, mut outer) = (Vec::new(), Vec::new());
        for (portal, rings) in steps {
            let place = &slabs.edges[slabs.portals[*portal].edge].place;
            for ring in rings {
                let walls = &slabs.rings[*ring].walls;
                inner.push(Some(SideCorner { place: place.clone(), surface: walls.0.clone() }));
                outer.push(
                    walls
                        .1
                        .clone()
                        .map(|surface| SideCorner { place: place.clone(), surface: Some(surface) }),
                );
            }
        }
        (inner, outer)
    }

    /// Adds what a corner and a stretch of the other side make.
    fn hold(
        &self,
        corner: &SideCorner<T>,
        (from, to): (&SideCorner<T>, &SideCorner<T>),
        path: &mut Path<T>,
    ) {
        let body = corner.place.body;
        let is_flat = |end: &SideCorner<T>| {
            end.surface.as_ref().is_none_or(|surface| surface.slope.is_none())
        };
        let is_same = |end: &SideCorner<T>| {
            end.place.body == body && end.place.at.value() == corner.place.at.value()
        };
        let is_level = is_flat(from) && is_flat(to) && is_flat(corner);
        let is_above = is_level && (is_same(from) || is_same(to));
        let positions = self.borders.positions;
        let is_fixed = is_above || ![corner, from, to].iter().any(|it| it.moves_against(body));
        if is_fixed {
            path.bound(curtain(corner.at(positions), from.at(positions), to.at(positions)));
        } else {
            path.laws.push(Law::Curtain(Box::new((corner.clone(), from.clone(), to.clone()))));
        }
    }

    /// Adds a ring that a portal passes, out of its bore, held against one side of the way.
    fn ring(&self, portal: usize, sides: [&[Option<SideCorner<T>>]; 2], path: &mut Path<T>) {
        let portal: &Portal<T> = &self.borders.slabs.portals[portal];
        let Some(at) = self.borders.ring_at(portal) else { return };
        let ring = &self.borders.assembly.rings[at];
        let (facing, middle) = match ring.side {
            RingSide::Outside => (sides[1], ring.free.clone() - ring.half_section.clone()),
            RingSide::Inside => (sides[0], ring.free.clone() + ring.half_section.clone()),
        };
        for pair in facing.windows(2) {
            let [Some(from), Some(to)] = pair else { continue };
            path.laws.push(Law::Ring(Box::new(RingLaw {
                ring: BodyPlace { body: ring.body, at: ring.at.clone() },
                middle: middle.clone(),
                half_section: ring.half_section.clone(),
                facing: (from.clone(), to.clone()),
            })));
        }
    }
}

impl<T: Scalar> Path<T> {
    fn bound(&mut self, area: T) {
        let is_less = self.least_fixed.as_ref().is_none_or(|it| area.value() < it.value());
        if is_less {
            self.least_fixed = Some(area);
        }
    }
}

/// Whether two rings of void are joined at a portal at all.
pub(super) fn is_passable(border: Border) -> bool {
    border != Border::Sealed
}
