//! Ports in the wall of a body: where a room is joined to what the sizes do not show. Where no hole
//! is drawn for one, its place and width are not measured, and the picture says so.

use super::plane::Trapezoid;
use super::voids::VoidMap;
use crate::cutaway::model::{ChamberId, Engine, OPEN_AIR, ValveId, WayId, Width};
use crate::drawing::view::DrawingView;
use std::collections::BTreeMap;

/// Width of a wide port and of a narrow one in the picture.
const WIDE: f64 = 12.0;
const NARROW: f64 = 5.0;
/// Height of the pipe on a port.
pub(super) const PIPE: f64 = 20.0;
/// Thickness of its wall, and of what shuts it.
const PIPE_WALL: f64 = 2.0;
const SHUTTER: f64 = 3.0;

/// What joins a room through a port.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PortOf {
    Way(WayId),
    Valve(ValveId),
}

/// A port.
#[derive(Debug, Clone)]
pub(super) struct WallPort {
    pub(super) of: PortOf,
    pub(super) room: ChamberId,
    /// Its middle along the axis, and half its width.
    pub(super) x: f64,
    pub(super) half: f64,
    /// Height of the wall at the room, and of the outside.
    pub(super) wall: (f64, f64),
    /// Whether its place and its width are measured.
    pub(super) is_stated: bool,
}

/// Where a port leads in a state, and whether it is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PortState {
    pub(super) leads_to: Option<ChamberId>,
    pub(super) is_open: bool,
}

impl PortOf {
    /// Where it leads from a room.
    pub(super) fn state(self, engine: &Engine, view: &DrawingView, room: ChamberId) -> PortState {
        match self {
            PortOf::Way(way) => {
                let way = &engine.ways[way];
                let other = if way.from == room { way.to } else { way.from };
                PortState { leads_to: Some(other), is_open: view.lets_pass(engine, way) }
            }
            PortOf::Valve(at) => {
                let valve = &engine.valves[at];
                let pairs = if view.is_shifted(at) { &valve.shifted } else { &valve.rest };
                let other = pairs.iter().find_map(|(a, b)| match room {
                    room if room == *a => Some(*b),
                    room if room == *b => Some(*a),
                    _ => None,
                });
                PortState { leads_to: other, is_open: other.is_some() }
            }
        }
    }

    fn width(self, engine: &Engine) -> f64 {
        match self {
            PortOf::Way(way) if engine.ways[way].width != Width::Wide => NARROW,
            _ => WIDE,
        }
    }
}

/// What joins each room of the picture, beside what its sizes show (`drawn`) and the barrel where
/// that is drawn.
pub(super) fn joints(
    engine: &Engine,
    (rooms, has_barrel): (&[ChamberId], bool),
    drawn: &dyn Fn(ChamberId, ChamberId) -> bool,
) -> Vec<(ChamberId, PortOf)> {
    let mut joints = Vec::new();
    for room in rooms {
        for (at, way) in engine.ways.entries().filter(|(_, way)| !(way.barrel && has_barrel)) {
            let is_end = way.from == *room || way.to == *room;
            if is_end && (way.barrel || !drawn(way.from, way.to)) {
                joints.push((*room, PortOf::Way(at)));
            }
        }
        for (at, valve) in engine.valves.entries() {
            let mut pairs = valve.rest.iter().chain(&valve.shifted);
            if pairs.any(|(a, b)| (a == room || b == room) && !drawn(*a, *b)) {
                joints.push((*room, PortOf::Valve(at)));
            }
        }
    }
    joints
}

/// Where a leader goes to a room.
#[derive(Debug, Clone, Copy)]
pub(super) struct RoomLeader {
    pub(super) x: f64,
    /// Height of the wall there, above the axis.
    pub(super) wall: f64,
    /// Whether it comes from below, since ports take all of the wall above.
    pub(super) is_below: bool,
}

/// Narrowest wall that has room for a leader beside ports.
const NARROW_WALL: f64 = 26.0;

/// Places for the ports of each room and for the leader to it, where its wall is free in all
/// states, or at least in the first.
#[derive(Default)]
pub(super) struct PortPlaces {
    pub(super) ports: Vec<WallPort>,
    /// Where a leader goes to each room.
    pub(super) leaders: BTreeMap<ChamberId, RoomLeader>,
}

/// The hole that is drilled for a port, in the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct DrilledPort {
    pub(super) of: PortOf,
    /// Its middle.
    pub(super) x: f64,
    pub(super) width: f64,
}

/// Gives each port its place: where its hole is drilled, else where there is room.
pub(super) fn placed(
    engine: &Engine,
    joints: &[(ChamberId, PortOf)],
    (rooms, maps): (&[ChamberId], &[&VoidMap]),
    (outside, drilled): (f64, &[DrilledPort]),
) -> PortPlaces {
    let mut places = PortPlaces { ports: Vec::new(), leaders: BTreeMap::new() };
    for room in rooms {
        let own: Vec<PortOf> =
            joints.iter().filter(|(at, _)| at == room).map(|(_, of)| *of).collect();
        let mut guessed = Vec::new();
        for of in own.iter().copied() {
            let before = places.ports.len();
            for DrilledPort { x, width, .. } in drilled.iter().filter(|it| it.of == of).copied() {
                let walls = maps.iter().filter_map(|map| map.wall_over(*room, x));
                let Some(wall) = walls.reduce(f64::min) else { continue };
                let (half, wall) = (width / 2.0, (wall, outside));
                places.ports.push(WallPort { of, room: *room, x, half, wall, is_stated: true });
            }
            if places.ports.len() == before {
                guessed.push(of);
            }
        }
        let found = free_wall((*room, guessed.len()), maps);
        let Some((left, right, wall)) = found else { continue };
        let pitch = (right - left) / (guessed.len() + 1) as f64;
        for (nth, of) in guessed.iter().enumerate() {
            // The ports of the last rooms lie in front of their leaders, so that they keep apart.
            let x = left + (nth as f64 + 0.5) * pitch;
            let half = of.width(engine).min(0.6 * pitch) / 2.0;
            let (of, room, wall) = (*of, *room, (wall, outside));
            places.ports.push(WallPort { of, room, x, half, wall, is_stated: false });
        }
        let is_below = !own.is_empty() && right - left < NARROW_WALL;
        let beside = left + (guessed.len() as f64 + 0.5) * pitch;
        let x = match is_below {
            true => f64::midpoint(left, right),
            false => beside_holes(beside, (left, right), &places.ports),
        };
        places.leaders.insert(*room, RoomLeader { x, wall, is_below });
    }
    places
}

/// The place nearest to one at which a leader meets no hole that is drawn where it is drilled.
fn beside_holes(x: f64, (left, right): (f64, f64), ports: &[WallPort]) -> f64 {
    let meets = |x: f64| {
        let mut stated = ports.iter().filter(|port| port.is_stated);
        stated.any(|port| (port.x - x).abs() < port.half + LEADER)
    };
    let steps = (1..40).flat_map(|step| [1.0, -1.0].map(|side| x + side * f64::from(step)));
    let mut tried = std::iter::once(x).chain(steps).filter(|x| left < *x && *x < right);
    tried.find(|x| !meets(*x)).unwrap_or(x)
}

/// Free space between a leader and a hole.
const LEADER: f64 = 4.0;

/// What is lower than this is the clearance of a land, and no place for a port, unless there is
/// less than this of wall for each elsewhere.
const CLEARANCE: f64 = 1.0;
const NARROWEST: f64 = 6.0;

/// The longest stretch of wall that a room lies under in every state, with room for so many ports;
/// of the first state where there is none.
fn free_wall((room, count): (ChamberId, usize), maps: &[&VoidMap]) -> Option<(f64, f64, f64)> {
    let longest = |all: Vec<(f64, f64, f64)>| {
        all.into_iter().max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))
    };
    let always = |least: f64| {
        let stretches = maps.iter().map(|map| map.under_wall(room, least));
        let common = stretches.reduce(|known, here| {
            let both = known.iter().flat_map(|a| here.iter().map(move |b| (a, b)));
            let both = both.filter(|(a, b)| (a.2 - b.2).abs() < 1e-3);
            let both = both.map(|(a, b)| (a.0.max(b.0), a.1.min(b.1), a.2));
            both.filter(|it| 1.0 < it.1 - it.0).collect()
        });
        common.and_then(longest)
    };
    let first = || longest(maps.first()?.under_wall(room, 0.0));
    let is_enough = |it: &(f64, f64, f64)| NARROWEST * (count + 1) as f64 <= it.1 - it.0;
    always(CLEARANCE).filter(is_enough).or_else(|| always(0.0)).or_else(first)
}

impl WallPort {
    /// What is free in it and in its pipe: under what shuts it if it is shut, and above.
    pub(super) fn bore(&self, is_open: bool) -> (Option<Trapezoid>, Trapezoid) {
        let along = (self.x - self.half, self.x + self.half);
        let end = self.wall.1 - PIPE;
        if is_open {
            return (None, Trapezoid::upright(along, (self.wall.0, end)));
        }
        let (top, bottom) = self.shutter().edges_at(self.x);
        let under = Trapezoid::upright(along, (self.wall.0, bottom));
        (Some(under), Trapezoid::upright(along, (top, end)))
    }

    /// What is taken out of the wall.
    pub(super) fn hole(&self) -> Trapezoid {
        let across = (self.wall.0 + 0.5, self.wall.1 - 1.0);
        Trapezoid::upright((self.x - self.half, self.x + self.half), across)
    }

    /// The pipe that leads on from it.
    pub(super) fn pipe(&self) -> [Trapezoid; 2] {
        let across = (self.wall.1, self.wall.1 - PIPE);
        [-1.0, 1.0].map(|side| {
            let inner = self.x + side * self.half;
            let outer = inner + side * PIPE_WALL;
            Trapezoid::upright((inner.min(outer), inner.max(outer)), across)
        })
    }

    /// What shuts it.
    pub(super) fn shutter(&self) -> Trapezoid {
        let middle = f64::midpoint(self.wall.0, self.wall.1);
        let across = (middle - SHUTTER / 2.0, middle + SHUTTER / 2.0);
        Trapezoid::upright((self.x - self.half, self.x + self.half), across)
    }

    /// The line at which the pipe breaks off.
    pub(super) fn end(&self) -> Vec<(f64, f64)> {
        let (half, y) = (self.half + PIPE_WALL, self.wall.1 - PIPE);
        let x = self.x;
        vec![(x - half, y), (x - 0.3 * half, y - 1.5), (x + 0.3 * half, y + 1.5), (x + half, y)]
    }

    /// Whether it opens right to the open air, and never leads on.
    pub(super) fn is_open_end(&self, engine: &Engine) -> bool {
        match self.of {
            PortOf::Way(way) => {
                let way = &engine.ways[way];
                way.from == OPEN_AIR || way.to == OPEN_AIR
            }
            PortOf::Valve(_) => false,
        }
    }
}
