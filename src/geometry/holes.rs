//! Holes across: how much of one opens into each room beside its wall.
//!
//! Seen along a hole its opening is a circle. What ends beside its wall there, or a ring that
//! touches it, cuts that circle across the axis in segments (area of a segment: any handbook of
//! mathematics); each opens into the room that lies there. Where only a gap is left beside the
//! wall, no more passes than through the curtain along the rim, and across to a next stretch of
//! the same room, as high as the gap: beyond a quarter of the diameter it bounds nothing.

use super::polynomial::BodyPlace;
use super::rooms::Borders;
use super::scalar::Scalar;
use super::slabs::VoidRing;
use super::solid::{CrossHole, Surface, TOUCH};

/// Closer than this to the rim, in radii, is at it: slopes along the rim end there.
const AT_RIM: f64 = 1e-12;

/// On which side of its wall a hole opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum WallSide {
    Within,
    Around,
}

/// Void that a hole touches: in order from the rear to the front on each side.
#[derive(Debug, Clone, Copy)]
pub(super) struct HoleTouch {
    pub(super) side: WallSide,
    /// The ring of void.
    pub(super) ring: usize,
    /// Whether the middle of the hole lies there, or right behind it.
    pub(super) is_middle: bool,
}

/// What of a hole opens into one room.
#[derive(Debug, Clone)]
pub(super) struct RoomMouth<T> {
    pub(super) side: WallSide,
    pub(super) room: usize,
    /// The widest ring of void that it opens into.
    pub(super) ring: usize,
    middle: BodyPlace<T>,
    radius: T,
    count: u32,
    stretches: Vec<MouthStretch<T>>,
}

/// A stretch of it between two surfaces.
#[derive(Debug, Clone)]
struct MouthStretch<T> {
    from: BodyPlace<T>,
    to: BodyPlace<T>,
    walls: (Option<Surface<T>>, Option<Surface<T>>),
    /// Whether the same room goes on behind it, and in front of it.
    goes_on: (bool, bool),
}

impl<T: Scalar> MouthStretch<T> {
    /// How far it is from the wall to what lies opposite; `None` for the open air.
    fn gap(&self, positions: &[T]) -> Option<T> {
        let outer = self.walls.1.as_ref()?;
        let at = |place: &BodyPlace<T>| {
            let inner = self.walls.0.as_ref().map(|it| place.radius_of(it, positions));
            place.radius_of(outer, positions) - inner.unwrap_or(T::constant(0.0))
        };
        Some((at(&self.from) + at(&self.to)) / T::constant(2.0))
    }

    fn meets(&self, other: &MouthStretch<T>) -> bool {
        self.to.body == other.from.body
            && (self.to.at.value() - other.from.at.value()).abs() <= TOUCH
    }

    /// Whether another one that meets it has the same surfaces.
    fn is_like(&self, other: &MouthStretch<T>) -> bool {
        let is_same = |pair: (&Option<Surface<T>>, &Option<Surface<T>>)| match pair {
            (None, None) => true,
            (Some(a), Some(b)) => {
                a.slope.is_none()
                    && b.slope.is_none()
                    && (a.radius.value() - b.radius.value()).abs() <= TOUCH
            }
            _ => false,
        };
        is_same((&self.walls.0, &other.walls.0)) && is_same((&self.walls.1, &other.walls.1))
    }
}

/// Half the area of a disc of radius 1 between its middle and a place along its diameter, twice:
/// the antiderivative of its chord.
fn disc<T: Scalar>(at: &T) -> T {
    let chord = libm::sqrt((1.0 - at.value() * at.value()).max(0.0));
    at.of_one(at.value() * chord + libm::asin(at.value()), 2.0 * chord)
}

/// Its chord there.
fn chord<T: Scalar>(at: &T) -> T {
    let half = libm::sqrt((1.0 - at.value() * at.value()).max(AT_RIM));
    at.of_one(2.0 * half, -2.0 * at.value() / half)
}

/// Length of both rims of it from its middle to there.
fn rims<T: Scalar>(at: &T) -> T {
    let square = (1.0 - at.value() * at.value()).max(AT_RIM);
    at.of_one(2.0 * libm::asin(at.value()), 2.0 / libm::sqrt(square))
}

impl<T: Scalar> RoomMouth<T> {
    /// Its area.
    pub(super) fn area(&self, positions: &[T]) -> T {
        let middle = self.middle.position(positions);
        let along = |place: &BodyPlace<T>| {
            let at = (place.position(positions) - middle.clone()) / self.radius.clone();
            let is_inside = at.value().abs() < 1.0 - AT_RIM;
            if is_inside { at } else { T::constant(at.value().signum()) }
        };
        let all = self.stretches.iter().map(|stretch| {
            let (from, to) = (along(&stretch.from), along(&stretch.to));
            let segment = self.radius.clone() * self.radius.clone() * (disc(&to) - disc(&from));
            let Some(gap) = stretch.gap(positions) else { return segment };
            let mut along = rims(&to) - rims(&from);
            for (is_open, end) in [(stretch.goes_on.0, &from), (stretch.goes_on.1, &to)] {
                if is_open {
                    along = along + chord(end);
                }
            }
            let curtain = gap * self.radius.clone() * along;
            if curtain.value() < segment.value() { curtain } else { segment }
        });
        let whole = all.fold(T::constant(0.0), |sum, area| sum + area);
        whole * T::constant(f64::from(self.count))
    }

    /// Whether its area is the same wherever the bodies stand.
    pub(super) fn is_fixed(&self) -> bool {
        let own = self.middle.body;
        let is_straight =
            |surface: &Option<Surface<T>>| surface.as_ref().is_none_or(|it| it.slope.is_none());
        self.stretches.iter().all(|it| {
            it.from.body == own
                && it.to.body == own
                && is_straight(&it.walls.0)
                && is_straight(&it.walls.1)
        })
    }
}

impl<T: Scalar> Borders<'_, T> {
    /// The void that a hole touches on both sides of its wall.
    pub(super) fn touched(&self, hole: &CrossHole<T>) -> Vec<HoleTouch> {
        let (rear, front) = hole.ends();
        let first = self.order_at(hole.body, &rear) + 1;
        let last = self.order_at(hole.body, &front);
        let middle = self.order_at(hole.body, &hole.at) + 1;
        let mut touched = Vec::new();
        for slab in first..=last {
            let is_middle = slab == middle;
            let [within, around] = self.beside(hole, slab);
            let sides = [(WallSide::Within, within), (WallSide::Around, around)];
            touched.extend(
                sides.into_iter().filter_map(|(side, ring)| {
                    ring.map(|ring| HoleTouch { side, ring, is_middle })
                }),
            );
        }
        touched
    }

    /// The rings of void within and around the wall of a hole in a slab.
    fn beside(&self, hole: &CrossHole<T>, slab: usize) -> [Option<usize>; 2] {
        let away = |surface: &Option<Surface<T>>| {
            let surface = surface.as_ref().filter(|surface| surface.body == hole.body)?;
            Some((surface.radius.value() - hole.bore.value()).abs())
        };
        let rings = || self.slabs.rings.iter().enumerate().filter(|(_, it)| it.slab == slab);
        let inner = rings().filter_map(|(at, ring)| Some((away(&ring.outer)?, at)));
        let within = inner.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, at)| at);
        let is_beyond = |at: usize, ring: &VoidRing<T>| match within {
            Some(within) => within < at,
            None => ring.inner.as_ref().is_some_and(|it| hole.bore.value() < it.radius.value()),
        };
        let around = rings()
            .find(|(at, ring)| away(&ring.inner).is_some() && is_beyond(*at, ring))
            .map(|(at, _)| at);
        [within, around]
    }

    /// What of a hole opens into each room on each side of its wall, where the rings of void belong
    /// to these rooms.
    pub(super) fn mouths(&self, hole: &CrossHole<T>, rooms: &[Option<usize>]) -> Vec<RoomMouth<T>> {
        let mut mouths: Vec<(f64, RoomMouth<T>)> = Vec::new();
        for touch in self.touched(hole) {
            let ring = &self.slabs.rings[touch.ring];
            let edge = |at: Option<usize>| self.slabs.edges.get(at?).map(|it| it.place.clone());
            let ends = (edge(ring.slab.checked_sub(1)), edge(Some(ring.slab)));
            let (Some(from), Some(to), Some(room)) = (ends.0, ends.1, rooms[touch.ring]) else {
                continue;
            };
            let walls = ring.walls.clone();
            let mut stretch = MouthStretch { from, to, walls, goes_on: (false, false) };
            let gap = stretch.gap(self.positions).map_or(f64::INFINITY, |gap| gap.value());
            let is_it = |(_, mouth): &&mut (f64, RoomMouth<T>)| {
                mouth.side == touch.side && mouth.room == room
            };
            match mouths.iter_mut().find(is_it) {
                Some((widest, mouth)) => {
                    if *widest < gap {
                        (*widest, mouth.ring) = (gap, touch.ring);
                    }
                    match mouth.stretches.last_mut().filter(|last| last.meets(&stretch)) {
                        Some(last) if last.is_like(&stretch) => last.to = stretch.to,
                        Some(last) => {
                            (last.goes_on.1, stretch.goes_on.0) = (true, true);
                            mouth.stretches.push(stretch);
                        }
                        None => mouth.stretches.push(stretch),
                    }
                }
                None => {
                    let middle = BodyPlace { body: hole.body, at: hole.at.clone() };
                    let radius = hole.diameter.clone() / T::constant(2.0);
                    let (side, count) = (touch.side, hole.count);
                    let stretches = vec![stretch];
                    let ring = touch.ring;
                    mouths.push((
                        gap,
                        RoomMouth { side, room, ring, middle, radius, count, stretches },
                    ));
                }
            }
        }
        mouths.into_iter().map(|(_, mouth)| mouth).collect()
    }
}
