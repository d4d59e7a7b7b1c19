//! One order of edges: the axis cut into slabs at every edge, and the rings of void in them.

use super::polynomial::BodyPlace;
use super::scalar::Scalar;
use super::solid::{CutBody, Gate, Surface, TOUCH, Wall};

/// An edge of a body, among all edges in the order of one pose.
#[derive(Debug, Clone)]
pub(super) struct PoseEdge<T> {
    pub(super) place: BodyPlace<T>,
    /// Its number among the edges of its body.
    pub(super) number: usize,
}

/// A ring of void in one slab, full to the axis where `inner` is `None`.
#[derive(Debug, Clone)]
pub(super) struct VoidRing<T> {
    /// Slab behind the edge of this number; the last one is in front of all edges.
    pub(super) slab: usize,
    pub(super) inner: Option<Surface<T>>,
    /// `None` for the open air around everything.
    pub(super) outer: Option<Surface<T>>,
    /// The surfaces of bodies inside and outside of it: other ones where a seat divides it.
    pub(super) walls: (Option<Surface<T>>, Option<Surface<T>>),
}

/// Where two rings of void meet at an edge.
#[derive(Debug, Clone)]
pub(super) struct Portal<T> {
    pub(super) edge: usize,
    /// The ring behind the edge, and the one in front of it.
    pub(super) rings: (usize, usize),
    pub(super) inner: Option<Surface<T>>,
    pub(super) outer: Option<Surface<T>>,
}

/// Solids that are where others are already.
#[derive(Debug, Clone, PartialEq)]
pub struct Collision {
    /// The two bodies.
    pub bodies: (usize, usize),
    /// From where along the axis, m.
    pub from: f64,
    /// To where, m.
    pub to: f64,
    /// By how much they overlap across the axis, m.
    pub depth: f64,
}

/// The void of one order of edges.
#[derive(Debug, Clone)]
pub(super) struct Slabs<T> {
    pub(super) edges: Vec<PoseEdge<T>>,
    pub(super) rings: Vec<VoidRing<T>>,
    pub(super) portals: Vec<Portal<T>>,
    pub(super) collisions: Vec<Collision>,
    /// Rings that a seat divides: the one within it, and the one around.
    pub(super) seats: Vec<(usize, usize)>,
}

impl<T: Scalar> Slabs<T> {
    /// The slabs at some positions.
    pub(super) fn at(cut: &[CutBody<T>], positions: &[T]) -> Slabs<T> {
        let mut slabs = Slabs {
            edges: order(cut, positions),
            rings: Vec::new(),
            portals: Vec::new(),
            collisions: Vec::new(),
            seats: Vec::new(),
        };
        let mut passed = vec![0; cut.len()];
        let mut before = slabs.rings_of(0, &walls(cut, &passed), positions);
        for edge in 0..slabs.edges.len() {
            let place = &slabs.edges[edge].place;
            passed[place.body] += 1;
            let after = slabs.rings_of(edge + 1, &walls(cut, &passed), positions);
            slabs.join(edge, (before, after.clone()), positions);
            before = after;
        }
        slabs
    }

    /// Where the edges that bound a slab are; both the same at the two ends.
    fn ends(&self, slab: usize, positions: &[T]) -> (f64, f64) {
        let position =
            |edge: usize| self.edges.get(edge).map(|it| it.place.position(positions).value());
        let front = position(slab);
        let rear = slab.checked_sub(1).and_then(position);
        (rear.or(front).unwrap_or(0.0), front.or(rear).unwrap_or(0.0))
    }

    /// Finds the void between the walls of a slab, and gives the numbers of its rings.
    fn rings_of(
        &mut self,
        slab: usize,
        walls: &[&Wall<T>],
        positions: &[T],
    ) -> std::ops::Range<usize> {
        let (rear, front) = self.ends(slab, positions);
        let radius = |surface: &Surface<T>, at: f64| {
            let own = T::constant(at) - positions[surface.body].clone();
            surface.radius_at(&own).value()
        };
        let middle = 0.5 * (rear + front);
        let inside = |wall: &Wall<T>| wall.inner.as_ref().map_or(-1.0, |it| radius(it, middle));
        let mut walls: Vec<&Wall<T>> = walls.to_vec();
        walls.sort_by(|a, b| inside(a).total_cmp(&inside(b)));
        let first = self.rings.len();
        let mut below: Option<&Wall<T>> = None;
        for wall in walls {
            let gap = |at: f64| {
                let low = below.map_or(0.0, |below| radius(&below.outer, at));
                wall.inner.as_ref().map_or(-low, |inner| radius(inner, at) - low)
            };
            let (least, most) = (gap(rear).min(gap(front)), gap(rear).max(gap(front)));
            if least < -TOUCH && TOUCH < front - rear {
                if let Some(other) = below {
                    let bodies = (other.outer.body, wall.outer.body);
                    self.collides(Collision { bodies, from: rear, to: front, depth: -least });
                }
            } else if TOUCH < most {
                let inner = below.map(|below| below.outer.clone());
                self.ring(slab, inner, wall.inner.clone());
            }
            let is_further =
                |below: &Wall<T>| radius(&below.outer, middle) < radius(&wall.outer, middle);
            if below.is_none_or(is_further) {
                below = Some(wall);
            }
        }
        let inner = below.map(|below| below.outer.clone());
        self.ring(slab, inner, None);
        first..self.rings.len()
    }

    /// Keeps what is wrong, each stretch of two bodies once.
    fn collides(&mut self, found: Collision) {
        let goes_on = |it: &&mut Collision| {
            it.bodies == found.bodies && (it.to - found.from).abs() <= 2.0 * TOUCH
        };
        match self.collisions.iter_mut().find(goes_on) {
            Some(known) => {
                (known.to, known.depth) = (found.to, known.depth.max(found.depth));
            }
            None => self.collisions.push(found),
        }
    }

    fn ring(&mut self, slab: usize, inner: Option<Surface<T>>, outer: Option<Surface<T>>) {
        let walls = (inner.clone(), outer.clone());
        self.rings.push(VoidRing { slab, inner, outer, walls });
    }

    /// Divides the void between the edge of a seat and the face on it, at the seat's radius: what
    /// the face covers of the bore stays with the bore.
    pub(super) fn divide_at(&mut self, gate: &Gate<T>, positions: &[T]) {
        let is_it = |edge: &PoseEdge<T>| {
            let apart = edge.place.at.value() - gate.at.value();
            edge.place.body == gate.body && apart.abs() <= 2.0 * TOUCH
        };
        let Some(edge) = self.edges.iter().position(is_it) else { return };
        let within = gate.within.value();
        let radii = |portal: &Portal<T>| {
            let place = &self.edges[portal.edge].place;
            let radius = |it: &Surface<T>| place.radius_of(it, positions).value();
            let inner = portal.inner.as_ref().map_or(0.0, radius);
            (inner, portal.outer.as_ref().map_or(f64::INFINITY, radius))
        };
        let is_own = |portal: &Portal<T>| {
            portal.outer.as_ref().is_some_and(|surface| surface.body == gate.body)
        };
        let is_within = |portal: &&Portal<T>| {
            portal.edge == edge && is_own(portal) && radii(portal).1 <= within + TOUCH
        };
        let Some(bore) = self.portals.iter().find(is_within) else { return };
        let place = &self.edges[edge].place;
        let reaches = |ring: usize| {
            let outer = self.rings[ring].outer.as_ref();
            outer.is_some_and(|it| within + TOUCH < place.radius_of(it, positions).value())
        };
        let wide = [bore.rings.0, bore.rings.1].into_iter().find(|ring| reaches(*ring));
        let Some(wide) = wide else { return };
        let touches = |portal: &Portal<T>| portal.rings.0 == wide || portal.rings.1 == wide;
        let is_covered = self.portals.iter().all(|portal| {
            !touches(portal) || portal.edge == edge || within - TOUCH <= radii(portal).0
        });
        if !is_covered {
            return;
        }
        let inside: Vec<bool> =
            self.portals.iter().map(|it| touches(it) && radii(it).1 <= within + TOUCH).collect();
        let seat = Surface {
            body: gate.body,
            at: gate.at.clone(),
            radius: gate.within.clone(),
            slope: None,
        };
        let middle = VoidRing { outer: Some(seat.clone()), ..self.rings[wide].clone() };
        self.rings[wide].inner = Some(seat);
        self.rings.push(middle);
        let middle = self.rings.len() - 1;
        for (portal, _) in self.portals.iter_mut().zip(inside).filter(|(_, inside)| *inside) {
            let rings = &mut portal.rings;
            if rings.0 == wide {
                rings.0 = middle;
            } else {
                rings.1 = middle;
            }
        }
        self.seats.push((middle, wide));
    }

    /// Finds where the rings on both sides of an edge meet.
    fn join(
        &mut self,
        edge: usize,
        (before, after): (std::ops::Range<usize>, std::ops::Range<usize>),
        positions: &[T],
    ) {
        let place = self.edges[edge].place.clone();
        let radius = |surface: &Option<Surface<T>>, none: f64| {
            surface.as_ref().map_or(none, |it| place.radius_of(it, positions).value())
        };
        for left in before {
            for right in after.clone() {
                let (a, b) = (&self.rings[left], &self.rings[right]);
                let lows = (radius(&a.inner, 0.0), radius(&b.inner, 0.0));
                let highs = (radius(&a.outer, f64::INFINITY), radius(&b.outer, f64::INFINITY));
                if highs.0.min(highs.1) - lows.0.max(lows.1) <= TOUCH {
                    continue;
                }
                let inner = if lows.0 < lows.1 { b.inner.clone() } else { a.inner.clone() };
                let outer = if highs.1 < highs.0 { b.outer.clone() } else { a.outer.clone() };
                self.portals.push(Portal { edge, rings: (left, right), inner, outer });
            }
        }
    }
}

/// What is solid where so many edges of each body are passed.
fn walls<'a, T>(cut: &'a [CutBody<T>], passed: &[usize]) -> Vec<&'a Wall<T>> {
    let bodies = cut.iter().zip(passed);
    bodies.flat_map(|(body, passed)| body.walls.get(*passed).into_iter().flatten()).collect()
}

/// All edges from the rear to the front. Where edges of several bodies touch, the order is the one
/// in which nothing overlaps: faces that meet have a slab without width between them.
fn order<T: Scalar>(cut: &[CutBody<T>], positions: &[T]) -> Vec<PoseEdge<T>> {
    let mut edges: Vec<(f64, PoseEdge<T>)> = Vec::new();
    for (body, solid) in cut.iter().enumerate() {
        for (number, at) in solid.edges.iter().enumerate() {
            let place = BodyPlace { body, at: at.clone() };
            let position = place.position(positions).value();
            edges.push((position, PoseEdge { place, number }));
        }
    }
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    for at in 1..edges.len() {
        for place in (1..=at).rev() {
            let (one, other) = (&edges[place - 1], &edges[place]);
            let touches = other.0 - one.0 <= TOUCH && one.1.place.body != other.1.place.body;
            let as_is = || overlap(cut, &one.1, &other.1, positions);
            let turned = || overlap(cut, &other.1, &one.1, positions);
            if !(touches && turned() + TOUCH < as_is()) {
                break;
            }
            let position = one.0.max(other.0);
            edges.swap(place - 1, place);
            (edges[place - 1].0, edges[place].0) = (position, position);
        }
    }
    edges.into_iter().map(|(_, edge)| edge).collect()
}

/// How much of two bodies would overlap across the axis between two edges that touch.
fn overlap<T: Scalar>(
    cut: &[CutBody<T>],
    rear: &PoseEdge<T>,
    front: &PoseEdge<T>,
    positions: &[T],
) -> f64 {
    let radii = |wall: &Wall<T>, place: &BodyPlace<T>| {
        let inner = wall.inner.as_ref().map_or(0.0, |it| place.radius_of(it, positions).value());
        (inner, place.radius_of(&wall.outer, positions).value())
    };
    let walls = |edge: &PoseEdge<T>, number: usize| {
        let walls = cut[edge.place.body].walls[number].iter();
        walls.map(|wall| radii(wall, &edge.place)).collect::<Vec<_>>()
    };
    let of_rear = walls(rear, rear.number + 1);
    let of_front = walls(front, front.number);
    let pairs = of_rear.iter().flat_map(|a| of_front.iter().map(move |b| (a, b)));
    pairs.map(|(a, b)| (a.1.min(b.1) - a.0.max(b.0)).max(0.0)).sum()
}
