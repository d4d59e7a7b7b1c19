//! Which rings of void are one room: joined where they meet, parted at rings and gates.

use super::scalar::Scalar;
use super::slabs::{Portal, Slabs};
use super::solid::{Assembly, CutBody, RingSide, RoomSpot, SealRing, TOUCH, Toward, Wall};

/// What two rings of void are to each other where they meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Border {
    /// One room.
    None,
    /// Shut by a ring in its bore.
    Sealed,
    /// The border of two rooms, open.
    Gate,
    /// Such a one, where a ring has left what it seals against.
    Left,
}

/// The edge of a bore, or of a rod, that a ring passes where it leaves it.
#[derive(Debug, Clone)]
pub(super) struct RingGate<T> {
    pub(super) ring: usize,
    pub(super) body: usize,
    /// Number of the edge among those of its body.
    pub(super) number: usize,
    /// Radius of the bore or of the rod at the edge.
    pub(super) radius: T,
    /// On which side of the edge the ring seals.
    pub(super) tight: Toward,
}

/// Whether air passes a ring at a surface of this radius.
fn is_clear<T: Scalar>(ring: &SealRing<T>, facing: f64) -> bool {
    match ring.side {
        RingSide::Outside => ring.free.value() + TOUCH < facing,
        RingSide::Inside => facing < ring.free.value() - TOUCH,
    }
}

/// The edges of bores at which rings leave them, within the travel of the parts. A ring around a
/// rod stays the border of its rooms when the rod has left it.
pub(super) fn ring_gates<T: Scalar>(
    assembly: &Assembly<T>,
    cut: &[CutBody<T>],
) -> Vec<RingGate<T>> {
    let mut gates = Vec::new();
    let rings = assembly.rings.iter().enumerate();
    for (at, ring) in rings.filter(|(_, ring)| ring.side == RingSide::Outside) {
        for (body, solid) in cut.iter().enumerate().filter(|(body, _)| *body != ring.body) {
            let reach = reach(assembly, ring, body);
            for (number, edge) in solid.edges.iter().enumerate() {
                let place = edge.value();
                if !(reach.0 < place - TOUCH && place + TOUCH < reach.1) {
                    continue;
                }
                let walls = (&solid.walls[number], &solid.walls[number + 1]);
                // On a cone the edge itself just touches; what counts is what lies beyond.
                let middle = |other: Option<&T>| {
                    let other = other.unwrap_or(edge).clone();
                    (edge.clone() + other) / T::constant(2.0)
                };
                let rear = middle(number.checked_sub(1).and_then(|it| solid.edges.get(it)));
                let front = middle(solid.edges.get(number + 1));
                let is_open = |walls: &[Wall<T>], place: &T| {
                    let none = match ring.side {
                        RingSide::Outside => f64::INFINITY,
                        RingSide::Inside => 0.0,
                    };
                    let radius = facing(ring, walls, place);
                    is_clear(ring, radius.as_ref().map_or(none, Scalar::value))
                };
                let (tight, walls) = match (is_open(walls.0, &rear), is_open(walls.1, &front)) {
                    (false, true) => (Toward::Rear, walls.0),
                    (true, false) => (Toward::Front, walls.1),
                    _ => continue,
                };
                let Some(radius) = facing(ring, walls, edge) else { continue };
                gates.push(RingGate { ring: at, body, number, radius, tight });
            }
        }
    }
    gates
}

/// From where to where a ring comes along the axis of another body.
fn reach<T: Scalar>(assembly: &Assembly<T>, ring: &SealRing<T>, body: usize) -> (f64, f64) {
    let (own, other) = (&assembly.bodies[ring.body].travel, &assembly.bodies[body].travel);
    let at = ring.at.value();
    (at + own.0.value() - other.1.value(), at + own.1.value() - other.0.value())
}

/// The radius of the nearest surface that a ring would seal against, at a place of that body.
fn facing<T: Scalar>(ring: &SealRing<T>, walls: &[Wall<T>], place: &T) -> Option<T> {
    let radii = walls.iter().filter_map(|wall| match ring.side {
        RingSide::Outside => Some(wall.inner.as_ref()?.radius_at(place)),
        RingSide::Inside => Some(wall.outer.radius_at(place)),
    });
    // A tube within the part that carries the ring lies on the other side of it.
    let reached = ring.free.value();
    let section = 4.0 * ring.half_section.value();
    let fitting = radii.filter(|radius| match ring.side {
        RingSide::Outside => reached - section < radius.value(),
        RingSide::Inside => radius.value() < reached + section,
    });
    match ring.side {
        RingSide::Outside => fitting.min_by(|a, b| a.value().total_cmp(&b.value())),
        RingSide::Inside => fitting.max_by(|a, b| a.value().total_cmp(&b.value())),
    }
}

/// Everything that decides about borders in one order of edges.
pub(super) struct Borders<'a, T> {
    pub(super) assembly: &'a Assembly<T>,
    pub(super) ring_gates: &'a [RingGate<T>],
    pub(super) slabs: &'a Slabs<T>,
    pub(super) positions: &'a [T],
}

impl<T: Scalar> Borders<'_, T> {
    /// The number of an edge of a body in the order of the pose.
    pub(super) fn order_of(&self, body: usize, number: usize) -> usize {
        let is_it =
            |edge: &super::slabs::PoseEdge<T>| edge.place.body == body && edge.number == number;
        self.slabs.edges.iter().position(is_it).unwrap_or(0)
    }

    /// The number of the edge at a place of a body in the order of the pose.
    pub(super) fn order_at(&self, body: usize, at: &T) -> usize {
        let is_it = |edge: &super::slabs::PoseEdge<T>| {
            let apart = edge.place.at.value() - at.value();
            edge.place.body == body && apart.abs() <= 2.0 * TOUCH
        };
        self.slabs.edges.iter().position(is_it).unwrap_or(0)
    }

    /// Whether a ring stands on the side of a gate's edge where it does not seal.
    pub(super) fn is_out(&self, gate: &RingGate<T>) -> bool {
        let ring = &self.assembly.rings[gate.ring];
        let (ring, edge) =
            (self.order_at(ring.body, &ring.at), self.order_of(gate.body, gate.number));
        match gate.tight {
            Toward::Rear => edge < ring,
            Toward::Front => ring < edge,
        }
    }

    /// Inside and outside radius of a portal.
    pub(super) fn radii(&self, portal: &Portal<T>) -> (f64, f64) {
        let place = &self.slabs.edges[portal.edge].place;
        let radius = |it| place.radius_of(it, self.positions).value();
        let inner = portal.inner.as_ref().map_or(0.0, radius);
        (inner, portal.outer.as_ref().map_or(f64::INFINITY, radius))
    }

    /// The ring that a portal passes, if any.
    pub(super) fn ring_at(&self, portal: &Portal<T>) -> Option<usize> {
        let place = &self.slabs.edges[portal.edge].place;
        let mut rings = self.assembly.rings.iter();
        rings.position(|ring| {
            let section = 2.0 * ring.half_section.value();
            let (carrier, floor) = match ring.side {
                RingSide::Outside => (portal.inner.as_ref(), ring.free.value() - section),
                RingSide::Inside => (portal.outer.as_ref(), ring.free.value() + section),
            };
            let is_here = (place.at.value() - ring.at.value()).abs() <= 2.0 * TOUCH;
            // Another surface of the body that carries it may be around it, or within.
            let is_carried = carrier.is_some_and(|surface| {
                let radius = place.radius_of(surface, self.positions).value();
                surface.body == ring.body && (radius - floor).abs() <= section + TOUCH
            });
            place.body == ring.body && is_here && is_carried
        })
    }

    /// What two rings are to each other at a portal.
    pub(super) fn border(&self, portal: &Portal<T>) -> Border {
        let (inner, outer) = self.radii(portal);
        if let Some(ring) = self.ring_at(portal) {
            let ring = &self.assembly.rings[ring];
            let facing = if ring.side == RingSide::Outside { outer } else { inner };
            if !is_clear(ring, facing) {
                return Border::Sealed;
            }
            if ring.side == RingSide::Inside {
                return Border::Left;
            }
        }
        let (behind, before) =
            (&self.slabs.rings[portal.rings.0], &self.slabs.rings[portal.rings.1]);
        if behind.outer.is_none() != before.outer.is_none() {
            return Border::Gate;
        }
        let edge = &self.slabs.edges[portal.edge];
        // The border is the seat, and not the plane of its edge.
        let (behind, before) = portal.rings;
        if self.slabs.seats.iter().any(|(within, _)| *within == behind || *within == before) {
            return Border::None;
        }
        // The bore of a part lies on the other side of what the part carries and sits on.
        let around = portal.outer.as_ref().map(|it| it.body);
        let is_ring_gate = |gate: &RingGate<T>| {
            let is_here = gate.body == edge.place.body && gate.number == edge.number;
            let is_within = match self.assembly.rings[gate.ring].side {
                RingSide::Outside => outer <= gate.radius.value() + TOUCH,
                RingSide::Inside => gate.radius.value() - TOUCH <= inner,
            };
            let is_beside = around != Some(self.assembly.rings[gate.ring].body);
            is_here && is_within && is_beside && self.is_out(gate)
        };
        let is_gate = |gate: &super::solid::Gate<T>| {
            let is_here = (gate.at.value() - edge.place.at.value()).abs() <= 2.0 * TOUCH;
            let is_beside = around == Some(gate.body);
            is_beside
                && gate.body == edge.place.body
                && is_here
                && outer <= gate.within.value() + TOUCH
        };
        if self.ring_gates.iter().any(is_ring_gate) {
            return Border::Left;
        }
        if self.assembly.gates.iter().any(is_gate) { Border::Gate } else { Border::None }
    }

    /// The ring of void that a spot means; `None` where it lies in the open air or in a solid.
    pub(super) fn ring_of(&self, spot: &RoomSpot<T>) -> Option<usize> {
        let edge = self.order_at(spot.body, &spot.at);
        let slab = if spot.toward == Toward::Rear { edge } else { edge + 1 };
        let place = &self.slabs.edges.get(edge)?.place;
        let away = |ring: &super::slabs::VoidRing<T>| {
            let radius = |it| place.radius_of(it, self.positions).value();
            let inner = ring.inner.as_ref().map_or(0.0, radius);
            let outer = ring.outer.as_ref().map_or(f64::INFINITY, radius);
            let radius = spot.radius.value();
            (inner - radius).max(radius - outer).max(0.0)
        };
        let rings = self.slabs.rings.iter().enumerate().filter(|(_, ring)| ring.slab == slab);
        let nearest = rings.min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b)));
        nearest.map(|(at, _)| at)
    }
}

/// Sets of things that are one.
#[derive(Debug, Clone)]
pub(super) struct JoinedVoid {
    first: Vec<usize>,
}

impl JoinedVoid {
    pub(super) fn new(count: usize) -> JoinedVoid {
        JoinedVoid { first: (0..count).collect() }
    }

    pub(super) fn of(&self, mut at: usize) -> usize {
        while self.first[at] != at {
            at = self.first[at];
        }
        at
    }

    pub(super) fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.of(a), self.of(b));
        let (low, high) = (a.min(b), a.max(b));
        self.first[high] = low;
    }
}
