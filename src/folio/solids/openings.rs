//! Which chambers stand open to each other, and how wide: where their rooms meet, and through the
//! holes of ways that lead on to what the sizes do not show.

use super::build::BuiltEngine;
use crate::cutaway::Engine;
use crate::cutaway::model::{ChamberId, OPEN_AIR, WayId};
use crate::geometry::{PoseCell, Scalar};
use std::collections::BTreeMap;

/// Two chambers, in the order in which they are told.
type JoinedChambers = (ChamberId, ChamberId);

/// What joins two chambers: rooms that meet, or the holes of a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct OpenJoint {
    pub(crate) chambers: JoinedChambers,
    /// The way; `None` where their rooms meet.
    pub(crate) through: Option<WayId>,
}

/// How wide chambers stand open to each other.
pub(super) struct OpenChambers<T> {
    /// Each two once as they meet, and once for each way.
    pub(super) joints: BTreeMap<OpenJoint, T>,
    /// What of the holes of each way opens into a chamber that it joins.
    pub(super) ways: BTreeMap<WayId, T>,
}

/// By way, tube and chamber how much opens there.
type WayEnds<T> = BTreeMap<WayId, BTreeMap<usize, BTreeMap<ChamberId, T>>>;

impl<T: Scalar> OpenChambers<T> {
    /// What is open at some positions of a cell.
    pub(super) fn of(
        (built, engine): (&BuiltEngine, &Engine),
        cell: &PoseCell<T>,
        positions: &[T],
    ) -> OpenChambers<T> {
        let mut found = OpenChambers { joints: BTreeMap::new(), ways: BTreeMap::new() };
        let room = |at: usize| built.rooms.get(at).copied().unwrap_or(OPEN_AIR);
        for opening in cell.openings(positions) {
            let chambers = (room(opening.rooms.0), room(opening.rooms.1));
            found.joints.insert(OpenJoint { chambers, through: None }, opening.area);
        }
        let mut ends: WayEnds<T> = BTreeMap::new();
        let holes = &built.cut.assembly().ports;
        for (number, port) in built.ports.iter().enumerate() {
            let tube = built.tube_at(holes[number].at.value());
            ends.entry(port.way).or_default().entry(tube).or_default();
        }
        for opening in cell.port_openings(positions) {
            let way = built.ports[opening.port].way;
            let tube = built.tube_at(holes[opening.port].at.value());
            let rooms = ends.entry(way).or_default().entry(tube).or_default();
            let known = rooms.remove(&room(opening.room)).unwrap_or(T::constant(0.0));
            rooms.insert(room(opening.room), known + opening.area);
        }
        for (way, tubes) in ends {
            found.lead_on((built, engine), way, tubes.into_values().collect());
        }
        found
    }

    /// Adds what the holes of a way in one tube, or in two, open.
    fn lead_on(
        &mut self,
        (built, engine): (&BuiltEngine, &Engine),
        way: WayId,
        tubes: Vec<BTreeMap<ChamberId, T>>,
    ) {
        let (from, to) = (engine.ways[way].from, engine.ways[way].to);
        let is_end = |room: ChamberId| room == from || room == to;
        let joint = |a: ChamberId, b: ChamberId| {
            let chambers = if a == to || b == from { (b, a) } else { (a, b) };
            OpenJoint { chambers, through: Some(way) }
        };
        let mut own = T::constant(0.0);
        match tubes.as_slice() {
            [rooms] => {
                let is_drawn = |end: &ChamberId| *end == OPEN_AIR || built.rooms.contains(end);
                for (room, area) in rooms {
                    let other = match *room {
                        room if room == from => to,
                        room if room == to => from,
                        _ => match [from, to].map(|end| (end, is_drawn(&end))) {
                            [(beyond, false), (_, true)] | [(_, true), (beyond, false)] => beyond,
                            _ => continue,
                        },
                    };
                    if is_end(*room) {
                        own = own + area.clone();
                    }
                    self.joints.insert(joint(*room, other), area.clone());
                }
            }
            [first, second] => {
                let least =
                    |a: &T, b: &T| if b.value() < a.value() { b.clone() } else { a.clone() };
                for (one, area) in first {
                    for (other, beyond) in second.iter().filter(|(other, _)| *other != one) {
                        let area = least(area, beyond);
                        if is_end(*one) && is_end(*other) {
                            own = area.clone();
                        }
                        self.joints.insert(joint(*one, *other), area);
                    }
                }
            }
            _ => return,
        }
        self.ways.insert(way, own);
    }
}
