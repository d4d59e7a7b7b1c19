//! Cells of the pose space: all positions with one order of edges. In a cell volumes and areas are
//! polynomials of the positions, compiled once and evaluated often.

use super::holes::{RoomMouth, WallSide};
use super::passage::{RoomPassage, VoidLink, WayStep, Ways, is_passable};
use super::polynomial::{BodyPlace, PairPolynomial};
use super::rooms::{Border, Borders, JoinedVoid, RingGate, ring_gates};
use super::scalar::Scalar;
use super::slabs::{Collision, Slabs, VoidRing};
use super::solid::{Assembly, CutBody, RingSide, Surface, TOUCH, Toward};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Something that is wrong or special in a pose, with its place.
#[derive(Debug, Clone, PartialEq)]
pub enum PoseFinding {
    /// Two bodies are where each other is.
    Collision(Collision),
    /// Two rooms are one: no ring and no gate lies between them.
    Merged {
        /// The two rooms.
        rooms: (usize, usize),
        /// Where the spot of the second one is, m.
        at: f64,
    },
    /// The spot of a room lies in the open air.
    Outside {
        /// The room.
        room: usize,
    },
    /// Void without a name that stands open to several rooms; it is counted to the first.
    Unclaimed {
        /// The rooms.
        rooms: Vec<usize>,
    },
    /// Void that belongs to no room and has no way out.
    Trapped {
        /// From where, m.
        from: f64,
        /// To where, m.
        to: f64,
        /// How much, m³.
        volume: f64,
    },
    /// A ring that seals nothing in this pose: its free edge does not reach what is around it.
    Idle {
        /// The ring.
        ring: usize,
    },
}

/// Faces of two bodies that meet in a pose.
#[derive(Debug, Clone, PartialEq)]
pub struct MeetingFaces {
    /// The body behind and the one in front.
    pub bodies: (usize, usize),
    /// Where, m.
    pub at: f64,
    /// The area that touches, m².
    pub area: f64,
}

/// An assembly cut at all its edges, from which the cells of its poses are made.
#[derive(Debug, Clone)]
pub struct CutAssembly<T> {
    pub(super) assembly: Assembly<T>,
    pub(super) cut: Vec<CutBody<T>>,
    ring_gates: Vec<RingGate<T>>,
}

/// All positions with the same order of edges as those that it was made for.
#[derive(Debug, Clone)]
pub struct PoseCell<T> {
    order: Vec<BodyPlace<T>>,
    volumes: Vec<PairPolynomial<T>>,
    /// By body, then by room; the open air is the last.
    areas: Vec<Vec<PairPolynomial<T>>>,
    passages: Vec<RoomPassage<T>>,
    /// What of each port opens into each room.
    ports: Vec<(usize, RoomMouth<T>)>,
    /// By ring the radius that it seals against.
    sealed: Vec<Option<T>>,
    /// What is wrong or special in it.
    pub findings: Vec<PoseFinding>,
    /// Faces that meet where the edges are that the cell was made for.
    pub meetings: Vec<MeetingFaces>,
}

/// What a pose comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct PoseFigures<T> {
    /// Volume of each room, m³.
    pub volumes: Vec<T>,
    /// Derivative of each room's volume by the position of each body, m².
    pub swept: Vec<Vec<T>>,
    /// For each body the area on which each room pushes it to the front, m²; the open air is last.
    pub areas: Vec<Vec<T>>,
}

/// How much of a port opens into a room.
#[derive(Debug, Clone, PartialEq)]
pub struct PortOpening<T> {
    /// Its number among [`Assembly::ports`].
    pub port: usize,
    /// The room; the open air is behind the last.
    pub room: usize,
    /// The area of all its holes there, m².
    pub area: T,
}

/// How wide two rooms stand open to each other.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomOpening<T> {
    /// The two rooms, the lower first; the open air is behind the last.
    pub rooms: (usize, usize),
    /// The least area on the widest way between them, m².
    pub area: T,
}

impl<T: Scalar> CutAssembly<T> {
    /// Cuts an assembly.
    #[must_use]
    pub fn new(assembly: Assembly<T>) -> CutAssembly<T> {
        let cut = assembly.cut();
        let ring_gates = ring_gates(&assembly, &cut);
        CutAssembly { assembly, cut, ring_gates }
    }

    /// The assembly itself.
    #[must_use]
    pub fn assembly(&self) -> &Assembly<T> {
        &self.assembly
    }

    /// The cell in which the bodies have these positions; the fixed one's is nought.
    #[must_use]
    pub fn cell_at(&self, positions: &[T]) -> PoseCell<T> {
        let mut slabs = Slabs::at(&self.cut, positions);
        for gate in &self.assembly.gates {
            slabs.divide_at(gate, positions);
        }
        let borders = Borders {
            assembly: &self.assembly,
            ring_gates: &self.ring_gates,
            slabs: &slabs,
            positions,
        };
        let kinds: Vec<Border> =
            slabs.portals.iter().map(|portal| borders.border(portal)).collect();
        let mut links = links(&borders, &kinds);
        let named = RoomNames::of(&borders, &kinds, &links);
        let ports = through_holes(&borders, &named.rooms, &mut links);
        let mut cell = PoseCell {
            order: slabs.edges.iter().map(|edge| edge.place.clone()).collect(),
            volumes: vec![PairPolynomial::nought(); self.assembly.rooms.len()],
            areas: vec![
                vec![PairPolynomial::nought(); self.assembly.rooms.len() + 1];
                self.assembly.bodies.len()
            ],
            passages: passages(&borders, &links, &named),
            ports,
            sealed: vec![None; self.assembly.rings.len()],
            findings: slabs.collisions.iter().cloned().map(PoseFinding::Collision).collect(),
            meetings: meetings(&self.cut, &slabs, positions),
        };
        cell.findings.extend(named.findings.iter().cloned());
        cell.measure(&borders, &kinds, &named);
        for (portal, kind) in slabs.portals.iter().zip(&kinds) {
            let ring = borders.ring_at(portal).filter(|_| *kind == Border::Sealed);
            if let Some(ring) = ring {
                let facing = match self.assembly.rings[ring].side {
                    RingSide::Outside => portal.outer.as_ref(),
                    RingSide::Inside => portal.inner.as_ref(),
                };
                let place = &slabs.edges[portal.edge].place;
                cell.sealed[ring] = facing.map(|it| place.radius_of(it, positions));
            }
        }
        let idle = cell.sealed.iter().enumerate().filter(|(_, facing)| facing.is_none());
        let idle: Vec<_> = idle.map(|(ring, _)| PoseFinding::Idle { ring }).collect();
        cell.findings.extend(idle);
        cell
    }
}

/// Everything but holes through which air gets from one ring of void to another.
fn links<T: Scalar>(borders: &Borders<'_, T>, kinds: &[Border]) -> Vec<VoidLink<T>> {
    let portals = borders.slabs.portals.iter().zip(kinds).enumerate();
    let portals = portals.filter(|(_, (_, kind))| is_passable(**kind));
    let mut links: Vec<VoidLink<T>> = portals
        .map(|(at, (portal, _))| VoidLink { rings: portal.rings, by: WayStep::Portal(at) })
        .collect();
    let seats = borders.slabs.seats.iter();
    links.extend(seats.map(|rings| VoidLink { rings: *rings, by: WayStep::Seat }));
    links
}

/// Adds the links through holes, which join all that they open into, and gives what of each port
/// opens into each room.
fn through_holes<T: Scalar>(
    borders: &Borders<'_, T>,
    rooms: &[Option<usize>],
    links: &mut Vec<VoidLink<T>>,
) -> Vec<(usize, RoomMouth<T>)> {
    let mut join = |mouths: &[Arc<RoomMouth<T>>]| {
        for (at, one) in mouths.iter().enumerate() {
            links.extend(mouths[at + 1..].iter().map(|other| VoidLink {
                rings: (one.ring, other.ring),
                by: WayStep::Hole([Arc::clone(one), Arc::clone(other)]),
            }));
        }
    };
    for hole in &borders.assembly.holes {
        let mouths = borders.mouths(hole, rooms).into_iter().map(Arc::new);
        join(&mouths.collect::<Vec<_>>());
    }
    let mut found = Vec::new();
    for (port, hole) in borders.assembly.ports.iter().enumerate() {
        let mouths = borders.mouths(hole, rooms).into_iter();
        let mouths: Vec<_> = mouths.filter(|it| it.side == WallSide::Within).collect();
        join(&mouths.iter().cloned().map(Arc::new).collect::<Vec<_>>());
        found.extend(mouths.into_iter().map(|mouth| (port, mouth)));
    }
    found
}

/// Which room each ring of void belongs to.
struct RoomNames {
    /// By ring of void; `None` where air is trapped.
    rooms: Vec<Option<usize>>,
    /// The ring of void in which each room has its spot, and one of the open air.
    starts: Vec<Option<usize>>,
    /// Void that belongs to no room, by one of its rings.
    trapped: BTreeMap<usize, Vec<usize>>,
    findings: Vec<PoseFinding>,
}

impl RoomNames {
    fn of<T: Scalar>(
        borders: &Borders<'_, T>,
        kinds: &[Border],
        links: &[VoidLink<T>],
    ) -> RoomNames {
        let rings = &borders.slabs.rings;
        let open_air = borders.assembly.rooms.len();
        let mut joined = JoinedVoid::new(rings.len());
        for (at, ring) in rings.iter().enumerate() {
            if ring.outer.is_none() {
                joined.join(at, rings.iter().position(|it| it.outer.is_none()).unwrap_or(at));
            }
        }
        for (portal, kind) in borders.slabs.portals.iter().zip(kinds) {
            if *kind == Border::None {
                joined.join(portal.rings.0, portal.rings.1);
            }
        }
        let mut findings = Vec::new();
        let mut owner: BTreeMap<usize, usize> = BTreeMap::new();
        let mut starts = Vec::new();
        let outer = rings.iter().position(|ring| ring.outer.is_none());
        owner.extend(outer.map(|ring| (joined.of(ring), open_air)));
        for (room, spot) in borders.assembly.rooms.iter().enumerate() {
            let ring = borders.ring_of(spot);
            starts.push(ring);
            let Some(ring) = ring else { continue };
            match owner.get(&joined.of(ring)) {
                None => {
                    owner.insert(joined.of(ring), room);
                }
                Some(other) if *other == open_air => findings.push(PoseFinding::Outside { room }),
                Some(other) => {
                    let position = BodyPlace { body: spot.body, at: spot.at.clone() };
                    let at = position.position(borders.positions).value();
                    findings.push(PoseFinding::Merged { rooms: (*other, room), at });
                }
            }
        }
        starts.push(outer);
        let is_left = |link: &&VoidLink<T>| matches!(link.by, WayStep::Portal(at) if kinds[at] == Border::Left);
        let ends = |links: Vec<&VoidLink<T>>| links.into_iter().map(|it| it.rings).collect();
        let (left, firm): (Vec<_>, Vec<_>) = links.iter().partition(is_left);
        let (left, mut open): (Vec<_>, Vec<_>) = (ends(left), ends(firm));
        let (at_middle, beside) = hole_ends(borders);
        // Beyond a ring that has left its bore lies what the ring keeps apart at other times; so it
        // does where only the rim of a hole reaches.
        open.extend(at_middle);
        claim(&open, &joined, &mut owner, &mut findings);
        open.extend(left.into_iter().chain(beside));
        claim(&open, &joined, &mut owner, &mut findings);
        let rooms: Vec<Option<usize>> =
            (0..rings.len()).map(|at| owner.get(&joined.of(at)).copied()).collect();
        let mut trapped: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (at, _) in rooms.iter().enumerate().filter(|(_, room)| room.is_none()) {
            trapped.entry(joined.of(at)).or_default().push(at);
        }
        RoomNames { rooms, starts, trapped, findings }
    }
}

/// The rings of void that holes join, those at their middle and the others.
#[allow(clippy::type_complexity, reason = "two lists of pairs, once")]
fn hole_ends<T: Scalar>(borders: &Borders<'_, T>) -> (Vec<(usize, usize)>, Vec<(usize, usize)>) {
    let (mut at_middle, mut beside) = (Vec::new(), Vec::new());
    for hole in &borders.assembly.holes {
        let touched = borders.touched(hole);
        for (at, one) in touched.iter().enumerate() {
            for other in touched[at + 1..].iter().filter(|other| other.ring != one.ring) {
                let is_through = one.side != other.side && one.is_middle && other.is_middle;
                let found = if is_through { &mut at_middle } else { &mut beside };
                found.push((one.ring, other.ring));
            }
        }
    }
    (at_middle, beside)
}

/// Gives void without a spot of its own to the room that it is open to, from round to round. Where
/// there are several the first of them has it, which is told: it should have a name.
fn claim(
    links: &[(usize, usize)],
    joined: &JoinedVoid,
    owner: &mut BTreeMap<usize, usize>,
    findings: &mut Vec<PoseFinding>,
) {
    let mut unnamed = joined.clone();
    let sides = |link: &(usize, usize)| (joined.of(link.0), joined.of(link.1));
    for (a, b) in links.iter().map(sides) {
        if !owner.contains_key(&a) && !owner.contains_key(&b) {
            unnamed.join(a, b);
        }
    }
    let mut around: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for (a, b) in links.iter().map(sides) {
        match (owner.get(&a), owner.get(&b)) {
            (Some(room), None) => around.entry(unnamed.of(b)).or_default().insert(*room),
            (None, Some(room)) => around.entry(unnamed.of(a)).or_default().insert(*room),
            _ => continue,
        };
    }
    let disputed = around.into_values().filter(|rooms| 1 < rooms.len());
    findings.extend(
        disputed.map(|rooms| PoseFinding::Unclaimed { rooms: rooms.into_iter().collect() }),
    );
    loop {
        let mut claims: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
        for link in links {
            let (a, b) = sides(link);
            match (owner.get(&a), owner.get(&b)) {
                (Some(room), None) => claims.entry(b).or_default().insert(*room),
                (None, Some(room)) => claims.entry(a).or_default().insert(*room),
                _ => continue,
            };
        }
        if claims.is_empty() {
            return;
        }
        for (void, rooms) in claims {
            owner.extend(rooms.first().map(|room| (void, *room)));
        }
    }
}

/// The passages between rooms that have borders open to each other.
fn passages<T: Scalar>(
    borders: &Borders<'_, T>,
    links: &[VoidLink<T>],
    named: &RoomNames,
) -> Vec<RoomPassage<T>> {
    let mut pairs: Vec<(usize, usize)> = links
        .iter()
        .filter_map(|link| {
            let (a, b) = (named.rooms[link.rings.0]?, named.rooms[link.rings.1]?);
            (a != b).then_some((a.min(b), a.max(b)))
        })
        .collect();
    pairs.sort_unstable();
    pairs.dedup();
    let ways = Ways { borders, links, rooms: &named.rooms };
    let passages = pairs.into_iter().filter_map(|(a, b)| {
        let starts = (named.starts[a]?, named.starts[b]?);
        Some(ways.passage((a, b), starts))
    });
    passages.collect()
}

/// Faces that touch across a slab without width.
fn meetings<T: Scalar>(cut: &[CutBody<T>], slabs: &Slabs<T>, positions: &[T]) -> Vec<MeetingFaces> {
    let mut found = Vec::new();
    for pair in slabs.edges.windows(2) {
        let (rear, front) = (&pair[0], &pair[1]);
        let (at, to) = (rear.place.position(positions), front.place.position(positions));
        if rear.place.body == front.place.body || TOUCH < to.value() - at.value() {
            continue;
        }
        let radii = |walls: &[super::solid::Wall<T>], place: &BodyPlace<T>| -> Vec<(f64, f64)> {
            let radius = |it: &Surface<T>| place.radius_of(it, positions).value();
            walls
                .iter()
                .map(|it| (it.inner.as_ref().map_or(0.0, radius), radius(&it.outer)))
                .collect()
        };
        let behind = radii(&cut[rear.place.body].walls[rear.number], &rear.place);
        let before = radii(&cut[front.place.body].walls[front.number + 1], &front.place);
        let mut area = 0.0;
        for (low, high) in behind {
            for (inner, outer) in &before {
                let (low, high) = (low.max(*inner), high.min(*outer));
                if low + TOUCH < high {
                    area += std::f64::consts::PI * (high * high - low * low);
                }
            }
        }
        if 0.0 < area {
            let bodies = (rear.place.body, front.place.body);
            found.push(MeetingFaces { bodies, at: at.value(), area });
        }
    }
    found
}

/// Adds the parts of one ring of void.
struct RingMeasure<'a, T> {
    ring: &'a VoidRing<T>,
    rear: &'a BodyPlace<T>,
    front: &'a BodyPlace<T>,
}

impl<T: Scalar> RingMeasure<'_, T> {
    fn add_volume(&self, sum: &mut PairPolynomial<T>) {
        for (sign, surface) in [(1.0, &self.ring.outer), (-1.0, &self.ring.inner)] {
            if let Some(surface) = surface {
                sum.add_volume(sign, surface, self.front);
                sum.add_volume(-sign, surface, self.rear);
            }
        }
    }
}

impl<T: Scalar> PoseCell<T> {
    /// Adds up the volumes of the rooms, and what they push on.
    fn measure(&mut self, borders: &Borders<'_, T>, kinds: &[Border], named: &RoomNames) {
        let slabs = borders.slabs;
        let place = |edge: usize| &slabs.edges[edge].place;
        let mut trapped: BTreeMap<usize, PairPolynomial<T>> = BTreeMap::new();
        for (at, ring) in slabs.rings.iter().enumerate() {
            let rear = ring.slab.checked_sub(1).map(place);
            let front = slabs.edges.get(ring.slab).map(|edge| &edge.place);
            if let Some(room) = named.rooms[at] {
                self.push(ring, room, (rear, front));
            }
            let (Some(rear), Some(front), true) = (rear, front, ring.outer.is_some()) else {
                continue;
            };
            let measure = RingMeasure { ring, rear, front };
            match named.rooms[at] {
                // Void of the open air has no volume that means anything.
                Some(room) => {
                    if let Some(volume) = self.volumes.get_mut(room) {
                        measure.add_volume(volume);
                    }
                }
                None => {
                    let part = named.trapped.iter().find(|(_, rings)| rings.contains(&at));
                    let key = part.map_or(at, |(key, _)| *key);
                    measure.add_volume(trapped.entry(key).or_insert_with(PairPolynomial::nought));
                }
            }
        }
        for (portal, kind) in slabs.portals.iter().zip(kinds) {
            if *kind != Border::Sealed {
                self.let_through(portal, borders, named);
            }
        }
        for (key, volume) in trapped {
            let volume = volume.at(borders.positions).value();
            let rings = &named.trapped[&key];
            let slab = |at: &usize| slabs.rings[*at].slab;
            let (first, last) = (rings.iter().map(slab).min(), rings.iter().map(slab).max());
            let (Some(first), Some(last)) = (first, last) else { continue };
            let position = |edge: usize| place(edge).position(borders.positions).value();
            let (from, to) = (position(first - 1), position(last));
            // A gap without width traps nothing.
            if 0.0 < volume && TOUCH < to - from {
                self.findings.push(PoseFinding::Trapped { from, to, volume });
            }
        }
    }

    /// What the pressure in a ring of void pushes: its sides, and the faces at both ends as if they
    /// were shut.
    fn push(
        &mut self,
        ring: &VoidRing<T>,
        room: usize,
        (rear, front): (Option<&BodyPlace<T>>, Option<&BodyPlace<T>>),
    ) {
        for (sign, surface) in [(1.0, &ring.outer), (-1.0, &ring.inner)] {
            let Some(surface) = surface else { continue };
            for (side, place) in [(-1.0, rear), (1.0, front)] {
                let Some(place) = place else { continue };
                self.areas[surface.body][room].add_area(-sign * side, surface, place);
                self.areas[place.body][room].add_area(sign * side, surface, place);
            }
        }
    }

    /// Takes back the face where a ring of void is open to the next: nothing is pushed there.
    fn let_through(
        &mut self,
        portal: &super::slabs::Portal<T>,
        borders: &Borders<'_, T>,
        named: &RoomNames,
    ) {
        let place = &borders.slabs.edges[portal.edge].place;
        for (side, ring) in [(1.0, portal.rings.0), (-1.0, portal.rings.1)] {
            let Some(room) = named.rooms[ring] else { continue };
            // The open air is open to itself without end: what is left there are its borders.
            for (sign, surface) in [(1.0, &portal.outer), (-1.0, &portal.inner)] {
                if let Some(surface) = surface {
                    self.areas[place.body][room].add_area(-sign * side, surface, place);
                }
            }
        }
    }
}

impl<T: Scalar> PoseCell<T> {
    /// Whether some positions have the order of edges that the cell is made for.
    #[must_use]
    pub fn holds(&self, positions: &[T]) -> bool {
        let places = self.order.iter().map(|place| place.position(positions).value());
        let places: Vec<f64> = places.collect();
        places.windows(2).all(|pair| pair[0] <= pair[1] + TOUCH)
    }

    /// By how much a body moves to the front, or to the rear, until the order of edges changes, m;
    /// `None` where it never does.
    #[must_use]
    pub fn next_border(&self, body: usize, toward: Toward, positions: &[T]) -> Option<f64> {
        let pairs = self.order.windows(2).filter_map(|pair| {
            let gap = pair[1].position(positions).value() - pair[0].position(positions).value();
            let closes = match toward {
                Toward::Front => pair[0].body == body && pair[1].body != body,
                Toward::Rear => pair[1].body == body && pair[0].body != body,
            };
            closes.then_some(gap)
        });
        pairs.min_by(f64::total_cmp)
    }

    /// The radius, in m, that a ring seals against in the pose that the cell was made for; `None`
    /// where it is out of its bore.
    #[must_use]
    pub fn sealed_at(&self, ring: usize) -> Option<&T> {
        self.sealed.get(ring)?.as_ref()
    }

    /// Room for the figures of a pose of this cell.
    #[must_use]
    pub fn blank(&self) -> PoseFigures<T> {
        let nought = T::constant(0.0);
        PoseFigures {
            volumes: vec![nought.clone(); self.volumes.len()],
            swept: vec![vec![nought.clone(); self.areas.len()]; self.volumes.len()],
            areas: vec![vec![nought; self.volumes.len() + 1]; self.areas.len()],
        }
    }

    /// Volumes and areas at some positions of the cell.
    #[must_use]
    pub fn evaluate(&self, positions: &[T]) -> PoseFigures<T> {
        let mut figures = self.blank();
        self.evaluate_into(positions, &mut figures);
        figures
    }

    /// The same, into room that is there already.
    pub fn evaluate_into(&self, positions: &[T], figures: &mut PoseFigures<T>) {
        for (room, volume) in self.volumes.iter().enumerate() {
            figures.volumes[room] = volume.at(positions);
            for (body, swept) in figures.swept[room].iter_mut().enumerate() {
                *swept = volume.slope_by(body, positions);
            }
        }
        for (areas, found) in self.areas.iter().zip(&mut figures.areas) {
            for (area, found) in areas.iter().zip(found) {
                *found = area.at(positions);
            }
        }
    }

    /// How much of each port opens into each room at some positions of the cell.
    #[must_use]
    pub fn port_openings(&self, positions: &[T]) -> Vec<PortOpening<T>> {
        let ports = self.ports.iter();
        let area = |mouth: &RoomMouth<T>| mouth.area(positions);
        ports.map(|(port, it)| PortOpening { port: *port, room: it.room, area: area(it) }).collect()
    }

    /// How wide rooms stand open to each other at some positions of the cell.
    #[must_use]
    pub fn openings(&self, positions: &[T]) -> Vec<RoomOpening<T>> {
        let passages = self.passages.iter();
        let openings = passages.map(|it| RoomOpening { rooms: it.rooms, area: it.area(positions) });
        openings.collect()
    }
}
