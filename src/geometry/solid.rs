//! What an engine is made of, as numbers: bodies of revolution on one axis, rings, gates and rooms.

use super::scalar::Scalar;

/// What is closer than this, in metres, touches: far below what anybody measures, far above what
/// rounding does to lengths of an engine.
pub const TOUCH: f64 = 1e-9;

/// The body that does not move, among [`Assembly::bodies`].
pub const FIXED: usize = 0;

/// A piece of a solid of revolution between two radii that change evenly along the axis: a step of
/// a rod, of a tube, of a bore, or a cone.
#[derive(Debug, Clone, PartialEq)]
pub struct Frustum<T> {
    /// Where it starts, in m along its body's own axis.
    pub from: T,
    /// Where it ends; in front of `from`.
    pub to: T,
    /// Inside radius at either end in m; `None` where it is full to the axis.
    pub inner: Option<(T, T)>,
    /// Outside radius at either end, m.
    pub outer: (T, T),
}

/// What moves as one, or does not move at all.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid<T> {
    /// Its pieces, in any order; they do not overlap.
    pub pieces: Vec<Frustum<T>>,
    /// The lowest and the highest position that it takes, m.
    pub travel: (T, T),
}

/// Which surface of a part carries a ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RingSide {
    /// The outside: it seals against a bore around it.
    Outside,
    /// A bore: it seals against a rod within it.
    Inside,
}

/// A ring in its groove. The groove counts as full: the part is taken as if it had none.
#[derive(Debug, Clone, PartialEq)]
pub struct SealRing<T> {
    /// The body that carries it.
    pub body: usize,
    /// Where its centre sits, in m along the body's own axis.
    pub at: T,
    /// The surface that carries it.
    pub side: RingSide,
    /// Radius, in m, to which its sealing edge reaches where nothing presses on it.
    pub free: T,
    /// Half of its section's width, m.
    pub half_section: T,
}

/// Which way along the axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toward {
    /// To the rear.
    Rear,
    /// To the front.
    Front,
}

/// A border of two rooms that no ring makes: the plane at an edge of a body, within a radius.
#[derive(Debug, Clone, PartialEq)]
pub struct Gate<T> {
    /// The body whose edge it is.
    pub body: usize,
    /// The edge, in m along the body's own axis.
    pub at: T,
    /// Largest radius that belongs to it, m.
    pub within: T,
}

/// A room, by a spot that always lies in it.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomSpot<T> {
    /// The body on which the spot is given.
    pub body: usize,
    /// Where, in m along the body's own axis.
    pub at: T,
    /// Just behind or just in front of that place.
    pub toward: Toward,
    /// How far from the axis, m; the void nearest to it is meant.
    pub radius: T,
}

/// Equal holes through the wall of a body, across the axis and around it.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossHole<T> {
    /// The body that has them.
    pub body: usize,
    /// Their middle, in m along the body's own axis.
    pub at: T,
    /// The diameter of each, m.
    pub diameter: T,
    /// How many there are around the axis.
    pub count: u32,
    /// Radius of the bore within their wall, m: of several walls around each other it tells which.
    pub bore: T,
}

impl<T: Scalar> CrossHole<T> {
    /// Where they begin and where they end, in m along the body's own axis.
    pub fn ends(&self) -> (T, T) {
        let half = self.diameter.clone() / T::constant(2.0);
        (self.at.clone() - half.clone(), self.at.clone() + half)
    }

    /// The same in plain numbers.
    #[must_use]
    pub fn plain(&self) -> CrossHole<f64> {
        CrossHole {
            body: self.body,
            at: self.at.value(),
            diameter: self.diameter.value(),
            count: self.count,
            bore: self.bore.value(),
        }
    }
}

/// Everything on one axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembly<T> {
    /// The bodies; the first does not move. A position is how far a body is moved to the front
    /// from where its own axis and that of the fixed body count alike.
    pub bodies: Vec<Solid<T>>,
    /// Rings.
    pub rings: Vec<SealRing<T>>,
    /// Gates beside those that rings make where they leave a bore.
    pub gates: Vec<Gate<T>>,
    /// Holes across, from one side of a wall to the other.
    pub holes: Vec<CrossHole<T>>,
    /// Holes in the fixed body that lead on from its bore to what is not of the assembly.
    pub ports: Vec<CrossHole<T>>,
    /// Rooms; the open air around everything is one more, behind the last of them.
    pub rooms: Vec<RoomSpot<T>>,
}

/// A radius that changes evenly along the axis of its body.
#[derive(Debug, Clone)]
pub(super) struct Surface<T> {
    pub(super) body: usize,
    /// Where it has this radius.
    pub(super) at: T,
    pub(super) radius: T,
    /// By how much the radius grows with each metre to the front; `None` for a cylinder.
    pub(super) slope: Option<T>,
}

impl<T: Scalar> Surface<T> {
    fn of(body: usize, piece: &Frustum<T>, radii: &(T, T)) -> Surface<T> {
        let rise = radii.1.clone() - radii.0.clone();
        let slope =
            (TOUCH < rise.value().abs()).then(|| rise / (piece.to.clone() - piece.from.clone()));
        Surface { body, at: piece.from.clone(), radius: radii.0.clone(), slope }
    }

    /// Its radius at a place of its own axis.
    pub(super) fn radius_at(&self, place: &T) -> T {
        match &self.slope {
            None => self.radius.clone(),
            Some(slope) => self.radius.clone() + slope.clone() * (place.clone() - self.at.clone()),
        }
    }
}

/// A solid in one slab: from one surface out to another.
#[derive(Debug, Clone)]
pub(super) struct Wall<T> {
    pub(super) inner: Option<Surface<T>>,
    pub(super) outer: Surface<T>,
}

/// A body with its edges in order, and what is solid between them.
#[derive(Debug, Clone)]
pub(super) struct CutBody<T> {
    pub(super) edges: Vec<T>,
    /// Behind the first edge, between each two, and in front of the last.
    pub(super) walls: Vec<Vec<Wall<T>>>,
}

impl<T: Scalar> CutBody<T> {
    /// Cuts a body at the ends of its pieces and at the places given.
    pub(super) fn new(body: usize, solid: &Solid<T>, places: Vec<T>) -> CutBody<T> {
        let ends = solid.pieces.iter().flat_map(|piece| [piece.from.clone(), piece.to.clone()]);
        let mut edges: Vec<T> = ends.chain(places).collect();
        edges.sort_by(|a, b| a.value().total_cmp(&b.value()));
        edges.dedup_by(|b, a| b.value() - a.value() <= TOUCH);
        let mut walls = vec![Vec::new(); edges.len() + 1];
        for piece in &solid.pieces {
            let wall = Wall {
                inner: piece.inner.as_ref().map(|radii| Surface::of(body, piece, radii)),
                outer: Surface::of(body, piece, &piece.outer),
            };
            for (at, between) in edges.windows(2).enumerate() {
                let middle = 0.5 * (between[0].value() + between[1].value());
                if piece.from.value() < middle && middle < piece.to.value() {
                    walls[at + 1].push(wall.clone());
                }
            }
        }
        CutBody { edges, walls }
    }
}

impl<T: Scalar> Assembly<T> {
    /// The same in plain numbers.
    #[must_use]
    pub fn plain(&self) -> Assembly<f64> {
        let two = |radii: &(T, T)| (radii.0.value(), radii.1.value());
        let piece = |piece: &Frustum<T>| Frustum {
            from: piece.from.value(),
            to: piece.to.value(),
            inner: piece.inner.as_ref().map(two),
            outer: two(&piece.outer),
        };
        let bodies = self.bodies.iter().map(|body| Solid {
            pieces: body.pieces.iter().map(piece).collect(),
            travel: two(&body.travel),
        });
        let rings = self.rings.iter().map(|ring| SealRing {
            body: ring.body,
            at: ring.at.value(),
            side: ring.side,
            free: ring.free.value(),
            half_section: ring.half_section.value(),
        });
        let gates = self.gates.iter().map(|gate| Gate {
            body: gate.body,
            at: gate.at.value(),
            within: gate.within.value(),
        });
        let rooms = self.rooms.iter().map(|spot| RoomSpot {
            body: spot.body,
            at: spot.at.value(),
            toward: spot.toward,
            radius: spot.radius.value(),
        });
        Assembly {
            bodies: bodies.collect(),
            rings: rings.collect(),
            gates: gates.collect(),
            holes: self.holes.iter().map(CrossHole::plain).collect(),
            ports: self.ports.iter().map(CrossHole::plain).collect(),
            rooms: rooms.collect(),
        }
    }

    /// Every body cut at all places that matter on it.
    pub(super) fn cut(&self) -> Vec<CutBody<T>> {
        let bodies = self.bodies.iter().enumerate();
        let cut = bodies.map(|(body, solid)| {
            let rings = self.rings.iter().filter(|it| it.body == body).map(|it| &it.at);
            let gates = self.gates.iter().filter(|it| it.body == body).map(|it| &it.at);
            let rooms = self.rooms.iter().filter(|it| it.body == body).map(|it| &it.at);
            let holes = self.holes.iter().chain(&self.ports).filter(|it| it.body == body);
            let holes = holes.flat_map(|it| [it.ends().0, it.at.clone(), it.ends().1]);
            let places = rings.chain(gates).chain(rooms).cloned().chain(holes);
            CutBody::new(body, solid, places.chain(self.first_touches(body, solid)).collect())
        });
        cut.collect()
    }

    /// Where the rings of other bodies begin to touch the cones of this one.
    fn first_touches(&self, body: usize, solid: &Solid<T>) -> Vec<T> {
        let mut places = Vec::new();
        for ring in self.rings.iter().filter(|ring| ring.body != body) {
            for piece in &solid.pieces {
                let radii = match ring.side {
                    RingSide::Outside => piece.inner.as_ref(),
                    RingSide::Inside => Some(&piece.outer),
                };
                let Some(surface) = radii.map(|radii| Surface::of(body, piece, radii)) else {
                    continue;
                };
                let Some(slope) = surface.slope else { continue };
                let place = surface.at + (ring.free.clone() - surface.radius) / slope;
                if piece.from.value() < place.value() && place.value() < piece.to.value() {
                    places.push(place);
                }
            }
        }
        places
    }
}
